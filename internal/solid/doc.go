// Package solid is the geometry of bodies with plane faces: the outside of a box, the air in it, a board.
//
// A solid is a list of faces. Each lies in a plane whose unit normal points out of the body, and each is bounded by loops of
// edges, counter-clockwise as seen from outside (a hole in a face runs clockwise). Every edge is shared by two faces and every
// corner by three, so that the corners follow from the planes: moving the faces moves everything else with them.
//
// Lengths are metres. The frame is that of a measured space: X across from the left, Y depth away from the person who stands
// before it, Z height. The package knows nothing of wood. Curved faces, and corners where more than three faces meet, are
// left out.
//
//	solid.go   the record, New, corners, edges, the checks on making
//	frame.go   axes in a plane
//	prism.go   prisms along an axis between two planes
//	pocket.go  a rectangular pocket taken out
//	outline.go plane figures on a face: difference and intersection with a convex figure
//	measure.go volume, centroid, slices, containment
package solid
