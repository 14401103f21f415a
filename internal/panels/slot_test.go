package panels

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/plane"
	"pgregory.net/rapid"
)

// slotted gives a random box a slot: anywhere, in a named wall or in an end, as wide as the inside or narrower.
func slotted(r *rand.Rand) Spec {
	s := equip(r, randomSpec(r))
	s.Plate, s.Fixings = nil, nil
	s.Count, s.Driver.Frame, s.Driver.Cutout, s.Driver.Circle = 1, 0.08, 0.07, 0.076
	s.Brace.Lowest = 0
	s.Port = &Port{Height: 0.015 + 0.03*r.Float64(), Length: 0.04 + 0.6*r.Float64()}
	s.Port.Face = []string{"", "", "front", "left", "right", "top"}[r.IntN(6)]
	if r.IntN(2) == 0 {
		s.Port.Width = 0.05 + 0.4*r.Float64()
	}
	return s
}

// A slot's boards and its air fill exactly the space that is deducted for it, all of it inside the box; its boards do not
// run into each other.
func TestSlotsFillWhatTheyTake(t *testing.T) {
	kinds := map[string]int{}
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		m, err := plan(slotted(r))
		if err != nil || m.slot == nil {
			return
		}
		m.makePanels()
		s, b := m.slot, m.box
		kinds[kindOfSlot(s)]++
		seat := b.PortSeats[0]
		wood, pieces := 0.0, []solid(nil)
		for _, p := range b.Panels {
			if p.Role != PortPart {
				continue
			}
			wood += p.Volume * float64(p.Count)
			pieces = append(pieces, standing(p)...)
		}
		taken := 0.0
		for _, body := range m.bodies {
			if body.name != "slot" {
				continue
			}
			taken += body.area.Area() * (body.x1 - body.x0)
			if body.x0 < m.inLeft-touching || body.x1 > m.inRight+touching {
				t.Errorf("the slot goes through an end: %g to %g in %g to %g", body.x0, body.x1, m.inLeft, m.inRight)
			}
			if out := body.area.Area() - m.wrap.inside.IntersectArea(body.area); out > 1e-9 {
				t.Errorf("%s slot: %g m2 of it lie outside the inside", kindOfSlot(s), out)
			}
		}
		if math.Abs(taken-seat.InsideVolume) > 1e-9*b.InsideVolume {
			t.Errorf("%s slot: it stands in %g m3 and %g are deducted", kindOfSlot(s), taken, seat.InsideVolume)
		}
		if air := m.slotAir(); math.Abs(taken-wood-air) > 1e-9*b.InsideVolume {
			t.Errorf("%s slot: of %g m3 wood takes %g and air %g, off by %g", kindOfSlot(s), taken, wood, air, taken-wood-air)
		}
		for i, p := range pieces {
			for _, q := range pieces[:i] {
				if p.x0 < q.x1-touching && q.x0 < p.x1-touching && p.area.IntersectArea(q.area) > 1e-9 {
					t.Errorf("%s slot: %s and %s share wood", kindOfSlot(s), p.name, q.name)
				}
			}
		}
		if channel := s.clear / float64(s.fins+1); channel > finSpacing+1e-9 {
			t.Errorf("a channel %g wide", channel)
		}
	})
	t.Log(kinds)
	for _, kind := range []string{"straight", "straight narrow", "bent", "bent narrow", "end", "end narrow"} {
		if kinds[kind] == 0 {
			t.Errorf("no %s slot was made: %v", kind, kinds)
		}
	}
}

func kindOfSlot(s *slot) string {
	kind := "straight"
	switch {
	case s.lane != nil:
		kind = "end"
	case s.turn >= 0:
		kind = "bent"
	}
	if s.narrow {
		kind += " narrow"
	}
	return kind
}

// slotAir is the air inside the mouth's wall, from the outline of the channel seen from the side.
func (m *maker) slotAir() float64 {
	s := m.slot
	if s.lane != nil {
		return s.clear * s.h * (s.x1 - s.x0)
	}
	shape, _ := m.slotSide()
	return shape.Area() * s.clear
}

// standing gives a panel's pieces as they stand in the box: by their frames alone, sections extruded across the width.
func standing(p Panel) []solid {
	places := p.Places
	if places == nil {
		places = []Frame{p.Place}
	}
	var all []solid
	for _, f := range places {
		b := solid{name: p.Name}
		if f.X[0] == 0 { // a plate parallel to the ends
			b.x0, b.x1 = f.Origin[0]-p.Thickness, f.Origin[0]
			for _, q := range p.Outline {
				at := f.At(q.X, q.Y, 0)
				b.area = append(b.area, plane.Point{X: at[1], Y: at[2]})
			}
		} else {
			b.x0, b.x1 = math.Min(f.Origin[0], f.Origin[0]+f.X[0]*p.Length), math.Max(f.Origin[0], f.Origin[0]+f.X[0]*p.Length)
			for _, q := range wholeProfile(p) {
				at := f.At(0, q.X, q.Y)
				b.area = append(b.area, plane.Point{X: at[1], Y: at[2]})
			}
			b.area = b.area.CCW()
		}
		all = append(all, b)
	}
	return all
}

// wholeProfile is the profile (y, out) of a panel that runs along the width, from its faces and the tilts of its edges.
func wholeProfile(p Panel) plane.Polygon {
	over := map[string]float64{}
	for _, e := range p.Edges {
		if e.LongFace == "inner" {
			over[e.Edge] = e.Run
		} else if e.LongFace == "outer" {
			over[e.Edge] = -e.Run
		}
	}
	return plane.Polygon{{X: 0}, {X: -over["y0"], Y: -p.Thickness}, {X: p.OuterWidth + over["y1"], Y: -p.Thickness}, {X: p.OuterWidth}}
}

// The longest slot that a refusal names goes into the box, and half a millimetre more does not.
func TestLongestSlotGoesIn(t *testing.T) {
	named := 0
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := slotted(r)
		_, err := Build(s)
		var why *BuildError
		if !errors.As(err, &why) || why.LongestPort <= 0 {
			return
		}
		named++
		longest := why.LongestPort
		for _, x := range []struct {
			length float64
			goes   bool
		}{{longest - 1e-6, true}, {longest + 0.5e-3, false}} {
			s.Port.Length = x.length
			if _, err := Build(s); (err == nil) != x.goes && !(errors.As(err, &why) && why.Reason == NoAir) {
				t.Errorf("longest %g: a slot of %g goes in: %v", longest, x.length, err)
			}
		}
	})
	if named == 0 {
		t.Error("no longest slot was ever named")
	}
}
