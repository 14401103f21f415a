package panels

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// The air beside a basket is what densely sampled points of its profile and of the walls find.
func TestBasketAgainstSamples(t *testing.T) {
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := equip(r, randomSpec(r))
		s.Port, s.Brace.Lowest = nil, 0
		m, err := plan(s)
		if err != nil {
			return
		}
		for _, c := range m.box.DriverSeat.Centres {
			body, ok := m.profile(c.Y)
			air, _ := m.beside(c.Y)
			if !ok || air <= 0 {
				continue
			}
			sampled := math.Inf(1)
			for _, p := range along(body, -1) {
				if p.Y > m.seat.t+1e-6 && !m.seat.inside.Contains(p) {
					t.Errorf("the basket stands out of the box by %g with %g of air beside it", m.seat.inside.Distance(p), air)
				}
				for _, q := range along(m.seat.inside, m.seat.wall) {
					sampled = math.Min(sampled, p.Sub(q).Norm())
				}
			}
			if sampled < air-1e-9 || sampled > air+0.03 {
				t.Errorf("air beside the basket %g, samples find %g", air, sampled)
			}
		}
	})
}

// along gives points along the sides of g but one.
func along(g plane.Polygon, skip int) []plane.Point {
	const parts = 60
	var out []plane.Point
	for i := range g {
		if i == skip {
			continue
		}
		d := g[(i+1)%len(g)].Sub(g[i])
		for k := range parts + 1 {
			out = append(out, g[i].Add(d.Mul(float64(k)/parts)))
		}
	}
	return out
}

// A driver that stands too shallow in the middle of a tapering box's face is moved to where it has room, frame and all.
func TestDriverMovesToTheDeepSide(t *testing.T) {
	s := Spec{Section: mm(0, 0, 400, 0, 120, 400, 0, 400), Width: 0.5, Wood: board(18), Face: "front",
		Driver: Driver{Frame: 0.2, Cutout: 0.18, Depth: 0.16, Magnet: 0.12}}
	for _, face := range []string{"front", "back"} {
		s.Face = face
		b, err := Build(s)
		if err != nil {
			t.Fatal(err)
		}
		if b.DriverSeat.DepthBehind < 0.166-1e-9 {
			t.Errorf("%s: %.1f mm behind the driver; lower down the box has room for it", face, b.DriverSeat.DepthBehind*1000)
		}
		for _, c := range b.Checks {
			if c.Status == Fail {
				t.Errorf("%s: %s: %s", face, c.Name, c.Note)
			}
		}
	}
}

// A driver that is too deep or too wide is refused with the smallest change that would do, and that change does.
func TestSmallestChangeDoes(t *testing.T) {
	s := Spec{Section: mm(0, 0, 200, 0, 200, 400, 0, 400), Width: 0.5, Wood: board(18), Face: "front", Units: unit.Metric,
		Driver: Driver{Frame: 0.2, Cutout: 0.18, Depth: 0.19, Magnet: 0.12}}
	b, err := Build(s)
	if err != nil {
		t.Fatal(err)
	}
	note := ""
	for _, c := range b.Checks {
		if c.Name == "depth behind the driver" && c.Status == Fail {
			note = c.Note
		}
	}
	for _, want := range []string{"8.0 mm is missing", "no deeper than 182.0 mm"} {
		if !strings.Contains(note, want) {
			t.Errorf("%q does not say %q", note, want)
		}
	}
	s.Section = mm(0, 0, 208, 0, 208, 400, 0, 400)
	if b, err = Build(s); err != nil || b.DriverSeat.DepthBehind < s.Driver.Depth-1e-9 {
		t.Errorf("8 mm more depth do not do: %v", err)
	}
	s.Driver.Frame = 0.38
	if _, err = Build(s); err == nil || !strings.Contains(err.Error(), "16.0 mm more between") {
		t.Errorf("a frame of 380 mm between joints 364 mm apart: %v", err)
	}
}
