package solid

import (
	"errors"
	"math"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Axis is a direction of the space.
type Axis int8

// The axes: X, Y and Z of the space.
const (
	Across Axis = iota
	Depth
	Up
)

// String gives the word used in machine output.
func (a Axis) String() string {
	switch a {
	case Across:
		return "across"
	case Depth:
		return "depth"
	case Up:
		return "up"
	}
	return "unknown"
}

// Unit is the unit vector along the axis.
func (a Axis) Unit() r3.Vec {
	switch a {
	case Across:
		return r3.Vec{X: 1}
	case Depth:
		return r3.Vec{Y: 1}
	}
	return r3.Vec{Z: 1}
}

// Of gives the coordinate of p along the axis.
func (a Axis) Of(p r3.Vec) float64 {
	switch a {
	case Across:
		return p.X
	case Depth:
		return p.Y
	}
	return p.Z
}

// At places a point of a section, w along the axis. A section square to the axis is written in (depth, height) for Across,
// (across, height) for Depth, (across, depth) for Up.
func (a Axis) At(p plane.Point, w float64) r3.Vec {
	switch a {
	case Across:
		return r3.Vec{X: w, Y: p.X, Z: p.Y}
	case Depth:
		return r3.Vec{X: p.X, Y: w, Z: p.Y}
	}
	return r3.Vec{X: p.X, Y: p.Y, Z: w}
}

// Section gives the point of a section square to the axis that p projects on.
func (a Axis) Section(p r3.Vec) plane.Point {
	switch a {
	case Across:
		return plane.Point{X: p.Y, Y: p.Z}
	case Depth:
		return plane.Point{X: p.X, Y: p.Z}
	}
	return plane.Point{X: p.X, Y: p.Y}
}

// leftHanded reports whether a counter-clockwise section is seen from the lower end of the axis.
func (a Axis) leftHanded() bool { return a == Depth }

// Prism errors.
var (
	ErrSection = errors.New("the section must be a simple polygon of at least three corners")
	ErrEnds    = errors.New("the two ends of the prism meet")
)

// Prism makes the body that a counter-clockwise section (in the coordinates of Axis.At) sweeps along the axis between two
// planes, which may lean; the normal of lo points down the axis, that of hi up it. Faces 0 to n-1 are the sides, side i on
// the section's edge i; face n is the low end, n+1 the high one.
func Prism(section plane.Polygon, axis Axis, lo, hi Plane) (*Solid, error) {
	n := len(section)
	if n < 3 || !(section.Area() > 0) {
		return nil, ErrSection
	}
	if !(axis.Of(lo.N) < -flat) || !(axis.Of(hi.N) > flat) {
		return nil, ErrEnds
	}
	for _, at := range section { // the ends may not cross over the section
		p, along := axis.At(at, 0), axis.Unit()
		if low, high := lo.Depth(p)/r3.Dot(lo.N, along), hi.Depth(p)/r3.Dot(hi.N, along); high-low <= Near {
			return nil, ErrEnds
		}
	}
	faces := make([]Face, n+2)
	for i := range section {
		a, b := section[i], section[(i+1)%n]
		d := b.Sub(a).Unit()
		out := r3.Sub(axis.At(plane.Point{X: d.Y, Y: -d.X}, 0), axis.At(plane.Point{}, 0))
		faces[i] = Face{Plane: Through(axis.At(a, 0), out)}
		next, last := (i+1)%n, (i+n-1)%n
		with := []int{n, next, n + 1, last}
		if axis.leftHanded() {
			with = []int{last, n + 1, next, n}
		}
		faces[i].Loops = []Loop{{With: with}}
	}
	forward, back := make([]int, n), make([]int, n)
	for i := range n {
		forward[i], back[i] = i, n-1-i
	}
	if axis.leftHanded() {
		forward, back = back, forward
	}
	faces[n] = Face{Kind: Low, Plane: lo, Loops: []Loop{{With: back}}}
	faces[n+1] = Face{Kind: High, Plane: hi, Loops: []Loop{{With: forward}}}
	return New(faces)
}

// Straight makes the prism between lo and hi metres along the axis, its ends square to it.
func Straight(section plane.Polygon, axis Axis, lo, hi float64) (*Solid, error) {
	if math.IsNaN(lo) || math.IsNaN(hi) {
		return nil, ErrBadMeasure
	}
	u := axis.Unit()
	return Prism(section, axis, Plane{N: r3.Scale(-1, u), D: -lo}, Plane{N: u, D: hi})
}
