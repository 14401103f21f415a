package cavity

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Where a stick must be tried: nearer than this, over the gap, to a surface that is farther than this from a reading.
const (
	stickNear = 0.010
	stickFar  = 0.150
	mostStick = 6
)

// StickTest is a place where the box comes near a surface that is only drawn between readings: the stick must reach
// Height, which is where the surface is taken to be; it must find no less room.
type StickTest struct {
	X, Y, Z float64 // m
	Surface Side    // Roof or Floor
	Room    float64 // m, between box and surface
	Far     float64 // m, in plan to the nearest reading
}

// StickTests lists up to six places to try before a region is built, worst first. Where a step slants in plan between two
// stations there is one as well.
func (m *Room) StickTests(r *Region) []StickTest {
	var list []StickTest
	level := !slices.ContainsFunc(m.space.Stations, func(t Station) bool { return len(t.Floor) > 0 }) // as the board told
	for _, p := range r.samples() {
		for surface := Roof; surface == Roof || surface == Floor && !level; surface-- {
			if s := m.stickAt(p, surface); s.Room <= m.space.Gap+stickNear && s.Far > stickFar {
				list = append(list, s)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b StickTest) int { return cmp.Compare(b.worth(m.space.Gap), a.worth(m.space.Gap)) })
	out := m.stepTests(r)
	for _, s := range list {
		if len(out) >= mostStick {
			break
		}
		near := false
		for _, o := range out {
			near = near || o.Surface == s.Surface && math.Hypot(o.X-s.X, o.Y-s.Y) < stickFar
		}
		if !near {
			out = append(out, s)
		}
	}
	return out
}

// worth orders stick tests: far from readings and little room come first.
func (s StickTest) worth(gap float64) float64 { return s.Far - 5*math.Max(0, s.Room-gap) }

// sheet is a measured surface, and 1, or -1 where it is upside down.
func (m *Room) sheet(surface Side) (*sheet, float64) {
	if surface == Roof {
		return m.raw.roof, -1
	}
	return m.raw.floor, 1
}

// stickAt is the test at a point of a box; how far the next reading is, is not looked for where there is room.
func (m *Room) stickAt(p r3.Vec, surface Side) StickTest {
	s, up := m.sheet(surface)
	z := s.at(p.X, p.Y)
	t := StickTest{p.X, p.Y, up * z, surface, up*p.Z - z, math.Inf(1)}
	for _, k := range m.marks {
		if t.Room <= m.space.Gap+stickNear && k.Surface == surface {
			t.Far = math.Min(t.Far, math.Hypot(k.X-p.X, k.Y-p.Y))
		}
	}
	return t
}

// samples strews points over the outer faces of a region.
func (r *Region) samples() []r3.Vec {
	const along, step = 16, 0.04
	var list []r3.Vec
	for i := range r.Section {
		a, b := r.Section.Edge(i)
		n := max(1, int(b.Sub(a).Norm()/step))
		for k := range n {
			q := a.Add(b.Sub(a).Mul((float64(k) + 0.5) / float64(n)))
			lo, hi := r.ends(q)
			for m := range along + 1 {
				list = append(list, r.Axis.At(q, lo+(hi-lo)*float64(m)/along))
			}
		}
	}
	if r.Axis == Up {
		for _, f := range r.footings() {
			list = append(list, r3.Vec{X: f.x, Y: f.y, Z: r.Lo}, r3.Vec{X: f.x, Y: f.y, Z: r.Hi})
		}
	}
	return list
}

// stepTests gives a place in each cell where a step slants in plan under or over the region.
func (m *Room) stepTests(r *Region) []StickTest {
	var out []StickTest
	b := r.Bounds()
	for surface := Floor; surface <= Roof; surface++ {
		s, up := m.sheet(surface)
		for c, steps := range s.steps {
			for _, d := range steps {
				x0, x1 := math.Max(b.Min.X, m.xs[c]), math.Min(b.Max.X, m.xs[c+1])
				y0, y1 := math.Max(b.Min.Y, d.lo), math.Min(b.Max.Y, d.hi)
				if x1 <= x0 || y1 <= y0 || len(out) >= mostStick {
					continue
				}
				t := m.stickAt(r3.Vec{X: (x0 + x1) / 2, Y: (y0 + y1) / 2, Z: either(up > 0, b.Min.Z, b.Max.Z)}, surface)
				t.Far = 0 // it is tried wherever the next reading is
				out = append(out, t)
			}
		}
	}
	return out
}
