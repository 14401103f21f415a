package panels

import (
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/plane"
	"pgregory.net/rapid"
)

// boxesPerCheck makes thousands of boxes of rapid's usual hundred checks.
const boxesPerCheck = 20

// eachBox runs a check on thousands of random numbers' streams; rapid prints the seed of one that fails.
func eachBox(t *testing.T, check func(t *rapid.T, r *rand.Rand)) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		for k := range uint64(boxesPerCheck) {
			check(t, rand.New(rand.NewPCG(seed, k)))
		}
	})
}

// randomSection draws a simple, counter-clockwise section of 3 to 12 corners, about half a metre wide, convex or not.
func randomSection(r *rand.Rand) plane.Polygon {
	for {
		n := 3 + r.IntN(10)
		g := make(plane.Polygon, 0, n)
		start := r.Float64()
		for i := range n {
			a := 2 * math.Pi * (float64(i) + 0.9*r.Float64() + start) / float64(n)
			g = append(g, plane.Point{X: 0.3, Y: 0.3}.Add(plane.Point{X: 0.12 + 0.25*r.Float64()}.Rotate(a)))
		}
		if r.IntN(3) == 0 {
			g = steps(r, 1+r.IntN(4))
		}
		if g = g.CCW().Clean(cleanNear, cleanTurn); g.Validate() == nil {
			return g
		}
	}
}

// steps draws a staircase section.
func steps(r *rand.Rand, n int) plane.Polygon {
	width := 0.15 + 0.1*r.Float64()
	height := 0.0
	for range n {
		height += 0.08 + 0.1*r.Float64()
	}
	x, y := width, height
	g := plane.Polygon{{X: 0, Y: y}, {X: 0, Y: 0}}
	var up plane.Polygon
	up = append(up, plane.Point{X: x, Y: y})
	for range n - 1 {
		y -= 0.06 + 0.02*r.Float64()
		up = append(up, plane.Point{X: x, Y: y})
		x += 0.06 + 0.1*r.Float64()
		up = append(up, plane.Point{X: x, Y: y})
	}
	g = append(g, plane.Point{X: x, Y: 0})
	for i := len(up) - 1; i >= 0; i-- {
		g = append(g, up[i])
	}
	return g
}

// randomSpec draws a box with unlike boards, joints chosen corner by corner, and any style of ends.
func randomSpec(r *rand.Rand) Spec {
	s := Spec{Section: randomSection(r), Left: r.Float64() - 0.5, Width: 0.3 + 0.9*r.Float64(), Terminal: r.IntN(2) == 0}
	names := Names(s.Section)
	s.Wood = Wood{Board: []string{"MDF", "birch plywood", "what is left"}[r.IntN(3)], Thickness: 0.009 + 0.016*r.Float64(),
		Joints: Joint(r.IntN(3)), Ends: EndStyle(r.IntN(3)), Panels: map[string]float64{}, FrontLayers: r.IntN(3), LayerInside: r.IntN(2) == 0}
	for i, n := range names {
		if r.IntN(3) == 0 {
			s.Wood.Panels[n] = 0.009 + 0.016*r.Float64()
		}
		if r.IntN(3) == 0 {
			between := [2]string{n, names[(i+1)%len(names)]}
			s.Corners = append(s.Corners, CornerWish{Between: between, Joint: Joint(r.IntN(3)), Through: between[r.IntN(2)]})
		}
	}
	faces := append([]string{"front", "back", "top", "bottom", "left", "right"}, names...)
	s.Face = faces[r.IntN(len(faces))]
	return s
}

// equip puts a driver and perhaps a port and braces in.
func equip(r *rand.Rand, s Spec) Spec {
	frame := 0.08 + 0.15*r.Float64()
	s.Driver = Driver{Frame: frame, Cutout: 0.9 * frame, Depth: 0.3 * frame * (1 + r.Float64()), Magnet: 0.5 * frame, Displacement: 0.3 * frame * frame * frame,
		Circle: 0.95 * frame, Bolts: 3 + r.IntN(8), Hole: 0.004, Vent: r.IntN(2) == 0}
	s.Count = 1 + r.IntN(3)
	if r.IntN(3) > 0 {
		s.Port = &Port{Count: 1 + r.IntN(4), Bore: 0.03 + 0.04*r.Float64(), Length: 0.05 + 0.4*r.Float64(), Elbow: r.IntN(2) == 0}
		if r.IntN(3) == 0 {
			s.Port = &Port{Height: 0.02 + 0.02*r.Float64(), Length: 0.05 + 0.4*r.Float64()}
			if r.IntN(2) == 0 {
				s.Port.Width = 0.1 + 0.1*r.Float64()
			}
		}
	}
	if r.IntN(2) == 0 {
		s.Brace.Lowest = 100 + 200*r.Float64()
	}
	return fitOut(r, s)
}

// fitOut draws hardware: recess and chamfer, a terminal plate, a flange on the tubes, fixing points to the vehicle.
func fitOut(r *rand.Rand, s Spec) Spec {
	some := func(v float64) float64 { return v * float64(r.IntN(2)) }
	s.Mounting.Recess, s.Mounting.Chamfer = some(0.004*r.Float64()), some(0.003*r.Float64())
	if r.IntN(2) == 0 {
		s.Plate = &Plate{Face: []string{"", "left", "back", "top"}[r.IntN(4)], Depth: 0.02 + 0.06*r.Float64()}
		if r.IntN(3) == 0 {
			s.Plate.Diameter, s.Plate.Screws = 0.05+0.05*r.Float64(), 3+r.IntN(4)
		}
	}
	if s.Port != nil && s.Port.Bore > 0 && r.IntN(2) == 0 {
		s.Port.Flange = Flange{Rim: 0.01 + 0.015*r.Float64(), Rebate: some(0.004), Screws: 3 + r.IntN(5)}
	}
	for range r.IntN(3) {
		at := func() *float64 { v := 0.4 * r.Float64(); return &v }
		p := FixingPoint{Face: []string{"bottom", "back", "left", "right", "top"}[r.IntN(5)], Left: at(), Front: at(), Bottom: at()}
		if p.Kind = FixingInsert; r.IntN(2) == 0 {
			p.Left, p.Right, p.Kind = nil, at(), FixingBracket
		}
		s.Fixings = append(s.Fixings, p)
	}
	return s
}

// loosen makes the driver's face removable.
func loosen(s Spec) Spec {
	s.Mounting.Removable = true
	return s
}
