// Package work turns a box and the layout of its boards into a plan of work: what is bought, what is cut in which order and at which
// set-up, what is glued to what, how the air is measured, and what is handed back. It holds facts and numbers only, in metres, radians
// and cubic metres; sentences are made where they are printed.
//
// Panels are referred to by their index in panels.Box.Panels. Nothing here reads a name.
//
//	plan.go    the record
//	facts.go   what the panels' record says, as the plan needs it
//	cuts.go    square cuts, rabbets, bevels, slants, notches and openings in one order
//	bevels.go  where the fence stands for a bevel
//	steps.go   the order of assembly
//	fill.go    the dry fill
//	bill.go    what is bought
//	checks.go  what the shop measures and hands back
package work
