package render

import (
	"strings"
	"testing"

	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/unit"
)

// A slanted cut is set at both ends of its line, named as the piece lies in the drawing; a side of an end that is sawn by itself has the
// places of its corners.
func TestSlantedCutsAreSetAtBothEnds(t *testing.T) {
	s := &shop{m: newMeasure(unit.Metric, 0), box: &panels.Box{}}
	c := nest.Cut{Direction: "slant", Reference: "right", Setting: 540500, Far: 416000, At: [2][2]nest.Um{{0, 900}, {100, 0}}}
	if got, want := s.settingText(c), "540.5 at the top\n416.0 at the bottom"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	c.Reference, c.At = "bottom", [2][2]nest.Um{{0, 100}, {900, 0}}
	if got, want := s.settingText(c), "540.5 at the left\n416.0 at the right"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	p := panels.Panel{Label: panels.Label{Role: panels.Window}, Shape: panels.Shape{Outline: mmSection(0, 0, 360, 0, 430, 240, 0, 240)}}
	if got, want := s.sideText(p, 1), "2 (X 360.0 Y 0.0) – 3 (X 430.0 Y 240.0)"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	for _, c := range shopCases() {
		if c.name != "E2" {
			continue
		}
		text := textOf(shopBook(t, shopResult(t, c), "a4"), "Sheets and cuts")
		for _, want := range []string{"360.0 at the ", "430.0 at the "} {
			if strings.Count(text, want) != 2 {
				t.Errorf("%q stands %d times on the sheets' pages, want 2: with the cut and in the set-ups", want, strings.Count(text, want))
			}
		}
	}
}
