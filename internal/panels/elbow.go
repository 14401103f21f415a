package panels

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/plane"
)

// elbowRadius is the radius of the elbow's centre line.
func (p *Port) elbowRadius() float64 {
	if p.ElbowRadius > 0 {
		return p.ElbowRadius
	}
	return p.outside()
}

// elbows places one tube or two with an elbow whose inner leg runs along the width, at several depths and both ways.
func (m *maker) elbows(f *face, centres []plane.Point) []*attempt {
	if len(centres) > 2 {
		return m.stairs(f, centres)
	}
	p := m.Port
	od := p.outside()
	wall := math.Inf(1)
	for _, c := range centres {
		d, _ := m.reach(f, c.X, c.Y, od/2, true)
		wall = math.Min(wall, d)
	}
	first := f.t + tubeStraight + p.elbowRadius()
	last := wall - od/2 - tubeSide
	if last < first {
		return nil
	}
	depths := []float64{first}
	if behind := m.sunk() + od/2 + m.Driver.air(); f == m.seat && behind > first && behind < last {
		depths = append(depths, behind)
	}
	depths = append(depths, (first+last)/2, last)
	var all []*attempt
	for _, d := range depths {
		if !m.clears(f.section(centres[0].X, centres[0].Y, d), od/2+tubeSide) {
			continue
		}
		if len(centres) == 1 {
			for _, way := range [...]float64{1, -1} {
				all = m.bendAll(all, f, centres, d, []float64{way})
			}
			continue
		}
		for _, ways := range [...][2]float64{{-1, 1}, {1, -1}, {1, 1}, {-1, -1}} {
			all = m.bendAll(all, f, centres, d, ways[:])
		}
	}
	return all
}

// stairs places three or more tubes with elbows whose inner legs run along the width one behind the other: each leg passes
// deeper than the tubes that it runs behind. All turn to one side, or the left ones to the left and the others to the right.
func (m *maker) stairs(f *face, centres []plane.Point) []*attempt {
	p, n := m.Port, len(centres)
	od := p.outside()
	sorted := slices.Clone(centres)
	slices.SortFunc(sorted, func(a, b plane.Point) int {
		return cmp.Compare(f.across(a.X, a.Y, 0), f.across(b.X, b.Y, 0))
	})
	wall := math.Inf(1)
	for _, c := range sorted {
		d, _ := m.reach(f, c.X, c.Y, od/2, true)
		wall = math.Min(wall, d)
	}
	first, last := f.t+tubeStraight+p.elbowRadius(), wall-od/2-tubeSide
	var all []*attempt
	for _, left := range [...]int{n / 2, (n + 1) / 2, 0, n} { // how many turn to the left
		levels := max(left, n-left)
		deepest := float64(levels-1) * p.stairStep()
		if first+deepest > last {
			continue
		}
		for _, d := range [...]float64{first, last - deepest} {
			if a := m.stair(f, sorted, d, left); a != nil {
				all = append(all, a)
			}
		}
	}
	return all
}

// stairStep is how much deeper one leg runs than the next: clear of it by the octagons that stand for both.
func (p *Port) stairStep() float64 { return p.outside()/math.Cos(math.Pi/8) + tubeSide }

// stair is the attempt with the shallowest legs at depth d and so many tubes turning to the left; nil when it does not go.
func (m *maker) stair(f *face, centres []plane.Point, d float64, left int) *attempt {
	p := m.Port
	r := p.elbowRadius()
	a := &attempt{longest: math.Inf(1), longClear: math.Inf(1)}
	shortest := 0.0
	for i, c := range centres {
		l := leg{from: f.across(c.X, c.Y, 0), way: 1}
		level := len(centres) - 1 - i // the leftmost of those that turn right runs behind all the others
		if i < left {
			l.way, level = -1, i
		}
		depth := d + float64(level)*p.stairStep()
		axis := f.section(c.X, c.Y, depth)
		if !m.clears(axis, p.outside()/2+tubeSide) {
			return nil
		}
		l.room, l.what = m.run(axis, l.from, p.outside()/2, l.way)
		fixed := depth - r + r*math.Pi/2 - r
		least, clear := l.room-leastMouth*p.Bore, l.room-clearMouth*p.Bore
		second := p.Length - (depth - r) - r*math.Pi/2
		shortest = math.Max(shortest, depth-r+r*math.Pi/2)
		if second < 0 || least < r {
			return nil
		}
		a.longest, a.longClear = math.Min(a.longest, fixed+least), math.Min(a.longClear, fixed+clear)
		t := m.bent(f, c, depth, l, second, len(centres))
		a.tubes = append(a.tubes, t.named(i, len(centres)))
	}
	if a.longest < shortest {
		return nil // the deepest leg would be too short before the shallowest is too long
	}
	return a
}

// clears reports whether an axis along the width keeps the distance r to the walls.
func (m *maker) clears(axis plane.Point, r float64) bool {
	return m.wrap.inside.Contains(axis) && m.wrap.inside.Distance(axis) >= r-rounding
}

// leg is the place of an inner leg: across of its tube's mouth, which way it runs, how far it can and what it meets.
type leg struct {
	from, way float64
	room      float64
	what      string
	least     float64 // room counted so that half a diameter before the inner end is left
	clear     float64 // and a whole one
	shared    bool    // the other tube comes to meet it
}

// bendAll adds the attempt with the tubes' inner legs at depth d, each its way (1 to the right, -1 to the left).
func (m *maker) bendAll(all []*attempt, f *face, centres []plane.Point, d float64, ways []float64) []*attempt {
	p := m.Port
	axis := f.section(centres[0].X, centres[0].Y, d)
	legs := make([]leg, len(centres))
	for i, c := range centres {
		l := leg{from: f.across(c.X, c.Y, 0), way: ways[i]}
		l.room, l.what = m.run(axis, l.from, p.outside()/2, l.way)
		l.least, l.clear = l.room-leastMouth*p.Bore, l.room-clearMouth*p.Bore
		legs[i] = l
	}
	if len(legs) == 2 {
		shareWidth(&legs[0], &legs[1], p)
	}
	r := p.elbowRadius()
	fixed := d - r + r*math.Pi/2 - r // length of the path less the run along the width
	a := &attempt{longest: math.Inf(1), longClear: math.Inf(1)}
	for _, l := range legs {
		a.longest, a.longClear = math.Min(a.longest, fixed+l.least), math.Min(a.longClear, fixed+l.clear)
	}
	second := p.Length - (d - r) - r*math.Pi/2
	if second < 0 || a.longest-fixed < r {
		return all // a port that short needs no elbow, or there is no room for one
	}
	for i, l := range legs {
		t := m.bent(f, centres[i], d, l, second, len(legs))
		a.tubes = append(a.tubes, t.named(i, len(legs)))
	}
	return append(all, a)
}

// shareWidth limits two legs on one axis by each other.
func shareWidth(a, b *leg, p *Port) {
	if a.from > b.from {
		a, b = b, a
	}
	apart := b.from - a.from
	if a.way > 0 && b.way < 0 { // mouth to mouth: they share the air between them
		for _, l := range []*leg{a, b} {
			l.least = math.Min(l.least, (apart-leastMouth*p.Bore)/2)
			l.clear = math.Min(l.clear, (apart-clearMouth*p.Bore)/2)
			if apart < l.room {
				l.room, l.what, l.shared = apart, "the other port", true
			}
		}
		return
	}
	limit := func(l *leg) { // it ends before the other's elbow
		if room := apart - p.outside()/2; room < l.room {
			l.room, l.what = room, "the other port"
			l.least, l.clear = room-leastMouth*p.Bore, room-clearMouth*p.Bore
		}
	}
	if a.way > 0 {
		limit(a)
	}
	if b.way < 0 {
		limit(b)
	}
}

// bent is one tube: in to the depth d of its inner leg's axis, then the length second along the width.
func (m *maker) bent(f *face, c plane.Point, d float64, l leg, second float64, count int) tube {
	p := m.Port
	od, r := p.outside(), p.elbowRadius()
	axis := f.section(c.X, c.Y, d)
	end := l.from + l.way*(r+second)
	free := l.room - r - second
	if l.shared {
		free = l.room - 2*(r+second)
	}
	seat := PortSeat{Panel: f.name, Centre: c, Length: p.Length, Legs: []float64{d - r, second}, Bend: r,
		FreeEnd: free, Facing: l.what, InnerSection: m.wrap.inside.Area() / float64(count),
		InsideVolume: math.Pi / 4 * od * od * (p.Length - f.t)}
	near, ahead := l.from-l.way*od/2, end+l.way*clearMouth*p.Bore
	inner := solid{name: "port", x0: math.Min(near, end), x1: math.Max(near, end), area: octagon(axis, od/2), air: tubeSide}
	return tube{seat: seat, face: f, od: od, bodies: []solid{f.block("port", c.X, c.Y, od/2, f.t, d+od/2), inner},
		mouth: solid{name: "port", x0: math.Min(end, ahead), x1: math.Max(end, ahead), area: octagon(axis, od/2)}}
}

// run is how far a round thing of radius r can go along the width from the place x on an axis, and what stops it.
func (m *maker) run(axis plane.Point, x, r, way float64) (room float64, what string) {
	room, what = m.inRight-x, rightEnd
	if way < 0 {
		room, what = x-m.inLeft, leftEnd
	}
	for _, b := range m.bodies {
		if !b.area.Contains(axis) && b.area.Distance(axis) >= r+b.air-rounding {
			continue
		}
		near := b.x0 - x
		if way < 0 {
			near = x - b.x1
		}
		if near > -r && near < room || b.x0 < x && b.x1 > x {
			room, what = math.Max(math.Min(near, room), 0), b.name
		}
	}
	return room, what
}
