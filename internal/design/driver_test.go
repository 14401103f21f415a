package design

import (
	"errors"
	"math"
	"strings"
	"testing"

	"cubby/internal/panels"
	"cubby/internal/thielesmall"

	"pgregory.net/rapid"
)

func TestAboutDriver(t *testing.T) {
	r := wedgeRequest()
	s, err := AboutDriver(r.Driver, r.Frame)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Missing) > 0 || len(s.Sealed) != len(offeredQtc) || len(s.Vented) == 0 || len(s.Loudest) != len(loudAt) || len(s.Parameters) != 11 {
		t.Errorf("%+v", s)
	}
	for _, f := range s.Findings {
		if f.Severity != thielesmall.Note {
			t.Errorf("%s", f.Text)
		}
	}
	// each thing that is left out is missed, and for every command that it matters to
	for what, spoil := range map[string]func(*thielesmall.Spec, *panels.Driver){
		"xmax":         func(s *thielesmall.Spec, _ *panels.Driver) { s.Xmax = 0 },
		"xmech":        func(s *thielesmall.Spec, _ *panels.Driver) { s.Xmech = 0 },
		"power":        func(s *thielesmall.Spec, _ *panels.Driver) { s.Power = 0 },
		"impedance":    func(s *thielesmall.Spec, _ *panels.Driver) { s.Impedance = 0 },
		"le":           func(s *thielesmall.Spec, _ *panels.Driver) { s.Le = 0 },
		"depth":        func(_ *thielesmall.Spec, f *panels.Driver) { f.Depth = 0 },
		"cutout":       func(_ *thielesmall.Spec, f *panels.Driver) { f.Cutout = 0 },
		"frame":        func(_ *thielesmall.Spec, f *panels.Driver) { f.Frame = 0 },
		"magnet":       func(_ *thielesmall.Spec, f *panels.Driver) { f.Magnet = 0 },
		"displacement": func(_ *thielesmall.Spec, f *panels.Driver) { f.Displacement = 0 },
		"bolts":        func(_ *thielesmall.Spec, f *panels.Driver) { f.Circle = 0 },
		"mass":         func(_ *thielesmall.Spec, f *panels.Driver) { f.Mass = 0 },
	} {
		spec, frame := r.Driver, r.Frame
		spoil(&spec, &frame)
		s, err := AboutDriver(spec, frame)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Missing) != 1 || s.Missing[0].What != what || s.Missing[0].Effect == "" || len(s.Missing[0].Commands) == 0 {
			t.Errorf("without %s: %+v", what, s.Missing)
		}
	}
}

func TestAboutDriverIncomplete(t *testing.T) {
	r := wedgeRequest()
	r.Driver.Vas = 0
	s, err := AboutDriver(r.Driver, panels.Driver{})
	var m *thielesmall.MissingError
	if !errors.As(err, &m) || s == nil || len(s.Parameters) != 0 || len(s.Missing) < 6 || len(s.Missing[0].Commands) != 4 {
		t.Errorf("%v %+v", err, s)
	}
}

func TestAboutDriverOfMetal(t *testing.T) {
	for quantity, spoil := range map[string]func(*panels.Driver){
		"sd":           func(f *panels.Driver) { f.Frame, f.Cutout, f.Circle = 0.2, 0.18, 0 },
		"displacement": func(f *panels.Driver) { f.Displacement = 0.017 },
		"magnet":       func(f *panels.Driver) { f.Magnet = 0.3 },
		"depth":        func(f *panels.Driver) { f.Depth = 0.0135 },
		"mass":         func(f *panels.Driver) { f.Mass = 0.0065 },
	} {
		r := wedgeRequest()
		spoil(&r.Frame)
		s, err := AboutDriver(r.Driver, r.Frame)
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, f := range s.Findings {
			found = found || f.Quantity == quantity && f.Severity >= thielesmall.Warning
		}
		if !found || !sortedByGravity(s.Findings) {
			t.Errorf("%s: %+v", quantity, s.Findings)
		}
	}
}

func sortedByGravity(all []thielesmall.Finding) bool {
	for i := 1; i < len(all); i++ {
		if all[i].Severity > all[i-1].Severity {
			return false
		}
	}
	return true
}

func TestAboutDriverCoils(t *testing.T) {
	r := wedgeRequest()
	r.Driver.Coils = thielesmall.Coils{Count: 2, Re: 1.7, Impedance: 2}
	s, err := AboutDriver(r.Driver, r.Frame)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Coils) != 2 || s.Coils[0].AsData || !s.Coils[1].AsData {
		t.Fatalf("%+v", s.Coils)
	}
	parallel, series := s.Coils[0].Driver, s.Coils[1].Driver
	if parallel.Re*4 != series.Re || parallel.Bl*2 != series.Bl || parallel.Impedance != 1 {
		t.Errorf("%+v %+v", parallel, series)
	}
	// half the Bl into a quarter of the resistance: twice the current, 6.02 dB
	if d := LevelAt283(parallel, s.Air) - LevelAt283(series, s.Air); d < 6.0205 || d > 6.0207 {
		t.Errorf("parallel is %.4f dB louder", d)
	}
	if ratio, text := s.Inclination(); ratio != s.Driver.Fs()/s.Driver.Qes() || !strings.Contains(text, "sealed or vented") {
		t.Errorf("%v %s", ratio, text)
	}
}

// TestAboutAnyDriver holds that any data that a file can carry give a finite sheet or an error, never a panic.
func TestAboutAnyDriver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := func(name string, low, high float64) float64 {
			if rapid.IntRange(0, 4).Draw(t, name+" absent") == 0 {
				return 0
			}
			return low * math.Pow(high/low, rapid.Float64Range(0, 1).Draw(t, name))
		}
		spec := thielesmall.Spec{
			Fs: value("fs", 1e-3, 2000), Qes: value("qes", 1e-3, 100), Qms: value("qms", 1e-3, 1000), Qts: value("qts", 1e-3, 100),
			Vas: value("vas", 1e-7, 10), Sd: value("sd", 1e-6, 1), Re: value("re", 1e-3, 1e4), Le: value("le", 1e-6, 1), Bl: value("bl", 1e-2, 1000),
			Mms: value("mms", 1e-5, 10), Cms: value("cms", 1e-7, 1), Rms: value("rms", 1e-3, 1000), Xmax: value("xmax", 1e-5, 0.2),
			Power: value("power", 1e-2, 1e5), Impedance: value("impedance", 1e-2, 1e4),
		}
		spec.Coils.Count = rapid.IntRange(0, 2).Draw(t, "coils")
		s, err := AboutDriver(spec, panels.Driver{Cutout: value("cutout", 1e-3, 1.5), Depth: value("depth", 1e-3, 1.5), Mass: value("mass", 1e-3, 200)})
		if err != nil {
			return
		}
		for _, b := range s.Sealed {
			if b.Volume < 0 || math.IsNaN(b.Volume+b.Fc+b.Peak) || math.IsInf(b.Volume+b.Fc+b.Peak, 0) {
				t.Fatalf("%+v", b)
			}
		}
		for _, b := range s.Vented {
			if !(b.Volume > 0) || math.IsNaN(b.Fb+b.Corner+b.Peak) || math.IsInf(b.Volume+b.Fb+b.Corner+b.Peak, 0) {
				t.Fatalf("%+v", b)
			}
		}
	})
}
