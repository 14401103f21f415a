package cavity

import (
	"math"
	"slices"

	"cubby/internal/plane"
)

// A sloper looks for the largest convex sections inside g whose walls are level and upright but for one or two that slope:
// a rectangle cut off by one or two lines. The lines that are tried are those of the sloping walls of g and those through
// a reflex corner and another corner, which may then turn about the reflex one; for each the rectangle is placed by a
// search for its lower and upper side, its ends following exactly from g.
type sloper struct {
	g       plane.Polygon
	b       plane.Rect
	tol     float64
	heights []float64
	ridges  []float64 // slopes dy1/dy0 along which two walls of g hold one end of the rectangle at once
	lines   []cutter
	cut     []float64   // upper limit of the area with each line
	slabs   [][]float64 // area of g between two of the heights
	least   float64     // shortest wall
	toe     float64     // sharpest corner
	strict  bool        // take only sections that keep to both
	walls   []wall
	blocked [][2]float64 // scratch
}

// A wall is an edge of g with its length.
type wall struct {
	a, b   plane.Point
	length float64
}

// A cutter is a line that cuts a section off: what stays is on the side where N.p >= C.
type cutter struct {
	plane.Line
	pivot plane.Point // the reflex corner about which it may turn
	turns bool
}

// turned returns the line turned about its pivot.
func (c cutter) turned(rad float64) cutter {
	c.N = c.N.Rotate(rad)
	c.C = c.N.Dot(c.pivot)
	return c
}

// A placed section is a rectangle, before it is cut off by lines.
type placed struct {
	lines  []cutter
	y0, y1 float64
	x0, x1 float64
	area   float64
}

const (
	refined    = 5    // how many of the best coarse placements are refined
	hopeful    = 0.85 // part of the wanted area that a coarse placement must have to be refined
	mostLines  = 60   // how many lines are tried, those that leave most
	paired     = 8    // how many of the best lines are tried in pairs
	refineFrom = 0.1  // first step of the refinement, of the height of the section
	refineTo   = 1e-7 // last step: a hundredth of a micrometre or so
)

func newSloper(g plane.Polygon, m mender) *sloper {
	s := &sloper{g: g, b: g.Bounds(), least: m.least, toe: toe}
	if m.keepToes {
		s.toe = 0
	}
	for i := range g {
		a, b := g.Edge(i)
		s.walls = append(s.walls, wall{a, b, b.Sub(a).Norm()})
	}
	s.tol = plane.Slack * s.b.Diagonal()
	for _, p := range g {
		s.heights = append(s.heights, p.Y)
	}
	slices.Sort(s.heights)
	s.heights = slices.CompactFunc(s.heights, func(a, b float64) bool { return math.Abs(a-b) <= s.tol })
	for _, y0 := range s.heights {
		above := cutOff(g, plane.Line{N: plane.Point{Y: 1}, C: y0})
		row := make([]float64, len(s.heights))
		for j, y1 := range s.heights {
			row[j] = cutOff(above, plane.Line{N: plane.Point{Y: -1}, C: -y1}).Area()
		}
		s.slabs = append(s.slabs, row)
	}
	s.findRidges()
	s.findLines()
	return s
}

func (s *sloper) findRidges() {
	type run struct {
		slope float64
		up    bool
	}
	var runs []run
	for i := range s.g {
		if a, b := s.g.Edge(i); sloping(a, b) {
			runs = append(runs, run{(b.X - a.X) / (b.Y - a.Y), b.Y > a.Y})
		}
	}
	for _, f := range runs {
		for _, h := range runs {
			if f.up == h.up && f.slope*h.slope < 0 && len(s.ridges) < 8 {
				s.ridges = append(s.ridges, f.slope/h.slope)
			}
		}
	}
}

func (s *sloper) findLines() {
	add := func(l cutter) {
		if math.Min(math.Abs(l.N.X), math.Abs(l.N.Y)) <= square {
			return
		}
		for _, o := range s.lines {
			if o.pivot == l.pivot && math.Abs(o.N.Cross(l.N)) < square && o.N.Dot(l.N) > 0 && math.Abs(o.C-l.C) < nearCorner {
				return
			}
		}
		s.lines = append(s.lines, l)
	}
	for i := range s.g {
		a, b := s.g.Edge(i)
		add(cutter{Line: plane.LineThrough(a, b)})
	}
	for i, p := range s.g {
		if s.g.InteriorAngle(i) <= math.Pi {
			continue
		}
		for _, q := range s.g {
			if q.Sub(p).Norm() > nearCorner {
				l := plane.LineThrough(p, q)
				add(cutter{l, p, true})
				add(cutter{plane.Line{N: l.N.Mul(-1), C: -l.C}, p, true})
			}
		}
	}
	for _, l := range s.lines {
		s.cut = append(s.cut, cutOff(s.g, l.Line).Area())
	}
	order := make([]int, len(s.lines))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp(s.cut[b], s.cut[a]) })
	order = order[:min(len(order), mostLines)]
	lines, cut := make([]cutter, len(order)), make([]float64, len(order))
	for k, i := range order {
		lines[k], cut[k] = s.lines[i], s.cut[i]
	}
	s.lines, s.cut = lines, cut
}

// cutOff clips a polygon by a half plane (Sutherland and Hodgman, 1974). The area is right for any polygon, the outline
// for convex ones.
func cutOff(g plane.Polygon, l plane.Line) plane.Polygon {
	out := make(plane.Polygon, 0, len(g)+2)
	for i, a := range g {
		b := g[(i+1)%len(g)]
		da, db := l.Distance(a), l.Distance(b)
		if da >= 0 {
			out = append(out, a)
		}
		if (da > 0 && db < 0) || (da < 0 && db > 0) {
			out = append(out, a.Add(b.Sub(a).Mul(da/(da-db))))
		}
	}
	return out
}

// sections returns the best sections with so many slopes that are larger than atLeast: some as large as can be, which may
// have to be mended, and some that need no mending.
func (s *sloper) sections(k ShapeKind, atLeast float64) []plane.Polygon {
	var out []plane.Polygon
	for _, s.strict = range [2]bool{false, true} {
		found := 0.0
		var list []placed
		s.combine(k, atLeast, func(lines ...cutter) {
			if p := s.coarse(lines, hopeful*atLeast); p.lines != nil {
				list = append(list, p)
			}
		})
		slices.SortStableFunc(list, func(a, b placed) int { return cmp(b.area, a.area) })
		for _, p := range unlike(list) {
			p = s.refine(p)
			if g := s.outline(p); p.area > atLeast && len(g) >= 3 {
				out = append(out, g)
				if s.buildable(g) {
					found = math.Max(found, p.area)
				}
			}
		}
		if len(out) > 0 && found >= out[0].Area() {
			break // as large as can be, and needs no mending
		}
	}
	return out
}

// rectangle returns the largest rectangle that is found with walls long enough, nil when none is: for sections whose largest
// rectangle is too flat to build.
func (s *sloper) rectangle() plane.Polygon {
	s.strict = true
	if p := s.coarse([]cutter{}, 0); p.lines != nil {
		return s.outline(s.refine(p))
	}
	return nil
}

// unlike picks the first few placements whose lines turn about different corners: those about the same one most often
// climb to the same top.
func unlike(list []placed) []placed {
	var out []placed
	for _, p := range list {
		alike := slices.ContainsFunc(out, func(o placed) bool {
			return slices.EqualFunc(o.lines, p.lines, func(a, b cutter) bool { return a.turns && b.turns && a.pivot == b.pivot })
		})
		if alike {
			continue
		}
		if out = append(out, p); len(out) == refined {
			break
		}
	}
	return out
}

// combine calls try with every line or pair of lines that may leave more than atLeast.
func (s *sloper) combine(k ShapeKind, atLeast float64, try func(...cutter)) {
	for i, l := range s.lines {
		if s.cut[i] <= atLeast {
			break
		}
		if k == OneSlope {
			try(l)
			continue
		}
		for j := i + 1; j < len(s.lines) && j < paired; j++ {
			if s.cut[j] > atLeast {
				try(l, s.lines[j])
			}
		}
	}
}

// coarse tries all pairs of heights of corners; the result has no lines when none gives more than atLeast.
func (s *sloper) coarse(lines []cutter, atLeast float64) placed {
	best := placed{area: atLeast}
	for i, y0 := range s.heights {
		for j := len(s.heights) - 1; j > i; j-- {
			if s.slabs[i][j] <= best.area {
				break
			}
			if p := s.place(lines, y0, s.heights[j], best.area); p.area > best.area {
				best = p
			}
		}
	}
	return best
}

// refine moves the lower and the upper side, alone, together and along ridges, and turns the lines that may turn, as long
// as the area grows, by ever smaller steps; then it tries to set each side on the height of a corner, so that figures
// that are exact stay exact.
func (s *sloper) refine(best placed) placed {
	type move struct{ d0, d1 float64 }
	moves := []move{{1, 0}, {0, 1}, {1, 1}, {1, -1}}
	for _, q := range s.ridges {
		n := math.Hypot(1, q)
		moves = append(moves, move{1 / n, q / n})
	}
	for step := refineFrom; step > refineTo; step /= 2 {
		h := step * s.b.Height()
		for _, m := range moves {
			for _, sign := range [2]float64{h, -h} {
				best = s.climb(best, func(p placed) ([]cutter, float64, float64) {
					return p.lines, p.y0 + sign*m.d0, p.y1 + sign*m.d1
				})
			}
		}
		for i, l := range best.lines {
			for _, sign := range [2]float64{step, -step} {
				if !l.turns {
					continue
				}
				best = s.climb(best, func(p placed) ([]cutter, float64, float64) {
					lines := slices.Clone(p.lines)
					lines[i] = lines[i].turned(sign)
					return lines, p.y0, p.y1
				})
			}
		}
	}
	return s.settle(best)
}

// climb repeats a move while the area grows.
func (s *sloper) climb(best placed, move func(placed) ([]cutter, float64, float64)) placed {
	for range 8 {
		lines, y0, y1 := move(best)
		p := s.place(lines, y0, y1, best.area)
		if p.area <= best.area {
			break
		}
		best = p
	}
	return best
}

// settle sets the sides on the heights of corners that they are next to.
func (s *sloper) settle(best placed) placed {
	const near = 1e-6 // of the height: ten last steps of the search
	for _, y := range s.heights {
		for _, c := range [2][2]float64{{y, best.y1}, {best.y0, y}} {
			if math.Abs(c[0]-best.y0)+math.Abs(c[1]-best.y1) < near*s.b.Height() {
				if p := s.place(best.lines, c[0], c[1], 0); p.area >= best.area*(1-near) {
					best = p
				}
			}
		}
	}
	return best
}

// place finds, between two heights, the rectangle that leaves most when cut off by the lines.
func (s *sloper) place(lines []cutter, y0, y1, atLeast float64) placed {
	best := placed{lines: lines}
	if y0 < s.b.Min.Y-s.tol || y1 > s.b.Max.Y+s.tol || (y1-y0)*s.b.Width() <= atLeast {
		return best
	}
	s.block(lines, y0, y1)
	s.blocked = append(s.blocked, [2]float64{s.b.Max.X, s.b.Max.X})
	x := s.b.Min.X
	for _, b := range s.blocked {
		if b[0]-x > s.tol && (b[0]-x)*(y1-y0) > atLeast {
			p := placed{lines: lines, y0: y0, y1: y1, x0: x, x1: b[0]}
			g := s.outline(p)
			if p.area = g.Area(); p.area > best.area && p.area > atLeast && (!s.strict || s.buildable(g)) && s.g.Contains(g.Centroid()) {
				best, atLeast = p, p.area
			}
		}
		x = math.Max(x, b[1])
	}
	return best
}

// buildable reports whether no wall of a convex section is too short and no corner too sharp.
func (s *sloper) buildable(g plane.Polygon) bool {
	for i := range g {
		a, b := g.Edge(i)
		if d := b.Sub(a); d.Dot(d) < s.least*s.least || g.InteriorAngle(i) < s.toe {
			return false
		}
	}
	return true
}

// outline returns the rectangle cut off by the lines.
func (s *sloper) outline(p placed) plane.Polygon {
	g := plane.Rect{Min: plane.Point{X: p.x0, Y: p.y0}, Max: plane.Point{X: p.x1, Y: p.y1}}.Polygon()
	for _, l := range p.lines {
		g = cutOff(g, l.Line)
	}
	return g
}

// block lists, from left to right, the stretches of x in which a wall of g lies between the heights and inside all lines.
func (s *sloper) block(lines []cutter, y0, y1 float64) {
	s.blocked = s.blocked[:0]
	for _, w := range s.walls {
		a, b := w.a, w.b
		t0, t1 := 0.0, 1.0
		within := func(da, db float64) {
			// Keep the part of the wall on which the distance is positive by more than rounding.
			switch {
			case da <= s.tol && db <= s.tol:
				t0, t1 = 1, 0
			case da < 0:
				t0 = math.Max(t0, da/(da-db))
			case db < 0:
				t1 = math.Min(t1, da/(da-db))
			}
		}
		within(a.Y-y0, b.Y-y0)
		within(y1-a.Y, y1-b.Y)
		for _, l := range lines {
			within(l.Distance(a), l.Distance(b))
		}
		if (t1-t0)*w.length <= s.tol {
			continue
		}
		xa, xb := a.X+t0*(b.X-a.X), a.X+t1*(b.X-a.X)
		s.blocked = append(s.blocked, [2]float64{math.Min(xa, xb), math.Max(xa, xb)})
	}
	slices.SortFunc(s.blocked, func(a, b [2]float64) int { return cmp(a[0], b[0]) })
}
