package solid

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// Near is what two places that are the same may differ by through arithmetic, in metres: corners are met from three planes,
	// which costs up to 1e-12 of a body of some metres; a nanometre is a thousand times that and far under what a tool shows.
	Near = 1e-9
	// flat is the sine of the angle under which two planes count as parallel: a tenth of the half degree at which corners of a
	// section are dropped.
	flat = 1e-3
)

// Plane is the set of points p with N.p = D. N is a unit normal that points out of the body: N.p < D inside.
type Plane struct {
	N r3.Vec
	D float64 // m
}

// Through gives the plane with the outward normal n (of any length but 0) that holds p.
func Through(p, n r3.Vec) Plane {
	n = r3.Unit(n)
	return Plane{N: n, D: r3.Dot(n, p)}
}

// Depth is how far p lies behind the plane, m; negative in front of it.
func (a Plane) Depth(p r3.Vec) float64 { return a.D - r3.Dot(a.N, p) }

// Offset gives the parallel plane that lies d metres further out.
func (a Plane) Offset(d float64) Plane { return Plane{N: a.N, D: a.D + d} }

// Flipped gives the same plane seen from the other side.
func (a Plane) Flipped() Plane { return Plane{N: r3.Scale(-1, a.N), D: -a.D} }

// Meet gives the point that three planes share; ok is false where they have no single one.
func Meet(a, b, c Plane) (p r3.Vec, ok bool) {
	bc := r3.Cross(b.N, c.N)
	det := r3.Dot(a.N, bc)
	if math.Abs(det) < flat*flat {
		return r3.Vec{}, false
	}
	p = r3.Scale(a.D, bc)
	p = r3.Add(p, r3.Scale(b.D, r3.Cross(c.N, a.N)))
	p = r3.Add(p, r3.Scale(c.D, r3.Cross(a.N, b.N)))
	return r3.Scale(1/det, p), true
}

// Kind says where a face comes from.
type Kind int8

// The kinds of face: round a prism, its lower end along the axis (left, front, bottom), its upper end, and inside a pocket.
const (
	Side Kind = iota
	Low
	High
	InPocket
)

// Loop is one closed outline of a face. Edge k is shared with face With[k] and runs from At[k] to At[k+1]; the face lies on
// its left as seen from outside.
type Loop struct {
	With []int
	At   []r3.Vec
}

// Face is one plane face: its outer loop first, then its holes.
type Face struct {
	Kind Kind
	From string // InPocket: what the pocket goes round; else empty
	Plane
	Loops []Loop
}

// Solid is a closed body with plane faces.
type Solid struct {
	Faces []Face
}

// Reasons for which there is no solid.
var (
	ErrNotClosed  = errors.New("the faces do not close a body")
	ErrManyFaces  = errors.New("more than three faces meet at a corner")
	ErrTurned     = errors.New("a face is turned inside out")
	ErrSelfCross  = errors.New("the outline of a face crosses itself")
	ErrNoCorner   = errors.New("three faces that should meet at a corner do not")
	ErrBadMeasure = errors.New("a measure is not a number")
)

// New makes a solid of faces whose loops name their neighbours (With); corners are met from the planes. It fails with one of
// the errors above unless every edge joins two faces, every corner three, no outline crosses itself and every face looks
// out.
func New(faces []Face) (*Solid, error) {
	s := &Solid{Faces: faces}
	if err := s.meet(); err != nil {
		return nil, err
	}
	return s, s.check()
}

// meet finds every corner from its three planes.
func (s *Solid) meet() error {
	for i := range s.Faces {
		f := &s.Faces[i]
		if !finite(f.N) || math.IsNaN(f.D) || math.IsInf(f.D, 0) {
			return ErrBadMeasure
		}
		for l := range f.Loops {
			loop := &f.Loops[l]
			n := len(loop.With)
			at := make([]r3.Vec, n)
			for k, j := range loop.With {
				before := loop.With[(k+n-1)%n]
				if j < 0 || j >= len(s.Faces) || before < 0 || before >= len(s.Faces) || j == i || before == j {
					return ErrNotClosed
				}
				p, ok := Meet(f.Plane, s.Faces[before].Plane, s.Faces[j].Plane)
				if !ok || !finite(p) {
					return ErrNoCorner
				}
				at[k] = p
			}
			loop.At = at
		}
	}
	return nil
}

func finite(v r3.Vec) bool {
	s := v.X + v.Y + v.Z
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}

// check verifies that the faces close.
func (s *Solid) check() error {
	if len(s.Faces) < 4 {
		return ErrNotClosed
	}
	for i := range s.Faces {
		f := &s.Faces[i]
		if len(f.Loops) == 0 {
			return ErrNotClosed
		}
		for l, loop := range f.Loops {
			if len(loop.With) < 3 {
				return ErrNotClosed
			}
			if area := LoopArea(loop.At, f.N); (area > 0) != (l == 0) {
				return ErrTurned
			}
			for k := range loop.With {
				if err := s.checkEdge(i, loop, k); err != nil {
					return err
				}
			}
		}
		if crosses(f) {
			return ErrSelfCross
		}
	}
	return nil
}

// checkEdge looks for the other side of edge k of a loop of face i, and for the third face at its start.
func (s *Solid) checkEdge(i int, loop Loop, k int) error {
	n := len(loop.With)
	from, to, j := loop.At[k], loop.At[(k+1)%n], loop.With[k]
	if r3.Norm2(r3.Sub(to, from)) < Near*Near {
		return ErrNoCorner
	}
	other, m := s.edge(j, i, to, from)
	if other == nil {
		return ErrNotClosed
	}
	// The edge of face j ends at from; what follows there must lead to the face before edge k.
	if other.With[(m+1)%len(other.With)] != loop.With[(k+n-1)%n] {
		return ErrManyFaces
	}
	return nil
}

// edge finds the edge of face i with face j that runs between the two places.
func (s *Solid) edge(i, j int, from, to r3.Vec) (*Loop, int) {
	for l := range s.Faces[i].Loops {
		loop := &s.Faces[i].Loops[l]
		for k, w := range loop.With {
			if w == j && same(loop.At[k], from) && same(loop.At[(k+1)%len(loop.At)], to) {
				return loop, k
			}
		}
	}
	return nil, 0
}

func same(a, b r3.Vec) bool { return r3.Norm2(r3.Sub(a, b)) < 4*Near*Near }

// LoopArea is the area of a closed outline, positive when it runs counter-clockwise about n.
func LoopArea(at []r3.Vec, n r3.Vec) float64 {
	sum := r3.Vec{}
	for k := 1; k+1 < len(at); k++ {
		sum = r3.Add(sum, r3.Cross(r3.Sub(at[k], at[0]), r3.Sub(at[k+1], at[0])))
	}
	return r3.Dot(sum, n) / 2
}

// crosses reports whether two edges of the face's outlines cross.
func crosses(f *Face) bool {
	outlines := make([][]r3.Vec, len(f.Loops))
	for l := range f.Loops {
		outlines[l] = f.Loops[l].At
	}
	return Cross(f.N, outlines...)
}

// Cross reports whether two edges of plane outlines cross; n is the unit normal of their plane.
func Cross(n r3.Vec, outlines ...[]r3.Vec) bool {
	u, v := Axes(n)
	var room [24][4]float64
	segs := room[:0]
	for _, at := range outlines {
		for k, p := range at {
			q := at[(k+1)%len(at)]
			segs = append(segs, [4]float64{r3.Dot(p, u), r3.Dot(p, v), r3.Dot(q, u), r3.Dot(q, v)})
		}
	}
	side := func(a [4]float64, x, y float64) float64 { return (a[2]-a[0])*(y-a[1]) - (a[3]-a[1])*(x-a[0]) }
	slices.SortFunc(segs, func(a, b [4]float64) int { return cmp.Compare(min(a[0], a[2]), min(b[0], b[2])) })
	for i, a := range segs { // from left to right: only those that begin before it ends can cross it
		for _, b := range segs[i+1:] {
			if min(b[0], b[2]) > max(a[0], a[2]) {
				break
			}
			if side(a, b[0], b[1])*side(a, b[2], b[3]) < -Near*Near && side(b, a[0], a[1])*side(b, a[2], a[3]) < -Near*Near {
				return true
			}
		}
	}
	return false
}

// Axes gives two unit vectors u, v with u x v = n, for working in the plane of a face. n is a unit vector.
func Axes(n r3.Vec) (u, v r3.Vec) {
	u = r3.Vec{X: 1}
	if math.Abs(n.X) > 0.87 {
		u = r3.Vec{Y: 1}
	}
	u = r3.Unit(r3.Sub(u, r3.Scale(r3.Dot(u, n), n)))
	return u, r3.Cross(n, u)
}

// Convex reports whether the body turns outward at edge k of a loop of face i; otherwise the edge is reflex.
func (s *Solid) Convex(i int, loop Loop, k int) bool {
	dir := r3.Sub(loop.At[(k+1)%len(loop.At)], loop.At[k])
	return r3.Dot(r3.Cross(s.Faces[i].N, s.Faces[loop.With[k]].N), dir) > 0
}

// Moved gives the solid with every face i moved outward by by[i] metres (negative: inward), neighbours as before. It fails
// where that turns an edge round, so that a face vanishes or the body is cut in two.
func (s *Solid) Moved(by []float64) (*Solid, error) {
	if len(by) != len(s.Faces) {
		return nil, fmt.Errorf("%d moves for %d faces", len(by), len(s.Faces))
	}
	out := &Solid{Faces: make([]Face, len(s.Faces))}
	for i, f := range s.Faces {
		f.Plane = f.Offset(by[i])
		f.Loops = append([]Loop(nil), f.Loops...)
		out.Faces[i] = f
	}
	if err := out.meet(); err != nil {
		return nil, err
	}
	for i := range s.Faces {
		for l, loop := range s.Faces[i].Loops {
			if k := turned(loop.At, out.Faces[i].Loops[l].At); k >= 0 {
				return nil, &MoveError{vanished(s, i, loop.With[k]), ErrTurned}
			}
		}
	}
	for i := range out.Faces {
		if crosses(&out.Faces[i]) {
			return nil, &MoveError{i, ErrSelfCross}
		}
	}
	if out.tangled() {
		return nil, &MoveError{-1, ErrSelfCross}
	}
	return out, nil
}

// MoveError says that a face vanishes when the faces are moved, or is cut in two, or that its board has no shape.
type MoveError struct {
	Face int // -1: not one alone
	Err  error
}

// Error says it.
func (e *MoveError) Error() string { return fmt.Sprintf("face %d: %v", e.Face, e.Err) }

// Unwrap gives the reason.
func (e *MoveError) Unwrap() error { return e.Err }

// vanished is the face that goes when the edge of faces i and j turns round, of the two the smaller.
func vanished(s *Solid, i, j int) int {
	if s.Area(j) < s.Area(i) {
		return j
	}
	return i
}

// tangled reports whether an edge goes through a face that it does not belong to. Only a body with a pocket can be tangled when
// every edge runs as it should and no outline crosses itself: its pocket comes through a wall that it does not touch.
func (s *Solid) tangled() bool {
	if !slices.ContainsFunc(s.Faces, func(f Face) bool { return f.Kind == InPocket }) {
		return false
	}
	for i := range s.Faces {
		for _, loop := range s.Faces[i].Loops {
			for k, j := range loop.With {
				if i < j && s.pierces(i, j, loop.At[k], loop.At[(k+1)%len(loop.At)]) {
					return true
				}
			}
		}
	}
	return false
}

// pierces reports whether the edge of faces i and j goes through another face.
func (s *Solid) pierces(i, j int, a, b r3.Vec) bool {
	for f := range s.Faces {
		if f == i || f == j {
			continue
		}
		da, db := s.Faces[f].Depth(a), s.Faces[f].Depth(b)
		if (da > Near && db < -Near || da < -Near && db > Near) && s.OnFace(f, r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a)))) {
			return true
		}
	}
	return false
}

// SameTurn reports whether every edge of the second outline runs the same way as that of the first.
func SameTurn(a, b []r3.Vec) bool { return turned(a, b) < 0 }

// turned gives the first edge of the second outline that does not run the way of the first, -1 where all do.
func turned(a, b []r3.Vec) int {
	n := len(a)
	for k := range a {
		if r3.Dot(r3.Sub(a[(k+1)%n], a[k]), r3.Sub(b[(k+1)%n], b[k])) <= 0 {
			return k
		}
	}
	return -1
}

// Corner is a place where three faces meet. Odd is the index into Faces of the face across from the one edge that is unlike
// the other two in being convex or reflex; -1 where all three are alike.
type Corner struct {
	Faces  [3]int
	At     r3.Vec
	Odd    int
	Like   [2]int // the two others, where there is an odd one
	Convex bool   // all three edges are
}

// Corners lists every corner once.
func (s *Solid) Corners() []Corner {
	var out []Corner
	for i := range s.Faces {
		for _, loop := range s.Faces[i].Loops {
			n := len(loop.With)
			for k, j := range loop.With {
				before := loop.With[(k+n-1)%n]
				if i > j || i > before {
					continue
				}
				out = append(out, s.corner(i, before, j, loop, k))
			}
		}
	}
	return out
}

// corner is the one at the start of edge k of a loop of face i, between faces a (before) and b (with).
func (s *Solid) corner(i, a, b int, loop Loop, k int) Corner {
	n := len(loop.With)
	c := Corner{Faces: [3]int{i, a, b}, At: loop.At[k], Odd: -1}
	ia, ib := s.Convex(i, loop, (k+n-1)%n), s.Convex(i, loop, k)
	ab := ia
	if other, m := s.edge(b, i, loop.At[(k+1)%n], loop.At[k]); other != nil {
		ab = s.Convex(b, *other, (m+1)%len(other.With))
	}
	c.Convex = ia && ib && ab
	switch {
	case ia == ib && ab != ia:
		c.Odd, c.Like = i, [2]int{a, b}
	case ia == ab && ib != ia:
		c.Odd, c.Like = a, [2]int{i, b}
	case ib == ab && ia != ib:
		c.Odd, c.Like = b, [2]int{i, a}
	}
	return c
}
