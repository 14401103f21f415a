package panels

import (
	"math"

	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// face is one board of the box as a place to put things on: x and y in the frame of its panel, depths from its outer face.
type face struct {
	i           int // of the solid
	name        string
	side        side
	t           float64
	solid.Frame       // of its panel: N points out of the box
	rims        []rim // outlines that things stay within, outward normals in the face's own plane
	free        plane.Rect
	mid         plane.Point // middle of the air behind it
}

// rim is an outline that things stay inside, or (a hole) outside.
type rim struct {
	at     plane.Polygon // counter-clockwise
	inset  float64
	convex bool
	hole   bool
}

// newFace is the face of board i. Its free outline is what is clear of joints on both its faces and, less inward metres, on the
// side of the air; where a doubler lies behind it, also within that.
func newFace(sh *shell, i int, inward float64, layer *piece) face {
	p := &sh.parts[i]
	f := face{i: i, name: p.name, side: p.side, t: p.t, Frame: p.frame}
	b := &sh.boards[i]
	f.rims = append(f.rims, newRim(f.Flat(b.Outer), 0))
	if !f.sameOutline(b.Outer, b.Inner) {
		f.rims = append(f.rims, newRim(f.Flat(b.Inner), 0))
	}
	var inside rim
	for l, loop := range sh.air.Faces[i].Loops {
		r := newRim(f.Flat(loop.At), inward)
		r.hole = l > 0
		if l == 0 {
			inside = r
		}
		f.rims = append(f.rims, r)
	}
	if layer != nil {
		f.rims = append(f.rims, newRim(f.Flat(layer.board.Outer), 0), newRim(f.Flat(layer.board.Inner), 0))
	}
	f.free = f.rims[0].at.Bounds()
	for _, r := range f.rims[1:] {
		if !r.hole {
			f.within(r)
		}
	}
	in := inside.at.Bounds()
	f.mid = in.Min.Add(in.Max).Mul(0.5)
	return f
}

// within draws the bounds of the free part in.
func (f *face) within(r rim) {
	in := r.at.Bounds()
	f.free.Min.X, f.free.Min.Y = math.Max(f.free.Min.X, in.Min.X+r.inset), math.Max(f.free.Min.Y, in.Min.Y+r.inset)
	f.free.Max.X, f.free.Max.Y = math.Min(f.free.Max.X, in.Max.X-r.inset), math.Min(f.free.Max.Y, in.Max.Y-r.inset)
}

// sameOutline reports whether the two faces of a board are alike, as where all its edges are square.
func (f *face) sameOutline(outer, inner []r3.Vec) bool {
	for k := range outer {
		d := r3.Sub(outer[k], inner[k])
		if math.Abs(r3.Dot(d, f.X)) > rounding || math.Abs(r3.Dot(d, f.Y)) > rounding {
			return false
		}
	}
	return len(outer) == len(inner)
}

func newRim(g plane.Polygon, inset float64) rim {
	g = g.CCW()
	return rim{at: g, inset: inset, convex: g.IsConvex()}
}

// at gives the place in the space that lies depth behind a place of the face.
func (f *face) at(p plane.Point, depth float64) r3.Vec { return f.At(p, -depth) }

// in is the unit vector into the box.
func (f *face) in() r3.Vec { return r3.Scale(-1, f.N) }

// room is the distance from p to the nearest joint, negative outside the free part of the face.
func (f *face) room(p plane.Point) float64 { return f.rectRoom(p, 0, 0) }

// rectRoom is the least distance of a rectangle, of half sides hx and hy about p, to a joint; negative where it reaches one.
func (f *face) rectRoom(p plane.Point, hx, hy float64) float64 {
	room := math.Inf(1)
	for i := range f.rims {
		room = math.Min(room, f.rims[i].room(p, hx, hy))
	}
	return room
}

// room is the distance of a rectangle of half sides hx, hy (0: a point) to the rim.
func (r *rim) room(p plane.Point, hx, hy float64) float64 {
	room := math.Inf(1)
	n := len(r.at)
	if r.convex && !r.hole {
		for k, a := range r.at {
			b := r.at[(k+1)%n]
			ux, uy := b.X-a.X, b.Y-a.Y
			l := math.Sqrt(ux*ux + uy*uy)
			d := (ux*(p.Y-a.Y)-uy*(p.X-a.X))/l - (math.Abs(uy)*hx+math.Abs(ux)*hy)/l
			room = math.Min(room, d)
		}
		return room - r.inset
	}
	rect := plane.Rect{Min: plane.Point{X: p.X - hx, Y: p.Y - hy}, Max: plane.Point{X: p.X + hx, Y: p.Y + hy}}
	for _, c := range rect.Polygon() {
		room = math.Min(room, r.at.Distance(c))
	}
	for k, a := range r.at {
		dx, dy := math.Max(rect.Min.X-a.X, a.X-rect.Max.X), math.Max(rect.Min.Y-a.Y, a.Y-rect.Max.Y)
		room = math.Min(room, math.Hypot(math.Max(dx, 0), math.Max(dy, 0)))
		if through(rect, a, r.at[(k+1)%n]) {
			room = 0
		}
	}
	if r.at.Contains(p) == r.hole {
		room = -room
	}
	return room - r.inset
}

// through reports whether the segment ab goes through a rectangle.
func through(r plane.Rect, a, b plane.Point) bool {
	t0, t1 := 0.0, 1.0
	clip := func(p, d, lo, hi float64) {
		switch {
		case d == 0 && (p < lo || p > hi):
			t0, t1 = 1, 0
		case d != 0:
			s, e := (lo-p)/d, (hi-p)/d
			t0, t1 = math.Max(t0, math.Min(s, e)), math.Min(t1, math.Max(s, e))
		}
	}
	clip(a.X, b.X-a.X, r.Min.X, r.Max.X)
	clip(a.Y, b.Y-a.Y, r.Min.Y, r.Max.Y)
	return t0 < t1
}

// opening is something cut through a face, with what it covers there, as it counts for the wood round it.
type opening struct {
	kind   openingKind
	number int // of several of its kind, from 0; -1: the only one
	face   int
	at     plane.Point
	round  bool
	hx, hy float64 // half of its size; equal when round
	circle float64 // radius of its bolt circle; 0: not known
}

// openingKind says what an opening is for.
type openingKind int8

const (
	driverOpening openingKind = iota
	radiatorOpening
	portOpening
	slotOpening
	terminalOpening
	cableOpening
	fixingOpening
)

// openingKinds are the openings in words, and the holes of those that want room before them.
var openingKinds = [...]struct {
	word   string
	outlet HoleKind
}{{"the driver", HoleDriver}, {"the passive radiator", ""}, {"the port", HolePort}, {"the slot", HoleSlot}, {"the terminal plate", HoleTerminal},
	{"the cable hole", HoleCable}, {"fixing point", ""}}

// name is the opening in words.
func (o opening) name() Message {
	return say("%s", numbered(openingKinds[o.kind].word, o.number, o.number+2))
}

// toJoint is the wood between the opening and the nearest joint of its face; negative by how far it reaches into it.
func (o opening) toJoint(f *face) float64 {
	if o.round {
		return f.room(o.at) - o.hx
	}
	return f.rectRoom(o.at, o.hx, o.hy)
}

// apart is the wood between two openings of one face; negative when they run into each other.
func (o opening) apart(x opening) float64 {
	d := x.at.Sub(o.at)
	dx, dy := math.Abs(d.X), math.Abs(d.Y)
	if o.round && x.round {
		return math.Hypot(dx, dy) - o.hx - x.hx
	}
	r := 0.0
	for _, q := range [...]opening{o, x} {
		if q.round {
			r += q.hx
		} else {
			dx, dy = dx-q.hx, dy-q.hy
		}
	}
	if dx < 0 && dy < 0 {
		return math.Max(dx, dy) - r
	}
	return math.Hypot(math.Max(dx, 0), math.Max(dy, 0)) - r
}
