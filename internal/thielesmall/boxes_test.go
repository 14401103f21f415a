package thielesmall

import (
	"math"
	"strings"
	"testing"
)

// Vented boxes by their families out of a driver's data. B4 is published: QT
// 0.4048 and alpha 1.0613 at QL 7, f10/fs 0.7598. BE4 and sub-Chebyshev at QL
// 7 stand in Dickason, The Loudspeaker Design Cookbook (as quoted) and a
// published table; QB3 and C4 are computed from the polynomials.
func TestVentedBoxes(t *testing.T) {
	for _, row := range []struct {
		family            string
		qts, alpha, h, f3 float64
		tol               float64 // relative, of the printed digits
	}{
		{"B4", 0.404814, 1.0613, 1, 1, 1e-4},
		{"Bessel", 0.3312, 1.9076, 0.97354, 1.4941, 3e-4},
		{"sub-Chebyshev", 0.40, 1.1146, 1.0103, 1.0215, 2e-4},
		{"QB3", 0.30, 2.8452, 1.3145, 1.5732, 1e-4},
		{"C4", 0.50, 0.4642, 0.8031, 0.7155, 2e-4},
	} {
		const fs, vas = 30.0, 0.06
		qms := 5.0
		d := driverFrom(referenceAir(), fs, 1/(1/row.qts-1/qms), qms, vas, 0.035, 4)
		d.Xmax = 0.01
		all, err := VentedBoxes(d, referenceAir(), 7)
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, b := range all {
			if b.Family != row.family {
				continue
			}
			found = true
			nearly(t, row.family+" volume", b.Volume, vas/row.alpha, row.tol)
			nearly(t, row.family+" tuning", b.Fb, fs*row.h, row.tol)
			nearly(t, row.family+" f3 by the polynomial", b.Corner, fs*row.f3, row.tol)
			// the circuit knows nothing of the polynomial; without inductance the two are one
			nearly(t, row.family+" f3 by the circuit", b.F3, b.Corner, 1e-4) // the single alignments ask for a Qts with more digits than are printed
			nearly(t, row.family+" port", b.PortArea, 0.8*b.Fb*0.035*0.01, 1e-12)
			if row.family == "B4" {
				nearly(t, "B4 f10", b.F10, 0.7598*fs, 1e-4)
				near(t, "B4 peak", b.Peak, 0, 1e-6)
			}
		}
		if !found {
			t.Errorf("no %s among %+v", row.family, all)
		}
	}
	d := driverFrom(referenceAir(), 30, 2, 8, 0.06, 0.035, 4)
	if all, err := VentedBoxes(d, referenceAir(), 7); err != nil || len(all) > 0 {
		t.Errorf("Qts 1.6 has vented boxes: %+v, %v", all, err)
	}
}

// Sealed boxes out of a driver's data: drivers of problem sheets, see
// TestPublishedClosedBoxes, and the table of f3/fc and peaks by Qtc.
func TestSealedBoxes(t *testing.T) {
	all, err := SealedBoxes(driverA, courseAir, math.Sqrt(0.5), 0.25)
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "driver A volume", all[0].Volume, 0.0202, 0.005)
	nearly(t, "driver A fc", all[0].Fc, 53.2, 0.005)
	nearly(t, "driver A f3", all[0].F3, 53.2, 0.005)
	if all[1].Volume != 0 || !math.IsNaN(all[1].F3) {
		t.Errorf("a Qtc below Qts: %+v", all[1])
	}
	d := driverFrom(courseAir, 15, 1/(1/0.4-1/6.0), 6, 0.1, 0.05, 4)
	all, err = SealedBoxes(d, courseAir, 0.5, 1/math.Sqrt(3), math.Sqrt(0.5), 0.9, 1)
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range []struct{ f3, peak float64 }{{1.5538, 0}, {1.2720, 0}, {1, 0}, {0.8295, 0.688}, {0.7862, 1.249}} {
		near(t, "f3/fc", all[i].F3/all[i].Fc, row.f3, 6e-5)
		near(t, "peak", all[i].Peak, row.peak, 6e-4)
	}
	all, err = SealedBoxes(d, courseAir, 4, 0.405)
	if err != nil || !strings.Contains(all[0].Remark, "smaller") || !strings.Contains(all[1].Remark, "as good as no box") {
		t.Errorf("%v: %.2g and %.0f l for a cone of 500 cm2 pass: %+v", err, all[0].Volume*1e3, all[1].Volume*1e3, all)
	}
}

// Levels by excursion are those of a litre of peak volume, computed from p = rho w^2 dV/(2 pi r); the level by power
// far above resonance is the reference level for the rated voltage.
func TestLoudestLevels(t *testing.T) {
	d := driverFrom(referenceAir(), 25, 0.5, 5, 0.1, 0.05, 4)
	d.Xmax = 0.02
	all, err := LoudestLevels(d, referenceAir(), 20, 30, 40, 60)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{100.55, 107.60, 112.59, 119.64} {
		near(t, "level of one litre", all[i].Excursion, want, 0.006)
		if !math.IsNaN(all[i].Power) {
			t.Errorf("limited by power without power: %+v", all[i])
		}
	}
	d.Xmax, d.Power, d.Impedance = 0, 400, 4
	all, err = LoudestLevels(d, referenceAir(), 2000)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "level by power", all[0].Power, d.ReferenceLevel(referenceAir(), 40, 0), 0.01)
	if !math.IsNaN(all[0].Excursion) {
		t.Errorf("limited by excursion without xmax: %+v", all[0])
	}
}
