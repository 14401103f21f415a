package render

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/plane"
	solids "cubby/internal/solid"
)

// prismView is a prism across as it is seen by a gaze.
func prismView(t testing.TB, look gaze, section plane.Polygon) (*standView, *solids.Solid) {
	t.Helper()
	body, err := solids.Straight(section, solids.Across, 0.1, 0.6)
	if err != nil {
		t.Fatal(err)
	}
	s := &standView{gaze: look}
	s.body(body, func(n vec) faceStyle { return faceStyle{grey: boxGrey(n), body: true} })
	return s, body
}

// A point is hidden if and only if a walk from it towards the eye meets the body, found here by sampling the walk.
func TestHiddenAgainstAWalkTowardsTheEye(t *testing.T) {
	for name, section := range map[string]plane.Polygon{"wedge": wedge(), "step": stepped()} {
		for _, side := range []float64{1, -1} {
			look := gazeFrom(side*0.5, 0.45)
			s, body := prismView(t, look, section)
			rapid.Check(t, func(rt *rapid.T) {
				p := vec{rapid.Float64Range(-0.3, 0.9).Draw(rt, "across"), rapid.Float64Range(-0.3, 0.8).Draw(rt, "depth"), rapid.Float64Range(-0.3, 0.6).Draw(rt, "height")}
				const step = 0.0006 // m
				met := 0
				for k := 1; k < 2500; k++ {
					if body.Contains(ofVec(p.add(look.eye.mul(step * float64(k))))) {
						met++
					}
				}
				if met < 6 { // grazes an edge: sampling cannot tell
					return
				}
				if body.Contains(ofVec(p)) {
					return
				}
				if !s.hides(p, false) {
					rt.Fatalf("%s: %v is seen through the body", name, p)
				}
			})
			clear := vec{0.3, 0.2, 0.9}
			if s.hides(clear, false) {
				t.Errorf("%s: a point above is hidden", name)
			}
		}
	}
}

// The visible and the hidden pieces of a line add up to the line.
func TestSceneLineIsDrawnWhole(t *testing.T) {
	s, _ := prismView(t, gazeFrom(0.5, 0.45), stepped())
	var c Recorder
	f := fit{scale: 100}
	a, b := vec{-0.2, 0.5, 0.1}, vec{0.9, 0.5, 0.1}
	s.line(&c, f, sceneLine{a, b, &spaceLine, &behindLine, false})
	from, to := f.at(s.flat(a)), f.at(s.flat(b))
	var dashed, drawn float64
	for _, o := range c.ops {
		l := math.Hypot(o.pts[1].X-o.pts[0].X, o.pts[1].Y-o.pts[0].Y)
		if o.stroke.Dash == nil {
			drawn += l
		} else {
			dashed += l
		}
	}
	if d := drawn + dashed - math.Hypot(to.X-from.X, to.Y-from.Y); math.Abs(d) > 1e-6 || dashed == 0 || drawn == 0 {
		t.Errorf("%.6f mm seen and %.6f hidden: %.9f mm too much", drawn, dashed, d)
	}
}

// A line of the space never runs across a body, even if it lies before it.
func TestSpaceLinesRunBehindBodies(t *testing.T) {
	s, _ := prismView(t, gazeFrom(0.5, 0.45), wedge())
	before := s.eye.mul(2)
	a, b := vec{0.35, 0.2, -0.5}.add(before), vec{0.35, 0.2, 0.7}.add(before)
	var c Recorder
	s.line(&c, fit{scale: 100}, sceneLine{a, b, &spaceLine, nil, true})
	if len(c.ops) != 2 {
		t.Errorf("%d pieces, want one on either side of the body", len(c.ops))
	}
}

// What is painted later lies before what it covers.
func TestFromBackPaintsNearLast(t *testing.T) {
	section := stepped()
	s, _ := prismView(t, gazeFrom(-0.5, 0.45), section)
	other, err := solids.Straight(plane.Rect{Min: plane.Point{X: -0.3, Y: 0}, Max: plane.Point{X: -0.1, Y: 0.2}}.Polygon(), solids.Across, 0, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	s.body(other, func(vec) faceStyle { return faceStyle{body: true} })
	order := s.fromBack()
	inside := func(t sceneTri, q plane.Point) bool {
		g := make([]plane.Point, len(t.at))
		for i, p := range t.at {
			g[i] = s.flat(p)
		}
		return inOutline(q, g)
	}
	depth := func(t sceneTri, q plane.Point) float64 {
		base := s.right.mul(q.X).add(s.up.mul(q.Y))
		return t.normal.dot(t.at[0].sub(base)) / t.normal.dot(s.eye)
	}
	met := 0
	for x := -0.6; x < 1.2; x += 0.031 {
		for y := -0.6; y < 1; y += 0.029 {
			q, last := plane.Point{X: x, Y: y}, math.Inf(-1)
			for _, k := range order {
				if !inside(k, q) {
					continue
				}
				met++
				if d := depth(k, q); d < last-1e-6 {
					t.Fatalf("at %v something %.4f m farther away is painted later", q, last-d)
				} else {
					last = math.Max(last, d)
				}
			}
		}
	}
	if met < 200 {
		t.Errorf("only %d points met", met)
	}
}

// The box that stands in the scene has the faces of its outside.
func TestStandingSceneHoldsBoxAndBlocks(t *testing.T) {
	r := wedgeResult(t)
	d := &r.Designs[0]
	m := modelOf(r.Request.Space)
	look, _ := bestGaze(m, d.Box)
	alone := &standView{gaze: look}
	alone.box(d.Box, false)
	all := standingScene(look, m, d.Box, false)
	if len(all.tris) <= len(alone.tris) || len(all.hatches) == 0 && len(m.Blocks) > 0 {
		t.Errorf("%d pieces with the space, %d without; %d hatched faces", len(all.tris), len(alone.tris), len(all.hatches))
	}
}
