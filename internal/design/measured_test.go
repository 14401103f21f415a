package design

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"cubby/internal/impedance"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// sweepOf is the impedance of a box as built, sampled as a meter would.
func sweepOf(t *testing.T, s thielesmall.System) impedance.Sweep {
	t.Helper()
	c, err := thielesmall.NewCircuit(s)
	if err != nil {
		t.Fatal(err)
	}
	var out impedance.Sweep
	for _, f := range logGrid(5, 500, 240) {
		z := c.Impedance(f)
		out.Frequency = append(out.Frequency, f)
		out.Magnitude = append(out.Magnitude, math.Hypot(real(z), imag(z)))
		out.Phase = append(out.Phase, math.Atan2(imag(z), real(z))*180/math.Pi)
	}
	return out
}

// describedRequest is an invented driver in a box that the job describes.
func describedRequest(b ReadyBox) Request {
	r := wedgeRequest()
	r.Space, r.Wood = nil, panels.Wood{}
	r.Boxes = []ReadyBox{b}
	return r
}

var (
	sealedBox = ReadyBox{Kind: Sealed, NetVolume: 0.028}
	ventedBox = ReadyBox{Kind: Vented, NetVolume: 0.045, Port: ReadyPort{Count: 1, Diameter: 0.1, Length: 0.368}}

	passiveBox = ReadyBox{Kind: Passive, NetVolume: 0.030, Passive: &Passives{
		Spec: thielesmall.Spec{Sd: 0.0345, Mms: 0.16, Cms: 0.6e-3, Qms: 8, Xmax: 0.02}, MostAdded: 0.05}}
	bandPassBox = ReadyBox{Kind: BandPass, NetVolume: 0.022, Rear: 0.018, Port: ReadyPort{Count: 1, Diameter: 0.1, Length: 0.20}}
)

// measureBuilt sweeps the described box with what was changed in building it, and measures it.
func measureBuilt(t *testing.T, b ReadyBox, wrong func(*thielesmall.System), o MeasureOptions) (*MeasuredResult, thielesmall.System) {
	t.Helper()
	req := describedRequest(b)
	p, err := newRig(&req)
	if err != nil {
		t.Fatal(err)
	}
	e, err := p.expectDescribed(req)
	if err != nil {
		t.Fatal(err)
	}
	s := e.Circuit.System
	s.Box.Ports = append([]thielesmall.Port(nil), s.Box.Ports...)
	wrong(&s)
	r, err := Measure(context.Background(), describedRequest(b), sweepOf(t, s), o)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range r.Changes {
		t.Logf("%s %s: %s %s", c.What, c.Status, c.Text, c.ToDo)
	}
	t.Log(r.VerdictText)
	return r, s
}

func change(t *testing.T, r *MeasuredResult, what string) Change {
	t.Helper()
	for _, c := range r.Changes {
		if c.What == what {
			return c
		}
	}
	t.Fatalf("no change of the %s among %+v", what, r.Changes)
	return Change{}
}

func TestMeasuredAsDesigned(t *testing.T) {
	for _, b := range []ReadyBox{sealedBox, ventedBox, passiveBox, bandPassBox} {
		r, _ := measureBuilt(t, b, func(*thielesmall.System) {}, MeasureOptions{})
		if r.Verdict != AsDesigned || len(r.Changes) != 0 {
			t.Errorf("%s: %s, changes %+v", b.Kind, r.VerdictText, r.Changes)
		}
	}
}

// What is advised, done to the box as it was built, makes the box that was designed.
func TestMeasuredPortAdviceWorks(t *testing.T) {
	for name, wrong := range map[string]func(*thielesmall.System){
		"port 50 mm short":     func(s *thielesmall.System) { s.Box.Ports[0].Length -= 0.050 },
		"port 60 mm long":      func(s *thielesmall.System) { s.Box.Ports[0].Length += 0.060 },
		"9 l and 30 mm short":  func(s *thielesmall.System) { s.Box.Volume -= 0.009; s.Box.Ports[0].Length -= 0.030 },
		"too large, and leaky": func(s *thielesmall.System) { s.Box.Volume += 0.009; s.Box.LeakQ = 6 },
	} {
		t.Run(name, func(t *testing.T) {
			r, s := measureBuilt(t, ventedBox, wrong, MeasureOptions{})
			c := change(t, r, "tuning")
			if off := c.Amount - (s.Box.Tuning(s.Air) - r.Expected.Figures.Fb); math.Abs(off) > 0.05 {
				t.Errorf("the tuning is off by %.3g Hz from what it is", off)
			}
			s.Box.Ports[0].Length = c.Target
			if fb := s.Box.Tuning(s.Air); math.Abs(fb-r.Expected.Figures.Fb) > 0.05 {
				t.Errorf("with the port as advised, %.4g m, it is tuned to %.4g Hz, want %.4g", c.Target, fb, r.Expected.Figures.Fb)
			}
		})
	}
}

// A box with passive radiators that is tuned wrong gets the mass that tunes it, and is told what it may not have.
func TestMeasuredMassAdviceWorks(t *testing.T) {
	for name, c := range map[string]struct {
		volume, mass float64 // m3, kg more than described
		says         string
	}{
		"40 g light":         {0, -0.040, "Add 40 g to the radiator (it moves 120 g, and should move 160 g) for"},
		"30 g heavy":         {0, 0.030, "no more than the 0 g that were added to it can come off"},
		"light, more air":    {0.006, -0.030, "mass of the radiator below is for the air that is there now"},
		"light and far less": {-0.012, -0.060, "its maker allows 50 g in all"},
	} {
		t.Run(name, func(t *testing.T) {
			r, s := measureBuilt(t, passiveBox, func(s *thielesmall.System) { s.Box.Volume += c.volume; s.Box.Passive.Mms += c.mass }, MeasureOptions{})
			k := change(t, r, "tuning")
			if off := k.Amount - (s.Box.Tuning(s.Air) - r.Expected.Figures.Fb); math.Abs(off) > 0.05 {
				t.Errorf("the tuning is off by %.3g Hz from what it is", off)
			}
			s.Box.Passive.Mms = k.Target
			if fb := s.Box.Tuning(s.Air); k.Wanted != "radiator_mass_kg" || math.Abs(fb-r.Expected.Figures.Fb) > 0.05 {
				t.Errorf("with %.4g kg (%s) it is tuned to %.4g Hz, want %.4g", k.Target, k.Wanted, fb, r.Expected.Figures.Fb)
			}
			all := ""
			for _, k := range r.Changes {
				all += k.ToDo + " "
			}
			if !strings.Contains(all, c.says) {
				t.Errorf("%q does not say %q", all, c.says)
			}
		})
	}
}

// The two chambers of a band-pass are told apart.
func TestMeasuredBandPass(t *testing.T) {
	r, s := measureBuilt(t, bandPassBox, func(s *thielesmall.System) { s.Box.Rear -= 0.003 }, MeasureOptions{})
	if c := change(t, r, "rear volume"); math.Abs(c.Amount+0.003) > 1e-4 || !strings.Contains(c.Text, "chamber behind the driver holds 15.0 l") {
		t.Errorf("%+v", c)
	}
	if len(r.Changes) != 1 || math.Abs(r.Fit.Volume.Value/s.Box.Volume-1) > 0.01 {
		t.Errorf("%+v: the front chamber is as described", r.Changes)
	}
}

func TestMeasuredFillingAdviceWorks(t *testing.T) {
	r, s := measureBuilt(t, sealedBox, func(s *thielesmall.System) { s.Box.Volume -= 0.0055 }, MeasureOptions{})
	c := change(t, r, "damping")
	if c.Wanted != "filling_fraction" {
		t.Fatalf("damping: %+v", c)
	}
	s.Box.FillGain, s.Box.AbsorbQ = thielesmall.FillingGain(c.Target, fillDensity), thielesmall.AbsorptionQ(c.Target)
	k, err := thielesmall.NewCircuit(s)
	if err != nil {
		t.Fatal(err)
	}
	if q := k.Figures(1).Qtc; math.Abs(q-r.Expected.Figures.Qtc) > 0.005 {
		t.Errorf("filled as advised Qtc is %.3f, want %.3f", q, r.Expected.Figures.Qtc)
	}
}

func TestMeasuredWords(t *testing.T) {
	for _, row := range []struct {
		name    string
		box     ReadyBox
		wrong   func(*thielesmall.System)
		verdict BuiltVerdict
		what    string
		says    []string
	}{
		{"1.8 l short", ventedBox, func(s *thielesmall.System) { s.Box.Volume -= 0.0018 }, NearlyAs, "volume",
			[]string{"1.8 l (4.0 %) less", "driver (1.7 l): the stated air may be that of the empty box", "can be left", "lengthen the port"}},
		{"leaky", ventedBox, func(s *thielesmall.System) { s.Box.LeakQ = 3 }, NotAsDesigned, "leak", []string{"QL 3.0", "7 is described", "costs", "gasket"}},
		{"sealed leak", sealedBox, func(s *thielesmall.System) { s.Box.LeakQ = 9 }, NearlyAs, "leak", []string{"QL 9.0", "tight sealed box has none"}},
		{"claimed too large", sealedBox, func(s *thielesmall.System) { s.Box.Volume -= 0.008 }, NotAsDesigned, "volume", []string{"the stated air may be more than the box has"}},
		{"far too small", sealedBox, func(s *thielesmall.System) { s.Box.Volume /= 2 }, NotAsDesigned, "damping", []string{"Even filling all of it"}},
		{"too large", sealedBox, func(s *thielesmall.System) { s.Box.Volume *= 1.3 }, NotAsDesigned, "volume", []string{"more than described", "solid blocks of 8.4 l"}},
		{"port short", ventedBox, func(s *thielesmall.System) { s.Box.Ports[0].Length -= 0.08 }, NotAsDesigned, "tuning", []string{"acts 80.0 mm shorter", "Lengthen the port by 80.0 mm"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			r, _ := measureBuilt(t, row.box, row.wrong, MeasureOptions{})
			if r.Verdict != row.verdict {
				t.Errorf("verdict %s, want %s", r.Verdict, row.verdict)
			}
			c := change(t, r, row.what)
			for _, s := range row.says {
				if !strings.Contains(c.Text+" "+c.ToDo, s) {
					t.Errorf("%q does not say %q", c.Text+" "+c.ToDo, s)
				}
			}
		})
	}
}

func TestMeasuredDriverToo(t *testing.T) {
	r, _ := measureBuilt(t, ventedBox, func(s *thielesmall.System) { s.Driver.Bl *= 0.9 }, MeasureOptions{DriverToo: true})
	c := change(t, r, "driver")
	if want := 1/0.81 - 1; math.Abs(c.Amount-want) > 0.05 {
		t.Errorf("the driver is said to differ by %.3f, want %.3f", c.Amount, want)
	}
	if len(r.Changes) != 1 {
		t.Errorf("changes %+v: the box itself is as designed", r.Changes)
	}
}

func TestMeasuredAgainstTheDesign(t *testing.T) {
	d := mustRun(t, wedgeRequest()).Designs[0]
	s := d.Circuit.Without().System
	s.Box.Volume *= 0.9
	r, err := Measure(context.Background(), wedgeRequest(), sweepOf(t, s), MeasureOptions{})
	if err != nil {
		t.Fatal(err)
	}
	c := change(t, r, "volume")
	t.Log(c.Text, c.ToDo)
	if want := -0.1 * d.Box.NetVolume; math.Abs(c.Amount/want-1) > 0.02 {
		t.Errorf("the volume is off by %.4g m3, want %.4g", c.Amount, want)
	}
}

func TestMeasuredErrors(t *testing.T) {
	good := sweepOf(t, thielesmall.System{Air: mustAir(t), Driver: mustDriver(t), Box: thielesmall.Box{Volume: 0.028}})
	var wrong *ConfigError
	two := describedRequest(sealedBox)
	two.Boxes = append(two.Boxes, ventedBox)
	if _, err := Measure(context.Background(), two, good, MeasureOptions{}); !errors.As(err, &wrong) {
		t.Errorf("two boxes give %v", err)
	}
	if _, err := Measure(context.Background(), describedRequest(ReadyBox{Kind: Vented, NetVolume: 0.02}), good, MeasureOptions{}); !errors.As(err, &wrong) {
		t.Errorf("a vented box without a port gives %v", err)
	}
	tiny := wedgeRequest()
	tiny.Space.Space = square(0.2, 0.36, 0.34)
	if _, err := Measure(context.Background(), tiny, good, MeasureOptions{}); !errors.As(err, &wrong) {
		t.Errorf("a space without a box gives %v", err)
	}
	var open *impedance.UndecidedError
	if _, err := Measure(context.Background(), describedRequest(ventedBox), good, MeasureOptions{}); !errors.As(err, &open) {
		t.Errorf("a sealed box's sweep for a vented box gives %v", err)
	}
}

func mustAir(t *testing.T) thielesmall.Air {
	t.Helper()
	a, err := thielesmall.Reference().Air()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func mustDriver(t *testing.T) thielesmall.Driver {
	t.Helper()
	d, _, err := wedgeRequest().Driver.Complete()
	if err != nil {
		t.Fatal(err)
	}
	return d
}
