package cavity

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// ends gives where a region begins and ends along its axis at a point of its section; an end that leans moves in with height.
func (r *Region) ends(q plane.Point) (lo, hi float64) {
	if r.Leans == [2]float64{} {
		return r.Lo, r.Hi
	}
	over := q.Y - r.Section.Bounds().Min.Y
	return r.Lo + r.Leans[0]*over, r.Hi - r.Leans[1]*over
}

// length is how long a region is at a point of its section.
func (r *Region) length(q plane.Point) float64 {
	lo, hi := r.ends(q)
	return hi - lo
}

// leaned measures a region with leaning ends: the length of a prism is that at the middle of its section.
func (r *Region) leaned(board float64) {
	r.Rectangle = false
	r.Volume = r.Section.Area() * r.length(r.Section.Centroid())
	inner := innerSection(r.Section, board)
	ends := board * (math.Hypot(1, r.Leans[0]) + math.Hypot(1, r.Leans[1]))
	r.Air = inner.Area() * math.Max(0, r.length(inner.Centroid())-ends)
	for _, lean := range r.Leans {
		for i := range r.Section {
			if lean == 0 {
				break
			}
			a, b := r.Section.Edge(i)
			switch d := b.Sub(a).Unit(); {
			case math.Abs(d.Y) < squareEnough:
				r.Bevels++
			case math.Abs(d.X) > squareEnough: // neither level nor plumb: the blade tilted and the gauge turned
				r.Compound++
			}
		}
	}
}

// endPlanes are the planes of the two ends.
func (r *Region) endPlanes() (lo, hi solid.Plane) {
	u, low := r.Axis.Unit(), 0.0
	if r.Axis != Up {
		low = r.Section.Bounds().Min.Y
	}
	leaning := func(way, at, lean float64) solid.Plane {
		n := r3.Add(r3.Scale(way, u), r3.Vec{Z: lean})
		l := r3.Norm(n)
		return solid.Plane{N: r3.Scale(1/l, n), D: (way*at + lean*low) / l}
	}
	return leaning(-1, r.Lo, r.Leans[0]), leaning(1, r.Hi, r.Leans[1])
}

// mostLeaning is how many stretches per pair of ends are given leaning ends.
const mostLeaning = 2

// leaning gives regions whose ends lean with the walls that lean at the ends of an axis.
func (f *finder) leaning() []Region {
	var all []Region
	for axis, sides := range [...][2]Side{Across: {Left, Right}, Depth: {Front, Back}} {
		var at [2]*halfSpace
		for k, side := range sides {
			for i := range f.free.leans {
				h := &f.free.leans[i]
				if other := i > 0 && f.free.leans[i-1].side == side; h.side == side && !other {
					at[k] = h
				} else if h.side == side { // it slants in plan: no plane goes along all of it
					at[k] = nil
				}
			}
		}
		for _, both := range [][2]bool{{true, false}, {false, true}, {true, true}} {
			if both[0] && at[0] == nil || both[1] && at[1] == nil {
				continue
			}
			var pair [2]*halfSpace
			for k := range pair {
				if both[k] {
					pair[k] = at[k]
				}
			}
			all = append(all, f.between(Axis(axis), sides, pair)...)
		}
	}
	return all
}

// between gives regions along an axis with ends along one or two leaning walls.
func (f *finder) between(axis Axis, sides [2]Side, leans [2]*halfSpace) []Region {
	w := f.free
	w.leans = slices.DeleteFunc(slices.Clone(w.leans), func(h halfSpace) bool {
		return leans[0] != nil && h.side == sides[0] || leans[1] != nil && h.side == sides[1]
	})
	room, upright := *f.Room, *f // without those walls: what is known of stretches is with them
	room.free, upright.Room = w, &room
	level := math.Max(0, f.low)
	starts, ends := f.events(axis, 0, 8)
	beside := Across
	if axis == Across {
		beside = Depth
	}
	// wall is where a leaning wall stands at a height, at two places beside the axis: it may slant in plan.
	wall := func(h *halfSpace, z, from, to float64) (a, b float64) {
		at := func(x float64) float64 { return (h.d - h.n.Z*z - beside.Of(h.n)*x) / axis.Of(h.n) }
		return math.Min(at(from), at(to)), math.Max(at(from), at(to))
	}
	first, last := f.events(beside, 0, 8)
	if len(first) == 0 || len(last) == 0 {
		return nil
	}
	from, to := slices.Min(first), slices.Max(last)
	if leans[0] != nil {
		a, _ := wall(leans[0], level, from, to)
		starts = []float64{a}
	}
	if leans[1] != nil {
		_, b := wall(leans[1], level, from, to)
		ends = []float64{b}
	}
	var list []spot
	for _, a := range starts {
		for _, b := range ends {
			if b-a < f.shop.least {
				continue
			}
			list = append(list, upright.look(axis, a, b, 0)...)
		}
	}
	slices.SortStableFunc(list, func(p, q spot) int { return cmp.Compare(q.bound, p.bound) })
	var all []Region
	for _, s := range list[:min(len(list), mostLeaning)] {
		o, at := f.formOf(s.g)
		steps := f.reduced(o, mostWanted, 3)
		for k := 4; k <= mostWanted; k++ {
			if steps.best(k) == nil {
				continue
			}
			g := f.polished(&cutOut{in: o, g: steps.best(k)})
			r := Region{Axis: axis, Lo: s.lo, Hi: s.hi, Section: at.raise(g)}
			k := r.Section.Bounds()
			if leans[0] != nil {
				_, r.Lo = wall(leans[0], k.Min.Y, k.Min.X, k.Max.X)
				r.Leans[0] = -leans[0].n.Z / axis.Of(leans[0].n)
			}
			if leans[1] != nil {
				r.Hi, _ = wall(leans[1], k.Min.Y, k.Min.X, k.Max.X)
				r.Leans[1] = leans[1].n.Z / axis.Of(leans[1].n)
			}
			if r.Lo >= s.lo-1e-9 && r.Hi <= s.hi+1e-9 && r.longEnough(f.shop.least) && holdsAll(o.whole, g) {
				all = append(all, r)
			}
		}
	}
	return all
}

// longEnough reports whether a region is nowhere shorter than least.
func (r *Region) longEnough(least float64) bool {
	return !slices.ContainsFunc(r.Section, func(q plane.Point) bool { return r.length(q) < least })
}
