package cavity

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/plane"
)

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

// mostOfWedge is how much more air four corners may hold where three are offered.
const mostOfWedge = 1.1

// mostReduced is the number of corners of a section above which it is thinned before anything else is tried.
const mostReduced = 40

// sections reduces the sections of the best stretches to few corners.
func (f *finder) sections(spots []spot, ignore mask, e effort) []Region {
	type best struct {
		s   spot
		g   []plane.Polygon
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
		steps := shop.descend(s.g, start, width)
		if len(steps[3]) > 0 && len(steps[4]) > 0 && shop.air(steps[4][0]) > mostOfWedge*shop.air(steps[3][0]) {
			steps[3] = nil // three corners are for wedges
		}
		for k, g := range steps {
			if len(g) == 0 {
				continue
			}
			if v := shop.air(g[0]); v > sofar*(1+gain) {
				sofar = v
				per[k] = append(per[k], best{s, g, v})
			}
		}
	}
	var all []Region
	for k := range per {
		slices.SortStableFunc(per[k], func(p, q best) int { return cmp.Compare(q.air, p.air) })
		for i, b := range per[k] {
			shop := f.shop
			shop.length = b.s.hi - b.s.lo
			g := b.g[0]
			if polished := i < e.polished && k <= mostWanted; polished || i == 0 && e.polished > 0 {
				if !e.thorough || f.heavy {
					g = shop.polish(g, b.s.g, 2)
				} else {
					g = shop.best(b.g, b.s.g)
				}
				if polished {
					b.s, g = f.refine(b.s, g, ignore)
					shop.length = b.s.hi - b.s.lo
				}
			}
			if i < e.polished && k < min(mostWanted, f.limits.Corners) || i == 0 && e.polished > 0 && k < f.limits.Corners {
				if h := shop.grown(g, b.s.g); h != nil { // a corner more for the next round
					per[k+1] = append(per[k+1], best{b.s, []plane.Polygon{h}, shop.air(h)})
				}
			}
			if holdsAll(b.s.g, g) {
				all = append(all, Region{Axis: b.s.axis, Lo: b.s.lo, Hi: b.s.hi, Section: g})
			}
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
			h = shop.descend(t.g, min(k+2, f.limits.Corners), 1).best(k)
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
