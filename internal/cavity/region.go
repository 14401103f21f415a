package cavity

import (
	"math"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// squareEnough is the angle, in rad, by which a corner may be off square and count as square: 0.2 degrees, what a saw's
// stop is set to (common practice).
const squareEnough = 0.2 * math.Pi / 180

// Region is an outer box at its largest: a prism with pockets round blocks. Section is counter-clockwise in the
// coordinates of the axis; lengths in metres, volumes in cubic metres.
type Region struct {
	Axis      Axis
	Lo, Hi    float64    // at the lowest corner of the section
	Leans     [2]float64 // by how much the low and the high end move in over a height, relative; 0: square to the axis
	Section   plane.Polygon
	Pockets   []Box
	Rectangle bool
	Tally
	Volume float64 // outside
	Air    float64 // between boards, before driver and port

	around mask // blocks that were left out of the search
}

// Tally counts what a region asks of a shop.
type Tally struct {
	Bevels    int // edges that are not square, cut with the blade tilted
	Compound  int // edges cut with the blade tilted and the gauge turned
	Boards    int // with those of the pockets
	InPockets int // boards of the pockets
}

// measure fills in what follows from the shape.
func (r *Region) measure(s shop) {
	r.Rectangle = len(r.Pockets) == 0 && isRectangle(r.Section)
	r.Bevels, r.Compound = 0, 0
	for i := range r.Section {
		if a := math.Mod(r.Section.InteriorAngle(i)+squareEnough/2, math.Pi/2); a > squareEnough {
			r.Bevels++
		}
	}
	r.Boards, r.InPockets = len(r.Section)+2, 0
	r.Volume = r.Section.Area() * (r.Hi - r.Lo)
	r.Air = s.inner(r.Section) * s.between(r.Lo, r.Hi)
	if r.Leans != [2]float64{} {
		r.leaned(s.board)
	}
	if len(r.Pockets) == 0 {
		return
	}
	inner := innerSection(r.Section, s.board)
	var taken []Box
	for _, p := range r.Pockets {
		r.InPockets += r.pocketBoards(p)
		r.Volume -= r.overlap(r.Section, p, r.Lo, r.Hi)
		w := r.walled(p, s.board)
		r.Air -= r.overlap(inner, w, r.Lo+s.board, r.Hi-s.board)
		for _, q := range taken { // where the boards of two pockets meet
			if both, ok := common(w, q); ok {
				r.Air += r.overlap(inner, both, r.Lo+s.board, r.Hi-s.board)
			}
		}
		taken = append(taken, w)
	}
	r.Boards += r.InPockets
}

// common is what two boxes share; false where they do not meet.
func common(a, b Box) (Box, bool) {
	c := Box{Min: r3.Vec{X: max(a.Min.X, b.Min.X), Y: max(a.Min.Y, b.Min.Y), Z: max(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: min(a.Max.X, b.Max.X), Y: min(a.Max.Y, b.Max.Y), Z: min(a.Max.Z, b.Max.Z)}}
	return c, c.Min.X < c.Max.X && c.Min.Y < c.Max.Y && c.Min.Z < c.Max.Z
}

// sidesOf are the six sides of a box, low and high along X, Y, Z.
func sidesOf(b *Box) [6]*float64 {
	return [6]*float64{&b.Min.X, &b.Max.X, &b.Min.Y, &b.Max.Y, &b.Min.Z, &b.Max.Z}
}

// outwardOf is -1 for a low side and 1 for a high one.
func outwardOf(side int) float64 { return float64(2*(side%2) - 1) }

// Shares is how much of the smaller of two regions' bounds lies in the other's, 0 to 1.
func (r *Region) Shares(o *Region) float64 {
	volume := func(b Box) float64 {
		d := r3.Sub(b.Max, b.Min)
		return d.X * d.Y * d.Z
	}
	both, ok := common(r.Bounds(), o.Bounds())
	if !ok {
		return 0
	}
	return volume(both) / math.Min(volume(r.Bounds()), volume(o.Bounds()))
}

func isRectangle(g plane.Polygon) bool {
	if len(g) != 4 {
		return false
	}
	o := g.Bounds()
	return o.Area()-g.Area() <= 1e-9
}

// innerSection is a section inside boards of one thickness, every wall kept.
func innerSection(g plane.Polygon, t float64) plane.Polygon {
	h := make(plane.Polygon, 0, len(g))
	for i := range g {
		p, q := g.Edge(i - 1)
		_, s := g.Edge(i)
		if c, ok := plane.LineThrough(p, q).Offset(t).Meet(plane.LineThrough(q, s).Offset(t)); ok {
			h = append(h, c)
		}
	}
	return h
}

// overlap is the volume of a prism over [lo, hi] that a box takes.
func (r *Region) overlap(g plane.Polygon, b Box, lo, hi float64) float64 {
	l := math.Min(hi, r.Axis.Of(b.Max)) - math.Max(lo, r.Axis.Of(b.Min))
	if l <= 0 {
		return 0
	}
	return math.Max(0, r.clipped(g, b).Area()) * l
}

// clipped is the part of a section that lies in a box.
func (r *Region) clipped(g plane.Polygon, b Box) plane.Polygon {
	p, q := r.Axis.Section(b.Min), r.Axis.Section(b.Max)
	return clipConvex(clipConvex(clipConvex(clipConvex(g, plane.Point{X: 1}, p.X), plane.Point{X: -1}, -q.X), plane.Point{Y: 1}, p.Y), plane.Point{Y: -1}, -q.Y)
}

// Bounds is the box round a region.
func (r *Region) Bounds() Box {
	o := r.Section.Bounds()
	return Box{Min: r.Axis.At(o.Min, r.Lo), Max: r.Axis.At(o.Max, r.Hi)}
}

// opens tells to which of the six sides of the region a pocket is open: low and high along X, Y, Z.
func (r *Region) opens(p Box) (open [6]bool) {
	const e = 1e-7
	o := r.Bounds()
	for k, end := range sidesOf(&o) {
		open[k] = (*end-*sidesOf(&p)[k])*outwardOf(k) <= e
	}
	return open
}

// walled is the room that a pocket takes inside: its box with a board on every side that is not open.
func (r *Region) walled(p Box, t float64) Box {
	return r.moved(p, func(open bool) float64 { return either(open, 0, t) })
}

// moved is a pocket's box with its sides moved outward, by whether it is open there.
func (r *Region) moved(p Box, by func(open bool) float64) Box {
	open := r.opens(p)
	for k, v := range sidesOf(&p) {
		*v += by(open[k]) * outwardOf(k)
	}
	return p
}

// pocketBoards counts the boards that a pocket adds: its closed sides, and one for each face that it cuts in two.
func (r *Region) pocketBoards(p Box) int {
	o := r.opens(p)
	n := 0
	for _, open := range o {
		if !open {
			n++
		}
	}
	for pair := range 3 {
		if !o[2*pair] || !o[2*pair+1] {
			continue
		}
		for e := range 6 {
			if third := 3 - pair - e/2; e/2 != pair && o[e] && !o[2*third] && !o[2*third+1] {
				n++
			}
		}
	}
	return n
}

// pocket is the box round a block that a region leaves free, run out to a face of the region where less than the least wall
// would be left, and past a bend of its section that the pocket's board would stand in; ok is false when the box does not
// reach into the region or would cut it through.
func (r *Region) pocket(b *Block, by shop) (p Box, touches, ok bool) {
	var lo, hi r3.Vec
	g := b.shadow(r.Axis, r.Lo, r.Hi)
	if g == nil {
		return p, false, true
	}
	s := g.Bounds()
	// along the axis the part of the block that the section sees
	blo, bhi := b.bounds()
	lo, hi = r.Axis.At(s.Min, math.Max(r.Lo, r.Axis.Of(blo))), r.Axis.At(s.Max, math.Min(r.Hi, r.Axis.Of(bhi)))
	o := r.Bounds()
	p = Box{Min: lo, Max: hi, Name: b.Name}
	if _, in := common(p, o); !in || r.overlap(r.Section, p, r.Lo, r.Hi) <= 1e-9 {
		return p, false, true
	}
	r.runOut(&p, by.least)
	if r.pastBends(&p, by.board) {
		r.runOut(&p, by.least)
	}
	open := r.opens(p)
	closed := 0
	for _, is := range open {
		if !is {
			closed++
		}
	}
	cut := false
	for k := range 3 {
		if !open[2*k] && !open[2*k+1] && closed == 2 {
			cut = true
		}
	}
	return p, true, closed >= 2 && !cut
}

// pastBends moves the sides of a pocket whose boards would stand in a bend of the section outward past it: outside and
// inside such a side would meet different walls.
func (r *Region) pastBends(p *Box, board float64) bool {
	const past = 0.003
	lo, hi := r.Axis.Section(p.Min), r.Axis.Section(p.Max)
	moved := false
	push := func(at *float64, way, bend float64) {
		if d := (bend - *at) * way; d > -past && d < board+past {
			*at, moved = bend+way*past, true
		}
	}
	o := r.Section.Bounds()
	near := func(v, a, b, least, most float64) bool { // at a side that the pocket is open to, or within it
		return v > a-1e-7 && v < b+1e-7 && v > least-1e-7 && v < most+1e-7
	}
	for _, q := range r.Section {
		if q.X > o.Min.X+past && q.X < o.Max.X-past && near(q.Y, lo.Y, hi.Y, o.Min.Y, o.Max.Y) {
			push(&lo.X, -1, q.X)
			push(&hi.X, 1, q.X)
		}
		if q.Y > o.Min.Y+past && q.Y < o.Max.Y-past && near(q.X, lo.X, hi.X, o.Min.X, o.Max.X) {
			push(&lo.Y, -1, q.Y)
			push(&hi.Y, 1, q.Y)
		}
	}
	p.Min, p.Max = r.Axis.At(lo, r.Axis.Of(p.Min)), r.Axis.At(hi, r.Axis.Of(p.Max))
	return moved
}

// runOut runs a pocket out to the faces of the region where less than least of room is left before them.
func (r *Region) runOut(p *Box, least float64) {
	all := r.Bounds()
	ends := sidesOf(&all)
	for k, v := range sidesOf(p) {
		if (*ends[k]-*v)*outwardOf(k) < least {
			*v = *ends[k]
		}
	}
	o := r.Section.Bounds()
	lo, hi := r.Axis.Section(p.Min), r.Axis.Section(p.Max)
	side := func(n plane.Point, at plane.Point, from, to float64, across plane.Point) bool {
		// the least way from the pocket's side outward to the outline, at its ends and at corners between
		ts := []float64{from + 1e-6, to - 1e-6}
		for _, c := range r.Section {
			if t := across.Dot(c); t > from && t < to {
				ts = append(ts, t)
			}
		}
		for _, t := range ts {
			q := at.Add(across.Mul(t - across.Dot(at)))
			if d := rayOut(r.Section, q, n); d < least {
				return true
			}
		}
		return false
	}
	x, y := plane.Point{X: 1}, plane.Point{Y: 1}
	u0, u1 := math.Max(lo.X, o.Min.X), math.Min(hi.X, o.Max.X)
	v0, v1 := math.Max(lo.Y, o.Min.Y), math.Min(hi.Y, o.Max.Y)
	if hi.Y < o.Max.Y && side(y, plane.Point{X: u0, Y: hi.Y}, u0, u1, x) {
		hi.Y = o.Max.Y
	}
	if lo.Y > o.Min.Y && side(y.Mul(-1), plane.Point{X: u0, Y: lo.Y}, u0, u1, x) {
		lo.Y = o.Min.Y
	}
	if hi.X < o.Max.X && side(x, plane.Point{X: hi.X, Y: v0}, v0, v1, y) {
		hi.X = o.Max.X
	}
	if lo.X > o.Min.X && side(x.Mul(-1), plane.Point{X: lo.X, Y: v0}, v0, v1, y) {
		lo.X = o.Min.X
	}
	a, b := r.Axis.Of(p.Min), r.Axis.Of(p.Max)
	p.Min, p.Max = r.Axis.At(lo, a), r.Axis.At(hi, b)
}

// rayOut is how far it is from q along the unit vector n to the outline; infinite when there is none, or when the wall that
// is met there runs along the way rather than across it.
func rayOut(g plane.Polygon, q, n plane.Point) float64 {
	d, along := math.Inf(1), 0.0
	for i := range g {
		a, b := g.Edge(i)
		u, v := n.Cross(a.Sub(q)), n.Cross(b.Sub(q))
		if (u > 0) == (v > 0) || u == v {
			continue
		}
		if t := n.Dot(a.Sub(q)) + n.Dot(b.Sub(a))*u/(u-v); t >= 0 && t < d {
			d, along = t, math.Abs(n.Dot(b.Sub(a).Unit()))
		}
	}
	if along > math.Sqrt2/2 {
		return math.Inf(1)
	}
	return d
}
