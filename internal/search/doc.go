// Package search finds the box that serves an aim best: it evaluates candidates, bounds what a region of a space can
// give, and builds best first until no bound is above what is built. It knows nothing of wood: a [Builder] says what
// regions there are and builds in them.
//
//	doc.go       this text
//	task.go      what is the same for every box: driver, amplifier, aim, grades
//	model.go     a task made ready to be evaluated
//	grid.go      the frequencies at which candidates are evaluated, and means over them
//	response.go  what a box of one volume and tuning does, whatever its port's area
//	settings.go  the high-pass that is advised and the power that is allowed
//	candidate.go a candidate, its evaluation and why one is out
//	score.go     the aims
//	lattice.go   responses over volume and tuning, shared by all places of a kind
//	place.go     the best candidate within the ranges of a place
//	area.go      the best area of a port for a response
//	cover.go     places that no other one makes needless
//	search.go    the best-first search
//	offer.go     the designs that are offered beside the winner, and the trade-off of size
//	spread.go    what the tolerances of driver and box make of the figures
//	verdict.go   the verdict on a box that is judged
//
// Everything is SI. Thresholds and weights stand in package grade with their sources. Answers are deterministic.
package search
