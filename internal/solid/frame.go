package solid

import (
	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Frame is a place in the space with axes, for working in a plane: X, Y and N are unit vectors, X cross Y is N.
type Frame struct{ O, X, Y, N r3.Vec }

// To gives the point of the plane that p projects on.
func (f Frame) To(p r3.Vec) plane.Point {
	d := r3.Sub(p, f.O)
	return plane.Point{X: r3.Dot(d, f.X), Y: r3.Dot(d, f.Y)}
}

// Flat is the outline that corners project on.
func (f Frame) Flat(at []r3.Vec) plane.Polygon {
	g := make(plane.Polygon, len(at))
	for i, p := range at {
		g[i] = f.To(p)
	}
	return g
}

// At gives the place in the space of a point of the plane, z out of it.
func (f Frame) At(p plane.Point, z float64) r3.Vec {
	return r3.Add(f.O, r3.Add(r3.Scale(z, f.N), r3.Add(r3.Scale(p.X, f.X), r3.Scale(p.Y, f.Y))))
}

// Frame gives the plane some axes.
func (a Plane) Frame() Frame {
	u, v := Axes(a.N)
	return Frame{O: r3.Scale(a.D, a.N), X: u, Y: v, N: a.N}
}
