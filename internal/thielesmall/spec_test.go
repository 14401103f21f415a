package thielesmall

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// sheet is a consistent data sheet with everything on it.
func sheet() Spec {
	d := driverFrom(referenceAir(), 29, 0.45, 5.5, 0.055, 0.0335, 3.4)
	return Spec{Name: "invented", Fs: 29, Qes: 0.45, Qms: 5.5, Qts: 1 / (1/0.45 + 1/5.5), Vas: 0.055, Sd: 0.0335, Re: 3.4,
		Bl: d.Bl, Mms: d.Mms, Cms: d.Cms, Rms: d.Rms, Impedance: 4, Xmax: 0.012, Power: 300}
}

// Any sufficient subset of a consistent sheet gives the same driver.
func TestCompleteFromSubsets(t *testing.T) {
	want, findings, err := sheet().Complete()
	if err != nil || len(findings) > 0 {
		t.Fatal(err, findings)
	}
	full := sheet()
	for _, keep := range []string{
		"fs qes qms vas sd re", "fs qts qes vas sd re", "fs qts qms vas sd re", "bl mms cms rms sd re", "fs mms bl rms sd re",
		"fs qts vas sd re bl", "fs qes qms cms sd re", "fs qes qms mms sd re", "vas mms qes qms sd re", "cms mms qts rms sd re",
		"fs vas qms sd re bl", "fs qes rms vas sd re", "fs qes qms vas cms re", "fs qes qms bl vas sd",
	} {
		s := full.only(strings.Fields(keep))
		got, findings, err := s.Complete()
		if err != nil || len(findings) > 0 {
			t.Errorf("%s: %v %v", keep, err, findings)
			continue
		}
		for i, pair := range [][2]float64{{got.Re, want.Re}, {got.Bl, want.Bl}, {got.Sd, want.Sd}, {got.Mms, want.Mms}, {got.Cms, want.Cms}, {got.Rms, want.Rms}} {
			nearly(t, keep+" "+[]string{"re", "bl", "sd", "mms", "cms", "rms"}[i], pair[0], pair[1], 1e-9)
		}
	}
}

// only keeps the named quantities.
func (s Spec) only(names []string) Spec {
	var v values
	for i, x := range s.given() {
		for _, n := range names {
			if quantityNames[i] == n {
				v[i] = x
			}
		}
	}
	return Spec{Fs: v[iFs], Qts: v[iQts], Qes: v[iQes], Qms: v[iQms], Vas: v[iVas], Sd: v[iSd], Re: v[iRe], Bl: v[iBl], Mms: v[iMms], Cms: v[iCms], Rms: v[iRms]}
}

// What wins when data disagree: fs, Qes, Qms, Vas, Sd, Re.
func TestCompletePrecedence(t *testing.T) {
	s := sheet()
	s.Bl, s.Mms, s.Cms, s.Rms, s.Qts = s.Bl*1.05, s.Mms*0.9, s.Cms*1.2, s.Rms*1.02, s.Qts*0.95
	d, findings, err := s.Complete()
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "fs", d.Fs(), 29, 1e-12)
	nearly(t, "Qes", d.Qes(), 0.45, 1e-12)
	nearly(t, "Vas", d.Vas(referenceAir()), 0.055, 1e-12)
	want := map[string]struct {
		percent  float64
		severity Severity
	}{"bl": {5, Warning}, "mms": {-10, Warning}, "cms": {20, Flagged}, "qts": {-5, Warning}}
	for _, f := range findings {
		w, ok := want[f.Quantity]
		if !ok {
			t.Errorf("unexpected %+v", f)
			continue
		}
		near(t, f.Quantity, f.Percent, w.percent, 1e-9)
		if f.Severity != w.severity {
			t.Errorf("%s is a %v, want %v", f.Quantity, f.Severity, w.severity)
		}
		delete(want, f.Quantity)
	}
	if len(want) > 0 {
		t.Errorf("not found: %v in %v", want, findings)
	}
}

// Each unit slip in a sheet with redundant data is named.
func TestCompleteNamesUnitSlips(t *testing.T) {
	for _, row := range []struct {
		spoil func(*Spec)
		want  string
	}{
		{func(s *Spec) { s.Vas /= 28.317 }, "vas looks like cubic feet written as litres (28.32 times too small)"},
		{func(s *Spec) { s.Vas *= 28.317 }, "vas looks like litres written as cubic feet (28.32 times too large)"},
		{func(s *Spec) { s.Vas *= 61.02 }, "vas looks like cubic inches written as litres"},
		{func(s *Spec) { s.Sd /= 6.4516 }, "sd looks like square inches written as square centimetres (6.452 times too small)"},
		{func(s *Spec) { s.Sd *= 100 }, "sd looks like square millimetres written as square centimetres"},
		{func(s *Spec) { s.Mms *= 1000 }, "mms looks like grams written as kilograms"},
		{func(s *Spec) { s.Cms /= 1000 }, "cms looks like millimetres per newton written as micrometres"},
		{func(s *Spec) { s.Bl *= 10 }, "bl looks like a slip of the decimal point (10 times too large)"},
		{func(s *Spec) { s.Re /= 1000 }, "re looks like ohms written as milliohms"},
		{func(s *Spec) { s.Mms /= 28.35 }, "mms looks like ounces written as grams"},
		{func(s *Spec) { s.Sd, s.Diameter = 0, math.Sqrt(4*0.0335/math.Pi)/25.4 }, "diameter looks like inches written as millimetres (25.4 times too small)"},
		{func(s *Spec) { s.Sd, s.Diameter = 0, math.Sqrt(4*0.0335/math.Pi)*2.54 }, "diameter looks like centimetres written as inches (2.54 times too large)"},
		{func(s *Spec) { s.Qms *= 10 }, "qms looks like a slip of the decimal point (10 times too large)"},
		{func(s *Spec) { s.Re *= 4 }, "re looks like that of coils in series beside data for coils in parallel"},
		// with nothing to compare, the moving mass gives it away
		{func(s *Spec) { *s = s.only(strings.Fields("fs qes qms vas sd re")); s.Vas /= 28.317 }, "vas looks like cubic feet written as litres (28.32 times too small)"},
		{func(s *Spec) { *s = s.only(strings.Fields("fs qes qms vas sd re")); s.Vas *= 28.317 }, "vas looks like litres written as cubic feet"},
		{func(s *Spec) { *s = s.only(strings.Fields("fs qes qms mms sd re")); s.Mms /= 28.35 }, "mms looks like ounces written as grams"},
	} {
		s := sheet()
		row.spoil(&s)
		_, findings, err := s.Complete()
		if err != nil {
			t.Errorf("%s: %v", row.want, err)
			continue
		}
		var texts []string
		found := false
		for _, f := range findings {
			texts = append(texts, f.Text)
			found = found || f.Quantity == "units" && f.Severity == Flagged && strings.Contains(f.Text, row.want)
		}
		if !found {
			t.Errorf("want %q, have\n%s", row.want, strings.Join(texts, "\n"))
		}
	}
	// an ordinary disagreement is no slip
	s := sheet()
	s.Mms *= 1.2
	_, findings, _ := s.Complete()
	for _, f := range findings {
		if f.Quantity == "units" {
			t.Errorf("%+v", f)
		}
	}
}

func TestCompleteRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*Spec){
		"qts":         func(s *Spec) { s.Qts = 0.5 },
		"qms":         func(s *Spec) { s.Qms = -1 },
		"fs":          func(s *Spec) { s.Fs = math.NaN() },
		"vas":         func(s *Spec) { s.Vas = math.Inf(1) },
		"le":          func(s *Spec) { s.Le = -1e-3 },
		"coils.count": func(s *Spec) { s.Coils.Count = -1 },
	} {
		s := sheet()
		spoil(&s)
		_, _, err := s.Complete()
		var r *RangeError
		if !errors.As(err, &r) || r.Quantity != name {
			t.Errorf("%s: error %v", name, err)
		}
	}
	s := sheet()
	s.Fs, s.Re = -1, -1
	_, _, err := s.Complete()
	if err == nil || !strings.Contains(err.Error(), "fs: -1 Hz") || !strings.Contains(err.Error(), "re: -1 ohm") {
		t.Errorf("not all faults at once: %v", err)
	}
	// a Qts that only the derived Qes contradicts
	s = Spec{Fs: 29, Vas: 0.055, Sd: 0.0335, Re: 3.4, Bl: sheet().Bl, Qts: 0.6}
	var r *RangeError
	if _, _, err = s.Complete(); !errors.As(err, &r) || r.Quantity != "qts" {
		t.Errorf("derived Qes: %v", err)
	}
}

// Numbers at the ends of float64 give an error, and give it at once.
func TestCompleteEndsOnAbsurdNumbers(t *testing.T) {
	for _, s := range []Spec{
		{Qts: 5e-324, Qms: 3.2, Re: 1, Bl: 1, Vas: 0.01},
		{Qes: 5e-324, Qms: 5e-324, Re: 1, Bl: 1, Vas: 0.01, Fs: 30, Sd: 0.03},
		{Fs: math.MaxFloat64, Qes: 1, Qms: 1, Vas: math.MaxFloat64, Sd: 1e-300, Re: 1},
		{Vas: 1000, Sd: 1000, Re: 1000, Bl: 1000, Mms: 1000, Rms: math.MaxFloat64},
	} {
		if _, _, err := s.Complete(); err == nil {
			t.Errorf("%+v passes", s)
		}
	}
	var v values
	v[iQts], v[iQms] = 5e-324, 3
	if err := v.propagate(nil); err != nil {
		t.Error(err)
	}
}

func TestCompleteSaysWhatIsMissing(t *testing.T) {
	for _, row := range []struct{ have, need string }{
		{"fs qes qms vas sd", "re"}, {"fs qes qms vas re", "sd (or diameter)"}, {"fs qts vas sd re", "qes"}, {"fs qes qms sd re", "vas"},
	} {
		_, _, err := sheet().only(strings.Fields(row.have)).Complete()
		var m *MissingError
		if !errors.As(err, &m) {
			t.Errorf("%s: %v", row.have, err)
			continue
		}
		found := false
		for _, n := range m.Need {
			found = found || n == row.need
		}
		if !found {
			t.Errorf("%s: %v, want %s among it", row.have, err, row.need)
		}
	}
	var m *MissingError
	if _, _, err := (Spec{}).Complete(); !errors.As(err, &m) || len(m.Need) == 0 {
		t.Errorf("nothing given: %v", err)
	}
	if _, _, err := sheet().only([]string{"fs", "qes", "vas", "sd"}).Complete(); !errors.As(err, &m) || !strings.Contains(m.Need[0], " and ") {
		t.Errorf("two short: %v", err)
	}
	for have, need := range map[string]string{
		"fs vas":     "sd (or diameter), re and two of qts, qes, qms",
		"fs qts sd":  "vas, re and one of qes, qms",
		"re":         "fs, vas, sd (or diameter) and two of qts, qes, qms",
		"qes qms bl": "fs, vas, sd (or diameter) and re",
	} {
		if _, _, err := sheet().only(strings.Fields(have)).Complete(); !errors.As(err, &m) || m.Need[0] != need {
			t.Errorf("%s: %v, want %s", have, err, need)
		}
	}
	s := sheet()
	s.L2 = 1e-3
	if _, _, err := s.Complete(); !errors.As(err, &m) || m.Need[0] != "r2" {
		t.Errorf("l2 alone: %v", err)
	}
}

func TestOddities(t *testing.T) {
	for quantity, spoil := range map[string]func(*Spec){
		"re":    func(s *Spec) { s.Impedance = 3 },
		"mms":   func(s *Spec) { *s = s.only(strings.Fields("fs qes qms vas sd re")); s.Vas = 1 },
		"xmax":  func(s *Spec) { s.Xmax = 0.04 },
		"xmech": func(s *Spec) { s.Xmech = 0.008 },
		"fs":    func(s *Spec) { s.Fs = 200 },
		"qts":   func(s *Spec) { s.Qes, s.Qts = 5, 0 },
		"le":    func(s *Spec) { s.Le = 1e-3 },
	} {
		s := sheet()
		spoil(&s)
		_, findings, err := s.Complete()
		if err != nil {
			t.Errorf("%s: %v", quantity, err)
		}
		found := false
		for _, f := range findings {
			found = found || f.Quantity == quantity && f.Percent == 0
		}
		if !found {
			t.Errorf("%s not remarked on: %v", quantity, findings)
		}
	}
	s := sheet()
	s.Diameter = 0.30
	_, findings, err := s.Complete()
	if err != nil || len(findings) == 0 || findings[0].Quantity != "diameter" || findings[0].Severity != Flagged {
		t.Errorf("diameter against sd: %v %v", err, findings)
	}
}

// Each parameter says where it comes from, and a filled spec completes to the
// same driver with nothing left to disagree.
func TestParameters(t *testing.T) {
	s := sheet().only(strings.Fields("fs qms vas re bl"))
	s.Diameter = math.Sqrt(4 * 0.0335 / math.Pi)
	s.Mms = sheet().Mms * 1.1
	all, err := s.Parameters()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]struct {
		origin Origin
		from   string
	}{
		"fs": {Given, ""}, "qms": {Given, ""}, "vas": {Given, ""}, "re": {Given, ""}, "bl": {Given, ""},
		"sd": {Computed, "diameter"}, "cms": {Computed, "sd vas"}, "mms": {Overruled, "fs cms"}, "rms": {Computed, "fs mms qms"},
		"qes": {Computed, "fs mms re bl"}, "qts": {Computed, "qes qms"},
	}
	for _, p := range all {
		w := want[p.Name]
		if p.Origin != w.origin || strings.Join(p.From, " ") != w.from {
			t.Errorf("%s: %v from %v, want %v from %s", p.Name, p.Origin, p.From, w.origin, w.from)
		}
		if p.Name == "mms" {
			near(t, "disagreement of mms", p.Percent(), 10, 1e-6)
		}
	}
	full, err := s.Filled()
	if err != nil {
		t.Fatal(err)
	}
	a, _, _ := s.Complete()
	b, findings, err := full.Complete()
	if err != nil || len(findings) > 0 {
		t.Fatal(err, findings)
	}
	for i, pair := range [][2]float64{{a.Re, b.Re}, {a.Bl, b.Bl}, {a.Sd, b.Sd}, {a.Mms, b.Mms}, {a.Cms, b.Cms}, {a.Rms, b.Rms}} {
		nearly(t, []string{"re", "bl", "sd", "mms", "cms", "rms"}[i], pair[1], pair[0], 3e-5) // six digits, some squared
	}
}

// Re that only the coils state is said to come from them.
func TestParametersOfCoils(t *testing.T) {
	s := sheet()
	s.Re, s.Coils = 0, Coils{Count: 2, Re: 1.7, DataFor: Series}
	all, err := s.Parameters()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range all {
		if p.Name == "re" && (p.Origin != Computed || p.Value != 3.4 || len(p.From) != 1 || p.From[0] != "coils.re") {
			t.Errorf("%+v", p)
		}
	}
}

func TestAmount(t *testing.T) {
	for quantity, want := range map[string]string{"vas": "24 l", "sd": "240 cm2", "mms": "24 g", "cms": "24 mm/N", "fs": "0.024 Hz", "width": "0.024"} {
		if got := Amount(quantity, 0.024); got != want {
			t.Errorf("Amount(%s, 0.024) = %s, want %s", quantity, got, want)
		}
	}
}
