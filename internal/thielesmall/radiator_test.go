package thielesmall

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// lossless is a driver of total Q qt whose loss is its motor's.
func lossless(a Air, fs, qt, vas float64) Driver {
	const qms = 1e6
	return driverFrom(a, fs, 1/(1/qt-1/qms), qms, vas, 0.033, 6)
}

// radiatorOf returns one radiator of fp hertz and delta = Vap/volume, nearly without loss.
func radiatorOf(a Air, volume, fp, delta float64) Radiator {
	const sd = 0.04
	cms := delta * volume / (a.stiffness() * sd * sd)
	w := 2 * math.Pi * fp
	return Radiator{Count: 1, Sd: sd, Cms: cms, Mms: 1 / (w * w * cms)}
}

// Passive-radiator responses relative to the piston band, computed from the lossless system function
//
//	G = s^2Ts^2 (s^2Tp^2+1) / [(s^2Ts^2 + sTs/QT + 1)(s^2Tp^2 + 1 + delta) + alpha (s^2Tp^2 + 1)]
//
// (its form is Small's, J. Audio Eng. Soc. 22 (1974), from memory).
func TestPassiveRadiatorRows(t *testing.T) {
	air := referenceAir()
	for _, row := range []struct {
		qt, alpha, delta, fb, fp, f3, ratio float64
		frequencies, levels                 []float64
	}{
		{0.38268, 1.41421, 4, 30, 13.416, 30.00, 2.83, []float64{15, 20, 25, 30, 40, 60, 100},
			[]float64{-38.861, -19.002, -8.369, -3.010, -1.037, -0.496, -0.172}},
		{0.40, 1.2, 2, 30, 17.321, 28.35, 3.43, []float64{15, 20, 25, 30, 40, 60, 100},
			[]float64{-34.823, -25.613, -9.181, -1.584, -0.837, -0.586, -0.217}},
		{0.35, 1.8, 1.5, 33, 20.871, 33.81, 2.39, []float64{15, 20, 25, 30, 40, 60, 100},
			[]float64{-29.685, -38.852, -18.624, -6.620, -1.924, -1.160, -0.446}},
		{0.38, 1.5, 1.5, 18 * math.Sqrt(2.5), 18, math.NaN(), math.NaN(), []float64{10, 15, 20, 25, 30, 40, 50, 80, 200},
			[]float64{-33.296, -31.848, -26.673, -8.656, -3.836, -2.604, -1.777, -0.646, -0.087}},
	} {
		vas := 0.06
		volume := vas / row.alpha
		fp := row.fb / math.Sqrt(1+row.delta)
		near(t, "fp", fp, row.fp, 6e-4)
		r := radiatorOf(air, volume, fp, row.delta)
		c := circuit(t, System{Air: air, Driver: lossless(air, 30, row.qt, vas), Box: Box{Volume: volume, Passive: r}})
		near(t, "fb", c.System.Box.Tuning(air), row.fb, 1e-3)
		nearly(t, "mass for the tuning", r.Tuned(air, volume, row.fb).Mms, r.Mms, 1e-9)
		reference := c.System.Driver.ReferenceLevel(air, 1, 0)
		for i, f := range row.frequencies {
			near(t, fmt.Sprintf("QT %g, level at %g Hz", row.qt, f), c.Level(f, 1)-reference, row.levels[i], 0.002)
		}
		if math.IsNaN(row.f3) {
			continue
		}
		f3 := c.Figures(1).F3
		near(t, "f3", f3, row.f3, 0.006)
		driver, radiator := 0.0, 0.0
		for f := f3; f < 200; f *= 1.0005 {
			p := c.At(f, 1)
			driver = math.Max(driver, p.Excursion*c.System.Driver.Sd)
			radiator = math.Max(radiator, p.Radiator*r.Sd)
		}
		near(t, "displacement of the radiator over the driver's", radiator/driver, row.ratio, 0.006)
	}
}

// The rear chamber is sealed, the front one vented; dB relative to the piston band. Worked from the published relations
// of a hobby page of formulas for band-pass boxes of fourth order (copies of 1998 and 2015), with b from the prototype
// rather than from the page's rounding of half power.
func TestBandPassRows(t *testing.T) {
	air := referenceAir()
	const fs, qt, qbp, vas = 30, 0.4, 0.8, 0.060
	for _, row := range []struct{ s, front, level, low, high float64 }{
		{0.7, 0.018816, 1.969, 38.76, 92.87}, {0.6, 0.013824, -0.709, 34.03, 105.79}, {0.5, 0.009600, -3.876, 28.95, 124.34},
	} {
		rear := vas / ((qbp/qt)*(qbp/qt) - 1)
		front := 4 * row.s * row.s * qt * qt * vas
		near(t, "rear volume", rear, 0.020, 1e-12)
		near(t, "front volume", front, row.front, 1e-9)
		port := Port{Area: 0.01}
		w := 2 * math.Pi * qbp * fs / qt
		port.Ends[0] = port.Area * air.SoundSpeed * air.SoundSpeed / (front * w * w)
		c := circuit(t, System{Air: air, Driver: lossless(air, fs, qt, vas), Box: Box{Volume: front, Rear: rear, Ports: []Port{port}}})
		near(t, "fb", c.corner, 60, 1e-9)
		near(t, "Qtc of the rear chamber", c.Figures(1).Qtc, qbp, 1e-9)
		b := c.Band()
		near(t, "level at fb", b.Level, row.level, 6e-4)
		near(t, "published gain", b.Level, 40*math.Log10(2*row.s*qbp), 2e-3)
		near(t, "low corner", b.Low, row.low, 0.006)
		near(t, "high corner", b.High, row.high, 0.015) // the last row's fl fh is not fb^2 to its last digit
		if row.s != 0.7 {
			continue
		}
		reference := c.System.Driver.ReferenceLevel(air, 1, 0)
		for f, want := range map[float64]float64{20: -17.074, 40: -0.397, 50: 1.876, 60: 1.969, 80: 1.305, 100: -2.773, 150: -12.998} {
			near(t, fmt.Sprintf("level at %g Hz", f), c.Lumped().Level(f, 1)-reference, want, 0.002)
		}
		if p := c.At(15, 1); imag(p.PortFlow/p.ConeFlow) > 0.05 || real(p.PortFlow/p.ConeFlow) < 0.9 {
			t.Errorf("below its tuning the port carries %v of the cones' flow", p.PortFlow/p.ConeFlow)
		}
	}
}

// Passive radiators and band-passes against ngspice.
func TestNgspiceRadiatorsAndBandPass(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1974))
	var cases []spiceCase
	for i := range 24 {
		k := randomSpiceCase(rng, i)
		k.name = fmt.Sprintf("radiator or band-pass %d", i)
		k.box.FillGain = 0
		if i%2 == 0 {
			k.box.Ports = nil
			sd := between(rng, 0.012, 0.12)
			r := Radiator{Count: 1 + i/2%2, Sd: sd, Cms: between(rng, 0.5, 6) * k.box.Volume / (referenceAir().stiffness() * sd * sd), Rms: between(rng, 0.3, 5)}
			k.box.Passive = r.Tuned(referenceAir(), k.box.Volume, between(rng, 20, 50))
		} else {
			k.box.AbsorbQ, k.box.Rear = 0, k.box.Volume*between(rng, 0.4, 2)
			if len(k.box.Ports) == 0 {
				k.box.Ports = []Port{{Area: 0.005, Length: 0.2, Ends: [2]float64{0.03, 0.02}}}
			}
		}
		cases = append(cases, k)
	}
	compareWithSpice(t, cases)
}

// A group delay is minus the derivative of the phase.
func TestDelayOfRadiatorsAndBandPass(t *testing.T) {
	air := referenceAir()
	d := driverFrom(air, 30, 0.5, 5, 0.06, 0.033, 4)
	r := radiatorOf(air, 0.03, 18, 1.5)
	r.Rms = 2
	for _, box := range []Box{
		{Volume: 0.03, LeakQ: 7, Passive: r},
		{Volume: 0.03, LeakQ: 7, Rear: 0.02, Ports: []Port{{Area: 0.005, Length: 0.2, Ends: [2]float64{0.03, 0.02}}}},
	} {
		c := circuit(t, System{Air: air, Driver: d, Box: box})
		for f := 12.0; f < 150; f *= 1.3 {
			const h = 1e-4
			turn := math.Remainder(c.At(f*(1+h), 1).Phase-c.At(f*(1-h), 1).Phase, 360)
			near(t, fmt.Sprintf("delay at %.1f Hz", f), c.At(f, 1).GroupDelay, -turn/360/(2*h*f), 1e-6)
		}
	}
}

// A radiator's own limit sets the level as the cone's does.
func TestRadiatorLimit(t *testing.T) {
	air := referenceAir()
	r := radiatorOf(air, 0.03, 18, 1.5)
	c := circuit(t, System{Air: air, Driver: driverFrom(air, 30, 0.5, 5, 0.06, 0.033, 4), Box: Box{Volume: 0.03, LeakQ: 7, Passive: r}})
	l := Limits{AmplifierVolts: 60, RadiatorXmax: 0.004}
	level, cause := c.MaxLevel(32, l)
	if cause != Excursion {
		t.Errorf("the level is limited by %q", cause)
	}
	p := c.At(32, 1)
	near(t, "level at the radiator's limit", level, p.Level+20*math.Log10(0.004/p.Radiator), 1e-9)
}

// A coil 100 K warmer, 1.393 times its resistance, against the closed form: the
// system function of a sealed box with another QT, and the piston band's loss of 20 log10(1.393).
func TestWarmCoil(t *testing.T) {
	air := referenceAir()
	const fs, qms, vas, volume = 30, 5, 0.06, 0.03
	qes := 1 / (1/0.4 - 1.0/qms)
	d := driverFrom(air, fs, qes, qms, vas, 0.033, 4)
	c := circuit(t, System{Air: air, Driver: d, Box: Box{Volume: volume}})
	warm := c.Warm(1.393)
	near(t, "Qts warm", warm.System.Driver.Qts(), 0.54, 0.005)
	closed := func(f, qe float64) float64 {
		q := 1 / (1/qe + 1.0/qms)
		x := f / fs
		re, im := 1+vas/volume-x*x, x/q
		return 20 * math.Log10(x*x/math.Hypot(re, im))
	}
	for _, f := range []float64{15, 25, fs * math.Sqrt(3), 80, 200} {
		want := closed(f, qes*1.393) - closed(f, qes) - 20*math.Log10(1.393)
		near(t, fmt.Sprintf("loss at %.0f Hz", f), warm.Level(f, 1)-c.Level(f, 1), want, 1e-9)
	}
	near(t, "loss of the piston band", warm.Level(3000, 1)-c.Level(3000, 1), -2.88, 0.01)
	near(t, "loss at resonance", warm.Level(c.corner, 1)-c.Level(c.corner, 1), -0.3, 0.1)
}

// A radiator is described as a driver is: whatever two of its three quantities are given, the same one follows.
func TestRadiatorOfItsData(t *testing.T) {
	const sd, fs, cms = 0.05, 22.0, 0.4e-3
	mms := 1 / (4 * math.Pi * math.Pi * fs * fs * cms)
	vas := referenceAir().stiffness() * sd * sd * cms
	for _, s := range []Spec{
		{Sd: sd, Fs: fs, Vas: vas, Qms: 8}, {Sd: sd, Fs: fs, Cms: cms, Qms: 8}, {Sd: sd, Mms: mms, Cms: cms, Qms: 8},
		{Diameter: 2 * math.Sqrt(sd/math.Pi), Fs: fs, Mms: mms, Rms: 2 * math.Pi * fs * mms / 8},
	} {
		r, remarks, err := s.Radiator()
		if err != nil || len(remarks) > 0 {
			t.Fatalf("%+v: %v, %v", s, remarks, err)
		}
		for what, pair := range map[string][2]float64{"mms": {r.Mms, mms}, "cms": {r.Cms, cms}, "fp": {r.Fp(), fs}, "qms": {2 * math.Pi * fs * mms / r.Rms, 8}} {
			if math.Abs(pair[0]/pair[1]-1) > 1e-12 {
				t.Errorf("%+v: %s %g, want %g", s, what, pair[0], pair[1])
			}
		}
	}
	if _, remarks, _ := (Spec{Sd: sd, Fs: fs, Cms: cms, Mms: 2 * mms}).Radiator(); len(remarks) == 0 {
		t.Error("a mass that is twice what follows is not remarked on")
	}
	if _, _, err := (Spec{Sd: sd, Fs: fs, Qms: 8}).Radiator(); err == nil {
		t.Error("no compliance, and no error")
	}
}
