package cavity

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Way is a way to make a region smaller. The floor side is always kept; so is the front, where the way does not say.
type Way int8

// The ways.
const (
	KeepLow   Way = iota // shorter along its axis, the low end kept
	KeepHigh             // shorter along its axis, the high end kept
	ByWidth              // the right side moves in parallel; the others in the order of the axes
	ByDepth              // the back moves in parallel
	ByHeight             // the top moves in parallel
	EvenLeft             // a rectangle: its longest sizes first, the left side kept
	EvenRight            // a rectangle: its longest sizes first, the right side kept
)

// Ways lists the ways that make sense for a region when a job fixes none.
func (r *Region) Ways() []Way {
	if !r.Rectangle {
		return []Way{KeepLow, KeepHigh}
	}
	ways := []Way{KeepLow, KeepHigh}
	for _, axis := range axes {
		if axis != r.Axis {
			ways = append(ways, ByWidth+Way(axis))
		}
	}
	return append(ways, EvenLeft, EvenRight)
}

// Shrunk is a region made smaller: share, over 0 to 1, is how much of the size that the way changes is kept. It is false
// when no region is left or a pocket can no longer be built.
func (m *Room) Shrunk(r Region, way Way, share float64, l Limits) (Region, bool) {
	if !(share > 0 && share <= 1) {
		return r, false
	}
	b, low := r.Bounds(), r.Section.Bounds().Min.Y
	switch way {
	case KeepLow:
		r.Hi = r.Lo + share*(r.Hi-r.Lo)
	case KeepHigh:
		r.Lo = r.Hi - share*(r.Hi-r.Lo)
	case ByWidth, ByDepth, ByHeight:
		axis := Axis(way - ByWidth)
		least := axis.Of(b.Min)
		r.moveIn(axis, least+share*(axis.Of(b.Max)-least))
	default:
		w, d, h := b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, b.Max.Z-b.Min.Z
		most := share * math.Max(w, math.Max(d, h))
		x0, x1 := b.Min.X, b.Min.X+math.Min(w, most)
		if way == EvenRight {
			x0, x1 = b.Max.X-math.Min(w, most), b.Max.X
		}
		lo, hi := b.Min, b.Max
		lo.X, hi.X = x0, x1
		hi.Y, hi.Z = lo.Y+math.Min(d, most), lo.Z+math.Min(h, most)
		r.Lo, r.Hi = r.Axis.Of(lo), r.Axis.Of(hi)
		r.Section = plane.Rect{Min: r.Axis.Section(lo), Max: r.Axis.Section(hi)}.Polygon()
	}
	return m.remade(r, low, l)
}

// remade is a region that was cut, of whose section the lowest corner was at low, measured again; false when it is none or a
// pocket can no longer be built.
func (m *Room) remade(r Region, low float64, l Limits) (Region, bool) {
	l.fill()
	s := shop{least: l.LeastWall, board: l.Board, toes: l.KeepToes}
	if len(r.Section) >= 3 && r.Leans != [2]float64{} { // a cut may have taken the lowest corner
		up := r.Section.Bounds().Min.Y - low
		r.Lo, r.Hi = r.Lo+r.Leans[0]*up, r.Hi-r.Leans[1]*up
	}
	if len(r.Section) < 3 || !r.longEnough(s.least) || !s.builds(r.Section) {
		return r, false
	}
	if _, ok := m.pocketed(&r, r.around, s); !ok {
		return r, false
	}
	r.measure(s)
	return r, true
}

// moveIn moves the far face along an axis to at.
func (r *Region) moveIn(axis Axis, at float64) {
	if axis == r.Axis {
		r.Hi = at
		return
	}
	r.Section = cut(r.Section, plane.Line{N: r.Axis.Section(r3.Scale(-1, axis.Unit())), C: -at})
}

// PulledIn is a region whose face that looks to a side of the space is moved in by a length, m, in parallel: an end of it, or the
// wall of its section that looks there. It is false when there is none, or no region is left.
func (m *Room) PulledIn(r Region, side Side, by float64, l Limits) (Region, bool) {
	axis, out := side.axis()
	low := r.Section.Bounds().Min.Y
	switch {
	case axis == r.Axis && out < 0:
		r.Lo += by * math.Hypot(1, r.Leans[0])
	case axis == r.Axis:
		r.Hi -= by * math.Hypot(1, r.Leans[1])
	default:
		wall := r.facing(r.Axis.Section(r3.Scale(out, axis.Unit())))
		if wall < 0 {
			return r, false
		}
		r.Section = cut(r.Section, plane.LineThrough(r.Section.Edge(wall)).Offset(by))
	}
	return m.remade(r, low, l)
}

// facing is the wall of the section that looks a way of the section: of those that do within 30 degrees the outermost, of others
// the one that does most; -1: none within 60.
func (r *Region) facing(way plane.Point) int {
	at, best := -1, math.Inf(-1)
	for i := range r.Section {
		a, b := r.Section.Edge(i)
		looks, far := way.Cross(b.Sub(a).Unit()), a.Add(b).Dot(way)/2
		if looks < math.Sqrt(3)/2 {
			far = looks - beyond
		}
		if looks > 0.5 && far > best {
			at, best = i, far
		}
	}
	return at
}

// Fit makes a region smaller in one way until its air is the wish, to a millilitre; false when it cannot be had.
func (m *Room) Fit(r Region, way Way, air float64, l Limits) (Region, bool) {
	if !(r.Air >= air && air > 0) {
		return r, false
	}
	lo, hi := 0.0, 1.0
	best, ok := r, false
	for range 40 {
		share := (lo + hi) / 2
		q, is := m.Shrunk(r, way, share, l)
		switch {
		case !is || q.Air < air:
			lo = share
		default:
			hi, best, ok = share, q, true
		}
		if ok && best.Air-air < 1e-6 || hi-lo < 1e-9 {
			break
		}
	}
	return best, ok && best.Air-air < 1e-3*air
}

// Placed is a region with what it asks.
type Placed struct {
	Region
	Way     Way
	Effort  Effort
	Minutes float64
	Stands  Standing
}

// Weigh gives a region its minutes.
func (m *Room) Weigh(r Region, w Weights, l Limits) Placed {
	l.fill()
	s := m.Standing(&r)
	e := s.effort(m, &r, l.Board, w.Density)
	return Placed{Region: r, Effort: e, Minutes: w.Minutes(e), Stands: s}
}

// Place lists the regions cut to a wished air, fewest minutes first, each region once in its best way; exact ties go to
// fewer boards, then nearer the front, then farther left.
func (m *Room) Place(regions []Region, air float64, w Weights, l Limits) []Placed {
	l.fill()
	var all []Placed
	for _, r := range regions {
		if r.Air < air {
			continue
		}
		var best Placed
		for _, way := range r.Ways() {
			q, ok := m.Fit(r, way, air, l)
			if !ok {
				continue
			}
			p := m.Weigh(q, w, l)
			p.Way = way
			if best.Boards == 0 || before(&p, &best) < 0 {
				best = p
			}
		}
		if best.Boards > 0 {
			all = append(all, best)
		}
	}
	slices.SortStableFunc(all, func(a, b Placed) int { return before(&a, &b) })
	return all
}

// before orders placed regions.
func before(a, b *Placed) int {
	if math.Abs(a.Minutes-b.Minutes) > 1e-6 {
		return cmp.Compare(a.Minutes, b.Minutes)
	}
	p, q := a.Bounds(), b.Bounds()
	return cmp.Or(cmp.Compare(a.Boards, b.Boards), cmp.Compare(p.Min.Y, q.Min.Y), cmp.Compare(p.Min.X, q.Min.X))
}
