package panels

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/plane"
)

// Bounds of the search for a place.
const (
	gridPitch = 25e-3 // of the places that are tried on a face, at least
	gridMost  = 11    // of them along a side, at most
	fineStep  = 0.25e-3
	fineMost  = 120 // places tried round the best one

	coarseStep = 8e-3 // the same of a coarse look
	coarseMost = 16
)

// wanted is what is looked for on a face: a place in the rectangle where value is at least enough; places nearer to like come
// first. Value may give any figure at most bar as soon as it cannot be more than that.
type wanted struct {
	in     plane.Rect // where the middle of the thing may lie
	like   plane.Point
	first  []plane.Point // tried before all others, in their order
	only   bool          // nothing but these
	corner bool          // the same places, but from the lower left corner on
	enough float64
	over   *float64 // only places that are worth more than this count; nil: all
	coarse int      // places along a side, 0: gridMost; a coarse look is refined less
	value  func(p plane.Point, bar float64) float64
}

// found is the best place.
type found struct {
	at    plane.Point
	value float64
}

// place looks over the whole rectangle: a grid that holds the liked place and both edges, then, if nothing there is enough, ever
// finer about the best. It gives the first place that is enough, else the best; its value is -Inf where there is none at all.
// The same input always gives the same place. This is the one function by which everything is placed.
func (w wanted) place() found {
	bar := math.Inf(-1)
	if w.over != nil {
		bar = *w.over
	}
	best := found{at: w.like, value: math.Inf(-1)}
	try := func(p plane.Point) bool {
		if v := w.value(p, bar); v > bar {
			best, bar = found{p, v}, v
		}
		return best.value >= w.enough
	}
	for _, p := range w.first {
		if try(p) {
			return best
		}
	}
	if w.only || w.in.Width() < -rounding || w.in.Height() < -rounding {
		return best
	}
	for _, p := range w.grid() {
		if try(p) {
			return best
		}
	}
	if math.IsInf(best.value, -1) {
		return best
	}
	w.refine(&best, try)
	return best
}

// refine looks about the best place in ever smaller steps.
func (w wanted) refine(best *found, try func(plane.Point) bool) {
	n := float64(w.most() - 1)
	step := math.Max(math.Max(w.in.Width(), w.in.Height())/n, gridPitch) / 2
	tries, least, most := 0, fineStep, fineMost
	if w.coarse > 0 {
		least, most = coarseStep, coarseMost
	}
	for step >= least && tries < most {
		from := best.at
		for _, d := range [...]plane.Point{{X: step}, {X: -step}, {Y: step}, {Y: -step}, {X: step, Y: step}, {X: -step, Y: step}, {X: step, Y: -step}, {X: -step, Y: -step}} {
			p := from.Add(d)
			p.X, p.Y = clamp(p.X, w.in.Min.X, w.in.Max.X), clamp(p.Y, w.in.Min.Y, w.in.Max.Y)
			tries++
			if try(p) {
				return
			}
		}
		if best.at == from {
			step /= 2
		}
	}
}

func (w wanted) most() int {
	if w.coarse > 0 {
		return w.coarse
	}
	return gridMost
}

// drawn is a rectangle whose sides may not have come past each other: they meet in the middle then.
func drawn(r plane.Rect) plane.Rect {
	at := func(x, y float64) plane.Point {
		return plane.Point{X: clamp(x, r.Min.X, r.Max.X), Y: clamp(y, r.Min.Y, r.Max.Y)}
	}
	return plane.Rect{Min: at(r.Min.X, r.Min.Y), Max: at(r.Max.X, r.Max.Y)}
}

// clamp draws v into lo..hi; the middle where lo is more than hi.
func clamp(v, lo, hi float64) float64 {
	if lo > hi {
		return (lo + hi) / 2
	}
	return math.Min(math.Max(v, lo), hi)
}

// grid lists the places to try, nearest to the liked one first.
func (w wanted) grid() []plane.Point {
	like := plane.Point{X: clamp(w.like.X, w.in.Min.X, w.in.Max.X), Y: clamp(w.like.Y, w.in.Min.Y, w.in.Max.Y)}
	xs, ys := w.marks(w.in.Min.X, w.in.Max.X, like.X), w.marks(w.in.Min.Y, w.in.Max.Y, like.Y)
	out := make([]plane.Point, 0, len(xs)*len(ys))
	for _, y := range ys {
		for _, x := range xs {
			out = append(out, plane.Point{X: x, Y: y})
		}
	}
	from := like
	if w.corner {
		from = w.in.Min
	}
	far := func(p plane.Point) float64 {
		d := p.Sub(from)
		return d.Dot(d)
	}
	slices.SortStableFunc(out, func(a, b plane.Point) int {
		return cmp.Or(cmp.Compare(math.Round(far(a)*1e12), math.Round(far(b)*1e12)), cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X))
	})
	return out
}

// marks are the places along one side: both ends, the liked one, and evenly between.
func (w wanted) marks(lo, hi, like float64) []float64 {
	if hi-lo < 1e-6 {
		return []float64{like}
	}
	n := min(w.most(), int((hi-lo)/gridPitch)+2)
	out := []float64{like}
	for k := range n {
		x := lo + (hi-lo)*float64(k)/float64(n-1)
		if k > 0 && k < n-1 && math.Abs(x-like) < gridPitch/4 {
			continue
		}
		if math.Abs(x-like) > 1e-6 {
			out = append(out, x)
		}
	}
	return out
}

// group is how several like things stand to the middle of them all.
type group struct {
	at     []plane.Point
	hx, hy float64 // half of the rectangle through their middles
}

// groups gives the ways to stand n things with the given distance between middles: a row, a column, two rows.
func groups(n int, pitch float64) []group {
	if n <= 1 {
		return []group{{at: []plane.Point{{}}}}
	}
	row := func(cols, rows int) group {
		g := group{hx: float64(cols-1) / 2 * pitch, hy: float64(rows-1) / 2 * pitch}
		for k := range n {
			in := min(cols, n-k/cols*cols) // the last row may be short: it is centred
			x := float64(k%cols) - float64(in-1)/2
			g.at = append(g.at, plane.Point{X: x * pitch, Y: g.hy - float64(k/cols)*pitch})
		}
		return g
	}
	out := []group{row(n, 1), row(1, n)}
	if n > 2 {
		half := (n + 1) / 2
		out = append(out, row(half, 2))
		if n > 4 {
			out = append(out, row(2, half))
		}
	}
	return out
}

// inside is where the middle of the group may lie so that every member keeps margin to the bounds of the face.
func (g group) inside(free plane.Rect, margin float64) plane.Rect {
	return plane.Rect{
		Min: plane.Point{X: free.Min.X + margin + g.hx, Y: free.Min.Y + margin + g.hy},
		Max: plane.Point{X: free.Max.X - margin - g.hx, Y: free.Max.Y - margin - g.hy}}
}
