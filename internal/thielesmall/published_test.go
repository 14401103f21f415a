package thielesmall

import (
	"math"
	"math/cmplx"
	"testing"
)

// near reports a value that is off by more than tol (absolute).
func near(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.7g, want %.7g within %.2g", name, got, want, tol)
	}
}

// nearly reports a value that is off by more than tol (relative).
func nearly(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	near(t, name, got, want, tol*math.Abs(want))
}

// circuit is NewCircuit for systems that are valid.
func circuit(t testing.TB, s System) *Circuit {
	t.Helper()
	c, err := NewCircuit(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// courseAir is the air of the problem sheets of DTU course 34870, Electroacoustics: rho 1.2, c 344.
var courseAir = Air{Conditions: Reference(), Density: 1.2, SoundSpeed: 344, Viscosity: 1.51e-5}

// Drivers of the problem sheets and slides of DTU course 34870, as transcribed in public student notes. Published
// alpha, volumes and frequencies are rounded; all agree within 0.5 % except where the last printed digit is coarser,
// stated in the row.
var (
	driverA = Driver{Count: 1, Re: 6.2, Bl: 10.1, Cms: 1.29e-3, Mms: 0.037, Rms: 1.1, Sd: 0.022}
	driverB = driverFrom(courseAir, 34, 1/(1/0.47-1/4.7), 4.7, 0.049, 0.035, 6) // fs, Qts and Vas published, the rest is free
	driverC = Driver{Count: 1, Re: 5, Bl: 24, Mms: 0.150, Cms: 0.11e-3, Rms: 6, Sd: math.Sqrt(0.220 / (1.2 * 344 * 344 * 0.11e-3))}
	driverD = Driver{Count: 1, Re: 5.46, Rms: 3.25, Mms: 0.0882, Cms: 0.55e-3, Bl: 11.6, Sd: 0.0519}
)

func TestPublishedClosedBoxes(t *testing.T) {
	nearly(t, "driver A fs", driverA.Fs(), 23, 0.005)
	near(t, "driver A Qts", driverA.Qts(), 0.3, 0.006) // printed as 0.3
	nearly(t, "driver A Vas", driverA.Vas(courseAir), 0.088, 0.01)
	nearly(t, "driver C fs", driverC.Fs(), 39.18, 0.0005)
	nearly(t, "driver C Qts", driverC.Qts(), 0.305, 0.005)

	v, err := SealedVolume(driverA, courseAir, 0, math.Sqrt(0.5))
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "driver A volume for Qtc 0.7071", v, 0.0202, 0.005)
	for _, row := range []struct {
		name                        string
		d                           Driver
		volume, alpha, fc, qtc, f3  float64
		tolAlpha, tolF, tolQ, tolF3 float64
	}{
		{"A at Butterworth", driverA, v, 4.3, 53.2, 0.7071, 53.2, 0.02, 0.005, 0.005, 0.005},
		{"A in 10 l", driverA, 0.010, 8.8, 72.2, 0.96, 58.0, 0.01, 0.005, 0.01, 0.005},
		{"B in 38.8 l", driverB, 0.0388, 0.049 / 0.0388, 51.2, 0.7071, 51.2, 1e-9, 0.005, 0.005, 0.005},
		{"B in 40 l", driverB, 0.040, 0.049 / 0.040, 50.7, 0.701, 51.2, 1e-9, 0.005, 0.005, 0.005},
		{"C in 100 l", driverC, 0.100, 2.2, 70.1, 0.545, 0, 0.005, 0.005, 0.005, 0},
		{"C in 220 l", driverC, 0.220, 1.0, 55.4, 0.431, 0, 0.005, 0.005, 0.005, 0},
	} {
		f := circuit(t, System{Air: courseAir, Driver: row.d, Box: Box{Volume: row.volume}}).Figures(2.83)
		nearly(t, row.name+" alpha", f.Alpha, row.alpha, row.tolAlpha)
		nearly(t, row.name+" fc", f.Fc, row.fc, row.tolF)
		nearly(t, row.name+" Qtc", f.Qtc, row.qtc, row.tolQ)
		if row.f3 > 0 {
			nearly(t, row.name+" f3", f.F3, row.f3, row.tolF3)
		}
	}
	near(t, "Leach's Qtc for Qmc 3.5", lowestCornerQtc(3.5), 0.6311, 5e-5) // published 0.63
}

// f3, peak and excursion of a closed box by Qtc, computed independently; the
// row of 0.7071 is published. Here they come out of the circuit.
func TestClosedBoxTable(t *testing.T) {
	for _, row := range []struct{ qtc, f3, peak, peakAt, x, xAt float64 }{
		{0.5, 1.5538, 0, 0, 1, 0},
		{1 / math.Sqrt(3), 1.2720, 0, 0, 1, 0},
		{math.Sqrt(0.5), 1, 0, 0, 1, 0},
		{0.8, 0.8972, 0.213, 2.1381, 1.0248, 0.4677},
		{0.9, 0.8295, 0.688, 1.6164, 1.0824, 0.6186},
		{1.0, 0.7862, 1.249, 1.4142, 1.1547, 0.7071},
		{1.2, 0.7358, 2.412, 1.2377, 1.3200, 0.8079},
		{1.5, 0.6993, 4.033, 1.1339, 1.5910, 0.8819},
	} {
		near(t, "closed form f3/fc", sealedCorner(row.qtc), row.f3, 6e-5)
		d := driverFrom(courseAir, 15, 1/(1/0.4-1/6.0), 6, 0.1, 0.05, 4)
		v, err := SealedVolume(d, courseAir, 0, row.qtc)
		if err != nil {
			t.Fatal(err)
		}
		c := circuit(t, System{Air: courseAir, Driver: d, Box: Box{Volume: v}})
		f := c.Figures(2.83)
		near(t, "Qtc", f.Qtc, row.qtc, 1e-9)
		near(t, "f3/fc", f.F3/f.Fc, row.f3, 6e-5)
		near(t, "peak", f.Peak, row.peak, 6e-4)
		if row.peakAt > 0 {
			near(t, "fpeak/fc", f.PeakAt/f.Fc, row.peakAt, 2e-3)
		}
		rest := c.At(0.001*f.Fc, 1).Excursion
		largest, at := 0.0, 0.0
		for r := 0.01; r < 2; r += 0.0005 {
			if x := c.At(r*f.Fc, 1).Excursion / rest; x > largest {
				largest, at = x, r
			}
		}
		near(t, "largest excursion", largest, row.x, 1e-4)
		if row.xAt > 0 {
			near(t, "its frequency", at, row.xAt, 1e-3)
		}
	}
}

// Impedance figures of two drivers and levels of a third, problem sheets of DTU
// course 34870. An infinite baffle is a box of a thousand cubic metres.
func TestPublishedDrivers(t *testing.T) {
	c := circuit(t, System{Air: courseAir, Driver: driverD, Box: Box{Volume: 1e3}})
	fs := driverD.Fs()
	nearly(t, "D fs", fs, 22.85, 5e-4)
	nearly(t, "D Qms", driverD.Qms(), 3.90, 1e-3)
	nearly(t, "D Qes", driverD.Qes(), 0.514, 1e-3)
	nearly(t, "D Qts", driverD.Qts(), 0.454, 1e-3)
	nearly(t, "D largest impedance", cmplx.Abs(c.At(fs, 1).Impedance), 46.86, 1e-3)
	for _, f := range []float64{15.82, 33.00} {
		nearly(t, "D impedance at f1, f2", cmplx.Abs(c.At(f, 1).Impedance), 16.00, 2e-3)
	}
	heavier := driverD
	heavier.Mms += 0.020
	nearly(t, "D fs with 20 g more", heavier.Fs(), 20.63, 5e-4)

	e := Driver{Mms: 0.038, Rms: 1.5, Cms: 0.9e-3, Bl: 5, Re: 6, Sd: math.Pi * 0.01}
	nearly(t, "E fs", e.Fs(), 27.2, 1e-3)
	nearly(t, "E Qms", e.Qms(), 4.33, 1e-3)
	nearly(t, "E Qes", e.Qes(), 1.56, 1e-3)
	near(t, "E Qts", e.Qts(), 1.15, 0.005)
	nearly(t, "E Vas", e.Vas(courseAir), 0.126, 2e-3)

	// F: amplitudes, so 4 V peak is 4/sqrt 2 rms
	nearly(t, "F efficiency", driverD.Efficiency(courseAir), 0.0047, 0.01)
	nearly(t, "F excursion at 50 Hz", c.At(50, 4/math.Sqrt2).Excursion, 0.76e-3, 0.005)
	nearly(t, "F excursion at 200 Hz", c.At(200, 4/math.Sqrt2).Excursion, 59.9e-6, 0.005)
	for f, level := range map[float64]float64{50: 109.9, 200: 133.9} {
		p := c.At(f, 1)
		near(t, "F level at 9 mm", p.Level+20*math.Log10(9e-3/p.Excursion), level, 0.05)
	}
}

// A driver by its moving parts, as models of lumped elements take it: Re, Bl, Mmd, Cms, Rms, radius (those of an example file whose
// author is not recorded); what follows is computed here in air of rho 1.2, c 343, with two air loads of 8/(3 pi) on a piston.
func TestLumpedDriver(t *testing.T) {
	air := Air{Conditions: Reference(), Density: 1.2, SoundSpeed: 343, Viscosity: 1.51e-5}
	a := 0.12
	s := Spec{Re: 7, Bl: 11.4, Mms: 0.0334 + 2*8.0/3*1.2*a*a*a, Cms: 1.18e-3, Rms: 1.85, Diameter: 2 * a}
	d, findings, err := s.Complete()
	if err != nil || len(findings) > 0 {
		t.Fatal(err, findings)
	}
	near(t, "Sd", d.Sd, 0.045239, 1e-6)
	near(t, "Mms", d.Mms, 0.044459, 1e-6)
	near(t, "fs", d.Fs(), 21.974, 1e-3)
	near(t, "Qes", d.Qes(), 0.33062, 1e-5)
	near(t, "Qms", d.Qms(), 3.3179, 1e-4)
	near(t, "Qts", d.Qts(), 0.30066, 1e-5)
	near(t, "Vas", d.Vas(air), 0.34094, 1e-5)
	near(t, "efficiency", d.Efficiency(air), 0.0107034, 1e-6)
	old := 4 * math.Pi * math.Pi / math.Pow(air.SoundSpeed, 3) * math.Pow(d.Fs(), 3) * d.Vas(air) / d.Qes()
	nearly(t, "efficiency by Vas", d.Efficiency(air), old, 1e-12)
	near(t, "level at 1 W", d.ReferenceLevel(air, math.Sqrt(d.Re), 0), 92.40, 0.06)
}

// Impedance of a vented box out of a published model (lecture notes): Re 5.4,
// Le 1.9 mH, Res 100, fs 40, Qms 6.1, Vas 330, Vb 110, fb 35, QL 7.
func TestPublishedVentedImpedance(t *testing.T) {
	d := driverFrom(courseAir, 40, 6.1*5.4/100, 6.1, 0.330, 0.08, 5.4)
	d.Le = 1.9e-3
	// a port without length is a mass alone
	area := 0.02
	length, _ := PortLength(courseAir, 0.110, 35, area, 1, 0)
	c := circuit(t, System{Air: courseAir, Driver: d, Box: Box{Volume: 0.110, LeakQ: 7,
		Ports: []Port{{Area: area, Ends: [2]float64{length / 2, length / 2}}}}})
	z := func(f float64) float64 { return cmplx.Abs(c.At(f, 1).Impedance) }
	// extremes printed to a tenth of a hertz and an ohm
	extreme := func(low, high, sign float64) float64 {
		best := low
		for f := low; f < high; f += 0.01 {
			if sign*z(f) > sign*z(best) {
				best = f
			}
		}
		return best
	}
	lower, dip, upper := extreme(10, 25, 1), extreme(25, 50, -1), extreme(60, 120, 1)
	near(t, "lower peak", lower, 16.3, 0.06)
	near(t, "at the lower peak", z(lower), 54, 0.6)
	near(t, "minimum", dip, 34.2, 0.15)
	near(t, "at the minimum", z(dip), 6.1, 0.06)
	near(t, "upper peak", upper, 85.9, 0.15)
	near(t, "at the upper peak", z(upper), 64, 0.6)
	near(t, "impedance at 100 Hz", z(100), 22.4, 0.3)
	near(t, "its angle", cmplx.Phase(c.At(100, 1).Impedance)*180/math.Pi, -57.6, 0.6)
}

// Second-order coil, computed from the two-inductor form.
func TestCoilInductance(t *testing.T) {
	d := Driver{Count: 1, Re: 4, Le: 0.6e-3, L2: 1.2e-3, R2: 5, Bl: 1e-6, Sd: 0.03, Mms: 0.1, Cms: 1e-4, Rms: 1}
	c := circuit(t, System{Air: referenceAir(), Driver: d, Box: Box{Volume: 1}})
	for _, row := range []struct{ f, re, im float64 }{
		{50, 0.02826, 0.56336}, {100, 0.11117, 1.11421}, {1000, 3.47280, 6.07288},
	} {
		z := c.At(row.f, 1).Impedance
		near(t, "resistance", real(z)-4, row.re, 1e-5)
		near(t, "reactance", imag(z), row.im, 1e-5)
	}
}

// One litre of peak volume at 1 m in half space, reference air, computed from p = rho w^2 dV/(2 pi r).
func TestVolumeLevels(t *testing.T) {
	d := driverFrom(referenceAir(), 25, 0.5, 5, 0.1, 0.05, 4)
	d.Xmax = 0.02
	near(t, "volume displacement", d.VolumeDisplacement(), 1e-3, 1e-15)
	c := circuit(t, System{Air: referenceAir(), Driver: d, Box: Box{Volume: 0.05}})
	for f, want := range map[float64]float64{20: 100.55, 30: 107.60, 40: 112.59, 60: 119.64} {
		level, cause := c.MaxLevel(f, Limits{Xmax: d.Xmax})
		near(t, "level of one litre", level, want, 0.006)
		if cause != Excursion {
			t.Errorf("limited by %v", cause)
		}
	}
}

// sealedCorner returns f3/fc of a sealed box,
//
//	f3/fc = sqrt(x + sqrt(x^2 + 1)),  x = 1/(2 qtc^2) - 1
//
// the closed form without inductance, to seed and to check against. qtc must be greater than 0.
func sealedCorner(qtc float64) float64 {
	x := 1/(2*qtc*qtc) - 1
	return math.Sqrt(x + math.Sqrt(x*x+1))
}

// lowestCornerQtc returns the Qtc with the lowest f3 that a driver can have in a sealed box with mechanical quality
// factor qmc, 2 to 5; outside, the value at the end of that range,
//
//	0.1994 + 0.2822 Qmc - 0.06219 Qmc^2 + 0.0048 Qmc^3
//
// Leach, What Value of QTC Minimizes the Lower Cutoff Frequency of a Closed-Box Loudspeaker System? (as quoted).
func lowestCornerQtc(qmc float64) float64 {
	q := math.Min(math.Max(qmc, 2), 5)
	return 0.1994 + 0.2822*q - 0.06219*q*q + 0.0048*q*q*q
}
