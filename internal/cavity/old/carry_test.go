package cavity

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// A wedge and a plain rectangle. The scales are those of a dense scan of the turning angle (TestCarryInAgainstScan does
// the same on random boxes), good to 0.0001, the turns to 0.01 degrees.
func TestCarryInByScan(t *testing.T) {
	wedge := poly(0, 0, 0.36, 0, 0.43, 0.24, 0, 0.24)
	for _, c := range []struct {
		section  plane.Polygon
		width    float64
		opening  Opening
		answer   CarryAnswer
		attitude string
		scale    float64
		turn     float64 // degrees
	}{
		{wedge, 0.9, Opening{0.450, 0.250}, Passes, "end first", 0.9600, 0},
		{wedge, 0.9, Opening{0.430, 0.235}, OnlyTilting, "end first", 1.0213, 0},
		{wedge, 0.9, Opening{0.400, 0.260}, OnlyTilting, "end first", 1.0705, 174.75},
		{wedge, 0.9, Opening{0.250, 0.920}, Passes, "end first", 0.9600, 90},
		{wedge, 0.4, Opening{0.250, 0.420}, Passes, "broadside", 0.9600, 90},
		{poly(0, 0, 0.6, 0, 0.6, 0.1, 0, 0.1), 2, Opening{0.560, 0.400}, OnlyTilting, "end first", 1.0042, 31.87},
		{wedge, 0.9, Opening{0.200, 0.100}, Cannot, "end first", 2.4, 0},
	} {
		got := CarryIn(c.section, c.width, c.opening, unit.Metric)
		if got.Answer != c.answer || got.Attitude != c.attitude || math.Abs(got.Scale-c.scale) > 6e-5 ||
			math.Abs(got.Turn*180/math.Pi-c.turn) > 6e-3 {
			t.Errorf("%v wide %v through %v: got %+v (turn %.3f), want %v %s %v at %v",
				c.section, c.width, c.opening, got, got.Turn*180/math.Pi, c.answer, c.attitude, c.scale, c.turn)
		}
	}
}

func TestCarryInText(t *testing.T) {
	got := CarryIn(poly(0, 0, 0.36, 0, 0.43, 0.24, 0, 0.24), 0.9, WithHandRoom(Opening{0.460, 0.260}), unit.Metric)
	want := "goes through end first, either end leading, standing as it stands in the space; " +
		"20.0 mm to spare across the opening and 10.0 mm up and down; " +
		"it needs a straight run of 900.0 mm before the opening and as much behind it"
	if got.Text != want {
		t.Errorf("got  %s\nwant %s", got.Text, want)
	}
	step := CarryIn(poly(0, 0, 0.42, 0, 0.42, 0.17, 0.29, 0.17, 0.29, 0.3, 0, 0.3), 0.9, Opening{0.35, 0.25}, unit.Metric)
	if step.Answer != OnlyTilting || !strings.Contains(step.Text, "threaded") {
		t.Errorf("step: %+v", step)
	}
	if c := CarryIn(nil, 1, Opening{1, 1}, unit.Metric); c.Answer != NotChecked || c.Text == "" {
		t.Errorf("no box: %+v", c)
	}
	if got, want := (Opening{0.5, 0.3}).Covered(0.004), (Opening{0.492, 0.292}); math.Abs(got.Width-want.Width)+math.Abs(got.Height-want.Height) > 1e-12 {
		t.Errorf("covered: %v, want %v", got, want)
	}
}

// The exact answer must be as good as every sampled turn, and be reached by one of them.
func TestCarryInAgainstScan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), rapid.Uint64().Draw(t, "second seed")))
		g, width := randomSection(r).CCW(), 0.1+0.5*r.Float64()
		o := Opening{0.1 + 0.6*r.Float64(), 0.1 + 0.6*r.Float64()}
		got := CarryIn(g, width, o, unit.Metric)
		scan := func(h plane.Polygon) float64 {
			best := math.Inf(1)
			const steps = 3000
			for k := range steps {
				s, c := math.Sincos(math.Pi * float64(k) / steps)
				u, v := plane.Point{X: c, Y: s}, plane.Point{X: -s, Y: c}
				best = math.Min(best, math.Max(extent(h, u)/o.Width, extent(h, v)/o.Height))
			}
			return best
		}
		thin := math.Inf(1)
		hull := g.ConvexHull()
		for k := range 3000 {
			s, c := math.Sincos(math.Pi * float64(k) / 3000)
			thin = math.Min(thin, extent(hull, plane.Point{X: c, Y: s}))
		}
		want := math.Min(scan(hull), scan(poly(0, 0, width, 0, width, thin, 0, thin)))
		if got.Scale > want+1e-12 || got.Scale < want*(1-5e-3) {
			t.Fatalf("%v wide %v through %v: scale %v, scan %v", g, width, o, got.Scale, want)
		}
		if (got.Answer == Passes) != (got.Clearance[0] >= -1e-9 && got.Clearance[1] >= -1e-9) {
			t.Fatalf("%+v: answer and clearance disagree", got)
		}
	})
}
