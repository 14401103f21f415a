package unit

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestFraction(t *testing.T) {
	for _, test := range []struct {
		inches      float64
		denominator int
		want        string
	}{
		{14.375, 32, "14-3/8"},
		{14.375, 8, "14-3/8"},
		{14.375, 4, "14-1/2"}, // a half rounds away from zero
		{15 + 31.9/32, 32, "16"},
		{31.9 / 32, 32, "1"},
		{0.375, 32, "3/8"},
		{0.5, 64, "1/2"},
		{0, 32, "0"},
		{-0.001, 32, "0"},
		{-0.375, 32, "-3/8"},
		{-14.375, 32, "-14-3/8"},
		{-15 - 31.9/32, 32, "-16"},
		{14.375, 1, "14"},
		{14.375, 0, "14"},
		{97, 32, "97"},
		{1.0 / 3, 10, "3/10"},
		{math.NaN(), 32, "?"},
		{math.Inf(-1), 32, "?"},
		{1e300, 32, "?"},
	} {
		if got := Fraction(test.inches*MetresPerInch, test.denominator); got != test.want {
			t.Errorf("Fraction(%v in, %d) = %q, want %q", test.inches, test.denominator, got, test.want)
		}
	}
}

func TestFormat(t *testing.T) {
	for _, test := range []struct{ got, want string }{
		{Millimetres(0.365, 1), "365.0"},
		{Millimetres(0.365, 0), "365"},
		{Millimetres(-0.00001, 1), "0.0"},
		{Millimetres(-0.0004, 1), "-0.4"},
		{Millimetres(math.NaN(), 1), "?"},
		{FormatLength(0.365125, Metric), "365.1 mm"},
		{FormatLength(0.365125, Inch), `14-3/8"`},
		{FormatLength(-0.0254, Inch), `-1"`},
		{FormatBoth(0.365125, Inch), `14-3/8" (365.1 mm)`},
		{FormatBoth(0.365125, Metric), `365.1 mm (14-3/8")`},
		{FormatVolume(0.0176, Metric), "17.6 l"},
		{FormatVolume(0.0176, Inch), "0.62 cu ft"},
		{FormatVolume(0.00035, Metric), "0.35 l"},
		{FormatVolume(0.001, Inch), "0.035 cu ft"},
		{FormatVolume(-0.00035, Metric), "-0.35 l"},
		{FormatVolume(math.Inf(1), Metric), "? l"},
		{FormatMass(12.4, Metric), "12.4 kg"},
		{FormatMass(12.4, Inch), "27.3 lb"},
		{FormatMass(0.35, Metric), "350 g"},
		{FormatMass(0.9999, Metric), "1.0 kg"},
		{FormatMass(0.16, Inch), "5.6 oz"},
		{FormatMass(0.4535, Inch), "1.0 lb"},
		{FormatMass(math.NaN(), Inch), "? lb"},
		{FormatSize(Metric, 0.9, 0.43, 0.24), "900 × 430 × 240 mm"},
		{FormatSize(Inch, 35.4375*MetresPerInch, 17*MetresPerInch, 9.53125*MetresPerInch), "35-7/16 × 17 × 9-17/32 in"},
	} {
		if test.got != test.want {
			t.Errorf("got %q, want %q", test.got, test.want)
		}
	}
}

// TestFormatParse holds that what is printed reads back as what was meant, to half of the last place printed.
func TestFormatParse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-100, 100).Draw(t, "x")
		sys := System(rapid.IntRange(0, 1).Draw(t, "sys"))
		for _, form := range []struct {
			text string
			d    Dimension
			half float64
		}{
			{FormatLength(x, sys), Length, map[System]float64{Metric: 0.00005, Inch: MetresPerInch / 64}[sys]},
			{FormatVolume(x, sys), Volume, map[System]float64{Metric: 0.00005, Inch: 0.005 * cubicMetresPerCubicFoot}[sys]},
			{FormatArea(x, sys), Area, map[System]float64{Metric: 0.000005, Inch: 0.05 * MetresPerInch * MetresPerInch}[sys]},
			{FormatMass(x, sys), Mass, map[System]float64{Metric: 0.05, Inch: 0.05 * kilogramsPerPound}[sys]},
		} {
			got, err := Parse(form.text, form.d, sys)
			// 1e-9 relative: the division by the unit and the text's own rounding of ties.
			if err != nil || math.Abs(got-x) > form.half*(1+1e-9)+1e-12 {
				t.Fatalf("%v prints as %q, which reads as %v (%v), want within %v", x, form.text, got, err, form.half)
			}
		}
	})
}

// TestFractionIsReduced holds that every fraction is in its lowest terms, below one, and within the denominator.
func TestFractionIsReduced(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.Float64Range(-10, 10).Draw(t, "m")
		den := rapid.IntRange(1, 128).Draw(t, "denominator")
		text := Fraction(m, den)
		got, err := Parse(text, Length, Inch)
		if err != nil || math.Abs(got-m) > MetresPerInch/float64(2*den)*(1+1e-9)+1e-12 {
			t.Fatalf("Fraction(%v, %d) = %q reads as %v (%v)", m, den, text, got, err)
		}
		var above, below int64
		_, part, ok := strings.Cut(strings.TrimPrefix(text, "-"), "-")
		if !ok {
			part = strings.TrimPrefix(text, "-")
		}
		if n, _ := fmt.Sscanf(part, "%d/%d", &above, &below); n == 2 {
			if divisor(above, below) != 1 || above >= below || int64(den)%below != 0 {
				t.Fatalf("Fraction(%v, %d) = %q is not in lowest terms of 1/%d", m, den, text, den)
			}
		}
	})
}

// TestUnitsConvertBothWays holds that a value written in any unit of a dimension reads as value x factor.
func TestUnitsConvertBothWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := measures[rapid.IntRange(0, len(measures)-1).Draw(t, "unit")]
		n := rapid.IntRange(1, 1000000).Draw(t, "thousandths")
		text := fixed(float64(n)/1000, 3) + " " + m.symbol
		got, err := Parse(text, m.dimension, Metric)
		factor, _ := table[m.symbol].mul.Float64()
		before, _ := table[m.symbol].add.Float64()
		want := (float64(n)/1000 + before) * factor
		if err != nil || math.Abs(got-want) > 1e-12*(1+math.Abs(want)) { // a few roundings of want
			t.Fatalf("Parse(%q) = %v (%v), want %v", text, got, err, want)
		}
	})
}
