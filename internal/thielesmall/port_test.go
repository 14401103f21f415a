package thielesmall

import (
	"math"
	"testing"
)

// Tunings computed independently for reference air, 30 l: a round tube 75 mm
// by 250 mm with several ends, a slot 30 by 250 by 400 mm.
func TestGoldenTunings(t *testing.T) {
	a := 0.0375
	tube := func(outer, inner float64) Port {
		return Port{Area: math.Pi * a * a, Length: 0.25, Ends: [2]float64{outer, inner}}
	}
	piston := 8 / (3 * math.Pi) * a
	slot := func(outer, inner float64) Port {
		return Port{Area: 0.03 * 0.25, Length: 0.4, Ends: [2]float64{outer, inner}}
	}
	shortcut := 8 / (3 * math.Pi) * math.Sqrt(0.03*0.25/math.Pi)
	for _, row := range []struct {
		name          string
		p             Port
		effective, fb float64
	}{
		{"flush and flush", tube(EndFlush(a), EndFlush(a)), 0.31163, 37.635},
		{"flush and free", tube(EndFlush(a), EndFree(a)), 0.30381, 38.116},
		{"free and free", tube(EndFree(a), EndFree(a)), 0.29600, 38.616},
		{"rigid pistons", tube(piston, piston), 0.31366, 37.513},
		{"flush, near a wall of 250 by 350 mm", tube(EndFlush(a), EndNear(a, 0.25*0.35)), 0, 38.205},
		{"slot in a baffle, step inside", slot(EndSlot(0.03, 0.25, 0), EndSlotStep(0.03, 0.25)), 0.4652, 40.133},
		{"slot on a floor, step inside", slot(EndSlot(0.03, 0.25, 1), EndSlotStep(0.03, 0.25)), 0.4847, 39.317},
		{"slot by the equal-area shortcut", slot(shortcut, shortcut), 0.4829, 39.390},
	} {
		if row.effective > 0 {
			near(t, row.name+" length", row.p.effective(), row.effective, 6e-5)
		}
		near(t, row.name+" tuning", Box{Volume: 0.03, Ports: []Port{row.p}}.Tuning(referenceAir()), row.fb, 2e-3)
	}
	near(t, "slot end in a baffle", EndSlot(0.03, 0.25, 0), 32.02e-3, 1e-5)
	near(t, "slot end on a floor", EndSlot(0.03, 0.25, 1), 51.53e-3, 1e-5)
	near(t, "slot step", EndSlotStep(0.03, 0.25), 33.21e-3, 1e-5)
}

// Vents of lecture notes of DTU course 34870: one round tube, a 37.5 mm, end
// corrections 1.463 a in all; lengths printed in millimetres.
func TestPublishedVents(t *testing.T) {
	a := 0.0375
	for _, row := range []struct{ fb, volume, length, tol float64 }{{30.4, 0.090, 0.104, 1e-3}, {39.3, 0.018, 0.422, 3e-3}} {
		l, ok := PortLength(courseAir, row.volume, row.fb, math.Pi*a*a, 1, 1.463*a)
		if !ok {
			t.Fatal("no length")
		}
		near(t, "length", l, row.length, row.tol)
	}
}

// End corrections of rectangles in a baffle and with a long edge on a wall over
// the root of the area, computed independently; a corner doubles the first.
func TestSlotEnds(t *testing.T) {
	for _, row := range []struct{ ratio, open, wall float64 }{
		{1, 0.4732, 0.6502}, {2, 0.4598, 0.6692}, {3, 0.4407, 0.6626}, {4, 0.4234, 0.6502}, {6, 0.3950, 0.6233},
		{8, 0.3729, 0.5988}, {10, 0.3552, 0.5773}, {15, 0.3224, 0.5345}, {20, 0.2993, 0.5023},
	} {
		h, w := 0.02, 0.02*row.ratio
		root := math.Sqrt(h * w)
		near(t, "open", EndSlot(h, w, 0)/root, row.open, 6e-5)
		near(t, "on a wall", EndSlot(h, w, 1)/root, row.wall, 6e-5)
		nearly(t, "in a corner", EndSlot(h, w, 2), 2*EndSlot(h, w, 0), 1e-12)
		nearly(t, "turned", EndSlot(w, h, 1), EndSlot(h, w, 1), 1e-12)
	}
	for xi, want := range map[float64]float64{0.05: 1.662, 0.10: 1.222, 0.15: 0.967, 0.20: 0.787, 0.25: 0.650, 0.30: 0.540, 0.40: 0.372, 0.50: 0.250, 0.60: 0.159} {
		near(t, "step", EndSlotStep(0.03, 0.03/xi)/0.03, want, 6e-4)
	}
}

// A circle that opens concentrically in a larger one, exact values by energy
// minimisation (computed); the formula claims 0.5 %.
func TestInteriorEnd(t *testing.T) {
	for xi, exact := range map[float64]float64{0.05: 0.7665, 0.10: 0.7113, 0.20: 0.6023, 0.30: 0.4960, 0.40: 0.3941, 0.50: 0.2982, 0.60: 0.2102, 0.70: 0.1325} {
		nearly(t, "interior end", EndNear(0.04, math.Pi*0.0016/(xi*xi))/0.04, exact, 0.006)
	}
	if EndNear(0.1, 0.03) != 0 || EndNear(0.1, 0.0001) != 0 || EndNear(-1, 1) != 0 || EndNear(0.1, 0) != EndFlush(0.1) {
		t.Error("ends of the range")
	}
	if EndSlot(0, 1, 0) != 0 || EndSlotStep(1, 1) != 0 || EndSlotStep(1, 0) != 0 || EndSlotStep(0, 1) != 0 {
		t.Error("ends of the range of slots")
	}
}

// Open-open ducts 75 mm wide, one flush and one free end, computed.
func TestDuctResonances(t *testing.T) {
	a := 0.0375
	for length, want := range map[float64]float64{0.25: 566, 0.40: 379, 0.60: 263} {
		near(t, "resonance", Port{Area: math.Pi * a * a, Length: length, Ends: [2]float64{EndFlush(a), EndFree(a)}}.FirstResonance(referenceAir()), want, 0.5)
	}
}

func TestPortLengthTunes(t *testing.T) {
	air := referenceAir()
	length, ok := PortLength(air, 0.05, 32, 0.004, 2, 0.05)
	if !ok {
		t.Fatal("no length")
	}
	p := Port{Area: 0.004, Length: length, Ends: [2]float64{0.03, 0.02}}
	nearly(t, "tuning", Box{Volume: 0.05, Ports: []Port{p, p}}.Tuning(air), 32, 1e-12)
	for _, bad := range []struct {
		volume, fb, area float64
		count            int
		ends             float64
	}{{0.05, 200, 0.001, 1, 0.05}, {0, 32, 0.004, 1, 0.05}, {0.05, 0, 0.004, 1, 0.05}, {0.05, 32, 0, 1, 0}, {0.05, 32, 0.004, 0, 0.05}, {0.05, 32, 0.004, 1, math.NaN()}, {-1, 32, 0.004, 1, 0.05}} {
		if l, ok := PortLength(air, bad.volume, bad.fb, bad.area, bad.count, bad.ends); ok || l != 0 {
			t.Errorf("%+v has the length %g", bad, l)
		}
	}
	near(t, "rule of thumb", RuleOfThumbPortArea(30, 0.4e-3), 0.0096, 1e-12)
}
