package render

import (
	"errors"
	"math"
	"testing"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
	solids "cubby/internal/solid"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// Whatever box is built, part B lays out with nothing overlapping, nothing off the page, nothing struck through and no type too small.
func TestShopPagesOfRandomBoxes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := randomCase(rt)
		if _, err := panels.Build(c.spec); err != nil {
			var why *panels.BuildError
			if !errors.As(err, &why) {
				rt.Fatalf("refused without a reason: %v", err)
			}
			return
		}
		r := shopResult(t, c)
		r.Request.Title = rapid.StringOfN(rapid.RuneFrom([]rune("Wide van aMÜ–Ω")), 0, 100, -1).Draw(rt, "title")
		r.Request.Revision = rapid.StringOfN(rapid.RuneFrom([]rune("rev M2")), 0, 30, -1).Draw(rt, "revision")
		r.Request.Contact = rapid.StringOfN(rapid.RuneFrom([]rune("who M@")), 0, 80, -1).Draw(rt, "contact")
		r.Request.Projection = rapid.SampledFrom([]design.Projection{"", design.ThirdAngle, design.FirstAngle}).Draw(rt, "projection")
		b := shopBook(t, r, rapid.SampledFrom([]string{"letter", "a4"}).Draw(rt, "paper"))
		for _, f := range faultsOf(b) {
			rt.Error(f)
		}
	})
}

// randomCase draws a box: tiny to huge, 3 to 12 corners, any axis, joints and ends, one or two drivers, tube, slot or sealed, with a
// pocket, flush panels or a removable face.
func randomCase(rt *rapid.T) shopCase {
	span := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(rt, name) }
	size := math.Exp(span("size", math.Log(0.12), math.Log(1.3)))
	board := math.Min(math.Max(size/20, 0.006), 0.025)
	wood := panels.Wood{Board: rapid.SampledFrom([]string{"MDF", "birch plywood"}).Draw(rt, "board"), Thickness: board, FrontLayers: rapid.IntRange(1, 2).Draw(rt, "layers"),
		LayerInside: rapid.Bool().Draw(rt, "inside"), Joints: panels.Joint(rapid.IntRange(0, 2).Draw(rt, "joints")), Ends: panels.EndStyle(rapid.IntRange(0, 2).Draw(rt, "ends"))}
	section := randomOutline(rt, size)
	if wood.Ends != panels.EndsInside && rapid.Bool().Draw(rt, "flush") {
		wood.Flush = 0.001
	}
	axis := solids.Axis(rapid.IntRange(0, 2).Draw(rt, "axis"))
	outside, err := solids.Straight(section.CCW().Clean(1e-5, 0.5*math.Pi/180), axis, 0, size*span("width", 0.6, 2))
	if err != nil {
		rt.Skip(err)
	}
	if rapid.IntRange(0, 3).Draw(rt, "pocket") == 0 {
		outside = pocketIn(rt, outside)
	}
	c := shopCase{name: "random", units: rapid.SampledFrom([]unit.System{unit.Metric, unit.Inch}).Draw(rt, "units"),
		spec: panels.Spec{Outside: outside, Axis: axis, Wood: wood, Count: rapid.IntRange(1, 2).Draw(rt, "count"), Face: rapid.SampledFrom([]string{"front", "top", "back", "left", "right"}).Draw(rt, "face"), Driver: someDriver(size * span("driver", 0.2, 0.6)), Hardware: panels.Hardware{Terminal: rapid.Bool().Draw(rt, "terminal")}}}
	switch port := rapid.IntRange(0, 3).Draw(rt, "port"); {
	case port == 1:
		c.spec.Port = &panels.Port{Height: math.Max(0.02, size*span("slot", 0.05, 0.1)), Length: size * span("long", 0.3, 1.2)}
		if rapid.Bool().Draw(rt, "narrow") {
			c.spec.Port.Width = size * 0.3
		}
	case port >= 2:
		bore := size * span("bore", 0.06, 0.15)
		c.spec.Port = &panels.Port{Count: 1, Bore: bore, Outside: bore + 0.004, Length: size * span("length", 0.15, 0.5), Elbows: rapid.IntRange(0, 2).Draw(rt, "elbow")}
	}
	c.spec.Mounting.Removable = rapid.IntRange(0, 5).Draw(rt, "removable") == 0
	if rapid.Bool().Draw(rt, "braced") {
		c.spec.Brace = panels.BraceRule{Lowest: 300}
	}
	return c
}

// pocketIn takes a block out of a corner of an outside, where that leaves a body.
func pocketIn(rt *rapid.T, s *solids.Solid) *solids.Solid {
	lo, hi := s.Bounds()
	share := func(name string) float64 { return rapid.Float64Range(0.2, 0.5).Draw(rt, name) }
	b := solids.Box{Name: "post", Min: lo, Max: r3.Add(lo, r3.Vec{X: share("px") * (hi.X - lo.X), Y: share("py") * (hi.Y - lo.Y), Z: share("pz") * (hi.Z - lo.Z)})}
	b.Min = r3.Sub(b.Min, r3.Vec{X: 1, Y: 1, Z: 1})
	if rapid.Bool().Draw(rt, "far") {
		b.Min.X, b.Max.X = hi.X-share("fx")*(hi.X-lo.X), hi.X+1
	}
	if with, err := s.Pocket(b); err == nil {
		return with
	}
	return s
}

// randomOutline draws a section about as large as size: a rectangle, a wedge, a step, or a polygon of up to 12 corners.
func randomOutline(rt *rapid.T, size float64) plane.Polygon {
	share := func(name string) float64 { return rapid.Float64Range(0.35, 1).Draw(rt, name) }
	w, h := size*share("depth"), size*share("height")
	switch rapid.IntRange(0, 3).Draw(rt, "shape") {
	case 0:
		return plane.Polygon{{}, {X: w}, {X: w, Y: h}, {Y: h}}
	case 1:
		return plane.Polygon{{}, {X: w}, {X: w * share("top"), Y: h}, {Y: h * share("left")}}
	case 2:
		x, y := w*share("x"), h*share("y")
		return plane.Polygon{{}, {X: w}, {X: w, Y: y}, {X: x, Y: y}, {X: x, Y: h}, {Y: h}}
	}
	n := rapid.IntRange(3, 12).Draw(rt, "corners")
	var g plane.Polygon
	for i := range n {
		a := 2 * math.Pi * (float64(i) + 0.6*rapid.Float64Range(0, 1).Draw(rt, "turn")) / float64(n)
		g = append(g, plane.Point{X: size / 2, Y: size / 2}.Add(plane.Point{X: size / 2 * share("reach")}.Rotate(a)))
	}
	return g
}
