package render

import (
	"testing"

	"cubby/internal/panels"
	solids "cubby/internal/solid"
	"cubby/internal/unit"
)

// A box along any axis has its part B, clear of faults, and its boards are built from the page.
func TestShopPagesAlongEveryAxis(t *testing.T) {
	tool(t, "pdftotext")
	for _, axis := range []solids.Axis{solids.Across, solids.Depth, solids.Up} {
		section := mmSection(0, 0, 400, 0, 460, 300, 0, 300)
		s, err := solids.Straight(section, axis, 0, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		c := shopCase{name: axis.String(), units: unit.Metric, spec: panels.Spec{Outside: s, Axis: axis, Wood: mdf(0.018), Face: "front", Driver: someDriver(0.18), Count: 1, Hardware: panels.Hardware{Terminal: true}}}
		if _, err := panels.Build(c.spec); err != nil {
			t.Errorf("%s: %v", axis, err)
			continue
		}
		r := shopResult(t, c)
		b := shopBook(t, r, "a4")
		for _, f := range faultsOf(b) {
			t.Errorf("%s: %s", axis, f)
		}
		_, all := printedWords(t, c, "a4")
		if err := fromPage(all, r.Designs[0].Box, c.units); err != nil {
			t.Errorf("%s: %v", axis, err)
		}
	}
}
