package unit

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Whatever is read without exact arithmetic is what exact arithmetic gives, to the last bit.
func TestQuickIsExact(t *testing.T) {
	taken := 0
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(measures).Draw(t, "unit")
		name := rapid.SampledFrom(append([]string{"", m.symbol}, m.spelling...)).Draw(t, "spelling")
		digits := rapid.StringMatching(`-?[0-9]{0,17}\.?[0-9]{0,12}( ?[-/eE]?[0-9]{0,2})?`).Draw(t, "number")
		text := strings.Join([]string{digits, name}, rapid.SampledFrom([]string{"", " ", "  "}).Draw(t, "space"))
		sys := rapid.SampledFrom([]System{Metric, Inch}).Draw(t, "system")
		x, ok := quick(text, m.dimension, sys)
		if !ok {
			return
		}
		taken++
		if want, err := parse(text, m.dimension, sys); err != nil || x != want {
			t.Fatal(fmt.Sprintf("%q as %v: %v without exact arithmetic, %v %v with it", text, m.dimension, x, want, err))
		}
	})
	if taken == 0 {
		t.Error("nothing was read without exact arithmetic")
	}
}
