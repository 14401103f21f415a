package thielesmall

import (
	"math"
	"testing"
)

// The cabin model at 10, 20, 30, 40, 60, 80 Hz, computed for 20 C and 50 %.
func TestCabinGain(t *testing.T) {
	at := [6]float64{10, 20, 30, 40, 60, 80}
	for length, want := range map[float64][6]float64{
		2.0: {25.1, 22.3, 17.6, 13.2, 7.1, 3.7},
		2.6: {20.5, 17.8, 13.1, 9.0, 3.9, 1.6},
		2.9: {18.6, 15.9, 11.3, 7.4, 2.9, 1.1},
		3.5: {15.4, 12.7, 8.4, 4.9, 1.6, 0.6},
	} {
		for i, f := range at {
			near(t, "gain", CabinGain(referenceAir(), length, 20, f), want[i], 0.051)
		}
		most := 40 * math.Log10(referenceAir().SoundSpeed/(2*length)/20)
		if g := CabinGain(referenceAir(), length, 20, 0.01); g > most+1e-9 {
			t.Errorf("gain %g above %g", g, most)
		}
	}
	for _, bad := range [][3]float64{{0, 20, 30}, {2, 20, 0}, {2, -1, 30}, {math.NaN(), 20, 30}} {
		if g := CabinGain(referenceAir(), bad[0], bad[1], bad[2]); g != 0 {
			t.Errorf("%v: %g", bad, g)
		}
	}
}

// 0.40 mm at 25 Hz.
func TestSag(t *testing.T) {
	near(t, "sag", driverFrom(referenceAir(), 25, 0.5, 5, 0.05, 0.03, 4).Sag(), 0.397e-3, 1e-6)
}

// A 10 in driver (Sd 350 cm2) before an obstacle open all round to 0.19 m:
// about 16, 8 and 5 g at 12, 25 and 36 mm (computed).
func TestSlotMass(t *testing.T) {
	air := referenceAir()
	d := driverFrom(air, 28, 0.42, 5, 0.06, 0.035, 3.5)
	for gap, want := range map[float64]float64{0.012: 16e-3, 0.025: 8e-3, 0.036: 5.4e-3} {
		near(t, "mass", SlotMass(air, d, gap, 0.19), want, 0.5e-3)
	}
	nearly(t, "two cones", SlotMass(air, d.times(2, Parallel), 0.012, 0.19), 2*SlotMass(air, d, 0.012, 0.19), 1e-12)
	nearly(t, "no room beyond the cone", SlotMass(air, d, 0.012, 0.01), air.Density/(2*math.Pi*0.012)*0.25*0.035*0.035, 1e-12)
	if SlotMass(air, d, 0, 1) != 0 || SlotMass(air, d, -1, 1) != 0 || SlotMass(air, d, math.Inf(1), 1) != 0 {
		t.Error("no gap has a mass")
	}
}

// 12 kg/m3 in 0.8 of the volume gives 1.124 (common-practice fit).
func TestFilling(t *testing.T) {
	near(t, "gain", FillingGain(0.8, 12), 1.124, 5e-4)
	near(t, "most", FillingGain(5, 1e6), 1.2, 1e-12)
	if FillingGain(0, 12) != 1 || FillingGain(0.5, 0) != 1 || FillingGain(math.NaN(), 12) != 1 {
		t.Error("nothing filled gains")
	}
	near(t, "absorption", AbsorptionQ(0.8), 12.5, 1e-12)
	if AbsorptionQ(0) != 0 || AbsorptionQ(2) != 10 {
		t.Error("absorption at the ends")
	}
}

func TestSealedVolumeRefuses(t *testing.T) {
	d := driverFrom(referenceAir(), 25, 0.5, 5, 0.05, 0.03, 4)
	for _, qtc := range []float64{0, -1, d.Qts(), 0.3, math.NaN(), math.Inf(1)} {
		if v, err := SealedVolume(d, referenceAir(), 0, qtc); err == nil || v != 0 {
			t.Errorf("qtc %g: %g", qtc, v)
		}
	}
	if _, err := SealedVolume(Driver{}, referenceAir(), 0, 0.7); err == nil {
		t.Error("no driver passes")
	}
	if _, err := SealedVolume(d, Air{}, 0, 0.7); err == nil {
		t.Error("no air passes")
	}
	if _, err := SealedVolume(d, referenceAir(), -1, 0.7); err == nil {
		t.Error("negative leads pass")
	}
}
