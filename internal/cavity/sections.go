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
		placedRect
		most float64
		air  float64
	}
	var list []found
	for _, s := range spots {
		o := s.g.Bounds()
		b := band{lo: s.band.lo.part(o.Min.X, o.Max.X), hi: s.band.hi.part(o.Min.X, o.Max.X)}
		for _, most := range [2]float64{math.Inf(1), o.Min.Y + 0.015} {
			if r, ok := f.shop.bestRect(b, most, len(s.band.lo)+len(s.band.hi) < 40); ok {
				list = append(list, found{placedRect{s.lo, s.hi, r}, most, r.inner * f.shop.between(s.lo, s.hi)})
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
			c.placedRect = f.slide(c.placedRect, c.most, ignore)
			c.air = c.inner * f.shop.between(c.lo, c.hi)
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

// A placedRect is a rectangle over a stretch.
type placedRect struct {
	lo, hi float64
	rectIn
}

// slide moves the ends of a rectangle's stretch while it gains.
func (f *finder) slide(r placedRect, most float64, ignore mask) placedRect {
	air := func(r placedRect) float64 { return r.inner * f.shop.between(r.lo, r.hi) }
	return climb(r, r.hi-r.lo, either(f.heavy, 0.01, 0.0005), 1e-5, air, func(r placedRect, low, high float64) (best placedRect) {
		a, b := max(f.free.left, r.lo+low), min(f.free.right, r.hi+high)
		if b-a < f.shop.least {
			return best
		}
		f.spent++
		for _, way := range f.free.band(f.xs, Across, a, b, f.shop.least, ignore).passings() {
			if q, ok := f.shop.bestRect(way, most, false); ok && q.inner > best.inner {
				best = placedRect{a, b, q}
			}
		}
		return best
	})
}

// climb moves one end of a stretch or both, each time in the way that gains most, as long as one gains by a share; in steps
// from an eighth of its length that halve down to least.
func climb[T any](at T, length, least, share float64, worth func(T) float64, moved func(at T, low, high float64) T) T {
	most := worth(at)
	for step := length / 8; step > least; step /= 2 {
		for gained := true; gained; {
			gained = false
			best := at
			for _, d := range [6][2]float64{{-1, 0}, {0, 1}, {1, 0}, {0, -1}, {-1, 1}, {1, -1}} {
				q := moved(at, d[0]*step, d[1]*step)
				if v := worth(q); v > most*(1+share) {
					best, most, gained = q, v, true
				}
			}
			at = best
		}
	}
	return at
}

// gain is how much more air, relatively, a section with one corner more must hold to be offered.
const gain = 0.002

// mostOfWedge is how much more air four corners may hold where three are offered.
const mostOfWedge = 1.1

// mostReduced is the number of corners of a section above which it is thinned before anything else is tried.
const mostReduced = 40

// A cutOut is a section of few corners in a form over a stretch.
type cutOut struct {
	spot
	in  *form
	at  view
	g   plane.Polygon // in the form
	own bool          // not from the form's own steps
	air float64
}

// sections reduces the sections of the best stretches to few corners.
func (f *finder) sections(spots []spot, ignore mask, e effort) []Region {
	var per [plane.MaxCorners + 2][]cutOut
	var taken []spot
	for _, s := range spots {
		if len(taken) >= e.sections || f.ctx.Err() != nil {
			break
		}
		if slices.ContainsFunc(taken, s.near) {
			continue
		}
		taken = append(taken, s)
		start, width := f.limits.Corners, e.width
		if width < 4 || len(taken) > 8 {
			start, width = min(start, 8), min(width, 2)
		}
		c := cutOut{spot: s}
		c.in, c.at = f.formOf(s.g)
		steps := f.reduced(c.in, start, width)
		sofar := 0.0 // a corner more must buy something
		for k := range steps[:f.limits.Corners+1] {
			v := steps.value(k)
			if v <= sofar*(1+gain) || k == 3 && steps.value(4) > mostOfWedge*v { // three corners are for wedges
				continue
			}
			sofar = v
			c.g, c.air = steps.best(k), v*f.shop.between(s.lo, s.hi)
			per[k] = append(per[k], c)
		}
	}
	var all []Region
	for k := range per[:f.limits.Corners+1] {
		slices.SortStableFunc(per[k], func(p, q cutOut) int { return cmp.Compare(q.air, p.air) })
		for i, c := range per[k] {
			if polished := i < e.polished && k <= mostWanted; polished || i == 0 && e.polished > 0 {
				c.g = f.polished(&c)
				if polished {
					c = f.refine(c, ignore)
				}
			}
			if i < e.polished && k < min(mostWanted, f.limits.Corners) || i == 0 && e.polished > 0 && k < f.limits.Corners {
				if h := f.shop.grown(c.g, c.in.whole); h != nil { // a corner more for the next round
					d := c
					d.own, d.g, d.air = true, h, f.shop.inner(h)*f.shop.between(c.lo, c.hi)
					per[k+1] = append(per[k+1], d)
				}
			}
			if holdsAll(c.in.whole, c.g) {
				all = append(all, Region{Axis: c.axis, Lo: c.lo, Hi: c.hi, Section: c.at.raise(f.shop.squared(c.g))})
			}
		}
	}
	return all
}

// near tells whether two spots are so alike that one look does for both; two ways past a block may have the same bounds.
func (s spot) near(t spot) bool {
	const near = 0.02
	a, b := s.g.Bounds(), t.g.Bounds()
	return math.Abs(t.lo-s.lo) < near && math.Abs(t.hi-s.hi) < near && a.Min.Sub(b.Min).Norm() < near && a.Max.Sub(b.Max).Norm() < near &&
		s.g.Centroid().Sub(t.g.Centroid()).Norm() < near
}

// refine moves the ends of the stretch of a section while that gains air.
func (f *finder) refine(c cutOut, ignore mask) cutOut {
	c.air = f.airOf(&c)
	return climb(c, c.hi-c.lo, either(f.heavy, 0.03, 0.004), 1e-4, func(c cutOut) float64 { return c.air },
		func(c cutOut, low, high float64) cutOut { return f.moved(c, c.lo+low, c.hi+high, ignore) })
}

// airOf is the air of a section over its stretch.
func (f *finder) airOf(c *cutOut) float64 { return f.shop.inner(c.g) * f.shop.between(c.lo, c.hi) }

// moved is the best section of as many corners over another stretch, grown from c where that lies in it; without air when
// there is none that is nearly as good.
func (f *finder) moved(c cutOut, a, b float64, ignore mask) (best cutOut) {
	if b-a < f.shop.least || f.spent > f.limits.Budget {
		return best
	}
	f.spent++
	for _, t := range f.stretch(c.axis, a, b, ignore) {
		if t.bound < c.air || t.bound < 0.98*c.bound {
			continue
		}
		d := c
		d.spot = t
		d.in, d.at = f.formOf(t.g)
		d.g = d.at.lay(c.at.raise(c.g))
		if d.in != c.in {
			own := f.reduced(d.in, min(len(c.g)+2, f.limits.Corners), 1).best(len(c.g))
			if !holdsAll(d.in.whole, d.g) || own != nil && f.shop.inner(own) > f.shop.inner(d.g) {
				d.g = own
			}
			if d.g == nil || f.airOf(&d) < 0.98*c.air {
				continue
			}
			d.g = f.shop.polish(d.g, d.in.whole, 1)
		}
		if d.air = f.airOf(&d); d.air > best.air {
			best = d
		}
	}
	return best
}
