package render

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	solids "cubby/internal/solid"
	"cubby/internal/unit"
	"cubby/internal/work"
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

// A bevel that no edge of its board faces, as a front that leans has over a hollow in its floor, is set to the line.
func TestBevelThatNoEdgeFaces(t *testing.T) {
	sin, cos := math.Sincos(15 * math.Pi / 180)
	section := mmSection(0, 0, 686, 284, 686, 0, 1314, 0, 1314, 437, 0, 437)
	low, high := solids.Plane{N: r3.Vec{Y: -cos, Z: sin}}, solids.Plane{N: r3.Vec{Y: 1}, D: 0.196}
	s, err := solids.Prism(section, solids.Depth, low, high)
	if err != nil {
		t.Fatal(err)
	}
	c := shopCase{name: "leaning", units: unit.Metric, spec: panels.Spec{Outside: s, Axis: solids.Depth, Wood: mdf(0.018), Face: "front", Driver: someDriver(0.06), Count: 1}}
	if _, err := panels.Build(c.spec); err != nil {
		t.Fatal(err)
	}
	r := shopResult(t, c)
	view, lines := newShop(shopBook(t, r, "a4"), r, Options{}), 0
	for _, cut := range view.plan.Cuts {
		if cut.Tool == work.Bevel && view.referenceText(cut) == "the line" {
			lines++
		}
	}
	if lines == 0 {
		t.Error("no bevel is set to a line: the test proves nothing")
	}
}
