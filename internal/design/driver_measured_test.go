package design

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"
	"testing"

	"cubby/internal/impedance"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// A parts is a driver by its parts, so that sweeps do not come from what is fitted.
type parts struct{ re, le, l2, r2, bl, mms, cms, rms float64 }

// sweep is the impedance Re + jwLe + pair + Bl^2/(Rms + jw Mms + 1/(jw Cms)), 200 points from 5 to 500 Hz.
func (p parts) sweep() impedance.Sweep {
	var s impedance.Sweep
	for i := range 200 {
		f := 5 * math.Pow(100, float64(i)/199)
		w := 2 * math.Pi * f
		z := complex(p.re, w*p.le) + complex(p.bl*p.bl, 0)/complex(p.rms, w*p.mms-1/(w*p.cms))
		if p.r2 > 0 {
			z += 1 / (complex(1/p.r2, 0) + 1/complex(0, w*p.l2))
		}
		s.Frequency = append(s.Frequency, f)
		s.Magnitude = append(s.Magnitude, cmplx.Abs(z))
		s.Phase = append(s.Phase, cmplx.Phase(z)*180/math.Pi)
	}
	return s
}

// inBox is the driver in a tight, empty box of v m3 in reference air.
func (p parts) inBox(v, sd float64) parts {
	air, _ := thielesmall.Reference().Air()
	p.cms = 1 / (1/p.cms + air.Density*air.SoundSpeed*air.SoundSpeed*sd*sd/v)
	return p
}

func (p parts) heavier(m float64) parts { p.mms += m; return p }

// built is a ten-inch driver as it stands on the bench, softer than its data sheet.
var built = parts{re: 1.75, le: 0.5e-3, l2: 0.6e-3, r2: 2, bl: 10.1, mms: 0.171, cms: 0.175e-3, rms: 6.2}

// sheetOfBuilt is what its maker says; coils in parallel.
var sheetOfBuilt = thielesmall.Spec{
	Name: "Test 10", Fs: 31, Qms: 5.5, Qes: 0.56, Vas: 0.024, Sd: 0.033, Re: 1.7, Le: 0.8e-3, Bl: 9.9, Xmax: 0.014, Power: 500, Impedance: 2,
	Coils: thielesmall.Coils{Count: 2, Impedance: 4, Re: 3.4, DataFor: thielesmall.Parallel},
}

func measure(t *testing.T, spec thielesmall.Spec, s DriverSweeps) *MeasuredDriver {
	t.Helper()
	m, err := MeasureDriver(spec, panels.Driver{}, s)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func (m *MeasuredDriver) row(t *testing.T, name string) DriverRow {
	t.Helper()
	for _, r := range m.Rows {
		if r.Name == name {
			return r
		}
	}
	t.Fatalf("no row %s in %+v", name, m.Rows)
	return DriverRow{}
}

func nearly(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got/want-1) <= share) {
		t.Errorf("%s = %.6g, want %.6g within %.2g %%", what, got, want, 100*share)
	}
}

// TestMeasureDriver recovers the parts from sweeps with a mass and in a test box, and sets them beside the data sheet.
func TestMeasureDriver(t *testing.T) {
	for name, s := range map[string]DriverSweeps{
		"added mass": {Free: built.sweep(), Second: built.heavier(0.06).sweep(), AddedMass: 0.06},
		"test box":   {Free: built.sweep(), Second: built.inBox(0.02, 0.033).sweep(), TestBox: 0.02},
	} {
		m := measure(t, sheetOfBuilt, s)
		d := m.Sheet.Driver
		for _, q := range []struct {
			what      string
			got, want float64
		}{
			{"re", d.Re, built.re}, {"bl", d.Bl, built.bl}, {"mms", d.Mms, built.mms}, {"cms", d.Cms, built.cms}, {"rms", d.Rms, built.rms},
			{"le", d.Le, built.le}, {"l2", d.L2, built.l2}, {"r2", d.R2, built.r2},
		} {
			nearly(t, name+": "+q.what, q.got, q.want, 1e-4)
		}
		if d.Xmax != 0.014 || d.Power != 500 || d.Impedance != 2 || d.Name != "Test 10" {
			t.Errorf("%s: what the file gave is lost: %+v", name, d)
		}
		nearly(t, name+": fs against the sheet", m.row(t, "fs").Percent(), 100*(1/(2*math.Pi*math.Sqrt(built.mms*built.cms))/31-1), 1e-3)
		if r := m.row(t, "bl"); math.Abs(r.Catalogue-10.018) > 0.001 {
			t.Errorf("%s: bl of the sheet is %.4g: what follows from fs, vas and qes counts", name, r.Catalogue)
		}
		if m.Spec.Bl != 0 || m.Spec.Qts != 0 {
			t.Errorf("%s: catalogue values stay among the measured: %+v", name, m.Spec)
		}
	}
}

// TestMeasureDriverInSeries: the file is for coils in parallel, the sweep is of them in series. The comparison is of like
// with like, and the measured file says series.
func TestMeasureDriverInSeries(t *testing.T) {
	p := built
	p.re, p.bl, p.le, p.l2, p.r2 = 4*p.re, 2*p.bl, 4*p.le, 4*p.l2, 4*p.r2
	m := measure(t, sheetOfBuilt, DriverSweeps{Free: p.sweep(), Second: p.heavier(0.06).sweep(), AddedMass: 0.06})
	if m.Spec.Coils.DataFor != thielesmall.Series || m.Spec.Impedance != 8 {
		t.Errorf("%+v", m.Spec)
	}
	nearly(t, "re of the sheet", m.row(t, "re").Catalogue, 6.8, 1e-9)
	nearly(t, "bl against the sheet", m.row(t, "bl").Measured.Value/m.row(t, "bl").Catalogue, 10.1/10.018, 1e-3)
	for _, f := range m.Sheet.Findings {
		if f.Severity != thielesmall.Note {
			t.Errorf("%s", f.Text)
		}
	}
}

// TestMeasureDriverFreeAir: one sweep and the catalogue's moving mass give the rest; without a file it stays open.
func TestMeasureDriverFreeAir(t *testing.T) {
	m := measure(t, sheetOfBuilt, DriverSweeps{Free: built.sweep()})
	c, _, err := sheetOfBuilt.Complete()
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "mms", m.Sheet.Driver.Mms, c.Mms, 1e-9)
	nearly(t, "cms", m.Sheet.Driver.Cms, built.cms*built.mms/c.Mms, 1e-4)
	if r := m.row(t, "vas"); r.Measured.Sigma != 0 || r.Catalogue != c.Vas(m.Sheet.Air) {
		t.Errorf("%+v", r)
	}
	if text := strings.Join(m.Notes, " "); !strings.Contains(text, "The moving mass is the catalogue's") {
		t.Error(text)
	}
	m = measure(t, thielesmall.Spec{}, DriverSweeps{Free: built.sweep()})
	if m.Sheet != nil || len(m.Rows) != 8 || !strings.Contains(strings.Join(m.Notes, " "), "make a second sweep") {
		t.Errorf("%+v", m)
	}
	// a file with no more than vas and the cone is enough beside the sweep
	m = measure(t, thielesmall.Spec{Vas: 0.027, Diameter: 0.205}, DriverSweeps{Free: built.sweep()})
	if m.Sheet == nil || m.Sheet.Driver.Vas(m.Sheet.Air) < 0.0269 {
		t.Errorf("%+v", m)
	}
}

// TestMeasureDriverKnownRe: a narrow and noisy sweep leaves re open; the file's is used then, and an ohmmeter's always.
func TestMeasureDriverKnownRe(t *testing.T) {
	all, rng := built.sweep(), rand.New(rand.NewPCG(8, 1971))
	var narrow impedance.Sweep
	for i, f := range all.Frequency {
		if f > 18 && f < 50 {
			narrow.Frequency = append(narrow.Frequency, f)
			narrow.Magnitude = append(narrow.Magnitude, all.Magnitude[i]*(1+0.01*rng.NormFloat64()))
		}
	}
	spec := sheetOfBuilt
	spec.Re = 1.75
	m := measure(t, spec, DriverSweeps{Free: narrow})
	if r := m.row(t, "re"); r.Measured.Sigma != 0 || r.Measured.Value != 1.75 || !strings.Contains(strings.Join(m.Notes, " "), "leaves re open") {
		t.Errorf("%+v %v", r, m.Notes)
	}
	m = measure(t, spec, DriverSweeps{Free: all, Re: 1.76})
	if r := m.row(t, "re"); r.Measured.Sigma != 0 || r.Measured.Value != 1.76 {
		t.Errorf("%+v", r)
	}
}

func TestMeasureDriverRefuses(t *testing.T) {
	short := built.sweep()
	short = impedance.Sweep{Frequency: short.Frequency[:60], Magnitude: short.Magnitude[:60], Phase: short.Phase[:60]} // to 20 Hz
	var bad *SweepError
	_, err := MeasureDriver(sheetOfBuilt, panels.Driver{}, DriverSweeps{Free: short})
	if !errors.As(err, &bad) || bad.Second {
		t.Errorf("peak missed: %v", err)
	}
	_, err = MeasureDriver(sheetOfBuilt, panels.Driver{}, DriverSweeps{Free: built.sweep(), Second: short, AddedMass: 0.06})
	if !errors.As(err, &bad) || !bad.Second {
		t.Errorf("peak missed in the second: %v", err)
	}
	_, err = MeasureDriver(sheetOfBuilt, panels.Driver{}, DriverSweeps{Free: built.sweep(), Second: built.heavier(0.002).sweep(), AddedMass: 0.002})
	if !errors.As(err, &bad) || !bad.Second {
		t.Errorf("mass too small: %v", err)
	}
	_, err = MeasureDriver(thielesmall.Spec{}, panels.Driver{}, DriverSweeps{Free: built.sweep(), Second: built.heavier(0.06).sweep(), AddedMass: 0.06})
	if err == nil || !strings.Contains(err.Error(), "--diameter or --sd") {
		t.Errorf("no area: %v", err)
	}
}

// TestMeasureDriverCoilsUnknown: how two coils were joined in the sweep has to be told by their own re.
func TestMeasureDriverCoilsUnknown(t *testing.T) {
	spec := sheetOfBuilt
	spec.Coils = thielesmall.Coils{Count: 2}
	_, err := MeasureDriver(spec, panels.Driver{}, DriverSweeps{Free: built.sweep()})
	if err == nil || !strings.Contains(err.Error(), "coils.data_for") {
		t.Errorf("%v", err)
	}
}

// TestMeasureDriverRemarks: a warm coil, a leaky box and a driver far from its sheet are told.
func TestMeasureDriverRemarks(t *testing.T) {
	warm := built.heavier(0.06)
	warm.re *= 1.1
	leaky := built.inBox(0.02, 0.033)
	leaky.bl *= 1.12 // Qec falls as a leak would have it
	far := sheetOfBuilt
	far.Vas = 0.018
	for _, row := range []struct {
		spec thielesmall.Spec
		s    DriverSweeps
		want string
	}{
		{sheetOfBuilt, DriverSweeps{Free: built.sweep(), Second: warm.sweep(), AddedMass: 0.06}, "the coil was warm"},
		{sheetOfBuilt, DriverSweeps{Free: built.sweep(), Second: leaky.sweep(), TestBox: 0.02}, "look for a leak"},
		{far, DriverSweeps{Free: built.sweep(), Second: built.heavier(0.06).sweep(), AddedMass: 0.06}, "Beyond the usual spread of 15 %"},
	} {
		m := measure(t, row.spec, row.s)
		if text := strings.Join(m.Notes, " "); !strings.Contains(text, row.want) {
			t.Errorf("want %q in %q", row.want, text)
		}
	}
}
