package solid

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// LeastStrip is the narrowest strip of a body that a pocket leaves beside itself, m: a board that covers less is not cut
// (common practice); the pocket runs out to the face instead.
const LeastStrip = 0.060

// beyond is how far past the body a pocket that runs out reaches, m.
const beyond = 1.0

// Box is a block with faces square to the axes, m.
type Box struct {
	Name     string
	Min, Max r3.Vec
}

// ErrNoPocket says that a block does not reach into the body, or cuts it through.
var ErrNoPocket = errors.New("the block makes no pocket")

// Pocket gives the solid without the block. Sides of the block that would leave a strip under LeastStrip run out to the face.
// The new faces have the kind InPocket and the block's name; faces that a pocket cuts in two become two faces, the first in
// the place of the old one, the others at the end. It fails where the block stays outside, swallows a face whole or leaves a
// body whose corners are not those of three faces.
func (s *Solid) Pocket(b Box) (*Solid, error) {
	b, err := s.runOut(b)
	if err != nil {
		return nil, err
	}
	faces := make([]Face, 0, len(s.Faces)+6)
	var more []Face
	for _, f := range s.Faces {
		parts := b.without(f)
		if len(parts) == 0 {
			return nil, fmt.Errorf("%w: it takes a whole face", ErrNoPocket)
		}
		faces, more = append(faces, parts[0]), append(more, parts[1:]...)
	}
	faces = append(faces, more...)
	inside := 0
	for _, p := range b.planes() {
		parts, err := s.wallOf(p, b)
		if err != nil {
			return nil, err
		}
		inside += len(parts)
		faces = append(faces, parts...)
	}
	if inside == 0 {
		return nil, ErrNoPocket
	}
	out := &Solid{Faces: faces}
	if err := out.findNeighbours(); err != nil {
		return nil, err
	}
	if !out.inOnePiece() {
		return nil, fmt.Errorf("%w: it cuts the body in two", ErrNoPocket)
	}
	return New(out.Faces)
}

// inOnePiece reports whether every face can be reached from the first over edges and holes.
func (s *Solid) inOnePiece() bool {
	seen := make([]bool, len(s.Faces))
	seen[0] = true
	count := 1
	for todo := []int{0}; len(todo) > 0; {
		i := todo[0]
		todo = todo[1:]
		for _, loop := range s.Faces[i].Loops {
			for _, k := range loop.With {
				if !seen[k] {
					seen[k] = true
					count++
					todo = append(todo, k)
				}
			}
		}
	}
	return count == len(s.Faces)
}

// planes gives the six faces of the block, normals out of the block.
func (b Box) planes() []Plane {
	return []Plane{
		{N: r3.Vec{X: -1}, D: -b.Min.X}, {N: r3.Vec{X: 1}, D: b.Max.X},
		{N: r3.Vec{Y: -1}, D: -b.Min.Y}, {N: r3.Vec{Y: 1}, D: b.Max.Y},
		{N: r3.Vec{Z: -1}, D: -b.Min.Z}, {N: r3.Vec{Z: 1}, D: b.Max.Z},
	}
}

// runOut moves the sides of the block that leave too little of the body to past its hull.
func (s *Solid) runOut(b Box) (Box, error) {
	lo, hi := s.Bounds()
	if b.Max.X <= lo.X || b.Min.X >= hi.X || b.Max.Y <= lo.Y || b.Min.Y >= hi.Y || b.Max.Z <= lo.Z || b.Min.Z >= hi.Z {
		return b, ErrNoPocket
	}
	for pass := 0; pass < 2; pass++ { // a side that runs out widens the column beside another
		for axis := Across; axis <= Up; axis++ {
			low, high, any := s.columnRange(b, axis)
			if !any {
				return b, ErrNoPocket
			}
			if axis.Of(b.Min)-low < LeastStrip {
				b.Min = r3.Add(b.Min, r3.Scale(axis.Of(lo)-beyond-axis.Of(b.Min), axis.Unit()))
			}
			if high-axis.Of(b.Max) < LeastStrip {
				b.Max = r3.Add(b.Max, r3.Scale(axis.Of(hi)+beyond-axis.Of(b.Max), axis.Unit()))
			}
		}
	}
	return b, nil
}

// columnRange is how far the body reaches along the axis within the block's column.
func (s *Solid) columnRange(b Box, axis Axis) (low, high float64, any bool) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, f := range s.Faces {
		for _, loop := range f.Loops[:1] {
			at := loop.At
			for _, p := range b.planes() {
				if math.Abs(axis.Of(p.N)) < 0.5 {
					at = clip(at, p)
				}
			}
			for _, q := range at {
				low, high, any = math.Min(low, axis.Of(q)), math.Max(high, axis.Of(q)), true
			}
		}
	}
	return low, high, any
}

// clip keeps the part of an outline behind the plane (Sutherland and Hodgman, "Reentrant polygon clipping", 1974; from memory).
func clip(at []r3.Vec, p Plane) []r3.Vec {
	var out []r3.Vec
	for k, a := range at {
		b := at[(k+1)%len(at)]
		da, db := p.Depth(a), p.Depth(b)
		if da >= 0 {
			out = append(out, a)
		}
		if (da >= 0) != (db >= 0) {
			out = append(out, r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a))))
		}
	}
	return out
}

// section is where the plane goes through the block, in the plane's axes; nil where it passes by.
func (b Box) section(p Plane, f Frame) plane.Polygon {
	size := 4 * (r3.Norm(r3.Sub(b.Max, b.Min)) + r3.Norm(b.Max) + r3.Norm(b.Min) + math.Abs(p.D))
	at := []r3.Vec{
		f.At(plane.Point{X: -size, Y: -size}, 0), f.At(plane.Point{X: size, Y: -size}, 0),
		f.At(plane.Point{X: size, Y: size}, 0), f.At(plane.Point{X: -size, Y: size}, 0),
	}
	for _, q := range b.planes() {
		if at = clip(at, q); len(at) < 3 {
			return nil
		}
	}
	var out plane.Polygon
	for _, c := range at {
		if q := f.To(c); len(out) == 0 || q.Sub(out[len(out)-1]).Norm() >= 2*Near && q.Sub(out[0]).Norm() >= 2*Near {
			out = append(out, q)
		}
	}
	if len(out) < 3 || !(out.Area() > Near) {
		return nil
	}
	return out
}

// without gives the face outside the block, in as many faces as it falls into.
func (b Box) without(f Face) []Face {
	to := f.Plane.Frame()
	cut := b.section(f.Plane, to)
	if cut == nil {
		f.Loops = slices.Clone(f.Loops) // its neighbours are found anew
		return []Face{f}
	}
	var fig figure
	for _, loop := range f.Loops {
		fig = append(fig, to.Flat(loop.At))
	}
	return faces(f, fig.combine(cut, false), to)
}

// wallOf gives the faces that the block's plane p adds to the body.
func (s *Solid) wallOf(p Plane, b Box) ([]Face, error) {
	f := Face{Kind: InPocket, From: b.Name, Plane: p.Flipped()}
	to := f.Plane.Frame()
	cut := b.section(f.Plane, to)
	if cut == nil {
		return nil, nil
	}
	loops, err := s.Slice(f.Plane)
	if err != nil || len(loops) == 0 {
		return nil, err
	}
	var fig figure
	for _, loop := range loops {
		fig = append(fig, to.Flat(loop.At))
	}
	return faces(f, fig.combine(cut, true), to), nil
}

// faces gives one face like f for each figure; neighbours are not known yet.
func faces(f Face, parts []figure, to Frame) []Face {
	var out []Face
	for _, part := range parts {
		f.Loops = nil
		for _, l := range part {
			var loop Loop
			for _, p := range l {
				loop.At = append(loop.At, to.At(p, 0))
			}
			f.Loops = append(f.Loops, loop)
		}
		out = append(out, f)
	}
	return out
}

// findNeighbours fills in With from the places of the corners.
func (s *Solid) findNeighbours() error {
	type place struct{ face, loop, edge int }
	var all []place
	for i := range s.Faces {
		for l := range s.Faces[i].Loops {
			loop := &s.Faces[i].Loops[l]
			loop.With = make([]int, len(loop.At))
			for k := range loop.At {
				all = append(all, place{i, l, k})
			}
		}
	}
	ends := func(p place) (a, b r3.Vec) {
		at := s.Faces[p.face].Loops[p.loop].At
		return at[p.edge], at[(p.edge+1)%len(at)]
	}
	for _, p := range all {
		a, b := ends(p)
		found := -1
		for _, q := range all {
			if c, d := ends(q); q.face != p.face && same(a, d) && same(b, c) {
				if found >= 0 {
					return ErrManyFaces
				}
				found = q.face
			}
		}
		if found < 0 {
			return ErrNotClosed
		}
		s.Faces[p.face].Loops[p.loop].With[p.edge] = found
	}
	return nil
}
