package nest

import (
	"cmp"
	"math"
	"slices"
)

// attitude is how a part lies: mirrored about the y axis first, then turned counter-clockwise by quarters.
type attitude struct {
	flip  bool
	turns int
}

// of is an outline in an attitude, counter-clockwise, its extents from 0, 0.
func (a attitude) of(g [][2]Um) [][2]Um {
	out := slices.Clone(g)
	for i, p := range out {
		if a.flip {
			p[0] = -p[0]
		}
		for range a.turns {
			p = [2]Um{-p[1], p[0]}
		}
		out[i] = p
	}
	if a.flip {
		slices.Reverse(out)
	}
	lo, _ := extents(out)
	return shiftBy(out, -lo[0], -lo[1])
}

// attitudeOf finds the attitude in which an outline lies where it has been laid.
func attitudeOf(g, laid [][2]Um, flip bool) attitude {
	lo, _ := extents(laid)
	at := shiftBy(laid, -lo[0], -lo[1])
	for turns := range 4 {
		a := attitude{flip, turns}
		h := a.of(g)
		if !slices.ContainsFunc(tidy(at), func(p [2]Um) bool { return !slices.Contains(h, p) }) {
			return a
		}
	}
	return attitude{flip: flip}
}

// fromLeft orders points from left to right, then upward.
func fromLeft(a, b [2]Um) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) }

func shiftBy(g [][2]Um, x, y Um) [][2]Um {
	out := make([][2]Um, len(g))
	for i, p := range g {
		out[i] = [2]Um{p[0] + x, p[1] + y}
	}
	return out
}

func extents(g [][2]Um) (lo, hi [2]Um) {
	lo, hi = g[0], g[0]
	for _, p := range g {
		for k := range p {
			lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
		}
	}
	return lo, hi
}

// outlineOf is a part's outline, counter-clockwise, or its rectangle.
func outlineOf(p Part) [][2]Um {
	g := tidy(p.Outline)
	if len(g) < 3 || !simple(g) {
		return [][2]Um{{0, 0}, {p.Length, 0}, {p.Length, p.Width}, {0, p.Width}}
	}
	if doubleArea(g) < 0 {
		g = slices.Clone(g)
		slices.Reverse(g)
	}
	return g
}

// doubleArea is twice the area of an outline, + counter-clockwise.
func doubleArea(g [][2]Um) Um {
	sum := Um(0)
	for i, p := range g {
		q := g[(i+1)%len(g)]
		sum += p[0]*q[1] - p[1]*q[0]
	}
	return sum
}

// turnOf is the cross product of pq and pr: + when r lies to the left. Exact: sides are below MaxSize.
func turnOf(p, q, r [2]Um) Um { return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0]) }

// simple reports whether no two sides cross.
func simple(g [][2]Um) bool {
	sign := func(v Um) int { return cmp.Compare(v, 0) }
	n := len(g)
	for i := range g {
		for j := i + 2; j < n; j++ {
			if i == 0 && j == n-1 {
				continue
			}
			a, b, c, d := g[i], g[i+1], g[j], g[(j+1)%n]
			if sign(turnOf(a, b, c)) != sign(turnOf(a, b, d)) && sign(turnOf(c, d, a)) != sign(turnOf(c, d, b)) {
				return false
			}
		}
	}
	return true
}

// hull is a convex outline, counter-clockwise, with its extents.
type hull struct {
	at     [][2]Um
	lo, hi [2]Um
}

func hullOf(g [][2]Um) hull {
	lo, hi := extents(g)
	return hull{g, lo, hi}
}

// shape is a part in one attitude: its outline, the convex pieces that cover it, and the same grown by the clearance.
type shape struct {
	attitude
	outline [][2]Um
	w, h    Um
	pieces  [][][2]Um
	grown   [][][2]Um
}

// shapes are the attitudes that a part may lie in, without those that look alike.
func (b *router) shapes(p Part) []*shape {
	var turns []int
	switch {
	case p.Grain == "width":
		turns = []int{1, 3}
	case p.Grain == "length" || b.noTurn:
		turns = []int{0, 2}
	default:
		turns = []int{0, 1, 2, 3}
	}
	g := outlineOf(p)
	var out []*shape
	for _, flip := range []bool{false, true} {
		if flip && p.PairWith == "" {
			break
		}
		for _, t := range turns {
			a := attitude{flip, t}
			h := a.of(g)
			if slices.ContainsFunc(out, func(s *shape) bool { return sameOutline(s.outline, h) }) {
				continue
			}
			_, hi := extents(h)
			s := &shape{attitude: a, outline: h, w: hi[0], h: hi[1], pieces: convexPieces(h)}
			for _, q := range s.pieces {
				s.grown = append(s.grown, grow(q, b.clearance))
			}
			out = append(out, s)
		}
	}
	return out
}

func sameOutline(a, b [][2]Um) bool {
	return len(a) == len(b) && !slices.ContainsFunc(a, func(p [2]Um) bool { return !slices.Contains(b, p) })
}

// convexPieces cuts an outline into convex pieces: itself, or triangles by clipping ears, joined where they stay
// convex.
func convexPieces(g [][2]Um) [][][2]Um {
	if isConvex(g) {
		return [][][2]Um{g}
	}
	rest := slices.Clone(g)
	var out [][][2]Um
	for len(rest) > 3 {
		n, cut := len(rest), -1
		for i := range rest {
			a, b, c := rest[(i+n-1)%n], rest[i], rest[(i+1)%n]
			if turnOf(a, b, c) <= 0 {
				continue
			}
			inside := slices.ContainsFunc(rest, func(q [2]Um) bool {
				return q != a && q != b && q != c && turnOf(a, b, q) >= 0 && turnOf(b, c, q) >= 0 && turnOf(c, a, q) >= 0
			})
			if !inside {
				cut = i
				out = append(out, [][2]Um{a, b, c})
				break
			}
		}
		if cut < 0 { // nothing but an outline that touches itself: its convex hull covers it
			return [][][2]Um{convexHull(g)}
		}
		rest = tidy(slices.Delete(rest, cut, cut+1))
	}
	if len(rest) == 3 {
		out = append(out, rest)
	}
	for i := 0; i < len(out); i++ {
		for j := i + 1; j < len(out); j++ {
			if both := joined(out[i], out[j]); both != nil {
				out[i] = both
				out = slices.Delete(out, j, j+1)
				j = i
			}
		}
	}
	return out
}

// joined is two convex pieces that share a side as one, or nil when that is not convex.
func joined(a, b [][2]Um) [][2]Um {
	for i := range a {
		for j := range b {
			if a[i] == b[(j+1)%len(b)] && a[(i+1)%len(a)] == b[j] {
				var g [][2]Um
				for k := range len(a) {
					g = append(g, a[(i+1+k)%len(a)])
				}
				for k := 1; k < len(b)-1; k++ {
					g = append(g, b[(j+1+k)%len(b)])
				}
				if g = tidy(g); isConvex(g) {
					return g
				}
			}
		}
	}
	return nil
}

func isConvex(g [][2]Um) bool {
	n := len(g)
	for i := range g {
		if turnOf(g[i], g[(i+1)%n], g[(i+2)%n]) < 0 {
			return false
		}
	}
	return n >= 3
}

// convexHull by the monotone chain (Andrew 1979, from memory).
func convexHull(g [][2]Um) [][2]Um {
	p := slices.Clone(g)
	slices.SortFunc(p, fromLeft)
	half := func() [][2]Um {
		var h [][2]Um
		for _, q := range p {
			for len(h) > 1 && turnOf(h[len(h)-2], h[len(h)-1], q) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		return h[:len(h)-1]
	}
	low := half()
	slices.Reverse(p)
	return append(low, half()...)
}

// grow is a convex piece and all that lies within c of it, with some more at its corners, in whole micrometres. Every
// side of the result lies c or more beyond every corner of the piece, which is checked.
func grow(g [][2]Um, c Um) [][2]Um {
	for extra := 1.0; ; extra++ {
		var out [][2]Um
		n := len(g)
		d := float64(c) + extra
		for i := range g {
			a, p, b := g[(i+n-1)%n], g[i], g[(i+1)%n]
			n1, n2 := outward(a, p), outward(p, b)
			dot := n1[0]*n2[0] + n1[1]*n2[1]
			at := func(v [2]float64, k float64) [2]Um {
				return [2]Um{p[0] + Um(math.Round(v[0]*k)), p[1] + Um(math.Round(v[1]*k))}
			}
			m := [2]float64{n1[0] + n2[0], n1[1] + n2[1]}
			if dot > -1e-9 { // the corner is 90 degrees or blunter: the two sides meet
				out = append(out, at(m, d/(1+dot)))
				continue
			}
			h := math.Hypot(m[0], m[1])
			if h < 1e-9 {
				m, h = [2]float64{-n1[1], n1[0]}, 1
			}
			m = [2]float64{m[0] / h, m[1] / h}
			for _, v := range [][2]float64{n1, n2} { // a side square to the corner's middle, d away, cuts its tip off
				k := 1 + v[0]*m[0] + v[1]*m[1]
				out = append(out, at([2]float64{v[0] + m[0], v[1] + m[1]}, d/k))
			}
		}
		if out = convexHull(out); clears(out, g, float64(c)) {
			return out
		}
	}
}

// outward is the unit normal of a side, pointing out of the outline.
func outward(a, b [2]Um) [2]float64 {
	x, y := float64(b[0]-a[0]), float64(b[1]-a[1])
	l := math.Hypot(x, y)
	return [2]float64{y / l, -x / l}
}

// clears reports whether every side of a convex outline lies c or more beyond all of g. The cross product is exact; the
// square root and the product are good to 1e-15 of lengths up to 6e7 um, so a margin of 1e-3 um is safe.
func clears(out, g [][2]Um, c float64) bool {
	for i := range out {
		p, q := out[i], out[(i+1)%len(out)]
		need := (c + 1e-3) * math.Hypot(float64(q[0]-p[0]), float64(q[1]-p[1]))
		for _, v := range g {
			if float64(turnOf(p, q, v)) < need {
				return false
			}
		}
	}
	return true
}
