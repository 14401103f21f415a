package panels

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// view is a plane of the space with its axes: x to the right, y up on the sheet, looked at against x cross y.
type view struct {
	at, x, y r3.Vec
	words    string
}

// viewAcross is the plane through p square to n, as it is best looked at: height up where it is upright, depth up where it is level.
func viewAcross(p, n r3.Vec) view {
	ax, ay, az := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	switch {
	case ax >= ay && ax >= az:
		return view{p, r3.Vec{Y: 1}, r3.Vec{Z: 1}, "seen from the right end"}
	case ay >= az:
		return view{p, r3.Vec{X: 1}, r3.Vec{Z: 1}, "seen from the front"}
	}
	return view{p, r3.Vec{X: 1}, r3.Vec{Y: 1}, "seen from above"}
}

func (v view) flat(p r3.Vec) plane.Point { return plane.Point{X: r3.Dot(p, v.x), Y: r3.Dot(p, v.y)} }

// slice gives where the plane of a view cuts a board: the pieces between its two outlines. The view's plane may not lie in the board's.
func (v view) slice(b *Board) []plane.Polygon {
	n := r3.Cross(v.x, v.y)
	along := v.flat(r3.Cross(n, b.Out))
	var outer, inner []plane.Point
	cut := func(to *[]plane.Point, outline []r3.Vec) {
		for k, p := range outline {
			q := outline[(k+1)%len(outline)]
			dp, dq := r3.Dot(n, r3.Sub(p, v.at)), r3.Dot(n, r3.Sub(q, v.at))
			if (dp > 0) != (dq > 0) {
				*to = append(*to, v.flat(r3.Add(p, r3.Scale(dp/(dp-dq), r3.Sub(q, p)))))
			}
		}
		slices.SortFunc(*to, func(a, c plane.Point) int { return cmp.Compare(a.Dot(along), c.Dot(along)) })
	}
	for _, r := range append(b.Holes[:len(b.Holes):len(b.Holes)], b.Rim) {
		cut(&outer, r.Outer)
		cut(&inner, r.Inner)
	}
	if len(outer) != len(inner) {
		return nil // it leaves the board through a face: only with edges that slant past the cut
	}
	var out []plane.Polygon
	for k := 0; k+1 < len(outer); k += 2 {
		out = append(out, plane.Polygon{outer[k], outer[k+1], inner[k+1], inner[k]}.CCW())
	}
	return out
}

// slotView draws up the two cuts through a slot.
func (s *scene) slotView(k *slot) *SlotView {
	out := &SlotView{Along: s.slotAlong(k)}
	if k.low || k.high || k.fins > 0 {
		out.Across = s.slotAcross(k)
	}
	return out
}

// pieces cuts walls and slot boards by a view; the wall with the mouth stands over it.
func (s *scene) cutPieces(v view, k *slot, c *SlotCut) {
	c.View = v.words
	for i := range s.shell.boards {
		for _, g := range v.slice(&s.shell.boards[i]) {
			if i == k.legs[0].start {
				g = s.overMouth(v, k, g)
			}
			if len(g) >= 3 {
				c.Walls = append(c.Walls, CutPiece{s.faces[i].name, g})
			}
		}
	}
	for i := range k.roofs {
		for _, g := range v.slice(&k.roofs[i]) {
			c.Boards = append(c.Boards, CutPiece{k.roofName(i), g})
		}
	}
}

// overMouth takes the mouth out of the section of its wall, where the view goes through it.
func (s *scene) overMouth(v view, k *slot, g plane.Polygon) plane.Polygon {
	l := &k.legs[0]
	in, n := v.flat(l.v), v.flat(l.n)
	if n.Norm() < 0.5 || in.Norm() < 0.5 {
		return g
	}
	line := plane.Line{N: n, C: v.flat(l.at(0, 0, k.h)).Dot(n)}
	return largest(g.ClipHalfPlane(line))
}

// slotAlong cuts the box along the air, through its middle; where a fin stands there, through the channel beside it.
func (s *scene) slotAlong(k *slot) SlotCut {
	l := &k.legs[0]
	lo, hi := k.airSpan()
	mid := lo + k.clear/float64(k.fins+1)*(float64(k.fins/2)+0.5) + float64(k.fins/2)*k.t
	v := viewAcross(l.at(0, mid, 0), l.w)
	var c SlotCut
	s.cutPieces(v, k, &c)
	shift := r3.Scale(mid-(lo+hi)/2, l.w)
	var air []r3.Vec
	path := &s.fitted.ports[0].path
	for _, p := range path.Line {
		air = append(air, r3.Add(p, shift))
		c.Air = append(c.Air, v.flat(air[len(air)-1]))
	}
	for i := range k.legs {
		if k.boarded(i) {
			c.Sizes = append(c.Sizes, s.roofSize(v, &k.roofs[len(c.Sizes)], k.legs[i].v))
		}
	}
	for i := range k.legs {
		if !k.boarded(i) {
			continue
		}
		n := v.flat(k.legs[i].n).Mul(k.h / 2)
		m := c.Air[i].Add(c.Air[i+1]).Mul(0.5)
		c.Sizes = append(c.Sizes, CutSize{A: m.Sub(n), B: m.Add(n)})
	}
	_, dir := path.end()
	shiftN, best := plane.Point{}, math.Inf(1)
	for _, o := range [...]float64{0, -0.499, 0.499} {
		n := r3.Scale(o*k.h, k.legs[len(k.legs)-1].n)
		if d, _ := s.shell.ahead(r3.Add(air[len(air)-1], n), dir, 0); math.Abs(d-k.free) < best-rounding {
			best, shiftN = math.Abs(d-k.free), v.flat(n)
		}
	}
	end := c.Air[len(c.Air)-1].Add(shiftN)
	c.Sizes = append(c.Sizes, CutSize{A: end, B: end.Add(v.flat(dir).Mul(k.free))})
	return c
}

// roofSize is the overall length of a roof along the air, read beside its face away from the air.
func (s *scene) roofSize(v view, b *Board, along r3.Vec) CutSize {
	u := v.flat(along).Unit()
	lo, hi := math.Inf(1), math.Inf(-1)
	var face plane.Point
	for _, g := range v.slice(b) {
		for _, p := range g {
			lo, hi = math.Min(lo, p.Dot(u)), math.Max(hi, p.Dot(u))
			if face == (plane.Point{}) || p.Dot(v.flat(b.Out)) < face.Dot(v.flat(b.Out)) {
				face = p
			}
		}
	}
	if math.IsInf(lo, 1) {
		return CutSize{}
	}
	a := face.Add(u.Mul(lo - face.Dot(u)))
	e := face.Add(u.Mul(hi - face.Dot(u)))
	if u.Cross(v.flat(b.Out)) > 0 { // read on the left of the way from A to B
		a, e = e, a
	}
	return CutSize{A: a, B: e, Beside: true}
}

// numbered is a name with its number, where there are several.
func numbered(name string, i, n int) string {
	if n > 1 {
		return fmt.Sprintf("%s %d", name, i+1)
	}
	return name
}

// slotAcross cuts the box across the air, in the middle of the first leg.
func (s *scene) slotAcross(k *slot) SlotCut {
	l := &k.legs[0]
	at := math.Max(0, l.lean*k.h) + (s.fitted.ports[0].path.Legs[0]+k.outer)/2
	if len(k.legs) == 1 {
		at = (math.Max(0, l.lean*(k.h+k.t)) + k.end) / 2
	}
	v := viewAcross(l.at(at, 0, 0), l.v)
	var c SlotCut
	s.cutPieces(v, k, &c)
	point := func(w, n float64) plane.Point { return v.flat(l.at(at, w, n)) }
	var marks []float64
	for _, u := range k.uprights() {
		c.Boards = append(c.Boards, CutPiece{u.name, plane.Polygon{point(u.x, 0), point(u.x+k.t, 0), point(u.x+k.t, k.h), point(u.x, k.h)}.CCW()})
		marks = append(marks, u.x)
	}
	slices.Sort(marks)
	lo, _ := k.airSpan()
	mid := lo + k.clear/float64(k.fins+1)/2
	c.Sizes = append(c.Sizes, CutSize{A: point(mid, 0), B: point(mid, k.h)})
	if k.low || k.high {
		c.Sizes = append(c.Sizes, CutSize{A: point(k.x0, k.h+k.t), B: point(k.x1, k.h+k.t), Beside: true})
	}
	_, from := s.wallAt(k)
	for _, w := range marks {
		if w-from > rounding {
			c.Sizes = append(c.Sizes, CutSize{A: point(w, 0), B: point(from, 0), Beside: true})
		}
		from = w
	}
	return c
}
