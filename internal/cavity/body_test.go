package cavity

import "testing"

// A solid keeps its edges, so a stepped box is judged by its own sections: its hull is larger and is not used for "cannot".
func TestBodyOfASteppedBox(t *testing.T) {
	r := Region{Axis: Across, Lo: 0, Hi: 0.8, Section: outline(0, 0, 400, 0, 400, 100, 120, 100, 120, 300, 0, 300)}
	s, err := r.Solid()
	if err != nil {
		t.Fatal(err)
	}
	b, err := BodyOf(s, 0)
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Corners) != 12 || len(b.Edges) != 18 {
		t.Fatalf("%d corners and %d edges, want 12 and 18", len(b.Corners), len(b.Edges))
	}
	o := Opening{0.36, 0.28}
	real, hull := CarryIn(b, o), CarryIn(Body{Corners: b.Corners}, o)
	if real.Slide != hull.Slide {
		t.Errorf("slides by %v, its hull by %v: want the same shadow", real.Slide, hull.Slide)
	}
	if !(real.Section > 0 && real.Section <= hull.Section+1e-6) {
		t.Errorf("sections %v, of the hull %v: want no larger", real.Section, hull.Section)
	}
	c, err := BodyOf(s, 0.004)
	if err != nil {
		t.Fatal(err)
	}
	if covered := CarryIn(c, o); !(covered.Slide > real.Slide) {
		t.Errorf("covered it slides by %v, bare by %v", covered.Slide, real.Slide)
	}
}
