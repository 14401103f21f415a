package panels

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"

	"cubby/internal/plane"
)

// needModeller skips a test where the solid modeller is not installed, and fails it where it must be.
func needModeller(t *testing.T) {
	t.Helper()
	for _, tool := range []string{"openscad", "admesh"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("CI") == "true" {
				t.Fatalf("%s is needed: %v", tool, err)
			}
			t.Skipf("%s is not installed", tool)
		}
	}
}

// The boards of slots, bent and from an end, and braces of both kinds: the union of what stands in the box, each piece put
// there by its own frame, has the volume that the pieces have together, so that none runs into another.
func TestInnerPartsAgainstModeller(t *testing.T) {
	if testing.Short() {
		t.Skip("through a solid modeller")
	}
	needModeller(t)
	driver := Driver{Frame: 0.16, Cutout: 0.14, Magnet: 0.08, Depth: 0.07}
	for _, x := range []struct {
		name string
		spec Spec
	}{
		{"bent over a sloping wall, with fins", Spec{Section: mm(wedge...), Width: 0.9, Port: &Port{Height: 0.03, Length: 0.46}}},
		{"bent and narrow", Spec{Section: mm(0, 0, 400, 0, 400, 300, 0, 300), Width: 0.9, Port: &Port{Height: 0.03, Width: 0.26, Length: 0.5}}},
		{"from an end, beside a sloping wall", Spec{Section: mm(wedge...), Width: 0.9, Port: &Port{Height: 0.03, Width: 0.2, Length: 0.5, Face: "left"}}},
		{"windows and strips", Spec{Section: mm(0, 0, 500, 0, 500, 400, 0, 400), Width: 0.9, Brace: BraceRule{Lowest: 300}}},
		{"strips alone", Spec{Section: mm(0, 0, 400, 0, 400, 160, 0, 160), Width: 0.7, Brace: BraceRule{Lowest: 400}}},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			s := x.spec
			s.Wood, s.Face, s.Driver = board(15), "top", driver
			b, err := Build(s)
			if err != nil {
				t.Fatal(err)
			}
			solids, want := innerSolids(b)
			if want == 0 {
				t.Fatal("nothing stands in the box")
			}
			if got := measured(t, b, solids); math.Abs(got/want-1) > 1e-6 {
				t.Errorf("modelled %.1f mm3, stated %.1f, relative %.2g", got, want, got/want-1)
			}
		})
	}
}

// innerSolids gives the parts of slots and the braces for the modeller, and their volume in mm3, openings left alone.
func innerSolids(b *Box) (solids string, volume float64) {
	var src strings.Builder
	for _, p := range b.Panels {
		if p.Role != PortPart && p.Role != Brace {
			continue
		}
		volume += p.Volume * float64(p.Count) * 1e9
		places := p.Places
		if places == nil {
			places = []Frame{p.Place}
		}
		for _, f := range places {
			if p.Role == Brace || f.X[0] == 0 {
				src.WriteString(slab(f, p.Thickness, p.Outline))
			} else {
				src.WriteString(placed(f, p.Length, wholeProfile(p)))
			}
		}
	}
	return src.String(), volume
}

// slab extrudes an outline into its face by a thickness, and puts it into the space by the panel's frame.
func slab(f Frame, t float64, g plane.Polygon) string {
	out := f.Out()
	at := f.At(0, 0, -t)
	return matrix(at, f.X, f.Y, out) + fmt.Sprintf("linear_extrude(%.9f) polygon(%s);\n", t*1000, points(g))
}
