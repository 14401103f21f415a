package cavity

import (
	"math"
	"math/rand"
	"testing"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// cuboid is a box of three sizes.
func cuboid(w, d, h float64) Body {
	var b Body
	for i := range 8 {
		b.Corners = append(b.Corners, r3.Vec{X: w * float64(i&1), Y: d * float64(i>>1&1), Z: h * float64(i>>2)})
	}
	return b
}

// sectionE2 is a wedge that the workshop's worked examples know: depth 360 at the floor, 430 at the roof, 240 high.
var sectionE2 = plane.Polygon{{}, {X: 0.36}, {X: 0.43, Y: 0.24}, {Y: 0.24}}

// prism is a section drawn out to a width.
func prism(section plane.Polygon, width float64) Body {
	var b Body
	for _, p := range section {
		b.Corners = append(b.Corners, r3.Vec{Y: p.X, Z: p.Y}, r3.Vec{X: width, Y: p.X, Z: p.Y})
	}
	return b
}

// Shadows and sections against openings: the figures of a prototype in another language, which searched 600 views.
func TestCarryTable(t *testing.T) {
	const in = 0.0254
	hopper := Body{}
	for _, l := range []struct{ s, z float64 }{{0.3, 0}, {0.5, 0.25}} {
		for _, c := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			hopper.Corners = append(hopper.Corners, r3.Vec{X: c[0] * l.s / 2, Y: c[1] * l.s / 2, Z: l.z})
		}
	}
	wedge := prism(sectionE2, 0.9)
	for _, c := range []struct {
		name           string
		body           Body
		w, h           float64
		slide, section float64
		answer         CarryAnswer
	}{
		{"38x16x8", cuboid(38*in, 16*in, 8*in), 8 * in, 6 * in, 2, 2, Cannot},
		{"38x16x8 wide", cuboid(38*in, 16*in, 8*in), 16.5 * in, 8.5 * in, 0.9697, 0, Passes},
		{"38x16x8 low", cuboid(38*in, 16*in, 8*in), 17 * in, 7.5 * in, 1.0667, 1.0667, Cannot},
		{"30x9x1", cuboid(30*in, 9*in, 1*in), 8 * in, 6 * in, 0.9944, 0, Passes},
		{"30x9.5x1", cuboid(30*in, 9.5*in, 1*in), 8 * in, 6 * in, 1.0445, 1.0445, Cannot},
		{"wedge 450x250", wedge, 0.45, 0.25, 0.96, 0, Passes},
		{"wedge 430x235", wedge, 0.43, 0.235, 1.0213, 1.0213, Cannot},
		{"wedge 400x260", wedge, 0.4, 0.26, 1.0705, 1.0705, Cannot},
		{"wedge 250x920", wedge, 0.25, 0.92, 0.96, 0, Passes},
		{"hopper", hopper, 0.4, 0.26, 1.2286, 1.2286, Cannot},
	} {
		got := CarryIn(c.body, Opening{c.w, c.h})
		if got.Answer != c.answer || got.Slide > c.slide+2e-4 || got.Slide < c.slide-2e-3 && c.slide > 1 || c.section > 0 && math.Abs(got.Section-c.section) > 2e-3 {
			t.Errorf("%s: %v, slide %.4f, section %.4f; wanted %v, %.4f, %.4f", c.name, got.Answer, got.Slide, got.Section, c.answer, c.slide, c.section)
		}
		t.Logf("%s: %v slide %.4f section %.4f run %.3f", c.name, got.Answer, got.Slide, got.Section, got.Run)
	}
}

// What passes is replayed as a straight slide in steps of 1 mm: at each step the whole of the box that is in the plane of
// the opening lies in it, with the clearance that was told.
func TestCarrySlideReplayed(t *testing.T) {
	rnd := rand.New(rand.NewSource(3))
	n := 0
	for range 60 {
		b := randomWedge(rnd)
		o := Opening{0.25 + 0.3*rnd.Float64(), 0.2 + 0.3*rnd.Float64()}
		c := CarryIn(b, o)
		if c.Answer != Passes {
			continue
		}
		n++
		up := r3.Cross(c.Along, c.Across)
		x0, x1, y0, y1 := extents(b.Corners, c.Across, up)
		lo, hi, _, _ := extents(b.Corners, c.Along, up)
		for s := lo; s < hi; s += 0.001 {
			for i := range b.Corners { // the section of the hull by the plane of the opening
				for j := range i {
					p, q := b.Corners[i], b.Corners[j]
					d, e := r3.Dot(p, c.Along)-s, r3.Dot(q, c.Along)-s
					if d*e > 0 || d == e {
						continue
					}
					m := r3.Add(p, r3.Scale(d/(d-e), r3.Sub(q, p)))
					x, y := r3.Dot(m, c.Across)-(x0+x1)/2, r3.Dot(m, up)-(y0+y1)/2
					if math.Abs(x) > (o.Width-c.Clearance[0])/2+1e-9 || math.Abs(y) > (o.Height-c.Clearance[1])/2+1e-9 {
						t.Fatalf("the slide leaves the opening by %v, %v of %v less %v", x, y, o, c.Clearance)
					}
				}
			}
		}
	}
	if n < 5 {
		t.Errorf("only %d boxes passed", n)
	}
}

// The clearances that are told are those of the whole body: none of its corners is lost where many lie in one wall.
func TestCarryClearanceOfRegions(t *testing.T) {
	_, res := searched(t, "over-arch")
	n := 0
	for i := range res.Regions[:20] {
		s, err := res.Regions[i].Solid()
		if err != nil {
			t.Fatal(err)
		}
		b, err := BodyOf(s, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range []Opening{{0.4, 0.3}, {0.5, 0.25}, {0.85, 0.45}} {
			c := CarryIn(b, o)
			if c.Answer != Passes {
				continue
			}
			n++
			x0, x1, y0, y1 := extents(b.Corners, c.Across, r3.Cross(c.Along, c.Across))
			near(t, "width", x1-x0, o.Width-c.Clearance[0], 1e-9)
			near(t, "height", y1-y0, o.Height-c.Clearance[1], 1e-9)
			near(t, "slide", math.Max((x1-x0)/o.Width, (y1-y0)/o.Height), c.Slide, 1e-9)
		}
	}
	if n < 10 {
		t.Errorf("only %d pass", n)
	}
}

func extents(ps []r3.Vec, u, v r3.Vec) (x0, x1, y0, y1 float64) {
	x0, x1, y0, y1 = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range ps {
		x, y := r3.Dot(p, u), r3.Dot(p, v)
		x0, x1, y0, y1 = math.Min(x0, x), math.Max(x1, x), math.Min(y0, y), math.Max(y1, y)
	}
	return
}

// randomWedge is a prism whose section has a sloping roof.
func randomWedge(rnd *rand.Rand) Body {
	d, h := 0.15+0.35*rnd.Float64(), 0.12+0.3*rnd.Float64()
	return prism(plane.Polygon{{}, {X: d}, {X: d, Y: h * (0.4 + 0.6*rnd.Float64())}, {Y: h}}, 0.25+0.6*rnd.Float64())
}

// A planner that shifts and turns at random never brings a box through an opening of which it is said that it cannot: it
// keeps the section of the box by the plane of the opening inside the opening while it pushes the middle forward.
func TestCarryPlanner(t *testing.T) {
	rnd := rand.New(rand.NewSource(5))
	told := 0
	for range 40 {
		b := randomWedge(rnd)
		c := CarryIn(b, Opening{0.2 + 0.2*rnd.Float64(), 0.15 + 0.2*rnd.Float64()})
		o := Opening{}
		if c.Answer != Cannot {
			continue
		}
		told++
		// the tightest opening that is still called impossible: as much larger as the section allows
		o = Opening{0.3, 0.2}
		if c = CarryIn(b, o); c.Answer != Cannot {
			continue
		}
		if planned(rnd, b, o, 1500) {
			t.Errorf("a box that cannot goes through: %v by %v, section %.4f", b.Corners, o, c.Section)
		}
	}
	if told < 5 {
		t.Errorf("only %d boxes cannot", told)
	}
	// the planner itself brings through what slides easily
	if !planned(rnd, cuboid(0.2, 0.15, 0.4), Opening{0.35, 0.3}, 6000) {
		t.Error("the planner cannot even slide a small box")
	}
}

// planned moves a body from before the plane z = 0 to behind it by random steps that keep what is in the plane in the
// opening.
func planned(rnd *rand.Rand, b Body, o Opening, steps int) bool {
	var mid r3.Vec
	for _, p := range b.Corners {
		mid = r3.Add(mid, r3.Scale(1/float64(len(b.Corners)), p))
	}
	ps := make([]r3.Vec, len(b.Corners))
	size := 0.0
	for i, p := range b.Corners {
		ps[i] = r3.Sub(p, mid)
		size = math.Max(size, r3.Norm(ps[i]))
	}
	turnBy := func(ps []r3.Vec, axis r3.Vec, a float64) []r3.Vec {
		out := make([]r3.Vec, len(ps))
		rot := r3.NewRotation(a, axis)
		for i, p := range ps {
			out[i] = rot.Rotate(p)
		}
		return out
	}
	ps = turnBy(ps, r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()}, rnd.Float64()*6)
	at := r3.Vec{Z: -size}
	free := func(ps []r3.Vec, at r3.Vec) bool {
		for i := range ps {
			for j := range i {
				d, e := ps[i].Z+at.Z, ps[j].Z+at.Z
				if d*e > 0 || d == e {
					continue
				}
				m := r3.Add(ps[i], r3.Scale(d/(d-e), r3.Sub(ps[j], ps[i])))
				if math.Abs(m.X+at.X) > o.Width/2 || math.Abs(m.Y+at.Y) > o.Height/2 {
					return false
				}
			}
		}
		return true
	}
	for range steps {
		q, a := ps, at
		step := math.Pow(10, -1-1.5*rnd.Float64())
		a = r3.Add(a, r3.Vec{X: step * rnd.NormFloat64() / 4, Y: step * rnd.NormFloat64() / 4, Z: step * (0.4*rnd.Float64() - 0.1)})
		q = turnBy(q, r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()}, step*rnd.NormFloat64())
		if free(q, a) {
			ps, at = q, a
		}
		if at.Z > size {
			return true
		}
	}
	return false
}

func BenchmarkCarry(b *testing.B) {
	w := prism(sectionE2, 0.9)
	for b.Loop() {
		CarryIn(w, Opening{0.4, 0.26})
	}
}
