package design

import (
	"math"
	"testing"

	"cubby/internal/panels"
)

// TestJetBesideSpeed holds that the port's air speed is told with where it is greatest and its share of the speed at which a
// jet begins to leave a sharp mouth, 1.58 f D, of a slot
// 9.87 f h.
func TestJetBesideSpeed(t *testing.T) {
	req := wedgeRequest()
	req.Kinds = []Kind{Vented}
	seen := 0
	for _, d := range mustRun(t, req).Designs {
		p := d.Port
		onset := 9.87 * p.SpeedAt * p.Height
		if p.Bore > 0 {
			onset = 1.58 * p.SpeedAt * p.Bore
		}
		if math.Abs(p.OverOnset*onset/p.SpeedAtLimit-1) > 1e-9 {
			t.Errorf("%.3f times the onset, %.3f expected", p.OverOnset, p.SpeedAtLimit/onset)
		}
		at := d.Circuit.At(p.SpeedAt, 1).PortSpeed
		for f := 20.0; f < 100; f++ {
			if v := d.Circuit.At(f, 1).PortSpeed; v > 1.001*at {
				t.Errorf("faster at %.0f Hz than at %.1f Hz", f, p.SpeedAt)
			}
		}
		seen++
	}
	if seen == 0 {
		t.Error("no vented design")
	}
}

// TestSagOfACone holds that a cone that lies flat is judged by g/(2 pi fs)^2 over its Xmax, with care from 5 %: 0.276 mm at
// 30 Hz is 4.6 % of 6 mm and 5.5 % of 5 mm. An upright one is not judged.
func TestSagOfACone(t *testing.T) {
	row := func(face string, xmax float64) *Check {
		req := wedgeRequest()
		req.Kinds, req.Driver.Xmax, req.Mount.Face = []Kind{Sealed}, xmax, face
		for _, c := range mustRun(t, req).Designs[0].Checks {
			if c.Name == "cone sag" {
				return &c
			}
		}
		return nil
	}
	if c := row("front", 0.005); c != nil {
		t.Errorf("upright: %+v", c)
	}
	for xmax, want := range map[float64]panels.Status{0.006: panels.Pass, 0.005: panels.Marginal} {
		c := row("top", xmax)
		if sag := 9.80665 / math.Pow(2*math.Pi*30, 2); c == nil || c.Status != want || math.Abs(c.Value-sag) > 1e-9 {
			t.Errorf("facing up, Xmax %.0f mm, sag %.3f mm: %+v", xmax*1000, sag*1000, c)
		}
	}
}
