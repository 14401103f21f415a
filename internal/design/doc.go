// Package design is where acoustics meets geometry: from a space, a driver, an amplifier and the board at hand it finds
// the box that serves the job's aim best, and says what it is, what it does and what it cost.
//
// [Run] works in four steps.
//
//  1. The space gives regions (package cavity), in order of workshop effort.
//  2. Package search bounds what each region can give by the aim's score, with every kind of port, and asks for the
//     candidate that promises most to be built, best first, until no bound is above what is built.
//  3. A candidate is made real: wood, driver, port and braces displace air, and the port's length depends on what is left, so
//     size and length are settled together. What cannot be built is refused with what could be.
//  4. The finished box is judged by the grade table, its curves are drawn at the job's drive, and its panels are laid.
//
// Files, in the order of the work:
//
//	request.go ready.go printed.go aim.go        what a job says
//	rig.go amplifier.go task.go spec.go          a job made ready: air, wired driver, grades, the search's task, the wood's
//	run.go answer.go result.go                   the run, its answer and what it holds
//	site.go duct.go builder.go smallest.go       where boxes may stand, ports that may be built, a candidate made real
//	radiator.go bandpass.go                      passive radiators; band-pass boxes
//	places.go round.go sheets.go finish.go       places in words, the saw's steps, boards on sheets, curves and what the fitter sets
//	checks.go checks_port.go advice.go findings.go  the grade table's rows, what would better them, doubts about the data
//	settings.go facts.go access.go readings.go   what is dialled in, facts for print, getting at things, doubts about the tape
//	check*.go variants.go pairs.go               ready-made boxes against driver and space; several against several
//	rank.go ranker.go                            many drivers in one space
//	driver*.go measured*.go vehicle.go           a driver's sheet, sweeps of drivers and boxes, a measured cabin
//	grid.go                                      frequencies
//
// Everything is SI. Thresholds and weights are engineering judgement tried on invented drivers of typical classes
// (common practice), not published values. Answers are deterministic: no clock, no randomness, no map order.
package design
