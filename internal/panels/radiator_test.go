package panels

import (
	"errors"
	"math"
	"strings"
	"testing"

	"cubby/internal/unit"
)

// Radiators stand beside a driver, which makes way for them where it may, on a face of their own where they are asked to, and are cut,
// taken from the air and checked as a driver is.
func TestRadiators(t *testing.T) {
	base := func(w, h float64) Spec {
		return Spec{Outside: across(t, mm(0, 0, 300, 0, 300, h, 0, h), 0, w/1000), Wood: Wood{Board: "MDF", Thickness: .018}, Face: "front",
			Driver:   Driver{Frame: .2, Cutout: .18, Depth: .09, Magnet: .1, Circle: .19, Bolts: 6, Hole: 5e-3, Displacement: 8e-4},
			Hardware: Hardware{Radiators: &Radiators{Driver: Driver{Frame: .25, Cutout: .23, Depth: .06, Circle: .24, Bolts: 8, Hole: 5e-3, Cone: Cone{Excursion: .012}}}}}
	}
	for _, c := range []struct {
		name  string
		spec  Spec
		panel string
		moved bool
	}{
		{"beside", base(1000, 340), "front", false},
		{"driver makes way", base(560, 340), "front", true},
		{"no room beside", base(440, 340), "left end", false},
	} {
		b := build(t, c.spec)
		r, d := b.Radiators, &b.Drivers
		if r == nil || r.Panel != c.panel || len(r.Centres) != 1 || r.Opening != .23 {
			t.Errorf("%s: %+v", c.name, r)
			continue
		}
		width := c.spec.Outside.Volume()/(.3*.34) - 2*.018
		if moved := math.Abs(d.Centres[0].X-width/2) > 1e-3; moved != c.moved {
			t.Errorf("%s: the driver is at %v of %v", c.name, d.Centres[0], width)
		}
		if r.Panel == d.Panel && r.Centres[0].Sub(d.Centres[0]).Norm() < (.2+.25)/2+frameGap-1e-9 {
			t.Errorf("%s: frames run into each other", c.name)
		}
		cuts, bolts := 0, 0
		for _, p := range b.Panels {
			for _, h := range p.Holes {
				switch {
				case h.Use != UseRadiator:
				case p.Name != c.panel:
					t.Errorf("%s: a hole on the %s", c.name, p.Name)
				case h.Kind == HoleDriver:
					cuts++
				default:
					bolts++
				}
			}
		}
		if cuts != 1 || bolts != 8 {
			t.Errorf("%s: %d openings, %d bolts", c.name, cuts, bolts)
		}
		taken := 0.0
		for _, x := range b.Deductions {
			if x.Name == "passive radiator" {
				taken = x.Volume
			}
		}
		if want := math.Pi / 4 * .23 * .23 * .06 / 3; math.Abs(taken-want) > 1e-12 {
			t.Errorf("%s: takes %v of air, not %v", c.name, taken, want)
		}
		for _, x := range b.Checks {
			if x.Name == "depth behind the passive radiator" && x.Status == Pass {
				taken = -1
			}
		}
		if taken != -1 {
			t.Errorf("%s: its depth is not checked: %v", c.name, b.Checks)
		}
	}
	// a mass that comes back against a wall is found
	deep := base(1000, 340)
	deep.Radiators.Face, deep.Radiators.Depth = "back", .265
	for _, x := range build(t, deep).Checks {
		if x.Name == "depth behind the passive radiator" && x.Status != Marginal { // 282 mm; it is 265 deep and comes back by 12
			t.Errorf("%+v", x)
		}
	}
	wide := base(440, 340)
	wide.Radiators.Frame, wide.Radiators.Cutout, wide.Radiators.Face = .4, .36, "right"
	var e *BuildError
	if _, err := Build(wide); !errors.As(err, &e) || e.Reason != NoFrame || !strings.HasPrefix(e.Text(unit.Metric), "the passive radiator's frame of 400.0 mm") {
		t.Errorf("%v", err)
	}
}
