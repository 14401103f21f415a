// Package nest lays rectangular parts on sheets of board so that a saw can cut them: every cut runs from edge to
// edge of the piece it is made on, the saw's kerf lies between every two pieces, and the trim is taken off every
// factory edge first. It proves how few sheets are needed where it can, and turns each layout into a numbered cut
// sequence; the tests cut it again and see that exactly the parts and offcuts come out.
//
// # Units and frame
//
// Every length is an integer number of micrometres ([Um]), so "no overlap" and "kerf kept" are comparisons of
// integers. A sheet lies with its origin at the lower left, x along its length, y along its width, outer faces up.
// The grain of a sheet runs along x. Parts may be turned, never mirrored.
//
// # Kerf
//
// A part w x h on a usable area W x H with kerf k is the same problem as a part (w+k) x (h+k) on (W+k) x (H+k)
// with no kerf: only the last piece of a row needs no cut behind it, and the area is larger by just that cut. The
// search works on these grown sizes; the layout is given in true ones.
//
// # Objective, in order
//
// Parts that cannot be cut are named; then least cost (fewest sheets where no prices are given); then the largest
// single rectangular offcut; then the fewest distinct fence settings over the whole job.
//
// # For a router
//
// [LayNested] lays parts by their true outlines, a clearance apart, without cuts from edge to edge: each part in turn
// where it reaches least far along the sheet, in many orders, within a bound of work; what a saw with the clearance for
// a kerf would do is the least that it gives. Where a part may lie is found from Minkowski sums of convex pieces grown
// by the clearance, in whole micrometres with exact comparisons, so the clearance holds by construction.
//
// # Where things are
//
//	input.go, layout.go  what comes in, and what goes out
//	lay.go, solve.go     the way of a list through the search
//	problem.go, tree.go  parts and sheets in grown sizes; a sheet as a tree of cuts
//	search.go            ruin and recreate; consolidate.go gathers free board
//	bound.go             how few sheets and how little money are enough
//	polish.go, fences.go the largest offcut; fewest settings of the fence
//	pair.go, paircut.go  two trapezoids head to tail, and the cut between them
//	slab.go, draw.go     the tree in true sizes, and its places on the sheet
//	cuts.go, tools.go    the cuts in order, and the tools that make them
//	finish.go, batch.go  offcuts named; cuts gathered by setting
//	nested.go            the layout for a router, its orders, its comparison
//	nested_shape.go      attitudes, convex pieces, pieces grown by the clearance
//	nested_place.go      where a part may lie
//
// What it leaves out: bevels, openings and outlines, except that two trapezoids may share one rectangle head to
// tail; the mass of a piece (only its size says whether one person can hold it).
package nest
