package thielesmall

import (
	"math"
	"math/cmplx"
	"testing"

	"pgregory.net/rapid"
)

// logUniform draws evenly on a logarithmic scale.
func logUniform(low, high float64) *rapid.Generator[float64] {
	return rapid.Custom(func(t *rapid.T) float64 {
		return low * math.Pow(high/low, rapid.Float64Range(0, 1).Draw(t, "share"))
	})
}

func drawAir(t *rapid.T) Air {
	a, err := Conditions{
		Temperature: rapid.Float64Range(coldest, hottest).Draw(t, "temperature"),
		Pressure:    rapid.Float64Range(thinnest, densest).Draw(t, "pressure"),
		Humidity:    rapid.Float64Range(0, 1).Draw(t, "humidity"),
	}.Air()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func drawDriver(t *rapid.T) Driver {
	d := driverFrom(referenceAir(),
		logUniform(12, 90).Draw(t, "fs"), logUniform(0.15, 3).Draw(t, "qes"), logUniform(1, 20).Draw(t, "qms"),
		logUniform(0.002, 0.6).Draw(t, "vas"), logUniform(0.005, 0.2).Draw(t, "sd"), logUniform(0.5, 16).Draw(t, "re"))
	d.Le = logUniform(1e-5, 1e-2).Draw(t, "le")
	if rapid.Bool().Draw(t, "pair") {
		d.L2, d.R2 = logUniform(1e-4, 1e-2).Draw(t, "l2"), logUniform(0.5, 50).Draw(t, "r2")
	}
	d.Xmax = 0.01
	return d
}

func drawPort(t *rapid.T, volume float64) Port {
	r := logUniform(0.01, 0.1).Draw(t, "radius")
	length := rapid.Float64Range(0, 1.5).Draw(t, "length")
	for math.Pi*r*r*length > volume/2 {
		r /= 2
	}
	return Port{Area: math.Pi * r * r, Length: length, Ends: [2]float64{EndFlush(r), EndFree(r)}, Friction: rapid.Bool().Draw(t, "friction")}
}

func drawSystem(t *rapid.T) System {
	s := System{Air: drawAir(t), Driver: drawDriver(t), Source: rapid.Float64Range(0, 0.5).Draw(t, "source")}
	s.Box.Volume = logUniform(0.002, 0.5).Draw(t, "volume")
	for n := rapid.IntRange(0, 3).Draw(t, "ports"); n > 0; n-- {
		s.Box.Ports = append(s.Box.Ports, drawPort(t, s.Box.Volume/3))
	}
	if rapid.Bool().Draw(t, "leaky") {
		s.Box.LeakQ = logUniform(1, 100).Draw(t, "leak q")
	}
	if rapid.Bool().Draw(t, "filled") {
		s.Box.AbsorbQ = logUniform(1, 100).Draw(t, "absorb q")
		s.Box.FillGain = rapid.Float64Range(1, 1.2).Draw(t, "gain")
	}
	for n := rapid.IntRange(0, 2).Draw(t, "filters"); n > 0; n-- {
		s.Filters = append(s.Filters, Filter{
			Kind: FilterKind(rapid.IntRange(0, 2).Draw(t, "kind")), Type: FilterType(rapid.IntRange(0, 2).Draw(t, "type")),
			Order: 2 * rapid.IntRange(1, 4).Draw(t, "half order"), Frequency: logUniform(10, 200).Draw(t, "corner"), Gain: rapid.Float64Range(-12, 12).Draw(t, "boost"), Q: logUniform(0.3, 5).Draw(t, "q"),
		})
	}
	return s
}

func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// No valid system gives a number that is none, at any frequency that is asked for.
func TestPropertyFinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := circuit2(t, drawSystem(t))
		f := logUniform(0.5, 5000).Draw(t, "frequency")
		p := c.At(f, 2.83)
		if !finite(p.Level, p.Phase, p.Excursion, p.PortSpeed, p.GroupDelay, p.Terminals, real(p.Impedance), imag(p.Impedance),
			cmplx.Abs(p.ConeFlow), cmplx.Abs(p.PortFlow), cmplx.Abs(p.LeakFlow)) {
			t.Fatalf("%+v", p)
		}
		if !(p.Phase > -180 && p.Phase <= 180) || real(p.Impedance) < c.System.Driver.Re*(1-1e-9) {
			t.Fatalf("%+v", p)
		}
		g := c.Figures(2.83)
		if !finite(g.Reference, g.Fc, g.Fb, g.Alpha, g.Qtc, g.TopFrequency, g.Peak, g.PeakAt, g.Dip, g.DipAt, g.DuctResonance, g.DelayAtTuning) {
			t.Fatalf("%+v", g)
		}
		if missing := math.IsNaN(g.F3) || math.IsNaN(g.F6) || math.IsNaN(g.F10); missing != (g.Reason != "") {
			t.Fatalf("a corner is missing without a reason, or the other way round: %+v", g)
		}
		if g.F3 < g.F6 || g.F6 < g.F10 {
			t.Fatalf("corners out of order: %+v", g)
		}
	})
}

func circuit2(t *rapid.T, s System) *Circuit {
	c, err := NewCircuit(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Flow is conserved and energy is not made: what the source gives is what
// resistances take, to rounding; and the level follows from the flows.
func TestPropertyEnergyAndFlow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSystem(t)
		s.Filters = nil
		for i := range s.Box.Ports {
			s.Box.Ports[i].Friction = false
		}
		c := circuit2(t, s)
		f := logUniform(5, 400).Draw(t, "frequency")
		p := c.At(f, 1)
		w := 2 * math.Pi * f
		drawn := p.ConeFlow - p.PortFlow - p.LeakFlow
		level := 20 * math.Log10(c.System.Air.Density*f*cmplx.Abs(drawn)/20e-6)
		scale := (cmplx.Abs(p.ConeFlow) + cmplx.Abs(p.PortFlow)) / cmplx.Abs(drawn) // what the difference loses in rounding
		if math.Abs(level-p.Level) > 1e-9*scale+1e-9 {
			t.Fatalf("level %.9f dB, from the flows %.9f", p.Level, level)
		}

		current := 1 / cmplx.Abs(p.Impedance+complex(s.Source, 0))
		given := current * current * real(p.Impedance)
		velocity := p.Excursion * w / math.Sqrt2
		coil := s.Driver.Re
		if s.Driver.R2 > 0 {
			x := w * s.Driver.L2 / s.Driver.R2
			coil += s.Driver.R2 * x * x / (1 + x*x)
		}
		taken := current*current*coil + velocity*velocity*s.Driver.Rms
		pressure := c.boxPressure(w)
		if c.leak > 0 {
			taken += pressure * pressure * c.leak
		}
		if c.absorb > 0 {
			// RA Cab over Cab; the branch carries pressure/|RA + 1/jwCab|
			ra := c.absorb / c.compliance
			flow := pressure / cmplx.Abs(complex(ra, -1/(w*c.compliance)))
			taken += flow * flow * ra
		}
		if math.Abs(taken/given-1) > 1e-7 {
			t.Fatalf("%.9g W given, %.9g W taken", given, taken)
		}
	})
}

// boxPressure returns the pressure in the box for one volt, Pa rms.
func (c *Circuit) boxPressure(w float64) float64 {
	var s state
	c.solve(&s, w)
	return cmplx.Abs(c.pressure(&s))
}

// With friction, a port takes energy and never gives any.
func TestPropertyFrictionTakes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		air := drawAir(t)
		p := drawPort(t, 0.1)
		p.Friction = true
		d := ductsOf([]Port{p}, air)[0]
		b := d.at(2 * math.Pi * logUniform(1, 1000).Draw(t, "frequency"))
		if real(b.out+b.kept) < -1e-12*cmplx.Abs(b.out+b.kept) {
			t.Fatalf("admittance %v", b.out+b.kept)
		}
	})
}

// As its ports close, a vented box becomes the sealed one.
func TestPropertyVentedTendsToSealed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSystem(t)
		s.Box.LeakQ, s.Box.AbsorbQ = 0, 0 // both are defined at the tuning, which goes to zero
		sealed := s
		sealed.Box.Ports = nil
		f := logUniform(15, 200).Draw(t, "frequency")
		want := circuit2(t, sealed).At(f, 1)
		last := math.Inf(1)
		for _, area := range []float64{1e-8, 1e-10, 1e-12} {
			// so narrow a duct of this length stays below its resonance
			s.Box.Ports = []Port{{Area: area, Length: 0.2, Ends: [2]float64{0, 0}}}
			got := circuit2(t, s).At(f, 1)
			gap := math.Abs(got.Level-want.Level) + cmplx.Abs(got.Impedance/want.Impedance-1) + math.Abs(got.Excursion/want.Excursion-1)
			if gap > last*1.01+1e-9 {
				t.Fatalf("area %g: %g is farther from sealed than %g", area, gap, last)
			}
			last = gap
		}
		if last > 1e-4 {
			t.Fatalf("a closed port leaves %g", last)
		}
	})
}

// N drivers in N times the box, at equal voltage each, move as one does and are 20 log N louder.
func TestPropertyManyDrivers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		one := drawSystem(t)
		one.Source = 0
		n := rapid.IntRange(2, 6).Draw(t, "n")
		joined := rapid.SampledFrom([]Connection{Series, Parallel}).Draw(t, "joined")
		many := one
		many.Driver = one.Driver.times(n, joined)
		many.Box.Volume *= float64(n)
		many.Box.Ports = nil
		for i := 0; i < n; i++ {
			many.Box.Ports = append(many.Box.Ports, one.Box.Ports...)
		}
		volts := 1.0
		if joined == Series {
			volts = float64(n)
		}
		f := logUniform(10, 300).Draw(t, "frequency")
		a, b := circuit2(t, one).At(f, 1), circuit2(t, many).At(f, volts)
		if math.Abs(b.Level-a.Level-20*math.Log10(float64(n))) > 1e-7 {
			t.Fatalf("%d drivers: %.9f dB, one %.9f", n, b.Level, a.Level)
		}
		if math.Abs(b.Excursion/a.Excursion-1) > 1e-8 || math.Abs(b.GroupDelay-a.GroupDelay) > 1e-8 || math.Abs(b.PortSpeed-a.PortSpeed) > 1e-8*a.PortSpeed {
			t.Fatalf("one %+v, %d %+v", a, n, b)
		}
	})
}

// What theory says rises or falls does.
func TestPropertyMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSystem(t)
		s.Box = Box{Volume: s.Box.Volume}
		larger, filled, leads := s, s, s
		larger.Box.Volume *= 1.5
		filled.Box.FillGain = 1.15
		leads.Source += 0.5
		base := circuit2(t, s).Figures(1)
		if f := circuit2(t, larger).Figures(1); f.Fc >= base.Fc || f.Qtc >= base.Qtc {
			t.Fatalf("a larger box: %+v, %+v", base, f)
		}
		if f := circuit2(t, filled).Figures(1); f.Fc >= base.Fc || f.Qtc >= base.Qtc {
			t.Fatalf("filling: %+v, %+v", base, f)
		}
		if f := circuit2(t, leads).Figures(1); f.Qtc <= base.Qtc || f.Reference >= base.Reference {
			t.Fatalf("leads: %+v, %+v", base, f)
		}
		low := logUniform(1, 5).Draw(t, "low") // Hz, below every resonance here
		if a, b := circuit2(t, s).At(low, 1).Excursion, circuit2(t, larger).At(low, 1).Excursion; b <= a {
			t.Fatalf("a larger box holds the cone more: %g, %g", a, b)
		}
		// the volume for a Qtc has that Qtc
		qtc := s.Driver.QtsWith(s.Source) * rapid.Float64Range(1.01, 4).Draw(t, "rise")
		v, err := SealedVolume(s.Driver, s.Air, s.Source, qtc)
		if err != nil {
			t.Fatal(err)
		}
		s.Box.Volume = v
		if f := circuit2(t, s).Figures(1); math.Abs(f.Qtc/qtc-1) > 1e-9 {
			t.Fatalf("Qtc %g, wanted %g", f.Qtc, qtc)
		}
	})
}

// Tuning follows the speed of sound, box stiffness the pressure.
func TestPropertyAir(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := ventedSystem()
		cold, hot := s.Air, drawAir(t)
		ratio := s.Box.Tuning(hot) / s.Box.Tuning(cold)
		if math.Abs(ratio/(hot.SoundSpeed/cold.SoundSpeed)-1) > 1e-12 {
			t.Fatalf("tuning changes by %g", ratio)
		}
		if c := s.Box.compliance(hot) * hot.stiffness(); math.Abs(c/s.Box.Volume-1) > 1e-12 {
			t.Fatalf("compliance %g", c)
		}
	})
}

// A driver's data given back to Complete come out as they went in, and a sheet
// of any numbers gives a driver or an error, never a number that is none.
func TestPropertyComplete(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDriver(t)
		got, findings, err := Spec{Fs: d.Fs(), Qes: d.Qes(), Qms: d.Qms(), Qts: d.Qts(), Vas: d.Vas(referenceAir()), Sd: d.Sd, Re: d.Re, Bl: d.Bl, Mms: d.Mms, Cms: d.Cms, Rms: d.Rms}.Complete()
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range findings {
			if f.Percent != 0 {
				t.Fatalf("%+v", f)
			}
		}
		if math.Abs(got.Bl/d.Bl-1) > 1e-9 || math.Abs(got.Mms/d.Mms-1) > 1e-9 || math.Abs(got.Rms/d.Rms-1) > 1e-9 {
			t.Fatalf("%+v, %+v", d, got)
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.OneOf(rapid.Just(0.0), logUniform(1e-6, 1e3), rapid.Float64())
		s := Spec{Fs: number.Draw(t, "fs"), Qts: number.Draw(t, "qts"), Qes: number.Draw(t, "qes"), Qms: number.Draw(t, "qms"), Vas: number.Draw(t, "vas"),
			Sd: number.Draw(t, "sd"), Re: number.Draw(t, "re"), Bl: number.Draw(t, "bl"), Mms: number.Draw(t, "mms"), Cms: number.Draw(t, "cms"), Rms: number.Draw(t, "rms")}
		single, set, _, err := s.Wire(2, Wiring{})
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error that says nothing")
			}
			return
		}
		if err := single.check(); err != nil {
			t.Fatalf("%+v gives %v", s, err)
		}
		if !finite(set.Re, set.Bl, set.Sd, set.Mms, set.Cms, set.Rms, set.Fs(), set.Qts(), set.Vas(referenceAir())) {
			t.Fatalf("%+v gives %+v", s, set)
		}
	})
}

// Whatever Align returns gives a box whose circuit has that corner.
func TestPropertyAlign(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		qts := logUniform(0.1, 1).Draw(t, "qts")
		ql := rapid.SampledFrom([]float64{0, 3, 5, 7, 10, 15, 30}).Draw(t, "ql")
		for _, a := range Alignments(qts, ql) {
			if math.Abs(qts/a.Qts-1) > singleSlack*1.001 || a.Alpha <= 0 || a.H <= 0 || a.F3 <= 0 || a.Ripple < 0 || a.Ripple > mostRipple {
				t.Fatalf("%+v for Qts %g", a, qts)
			}
			air := referenceAir()
			d := driverFrom(air, 25, 1/(1/a.Qts-1.0/50), 50, 0.08, 0.05, 3.5)
			c := circuit2(t, System{Air: air, Driver: d, Box: lumped(air, 0.08/a.Alpha, a.H*25, ql)})
			if level := c.At(a.F3*25, 1).Level - d.ReferenceLevel(air, 1, 0); math.Abs(level+10*math.Log10(2)) > 1e-6 {
				t.Fatalf("%+v: %.6f dB at f3", a, level)
			}
		}
	})
}
