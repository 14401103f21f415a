package design

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/unit"
)

// Who does what is printed is within the limit: a power is rounded down, a spacer ring up, by less than a step.
func TestPrintedLimitsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(1, 3000).Draw(t, "W")
		var printed float64
		if _, err := fmt.Sscanf(limitTo(w), "limit the power to %f W", &printed); err != nil || printed > w*(1+slack) || printed <= w-1 {
			t.Errorf("%.4f W: %s", w, limitTo(w))
		}
		h := &rig{req: &Request{Units: unit.Metric}}
		short := rapid.Float64Range(0.0002, 0.05).Draw(t, "short")
		text := strings.TrimPrefix(h.ring(short), "a spacer ring of ")
		mm, err := strconv.ParseFloat(text[:strings.Index(text, " mm")], 64)
		if err != nil || mm/1000 < short-1e-9 || mm/1000 >= short+finestMetric+1e-9 {
			t.Errorf("%.3f mm: %s", short*1000, text)
		}
	})
}
