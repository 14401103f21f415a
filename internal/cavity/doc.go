// Package cavity tells where a box may stand in a space that was measured with a tape, and whether it can be carried in.
//
// Lengths are metres, volumes cubic metres, angles radians; the frame is that of the space: across from its left side, depth
// away from its front, height over the floor board. Everything between readings is straight: along a station, and between
// stations at the same depth, so that each cell of four heights is a ruled patch. Nothing else is assumed, and the places
// where that matters are told (Room.StickTests).
//
// A Space becomes a Room (Settle), which answers: Regions lists where boxes may stand, as prisms along any axis over a
// stretch, with few corners, and with pockets round blocks; Shrunk and Fit make a region smaller; Standing, Reach and Effort
// tell what it asks, and Place orders regions of a wished air by minutes; Before and Ahead tell what stands in the way of a
// cone, Hand how a hand comes to a terminal.
// CarryIn needs no space: it fits shadows and sections of a body into an opening.
//
// Of whole sections nothing is enumerated: they are found by cutting half-planes off what is free, so a region never leaves
// the space, and that no better one exists is not proved.
//
// Files: space (what the tape gives), uniform (the same section all along), room and surface (made ready), profile
// (functions in straight pieces), band and plan (what a prism may occupy), cut, reduce, polish and form (few corners), rect
// (rectangles), search, known (kept from the last searches), spots, sections, pockets and leaning (regions), region
// (their measures), place, standing, minutes, clear and access (what stands in the way, where a hand comes), stick, carry and
// pose, body, sketch.
package cavity
