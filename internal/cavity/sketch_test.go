package cavity

import (
	"strings"
	"testing"

	"cubby/internal/unit"
)

// A box left of a hump, as a fitter sees it.
func TestSketch(t *testing.T) {
	m := settled(t, hump())
	r := Region{Axis: Across, Lo: 0.006, Hi: 0.309, Section: outline(6, 6, 306, 6, 306, 298, 6, 298)}
	got := strings.Join(m.Sketch(&r, 44, unit.Metric), "\n")
	want := `plan, back at the top: 1320.8 mm from left to right, 431.8 mm deep
+----------------------------------------+
|................aaaaaaaa................|
|................aaaaaaaa................|
|#########.......aaaaaaaa................|
|#########.......aaaaaaaa................|
|#########.......aaaaaaaa................|
|#########.......aaaaaaaa................|
|#########.......aaaaaaaa................|
+----------------------------------------+
from the front: 304.8 mm high
+----------------------------------------+
|#########...............................|
|#########...............................|
|#########...............................|
|#########...............................|
|#########.......aaaaaaaa................|
+----------------------------------------+
# box   . free   a hump`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// No line is longer than asked for, whatever the space.
func TestSketchKeepsItsWidth(t *testing.T) {
	for name := range spaces() {
		m, res := searched(t, name)
		for _, r := range res.Regions[:1] {
			for _, l := range m.Sketch(&r, 72, unit.Inch) {
				if len(l) > 72 {
					t.Errorf("%s: %d characters: %q", name, len(l), l)
				}
			}
		}
	}
}
