package panels

import (
	"math"
	"testing"
)

// TestOpenedByHand holds what openings take out of a board, and what is supposed of a driver whose opening is not stated, against sums
// done by hand.
func TestOpenedByHand(t *testing.T) {
	circle := func(d float64) float64 { return math.Pi / 4 * d * d }
	driver := Hole{Kind: HoleDriver, X: .2, Y: .1, Diameter: .1}
	recess := Hole{Kind: HoleRecess, X: .2, Y: .1, Diameter: .12, Depth: .006}
	bolt := Hole{Kind: HoleBolt, X: .3, Y: .1, Diameter: .005, Depth: .05}
	for _, c := range []struct {
		name  string
		holes []Hole
		want  float64
	}{
		{"none", nil, 0},
		{"through", []Hole{driver}, .018 * circle(.1)},
		{"deeper than the board", []Hole{bolt}, .018 * circle(.005)},
		{"a recess round the opening", []Hole{driver, recess}, .018*circle(.1) + .006*(circle(.12)-circle(.1))},
	} {
		if got := opened(c.holes, .018); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %.9f m3, want %.9f", c.name, got, c.want)
		}
	}
	for _, c := range []struct {
		driver Driver
		want   float64
		stated bool
	}{{Driver{Cutout: .23, Frame: .26}, .23, true}, {Driver{Frame: .25, Cone: Cone{Sd: .03}}, .23, false}, {Driver{Cone: Cone{Sd: circle(.2)}}, .2, false}, {Driver{}, 0, false}} {
		got, stated := c.driver.cutout()
		if math.Abs(got-c.want) > 1e-12 || stated != c.stated {
			t.Errorf("%+v: %.6f m, %v; want %.6f, %v", c.driver, got, stated, c.want, c.stated)
		}
		if open := (mount{Driver: &c.driver, count: 3}).opened(); math.Abs(open-3*circle(c.want)) > 1e-12 {
			t.Errorf("three of %+v open %.6f m2, want %.6f", c.driver, open, 3*circle(c.want))
		}
	}
	for _, c := range []struct{ stated, want float64 }{{0, .054}, {.08, .08}, {.01, .027}} {
		p := Port{Count: 1, Bore: .05, Outside: .054, ElbowRadius: c.stated}
		if got := p.elbowRadius(); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("an elbow of radius %.3f m has %.3f, want %.3f", c.stated, got, c.want)
		}
	}
}
