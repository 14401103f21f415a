// Package plane is the geometry of points, lines and simple polygons in the plane.
//
// It knows nothing of boxes or boards: coordinates are plain numbers, in metres by convention of the callers, and every
// function is free of a preferred scale (tolerances are taken relative to the size of the figure). The frame is
// right-handed: x to the right, y up, angles in radians counter-clockwise.
//
// Polygons are closed, without a repeated corner. Functions that need an orientation take counter-clockwise polygons;
// edge i runs from corner i to corner i+1 and the inside lies to its left.
//
// Pieces cut from a polygon (Inset, Subtract, ClipHalfPlane) are found on the arrangement of all lines involved: every
// line is split where another meets it, and a piece of line is kept when the figure lies on exactly one side of it. That
// needs no special cases for edges that vanish or for figures that fall apart. Curves and holes are left out; a
// difference that would have a hole is cut open along a whole line.
package plane
