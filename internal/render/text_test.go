package render

import (
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestWordsKeepsUnitsAndSizes(t *testing.T) {
	for _, tt := range []struct {
		in   string
		want []string
	}{
		{"costs 11.1 l, more", []string{"costs", "11.1 l,", "more"}},
		{"of 0.57 cu ft net", []string{"of", "0.57 cu ft", "net"}},
		{"is 900 × 430 × 240 mm outside", []string{"is", "900 × 430 × 240 mm", "outside"}},
		{"l and mm alone", []string{"l", "and", "mm", "alone"}},
	} {
		if got := words(tt.in); !reflect.DeepEqual(got, tt.want) {
			t.Errorf("words(%q) = %q, want %q", tt.in, got, tt.want)
		}
	}
}

// No line is wider than the column, and no word is lost or changed.
func TestWrapKeepsEveryWord(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := rapid.StringOfN(rapid.RuneFrom([]rune("abcXYZ 019-,.×Ω é")), 0, 300, -1).Draw(rt, "text")
		width := rapid.Float64Range(5, 150).Draw(rt, "width")
		st := TextStyle{Size: rapid.Float64Range(6, 20).Draw(rt, "size"), Bold: rapid.Bool().Draw(rt, "bold")}
		lines := wrap(s, st, width)
		for _, l := range lines {
			if textWidth(l, st) > width+1e-9 && utf8.RuneCountInString(l) > 1 {
				rt.Fatalf("line %q is wider than %.1f mm", l, width)
			}
		}
		strip := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if got := strip(strings.Join(lines, " ")); got != strip(s) {
			rt.Fatalf("words changed: %q became %q", s, got)
		}
	})
}

func TestClipText(t *testing.T) {
	st := TextStyle{Size: 10}
	for _, width := range []float64{0, 1, 5, 20, 1000} {
		got := clipText("A title that may be too long", st, width)
		if textWidth(got, st) > width {
			t.Errorf("clipText to %v mm gives %q, %v mm wide", width, got, textWidth(got, st))
		}
	}
}
