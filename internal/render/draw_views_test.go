package render

import (
	"math"
	"testing"

	"cubby/internal/design"
	"cubby/internal/unit"
)

// symbolOf draws the symbol and gives the middle of its circles, and of the short and the long side of its cone.
func symbolOf(t *testing.T, p design.Projection) (rings, short, long float64) {
	t.Helper()
	var c Recorder
	onPaper(&c, Rect{0, 0, 100, 60}).projectionSymbol(Pt{50, 30}, 10, p)
	var circles int
	for _, o := range c.ops {
		switch {
		case o.kind == opCircle:
			rings, circles = o.pts[0].X, circles+1
		case o.kind == opPath && o.closed:
			a, b := math.Abs(o.pts[0].Y-o.pts[1].Y), math.Abs(o.pts[2].Y-o.pts[3].Y)
			short, long = o.pts[0].X, o.pts[2].X
			if a > b {
				short, long = long, short
			}
		}
	}
	if circles != 2 {
		t.Fatalf("%d circles, want both edges of the cone", circles)
	}
	return rings, short, long
}

// Both circles are seen, so the cone is seen from its small end: in third angle that view stands beside that end, in first angle on
// the far side.
func TestProjectionSymbol(t *testing.T) {
	rings, short, long := symbolOf(t, design.ThirdAngle)
	if math.Abs(rings-short) > math.Abs(rings-long) {
		t.Errorf("third angle: circles at %.1f, small end at %.1f, large end at %.1f", rings, short, long)
	}
	rings, short, long = symbolOf(t, design.FirstAngle)
	if math.Abs(rings-short) < math.Abs(rings-long) {
		t.Errorf("first angle: circles at %.1f, small end at %.1f, large end at %.1f", rings, short, long)
	}
}

// The view from the right stands at the right of the front view in third angle and at its left in first angle; that from above stands
// above or below it. Front and plan share their width, front and right view their height.
func TestViewsStandWhereTheProjectionSays(t *testing.T) {
	z := viewSize{w: 0.9, d: 0.35, h: 0.25}
	for p, sign := range map[design.Projection]float64{design.ThirdAngle: 1, design.FirstAngle: -1} {
		v := arrangeViews(p, Rect{0, 0, 180, 120}, z, 90, 12)
		front, plan, right := v.cells[0].Centre(), v.cells[1].Centre(), v.cells[2].Centre()
		if (right.X-front.X)*sign <= 0 || right.Y != front.Y {
			t.Errorf("%s: right view at %v, front view at %v", p, right, front)
		}
		if (front.Y-plan.Y)*sign <= 0 || plan.X != front.X {
			t.Errorf("%s: plan at %v, front view at %v", p, plan, front)
		}
		if v.front.x0 != v.plan.x0 || v.front.y0 != v.right.y0 {
			t.Errorf("%s: the views are not in line", p)
		}
	}
}

func TestProjectionOfThePaper(t *testing.T) {
	r := &design.Result{Basis: design.Basis{Request: design.Request{Units: unit.Metric}}}
	for _, c := range []struct {
		paper string
		wish  design.Projection
		want  design.Projection
	}{{"letter", "", design.ThirdAngle}, {"a4", "", design.FirstAngle}, {"", "", design.FirstAngle}, {"a4", design.ThirdAngle, design.ThirdAngle}, {"letter", design.FirstAngle, design.FirstAngle}} {
		r.Request.Projection = c.wish
		if got := (Options{Paper: c.paper}).projection(r); got != c.want {
			t.Errorf("%q, wish %q: %s, want %s", c.paper, c.wish, got, c.want)
		}
	}
}
