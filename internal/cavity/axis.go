package cavity

import (
	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Axis is a direction of the space along which a box or a block runs.
type Axis int8

// The axes.
const (
	Across Axis = iota
	Depth
	Up
)

// axes lists all.
var axes = [3]Axis{Across, Depth, Up}

// String names the axis as machine output writes it.
func (a Axis) String() string { return [...]string{"across", "depth", "up"}[a] }

// section gives the coordinates of p in the section square to the axis: across (depth, height), depth (across, height),
// up (across, depth).
func (a Axis) section(p r3.Vec) plane.Point {
	switch a {
	case Across:
		return plane.Point{X: p.Y, Y: p.Z}
	case Depth:
		return plane.Point{X: p.X, Y: p.Z}
	}
	return plane.Point{X: p.X, Y: p.Y}
}

// along gives the coordinate of p along the axis.
func (a Axis) along(p r3.Vec) float64 { return [...]float64{p.X, p.Y, p.Z}[a] }

// point is the place in space of a point of a section.
func (a Axis) point(p plane.Point, along float64) r3.Vec {
	switch a {
	case Across:
		return r3.Vec{X: along, Y: p.X, Z: p.Y}
	case Depth:
		return r3.Vec{X: p.X, Y: along, Z: p.Y}
	}
	return r3.Vec{X: p.X, Y: p.Y, Z: along}
}
