package panels

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/plane"
	"cubby/internal/solid"
)

// What is said to be the longest that fits does, 2 mm more does not; the least does, where a length is asked for at all.
func TestReachIsWhatFits(t *testing.T) {
	asked, none := 0, 0
	seeds := uint64(40)
	if *long {
		seeds = 1000
	}
	for seed := range seeds {
		spec, ok := randomFitted(rand.New(rand.NewPCG(seed, 2)))
		if !ok || spec.Port == nil {
			continue
		}
		spec.Driver.Frame, spec.Driver.Cutout, spec.Driver.Magnet = 0.13, 0.115, 0.08
		spec.Plate = nil
		reach, err := PortReach(spec)
		if err != nil {
			continue
		}
		p := *spec.Port
		spec.Port = &p
		if reach.Most == 0 {
			none++
			if _, err := Plan(spec); err == nil {
				t.Fatalf("seed %d: %v m goes in, but none should", seed, p.Length)
			}
			continue
		}
		asked++
		p.Length = reach.Most - 1e-6
		if _, err := Plan(spec); err != nil {
			var b *BuildError
			errors.As(err, &b)
			t.Fatalf("seed %d: said to reach %g to %g (%s), but: %v", seed, reach.Least, reach.Most, reach.Why.Text(0), err)
		}
		p.Length = reach.Most + 2e-3
		if _, err := Plan(spec); err == nil && reach.Why.Text(0) != "the air that is left" {
			t.Fatalf("seed %d: said to reach %g (%s), but 2 mm more does", seed, reach.Most, reach.Why.Text(0))
		}
		if p.Length = reach.Least + 1e-6; p.Length > 1e-3 {
			if _, err := Plan(spec); err != nil {
				t.Fatalf("seed %d: said to begin at %g, but: %v", seed, reach.Least, err)
			}
		}
	}
	t.Logf("%d asked, %d have no place", asked, none)
}

// No input makes a plan panic, never end, or give a figure that is no number.
func FuzzFittings(f *testing.F) {
	f.Add(uint64(1), 0.5, 0.3, 0.3, 0.018, 0.2, 0.1, 0.075, 0.3, 0.03)
	f.Add(uint64(2), 0.5, 0.3, 0.3, 0.018, 0.2, -0.1, 0.0, 1e-9, 0.0001)
	f.Add(uint64(3), 0.1, 0.1, 0.1, 0.018, math.Inf(1), 0.1, math.NaN(), 0.3, 3.0)
	f.Fuzz(func(t *testing.T, seed uint64, w, d, h, board, frame, depth, bore, length, height float64) {
		if !(w < 20) || !(d < 20) || !(h < 20) {
			return
		}
		out, err := solid.Straight(plane.Polygon{{}, {X: d}, {X: d, Y: h}, {Y: h}}, solid.Axis(seed%3), 0, w)
		if err != nil {
			return
		}
		s := Spec{Outside: out, Axis: solid.Axis(seed % 3), Wood: Wood{Thickness: board}, Count: int(seed % 5), Driver: Driver{Frame: frame, Cutout: 0.9 * frame, Depth: depth, Circle: frame, Bolts: int(seed % 9), Hole: bore},
			Mounting: Mounting{Removable: seed%7 == 0, Recess: bore / 10, Chamfer: height / 10, Outside: seed%11 == 0},
			Port:     &Port{Bore: bore, Length: length, Height: height, Count: int(seed % 4), Elbows: int(seed % 3), Width: frame, Flares: [2]float64{height, bore}}, Hardware: Hardware{Terminal: true}}
		if seed%2 == 0 {
			s.Plate = &Plate{Width: frame, Height: depth, Depth: length}
		}
		b, err := Plan(s)
		if err != nil {
			return
		}
		for _, p := range b.Ports {
			if v := p.Length + p.Effective + p.FreeEnd + p.InsideVolume; math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("%+v", p)
			}
		}
		if math.IsNaN(b.NetVolume) {
			t.Errorf("%+v", b.Balance)
		}
	})
}
