package thielesmall

import (
	"math"
	"strings"
	"testing"
)

// bruteFigures finds peak, dip and corners on a very fine grid, without any refinement.
func bruteFigures(c *Circuit) (f3, f6, f10, top, peak, dip float64) {
	const step = 0.0005 // natural log
	reference := c.System.Driver.ReferenceLevel(c.System.Air, 1, c.System.Source)
	high, split := math.Max(100, 4*c.corner), math.Inf(1)
	if r := c.System.Box.ductResonance(c.System.Air); r > 0 {
		high, split = math.Min(high, r/2), r/2
	}
	rel := func(f float64) float64 {
		if f > split {
			return c.Lumped().Level(f, 1) - reference
		}
		return c.Level(f, 1) - reference
	}
	best := math.Inf(-1)
	for x := math.Log(10); x <= math.Log(high); x += step {
		if y := rel(math.Exp(x)); y > best {
			best, top = y, math.Exp(x)
		}
	}
	for f := 10.0; f <= 200; f *= 1 + step {
		peak = math.Max(peak, rel(f))
	}
	corner := func(drop float64) float64 {
		if best < -drop {
			return math.NaN()
		}
		f := top
		for rel(f) >= -drop {
			f *= 1 - step
		}
		return f
	}
	f3, f6, f10 = corner(3.0103), corner(6.0206), corner(10)
	var curve []float64
	rel = func(f float64) float64 { return c.Level(f, 1) - reference }
	from := f10
	if math.IsNaN(from) {
		from = 10
	}
	for f := from; f <= 100; f *= 1 + step {
		curve = append(curve, rel(f))
	}
	above := make([]float64, len(curve)+1)
	above[len(curve)] = math.Inf(-1)
	for i := len(curve) - 1; i >= 0; i-- {
		above[i] = math.Max(above[i+1], curve[i])
	}
	below := math.Inf(-1)
	for i, y := range curve {
		below = math.Max(below, y)
		dip = math.Max(dip, math.Min(below, above[i])-y)
	}
	return f3, f6, f10, top, peak, dip
}

// Figures against a fine grid, for curves of every kind: flat, humped by a coil, peaked, sagging.
func TestFiguresAgainstFineGrid(t *testing.T) {
	air := referenceAir()
	r := 0.05
	tube := func(v, fb float64) Box {
		ends := [2]float64{EndFlush(r), EndFree(r)}
		l, ok := PortLength(air, v, fb, math.Pi*r*r, 1, ends[0]+ends[1])
		if !ok {
			t.Fatal("no port")
		}
		return Box{Volume: v, LeakQ: 7, Ports: []Port{{Area: math.Pi * r * r, Length: l, Ends: ends}}}
	}
	for name, s := range map[string]System{
		"sealed":         {Driver: driverFrom(air, 28, 0.42, 5, 0.06, 0.035, 3.5), Box: Box{Volume: 0.02}},
		"sealed, coil":   {Driver: withCoil(driverFrom(air, 28, 0.6, 5, 0.06, 0.035, 3.5), 3e-3), Box: Box{Volume: 0.02}},
		"sealed, peaked": {Driver: driverFrom(air, 28, 0.8, 5, 0.06, 0.035, 3.5), Box: Box{Volume: 0.008}},
		"vented":         {Driver: driverFrom(air, 28, 0.42, 5, 0.06, 0.035, 3.5), Box: tube(0.045, 30)},
		"vented, high":   {Driver: driverFrom(air, 28, 0.42, 5, 0.06, 0.035, 3.5), Box: tube(0.06, 45)},
		"vented, low":    {Driver: driverFrom(air, 28, 0.42, 5, 0.06, 0.035, 3.5), Box: tube(0.06, 18)},
		"vented, sag":    {Driver: driverFrom(air, 30, 0.4, 5, 0.06, 0.035, 3.5), Box: tube(0.12, 20)},
		"vented, coil":   {Driver: withCoil(driverFrom(air, 28, 0.5, 5, 0.06, 0.035, 3.5), 4e-3), Box: tube(0.045, 32), Source: 0.2},
	} {
		s.Air = air
		c := circuit(t, s)
		got := c.Figures(2.83)
		f3, f6, f10, top, peak, dip := bruteFigures(c)
		nearly(t, name+" f3", got.F3, f3, 1e-3)
		nearly(t, name+" f6", got.F6, f6, 1e-3)
		nearly(t, name+" f10", got.F10, f10, 1e-3)
		nearly(t, name+" top", got.TopFrequency, top, 3e-3)
		near(t, name+" peak", got.Peak, peak, 1e-3)
		near(t, name+" dip", got.Dip, dip, 2e-3)
		near(t, name+" level at f3", c.At(got.F3, 2.83).Level, got.Reference-10*math.Log10(2), 1e-6)
		if got.Dip > 0 && !(got.DipAt > got.F10 && got.DipAt < 100) {
			t.Errorf("%s: dip at %g", name, got.DipAt)
		}
	}
}

func withCoil(d Driver, le float64) Driver {
	d.Le = le
	return d
}

// Where a vented curve sags below the line and comes back above it at the
// tuning, f3 is the upper crossing as long as the top lies above the sag.
func TestF3IsTheUpperCrossing(t *testing.T) {
	air := referenceAir()
	c := circuit(t, System{Air: air, Driver: driverFrom(air, 30, 0.4, 8, 0.06, 0.035, 3.5), Box: lumped(air, 0.12, 20, 0)})
	f := c.Figures(2.83)
	if level := c.At(20, 2.83).Level; level < f.Reference-3 {
		t.Fatalf("the curve does not come back: %.1f dB at the tuning, reference %.1f", level, f.Reference)
	}
	if level := c.At(31, 2.83).Level; level > f.Reference-3.5 {
		t.Fatalf("the curve does not sag: %.1f dB, reference %.1f", level, f.Reference)
	}
	near(t, "f3", f.F3, 45.72, 0.05) // regression value; the lower crossing is near 18 Hz
}

// A driver whose level stays below the line up to the end of the band has no corner, and the figures say why.
func TestFiguresWithoutCorner(t *testing.T) {
	air := referenceAir()
	c := circuit(t, System{Air: air, Driver: driverFrom(air, 20, 0.12, 5, 0.06, 0.035, 3.5), Box: Box{Volume: 0.5}})
	f := c.Figures(2.83)
	if !math.IsNaN(f.F3) || math.IsNaN(f.F10) || !strings.Contains(f.Reason, "below the reference") {
		t.Errorf("%+v", f)
	}
}

// Qtc with absorption and leak is the Q that the curve shows: without a coil, the excursion at fc over the one at rest.
func TestQtcIsWhatTheCurveShows(t *testing.T) {
	air := referenceAir()
	d := driverFrom(air, 28, 0.5, 5, 0.06, 0.035, 3.5)
	for _, b := range []Box{{Volume: 0.02}, {Volume: 0.02, AbsorbQ: 8}, {Volume: 0.02, FillGain: 1.15, AbsorbQ: 12}} {
		c := circuit(t, System{Air: air, Driver: d, Source: 0.15, Box: b})
		f := c.Figures(1)
		nearly(t, "fc", f.Fc, 28*math.Sqrt(1+d.Vas(air)/(b.Volume*b.gain())), 1e-12)
		rest := c.At(1e-3, 1).Excursion
		// absorption leaves the stiffness at fc a little above that at rest, less than 1 %
		nearly(t, "Qtc", f.Qtc, c.At(f.Fc, 1).Excursion/rest, 0.01)
	}
	nearly(t, "lossless Qtc", circuit(t, System{Air: air, Driver: d, Box: Box{Volume: 0.02}}).Figures(1).Qtc,
		d.Qts()*math.Sqrt(1+d.Vas(air)/0.02), 1e-12)
}

func TestFiguresOfAVentedBox(t *testing.T) {
	s := ventedSystem()
	c := circuit(t, s)
	f := c.Figures(2.83)
	near(t, "fb", f.Fb, s.Box.Tuning(s.Air), 1e-12)
	near(t, "duct resonance", f.DuctResonance, s.Box.Ports[0].FirstResonance(s.Air), 1e-9)
	near(t, "delay", f.DelayAtTuning, c.At(f.Fb, 1).GroupDelay, 1e-15)
	if f.Fc != 0 || f.Qtc != 0 || f.QL != 7 || f.Reason != "" {
		t.Errorf("%+v", f)
	}
	near(t, "reference", f.Reference, s.Driver.ReferenceLevel(s.Air, 2.83, 0), 1e-12)
	near(t, "reference against efficiency", s.Driver.ReferenceLevel(s.Air, math.Sqrt(s.Driver.Re), 0),
		10*math.Log10(s.Driver.Efficiency(s.Air)*s.Air.Density*s.Air.SoundSpeed/(2*math.Pi)/4e-10), 1e-9)
}

// Each limit sets the level where it should, and the level is then just what the circuit gives at that drive.
func TestMaxLevel(t *testing.T) {
	s := ventedSystem()
	s.Source = 0.2
	s.Filters = []Filter{{Kind: HighPass, Order: 4, Frequency: 25}}
	c := circuit(t, s)
	all := Limits{AmplifierVolts: math.Sqrt(500 * 4), RatedPower: 500, Nominal: 4, Xmax: 0.012, PortSpeed: 20}
	seen := map[Cause]bool{}
	for f := 8.0; f < 200; f *= 1.02 {
		level, cause := c.MaxLevel(f, all)
		volts, _ := all.volts(c.bare(f))
		seen[cause] = true
		p := c.Without().At(f, volts)
		near(t, "level", p.Level, level, 1e-9)
		const slack = 1 + 1e-12
		if p.Excursion > all.Xmax*slack || p.PortSpeed > all.PortSpeed*slack || p.Terminals*p.Terminals/4 > 500*slack || volts > all.AmplifierVolts*magnitude(c.Filter(f))*slack {
			t.Errorf("%.1f Hz: a limit is passed: %+v", f, p)
		}
		reached := map[Cause]float64{Voltage: volts / (all.AmplifierVolts * magnitude(c.Filter(f))), Power: p.Terminals / math.Sqrt(2000), Excursion: p.Excursion / all.Xmax, PortSpeed: p.PortSpeed / all.PortSpeed}[cause]
		near(t, cause.String()+" reached", reached, 1, 1e-12)
	}
	if !seen[Voltage] || !seen[Excursion] || !seen[PortSpeed] {
		t.Errorf("causes seen: %v", seen)
	}
	level, cause := c.MaxLevel(100, Limits{RatedPower: 100, Nominal: 4})
	if cause != Power || level <= 0 {
		t.Errorf("%g %v", level, cause)
	}
	if level, cause := c.MaxLevel(50, Limits{}); cause != Unlimited || cause.String() != "" || level != c.Without().At(50, 1).Level {
		t.Errorf("no limits: %g %v", level, cause)
	}
	// a tie goes to the first
	s.Source, s.Filters = 0, nil
	if _, cause := circuit(t, s).MaxLevel(50, Limits{AmplifierVolts: 20, RatedPower: 100, Nominal: 4}); cause != Voltage {
		t.Errorf("a tie goes to %v", cause)
	}
	// filters bound what the amplifier gives, and nothing else
	bound := Limits{Xmax: 0.001}
	with, _ := c.MaxLevel(30, bound)
	without, _ := c.Without().MaxLevel(30, bound)
	near(t, "excursion limit with and without filter", with, without, 1e-12)
}
