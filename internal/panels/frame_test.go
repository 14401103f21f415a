package panels

import (
	"math"
	"testing"

	"cubby/internal/solid"
)

// A strip that lies along an oblique side is cut from a blank of its own size, whatever way the side looks.
func TestStripsFillTheirBlanks(t *testing.T) {
	for _, axis := range []solid.Axis{solid.Depth, solid.Up} {
		outside, err := solid.Straight(mm(0, 0, 210, 0, 210, 245, 140, 245, 0, 122.5), axis, 0, 0.4)
		if err != nil {
			t.Fatal(err)
		}
		b := build(t, Spec{Outside: outside, Axis: axis, Wood: Wood{Board: "MDF", Thickness: .009}, Brace: BraceRule{Lowest: 900}})
		askew := 0
		for _, p := range b.Panels {
			if x := p.Place.X; p.Role == Strip && math.Abs(x.X) > 0.1 && math.Abs(x.X) < 0.9 {
				askew++
			}
			if bar := math.Abs(p.Outline.Area()); p.Role == Strip && p.Blank[0]*p.Blank[1] > bar*(1+1e-9) {
				t.Errorf("%s: blank %.1f x %.1f mm for %.0f mm2", p.Name, p.Blank[0]*1e3, p.Blank[1]*1e3, bar*1e6)
			}
		}
		if askew == 0 {
			t.Error("no strip lies askew")
		}
	}
}
