package cavity

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// views are directions spread evenly over half a sphere (a spiral with the golden angle).
var views = func() []r3.Vec {
	const n = 240
	list := make([]r3.Vec, n)
	for k := range n {
		z := (float64(k) + 0.5) / n
		s, c := math.Sincos(float64(k) * math.Pi * (3 - math.Sqrt(5)))
		r := math.Sqrt(1 - z*z)
		list[k] = r3.Vec{X: r * c, Y: r * s, Z: z}
	}
	return list
}()

// slide looks for the direction along which the body fits best.
func (f *fitter) slide() Carry {
	best := Carry{Slide: math.Inf(1)}
	take := func(r float64, p pose) {
		if r < best.Slide {
			w, h := size(f.corners, p)
			best.Slide, best.Along, best.Across, best.Clearance = r, p.n, p.u, [2]float64{f.o.Width - w, f.o.Height - h}
		}
	}
	for _, n := range f.natural {
		take(f.best(f.corners, n))
		if best.Slide <= 0.999 {
			break
		}
	}
	if best.Slide > 1 {
		up := r3.Cross(best.Along, best.Across)
		for _, p := range f.search(f.shadowAt, pose{best.Along, best.Across, up}, 6) {
			take(f.shadowAt(p), p)
		}
	}
	best.Run, _ = size(f.corners, pose{u: best.Along})
	return best
}

// A pose is a way to hold the body: n along the way through the opening, u along its width, v along its height.
type pose struct{ n, u, v r3.Vec }

// turned is the pose after small turns about its own axes.
func (p pose) turned(a, b, c float64) pose {
	n := r3.Unit(r3.Add(p.n, r3.Add(r3.Scale(a, p.u), r3.Scale(b, p.v))))
	u := r3.Add(r3.Sub(p.u, r3.Scale(a, p.n)), r3.Scale(c, p.v))
	u = r3.Unit(r3.Sub(u, r3.Scale(r3.Dot(u, n), n)))
	return pose{n, u, r3.Cross(n, u)}
}

// search looks over all views at some turns each, then makes the best of them and start finer by turns in changing
// directions that halve when none helps. It gives the poses that it came to.
func (f *fitter) search(ratio func(pose) float64, start pose, keep int) []pose {
	type seen struct {
		p pose
		r float64
	}
	const rough = 12
	list := make([]seen, 0, len(views)*rough)
	for _, n := range views {
		u, v := frame(n)
		best := seen{r: math.Inf(1)}
		for k := range rough {
			s, c := math.Sincos(math.Pi * float64(k) / rough)
			p := pose{n, r3.Add(r3.Scale(c, u), r3.Scale(s, v)), r3.Sub(r3.Scale(c, v), r3.Scale(s, u))}
			if r := ratio(p); r < best.r {
				best = seen{p, r}
			}
		}
		list = append(list, best)
	}
	slices.SortStableFunc(list, func(a, b seen) int { return cmp.Compare(a.r, b.r) })
	poses := []pose{start}
	for _, s := range list {
		near := false
		for _, o := range poses {
			near = near || math.Abs(r3.Dot(s.p.n, o.n)) > 0.98
		}
		if !near {
			poses = append(poses, s.p)
		}
		if len(poses) > keep {
			break
		}
	}
	for i := range poses {
		poses[i] = f.finer(ratio, poses[i])
	}
	return poses
}

// finer improves a pose. The directions follow a fixed sequence, so that the answer is always the same.
func (f *fitter) finer(ratio func(pose) float64, p pose) pose {
	r := ratio(p)
	seed := uint32(1)
	next := func() float64 { // a multiplicative congruential sequence (Lehmer), in -1..1
		seed = uint32(uint64(seed) * 48271 % 2147483647)
		return float64(seed)/1073741823.5 - 1
	}
	for step := 0.1; step > 2e-6; step *= 0.6 {
		for miss := 0; miss < 9; {
			a, b, c := step*next(), step*next(), step*next()
			if q := p.turned(a, b, c); ratio(q) < r {
				p, r, miss = q, ratio(q), 0
			} else if q = p.turned(-a, -b, -c); ratio(q) < r {
				p, r, miss = q, ratio(q), 0
			} else {
				miss++
			}
		}
	}
	return p
}
