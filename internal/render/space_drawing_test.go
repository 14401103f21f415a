package render

import (
	"testing"

	"cubby/internal/panels"
	"cubby/internal/plane"

	"pgregory.net/rapid"
)

// What the drawing calls hidden is what the box really hides: a point is hidden if and only if a walk from it towards the eye meets the
// box, found here by sampling the walk.
func TestHiddenAgainstAWalkTowardsTheEye(t *testing.T) {
	for name, section := range map[string]plane.Polygon{"wedge": wedge(), "step": stepped()} {
		box := &panels.Box{Prism: panels.Prism{Section: section, Left: 0.1, Width: 0.5}}
		s := spaceDrawing{covers: coversOf(boxSolid(box))}
		rapid.Check(t, func(rt *rapid.T) {
			p := vec{
				rapid.Float64Range(-0.3, 0.9).Draw(rt, "across"),
				rapid.Float64Range(-0.3, 0.8).Draw(rt, "depth"),
				rapid.Float64Range(-0.3, 0.6).Draw(rt, "height")}
			const step = 0.0004 // m
			met, near := 0, p[0] > box.Left+box.Width-5*step
			for k := 1; k < 3000; k++ {
				q := p.add(toViewer.mul(step * float64(k)))
				at := plane.Point{X: q[1], Y: q[2]}
				if q[0] > box.Left && q[0] < box.Left+box.Width && section.Contains(at) {
					met++
				}
				near = near || section.Distance(at) < 5*step
			}
			if met < 5 && (met > 0 || near) { // grazes an edge, or starts under a face: sampling cannot tell
				return
			}
			if got, want := s.hidden(p), met > 0; got != want {
				rt.Fatalf("%s: hidden(%v) = %v, the walk says %v", name, p, got, want)
			}
		})
	}
}

// The visible and the hidden pieces of a line add up to the line.
func TestEdgeIsDrawnWhole(t *testing.T) {
	box := &panels.Box{Prism: panels.Prism{Section: stepped(), Left: 0.1, Width: 0.5}}
	var c Recorder
	s := spaceDrawing{c: &c, covers: coversOf(boxSolid(box)), fit: fit{scale: 100}}
	a, b := vec{-0.2, 0.5, 0.1}, vec{0.9, 0.5, 0.1}
	s.edge(a, b, spaceLine)
	from, to := s.fit.at(iso(a)), s.fit.at(iso(b))
	var dashed, solid float64
	for _, o := range c.ops {
		l := o.pts[1].X - o.pts[0].X
		if o.stroke.Dash == nil {
			solid += l
		} else {
			dashed += l
		}
	}
	if d := solid + dashed - (to.X - from.X); d > 1e-9 || d < -1e-9 {
		t.Errorf("pieces add up to %v, want %v", solid+dashed, to.X-from.X)
	}
	if solid == 0 || dashed == 0 {
		t.Errorf("a line behind the box is drawn %v mm solid and %v mm dashed, want some of both", solid, dashed)
	}
}
