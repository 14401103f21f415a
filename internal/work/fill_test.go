package work

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/solid"
)

// TestFillOfSlantingSlot fills a box whose slot runs along a slope, so that its mouth slants through the front.
func TestFillOfSlantingSlot(t *testing.T) {
	outside, err := solid.Straight(plane.Polygon{{}, {X: 0.2}, {X: 0.24, Y: 0.5}, {Y: 0.25}}, solid.Across, 0, 1.1)
	if err != nil {
		t.Fatal(err)
	}
	b, err := panels.Build(panels.Spec{Outside: outside, Count: 1, Face: "left", Hardware: panels.Hardware{Terminal: true},
		Driver: panels.Driver{Frame: 0.112, Cutout: 0.1, Depth: 0.04, Magnet: 0.05, Displacement: 125e-6, Circle: 0.106, Bolts: 8, Hole: 0.0055},
		Wood:   panels.Wood{Board: "MDF", Thickness: 0.0195, Flush: 0.001}, Port: &panels.Port{Height: 0.03, Length: 0.165, Face: "front"}})
	if err != nil {
		t.Fatal(err)
	}
	if s := b.Ports[0]; s.Along != "slope" {
		t.Fatalf("the slot runs along the %s", s.Along)
	}
	if err := checkFill(b, nil, Make(b, layout(t, b))); err != nil {
		t.Error(err)
	}
}

// checkFill compares the dry fill with the box's own account of its air.
func checkFill(b *panels.Box, _ *nest.Layout, p *Plan) error {
	f := p.Fill
	want := b.NetVolume + f.Opening
	for _, s := range b.Ports {
		if s.Height > 0 { // it fills, from its inner end to where its mouth, an opening, slants through the wall
			wall := &b.Panels[index(b, s.Panel)]
			want += s.Height * s.Width * (s.Length - wall.Thickness/math.Abs(r3.Dot(s.Directions[0], wall.Place.N)))
		}
	}
	for _, d := range b.Deductions {
		if strings.Contains(d.Name, "driver") || d.Name == "terminal plate" || d.Name == "air that the gasket adds" {
			want += d.Volume // not there when the box is filled
		}
	}
	if tol := 2e-3 * b.InsideVolume; math.Abs(f.Volume-want) > tol {
		return fmt.Errorf("the box is filled with %.4f l, its account gives %.4f l: %+v %+v", f.Volume*1000, want*1000, f, b.Deductions)
	}
	return nil
}
