package panels

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"cubby/internal/plane"
	"pgregory.net/rapid"
)

// touching is how far two things may run into each other and still count as touching: a nanometre of rounding.
const touching = 1e-9

func TestOpeningsLieOnTheirPanels(t *testing.T) {
	made, ports, slots, loose := 0, 0, 0, 0
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := equip(r, randomSpec(r))
		if r.IntN(2) == 0 {
			s = loosen(s)
		}
		b := built(t, s)
		if b == nil {
			return
		}
		made++
		if b.Removable != nil {
			loose++
		}
		if len(b.PortSeats) > 0 && b.PortSeats[0].Height > 0 {
			slots++
		} else if len(b.PortSeats) > 0 {
			ports++
		}
		for _, p := range b.Panels {
			checkHoles(t, p)
		}
		checkNumbers(t, b)
	})
	t.Logf("%d boxes, %d with tubes, %d with slots, %d with a removable face", made, ports, slots, loose)
	if made == 0 || ports == 0 || slots == 0 || loose == 0 {
		t.Error("some kind of box was never made")
	}
}

// checkHoles finds every hole on its panel, and driver and port openings clear of each other.
func checkHoles(t *rapid.T, p Panel) {
	face := p.Outline
	if face == nil {
		face = plane.Polygon{{}, {X: p.Length}, {X: p.Length, Y: p.OuterWidth}, {Y: p.OuterWidth}}
	}
	for i, h := range p.Holes {
		if h.Kind == "fixing" && strings.HasSuffix(h.Use, "vehicle") {
			continue // one that stands in something else's way is said by its check
		}
		c := plane.Point{X: h.X, Y: h.Y}
		r := h.Diameter / 2
		if r > 0 {
			if !face.Contains(c) || face.Distance(c) < r-touching {
				t.Errorf("%s: %s hole of %g at (%g %g) is not on it", p.Name, h.Kind, h.Diameter, h.X, h.Y)
			}
		} else if !face.ContainsPolygon(plane.Polygon{{X: h.X - h.Length/2, Y: h.Y - h.Width/2}, {X: h.X + h.Length/2, Y: h.Y - h.Width/2},
			{X: h.X + h.Length/2, Y: h.Y + h.Width/2}, {X: h.X - h.Length/2, Y: h.Y + h.Width/2}}) {
			t.Errorf("%s: %s of %g x %g at (%g %g) is not on it", p.Name, h.Kind, h.Length, h.Width, h.X, h.Y)
		}
		for _, o := range p.Holes[:i] {
			if strings.HasSuffix(o.Use, "vehicle") || h.Kind == "recess" || o.Kind == "recess" {
				continue
			}
			if r > 0 && o.Diameter > 0 && math.Hypot(o.X-h.X, o.Y-h.Y) < r+o.Diameter/2-touching {
				t.Errorf("%s: %s and %s holes run into each other", p.Name, h.Kind, o.Kind)
			}
		}
	}
}

// checkNumbers finds no figure that is not finite, no negative volume, and a balance that is struck.
func checkNumbers(t *rapid.T, b *Box) {
	net := b.InsideVolume
	for _, d := range b.Deductions {
		if !(d.Volume > 0) && !strings.HasPrefix(d.Name, "air that") {
			t.Errorf("deduction %s of %g", d.Name, d.Volume)
		}
		net -= d.Volume
	}
	if math.Abs(net-b.NetVolume) > closureTolerance*b.InsideVolume || !(b.NetVolume > 0) {
		t.Errorf("net volume %g, balance %g", b.NetVolume, net)
	}
	values := []float64{b.DriverSeat.DepthBehind, b.BoardMass, b.WorstJoint}
	for _, c := range b.Checks {
		values = append(values, c.Value, c.Limit)
	}
	for _, p := range b.PortSeats {
		values = append(values, p.Length, p.FreeEnd, p.InnerSection, p.InsideVolume)
		if p.FreeEnd < leastMouth*b.Spec.Port.Bore-touching {
			t.Errorf("a port with %g m of air before its inner end", p.FreeEnd)
		}
	}
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Errorf("a figure is not finite: %+v %+v", b.DriverSeat, b.Checks)
		}
	}
	if b.DriverSeat.DepthBehind <= 0 {
		t.Errorf("depth behind the driver %g", b.DriverSeat.DepthBehind)
	}
}

// Drivers, tubes, slots and braces stand in the air of the box and not in one another.
func TestBodiesAreApart(t *testing.T) {
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := equip(r, randomSpec(r))
		if r.IntN(2) == 0 {
			s = loosen(s)
		}
		m, err := plan(s)
		if err != nil {
			return
		}
		for i, a := range m.bodies {
			if k := wallKind(a.name); k == "driver" || k == "fixing" {
				continue // a driver that is too deep, a fixing point in the way are said by their checks
			}
			if a.x0 < m.inLeft-touching || a.x1 > m.inRight+touching {
				t.Errorf("%s goes through an end: %g to %g in %g to %g", a.name, a.x0, a.x1, m.inLeft, m.inRight)
			}
			for _, b := range m.bodies[:i] {
				// a tube along the width passes through its hole in a brace; a driver too deep for a slot is said by its check
				if a.name == b.name || wallKind(b.name) == "fixing" || pair(a.name, b.name, "port", "brace") || pair(a.name, b.name, "slot", "driver") ||
					a.x0 >= b.x1-touching || b.x0 >= a.x1-touching {
					continue
				}
				if area := a.area.IntersectArea(b.area); area > 1e-9 {
					t.Errorf("%s and %s share %g m2 of section: %+v %+v", a.name, b.name, area, a, b)
				}
			}
		}
	})
}

func pair(a, b, x, y string) bool {
	a, b = wallKind(a), wallKind(b)
	return a == x && b == y || a == y && b == x
}

// The depth behind a driver is what shots straight into the box find, over the whole magnet.
func TestDepthBehindAgainstShots(t *testing.T) {
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := randomSpec(r)
		frame := 0.05 + 0.1*r.Float64()
		s.Driver = Driver{Frame: frame, Cutout: 0.9 * frame, Magnet: frame / 2, Depth: 0.04}
		s.Wood.FrontLayers = 1
		m, err := plan(s)
		if err != nil {
			return
		}
		f := m.seat
		m.bodies = withoutDrivers(m.bodies)
		for _, c := range m.box.DriverSeat.Centres {
			depth, _ := m.reach(f, c.X, c.Y, m.Driver.magnet()/2, false)
			if shot := m.shoot(f, c, m.Driver.magnet()/2); math.Abs(shot-depth) > 1e-6 && shot < depth || shot-depth > 0.02*frame {
				t.Errorf("depth behind %g, shots find %g", depth, shot)
			}
		}
	})
}

// shoot is the least depth that straight lines from the face find, at many places of a disc's width.
func (m *maker) shoot(f *face, c plane.Point, r float64) float64 {
	if f.end >= 0 {
		return f.t + m.box.InsideWidth
	}
	least := math.Inf(1)
	const shots = 400
	for k := range shots + 1 {
		y := c.Y - r + 2*r*float64(k)/shots
		p, q := f.section(0, y, f.t+1e-9), f.section(0, y, 10)
		for j := range m.wrap.inside {
			a, b := ends(m.wrap.inside, j)
			d, e := q.Sub(p), b.Sub(a)
			den := d.Cross(e)
			if den == 0 {
				continue
			}
			t, u := a.Sub(p).Cross(e)/den, a.Sub(p).Cross(d)/den
			if t > 0 && u >= 0 && u <= 1 {
				least = math.Min(least, f.t+1e-9+t*d.Norm())
			}
		}
	}
	return least
}
