package cavity

import (
	"slices"
	"strings"
	"testing"
)

// A box left of a hump, as a fitter sees it.
func TestViews(t *testing.T) {
	m := settled(t, hump())
	r := Region{Axis: Across, Lo: 0.006, Hi: 0.309, Section: outline(6, 6, 306, 6, 306, 298, 6, 298)}
	v := m.Views(&r, 44, 24)
	got := strings.Join(slices.Concat(v.Plan, v.Front, v.Legend), "\n")
	want := `+----------------------------------------+
|................aaaaaaaa................|
|................aaaaaaaa................|
|#########.......aaaaaaaa................|
|#########.......aaaaaaaa................|
|#########.......aaaaaaaa................|
|#########.......aaaaaaaa................|
|#########.......aaaaaaaa................|
+----------------------------------------+
+----------------------------------------+
|#########...............................|
|#########...............................|
|#########...............................|
|#########...............................|
|#########.......aaaaaaaa................|
+----------------------------------------+
# box
. free
a hump`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// No line is longer than asked for, whatever the space.
func TestViewsKeepTheirWidth(t *testing.T) {
	for name := range spaces() {
		m, res := searched(t, name)
		v := m.Views(&res.Regions[0], 38, 7)
		for _, l := range slices.Concat(v.Plan, v.Front) {
			if len(l) > 38 {
				t.Errorf("%s: %d characters: %q", name, len(l), l)
			}
		}
	}
}
