package job

import (
	"math"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"cubby/internal/panels"
	"cubby/internal/thielesmall"

	"pgregory.net/rapid"
)

// anyDriver draws a driver file with values that ParseDriver takes, of any float64 in their range.
func anyDriver(t *rapid.T) *DriverFile {
	value := func(low, high float64) float64 {
		if rapid.IntRange(0, 3).Draw(t, "absent") == 0 {
			return 0
		}
		if rapid.Bool().Draw(t, "round") {
			return math.Round(rapid.Float64Range(low, high).Draw(t, "value")*1e3) / 1e3
		}
		return low * math.Pow(high/low, rapid.Float64Range(0, 1).Draw(t, "share"))
	}
	d := &DriverFile{
		Spec: thielesmall.Spec{
			Name: strings.TrimSpace(rapid.StringOfN(rapid.RuneFrom([]rune("abc XYZ019:#'\"-{}[]&*!%@`,?|>~éΩ″")), 0, 60, -1).Draw(t, "name")),
			Fs:   value(1, 2000), Qts: value(0.01, 99), Qes: value(0.01, 99), Qms: value(0.01, 999), Vas: value(1e-5, 9), Sd: value(1e-5, 0.9),
			Diameter: value(1e-3, 0.9), Re: value(0.01, 900), Le: value(1e-6, 0.9), Bl: value(0.01, 900), Mms: value(1e-4, 9),
			Cms: value(1e-7, 0.9), Rms: value(1e-3, 900), Xmax: value(1e-4, 0.1), Power: value(0.1, 9000), Impedance: value(0.1, 900),
		},
		Frame: panels.Driver{
			Depth: value(1e-3, 1.4), Magnet: value(1e-3, 1.4), Displacement: value(1e-6, 0.09), Mass: value(1e-3, 190),
			Vent: rapid.Bool().Draw(t, "vent"),
		},
	}
	s, f := &d.Spec, &d.Frame
	if rapid.Bool().Draw(t, "pair") {
		s.L2, s.R2 = value(1e-6, 0.9)+1e-9, value(0.1, 900)+1e-9
	}
	if s.Xmax > 0 && rapid.Bool().Draw(t, "xmech") {
		s.Xmech = s.Xmax * (1 + rapid.Float64Range(0, 1).Draw(t, "beyond"))
	}
	if rapid.Bool().Draw(t, "flange") {
		f.Cutout = rapid.Float64Range(0.05, 0.5).Draw(t, "cutout")
		f.Circle = f.Cutout * (1 + rapid.Float64Range(1e-6, 1).Draw(t, "circle"))
		f.Frame = f.Circle * (1 + rapid.Float64Range(1e-6, 0.4).Draw(t, "frame"))
		f.Bolts, f.Hole = rapid.IntRange(2, 32).Draw(t, "bolts"), value(1e-4, 0.04)
	}
	if rapid.Bool().Draw(t, "claims") {
		s.Claims = thielesmall.Claims{Displaced: value(1e-5, 0.09), Level: rapid.Float64Range(50, 120).Draw(t, "level")}
		switch rapid.IntRange(0, 2).Draw(t, "drive") {
		case 1:
			s.Claims.Volts = rapid.Float64Range(0.5, 20).Draw(t, "volts")
		case 2:
			s.Claims.Watts = 1
		}
	}
	if n := rapid.IntRange(0, 2).Draw(t, "coils"); n > 0 {
		s.Coils = thielesmall.Coils{Count: n, Impedance: value(0.1, 900), Re: value(0.1, 900), DataFor: thielesmall.Connection(rapid.IntRange(0, 2).Draw(t, "data"))}
	}
	f.Name, f.Excursion, f.Sd = s.Name, s.Xmax, s.Sd
	if f.Sd == 0 {
		f.Sd = math.Pi / 4 * s.Diameter * s.Diameter
	}
	return d
}

// TestDriverFileRoundTrip holds that a written driver reads back to the very same values, whatever remarks it carries.
func TestDriverFileRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyDriver(t)
		if reflect.DeepEqual(*want, DriverFile{}) {
			want.Spec.Fs = 30 // a file that gives nothing at all is refused as empty
		}
		if want.Spec.Name == "?" {
			want.Spec.Name, want.Frame.Name = "A", "A" // a question mark alone stands for what is still to be filled in
		}
		remark := rapid.String().Draw(t, "remark")
		data := FormatDriver(want, remark, Remarks{"fs": remark, "qms": remark, "vent": remark})
		got, err := ParseDriver("out.yaml", data)
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("got  %+v\nwant %+v\n%s", got, want, data)
		}
	})
}

// TestExampleDriversRoundTrip writes the example drivers completed: what was given stays, and the whole set completes to
// the same driver with nothing left to remark on that was not there before.
func TestExampleDriversRoundTrip(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "examples", "drivers", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, name := range files {
		d, err := ParseDriver(name, readFile(t, name))
		if err != nil {
			t.Fatal(err)
		}
		want, _, err := d.Spec.Complete()
		if err != nil {
			t.Fatal(err)
		}
		if d.Spec, err = d.Spec.Filled(); err != nil {
			t.Fatal(err)
		}
		data := FormatDriver(d, "Completed.", nil)
		back, err := ParseDriver(name, data)
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		got, findings, err := back.Spec.Complete()
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range findings {
			if f.Severity != thielesmall.Note {
				t.Errorf("%s: %s", name, f.Text)
			}
		}
		if !near(reflect.ValueOf(got), reflect.ValueOf(want)) {
			// sd alone may have been rounded: no example gives its diameter, so all is exact
			t.Errorf("%s:\ngot  %+v\nwant %+v", name, got, want)
		}
	}
}

// TestDriverFileReadsWell holds the form: few digits, remarks in a column.
func TestDriverFileReadsWell(t *testing.T) {
	d := &DriverFile{Spec: thielesmall.Spec{Name: "Test: 10", Fs: 31, Vas: 0.024, Sd: 0.033, Mms: 0.17, Power: 1000, Coils: thielesmall.Coils{Count: 2, Re: 3.4}},
		Frame: panels.Driver{Frame: 0.212725, Circle: 0.2, Bolts: 6, Vent: true}}
	want := "# One.\n# Two.\nname: 'Test: 10'\nfs: 31 Hz                    # given\nvas: 24 l\nsd: 330 cm2\nmms: 170 g\npower: 1000 W\ncoils: {count: 2, re: 3.4 ohm}\n" +
		"frame: 212.725 mm\nbolts: {circle: 200 mm, count: 6}\nvent: true\n"
	if got := string(FormatDriver(d, "One.\nTwo.", Remarks{"fs": "given"})); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// TestCompletedFileIsTheSameDriver holds, for any sufficient subset of a driver's data and some that disagree, that the
// completed file reads back to the same driver, and that nothing in it disagrees any more.
func TestCompletedFileIsTheSameDriver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := func(name string, low, high float64) float64 {
			return low * math.Pow(high/low, rapid.Float64Range(0, 1).Draw(t, name))
		}
		s := thielesmall.Spec{Fs: value("fs", 15, 100), Qes: value("qes", 0.2, 2), Qms: value("qms", 2, 15), Sd: value("sd", 0.01, 0.12), Re: value("re", 1, 12)}
		w := 2 * math.Pi * s.Fs
		s.Vas = 141911 * s.Sd / (w * w * value("mms/sd", 0.3, 10)) // rho c^2 Sd^2 Cms
		if rapid.Bool().Draw(t, "diameter") {
			s.Diameter, s.Sd = 2*math.Sqrt(s.Sd/math.Pi), 0
		}
		d, _, err := s.Complete()
		if err != nil {
			t.Fatal(err)
		}
		off := func(name string, v float64) float64 { return v * rapid.Float64Range(0.8, 1.2).Draw(t, name) }
		switch rapid.IntRange(0, 3).Draw(t, "given") {
		case 1: // the mechanical set
			s = thielesmall.Spec{Re: d.Re, Bl: d.Bl, Mms: d.Mms, Cms: d.Cms, Rms: d.Rms, Sd: d.Sd}
		case 2: // a mixture
			s = thielesmall.Spec{Fs: s.Fs, Qts: d.Qts(), Qms: s.Qms, Mms: d.Mms, Sd: d.Sd, Re: d.Re}
		case 3: // too much, and not in agreement
			s.Bl, s.Mms, s.Rms = off("bl", d.Bl), off("mms", d.Mms), off("rms", d.Rms)
		}
		want, _, err := s.Complete()
		if err != nil {
			t.Fatal(err)
		}
		full, err := s.Filled()
		if err != nil {
			t.Fatal(err)
		}
		data := FormatDriver(&DriverFile{Spec: full}, "", nil)
		back, err := ParseDriver("out.yaml", data)
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		got, findings, err := back.Spec.Complete()
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		for _, f := range findings {
			if f.Percent != 0 {
				t.Fatalf("%s\n%s", f.Text, data)
			}
		}
		for i, pair := range [][2]float64{{got.Re, want.Re}, {got.Bl, want.Bl}, {got.Sd, want.Sd}, {got.Mms, want.Mms}, {got.Cms, want.Cms}, {got.Rms, want.Rms}} {
			if math.Abs(pair[0]/pair[1]-1) > 5e-5 { // six digits each, some of them squared, three in a product
				t.Fatalf("%d: %v became %v\n%s", i, pair[1], pair[0], data)
			}
		}
		again, err := back.Spec.Parameters()
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range again {
			if p.Origin != thielesmall.Given {
				t.Fatalf("%+v in\n%s", p, data)
			}
		}
	})
}
