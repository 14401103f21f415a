package cavity

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// A halfSpace holds the points with n.p <= d over a stretch across.
type halfSpace struct {
	n    r3.Vec
	d    float64
	from float64 // the stretch across over which it counts
	to   float64
	side Side
}

// walls is what bounds the free room: all that the tape gives, or the same after the gap.
type walls struct {
	floor, roof *sheet // roof: upside down
	front, back []float64
	left, right float64
	leans       []halfSpace
	blocks      []Block
}

// Room is a space made ready for questions. It is safe for use by several goroutines.
type Room struct {
	space   *Space
	xs      []float64
	raw     walls
	free    walls   // after the gap
	wide    walls   // raw, open sides moved out
	low     float64 // lowest floor
	nearest float64 // least depth of the front
	Doubts  []Doubt
	Guess   []Place // readings that were not made
	marks   []Place // readings that were made, on roof and floor
}

// Place is a point of one of the two measured surfaces; metres.
type Place struct {
	X, Y, Z float64
	Surface Side // Roof or Floor
}

// Doubt is a reading that does not go with its neighbours.
type Doubt struct {
	Station, Reading int // from 1
	Surface          Side
	Height, Expected float64
}

// doubtful is how far a height may lie off the straight lines through its neighbours before it is doubted.
const doubtful = 0.015

// Settle checks a space and makes it ready; the error joins the *FaultErrors of Check.
func (s *Space) Settle() (*Room, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	t := s.withSticks()
	r := &Room{space: s}
	var roof, floor [][]Height
	var front, back []float64
	for i := range t {
		r.xs = append(r.xs, t[i].FromLeft)
		front, back = append(front, t[i].Front), append(back, t[i].Back)
		up := known(t[i].Roof)
		down := make([]Height, len(up))
		for k, p := range up {
			down[k] = Height{Depth: p.Depth, Height: -p.Height}
		}
		roof, floor = append(roof, down), append(floor, known(t[i].floor()))
	}
	r.note(t)
	r.raw = walls{newSheet(r.xs, floor, front, back, 0), newSheet(r.xs, roof, front, back, 0), front, back,
		r.xs[0], r.xs[len(r.xs)-1], nil, nil}
	r.free = walls{newSheet(r.xs, floor, front, back, s.Gap), newSheet(r.xs, roof, front, back, s.Gap),
		movedIn(r.xs, front, s.Gap), movedIn(r.xs, back, -s.Gap), r.xs[0] + s.Gap, r.xs[len(r.xs)-1] - s.Gap, nil, nil}
	r.low, r.nearest = r.raw.lowest(r.raw.floor), slices.Min(front)
	for _, l := range s.Leans {
		for _, h := range r.leaning(l) {
			r.raw.leans = append(r.raw.leans, h)
			h.d -= s.Gap
			r.free.leans = append(r.free.leans, h)
		}
	}
	for i, b := range s.Blocks {
		b = r.hung(b)
		if b.Axis == Up && b.Lo >= r.highest() || b.Axis != Up && b.Outline.Bounds().Min.Y >= r.highest() {
			return nil, fault("lies over the roof: it is nowhere in the space", "blocks[%d]", i+1)
		}
		r.raw.blocks = append(r.raw.blocks, b)
		r.free.blocks = append(r.free.blocks, b.grown(s.Gap))
	}
	r.wide = r.opened(r.raw)
	return r, nil
}

// movedIn moves the line of the front or the back in plan by gap square to it.
func movedIn(xs, ys []float64, gap float64) []float64 {
	out := make([]float64, len(ys))
	for i := range ys {
		q := 0.0
		for _, j := range [2]int{i - 1, i + 1} {
			if j >= 0 && j < len(ys) {
				q = max(q, math.Abs((ys[j]-ys[i])/(xs[j]-xs[i])))
			}
		}
		out[i] = ys[i] + gap*math.Hypot(1, q)
	}
	return out
}

// withSticks gives the stations with the answers to stick tests put in.
func (s *Space) withSticks() []Station {
	list := make([]Station, len(s.Stations))
	for i, t := range s.Stations {
		t.Roof, t.Floor = known(t.Roof), known(t.floor())
		list[i] = t
	}
	for _, k := range s.Sticks {
		x := max(list[0].FromLeft, min(list[len(list)-1].FromLeft, k.FromLeft))
		at := sort.Search(len(list), func(i int) bool { return list[i].FromLeft >= x-0.0005 })
		if list[at].FromLeft > x+0.0005 {
			list = append(list[:at], append([]Station{between2(list[at-1], list[at], x)}, list[at:]...)...)
		}
		t := &list[at]
		if k.Surface == Floor {
			t.Floor = withReading(t.Floor, k.Depth, k.Height, t.Front, t.Back)
		} else {
			t.Roof = withReading(t.Roof, k.Depth, k.Height, t.Front, t.Back)
		}
	}
	return list
}

// between2 is a station at x, straight between two.
func between2(a, b Station, x float64) Station {
	t := (x - a.FromLeft) / (b.FromLeft - a.FromLeft)
	mix := func(f, g []Height) []Height {
		var ys []float64
		for _, p := range append(append([]Height{}, f...), g...) {
			ys = append(ys, p.Depth)
		}
		sort.Float64s(ys)
		var out []Height
		for i, y := range ys {
			if i == 0 || y > ys[i-1]+tiny {
				out = append(out, Height{Depth: y, Height: (1-t)*level(f, y) + t*level(g, y)})
			}
		}
		return out
	}
	return Station{FromLeft: x, Roof: mix(a.Roof, b.Roof), Floor: mix(a.Floor, b.Floor),
		Front: a.Front + t*(b.Front-a.Front), Back: a.Back + t*(b.Back-a.Back)}
}

// withReading puts a reading into a line, in place of one at the same depth.
func withReading(line []Height, depth, height, front, back float64) []Height {
	const same = 0.0005
	depth = max(front, min(back, depth))
	at, _ := slices.BinarySearchFunc(line, depth, func(p Height, d float64) int { return cmp.Compare(p.Depth+same, d) })
	end := at
	if at < len(line) && math.Abs(depth-line[at].Depth) <= same {
		end++
	}
	return slices.Replace(slices.Clone(line), at, end, Height{Depth: depth, Height: height})
}

// leaning gives the half-spaces of a leaning wall, one for each cell of a wall that slants in plan.
func (r *Room) leaning(l Lean) []halfSpace {
	sin, cos := math.Sincos(l.Angle)
	all := func(n r3.Vec, d float64) []halfSpace {
		return []halfSpace{{n, d, math.Inf(-1), math.Inf(1), l.Side}}
	}
	n := len(r.xs)
	switch l.Side {
	case Left:
		return all(r3.Vec{X: -cos, Z: sin}, -cos*r.xs[0])
	case Right:
		return all(r3.Vec{X: cos, Z: sin}, cos*r.xs[n-1])
	}
	line, out := r.raw.front, -1.0
	if l.Side == Back {
		line, out = r.raw.back, 1
	}
	var list []halfSpace
	for c := 0; c+1 < n; c++ {
		m := (line[c+1] - line[c]) / (r.xs[c+1] - r.xs[c])
		w := math.Hypot(1, m)
		h := r3.Vec{X: -m / w * out * cos, Y: out / w * cos, Z: sin}
		hs := halfSpace{h, h.X*r.xs[c] + h.Y*line[c], r.xs[c], r.xs[c+1], l.Side}
		if k := len(list); k > 0 && r3.Norm(r3.Sub(list[k-1].n, h)) < 1e-12 && math.Abs(list[k-1].d-hs.d) < 1e-12 {
			list[k-1].to = hs.to
			continue
		}
		list = append(list, hs)
	}
	return list
}

// hung puts a block that hangs at the height of the lowest roof over it.
func (r *Room) hung(b Block) Block {
	if b.Hangs <= 0 {
		return b
	}
	o := b.Outline.Bounds()
	lo, hi := b.Axis.At(o.Min, b.Lo), b.Axis.At(o.Max, b.Hi)
	bottom := r.roofLow(lo.X, hi.X, lo.Y, hi.Y) - b.Hangs
	lo.Z, hi.Z = bottom, r.highest()+1
	h := BoxBlock(b.Name, lo, hi)
	return h
}

// roofLow is the lowest height of the raw roof over a rectangle of the plan.
func (r *Room) roofLow(x0, x1, y0, y1 float64) float64 { return -r.raw.roof.over(x0, x1).most(y0, y1) }

// highest is the greatest height of the roof.
func (r *Room) highest() float64 { return -r.raw.lowest(r.raw.roof) }

// lowest is the least height of the floor, or of the roof upside down.
func (w *walls) lowest(s *sheet) float64 {
	v := math.Inf(1)
	for i, f := range s.lines {
		for _, p := range f.part(w.front[i], w.back[i]) {
			v = min(v, p.va, p.vb)
		}
	}
	return v
}

// grown is the block with the gap round it, corners sharp.
func (b Block) grown(gap float64) Block {
	b.Lo, b.Hi = b.Lo-gap, b.Hi+gap
	n := len(b.Outline)
	g := make(plane.Polygon, 0, n)
	for i := range b.Outline {
		p, q := b.Outline.Edge(i - 1)
		_, s := b.Outline.Edge(i)
		if c, ok := plane.LineThrough(p, q).Offset(-gap).Meet(plane.LineThrough(q, s).Offset(-gap)); ok {
			g = append(g, c)
		}
	}
	b.Outline = g
	return b
}

// shadow is what a block takes of the section of a prism along an axis over [lo, hi]; nil when it does not reach there.
func (b Block) shadow(axis Axis, lo, hi float64) plane.Polygon {
	if axis == b.Axis {
		if b.Hi <= lo+tiny || b.Lo >= hi-tiny {
			return nil
		}
		return b.Outline
	}
	// the part of the outline whose coordinate along axis lies in [lo, hi]
	first := axis == Across || axis == Depth && b.Axis == Across
	part := b.Outline
	n := plane.Point{Y: 1}
	if first {
		n = plane.Point{X: 1}
	}
	part = clipConvex(clipConvex(part, n, lo), n.Mul(-1), -hi)
	if len(part) < 3 || part.Area() <= 1e-14 {
		return nil
	}
	o := part.Bounds()
	p, q := b.Axis.At(o.Min, b.Lo), b.Axis.At(o.Max, b.Hi)
	return plane.Rect{Min: axis.Section(p), Max: axis.Section(q)}.Polygon()
}

// bounds is the box round a block.
func (b Block) bounds() (lo, hi r3.Vec) {
	o := b.Outline.Bounds()
	return b.Axis.At(o.Min, b.Lo), b.Axis.At(o.Max, b.Hi)
}

// clipConvex is the part of a convex polygon with n.p >= c.
func clipConvex(g plane.Polygon, n plane.Point, c float64) plane.Polygon {
	var out plane.Polygon
	for i := range g {
		a, b := g.Edge(i)
		da, db := n.Dot(a)-c, n.Dot(b)-c
		if da >= 0 {
			out = append(out, a)
		}
		if (da > 0) != (db > 0) && da != db {
			out = append(out, a.Add(b.Sub(a).Mul(da/(da-db))))
		}
	}
	return out
}

// note lists the readings that were made, those that were not and those that are doubted.
func (r *Room) note(settled []Station) {
	s := r.space
	for i := range s.Stations {
		t := &s.Stations[i]
		for _, l := range []struct {
			line    []Height
			surface Side
		}{{t.Roof, Roof}, {t.Floor, Floor}} {
			k := known(l.line)
			for j, p := range l.line {
				if p.Unknown {
					r.Guess = append(r.Guess, Place{t.FromLeft, p.Depth, level(k, p.Depth), l.surface})
					continue
				}
				r.marks = append(r.marks, Place{t.FromLeft, p.Depth, p.Height, l.surface})
				if d, ok := s.doubt(i, j, l.line, l.surface); ok {
					r.Doubts = append(r.Doubts, d)
				}
			}
			if len(l.line) == 0 {
				r.marks = append(r.marks, Place{t.FromLeft, t.Front, 0, Floor}, Place{t.FromLeft, t.Back, 0, Floor})
			}
		}
	}
	for _, k := range s.Sticks {
		r.marks = append(r.marks, Place{k.FromLeft, k.Depth, k.Height, k.Surface})
	}
}

// doubt tells whether a reading lies off the line through its neighbours along the station and off the line through the
// neighbouring stations: at the same depth, and that through the readings of its number where they have as many. Where one of
// them does not reach that depth nothing is doubted.
func (s *Space) doubt(i, j int, line []Height, surface Side) (Doubt, bool) {
	p := line[j]
	if p.Sure || i == 0 || i == len(s.Stations)-1 || j == 0 || j == len(line)-1 || atStep(line, j) {
		return Doubt{}, false
	}
	rest := known(slices.Concat(line[:j], line[j+1:]))
	if len(rest) == 0 || math.Abs(level(rest, p.Depth)-p.Height) <= doubtful {
		return Doubt{}, false
	}
	var beside, numbered [2]float64
	for k, t := range [2]*Station{&s.Stations[i-1], &s.Stations[i+1]} {
		other := t.Roof
		if surface == Floor {
			other = t.floor()
		}
		if p.Depth < t.Front-tiny || p.Depth > t.Back+tiny {
			return Doubt{}, false
		}
		beside[k] = level(known(other), p.Depth)
		if numbered[k] = beside[k]; len(other) == len(line) && !other[j].Unknown {
			numbered[k] = other[j].Height
		}
	}
	a, b := s.Stations[i-1].FromLeft, s.Stations[i+1].FromLeft
	f := (s.Stations[i].FromLeft - a) / (b - a)
	across := (1-f)*beside[0] + f*beside[1]
	if math.Abs(across-p.Height) <= doubtful || math.Abs((1-f)*numbered[0]+f*numbered[1]-p.Height) <= doubtful {
		return Doubt{}, false
	}
	return Doubt{i + 1, j + 1, surface, p.Height, across}, true
}

// atStep tells whether a line of readings rises or falls as a step does before or behind a reading.
func atStep(line []Height, j int) bool {
	for k := j; k <= j+1; k++ {
		p, q := line[k-1], line[k]
		if !p.Unknown && !q.Unknown && math.Abs(q.Height-p.Height) > steep*(q.Depth-p.Depth) {
			return true
		}
	}
	return false
}

// Clear reports whether a point, with the gap kept, lies in the free room.
func (r *Room) Clear(p r3.Vec) bool { return r.free.holds(p, r.xs, 1e-9) }

// holds tells whether p lies within the walls, by slack.
func (w *walls) holds(p r3.Vec, xs []float64, slack float64) bool {
	_, out := w.beyond(p, xs, slack)
	return !out && w.block(p, slack) < 0
}

// block is the one that p lies in by more than slack; -1: none.
func (w *walls) block(p r3.Vec, slack float64) int {
	return slices.IndexFunc(w.blocks, func(b Block) bool { return b.inside(p, slack) })
}

// beyond is the side past which p lies by more than slack, if it does.
func (w *walls) beyond(p r3.Vec, xs []float64, slack float64) (Side, bool) {
	c, t := cellOf(xs, p.X)
	switch {
	case p.X < w.left-slack:
		return Left, true
	case p.X > w.right+slack:
		return Right, true
	case p.Y < (1-t)*w.front[c]+t*w.front[c+1]-slack:
		return Front, true
	case p.Y > (1-t)*w.back[c]+t*w.back[c+1]+slack:
		return Back, true
	case p.Z < w.floor.at(p.X, p.Y)-slack:
		return Floor, true
	case p.Z > -w.roof.at(p.X, p.Y)+slack:
		return Roof, true
	}
	for _, h := range w.leans {
		if p.X >= h.from && p.X <= h.to && r3.Dot(h.n, p) > h.d+slack {
			return h.side, true
		}
	}
	return 0, false
}

// inside tells whether p lies in the block by more than slack.
func (b *Block) inside(p r3.Vec, slack float64) bool {
	if a := b.Axis.Of(p); a <= b.Lo+slack || a >= b.Hi-slack {
		return false
	}
	q := b.Axis.Section(p)
	for i := range b.Outline {
		if plane.LineThrough(b.Outline.Edge(i)).Distance(q) <= slack {
			return false
		}
	}
	return true
}

func (p Place) String() string {
	return fmt.Sprintf("%s at %.0f mm across, %.0f mm deep", p.Surface, p.X*1000, p.Y*1000)
}
