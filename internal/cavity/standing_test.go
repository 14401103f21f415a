package cavity

import "testing"

// What carries a box over a tunnel, and where it wants legs: 900 mm wide, the tunnel 400 to 500, 100 high.
func TestStanding(t *testing.T) {
	roof := line(0, 400, 300, 400)
	m := settled(t, &Space{Gap: 6 * mm, Stations: []Station{at(0, roof, nil), at(900, roof, nil)},
		Blocks: []Block{box("tunnel", 400, 100, -1000, 3000, -1000, 1100)}})
	for _, c := range []struct {
		name    string
		section []float64 // across and height, over 6 to 294 of the depth
		on      Support
		legs    [2]float64 // mm
	}{
		{"on the floor", []float64{6, 6, 300, 6, 300, 300, 6, 300}, OnFloor, [2]float64{0, 0}},
		{"upon the tunnel", []float64{402, 106, 498, 106, 498, 300, 402, 300}, OnBlock, [2]float64{0, 0}},
		{"its middle over the tunnel", []float64{300, 106, 600, 106, 600, 300, 300, 300}, OnBlock, [2]float64{0, 0}},
		{"its middle beside the tunnel", []float64{430, 106, 894, 106, 894, 300, 430, 300}, OnBlock, [2]float64{106, 106}},
		{"astride the tunnel", []float64{6, 6, 394, 130, 506, 130, 894, 6, 894, 300, 6, 300}, OnStep, [2]float64{0, 0}},
		{"one foot beside the tunnel", []float64{340, 40, 390, 130, 510, 130, 600, 6, 680, 6, 680, 300, 340, 300}, OnStep, [2]float64{24, 40}},
		{"over nothing", []float64{6, 60, 300, 60, 300, 300, 6, 300}, OnStand, [2]float64{60, 60}},
	} {
		r := Region{Axis: Depth, Lo: 0.006, Hi: 0.294, Section: outline(c.section...)}
		s := m.Standing(&r)
		if l := s.Legs / mm; s.On != c.on || l < c.legs[0]-0.01 || l > c.legs[1]+0.01 {
			t.Errorf("%s: %+v, want %v on legs of %v mm", c.name, s, c.on, c.legs)
		}
	}
}
