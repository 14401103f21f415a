package design

import (
	"testing"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// flatRequest is an invented job: a flat driver in a wide and very flat space, whose slots find a place only from an end.
func flatRequest() Request {
	req := wedgeRequest()
	req.Units = unit.Inch
	req.Driver = thielesmall.Spec{Name: "Flat 10", Fs: 34, Qes: 0.58, Qms: 6.1, Vas: 0.022, Sd: 0.032, Re: 3.5, Le: 0.0011, Xmax: 0.009, Power: 300, Impedance: 4}
	req.Frame = panels.Driver{
		Name: "Flat 10", Frame: 0.264, Cutout: 0.236, Depth: 0.066, Magnet: 0.138, Displacement: 0.0007, Circle: 0.252, Bolts: 8, Hole: 0.005, Mass: 4.1,
	}
	req.Amplifier.Power = 120
	req.Amplifier.Filters = append(req.Amplifier.Filters, thielesmall.Filter{Kind: thielesmall.HighPass, Type: thielesmall.Butterworth, Order: 2, Frequency: 25})
	req.Space.Width, req.Space.Gap, req.Space.Passage = 50.5*inch, inch/4, nil
	deep, high := 15.75*inch, 6.25*inch
	req.Space.Section = plane.Polygon{{X: 0, Y: 0}, {X: deep, Y: 0}, {X: deep, Y: high}, {X: 0, Y: high}}
	req.Mount = Mount{Face: "top", AirInFront: inch}
	req.Wood.Thickness = 0.74 * inch
	req.Saw = Saw{Kerf: inch / 8, Trim: inch / 4, RoundTo: inch / 32}
	return req
}

// TestShorterSlotBeforeNarrow holds that a slot too long for its width is sought shorter before it is given up: the box found
// freely serves the aim as well as one whose air and tuning were wished for.
func TestShorterSlotBeforeNarrow(t *testing.T) {
	req := flatRequest()
	free := mustRun(t, req).Designs[0]
	req.Limits.Volume, req.Limits.Tuning = [2]float64{0.0312, 0.0312}, [2]float64{30, 30}
	wished := mustRun(t, req).Designs[0]
	if free.Kind != Vented || free.Score < wished.Score-tieLevel {
		t.Errorf("a %s box that scores %.2f was found, %.2f with a wish", free.Kind, free.Score, wished.Score)
	}
}
