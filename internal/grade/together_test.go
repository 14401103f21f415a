package grade_test

import (
	"context"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/grade"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/solid"
	"cubby/internal/thielesmall"
)

// A threshold stands in one place: when the air behind a magnet is changed there, boards, design and check all grade by it.
func TestOneTableForAll(t *testing.T) {
	const name = "depth behind the driver"
	section := plane.Polygon{{}, {X: 0.4}, {X: 0.4, Y: 0.32}, {Y: 0.32}}
	space, err := cavity.Uniform(0.5, section, 0.008)
	if err != nil {
		t.Fatal(err)
	}
	outside, err := solid.Straight(section, solid.Across, 0, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	req := design.Request{
		Driver: thielesmall.Spec{Fs: 30, Qes: 0.5, Qms: 5, Vas: 0.035, Sd: 0.0345, Re: 3.4, Le: 0.0018, Xmax: 0.012, Power: 400, Impedance: 4},
		Frame:  panels.Driver{Frame: 0.266, Cutout: 0.238, Depth: 0.135, Magnet: 0.15, Displacement: 0.0017, Circle: 0.252, Bolts: 8, Hole: 0.0055},
		Space:  &design.Space{Space: space},
		Mount:  design.Mount{Face: "front", AirInFront: 0.05},
		Wood:   panels.Wood{Board: "MDF", Thickness: 0.018},
		Kinds:  []design.Kind{design.Sealed}, Aim: design.Low,
	}
	status := func() [3]grade.Status {
		var out [3]grade.Status
		box, err := panels.Plan(panels.Spec{Outside: outside, Wood: req.Wood, Face: "front", Driver: req.Frame})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range box.Checks {
			if c.Name == name {
				out[0] = c.Status
			}
		}
		run, err := design.Run(context.Background(), req)
		if err != nil || len(run.Designs) == 0 {
			t.Fatal(run, err)
		}
		for _, c := range run.Designs[0].Checks {
			if c.Name == name {
				out[1] = c.Status
			}
		}
		ready := req
		ready.Space, ready.Boxes = nil, []design.ReadyBox{{Name: "ready", Kind: design.Sealed, NetVolume: 0.03, Hole: design.Hole{Opening: 0.238, Depth: 0.2}}}
		judged, err := design.CheckBoxes(context.Background(), ready)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range judged.Boxes[0].Checks {
			if c.Name == name {
				out[2] = c.Status
			}
		}
		return out
	}
	if got := status(); got != [3]grade.Status{grade.Pass, grade.Pass, grade.Pass} {
		t.Errorf("before: boards, design and check say %v", got)
	}
	defer grade.Change(grade.DepthBehind, func(r *grade.Rule) { r.Pass = 0.4 })()
	if got := status(); got != [3]grade.Status{grade.Marginal, grade.Marginal, grade.Marginal} {
		t.Errorf("after: boards, design and check say %v", got)
	}
}
