package cavity

import (
	"math"
	"sort"

	"cubby/internal/plane"
)

// A rectIn is a rectangle of a section with the area between its boards.
type rectIn struct {
	r     plane.Rect
	inner float64
}

// bestRect is the rectangle of a band with the most air, its base not over most. Its sides stand at ends of pieces of the
// profiles; where a slope trades width for height they are then moved in steps, thoroughly from several starts.
func (s *shop) bestRect(b band, most float64, thorough bool) (rectIn, bool) {
	if len(b.lo) == 0 || len(b.hi) == 0 {
		return rectIn{}, false
	}
	a := max(b.lo[0].a, b.hi[0].a)
	z := min(b.lo[len(b.lo)-1].b, b.hi[len(b.hi)-1].b)
	if z-a < s.least {
		return rectIn{}, false
	}
	us := b.hi.breaks(b.lo.breaks([]float64{a, z}, a, z), a, z)
	sort.Float64s(us)
	k := 1
	for i := 1; i < len(us); i++ {
		if us[i]-us[k-1] > 1e-7 {
			us[k] = us[i]
			k++
		}
	}
	us = us[:k]
	// the height between neighbours; then over longer stretches by running maxima
	n := len(us) - 1
	if n < 1 {
		return rectIn{}, false
	}
	lo, hi := make([]float64, n), make([]float64, n)
	for i := range n {
		_, lo[i] = b.lo.inner(us[i], us[i+1])
		hi[i], _ = b.hi.inner(us[i], us[i+1])
	}
	t := s.board
	value := func(w, h float64) float64 {
		if w < s.least*(1-1e-9) || h < s.least*(1-1e-9) {
			return 0
		}
		return max(0, w-2*t) * max(0, h-2*t)
	}
	var best rectIn
	for i := range n {
		l, h := math.Inf(-1), math.Inf(1)
		for j := i; j < n; j++ {
			l, h = max(l, lo[j]), min(h, hi[j])
			if l >= h || l > most {
				break
			}
			if v := value(us[j+1]-us[i], h-l); v > best.inner {
				best = rectIn{plane.Rect{Min: plane.Point{X: us[i], Y: l}, Max: plane.Point{X: us[j+1], Y: h}}, v}
			}
		}
	}
	// sides between the ends of pieces; start from the widest stretches as well
	try := func(x0, x1 float64) (rectIn, bool) {
		if x0 < a || x1 > z || x1-x0 < s.least {
			return rectIn{}, false
		}
		_, l := b.lo.inner(x0, x1)
		h, _ := b.hi.inner(x0, x1)
		if l > most {
			return rectIn{}, false
		}
		v := value(x1-x0, h-l)
		return rectIn{plane.Rect{Min: plane.Point{X: x0, Y: l}, Max: plane.Point{X: x1, Y: h}}, v}, v > 0
	}
	starts := []rectIn{best}
	for i := 0; i < 4 && thorough; i++ {
		for j := i + 1; j <= 4; j++ {
			if r, ok := try(a+(z-a)*float64(i)/4, a+(z-a)*float64(j)/4); ok && r.inner > best.inner*0.6 {
				starts = append(starts, r)
			}
		}
	}
	for _, r := range starts {
		if r.inner <= 0 {
			continue
		}
		for step := (z - a) / 8; step > 0.0002; step /= 2 {
			for moved := true; moved; {
				moved = false
				for _, d := range [6][2]float64{{-step, 0}, {step, 0}, {0, -step}, {0, step}, {-step, step}, {step, -step}} {
					q, ok := try(max(a, r.r.Min.X+d[0]), min(z, r.r.Max.X+d[1]))
					if ok && q.inner > r.inner*(1+1e-6) {
						r, moved = q, true
					}
				}
			}
		}
		if r.inner > best.inner {
			best = r
		}
	}
	return best, best.inner > 0
}

// inner is the least and the greatest value strictly between two abscissas, the limits at them included but not what lies beyond a
// jump; where there is none all is taken.
func (f profile) inner(x0, x1 float64) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for k := f.first(x0); k < len(f) && f[k].a < x1-tiny; k++ {
		if p := f[k]; p.b > x0+tiny {
			u, v := p.at(max(p.a, x0)), p.at(min(p.b, x1))
			least, most = min(least, u, v), max(most, u, v)
		}
	}
	if least > most {
		return -beyond, beyond
	}
	return least, most
}
