package render

import (
	"fmt"
	"math"
	"testing"

	"cubby/internal/panels"
	"cubby/internal/unit"
	"cubby/internal/work"
)

// The raised field of a rabbeted end lies as far inside each side as the rabbet is wide there, and is drawn dashed.
func TestRaisedFieldIsDrawn(t *testing.T) {
	var steps []panels.RabbetStep
	for k, w := range []float64{0.01, 0.02, 0.03, 0.04} {
		steps = append(steps, panels.RabbetStep{Edge: k, Width: w, Depth: 0.006})
	}
	p := panels.Panel{Label: panels.Label{Role: panels.End}, Size: panels.Size{Length: 0.4, Width: 0.3}, Shape: panels.Shape{Outline: rectOutline(0.4, 0.3)}, Rabbets: steps}
	lo, hi := bounds(raisedField(p))
	for _, pair := range [][2]float64{{lo.X, 0.04}, {lo.Y, 0.01}, {hi.X, 0.38}, {hi.Y, 0.27}} {
		if math.Abs(pair[0]-pair[1]) > 1e-12 {
			t.Errorf("the field goes from %v to %v", lo, hi)
		}
	}
	for _, c := range shopCases() {
		if c.name == "rabbeted" {
			b := shopBook(t, shopResult(t, c), "a4")
			if n := dashedPaths(b, "Panels and ends", 4); n < 2 {
				t.Errorf("%d dashed outlines on the ends, want one each", n)
			}
			if n := dashedPaths(b, "Panels and ends", 2); n < 2 {
				t.Errorf("%d dashed lines on the walls, want one for each rabbet", n)
			}
		}
	}
}

// dashedPaths counts the dashed outlines with a number of corners on the pages of a title.
func dashedPaths(b *book, title string, corners int) int {
	n := 0
	for _, s := range b.sheets {
		for _, o := range s.ops {
			if s.Title == title && o.kind == opPath && o.stroke != nil && len(o.stroke.Dash) == 2 && o.stroke.Width == thin && len(o.pts) == corners {
				n++
			}
		}
	}
	return n
}

// The sides of a notch are measured along the drawing; the other sides of a brace are named after what they meet.
func TestSidesOfANotchAreMeasured(t *testing.T) {
	p := panels.Panel{Label: panels.Label{Role: panels.Window}, Size: panels.Size{Length: 0.43, Width: 0.3}, Shape: panels.Shape{Outline: mmSection(0, 0, 150, 0, 150, 62, 231, 62, 231, 0, 400, 0, 430, 300, 0, 300)}}
	for i, meets := range []string{"bottom", "", "", "", "bottom", "back", "top", "front"} {
		p.Edges = append(p.Edges, panels.Edge{Edge: fmt.Sprintf("e%d", i), Meets: meets})
	}
	var c Recorder
	s := &shop{m: newMeasure(unit.Metric, 0), box: &panels.Box{}, plan: &work.Plan{}}
	if crowded := s.drawFace(onPaper(&c, Rect{0, 0, 120, 80}), s.faceOf(p), view{133, 20, 60}); len(crowded) > 0 {
		t.Errorf("no room for %v", crowded)
	}
	got := map[string]int{}
	for _, o := range c.ops {
		got[o.text]++
	}
	for text, want := range map[string]int{"81.0": 1, "62.0": 2, "to BOTTOM": 2, "to BACK": 1} {
		if got[text] != want {
			t.Errorf("%q stands %d times, want %d", text, got[text], want)
		}
	}
}
