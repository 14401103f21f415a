package cavity

import "cubby/internal/solid"

// The words of solids that this package speaks in.
type (
	Axis = solid.Axis
	Box  = solid.Box
)

// The axes, and all of them.
const (
	Across = solid.Across
	Depth  = solid.Depth
	Up     = solid.Up
)

var axes = [3]Axis{Across, Depth, Up}
