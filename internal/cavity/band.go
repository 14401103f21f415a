package cavity

import (
	"math"
	"slices"
	"sort"

	"cubby/internal/plane"
)

// A band is what a prism may occupy in its section: what lies over lo and under hi, outside the islands.
type band struct {
	lo, hi  profile
	islands []island
}

// An island is a part of a section that is taken, with room on both sides of it.
type island struct{ bottom, top profile }

// beyond is higher than any space.
const beyond = 1e6

// A mask is a set of blocks by their index.
type mask uint32

func (m mask) has(i int) bool { return m&(1<<i) != 0 }

// band gives the allowed section of a prism along an axis over [a, b], the blocks in ignore left out. It is an
// intersection of the sections at the ends and at every measured line between, which is exact for ruled surfaces; along
// Up curved borders are replaced by chords on the free side.
func (w *walls) band(xs []float64, axis Axis, a, b, least float64, ignore mask) band {
	return w.past(w.section(xs, axis, a, b), axis, a, b, least, ignore)
}

// section is a band between the surfaces alone.
func (w *walls) section(xs []float64, axis Axis, a, b float64) band {
	switch axis {
	case Across:
		return w.bandAcross(xs, a, b)
	case Depth:
		return w.bandDepth(xs, a, b)
	}
	return w.bandUp(xs, a, b)
}

// past is a band between the surfaces less what leaning walls and blocks take of it.
func (w *walls) past(s band, axis Axis, a, b, least float64, ignore mask) band {
	for _, h := range w.leans {
		s.lean(h, axis, a, b)
	}
	for i := range w.blocks {
		if ignore.has(i) {
			continue
		}
		if g := w.blocks[i].shadow(axis, a, b); g != nil {
			s.islands = append(s.islands, island{bottomOf(g), topOf(g)})
		}
	}
	s.join(least)
	return s
}

func (w *walls) bandAcross(xs []float64, a, b float64) band {
	near, far := math.Inf(-1), math.Inf(1)
	for _, x := range append([]float64{a, b}, xs...) {
		if x < a || x > b {
			continue
		}
		c, t := cellOf(xs, x)
		near = max(near, (1-t)*w.front[c]+t*w.front[c+1])
		far = min(far, (1-t)*w.back[c]+t*w.back[c+1])
	}
	if far-near <= tiny || a < w.left-1e-7 || b > w.right+1e-7 {
		return band{}
	}
	return band{lo: w.floor.over(a, b).part(near, far), hi: w.roof.over(a, b).part(near, far).negated()}
}

func (w *walls) bandDepth(xs []float64, a, b float64) band {
	s := band{
		lo: w.floor.crossing(a, b).part(w.left, w.right),
		hi: w.roof.crossing(a, b).part(w.left, w.right).negated(),
	}
	for c := 0; c+1 < len(xs); c++ { // where the front lies behind a, or the back before b, nothing is free
		for _, l := range [2]piece{{xs[c], xs[c+1], w.front[c] - a, w.front[c+1] - a}, {xs[c], xs[c+1], b - w.back[c], b - w.back[c+1]}} {
			if p, ok := l.positive(); ok {
				s.raise(constant(p.lo, p.hi, beyond))
			}
		}
	}
	return s
}

// transposedUp is the plan, of which floor and roof take nothing, turned over, across over depth: its islands go to the left or the
// right instead of the front or the back.
func (w *walls) transposedUp(xs []float64, a, b, least float64, ignore mask) (band, bool) {
	near, far := slices.Min(w.front), slices.Max(w.back)
	if far-near <= tiny {
		return band{}, false
	}
	s := band{lo: constant(near, far, w.left), hi: constant(near, far, w.right)}
	blocks := false
	add := func(g plane.Polygon) {
		h := make(plane.Polygon, len(g))
		for i, p := range g {
			h[len(g)-1-i] = plane.Point{X: p.Y, Y: p.X}
		}
		s.islands = append(s.islands, island{bottomOf(h), topOf(h)})
	}
	for i := range w.blocks {
		if g := w.blocks[i].shadow(Up, a, b); g != nil && !ignore.has(i) {
			add(g)
			blocks = true
		}
	}
	if !blocks || len(w.leans) > 0 {
		return band{}, false
	}
	for c := 0; c+1 < len(xs); c++ {
		if w.front[c] > near+tiny || w.front[c+1] > near+tiny {
			add(plane.Polygon{{X: xs[c], Y: near - 1}, {X: xs[c+1], Y: near - 1}, {X: xs[c+1], Y: w.front[c+1]}, {X: xs[c], Y: w.front[c]}})
		}
		if w.back[c] < far-tiny || w.back[c+1] < far-tiny {
			add(plane.Polygon{{X: xs[c], Y: w.back[c]}, {X: xs[c+1], Y: w.back[c+1]}, {X: xs[c+1], Y: far + 1}, {X: xs[c], Y: far + 1}})
		}
	}
	s.join(least)
	return s, true
}

// positive is the stretch over which a line is above zero by more than a billionth.
func (p piece) positive() (span, bool) {
	const slack = 1e-9
	u, v := p.va-slack, p.vb-slack
	switch {
	case u <= 0 && v <= 0:
		return span{}, false
	case u > 0 && v > 0:
		return span{p.a, p.b}, true
	}
	m := p.a + (p.b-p.a)*u/(u-v)
	if u > 0 {
		return span{p.a, m}, true
	}
	return span{m, p.b}, true
}

// bandUp is the plan: depth over across.
func (w *walls) bandUp(xs []float64, a, b float64) band {
	var front, back profile
	for c := 0; c+1 < len(xs); c++ {
		front = front.add(piece{xs[c], xs[c+1], w.front[c], w.front[c+1]})
		back = back.add(piece{xs[c], xs[c+1], w.back[c], w.back[c+1]})
	}
	s := band{lo: front.part(w.left, w.right), hi: back.part(w.left, w.right)}
	s.islands = append(w.floor.above(a, s.lo, s.hi, w.left, w.right), w.roof.above(-b, s.lo, s.hi, w.left, w.right)...)
	return s
}

// lean takes a leaning wall's share off the band.
func (s *band) lean(h halfSpace, axis Axis, a, b float64) {
	from, to := h.from, h.to
	if axis == Across {
		if from, to = max(from, a), min(to, b); to-from <= tiny {
			return
		}
		d := h.d - max(h.n.X*from, h.n.X*to)
		s.below(plane.Point{X: h.n.Y, Y: h.n.Z}, d, math.Inf(-1), math.Inf(1))
		return
	}
	if axis == Depth {
		s.below(plane.Point{X: h.n.X, Y: h.n.Z}, h.d-max(h.n.Y*a, h.n.Y*b), from, to)
		return
	}
	s.below(plane.Point{X: h.n.X, Y: h.n.Y}, h.d-max(h.n.Z*a, h.n.Z*b), from, to)
}

// below keeps the part with n.p <= d between two abscissas.
func (s *band) below(n plane.Point, d, from, to float64) {
	if len(s.lo) == 0 {
		return
	}
	from, to = max(from, s.lo[0].a), min(to, s.lo[len(s.lo)-1].b)
	if to-from <= tiny {
		return
	}
	switch {
	case n.Y > 1e-12:
		s.drop(profile{{from, to, (d - n.X*from) / n.Y, (d - n.X*to) / n.Y}})
	case n.Y < -1e-12:
		s.raise(profile{{from, to, (d - n.X*from) / n.Y, (d - n.X*to) / n.Y}})
	case n.X > 0:
		s.raise(constant(max(from, d/n.X), to, beyond))
	case n.X < 0:
		s.raise(constant(from, min(to, d/n.X), beyond))
	}
}

// raise lifts the lower side to at least f.
func (s *band) raise(f profile) {
	if len(s.lo) == 0 || len(f) == 0 || f[len(f)-1].b-f[0].a <= tiny {
		return
	}
	s.lo = upper(s.lo, f.part(s.lo[0].a, s.lo[len(s.lo)-1].b))
}

// drop lowers the upper side to at most f.
func (s *band) drop(f profile) {
	if len(s.hi) == 0 || len(f) == 0 {
		return
	}
	s.hi = lower(s.hi, f.part(s.hi[0].a, s.hi[len(s.hi)-1].b))
}

// join gives every island that leaves less than least of room on one side to that side.
func (s *band) join(least float64) {
	if len(s.lo) == 0 {
		s.islands = nil
		return
	}
	for changed := true; changed; {
		changed = false
		rest := s.islands[:0:0]
		for _, v := range s.islands {
			under := roomOver(s.lo, v.bottom) < least
			over := roomOver(v.top, s.hi) < least
			switch {
			case under && over:
				s.raise(v.top)
				s.drop(v.bottom)
			case under:
				s.raise(v.top)
			case over:
				s.drop(v.bottom)
			default:
				rest = append(rest, v)
				continue
			}
			changed = true
		}
		s.islands = rest
	}
}

// roomOver is the most that hi lies over lo where both have a value.
func roomOver(lo, hi profile) float64 {
	m := math.Inf(-1)
	overlaps(lo, hi, func(l, h piece) { m = max(m, h.va-l.va, h.vb-l.vb) })
	return m
}

// passings gives the bands without islands: each island belongs to the lower side when it lies under a level, else to the
// upper side; the levels tried are those over all, under all and in the widest gaps between the islands.
func (s band) passings() []band {
	if len(s.islands) == 0 {
		return []band{s}
	}
	var mids []float64
	for _, v := range s.islands {
		mids = append(mids, v.middle())
	}
	sort.Float64s(mids)
	levels := []float64{mids[0] - 1, mids[len(mids)-1] + 1}
	type gap struct{ at, wide float64 }
	var gaps []gap
	for i := 1; i < len(mids); i++ {
		if d := mids[i] - mids[i-1]; d > 1e-3 {
			gaps = append(gaps, gap{(mids[i] + mids[i-1]) / 2, d})
		}
	}
	sort.Slice(gaps, func(i, j int) bool { return gaps[i].wide > gaps[j].wide })
	for _, g := range gaps[:min(len(gaps), 2)] {
		levels = append(levels, g.at)
	}
	var all []band
	for _, l := range levels {
		b := band{lo: s.lo, hi: s.hi}
		for _, v := range s.islands {
			if v.middle() < l {
				b.raise(v.top)
			} else {
				b.drop(v.bottom)
			}
		}
		all = append(all, b)
	}
	return all
}

func (v island) middle() float64 {
	if len(v.bottom) == 0 || len(v.top) == 0 {
		return 0
	}
	return (v.top[0].va + v.top[len(v.top)-1].vb + v.bottom[0].va + v.bottom[len(v.bottom)-1].vb) / 4
}

// pieces are the outlines of the band, those with less than a square of the least wall left out.
func (s band) pieces(least float64) []plane.Polygon {
	var all []plane.Polygon
	for _, g := range between(s.lo, s.hi) {
		if o := g.Bounds(); g.Area() > least*least && o.Width() >= least && o.Height() >= least {
			all = append(all, g)
		}
	}
	return all
}
