package plane

import (
	"math"
	"slices"
)

// A bound limits a rectangle on its left or right: x = at + slope*y, where y is the rectangle's lower (lower true) or
// upper side; a corner of the polygon is a bound with slope zero.
type bound struct {
	at, slope float64
	lower     bool
}

func (b bound) x(y0, y1 float64) float64 {
	if b.lower {
		return b.at + b.slope*y0
	}
	return b.at + b.slope*y1
}

// rectSearch looks for the largest rectangle in g.
type rectSearch struct {
	g           Polygon
	tol         float64
	left, right []bound
	best        Rect
	blocked     [][2]float64 // scratch
}

// LargestRect returns the largest axis-parallel rectangle inside a simple polygon, convex or not; of several equally
// large ones always the same. It is the zero Rect when the polygon has no area.
//
// The left and right sides of the best rectangle are held by a corner of the polygon or by a sloping edge that touches
// a corner of the rectangle, so its area is a polynomial of its lower and upper side. Every pair of sides is tried at
// which that polynomial can have its maximum: at the height of a corner, where two bounds change over, and where the
// derivative is zero. Each candidate is then measured against the polygon itself.
func (g Polygon) LargestRect() Rect {
	if len(g) < 3 || g.Area() == 0 {
		return Rect{}
	}
	s := &rectSearch{g: g.CCW(), tol: Slack * 1e-2 * g.Bounds().Diagonal()}
	s.bounds()
	heights := s.cornerHeights()
	s.between(heights, heights)
	heights = s.levels(heights)
	s.between(heights, heights)
	for _, y := range heights {
		s.oneFixed(y)
	}
	s.bothFree()
	return s.best
}

// bounds lists what can hold the left and the right side.
func (s *rectSearch) bounds() {
	for i := range s.g {
		a, b := s.g.Edge(i)
		s.left = append(s.left, bound{at: a.X})
		s.right = append(s.right, bound{at: a.X})
		dy := b.Y - a.Y
		if math.Abs(dy) <= s.tol || math.Abs(b.X-a.X) <= s.tol {
			continue
		}
		slope := (b.X - a.X) / dy
		at := a.X - slope*a.Y
		if dy > 0 { // going up: inside to the left, holds the right side
			s.right = append(s.right, bound{at, slope, slope > 0})
		} else {
			s.left = append(s.left, bound{at, slope, slope < 0})
		}
	}
}

func (s *rectSearch) cornerHeights() []float64 {
	var ys []float64
	for _, p := range s.g {
		ys = append(ys, p.Y)
	}
	return s.distinct(ys)
}

// levels adds to the heights those at which a sloping edge stands over or under another corner.
func (s *rectSearch) levels(ys []float64) []float64 {
	ys = slices.Clone(ys)
	for i := range s.g {
		a, b := s.g.Edge(i)
		for _, p := range s.g {
			if (a.X < p.X) != (b.X < p.X) {
				ys = append(ys, a.Y+(p.X-a.X)/(b.X-a.X)*(b.Y-a.Y))
			}
		}
	}
	return s.distinct(ys)
}

func (s *rectSearch) distinct(ys []float64) []float64 {
	slices.Sort(ys)
	return slices.CompactFunc(ys, func(a, b float64) bool { return math.Abs(b-a) <= s.tol })
}

// between measures the rectangles between each pair of heights.
func (s *rectSearch) between(lower, upper []float64) {
	for _, y0 := range lower {
		for _, y1 := range upper {
			s.measure(y0, y1, math.Inf(1))
		}
	}
}

// oneFixed tries y as the lower and as the upper side, with the other side where the area may be greatest.
func (s *rectSearch) oneFixed(y float64) {
	try := func(other float64, area func(y0, y1 float64) float64) {
		y0, y1 := min(y, other), max(y, other)
		s.measure(y0, y1, area(y0, y1))
	}
	any := func(y0, y1 float64) float64 { return math.Inf(1) }
	for _, side := range [2][]bound{s.left, s.right} {
		for _, f := range side {
			for _, h := range side {
				if f.slope != 0 && h.slope != 0 && f.lower != h.lower {
					try((h.at+h.slope*y-f.at)/f.slope, any)
				}
			}
		}
	}
	for _, l := range s.left {
		for _, r := range s.right {
			area := func(y0, y1 float64) float64 { return (y1 - y0) * (r.x(y0, y1) - l.x(y0, y1)) }
			for _, lower := range [2]bool{false, true} {
				// width = w + k*t with t the side that moves: (t-y)(w+kt) is greatest where w + k(2t-y) = 0.
				w, k := r.at-l.at, 0.0
				for _, b := range [2]struct {
					bound
					sign float64
				}{{r, 1}, {l, -1}} {
					if b.lower == lower {
						k += b.sign * b.slope
					} else {
						w += b.sign * b.slope * y
					}
				}
				if k == 0 {
					continue
				}
				if t := (y - w/k) / 2; (t < y) == lower {
					try(t, area)
				}
			}
		}
	}
}

// A kink is a straight relation y1 = p + q*y0 along which the bound of one side changes over.
type kink struct{ p, q float64 }

func kinks(side []bound) []kink {
	var list []kink
	for _, f := range side {
		for _, h := range side {
			if f.lower && !h.lower && f.slope != 0 && h.slope != 0 {
				list = append(list, kink{(f.at - h.at) / h.slope, f.slope / h.slope})
			}
		}
	}
	return list
}

// bothFree tries rectangles neither of whose lower and upper sides is at a known height: both ends held by change-overs,
// or one and the derivative along it zero.
func (s *rectSearch) bothFree() {
	left, right := kinks(s.left), kinks(s.right)
	for _, a := range left {
		for _, b := range right {
			if d := a.q - b.q; math.Abs(d) > Slack {
				y0 := (b.p - a.p) / d
				s.measure(y0, a.p+a.q*y0, math.Inf(1))
			}
		}
	}
	for _, k := range append(left, right...) {
		for _, l := range s.left {
			for _, r := range s.right {
				s.along(k, l, r)
			}
		}
	}
}

// along maximises (y1-y0)(r-l) along a kink, where all is linear in y0: height = a + b y0, width = c + d y0.
func (s *rectSearch) along(k kink, l, r bound) {
	a, b := k.p, k.q-1
	part := func(f bound) (at, slope float64) {
		if f.lower {
			return f.at, f.slope
		}
		return f.at + f.slope*k.p, f.slope * k.q
	}
	lc, ld := part(l)
	rc, rd := part(r)
	c, d := rc-lc, rd-ld
	if b*d >= 0 {
		return // no maximum in the inside
	}
	y0 := -(a*d + b*c) / (2 * b * d)
	s.measure(y0, k.p+k.q*y0, (a+b*y0)*(c+d*y0))
}

// measure finds the widest rectangle between y0 and y1 inside the polygon, and keeps it if it is the best so far. atMost
// is an upper limit of the area, to spare hopeless ones.
func (s *rectSearch) measure(y0, y1, atMost float64) {
	best := s.best.Area() * (1 + Slack)
	if y1-y0 <= s.tol || atMost <= best {
		return
	}
	r := s.g.Bounds()
	if y0 < r.Min.Y-s.tol || y1 > r.Max.Y+s.tol || (y1-y0)*r.Width() <= best {
		return
	}
	s.block(y0, y1)
	x := r.Min.X
	for _, b := range s.blocked {
		if (b[0]-x)*(y1-y0) > best && b[0]-x > s.tol && s.g.encloses(Point{(x + b[0]) / 2, (y0 + y1) / 2}) {
			s.best = Rect{Point{x, y0}, Point{b[0], y1}}
			best = s.best.Area() * (1 + Slack)
		}
		x = max(x, b[1])
	}
}

// block lists, from left to right, the stretches of x in which an edge lies between the heights y0 and y1.
func (s *rectSearch) block(y0, y1 float64) {
	s.blocked = s.blocked[:0]
	for i, a := range s.g {
		b := s.g[(i+1)%len(s.g)]
		if a.Y > b.Y {
			a, b = b, a
		}
		if a.Y >= y1-s.tol || b.Y <= y0+s.tol {
			continue
		}
		xa, xb := a.X, b.X
		if b.Y-a.Y > s.tol {
			slope := (b.X - a.X) / (b.Y - a.Y)
			if a.Y < y0-s.tol {
				xa = a.X + slope*(y0-a.Y)
			}
			if b.Y > y1+s.tol {
				xb = b.X - slope*(b.Y-y1)
			}
		}
		s.blocked = append(s.blocked, [2]float64{min(xa, xb), max(xa, xb)})
	}
	slices.SortFunc(s.blocked, func(a, b [2]float64) int { return cmpFloat(a[0], b[0]) })
}
