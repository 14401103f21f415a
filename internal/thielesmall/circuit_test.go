package thielesmall

import (
	"errors"
	"math"
	"math/cmplx"
	"testing"
)

// lumped returns a vented box whose port is a mass alone.
func lumped(a Air, volume, fb, ql float64) Box {
	const area = 0.01
	length, _ := PortLength(a, volume, fb, area, 1, 0)
	return Box{Volume: volume, LeakQ: ql, Ports: []Port{{Area: area, Ends: [2]float64{length, 0}}}}
}

// The circuit against the fourth-order closed form with leakage, and its
// displacement and impedance (lecture notes after Leach, chapter 8; derived).
func TestVentedClosedForm(t *testing.T) {
	air := referenceAir()
	d := driverFrom(air, 28, 0.42, 5, 0.06, 0.035, 3.5)
	for _, ql := range []float64{0, 5, 7, 20} {
		vb, fb := 0.045, 33.0
		c := circuit(t, System{Air: air, Driver: d, Box: lumped(air, vb, fb, ql)})
		leak, _ := leakage(ql)
		fs, qts := d.Fs(), d.Qts()
		h, alpha := fb/fs, d.Vas(air)/vb
		a1, a2, a3 := 1/(qts*math.Sqrt(h))+math.Sqrt(h)*leak, (alpha+1)/h+h+leak/qts, math.Sqrt(h)/qts+leak/math.Sqrt(h)
		reference := d.ReferenceLevel(air, 2.83, 0)
		rest := math.Sqrt2 * 2.83 * d.Bl / d.Re * d.Cms
		for f := 5.0; f < 300; f *= 1.07 {
			s := complex(0, f/math.Sqrt(fb*fs))
			den := s*s*s*s + complex(a1, 0)*s*s*s + complex(a2, 0)*s*s + complex(a3, 0)*s + 1
			g := s * s * s * s / den
			p := c.At(f, 2.83)
			near(t, "level", p.Level, reference+20*math.Log10(cmplx.Abs(g)), 1e-9)
			near(t, "phase", math.Remainder(p.Phase-cmplx.Phase(g)*180/math.Pi, 360), 0, 1e-9)
			sb := complex(0, f/fb)
			x := (sb*sb + sb*complex(leak, 0) + 1) / den
			nearly(t, "excursion", p.Excursion, rest*cmplx.Abs(x), 1e-9)
			ss := complex(0, f/fs)
			box := sb * sb / (sb*sb + sb*complex(leak, 0) + 1)
			res := d.Re * d.Qms() / d.Qes()
			z := complex(d.Re, 0) + complex(res/d.Qms(), 0)*ss/(ss*ss+ss*complex(1/d.Qms(), 0)+1+complex(alpha, 0)*box)
			near(t, "impedance", cmplx.Abs(p.Impedance-z), 0, 1e-9*cmplx.Abs(z))
		}
	}
}

// A system built to an alignment has that alignment's corner and ripple.
func TestAlignmentInTheCircuit(t *testing.T) {
	air := referenceAir()
	for _, row := range []struct {
		family  string
		qts, ql float64
	}{{"B4", 0.4048, 7}, {"QB3", 0.30, 7}, {"C4", 0.50, 10}, {"sub-Chebyshev", 0.36, 0}, {"Bessel", 0.3312, 7}, {"equal pole pairs", 0.42, 15}} {
		a, err := Align(row.family, row.qts, row.ql)
		if err != nil {
			t.Fatal(err)
		}
		const fs, vas = 25.0, 0.08
		d := driverFrom(air, fs, 1/(1/a.Qts-1.0/8), 8, vas, 0.05, 3.5)
		f := circuit(t, System{Air: air, Driver: d, Box: lumped(air, vas/a.Alpha, a.H*fs, row.ql)}).Figures(1)
		nearly(t, row.family+" f3", f.F3, a.F3*fs, 1e-6)
		near(t, row.family+" peak", f.Peak, a.Ripple, 2e-3)
		nearly(t, row.family+" fb", f.Fb, a.H*fs, 1e-9)
		nearly(t, row.family+" alpha", f.Alpha, a.Alpha, 1e-9)
	}
}

// The uniform duct tends to the lumped port at low frequency, up to the air
// that it holds itself: half of it moves with the box's own.
func TestDuctAgainstLumpedPort(t *testing.T) {
	air := referenceAir()
	d := driverFrom(air, 28, 0.42, 5, 0.06, 0.035, 3.5)
	for _, r := range []float64{0.01, 0.03, 0.05} {
		port := Port{Area: math.Pi * r * r, Length: 0.6, Ends: [2]float64{EndFlush(r), EndFree(r)}}
		box := Box{Volume: 0.045, Ports: []Port{port}}
		c := circuit(t, System{Air: air, Driver: d, Box: box})
		l := circuit(t, System{Air: air, Driver: d, Box: lumped(air, 0.045, box.Tuning(air), 0)})
		share := port.Area * (port.Length/2 + port.Ends[0]) * port.Length / port.effective() / box.Volume
		near(t, "level at 2 Hz", c.At(2, 1).Level-l.At(2, 1).Level, 20*math.Log10(1+share), 0.01)
		// the duct's reactance changes sign near c/2(L+ends)
		dd := ductsOf(box.Ports, air)[0]
		f0 := port.FirstResonance(air)
		if below, above := imag(dd.at(2*math.Pi*f0*0.97).out), imag(dd.at(2*math.Pi*f0*1.03).out); below > 0 || above < 0 {
			t.Errorf("no resonance at %.0f Hz: %g, %g", f0, below, above)
		}
	}
}

// Wall friction against a chain of a thousand short sections, each a series impedance and a shunt compliance.
func TestFrictionAgainstSections(t *testing.T) {
	air := referenceAir()
	p := Port{Area: 0.0012, Length: 0.5, Ends: [2]float64{0.016, 0.012}, Friction: true}
	d := ductsOf([]Port{p}, air)[0]
	radius := math.Sqrt(p.Area / math.Pi)
	for _, f := range []float64{12, 30, 80, 250} {
		w := 2 * math.Pi * f
		layer := math.Sqrt(2*air.Viscosity/w) / radius
		z := complex(0, w*air.Density/p.Area) * complex(1+layer, -layer)
		y := complex(0, w*p.Area/air.stiffness())
		const n = 4000
		dx := complex(p.Length/n, 0)
		flow := complex(1, 0)
		pressure := complex(0, w*air.Density*p.Ends[0]/p.Area)
		for i := 0; i < n; i++ { // from the outer mouth inwards, halves of z around y
			pressure += flow * z * dx / 2
			flow += pressure * y * dx
			pressure += flow * z * dx / 2
		}
		pressure += complex(0, w*air.Density*p.Ends[1]/p.Area) * flow
		b := d.at(w)
		near(t, "outer flow", cmplx.Abs(b.out*pressure-1), 0, 2e-6)
		near(t, "flow kept", cmplx.Abs(b.kept*pressure-(flow-1)), 0, 2e-6)
	}
}

// The quality factor of a plug of air with a viscous layer is a/delta (derived): 50 mm at 30 Hz 125, 25 mm at 30 Hz 62.
func TestFrictionQualityFactor(t *testing.T) {
	air := referenceAir()
	for a, want := range map[float64]float64{0.050: 125, 0.025: 62} {
		p := Port{Area: math.Pi * a * a, Length: 0.05, Friction: true}
		z := 1 / ductsOf([]Port{p}, air)[0].at(2*math.Pi*30).out
		nearly(t, "Q", imag(z)/real(z), want, 0.03)
	}
}

// Group delay against the central difference of the unwrapped phase, all parts of the circuit switched on.
func TestGroupDelayIsThePhaseSlope(t *testing.T) {
	air := referenceAir()
	d := driverFrom(air, 28, 0.42, 5, 0.06, 0.035, 3.5)
	d.Le, d.L2, d.R2 = 1e-3, 2e-3, 6
	r := 0.04
	ends := [2]float64{EndFlush(r), EndFree(r)}
	for _, friction := range []bool{false, true} {
		c := circuit(t, System{Air: air, Driver: d, Source: 0.3,
			Box: Box{Volume: 0.04, LeakQ: 9, AbsorbQ: 30, FillGain: 1.05, Ports: []Port{
				{Area: math.Pi * r * r, Length: 0.3, Ends: ends, Friction: friction}, {Area: 0.002, Length: 0.25, Ends: ends}}},
			Filters: []Filter{{Kind: HighPass, Type: Bessel, Order: 3, Frequency: 22}, {Kind: LowPass, Type: LinkwitzRiley, Order: 4, Frequency: 90}, {Kind: PeakBoost, Frequency: 40, Gain: 5, Q: 1.2}}})
		for f := 8.0; f < 400; f *= 1.05 {
			const step = 1e-4
			turn := math.Remainder(c.At(f*(1+step), 1).Phase-c.At(f*(1-step), 1).Phase, 360)
			slope := -turn / 360 / (2 * step * f)
			near(t, "group delay", c.At(f, 1).GroupDelay, slope, 1e-5*(math.Abs(slope)+1/f))
		}
	}
}

// Published sensitivity of the level at the tuning to QL comes with no full
// data; that more loss lowers it is checked here, monotonically.
func TestLeakLowersTheLevelAtTuning(t *testing.T) {
	air := referenceAir()
	d := driverFrom(air, 28, 0.42, 5, 0.06, 0.035, 3.5)
	last := math.Inf(-1)
	for _, ql := range []float64{3, 5, 7, 10, 15, 40, 1000, 0} {
		level := circuit(t, System{Air: air, Driver: d, Box: lumped(air, 0.045, 30, ql)}).At(30, 2.83).Level
		if level <= last {
			t.Errorf("QL %g: %.2f dB is not above %.2f", ql, level, last)
		}
		last = level
	}
}

func TestNewCircuitRefuses(t *testing.T) {
	good := ventedSystem()
	for name, spoil := range map[string]func(*System){
		"no air":               func(s *System) { s.Air = Air{} },
		"re zero":              func(s *System) { s.Driver.Re = 0 },
		"bl negative":          func(s *System) { s.Driver.Bl = -1 },
		"mms not a number":     func(s *System) { s.Driver.Mms = math.NaN() },
		"cms infinite":         func(s *System) { s.Driver.Cms = math.Inf(1) },
		"le negative":          func(s *System) { s.Driver.Le = -1e-3 },
		"volume zero":          func(s *System) { s.Box.Volume = 0 },
		"leak negative":        func(s *System) { s.Box.LeakQ = -7 },
		"gain beyond physics":  func(s *System) { s.Box.FillGain = 1.5 },
		"port without area":    func(s *System) { s.Box.Ports = []Port{{Length: 1}} },
		"port without length":  func(s *System) { s.Box.Ports = []Port{{Area: 1e-3}} },
		"port swallows box":    func(s *System) { s.Box.Ports = []Port{{Area: 0.05, Length: 1}} },
		"source negative":      func(s *System) { s.Source = -0.1 },
		"filter without order": func(s *System) { s.Filters = []Filter{{Frequency: 20}} },
		"filter at zero":       func(s *System) { s.Filters = []Filter{{Order: 2}} },
		"filter too steep":     func(s *System) { s.Filters = []Filter{{Order: 9, Frequency: 20}} },
		"boost without q":      func(s *System) { s.Filters = []Filter{{Kind: PeakBoost, Frequency: 20}} },
	} {
		s := good
		spoil(&s)
		_, err := NewCircuit(s)
		var r *RangeError
		if !errors.As(err, &r) {
			t.Errorf("%s: error %v, want a RangeError", name, err)
		}
	}
	for name, spoil := range map[string]func(*System){
		"odd linkwitz": func(s *System) { s.Filters = []Filter{{Type: LinkwitzRiley, Order: 3, Frequency: 20}} },
		"no such kind": func(s *System) { s.Filters = []Filter{{Kind: 9, Order: 3, Frequency: 20}} },
		"no such type": func(s *System) { s.Filters = []Filter{{Type: 9, Order: 3, Frequency: 20}} },
		"l2 alone":     func(s *System) { s.Driver.L2 = 1e-3 },
	} {
		s := good
		spoil(&s)
		if _, err := NewCircuit(s); err == nil {
			t.Errorf("%s passes", name)
		}
	}
	bad := good
	bad.Driver.Re, bad.Box.Volume = 0, -1
	_, err := NewCircuit(bad)
	if all, ok := err.(interface{ Unwrap() []error }); !ok || len(all.Unwrap()) < 2 {
		t.Errorf("not all faults at once: %v", err)
	}
}

// ventedSystem is an ordinary 10 in driver in 45 l.
func ventedSystem() System {
	air := referenceAir()
	d := driverFrom(air, 28, 0.42, 5, 0.06, 0.035, 3.5)
	d.Xmax, d.Power, d.Impedance, d.Le = 0.012, 500, 4, 1.2e-3
	r := 0.05
	return System{Air: air, Driver: d, Box: Box{Volume: 0.045, LeakQ: 7,
		Ports: []Port{{Area: math.Pi * r * r, Length: 0.35, Ends: [2]float64{EndFlush(r), EndFree(r)}}}}}
}

// Nothing that the caller keeps can change a circuit.
func TestCircuitKeepsItsOwnCopy(t *testing.T) {
	s := ventedSystem()
	s.Filters = []Filter{{Kind: HighPass, Order: 2, Frequency: 25}}
	c := circuit(t, s)
	before := c.At(30, 1)
	s.Box.Ports[0].Area, s.Filters[0].Frequency = 1, 99
	if c.At(30, 1) != before {
		t.Error("the circuit changed with the caller's slices")
	}
	if got := c.Without().At(30, 1); got == before {
		t.Error("the filter does nothing")
	}
}

// At answers outside its range without a panic and without numbers.
func TestAtOutsideItsRange(t *testing.T) {
	c := circuit(t, ventedSystem())
	for _, f := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if p := c.At(f, 1); p.Level != 0 || p.Excursion != 0 {
			t.Errorf("At(%g) = %+v", f, p)
		}
	}
	// exactly at the duct's first resonance
	d := ductsOf([]Port{{Area: 0.01, Length: 0.5}}, c.System.Air)[0]
	for _, w := range []float64{math.Pi * c.System.Air.SoundSpeed / 0.5, 2 * math.Pi * c.System.Air.SoundSpeed / 0.5} {
		if b := d.at(w); cmplx.IsNaN(b.out) || cmplx.IsInf(b.out) || cmplx.IsInf(b.kept1) {
			t.Errorf("duct at resonance: %+v", b)
		}
	}
}
