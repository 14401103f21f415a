package panels

import (
	"math"

	"cubby/internal/plane"
)

// elbowRadius is the radius of the elbow's centre line.
func (p *Port) elbowRadius() float64 {
	if p.ElbowRadius > 0 {
		return p.ElbowRadius
	}
	return p.outside()
}

// elbows places one tube with an elbow whose inner leg runs along the width, at several depths and both ways. Several tubes
// with elbows are placed only when there is one mouth: they would cross.
func (m *maker) elbows(f *face, centres []plane.Point) []*attempt {
	if len(centres) != 1 {
		return nil
	}
	c, p := centres[0], m.Port
	od, r := p.outside(), p.elbowRadius()
	wall, _ := m.reach(f, c.X, c.Y, od/2, true)
	first := f.t + tubeStraight + r
	last := wall - od/2 - tubeSide
	if last < first {
		return nil
	}
	depths := []float64{first}
	if behind := m.Driver.Depth + od/2 + m.Driver.air(); f == m.seat && behind > first && behind < last {
		depths = append(depths, behind)
	}
	depths = append(depths, (first+last)/2, last)
	var all []*attempt
	for _, d := range depths {
		centre := f.section(c.X, c.Y, d)
		if !m.wrap.inside.Contains(centre) || m.wrap.inside.Distance(centre) < od/2+tubeSide-1e-9 {
			continue
		}
		for _, way := range []float64{1, -1} {
			if a := m.elbow(f, c, d, way); a != nil {
				all = append(all, a)
			}
		}
	}
	return all
}

// elbow places one tube: in to the depth d of its inner leg's axis, then along the width, to the right (way 1) or left.
func (m *maker) elbow(f *face, c plane.Point, d, way float64) *attempt {
	p := m.Port
	od, r := p.outside(), p.elbowRadius()
	from := f.across(c.X, c.Y, 0)
	axis := f.section(c.X, c.Y, d)
	room, what := m.run(axis, from, od/2, way)
	leg := d - r
	fixed := leg + r*math.Pi/2 - r // length of the path less the run along the width
	a := &attempt{longest: fixed + room - leastMouth*p.Bore, longClear: fixed + room - clearMouth*p.Bore}
	second := p.Length - leg - r*math.Pi/2
	if second < 0 {
		return nil // a port that short needs no elbow
	}
	end := from + way*(r+second)
	seat := PortSeat{Panel: f.name, Centre: c, Length: p.Length, Legs: []float64{leg, second}, Bend: r,
		FreeEnd: room - r - second, Facing: what, InnerSection: m.wrap.inside.Area(),
		InsideVolume: math.Pi / 4 * od * od * (p.Length - f.t)}
	inner := solid{name: "port", x0: math.Min(from-way*od/2, end), x1: math.Max(from-way*od/2, end), area: octagon(axis, od/2), air: tubeSide}
	ahead := end + way*clearMouth*p.Bore
	a.tubes = []tube{{seat: seat, face: f, od: od,
		bodies: []solid{f.block("port", c.X, c.Y, od/2, f.t, d+od/2), inner},
		mouth:  solid{name: "port", x0: math.Min(end, ahead), x1: math.Max(end, ahead), area: octagon(axis, od/2)}}}
	return a
}

// run is how far a round thing of radius r can go along the width from the place x on an axis, and what stops it.
func (m *maker) run(axis plane.Point, x, r, way float64) (room float64, what string) {
	room, what = m.inRight-x, rightEnd
	if way < 0 {
		room, what = x-m.inLeft, leftEnd
	}
	for _, b := range m.bodies {
		if !b.area.Contains(axis) && b.area.Distance(axis) >= r+b.air-1e-9 {
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
