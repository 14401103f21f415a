package unit

import (
	"errors"
	"math"
	"testing"
	"unicode/utf8"
)

// FuzzParse holds that any text gives either a finite number or a short *Error, and that a length which was read prints
// as something that reads back.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"14-3/8 in", `14 3/8"`, "5' 2-1/2\"", "365 mm", "0.62 cu ft", "1,5", "1e400", "NaN", "-40 F", "½", "2 Ω", "50 %",
		"1e-59 m", "9999999999999999999999999", "0/0", "1 1/0 in", "12 T·m", "°", "'", "1e", "\xff"} {
		for d := Length; d <= Time; d += 5 {
			f.Add(s, int(d), d%2 == 0)
		}
	}
	f.Fuzz(func(t *testing.T, s string, dimension int, inch bool) {
		sys := Metric
		if inch {
			sys = Inch
		}
		d := Dimension(dimension)
		x, err := Parse(s, d, sys)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.Want == "" || x != 0 {
				t.Fatalf("Parse(%q, %v) = %v, %#v: want 0 and an *Error that says what is right", s, d, x, err)
			}
			if utf8.ValidString(s) && len(err.Error()) > 2*longest+300 {
				t.Fatalf("Parse(%q, %v): an error of %d bytes", s, d, len(err.Error()))
			}
			return
		}
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Fatalf("Parse(%q, %v) = %v", s, d, x)
		}
		if d == Length && math.Abs(x) < 1e6 {
			back, err := Parse(FormatLength(x, sys), Length, sys)
			if err != nil || math.Abs(back-x) > MetresPerInch/64*(1+1e-9)+1e-9*math.Abs(x) {
				t.Fatalf("Parse(%q) = %v, prints %q, reads back %v (%v)", s, x, FormatLength(x, sys), back, err)
			}
		}
	})
}
