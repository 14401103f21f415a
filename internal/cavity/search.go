package cavity

import (
	"cmp"
	"context"
	"errors"
	"math"
	"math/bits"
	"slices"
	"sort"

	"cubby/internal/plane"
	"cubby/internal/solid"
)

// DefaultLeastWall is the narrowest wall that a shop cuts unless a job says otherwise, outside, in metres: a narrower
// board is hard to hold at the saw (common practice).
const DefaultLeastWall = 0.060

// DefaultBoard is the thickness of the walls when nothing is said, in metres.
const DefaultBoard = 0.018

// Limits bounds the search for regions; zero fields have the defaults that are given.
type Limits struct {
	LeastWall float64 // m; DefaultLeastWall
	Board     float64 // m, thickness of the walls; DefaultBoard
	KeepToes  bool    // leave corners under 45 degrees sharp
	Corners   int     // most corners of a section, 4 to 12; 12
	Pockets   int     // most blocks that a pocket goes round; 3, negative: none
	LeastAir  float64 // m3: smaller regions are of no use; 0.5 l
	Budget    int     // stretches looked at; 20000
}

func (l *Limits) fill() {
	if l.LeastWall <= 0 {
		l.LeastWall = DefaultLeastWall
	}
	if l.Board <= 0 {
		l.Board = DefaultBoard
	}
	if l.Corners < 4 || l.Corners > plane.MaxCorners {
		l.Corners = plane.MaxCorners
	}
	if l.Pockets == 0 {
		l.Pockets = 3
	}
	if l.LeastAir <= 0 {
		l.LeastAir = 0.0005
	}
	if l.Budget <= 0 {
		l.Budget = 20000
	}
}

// Rung tells what a number of corners costs: the most air of a section along an axis with that many.
type Rung struct {
	Axis    Axis
	Corners int
	Air     float64
	Lost    float64 // against the most air of any number along that axis
}

// Result is what a search for regions found. Proved tells that no budget ran out and no stretch was left out; that no
// better section exists is not proved: sections are searched, not enumerated.
type Result struct {
	Regions []Region // most air first
	Ladder  []Rung
	Proved  bool
}

// ErrNoRoom says that no box can stand in the space.
var ErrNoRoom = errors.New("nothing is left in the space that a box could be built for: measure again, or lessen the gap")

// finder is one search.
type finder struct {
	*Room
	ctx    context.Context
	shop   shop
	limits Limits
	heavy  bool
	spent  int
	proved bool
}

// Regions lists where a box may stand: on every axis over every stretch between measured lines and blocks the best
// rectangle and the best sections of few corners, and with pockets round blocks that stand in the way, one at a time, best
// litre per board first. The error is ErrNoRoom, or that of the context.
func (r *Room) Regions(ctx context.Context, l Limits) (Result, error) {
	l.fill()
	f := &finder{Room: r, ctx: ctx, limits: l, heavy: r.isHeavy(), proved: true,
		shop: shop{least: l.LeastWall, board: l.Board, toes: l.KeepToes}}
	all := f.under(0, f.effort(full, fullOfMany))
	all = append(all, f.withPockets(all)...)
	if err := ctx.Err(); err != nil && len(all) == 0 {
		return Result{}, err
	}
	if len(all) == 0 {
		return Result{}, ErrNoRoom
	}
	slices.SortStableFunc(all, func(a, b Region) int { return cmp.Compare(b.Air, a.Air) })
	all = distinct(all)
	return Result{Regions: all, Ladder: rungs(all), Proved: f.proved && ctx.Err() == nil}, nil
}

// rungs gives the ladder of each axis over regions without pockets.
func rungs(all []Region) []Rung {
	var list []Rung
	for _, a := range axes {
		var best [plane.MaxCorners + 1]float64
		most := 0.0
		for i := range all {
			if r := &all[i]; r.Axis == a && len(r.Pockets) == 0 {
				best[len(r.Section)] = math.Max(best[len(r.Section)], r.Air)
				most = math.Max(most, r.Air)
			}
		}
		sofar := 0.0
		for k, v := range best {
			if v > sofar {
				sofar = v
				list = append(list, Rung{a, k, v, most - v})
			}
		}
	}
	return list
}

// distinct leaves out regions that are another one again, or lie in one with no more corners, boards and bevels that has
// the same base.
func distinct(all []Region) []Region {
	var out []Region
	for _, r := range all {
		o := r.Bounds()
		again := false
		for i := range out {
			q := &out[i]
			p := q.Bounds()
			if q.Axis == r.Axis && len(q.Section) == len(r.Section) && len(q.Pockets) == len(r.Pockets) && math.Abs(q.Air-r.Air) < 1e-6+0.0005*r.Air &&
				nearBox(o, p, 0.002) {
				again = true
				break
			}
			if r.Rectangle && q.Rectangle && math.Abs(o.Min.Z-p.Min.Z) < 1e-4 && o.Min.X > p.Min.X-1e-4 && o.Max.X < p.Max.X+1e-4 &&
				o.Min.Y > p.Min.Y-1e-4 && math.Abs(o.Min.Y-p.Min.Y) < 1e-3 && o.Max.Y < p.Max.Y+1e-4 && o.Max.Z < p.Max.Z+1e-4 &&
				(math.Abs(o.Min.X-p.Min.X) < 1e-3 || math.Abs(o.Max.X-p.Max.X) < 1e-3) {
				again = true
				break
			}
		}
		if !again {
			out = append(out, r)
		}
	}
	return out
}

func nearBox(a, b Box, d float64) bool {
	return math.Abs(a.Min.X-b.Min.X) < d && math.Abs(a.Min.Y-b.Min.Y) < d && math.Abs(a.Min.Z-b.Min.Z) < d &&
		math.Abs(a.Max.X-b.Max.X) < d && math.Abs(a.Max.Y-b.Max.Y) < d && math.Abs(a.Max.Z-b.Max.Z) < d
}

// effort is how much is done for a set of pockets.
type effort struct {
	sections int // stretches per axis whose sections are reduced
	polished int // of them, best first, polished
	rects    bool
	width    int
	events   int // most starts and most ends of stretches along an axis
}

var (
	full  = effort{sections: 24, polished: 2, rects: true, width: 4, events: 44}
	quick = effort{sections: 3, polished: 0, width: 2, events: 12}
	after = effort{sections: 8, polished: 1, width: 3, events: 30}

	// the same where many blocks stand in the way
	fullOfMany  = effort{sections: 12, polished: 1, rects: true, width: 4, events: 32}
	afterOfMany = effort{sections: 4, polished: 1, width: 2, events: 16}
)

// many is the number of blocks above which less is done for each.
const many = 8

func (f *finder) effort(few, of effort) effort {
	if len(f.free.blocks) > many {
		return of
	}
	return few
}

// A spot is one piece of section over a stretch of an axis.
type spot struct {
	axis   Axis
	lo, hi float64
	band   band
	g      plane.Polygon
	bound  float64
}

// under gives the regions with the blocks in ignore left out; their pockets are put in.
func (f *finder) under(ignore mask, e effort) []Region {
	var all []Region
	for _, axis := range axes {
		spots := f.spots(axis, ignore, e)
		if e.rects && axis == Across {
			all = append(all, f.rectangles(spots, ignore)...)
		}
		all = append(all, f.sections(spots, ignore, e)...)
	}
	kept := all[:0]
	for _, r := range all {
		if ignore != 0 && !f.pocketed(&r, ignore) {
			continue
		}
		r.around = ignore
		r.measure(f.shop)
		if r.Air >= f.limits.LeastAir {
			kept = append(kept, r)
		}
	}
	return kept
}

// spots lists the pieces of section over all stretches of an axis, those that could hold most first.
func (f *finder) spots(axis Axis, ignore mask, e effort) []spot {
	starts, ends := f.events(axis, ignore, e.events)
	var list []spot
	for _, a := range starts {
		for _, b := range ends {
			if b-a < f.shop.least || f.ctx.Err() != nil {
				continue
			}
			if f.spent++; f.spent > f.limits.Budget {
				f.proved = false
				continue
			}
			list = append(list, f.stretch(axis, a, b, ignore)...)
		}
	}
	slices.SortStableFunc(list, func(p, q spot) int { return cmp.Compare(q.bound, p.bound) })
	return list
}

// stretch gives the pieces of section of one stretch.
func (f *finder) stretch(axis Axis, a, b float64, ignore mask) []spot {
	var list []spot
	s := f.free.band(f.xs, axis, a, b, f.shop.least, ignore)
	for _, way := range s.passings() {
		for _, g := range way.pieces(f.shop.least) {
			l := b - a - 2*f.shop.board
			if v := g.Area() * l; v > f.limits.LeastAir {
				list = append(list, spot{axis, a, b, way, g, v})
			}
		}
	}
	if axis != Up {
		return list
	}
	t, ok := f.free.transposedUp(f.xs, a, b, f.shop.least, ignore)
	if !ok {
		return list
	}
	for _, way := range t.passings() {
		for _, g := range way.pieces(f.shop.least) {
			for i, p := range g {
				g[i] = plane.Point{X: p.Y, Y: p.X}
			}
			slices.Reverse(g)
			if v := g.Area() * (b - a - 2*f.shop.board); v > f.limits.LeastAir {
				list = append(list, spot{axis, a, b, s, g, v})
			}
		}
	}
	return list
}

// events lists where stretches may begin and end: at the sides of the space, at measured lines and at blocks.
func (f *finder) events(axis Axis, ignore mask, most int) (starts, ends []float64) {
	var lo, hi float64
	var lines []float64
	switch axis {
	case Across:
		lo, hi = f.free.left, f.free.right
		lines = f.xs
	case Depth:
		lo, hi = math.Inf(1), math.Inf(-1)
		for i := range f.xs {
			lo, hi = math.Min(lo, f.free.front[i]), math.Max(hi, f.free.back[i])
			lines = append(lines, f.free.front[i], f.free.back[i])
			lines = f.free.floor.lines[i].breaks(lines, f.free.front[i], f.free.back[i])
			lines = f.free.roof.lines[i].breaks(lines, f.free.front[i], f.free.back[i])
		}
	default:
		lo, hi = math.Inf(1), math.Inf(-1)
		for i := range f.xs {
			for _, p := range f.free.floor.lines[i].part(f.free.front[i], f.free.back[i]) {
				lines = append(lines, p.va, p.vb)
				lo = math.Min(lo, math.Min(p.va, p.vb))
			}
			for _, p := range f.free.roof.lines[i].part(f.free.front[i], f.free.back[i]) {
				lines = append(lines, -p.va, -p.vb)
				hi = math.Max(hi, math.Max(-p.va, -p.vb))
			}
		}
	}
	var from, to []float64 // of blocks
	for i := range f.free.blocks {
		if ignore.has(i) {
			continue
		}
		a, b := f.free.blocks[i].bounds()
		from, to = append(from, axis.Of(b)), append(to, axis.Of(a))
		if f.space.Blocks[i].Axis != axis { // a hump seen from the side is lower toward its ends
			for _, p := range f.free.blocks[i].Outline {
				v := axis.Of(f.free.blocks[i].Axis.At(p, f.free.blocks[i].Lo))
				from, to = append(from, v), append(to, v)
			}
		}
	}
	n := most - min(len(from), most/2)
	if f.heavy {
		n = min(n, 14)
	}
	lines = f.thin(lines, lo, hi, n)
	return f.thin(append(from, lines...), lo, hi, most), f.thin(append(to, lines...), lo, hi, most)
}

// isHeavy tells of a space with so many readings that a section costs much.
func (m *Room) isHeavy() bool {
	n := 0
	for i := range m.xs {
		n += len(m.free.floor.lines[i]) + len(m.free.roof.lines[i])
	}
	return n > 200
}

// thin sorts places, joins those within half a millimetre, adds some where there are few, and leaves every second one
// out while there are more than most.
func (f *finder) thin(list []float64, lo, hi float64, most int) []float64 {
	if hi-lo < f.shop.least {
		return nil
	}
	list = append(append([]float64{}, list...), lo, hi)
	sort.Float64s(list)
	var out []float64
	for _, v := range list {
		if v < lo-1e-9 || v > hi+1e-9 {
			continue
		}
		if len(out) > 0 && v-out[len(out)-1] < 5e-4 {
			if v >= hi-1e-9 {
				out[len(out)-1] = v
			}
			continue
		}
		out = append(out, v)
	}
	if len(out) < most/2 { // where readings are far apart the best end may lie between
		wide := (hi - lo) / 6
		var more []float64
		for i, v := range out {
			more = append(more, v)
			if i+1 < len(out) {
				n := int((out[i+1] - v) / wide)
				for k := 1; k < n; k++ {
					more = append(more, v+(out[i+1]-v)*float64(k)/float64(n))
				}
			}
		}
		out = more
	}
	for len(out) > most {
		f.proved = false
		k := 1
		for i := 1; i < len(out); i++ {
			if i%2 == 0 || i == len(out)-1 {
				out[k] = out[i]
				k++
			}
		}
		out = out[:k]
	}
	return out
}

// rectangles gives the best rectangle of each stretch across, and the best that stands on its lowest floor.
func (f *finder) rectangles(spots []spot, ignore mask) []Region {
	type found struct {
		spot
		rectIn
		most float64
	}
	var list []found
	for _, s := range spots {
		shop := f.shop
		shop.length = s.hi - s.lo
		low := math.Inf(1)
		for _, p := range s.g {
			low = math.Min(low, p.Y)
		}
		o := s.g.Bounds()
		b := band{lo: s.band.lo.part(o.Min.X, o.Max.X), hi: s.band.hi.part(o.Min.X, o.Max.X)}
		for _, most := range [2]float64{math.Inf(1), low + 0.015} {
			if r, ok := shop.bestRect(b, most, len(s.band.lo)+len(s.band.hi) < 40); ok {
				list = append(list, found{s, r, most})
			}
		}
	}
	slices.SortStableFunc(list, func(p, q found) int { return cmp.Compare(q.air, p.air) })
	var all []Region
	var slid []found
	for _, c := range list {
		again := len(slid) >= 6 || f.heavy && len(slid) >= 3
		for _, q := range slid {
			again = again || math.Abs(q.lo-c.lo) < 0.03 && math.Abs(q.hi-c.hi) < 0.03 && q.r.Min.Sub(c.r.Min).Norm() < 0.03
		}
		if !again {
			slid = append(slid, c)
			c.spot, c.rectIn = f.slide(c.spot, c.rectIn, c.most, ignore)
		}
		all = append(all, Region{Axis: Across, Lo: c.lo, Hi: c.hi, Section: c.r.Polygon(), Rectangle: true, Air: c.air})
		if len(all) >= 160 {
			all = distinct(all)
			if len(all) >= 120 {
				break
			}
		}
	}
	return distinct(all)
}

// slide moves the ends of a rectangle's stretch while it gains.
func (f *finder) slide(s spot, r rectIn, most float64, ignore mask) (spot, rectIn) {
	least := either(f.heavy, 0.01, 0.0005)
	for step := (s.hi - s.lo) / 8; step > least; step /= 2 {
		for moved := true; moved; {
			moved = false
			for _, d := range [6][2]float64{{-step, 0}, {step, 0}, {0, -step}, {0, step}, {-step, step}, {step, -step}} {
				a, b := math.Max(f.free.left, s.lo+d[0]), math.Min(f.free.right, s.hi+d[1])
				if b-a < f.shop.least {
					continue
				}
				f.spent++
				shop := f.shop
				shop.length = b - a
				bd := f.free.band(f.xs, Across, a, b, f.shop.least, ignore)
				for _, way := range bd.passings() {
					if q, ok := shop.bestRect(way, most, false); ok && q.air > r.air*(1+1e-5) {
						s.lo, s.hi, s.band, r, moved = a, b, way, q, true
					}
				}
			}
		}
	}
	return s, r
}

// gain is how much more air, relatively, a section with one corner more must hold to be offered.
const gain = 0.002

// mostReduced is the number of corners of a section above which it is thinned before anything else is tried.
const mostReduced = 40

// sections reduces the sections of the best stretches to few corners.
func (f *finder) sections(spots []spot, ignore mask, e effort) []Region {
	type best struct {
		s   spot
		g   plane.Polygon
		air float64
	}
	var per [plane.MaxCorners + 1][]best
	var taken []spot
	for _, s := range spots {
		if len(taken) >= e.sections || f.ctx.Err() != nil {
			break
		}
		near := 0
		for _, t := range taken {
			if math.Abs(t.lo-s.lo) < 0.02 && math.Abs(t.hi-s.hi) < 0.02 && nearPolygon(t.g, s.g) {
				near++
			}
		}
		if near > 0 {
			continue
		}
		s.g = thinned(s.g, mostReduced)
		taken = append(taken, s)
		shop := f.shop
		shop.length = s.hi - s.lo
		start, width := f.limits.Corners, e.width
		if width < 4 || len(taken) > 8 {
			start, width = min(start, 8), min(width, 2)
		}
		sofar := 0.0 // a corner more must buy something
		for k, g := range shop.descend(s.g, start, width) {
			if g == nil {
				continue
			}
			if v := shop.air(g); v > sofar*(1+gain) {
				sofar = v
				per[k] = append(per[k], best{s, g, v})
			}
		}
	}
	var all []Region
	for k := range per {
		slices.SortStableFunc(per[k], func(p, q best) int { return cmp.Compare(q.air, p.air) })
		for i, b := range per[k] {
			if i < e.polished && k <= mostWanted {
				b.s, b.g = f.refine(b.s, b.g, ignore)
			} else if i == 0 && e.polished > 0 {
				shop := f.shop
				shop.length = b.s.hi - b.s.lo
				b.g = shop.polish(b.g, b.s.g, 2)
			}
			if i == 0 && e.polished > 0 && k < f.limits.Corners {
				shop := f.shop
				shop.length = b.s.hi - b.s.lo
				if h := shop.grown(b.g, b.s.g); h != nil { // a corner more for the next round
					per[k+1] = append(per[k+1], best{b.s, h, shop.air(h)})
				}
			}
			all = append(all, Region{Axis: b.s.axis, Lo: b.s.lo, Hi: b.s.hi, Section: b.g})
		}
	}
	return all
}

func nearPolygon(g, h plane.Polygon) bool {
	a, b := g.Bounds(), h.Bounds()
	return a.Min.Sub(b.Min).Norm() < 0.02 && a.Max.Sub(b.Max).Norm() < 0.02
}

// refine polishes a section and moves the ends of its stretch while that gains air.
func (f *finder) refine(s spot, g plane.Polygon, ignore mask) (spot, plane.Polygon) {
	shop := f.shop
	shop.length = s.hi - s.lo
	g = shop.polish(g, s.g, 2)
	air := shop.air(g)
	k := len(g)
	least := either(f.heavy, 0.03, 0.004)
	for step := (s.hi - s.lo) / 8; step > least; step /= 2 {
		for moved := true; moved; {
			moved = false
			for _, d := range [4][2]float64{{-step, 0}, {step, 0}, {0, -step}, {0, step}} {
				if b := s.hi + d[1] - s.lo - d[0]; b < shop.least || f.spent > f.limits.Budget {
					continue
				}
				f.spent++
				t, h, v := f.moved(s, g, k, air, s.lo+d[0], s.hi+d[1], ignore)
				if v > air*(1+1e-4) {
					s, g, air, moved = t, h, v, true
				}
			}
		}
	}
	return s, g
}

// moved is the best section of k corners over another stretch, grown from g where g lies in it.
func (f *finder) moved(s spot, g plane.Polygon, k int, air, a, b float64, ignore mask) (spot, plane.Polygon, float64) {
	shop := f.shop
	shop.length = b - a
	most := 0.0
	var best spot
	var section plane.Polygon
	for _, t := range f.stretch(s.axis, a, b, ignore) {
		if t.bound < air || t.bound < 0.98*s.bound {
			continue
		}
		t.g = thinned(t.g, mostReduced)
		h := g
		if !t.g.ContainsPolygon(g) {
			h = shop.descend(t.g, min(k+2, f.limits.Corners), 1)[k]
		}
		if h == nil || shop.air(h) < air*0.98 {
			continue
		}
		h = shop.polish(h, t.g, 1)
		if v := shop.air(h); v > most {
			best, section, most = t, h, v
		}
	}
	return best, section, most
}

// pocketed puts in the pockets of the blocks that were left out; false when one cannot be.
func (f *finder) pocketed(r *Region, ignore mask) bool {
	return f.Room.pocketed(r, ignore, f.shop.least)
}

func (m *Room) pocketed(r *Region, ignore mask, least float64) bool {
	any := false
	r.Pockets = nil
	for i := range m.free.blocks {
		if !ignore.has(i) {
			continue
		}
		p, touches, ok := r.pocket(&m.free.blocks[i], least)
		if !ok {
			return false
		}
		if !touches {
			continue
		}
		any = true
		r.Pockets = append(r.Pockets, p)
	}
	return any
}

// mostWanted is the number of corners up to which pockets are weighed against the same number without them.
const mostWanted = 6

// mostPocketed is the number of blocks that are tried again after the first pocket.
const mostPocketed = 5

// byCorners is the most air of the regions with at most so many corners.
type byCorners [mostWanted + 1]float64

func (b *byCorners) take(list []Region) {
	for i := range list {
		for k := len(list[i].Section); k <= mostWanted; k++ {
			b[k] = math.Max(b[k], list[i].Air)
		}
	}
}

// withPockets goes on from the regions without pockets: each step puts a pocket round the block that gives most air per
// board, or round two when one alone gives nothing.
func (f *finder) withPockets(bare []Region) []Region {
	var all []Region
	var best byCorners
	best.take(bare)
	var ignore mask
	n := len(f.free.blocks)
	look := quick
	if n > mostPocketed { // many blocks: a rougher look at each
		look.events, look.sections = 8, 2
	}
	rate := func(more mask) float64 {
		rate := 0.0
		for _, r := range f.under(ignore|more, look) {
			k := len(r.Section)
			if k > mostWanted || r.Air < 1.02*best[k] {
				continue
			}
			rate = math.Max(rate, (r.Air-best[k])/float64(max(1, r.InPockets)))
		}
		return rate
	}
	open := make([]int, n)
	for i := range open {
		open[i] = i
	}
	for used := 0; used < f.limits.Pockets && used < n; {
		next, most := mask(0), 0.0
		rates := make(map[int]float64, len(open))
		for _, i := range open {
			if f.ctx.Err() != nil {
				break
			}
			rates[i] = rate(1 << i)
			if rates[i] > most {
				next, most = 1<<i, rates[i]
			}
		}
		// of many blocks those that gave most go on
		slices.SortStableFunc(open, func(a, b int) int { return cmp.Compare(rates[b], rates[a]) })
		open = open[:min(len(open), mostPocketed)]
		if next == 0 && len(open) <= 4 && used+2 <= f.limits.Pockets {
			for a, i := range open {
				for _, j := range open[a+1:] {
					if v := rate(1<<i | 1<<j); v > most {
						next, most = 1<<i|1<<j, v
					}
				}
			}
		}
		if next == 0 {
			break
		}
		ignore |= next
		open = slices.DeleteFunc(open, func(i int) bool { return ignore.has(i) })
		used += bits.OnesCount32(uint32(next))
		list := f.under(ignore, f.effort(after, afterOfMany))
		all = append(all, list...)
		best.take(list)
	}
	return all
}

// Solid is the outer solid of a region.
func (r *Region) Solid() (*solid.Solid, error) {
	s, err := solid.Straight(r.Section, r.Axis, r.Lo, r.Hi)
	if err != nil {
		return nil, err
	}
	for _, p := range r.Pockets {
		// sides of the pocket that are open lie past the faces that they run out to
		open := r.opens(p)
		const past = 0.5
		b := p
		ends := [6]*float64{&b.Min.X, &b.Max.X, &b.Min.Y, &b.Max.Y, &b.Min.Z, &b.Max.Z}
		for i, v := range ends {
			if open[i] {
				*v += past * float64(2*(i%2)-1)
			}
		}
		if s, err = s.Pocket(b); err != nil {
			return nil, err
		}
	}
	return s, nil
}
