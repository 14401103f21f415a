package panels

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"cubby/internal/plane"
)

// solidBoxes is how many random boxes go through the solid modeller, besides the wedge: a dozen in all.
const solidBoxes = 11

// The union of all placed walls, ends and cleats of a dozen boxes and two with a removable face, made by OpenSCAD from each panel's own frame and measured by
// admesh, has the volume that we state. Single-precision solids limit the agreement to about 1e-7.
func TestSolidsAgainstModeller(t *testing.T) {
	if testing.Short() {
		t.Skip("a dozen boxes through a solid modeller")
	}
	needModeller(t)
	specs := []Spec{{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: "front"}}
	r := rand.New(rand.NewPCG(5, 5))
	for len(specs) <= solidBoxes {
		s := randomSpec(r)
		s.Wood.Ends = EndStyle(len(specs) % 3)
		if len(specs)%3 == 1 { // between and over ends, a removable face, where it has square corners
			if loose := loosen(s); buildable(loose) {
				s = loose
			}
		}
		if buildable(s) {
			specs = append(specs, s)
		}
	}
	for _, s := range []Spec{loosen(carton()), loosen(Spec{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: "front"})} {
		s.Driver = Driver{}
		specs = append(specs, s)
	}
	for i, s := range specs {
		t.Run(fmt.Sprintf("box %d, %d walls", i, len(s.Section)), func(t *testing.T) {
			t.Parallel()
			b, err := Build(s)
			if err != nil {
				t.Fatal(err)
			}
			got, want := modelled(t, b), b.WallVolume*1e9
			for _, d := range b.Deductions {
				if d.Name == "cleats" { // they stand in the box's air
					want += d.Volume * 1e9
				}
			}
			if math.Abs(got/want-1) > 1e-6 {
				t.Errorf("modelled %.1f mm3, stated %.1f, relative %.2g", got, want, got/want-1)
			}
		})
	}
}

func buildable(s Spec) bool {
	_, err := Build(s)
	return err == nil
}

// modelled is the volume of the union of walls, ends and cleats in mm3.
func modelled(t *testing.T, b *Box) float64 {
	var src strings.Builder
	for _, p := range b.Panels {
		switch p.Role {
		case Wall:
			src.WriteString(placed(p.Place, p.Length, wallProfile(p)))
		case End:
			src.WriteString(endSolid(b, p))
		case Cleat:
			places := p.Places
			if p.Count == 1 {
				places = []Frame{p.Place}
			}
			for _, f := range places {
				q := p
				q.Place = f
				src.WriteString(endSolid(b, q))
			}
		}
	}
	return measured(t, b, src.String())
}

// measured is the volume of the union of solids in mm3.
func measured(t *testing.T, b *Box, solids string) float64 {
	size := b.Section.Bounds() // about its middle, where single precision is finest
	src := fmt.Sprintf("translate([%.9f,%.9f,%.9f]) union() {\n",
		-1000*(b.Left+b.Width/2), -500*(size.Min.X+size.Max.X), -500*(size.Min.Y+size.Max.Y)) + solids + "}\n"
	dir := t.TempDir()
	scad, stl := filepath.Join(dir, "box.scad"), filepath.Join(dir, "box.stl")
	if err := os.WriteFile(scad, []byte(src), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("openscad", "--export-format", "binstl", "-o", stl, scad).CombinedOutput(); err != nil {
		t.Fatalf("openscad: %v\n%s\n%s", err, out, src)
	}
	// without its repairs: where two boards touch along planes that agree only to the last place, single precision leaves
	// facets of no area, which a repair takes for damage; the volume is the signed sum over the facets either way
	out, err := exec.Command("admesh", "--no-check", stl).CombinedOutput()
	if err != nil {
		t.Fatalf("admesh: %v\n%s", err, out)
	}
	found := regexp.MustCompile(`Volume\s*:\s*([-+0-9.eE]+)`).FindSubmatch(out)
	if found == nil {
		t.Fatalf("admesh states no volume:\n%s", out)
	}
	v, err := strconv.ParseFloat(string(found[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// wallProfile is a wall's section in its own frame: (y, depth out of the face).
func wallProfile(p Panel) plane.Polygon {
	o := plane.Point{X: p.Place.Origin[1], Y: p.Place.Origin[2]}
	y := plane.Point{X: p.Place.Y[1], Y: p.Place.Y[2]}
	out := p.Place.Out()
	z := plane.Point{X: out[1], Y: out[2]}
	g := make(plane.Polygon, len(p.Section))
	for i, q := range p.Section {
		g[i] = plane.Point{X: q.Sub(o).Dot(y), Y: q.Sub(o).Dot(z)}
	}
	return g
}

// placed extrudes a (y, z) profile along the panel's x by its length, and puts it into the space by the panel's frame.
func placed(f Frame, length float64, profile plane.Polygon) string {
	out := f.Out()
	// columns: the profile's x is the panel's y, its y the panel's z, the extrusion the panel's x
	return matrix(f.Origin, f.Y, out, f.X) + fmt.Sprintf("linear_extrude(%.9f) polygon(%s);\n", length*1000, points(profile))
}

func endSolid(b *Box, p Panel) string {
	out := p.Place.Out()
	plate := func(z0, z1 float64, g plane.Polygon) string {
		var at [3]float64
		for i := range at {
			at[i] = p.Place.Origin[i] + z0*out[i]
		}
		return matrix(at, p.Place.X, p.Place.Y, out) + fmt.Sprintf("linear_extrude(%.9f) polygon(%s);\n", (z1-z0)*1000, points(g))
	}
	if p.Rabbet == nil {
		return plate(-p.Thickness, 0, p.Outline)
	}
	// the raised field lies where every side of the outline, moved in by the width of its step, leaves it
	field := make(plane.Polygon, len(p.Outline))
	n := len(p.Outline)
	for k := range p.Outline {
		side := func(k int) plane.Line {
			a, c := p.Outline.Edge(k)
			return plane.LineThrough(a, c).Offset(p.Rabbet.Widths[k])
		}
		field[k], _ = side((k + n - 1) % n).Meet(side(k))
	}
	depth := p.Rabbet.Depth
	return plate(-(p.Thickness-depth), 0, p.Outline) + plate(-p.Thickness, -(p.Thickness-depth), field)
}

func matrix(origin, x, y, z [3]float64) string {
	var rows []string
	for i := range origin {
		rows = append(rows, fmt.Sprintf("[%.15g,%.15g,%.15g,%.9f]", x[i], y[i], z[i], origin[i]*1000))
	}
	return "multmatrix([" + strings.Join(rows, ",") + ",[0,0,0,1]]) "
}

func points(g plane.Polygon) string {
	var s []string
	for _, p := range g {
		s = append(s, fmt.Sprintf("[%.9f,%.9f]", p.X*1000, p.Y*1000))
	}
	return "[" + strings.Join(s, ",") + "]"
}
