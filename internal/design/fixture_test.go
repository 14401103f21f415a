package design

import (
	"context"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/thielesmall"
)

// wedgeRequest is an invented job: a regular 12 in driver in a wedge under a bench.
func wedgeRequest() Request {
	return Request{
		Title:  "Wedge",
		Driver: thielesmall.Spec{Name: "Test 10", Fs: 30, Qes: 0.5, Qms: 5, Vas: 0.035, Sd: 0.0345, Re: 3.4, Le: 0.0018, Xmax: 0.012, Xmech: 0.018, Power: 400, Impedance: 4},
		Frame: panels.Driver{
			Name: "Test 10", Frame: 0.266, Cutout: 0.238, Depth: 0.135, Magnet: 0.15, Displacement: 0.0017,
			Circle: 0.252, Bolts: 8, Hole: 0.0055, Vent: true, Mass: 6.5,
		},
		Amplifier: &Amplifier{Power: 400, Into: 4, Filters: []thielesmall.Filter{{Kind: thielesmall.LowPass, Type: thielesmall.Butterworth, Order: 2, Frequency: 90}}},
		Space: &Space{
			Space:   uniform(1.1, plane.Polygon{{X: 0, Y: 0}, {X: 0.36, Y: 0}, {X: 0.43, Y: 0.34}, {X: 0, Y: 0.34}}),
			Passage: &cavity.Opening{Width: 0.9, Height: 0.4},
		},
		Mount: Mount{Face: "front", AirInFront: 0.05},
		Wood:  panels.Wood{Board: "MDF", Thickness: 0.018},
		Saw:   Saw{Kerf: 0.0032, Trim: 0.005, RoundTo: 0.0005},
		Aim:   Low,
	}
}

// uniform is a space of one section over its whole width, with a gap of 8 mm.
func uniform(width float64, section plane.Polygon) *cavity.Space {
	s, err := cavity.Uniform(width, section, 0.008)
	if err != nil {
		panic(err)
	}
	return s
}

// square is a space with six square sides, with a gap of 8 mm.
func square(width, depth, height float64) *cavity.Space {
	return uniform(width, plane.Rect{Max: plane.Point{X: depth, Y: height}}.Polygon())
}

// around is a block with six square sides in a space.
func around(name string, left, width, front, depth, floor, height float64) cavity.Block {
	return cavity.BoxBlock(name, r3.Vec{X: left, Y: front, Z: floor}, r3.Vec{X: left + width, Y: front + depth, Z: floor + height})
}

func mustRun(t testing.TB, req Request) *Result {
	t.Helper()
	r, err := Run(context.Background(), req)
	if err != nil {
		t.Fatalf("Run: %v", err)
	}
	return r
}

func TestRunWedge(t *testing.T) {
	r := mustRun(t, wedgeRequest())
	for _, o := range r.Outcomes {
		t.Logf("%s: %s %s", o.Kind, o.Status, o.Reason)
	}
	for _, d := range r.Designs {
		t.Logf("%s %s score %.2f %s", d.Kind, d.VerdictText, d.Score, d.ScoreText)
		t.Logf("  %+v", d.Figures)
		if d.Port != nil {
			t.Logf("  %+v", *d.Port)
		}
		for _, c := range d.Checks {
			t.Logf("  %-26s %-10s %s [%s]", c.Name, c.Status, c.Note, c.Setting)
		}
		t.Log(d.Warnings, d.Tradeoff)
	}
	t.Log(r.Assumptions, r.SearchNotes)
}
