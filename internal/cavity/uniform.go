package cavity

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"
)

// Uniform is a space with the same section over a width: two equal stations. What a section that is not one stretch of
// height at each depth has under an overhang or over a ledge becomes blocks.
func Uniform(width float64, section plane.Polygon, gap float64) (*Space, error) {
	if err := section.Validate(); err != nil {
		return nil, err
	}
	if !(width > 0) || !finite(width) {
		return nil, errors.New("the width must be greater than 0")
	}
	section = section.CCW()
	o := section.Bounds()
	var us []float64
	for _, p := range section {
		us = append(us, p.X)
	}
	slices.Sort(us)
	us = slices.CompactFunc(us, func(a, b float64) bool { return math.Abs(b-a) < 1e-6 })
	us[len(us)-1] = o.Max.X
	s := &Space{Gap: gap}
	var roof, floor []Height
	for k := 1; k < len(us); k++ {
		a, b := us[k-1], us[k]
		walls := wallsBetween(section, a, b)
		if len(walls) < 2 {
			continue
		}
		floor = appendReading(floor, walls[0], false)
		roof = appendReading(roof, walls[len(walls)-1], true)
		for i := 1; i+1 < len(walls); i += 2 { // what is not free between
			lo, hi := walls[i], walls[i+1]
			g := tidy(plane.Polygon{{X: lo.a, Y: lo.va}, {X: lo.b, Y: lo.vb}, {X: hi.b, Y: hi.vb}, {X: hi.a, Y: hi.va}})
			if len(g) < 3 || g.Area() <= 1e-9 {
				continue
			}
			s.Blocks = append(s.Blocks, Block{Name: fmt.Sprintf("overhang %d", len(s.Blocks)+1), Axis: Across, Outline: g, Lo: -1, Hi: width + 1})
		}
	}
	t := Station{Roof: roof, Floor: floor, Front: o.Min.X, Back: o.Max.X}
	u := t
	u.FromLeft = width
	s.Stations = []Station{t, u}
	return s, nil
}

// wallsBetween gives the walls of a section over a strip of depth without corners, from below upward.
func wallsBetween(g plane.Polygon, a, b float64) []piece {
	var list []piece
	for i := range g {
		p, q := g.Edge(i)
		if p.X > q.X {
			p, q = q, p
		}
		if q.X-p.X < 1e-9 || p.X > a+1e-6 || q.X < b-1e-6 {
			continue
		}
		w := piece{p.X, q.X, p.Y, q.Y}
		list = append(list, piece{a, b, w.at(a), w.at(b)})
	}
	slices.SortFunc(list, func(v, w piece) int { return cmp.Compare(v.va+v.vb, w.va+w.vb) })
	return list
}

// plumb is the width that a plumb wall is given, since readings have rising depths; it is taken from the free room.
const plumb = 1e-6

// appendReading adds the two ends of a wall to a line of readings. After a plumb wall it begins earlier where that takes room,
// later where it gives some.
func appendReading(line []Height, w piece, roof bool) []Height {
	n := len(line)
	if n == 0 || math.Abs(line[n-1].Height-w.va) >= 1e-9 {
		from := w.a
		switch {
		case n == 0:
		case w.va > line[n-1].Height != roof:
			line[n-1].Depth -= plumb
		default:
			from += plumb
		}
		line = append(line, Height{Depth: from, Height: w.va})
	}
	return append(line, Height{Depth: w.b, Height: w.vb})
}

// Empty reports whether nothing is free before the gap and with the blocks left out, over any twelfth of the width.
func (m *Room) Empty() bool {
	const parts = 12
	wide := m.raw.right - m.raw.left
	for k := range parts {
		a := m.raw.left + wide*float64(k)/parts
		if s := m.raw.band(m.xs, Across, a, a+wide/parts, 1e-3, mask(1<<len(m.raw.blocks)-1)); len(between(s.lo, s.hi)) > 0 {
			return false
		}
	}
	return true
}

// Extent is the box round the raw space, its blocks not counted.
func (m *Room) Extent() Box {
	b := Box{}
	b.Min.X, b.Max.X = m.raw.left, m.raw.right
	b.Min.Y, b.Max.Y = slices.Min(m.raw.front), slices.Max(m.raw.back)
	b.Min.Z, b.Max.Z = m.low, m.highest()
	return b
}

// LowestFloor is the least height of the floor over a rectangle of the plan.
func (m *Room) LowestFloor(x0, x1, y0, y1 float64) float64 {
	x0, x1 = math.Max(x0, m.raw.left), math.Min(x1, m.raw.right)
	v := math.Inf(1)
	for c := range m.raw.floor.steps {
		lo, hi := math.Max(x0, m.xs[c]), math.Min(x1, m.xs[c+1])
		if lo > hi {
			continue
		}
		for _, x := range [2]float64{lo, hi} {
			v = math.Min(v, -m.raw.floor.inCell(c, x).negated().most(y0, y1))
		}
	}
	return v
}
