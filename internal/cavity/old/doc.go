// Package cavity finds the outer boxes that can stand in a measured space.
//
// The space is a section, a polygon of depth (from the front, x) and height (from the floor, y), that runs along a width
// (across, from the left side to the right). Lengths are metres, volumes cubic metres, angles radians. A box is a prism
// of the same kind. Between box and space stays the air that the customer asked for, on every side and round every thing
// in the space, with sharp corners; then boxes are offered in order of workshop effort: a rectangle, a section with one
// slope, with two, and the whole section.
//
// Walls that would be too short to build and toes too sharp for a saw are removed by cutting inward only, so that the
// box never leaves the air that is there.
//
// CarryIn tells whether a box goes through an opening. What is left out: turning the box inside the space, hinges and
// handles in the way, and openings that are not rectangles.
package cavity
