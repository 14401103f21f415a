package cavity

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"cubby/internal/plane"
)

// A spot is one piece of section over a stretch of an axis.
type spot struct {
	axis   Axis
	lo, hi float64
	band   band
	g      plane.Polygon
	bound  float64
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

// A stretch is a part of an axis, with the blocks that are left out.
type stretch struct {
	axis   Axis
	a, b   float64
	ignore mask
}

// stretch gives the pieces of section of one stretch; several sections are moved to the same one.
func (f *finder) stretch(axis Axis, a, b float64, ignore mask) []spot {
	of := stretch{axis, a, b, ignore}
	list, ok := f.known[of]
	if !ok {
		list = f.look(axis, a, b, ignore)
		f.known[of] = list
	}
	return list
}

// look is stretch for the first time.
func (f *finder) look(axis Axis, a, b float64, ignore mask) []spot {
	var list []spot
	of := stretch{axis, a, b, 0}
	bare, ok := f.bare[of]
	if !ok {
		bare = f.free.section(f.xs, axis, a, b)
		bare.islands = slices.Clip(bare.islands)
		f.bare[of] = bare
	}
	s := f.free.past(bare, axis, a, b, f.shop.least, ignore)
	for _, way := range s.passings() {
		for _, g := range way.pieces(f.shop.least) {
			l := b - a - 2*f.shop.board
			if v := g.Area() * l; v > f.limits.LeastAir {
				list = append(list, spot{axis, a, b, way, g, v})
			}
		}
	}
	if axis != Up || len(bare.islands) > 0 {
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
			lo, hi = min(lo, f.free.front[i]), max(hi, f.free.back[i])
			lines = append(lines, f.free.front[i], f.free.back[i])
			lines = f.free.floor.lines[i].breaks(lines, f.free.front[i], f.free.back[i])
			lines = f.free.roof.lines[i].breaks(lines, f.free.front[i], f.free.back[i])
		}
	default:
		lo, hi = math.Inf(1), math.Inf(-1)
		for i := range f.xs {
			for _, p := range f.free.floor.lines[i].part(f.free.front[i], f.free.back[i]) {
				lines = append(lines, p.va, p.vb)
				lo = min(lo, min(p.va, p.vb))
			}
			for _, p := range f.free.roof.lines[i].part(f.free.front[i], f.free.back[i]) {
				lines = append(lines, -p.va, -p.vb)
				hi = max(hi, max(-p.va, -p.vb))
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

// thin sorts places, joins those within half a millimetre, puts some into wide stretches without any, where the best end may
// lie as well, and while there are more than most leaves out the one that is nearest to another.
func (f *finder) thin(list []float64, lo, hi float64, most int) []float64 {
	if hi-lo < f.shop.least {
		return nil
	}
	list = append(append([]float64{}, list...), lo, hi)
	sort.Float64s(list)
	var out []float64
	wide := (hi - lo) / 6
	for _, v := range list {
		if v < lo-1e-9 || v > hi+1e-9 {
			continue
		}
		n := len(out)
		if n > 0 && v-out[n-1] < 5e-4 {
			if v >= hi-1e-9 {
				out[n-1] = v
			}
			continue
		}
		if n > 0 {
			u := out[n-1]
			for k, parts := 1, int(math.Ceil((v-u)/wide-1e-6)); k < parts; k++ {
				out = append(out, u+(v-u)*float64(k)/float64(parts))
			}
		}
		out = append(out, v)
	}
	middle := (lo + hi) / 2 // where two are as near to others, the inner one goes: so it is in a mirror
	for len(out) > most {   // first what lies between, without which every place is still looked at
		isBetween := func(v float64) bool { _, found := slices.BinarySearch(list, v); return !found }
		between := slices.ContainsFunc(out[1:len(out)-1], isBetween)
		near := 0
		for i := 1; i < len(out)-1; i++ {
			if between && !isBetween(out[i]) {
				continue
			}
			room, least := out[i+1]-out[i-1], out[near+1]-out[max(near, 1)-1]
			inner := math.Abs(out[i]-middle) < math.Abs(out[near]-middle)
			if near == 0 || room < least-1e-9 || room < least+1e-9 && inner {
				near = i
			}
		}
		f.proved = f.proved && between
		out = slices.Delete(out, near, near+1)
	}
	return out
}
