package render

import (
	"strings"
	"testing"

	"cubby/internal/design"
)

// A cell says the power once, whether the verdict has it or not.
func TestPairWord(t *testing.T) {
	for _, v := range []design.Verdict{design.Suits, design.SuitsWithCautions, "suits at 90 W"} {
		if text := pairWord(&design.Pair{Allowed: 90, Judged: design.Judged{Judgement: design.Judgement{Verdict: v}}}); strings.Count(text, "90") != 1 {
			t.Errorf("%s: %s", v, text)
		}
	}
}
