package panels

import (
	"math"

	"cubby/internal/plane"
)

// Flanges of tubes (common practice).
const (
	flangeEdge  = 5e-3 // of wood between a flange and a joint, another flange or the driver's frame
	flangePlay  = 0.5e-3
	flangePilot = 2.5e-3
	rebateWood  = 8e-3 // of the face that stays behind a rebate
)

// flangeHoles are the rebate for a tube's flange and the pilot holes of its screws, on the middle of the rim.
func (m *maker) flangeHoles(t tube, board float64) []Hole {
	f, c := m.Port.Flange, t.seat.Centre
	if f.Rim <= 0 {
		return nil
	}
	var holes []Hole
	if f.Rebate > 0 {
		holes = append(holes, Hole{Kind: "recess", X: c.X, Y: c.Y, Diameter: t.od + 2*f.Rim + flangePlay, Depth: f.Rebate, From: "outer"})
	}
	pilot := f.Hole
	if pilot == 0 {
		pilot = flangePilot
	}
	r := t.od/2 + f.Rim/2
	for i := range f.Screws {
		a := (float64(i) + 0.5) * 2 * math.Pi / float64(f.Screws)
		at := c.Add(plane.Point{X: r * math.Sin(a), Y: r * math.Cos(a)})
		holes = append(holes, Hole{Kind: "fixing", X: at.X, Y: at.Y, Diameter: pilot, Depth: f.Rebate + blindPilot(board-f.Rebate), Use: UseFlangeScrew, From: "outer"})
	}
	return holes
}

// checkFlange states the wood behind the rebate of a tube's flange, and that its screws find wood beside the tube.
func (m *maker) checkFlange() {
	if m.Port == nil || m.Port.Flange.Rim <= 0 || len(m.ports) == 0 {
		return
	}
	f, l := m.Port.Flange, m.wrap.length
	t := m.ports[0]
	if f.Rebate > 0 {
		left := t.face.t - f.Rebate
		note := "%s of the %s stays behind the rebate of the port's flange; %s is wanted"
		args := []any{l(left), t.face.name, l(rebateWood)}
		if left < rebateWood-rounding {
			note += "; a rebate of %s would do"
			args = append(args, l(math.Max(t.face.t-rebateWood, 0)))
		}
		m.add("wood behind the port's flange", grade(left, rebateWood, rebateWood/2), left, rebateWood, "m", note, args...)
	}
	if f.Screws > 0 {
		pilot := f.Hole
		if pilot == 0 {
			pilot = flangePilot
		}
		land := f.Rim/2 - (pilot+holeOver)/2
		m.add("wood round the flange's screws", grade(land, landLeast, landLeast/2), land, landLeast, "m",
			"%s of wood between the port's hole and the screws of its flange; %s is wanted, which a rim of %s gives", l(land), l(landLeast), l(2*landLeast+pilot+holeOver))
	}
}
