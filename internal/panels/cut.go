package panels

import (
	"errors"
	"math"
	"slices"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// Board is one board as a solid: what lies between its outer plane and its inner one, cut by one plane at every edge.
type Board struct {
	Rim               // counter-clockwise as seen from outside
	Holes     []Rim   // where a pocket is in the middle of the face, clockwise
	Thickness float64 // m
	Out       r3.Vec  // unit normal of the outer face
	Steps     []Step  // of rabbets that others stop in
	Volume    float64 // m3, less its steps
}

// Step is a step along an edge of a board's inner face, in which the board of another face stops.
type Step struct {
	With         int // that face
	Width, Depth float64
	Volume       float64
}

// Rim is an outline of a board.
type Rim struct {
	Outer, Inner []r3.Vec // corners of the two faces; corner k starts edge k
	Sides        []solid.Plane
	Edges        []BoardEdge
}

// BoardEdge is one edge of a board.
type BoardEdge struct {
	With     int      // the face that it meets; -1: none
	Piece    string   // else the name of the board inside that it meets; empty: a free end
	Relation Relation // of this board to that one
	Convex   bool
	Bevel    // its run negative where the inner face reaches further
}

// Bevel is an edge as the saw makes it, in metres and radians.
type Bevel struct {
	Angle                float64 // interior, between the two faces
	Tilt                 float64 // of the blade from square, signed, + outer face longer at this edge
	Run                  float64 // t tan|tilt|: by which one face reaches further than the other
	OuterLen, InnerLen   float64 // of the edge along the two faces
	GaugeStart, GaugeEnd float64 // by which the outer outline's corners at its ends differ from square; 0 square
}

// Compound reports whether the edge needs both the blade tilted and the gauge turned.
func (e Bevel) Compound() bool {
	return math.Abs(e.Tilt) > angleSlack && math.Max(math.Abs(e.GaugeStart), math.Abs(e.GaugeEnd)) > angleSlack
}

// ErrNoFace says that a face of a board, or an edge of the air, vanishes: the walls are too thick for the shape.
var ErrNoFace = errors.New("a face of the board vanishes")

// Cut gives the board of every face, t[i] thick, and the air between them. At an edge with face k the board of face i is cut
// by one plane, where depth is the distance behind a face's outer plane:
//
//	             convex edge          reflex edge
//	i through    depth_k = 0          depth_k = t_k
//	i stops      depth_k = t_k        depth_k = 0
//	mitre        depth_i/t_i = depth_k/t_k
//
// Where the joints close (see Settle), boards + air = solid exactly, and no two boards overlap.
func Cut(s *solid.Solid, t []float64, j Joints) ([]Board, *solid.Solid, error) {
	in := make([]float64, len(t))
	for i := range t {
		in[i] = -t[i]
	}
	air, err := s.Moved(in)
	if err != nil {
		return nil, nil, err
	}
	boards := make([]Board, len(s.Faces))
	for i := range s.Faces {
		if err := boards[i].cut(s, i, t, j); err != nil {
			return nil, nil, &solid.MoveError{Face: i, Err: err}
		}
	}
	if j.deep != nil {
		for i := range boards {
			boards[i].step(s, i, t, j)
		}
	}
	return boards, air, nil
}

// step takes from the board of face i what the boards that stop in its rabbets reach into it. Such a tongue ends where its
// board ends, but short of the rabbets in boards that stop on this one.
func (b *Board) step(s *solid.Solid, i int, t []float64, j Joints) {
	for _, loop := range s.Faces[i].Loops {
		for _, k := range loop.With {
			depth := j.Deep(i, k)
			if depth == 0 || slices.ContainsFunc(b.Steps, func(s Step) bool { return s.With == k }) {
				continue // none, or two edges with one face, whose tongue was taken whole
			}
			base := j
			base.deep = slices.Clone(j.deep)
			for x := range t {
				if j.Of(i, x) == Through && x != k {
					base.deep[x*j.n+k] = 0
				}
			}
			with := tongue(s, k, t, base)
			base.deep[i*j.n+k] = 0
			v := with - tongue(s, k, t, base) + mitredStep(s, i, k, t, j)
			b.Steps = append(b.Steps, Step{With: k, Width: t[k], Depth: depth, Volume: v})
			b.Volume -= v
		}
	}
}

// mitredStep is what the step of board i for the tongue of board k lacks where a third board, mitred to i, is rabbeted for k as
// well. The column in which the two steps meet is parted by the mitre; the difference of tongues has it whole at a convex
// edge and not at all at a reflex one. With p and q the shares of the two thicknesses from the inner faces, the mitre is p = q.
func mitredStep(s *solid.Solid, i, k int, t []float64, j Joints) float64 {
	v := 0.0
	for _, c := range s.Corners() {
		m := c.Faces[0] + c.Faces[1] + c.Faces[2] - i - k
		if !slices.Contains(c.Faces[:], i) || !slices.Contains(c.Faces[:], k) || j.Of(i, m) != Mitred || j.Deep(m, k) == 0 {
			continue
		}
		n := r3.Cross(s.Faces[i].N, s.Faces[m].N)
		column := t[i] * t[m] * t[k] / math.Abs(r3.Dot(n, s.Faces[k].N))
		p, q := j.Deep(i, k)/t[i], j.Deep(m, k)/t[m]
		least := math.Min(p, q)
		nearer := least * (p - least/2) // of the column's section, the part with p > q
		if c.Odd == k {                 // i and m meet at a reflex edge
			v += column * (p*q - nearer)
		} else {
			v += column * (nearer - p*q)
		}
	}
	return v
}

// tongue is the volume of the board of face k before steps.
func tongue(s *solid.Solid, k int, t []float64, j Joints) float64 {
	var b Board
	if b.cut(s, k, t, j) != nil {
		return 0 // cannot be: it was cut before
	}
	return b.Volume
}

// cut fills in the board of face i.
func (b *Board) cut(s *solid.Solid, i int, t []float64, j Joints) error {
	f := &s.Faces[i]
	b.Thickness, b.Out = t[i], f.N
	for l := range f.Loops {
		r, err := ring(s, i, f.Loops[l], t, j)
		if err != nil {
			return err
		}
		if l == 0 {
			b.Rim = r
		} else {
			b.Holes = append(b.Holes, r)
		}
	}
	outer, inner := [][]r3.Vec{b.Outer}, [][]r3.Vec{b.Inner}
	for _, r := range b.Holes {
		outer, inner = append(outer, r.Outer), append(inner, r.Inner)
	}
	if solid.Cross(b.Out, outer...) || solid.Cross(b.Out, inner...) {
		return ErrNoFace
	}
	b.Volume = b.volume()
	return nil
}

// ring cuts one outline of the board of face i.
func ring(s *solid.Solid, i int, loop solid.Loop, t []float64, j Joints) (Rim, error) {
	n := len(loop.With)
	f := &s.Faces[i]
	r := Rim{Sides: make([]solid.Plane, n), Edges: make([]BoardEdge, n)}
	for k, other := range loop.With {
		convex := s.Convex(i, loop, k)
		rel := j.Of(i, other)
		r.Sides[k] = cutPlane(f.Plane, s.Faces[other].Plane, t[i], t[other]-j.Deep(other, i), rel, convex)
		r.Edges[k] = BoardEdge{With: other, Relation: rel, Convex: convex, Bevel: Bevel{Angle: dihedral(s, i, loop, k)}}
	}
	return r, r.outline(f.Plane, f.Offset(-t[i]), loop.At)
}

// dihedral is the interior angle at edge k of a loop of face i.
func dihedral(s *solid.Solid, i int, loop solid.Loop, k int) float64 {
	a, b := s.Faces[i].N, s.Faces[loop.With[k]].N
	turn := math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b))
	if s.Convex(i, loop, k) {
		return math.Pi - turn
	}
	return math.Pi + turn
}

// cutPlane is the plane that cuts a board at an edge; its normal points out of the board.
func cutPlane(own, other solid.Plane, t, tOther float64, r Relation, convex bool) solid.Plane {
	var p solid.Plane
	switch {
	case r == Mitred:
		n := r3.Sub(r3.Scale(1/tOther, other.N), r3.Scale(1/t, own.N))
		k := 1 / r3.Norm(n)
		p = solid.Plane{N: r3.Scale(k, n), D: k * (other.D/tOther - own.D/t)}
	case (r == Through) == convex:
		p = other
	default:
		p = other.Offset(-tOther)
	}
	if !convex {
		p = p.Flipped()
	}
	return p
}

// outline meets the corners of both faces and measures the edges. want is an outline that runs as the two faces must.
func (r *Rim) outline(outer, inner solid.Plane, want []r3.Vec) error {
	n := len(r.Sides)
	both := make([]r3.Vec, 2*n)
	r.Outer, r.Inner = both[:n:n], both[n:]
	for k := range r.Sides {
		before := r.Sides[(k+n-1)%n]
		var ok1, ok2 bool
		r.Outer[k], ok1 = solid.Meet(outer, before, r.Sides[k])
		r.Inner[k], ok2 = solid.Meet(inner, before, r.Sides[k])
		if !ok1 || !ok2 {
			return ErrNoFace
		}
	}
	if want != nil && (!solid.SameTurn(want, r.Outer) || !solid.SameTurn(want, r.Inner)) {
		return ErrNoFace
	}
	r.measure(outer.N, outer.D-inner.D)
	return nil
}

// measure fills in lengths, tilts and gauges.
func (r *Rim) measure(out r3.Vec, t float64) {
	n := len(r.Outer)
	for k := range r.Edges {
		e := &r.Edges[k]
		next := (k + 1) % n
		along := r3.Sub(r.Outer[next], r.Outer[k])
		e.OuterLen = r3.Norm(along)
		u := r3.Scale(1/e.OuterLen, along)
		e.InnerLen = r3.Dot(r3.Sub(r.Inner[next], r.Inner[k]), u)
		e.Run = r3.Dot(r3.Cross(u, out), r3.Sub(r.Outer[k], r.Inner[k]))
		if math.Abs(e.Run) < sameFace {
			e.Run = 0
		}
		e.Tilt = math.Atan2(e.Run, t)
	}
	for k := range r.Edges {
		gauge := cornerGauge(r.Outer, out, k)
		r.Edges[k].GaugeStart = gauge
		r.Edges[(k+n-1)%n].GaugeEnd = gauge
	}
}

// cornerGauge is the interior angle of an outline at corner k, less a right angle.
func cornerGauge(at []r3.Vec, out r3.Vec, k int) float64 {
	n := len(at)
	a, b := r3.Sub(at[k], at[(k+n-1)%n]), r3.Sub(at[(k+1)%n], at[k])
	turn := math.Atan2(r3.Dot(r3.Cross(a, b), out), r3.Dot(a, b))
	gauge := math.Pi/2 - turn
	if math.Abs(gauge) < angleSlack {
		return 0
	}
	return gauge
}

// volume is that between the faces: the area at a depth is a quadratic of the depth, so Simpson's rule is exact.
func (b *Board) volume() float64 {
	v := b.prismoid(b.Out, b.Thickness)
	for i := range b.Holes {
		v += b.Holes[i].prismoid(b.Out, b.Thickness)
	}
	return v
}

func (r *Rim) prismoid(out r3.Vec, t float64) float64 {
	return t / 6 * (solid.LoopArea(r.Outer, out) + 4*solid.LoopArea(r.at(0.5), out) + solid.LoopArea(r.Inner, out))
}

// at is the outline that is share of the way from the outer to the inner one.
func (r *Rim) at(share float64) []r3.Vec {
	out := make([]r3.Vec, len(r.Outer))
	for k := range out {
		out[k] = r3.Add(r3.Scale(1-share, r.Outer[k]), r3.Scale(share, r.Inner[k]))
	}
	return out
}

const (
	// sameFace is the run below which an edge is square, m: what arithmetic leaves, far under what a tool shows.
	sameFace = 1e-9
	// angleSlack is the angle below which a tilt or a gauge counts as none, rad, likewise.
	angleSlack = 1e-9
)

// Contains reports whether p is in the wood of the board; on its surface the answer may be either. It is meant for boards
// whose outline at every depth is simple.
func (b *Board) Contains(p r3.Vec) bool {
	depth := r3.Dot(b.Out, r3.Sub(b.Outer[0], p))
	if depth <= 0 || depth >= b.Thickness {
		return false
	}
	loops := []solid.Loop{{At: b.at(depth / b.Thickness)}}
	for i := range b.Holes {
		loops = append(loops, solid.Loop{At: b.Holes[i].at(depth / b.Thickness)})
	}
	return solid.Holds(loops, b.Out, p)
}

// Slab gives a board inside the air between two parallel planes, outer and inner (their normals the same way, inner behind
// outer): a brace, a partition, a slot's wall, a doubler. It stops at every wall of the air that it reaches, and at the ends
// given (planes whose normals point out of the slab). play is what it is smaller all round where it meets a wall. It fails with
// ErrSlab where it falls into pieces or finds no air.
func Slab(air *solid.Solid, outer, inner solid.Plane, ends []solid.Plane, play float64) (Board, error) {
	return slab(air, outer, inner, ends, play, false)
}

// slab is Slab, or (square) the largest board in it whose edges are square.
func slab(air *solid.Solid, outer, inner solid.Plane, ends []solid.Plane, play float64, square bool) (Board, error) {
	found, err := slabSection(air, outer.Offset(-(outer.D-inner.D)/2), ends)
	if err != nil {
		return Board{}, err
	}
	z, n := outer.N, len(found.On)
	b := Board{Rim: Rim{Sides: make([]solid.Plane, n), Edges: make([]BoardEdge, n)}, Thickness: outer.D - inner.D, Out: z}
	for k, f := range found.On {
		with, side := -1, solid.Plane{}
		if f < 0 {
			side = ends[-1-f]
		} else {
			with, side = f, air.Faces[f].Plane
		}
		if square {
			nz := r3.Dot(side.N, z)
			e := r3.Sub(side.N, r3.Scale(nz, z))
			l := r3.Norm(e)
			side = solid.Plane{N: r3.Scale(1/l, e), D: math.Min((side.D-nz*outer.D)/l, (side.D-nz*inner.D)/l)}
		}
		if with >= 0 {
			side = side.Offset(-play)
		}
		b.Sides[k] = side
		b.Edges[k] = BoardEdge{With: with, Relation: Stops, Convex: true, Bevel: Bevel{Angle: math.Pi - math.Atan2(r3.Norm(r3.Cross(z, side.N)), r3.Dot(z, side.N))}}
	}
	if err := b.outline(outer, inner, nil); err != nil {
		return Board{}, err
	}
	b.Volume = b.volume()
	if square && (!solid.SameTurn(found.At, b.Outer) || !(b.Volume > 0) || solid.Cross(z, b.Outer)) {
		return Board{}, ErrSlab
	}
	return b, nil
}

// ErrSlab says that a slab falls into pieces or finds no air.
var ErrSlab = errors.New("the board inside is not in one piece")

// slabSection is where the air is cut by the middle of a slab, counter-clockwise about its normal; an end k is called -1-k.
func slabSection(air *solid.Solid, middle solid.Plane, ends []solid.Plane) (found solid.Section, err error) {
	sections, err := air.Slice(middle)
	if err != nil {
		return found, err
	}
	for _, c := range sections {
		for k, e := range ends {
			c = c.Clip(e, -1-k)
		}
		if len(c.At) < 3 {
			continue
		}
		if found.At != nil {
			return found, ErrSlab
		}
		found = c
	}
	if found.At == nil {
		return found, ErrSlab
	}
	return found, nil
}
