// Package panels turns an outside shape and a board into the pieces of wood that make the box.
//
// A box is a prism: a section of 3 to 12 corners, extruded across the width. Wall panels wrap the section, two end panels
// close it. Build settles the joint at every corner, cuts each wall by one straight line per end, seats the driver, the
// ports, the terminal hole and the braces, and adds up what each of them takes from the air. The sum is exact: outer
// section = inner section + wall sections, panels + air = outer volume.
//
// Everything is in metres, radians, kilograms and hertz. Two frames are used.
//
// The space frame is (across, depth, height), right-handed: across from the left side of the space to the right, depth
// away from the person who stands before it, height up. A section lists (depth, height), counter-clockwise with depth to
// the right and height up, which is the section as seen from the right end, outside.
//
// The panel frame lies in the plane of the outer face, seen from outside, x to the right and y up; x cross y points out
// of the box. For a wall whose section is walked in the direction u, x runs from the left end to the right end, y = -u, and
// the origin is the outer arris at the corner where the wall ends, at the wall's left end. For the right end x is depth and
// y is height; for the left end x is minus depth and y is height; their origin is the lower left corner of the bounding
// rectangle. Every panel carries its Place, so that a reader needs no other rule.
//
// The package knows nothing of sound: a port arrives with its length, and goes back with where it ends and what it takes.
package panels
