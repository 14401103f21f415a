package panels

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/plane"
	"cubby/internal/solid"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// randomFitted draws a box with a driver, a port and what else goes on it.
func randomFitted(r *rand.Rand) (Spec, bool) {
	size := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	w, d, h := size(0.25, 0.9), size(0.2, 0.6), size(0.18, 0.5)
	sections := []plane.Polygon{
		{{}, {X: d}, {X: d, Y: h}, {Y: h}},
		{{}, {X: d}, {X: d * size(0.6, 1), Y: h}, {Y: h}},
		{{}, {X: d}, {X: d * size(0.8, 1.1), Y: h}, {X: d * size(0, 0.2), Y: h}},
		{{}, {X: d}, {X: d, Y: h * size(0.45, 0.7)}, {X: d * size(0.5, 0.7), Y: h * size(0.45, 0.7)}, {X: d * size(0.5, 0.7), Y: h}, {Y: h}},
	}
	g := sections[r.IntN(len(sections))]
	if len(g) == 6 {
		g[4].X = g[3].X
		g[3].Y = g[2].Y
	}
	axis := solid.Axis(r.IntN(3))
	outside, err := solid.Straight(g, axis, 0, w)
	if err != nil {
		return Spec{}, false
	}
	if r.IntN(4) == 0 {
		lo, hi := outside.Bounds()
		if with, err := outside.Pocket(solid.Box{Name: "hump", Min: r3.Vec{X: lo.X + size(0.1, 0.5)*(hi.X-lo.X), Y: lo.Y - 1, Z: lo.Z - 1},
			Max: r3.Vec{X: lo.X + size(0.5, 0.8)*(hi.X-lo.X), Y: hi.Y + 1, Z: lo.Z + 0.08}}); err == nil {
			outside = with
		}
	}
	frame := size(0.12, 0.34)
	s := Spec{Outside: outside, Axis: axis, Wood: Wood{Board: "MDF", Thickness: []float64{0.012, 0.015, 0.018}[r.IntN(3)]}, Count: 1 + r.IntN(5)/3,
		Face:   []string{"front", "top", "left", "back"}[r.IntN(4)],
		Driver: Driver{Frame: frame, Cutout: 0.92 * frame, Depth: size(0.05, 0.15), Magnet: 0.5 * frame, Circle: 0.96 * frame, Bolts: 8, Hole: 5.5e-3, Vent: r.IntN(2) == 0, Displacement: 1e-3}}
	switch r.IntN(6) {
	case 0:
	case 5:
		f := size(0.1, 0.3)
		s.Radiators = &Radiators{Driver: Driver{Frame: f, Cutout: 0.9 * f, Depth: size(0.03, 0.1), Circle: 0.95 * f, Bolts: 6, Hole: 5e-3}, Count: 1 + r.IntN(2),
			Face: []string{"", "front", "back", "right"}[r.IntN(4)]}
	case 1, 2:
		bore := size(0.04, 0.11)
		s.Port = &Port{Count: 1 + r.IntN(6)/4, Bore: bore, Length: size(0.05, 0.9), Elbows: r.IntN(3)}
	default:
		s.Port = &Port{Count: 1, Height: size(0.02, 0.06), Length: size(0.1, 1.2)}
		if r.IntN(3) == 0 {
			s.Port.Width = size(0.08, 0.3)
		}
	}
	if r.IntN(2) == 0 {
		s.Plate = &Plate{}
	}
	return s, true
}

// check looks at everything that stands in a planned box.
func (s *scene) check(t testing.TB) {
	t.Helper()
	for i := range s.bodies {
		a := &s.bodies[i]
		if a.kind <= radiatorBody || a.kind == braceBody || a.kind == stripBody { // what is too deep is said by its check
			continue
		}
		inside := true
		for _, k := range a.discs {
			for f := range s.shell.air.Faces {
				if len(s.shell.rimOf(f)) == 0 && s.shell.air.Faces[f].Depth(k.furthest(s.shell.air.Faces[f].N)) < -1e-6 {
					inside = false
				}
			}
		}
		if !inside {
			t.Errorf("%s %d stands out of the air", a.name, a.kind)
		}
		for k := range i {
			b := &s.bodies[k]
			if a.kind == b.kind && (a.number == b.number || a.kind == slotBody) || b.kind == braceBody || b.kind == stripBody {
				continue
			}
			if b.kind == driverBody && a.kind == slotBody {
				continue
			}
			if a.meets(b, 0) {
				t.Errorf("%s and %s run into each other by %v", a.name, b.name, gap(a, b, 1))
			}
		}
	}
	for _, holes := range s.holes() {
		for i, h := range holes {
			for _, o := range holes[:i] {
				if h.Diameter > 0 && o.Diameter > 0 && h.Kind != HoleRecess && o.Kind != HoleRecess && math.Hypot(h.X-o.X, h.Y-o.Y) < (h.Diameter+o.Diameter)/2-1e-9 {
					t.Errorf("%s and %s holes run into each other", h.Kind, o.Kind)
				}
			}
		}
	}
}

// Nothing intersects in random boxes, whatever goes into them; what is refused gives a length that fits, and one 2 mm longer does not.
func TestRandomFittings(t *testing.T) {
	var tubes, slots, bent, refused, fitted int
	rapid.Check(t, func(rt *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 1))
		spec, ok := randomFitted(r)
		if !ok {
			return
		}
		sc, box, err := plan(&spec)
		var why *BuildError
		switch {
		case errors.As(err, &why):
			if why.Say.Text(unit.Metric) == "" {
				rt.Fatalf("an error without a word: %+v", why)
			}
			if why.Reason != NoPort || why.Reach.Most <= 0 {
				return
			}
			refused++
			s := spec
			p := *s.Port
			s.Port = &p
			p.Length = why.Reach.Most - 1e-6
			if _, _, err := plan(&s); err != nil {
				rt.Fatalf("%v\nsaid to fit, but: %v", why, err)
			}
			fitted++
			if p.Length = why.Reach.Most + 2e-3; p.Length < why.Reach.Most {
				return
			}
			if _, _, err := plan(&s); err == nil {
				rt.Fatalf("%v\nbut 2 mm more does", why)
			}
			return
		case err != nil:
			rt.Fatal(err)
		}
		for _, p := range box.Ports {
			for _, v := range []float64{p.Length, p.Effective, p.FreeEnd, p.InnerSection, p.InsideVolume} {
				if math.IsNaN(v) || math.IsInf(v, 0) || v <= 0 {
					rt.Errorf("port %+v", p)
				}
			}
			if p.Height > 0 {
				slots++
			} else {
				tubes++
			}
			if len(p.Legs) > 1 {
				bent++
			}
			if math.Abs(p.Effective-spec.Port.Length) > 1e-9 {
				rt.Errorf("acts as %g, wanted %g", p.Effective, spec.Port.Length)
			}
		}
		sc.check(t)
		if t.Failed() {
			rt.Fatal("see above")
		}
	})
	t.Logf("%d tubes, %d slots, %d of both bent, %d refused, %d of these fit shorter", tubes, slots, bent, refused, fitted)
}

func BenchmarkDriver(b *testing.B) { benchmarkPlan(b, nil) }
func BenchmarkTube(b *testing.B)   { benchmarkPlan(b, &Port{Count: 1, Bore: 0.075, Length: 0.25}) }
func BenchmarkElbow(b *testing.B) {
	benchmarkPlan(b, &Port{Count: 1, Bore: 0.075, Length: 0.5, Elbows: 1})
}
func BenchmarkSlot(b *testing.B) { benchmarkPlan(b, &Port{Count: 1, Height: 0.03, Length: 0.25}) }
func BenchmarkTooLong(b *testing.B) {
	benchmarkPlan(b, &Port{Count: 1, Bore: 0.075, Length: 2, Elbows: 2})
}

func benchmarkPlan(b *testing.B, p *Port) {
	s := Spec{Outside: across(b, plane.Polygon{{}, {X: 0.4}, {X: 0.35, Y: 0.35}, {Y: 0.35}}, 0, 0.6), Wood: Wood{Board: "MDF", Thickness: 0.018},
		Driver: Driver{Frame: 0.26, Cutout: 0.24, Depth: 0.13, Magnet: 0.14, Vent: true}, Port: p}
	for b.Loop() {
		_, _ = Plan(s)
	}
}

// A row of tubes may have two elbows each: they turn alike and keep clear of each other.
func TestRowTurnsTwice(t *testing.T) {
	s := Spec{Outside: across(t, plane.Polygon{{}, {X: 0.5}, {X: 0.5, Y: 0.4}, {Y: 0.4}}, 0, 0.7), Wood: Wood{Board: "MDF", Thickness: 0.018}, Face: "front",
		Driver: Driver{Frame: 0.2, Cutout: 0.18, Depth: 0.08, Magnet: 0.1}, Port: &Port{Count: 2, Bore: 0.06, Elbows: 2}}
	reach, err := PortReach(s)
	if err != nil {
		t.Fatal(err)
	}
	s.Port.Length = reach.Most - 1e-4
	sc, box, err := plan(&s)
	if err != nil {
		t.Fatal(err)
	}
	one := s
	one.Port = &Port{Count: 2, Bore: 0.06, Elbows: 1}
	if less, err := PortReach(one); err != nil || less.Most >= reach.Most {
		t.Errorf("one elbow %.3f m, two %.3f m, %v", less.Most, reach.Most, err)
	}
	for _, p := range box.Ports {
		if len(p.Legs) != 3 {
			t.Errorf("legs %v", p.Legs)
		}
	}
	sc.check(t)
}
