// Package panels turns an outside solid and a board into the pieces of wood that make the box.
//
// A box is a solid with plane faces: a prism along any axis, with pockets and leaning ends where they are asked for. Every
// face is a board. At an edge one board runs through or both are mitred; each is cut by one plane per edge, and outer face,
// inner face, tilt, gauge, blank and volume follow from the planes. The sum is exact: boards + air = outside, to rounding, and
// no two boards overlap. What stands inside - doublers, cleats, braces, strips, slot boards - are boards too, between two
// planes of their own; they are taken from the air.
//
// Everything is in metres, radians, kilograms and hertz. The space frame is (across, depth, height), right-handed: across
// from the left side of the space to the right, depth away from the person who stands before it, height up.
//
// The panel frame lies in the plane of the outer face, seen from outside, x to the right and y up; x cross y points out of the
// box. x runs along the width, or, of a board that looks left or right, square to the height; the origin is the lower left of
// the rectangle round the outer face. A section of a prism across lists (depth, height), counter-clockwise with depth to the
// right and height up.
//
// The package knows nothing of sound and of units: a port arrives with its length and goes back with where it ends and what it
// takes; what is to be said is a Message, whose sentence is made in the reader's units at the end.
//
// A fifth of the package makes boards from planes; half of it finds places on and in the box (drivers, radiators, tubes, slots,
// terminal, fixing points, braces) and measures them against one another; the rest says what was found. What a port may reach is
// found by the search that places it, over the same places, so that the longest that is said to go in does and no longer one.
//
// The record:
//
//	spec.go      what is asked for
//	box.go       the box as built: balance, places, checks
//	panel.go     one piece of board: label, stock, size, shape, edges, holes
//	frame.go     panel frames
//	message.go   what is said, and the quantities in it
//	errors.go    why a box cannot be made
//
// Boards from planes:
//
//	relation.go  who runs through at every edge, so that every corner closes
//	cut.go       boards and slabs cut by planes; rabbets as a step after it
//	names.go     what the faces are called, and in which order they run through
//	joint.go     the joint of every edge by its angle and the job's wish
//	shell.go     the boards of all faces: names, thickness, joints, the removable face
//
// The box:
//
//	build.go     Build and Plan: the order of the work, the balance of air, limits
//	seam.go      what the parts of the box share while it is made
//	inside.go    square boards inside: doublers
//	removable.go cleats, screws and gasket of a removable face
//	brace.go     window braces and the plate resonance of the faces
//	window.go    windows cut into a brace
//	strip.go     strip braces
//	make.go      panels of boards: edges, marks, mass, worst joint
//	check.go     what is said of boards, tilts and resonances
//	screws.go    rows of screws of glued joints
//	covering.go  cloth over the outside
//	board.go     kinds of board: density, modulus, plate resonance
//
// What goes on the faces:
//
//	face.go        a face as a place to put something on
//	body.go        what stands in the air: distances and rays
//	place.go       the one search for a place; spot.go: where the job wishes a thing
//	mount.go       what drivers and passive radiators need of a face
//	driver.go      their place, depth and air; ahead.go: what stands in the way
//	fasten.go      bolts and screws of drivers and removable faces
//	tube.go        tubes: layouts and straight ways; elbow.go: their bends; saddle.go: what holds them
//	reach.go       which ports a box takes; outlet.go: what wants room before it
//	leg.go         a wall's frame, to lay slots along; slot.go: which slots could be laid
//	slotlay.go     a slot of a length, and the drivers beside it
//	slotboards.go  its boards as pieces; slotview.go: what is drawn of it
//	terminal.go    the terminal plate or cable hole; fixing.go: fixing points
//	fitting.go     holes, air and checks of it all
package panels
