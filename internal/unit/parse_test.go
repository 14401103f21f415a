package unit

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	for _, test := range []struct {
		text string
		d    Dimension
		sys  System
		want float64
	}{
		// The same length in every form that people write.
		{"14-3/8 in", Length, Metric, 0.365125},
		{`14 3/8"`, Length, Metric, 0.365125},
		{"14-3/8", Length, Inch, 0.365125},
		{"14.375in", Length, Metric, 0.365125},
		{"14⅜ in.", Length, Metric, 0.365125},
		{"14–3/8″", Length, Metric, 0.365125},
		{"365.125", Length, Metric, 0.365125},
		{"36.5125 cm", Length, Inch, 0.365125},
		{"1'-2 3/8\"", Length, Metric, 0.365125},
		{"1 ft 2-3/8 in", Length, Metric, 0.365125},
		{"1′ 2⅜″", Length, Metric, 0.365125},
		{"-3/8", Length, Inch, -0.009525},
		{"-1 3/8", Length, Inch, -0.034925},
		{"9/8 in", Length, Inch, 0.028575},
		{"365 mm", Length, Inch, 0.365},
		{"0.3 mm", Length, Inch, 0.0003},
		{"5 ft", Length, Inch, 1.524},
		{"5'", Length, Inch, 1.524},
		{"2.9 m", Length, Inch, 2.9},
		{"080", Length, Metric, 0.08},
		{".5", Length, Metric, 0.0005},
		{"500 um", Length, Metric, 0.0005},
		{"1e3 mm", Length, Metric, 1},

		{"330 cm2", Area, Metric, 0.033},
		{"330 cm²", Area, Metric, 0.033},
		{"330 cm^2", Area, Metric, 0.033},
		{"100 sq in", Area, Metric, 0.064516},
		{"0.62 cu ft", Volume, Metric, 0.01755644488704},
		{"0.62 cu. ft.", Volume, Metric, 0.01755644488704},
		{"0.62 ft³", Volume, Metric, 0.01755644488704},
		{"1728 cu in", Volume, Metric, 0.028316846592},
		{"17.6 l", Volume, Metric, 0.0176},
		{"17.6 L", Volume, Metric, 0.0176},
		{"17.6 litres", Volume, Metric, 0.0176},
		{"1500 cc", Volume, Metric, 0.0015},
		{"120 g", Mass, Metric, 0.12},
		{"12 lb", Mass, Metric, 5.44310844},
		{"16 oz", Mass, Metric, 0.45359237},
		{"28.4 Hz", Frequency, Metric, 28.4},
		{"1.2 kHz", Frequency, Metric, 1200},
		{"500 W", Power, Metric, 500},
		{"500 W RMS", Power, Metric, 500},
		{"1.2 kW", Power, Metric, 1200},
		{"2 ohm", Resistance, Metric, 2},
		{"28.5", Frequency, Inch, 28.5},
		{"4", Resistance, Inch, 4},
		{"600", Power, Inch, 600},
		{"12.1", ForceFactor, Inch, 12.1},
		{"45", Angle, Inch, math.Pi / 4},
		{"-3", Level, Inch, -3},
		{"2 \u2126", Resistance, Metric, 2},
		{"2\u03a9", Resistance, Metric, 2},
		{"35 m\u03a9", Resistance, Metric, 0.035},
		{"1.2 mH", Inductance, Metric, 0.0012},
		{"850 µH", Inductance, Metric, 0.00085},
		{"850 μH", Inductance, Metric, 0.00085},
		{"2.83 V", Voltage, Metric, 2.83},
		{"12 T m", ForceFactor, Metric, 12},
		{"12 T·m", ForceFactor, Metric, 12},
		{"12 Tm", ForceFactor, Metric, 12},
		{"12 N/A", ForceFactor, Metric, 12},
		{"0.5 mm/N", Compliance, Metric, 0.0005},
		{"500 µm / N", Compliance, Metric, 0.0005},
		{"4.5 kg/s", MechanicalResistance, Metric, 4.5},
		{"4.5 N·s/m", MechanicalResistance, Metric, 4.5},
		{"17 m/s", Speed, Metric, 17},
		{"36 km/h", Speed, Metric, 10},
		{"101.325 kPa", Pressure, Metric, 101325},
		{"1013.25 mbar", Pressure, Metric, 101325},
		{"1 atm", Pressure, Metric, 101325},
		{"21 C", Temperature, Metric, 21},
		{"-5 °C", Temperature, Metric, -5},
		{"60 F", Temperature, Metric, 140.0 / 9},
		{"32 °F", Temperature, Metric, 0},
		{"293.15 K", Temperature, Metric, 20},
		{"12 kg/m3", Density, Metric, 12},
		{"12 kg/m³", Density, Metric, 12},
		{"0.7 g/cm3", Density, Metric, 700},
		{"50 %", Ratio, Metric, 0.5},
		{"50%", Ratio, Metric, 0.5},
		{"0.5", Ratio, Metric, 0.5},
		{"45 deg", Angle, Metric, math.Pi / 4},
		{"45°", Angle, Metric, math.Pi / 4},
		{"-6 dB", Level, Metric, -6},
		{"8 ms", Time, Metric, 0.008},
		{"1.5", Number, Metric, 1.5},
		{"1.5e-3", Number, Metric, 0.0015},
	} {
		got, err := Parse(test.text, test.d, test.sys)
		if err != nil {
			t.Errorf("Parse(%q, %v, %v): %v", test.text, test.d, test.sys, err)
		} else if got != test.want { // exact: the conversion is rational and rounded once
			t.Errorf("Parse(%q, %v, %v) = %v, want %v", test.text, test.d, test.sys, got, test.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, test := range []struct {
		text string
		d    Dimension
		want string // the whole message after the value
	}{
		{"", Length, "want a length in mm, cm, m, in or ft"},
		{"wide", Length, "want a length in mm, cm, m, in or ft"},
		{"1,5", Length, "use a point: 1.5"},
		{"1,500 mm", Length, "no commas in numbers: write 1500, or 1.500 with a decimal point"},
		{"12,", Length, "use a point, not a comma"},
		{"14 kg", Length, "kg is a mass; want a length in mm, cm, m, in or ft"},
		{"14 inn", Length, `unknown unit "inn", did you mean in? want a length in mm, cm, m, in or ft`},
		{"14 MM", Length, `unknown unit "MM", did you mean mm? want a length in mm, cm, m, in or ft`},
		{"14 parsec", Length, `unknown unit "parsec"; want a length in mm, cm, m, in or ft`},
		{"14 9/8", Length, "the fraction 9/8 after a whole number must be less than one"},
		{"3/0", Length, "the fraction has a zero under its stroke"},
		{"1:30", Length, "not a number; write 14.375 or 14-3/8"},
		{"1_000", Length, "not a number; write 14.375 or 14-3/8"},
		{"0x10", Length, `unknown unit "x10"; want a length in mm, cm, m, in or ft`},
		{"1.2.3", Length, "not a number; write 14.375 or 14-3/8"},
		{"5' 13\"", Length, `inches after feet must be below 12: write 73" if that is meant`},
		{"3 ft 14-1/2 in", Length, `inches after feet must be below 12: write 50-1/2" if that is meant`},
		{"3' 2", Length, `inches after feet need their sign: 3' 2"`},
		{"3' 2-9/8\"", Length, "the fraction 9/8 after a whole number must be less than one"},
		{"3' 2 mm", Length, `unknown unit "' 2 mm"; want a length in mm, cm, m, in or ft`},
		{"--3", Length, "want a length in mm, cm, m, in or ft"},
		{"NaN", Length, "want a length in mm, cm, m, in or ft"},
		{".inf", Length, "want a length in mm, cm, m, in or ft"},
		{"1e400", Length, "outside the range of any measurement"},
		{"1e-400", Length, "outside the range of any measurement"},
		{"1e99999999999999999999", Number, "outside the range of any measurement"},
		{"17.6", Volume, "needs its unit: l, ml, m3, cu ft or cu in"},
		{"1.2", Inductance, "needs its unit: mH, uH or H"},
		{"330", Area, "needs its unit: m2, cm2, mm2 or in2"},
		{"120", Mass, "needs its unit: kg, g, lb or oz"},
		{"28 Hx", Frequency, `unknown unit "Hx", did you mean Hz? want a frequency in Hz or kHz`},
		{"1.2 mh", Inductance, `unknown unit "mh", did you mean mH? want an inductance in mH, uH or H`},
		{"1.2 MW", Power, `unknown unit "MW", did you mean kW? want a power in W or kW`},
		{"21", Temperature, "needs its unit: C, F or K"},
		{"-300 C", Temperature, "below absolute zero, -273.15 C: is the sign right?"},
		{"-1 K", Temperature, "below absolute zero, -273.15 C: is the sign right?"},
		{"€54", Number, "want a plain number, without the sign of a currency"},
		{"-", Number, "want a plain number"},
		{" + ", Level, "want a level in dB"},
		{"3 V", Number, "want a plain number without a unit"},
		{"half", Ratio, "want a ratio such as 50 % or 0.5"},
	} {
		got, err := Parse(test.text, test.d, Inch)
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("Parse(%q, %v) = %v, %v, want *Error", test.text, test.d, got, err)
			continue
		}
		if e.Want != test.want || e.Value != test.text || e.Dimension != test.d || e.Error() != test.text+": "+test.want {
			t.Errorf("Parse(%q, %v): %+v, want %q", test.text, test.d, e, test.want)
		}
	}
	if _, err := Parse(strings.Repeat("9", 10000), Length, Inch); err == nil || len(err.Error()) > 200 {
		t.Errorf("a number of 10,000 digits: %.300v, want a short refusal", err)
	}
}

// TestTableIsConsistent holds that no spelling means two things and that every spelling survives normalise.
func TestTableIsConsistent(t *testing.T) {
	seen := map[string]string{}
	for _, m := range measures {
		for _, s := range append([]string{m.symbol}, m.spelling...) {
			if was, ok := seen[s]; ok {
				t.Errorf("unit %q stands twice: %s and %s", s, was, m.symbol)
			}
			seen[s] = m.symbol
			if n := normalise(s); n != s {
				t.Errorf("normalise(%q) = %q: that spelling can never match", s, n)
			}
		}
		if table[m.symbol].mul.Sign() <= 0 {
			t.Errorf("unit %s has factor %v", m.symbol, table[m.symbol].mul)
		}
	}
	for d := Length; d <= Time; d++ {
		if d != Number && offered(d) == "" {
			t.Errorf("%v has no unit to offer", d)
		}
	}
}

// TestFactorsAgree checks the factors against each other: what one definition gives must follow from the others.
func TestFactorsAgree(t *testing.T) {
	for _, test := range []struct {
		text, same string
		d          Dimension
	}{
		{"12 in", "1 ft", Length},
		{"1 yd", "3 ft", Length},
		{"144 in2", "1 ft2", Area},
		{"1728 cu in", "1 cu ft", Volume},
		{"16 oz", "1 lb", Mass},
		{"1 atm", "1013.25 hPa", Pressure},
		{"212 F", "100 C", Temperature},
		{"-40 F", "-40 C", Temperature},
		{"0 C", "273.15 K", Temperature},
		{"1 g/cm3", "1000 kg/m3", Density},
		{"1 m/s", "3.6 km/h", Speed},
	} {
		a, errA := Parse(test.text, test.d, Metric)
		b, errB := Parse(test.same, test.d, Metric)
		if errA != nil || errB != nil || a != b {
			t.Errorf("%s = %v (%v), %s = %v (%v), want the same", test.text, a, errA, test.same, b, errB)
		}
	}
	// 1 atm is 14.69594877551 psi (Thompson and Taylor, NIST SP 811, 2008, from memory).
	if psi, err := Parse("14.69594877551 psi", Pressure, Metric); err != nil || math.Abs(psi/101325-1) > 1e-12 {
		t.Errorf("14.69594877551 psi = %v Pa (%v), want 101325", psi, err)
	}
}
