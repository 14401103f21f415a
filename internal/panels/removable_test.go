package panels

import (
	"errors"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cubby/internal/plane"
	"pgregory.net/rapid"
)

// Put back into the space by their places, the cleats stand inside the box, land against the inside of the removable face,
// share no wood, and close the ring: together with the opening they are the inside of the rim.
func TestCleatsCloseTheRing(t *testing.T) {
	made := 0
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		b := built(t, loosen(randomSpec(r)))
		if b == nil {
			return
		}
		made++
		face := b.panel(b.Removable.Panel)
		var ring []plane.Polygon
		wood := 0.0
		for _, p := range b.Panels {
			if p.Role != Cleat {
				continue
			}
			places := p.Places
			if p.Count == 1 {
				places = []Frame{p.Place}
			}
			if len(places) != p.Count {
				t.Fatalf("%s: %d places for %d pieces", p.Name, len(places), p.Count)
			}
			wood += float64(p.Count) * p.Volume
			for _, f := range places {
				var g plane.Polygon
				for _, q := range p.Outline {
					g = append(g, onFace(t, face, f.At(q.X, q.Y, 0)))
				}
				if math.Abs(g.Area()-p.Volume/p.Thickness) > 1e-9 {
					t.Errorf("%s is turned over or bent: %g m2 in its place, %g flat", p.Name, g.Area(), p.Volume/p.Thickness)
				}
				ring = append(ring, g)
				for _, h := range p.Holes {
					q := onFace(t, face, f.At(h.X, h.Y, 0))
					if !hasFixing(face, q) {
						t.Errorf("%s: its hole at %v meets no screw of the face", p.Name, q)
					}
				}
			}
		}
		for i, g := range ring {
			for _, h := range ring[:i] {
				if a := g.IntersectArea(h); a > 1e-12 {
					t.Errorf("two cleats share %g m2", a)
				}
			}
		}
		taken := 0.0
		for _, d := range b.Deductions {
			if d.Name == "cleats" {
				taken = d.Volume
			}
		}
		if math.Abs(taken-wood) > 1e-12 {
			t.Errorf("cleats of %g m3 are deducted as %g", wood, taken)
		}
	})
	if made == 0 {
		t.Error("no face was removable")
	}
	t.Logf("%d boxes with a removable face", made)
}

// onFace is a point of the space in the frame of the face; it lies on the face's inside.
func onFace(t *rapid.T, face *Panel, p [3]float64) plane.Point {
	var d [3]float64
	for i := range d {
		d[i] = p[i] - face.Place.Origin[i]
	}
	dot := func(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
	if z := dot(d, face.Place.Out()); math.Abs(z+face.Thickness) > 1e-9 {
		t.Errorf("a cleat's face lies %g under the removable face, which is %g thick", -z, face.Thickness)
	}
	return plane.Point{X: dot(d, face.Place.X), Y: dot(d, face.Place.Y)}
}

func hasFixing(p *Panel, q plane.Point) bool {
	for _, h := range p.Holes {
		if h.Use == UseFaceScrew && math.Hypot(h.X-q.X, h.Y-q.Y) < 1e-9 {
			return true
		}
	}
	return false
}

// A rectangle, 900 x 330 x 260 of 18 mm board with a removable front: the front covers all edges, two and two cleats of
// double board, 36 deep; screws as the rule has them.
func TestRemovableFront(t *testing.T) {
	s := Spec{Section: mm(0, 0, 330, 0, 330, 260, 0, 260), Width: 0.9, Wood: board(18), Face: "front"}
	b, err := Build(loosen(s))
	if err != nil {
		t.Fatal(err)
	}
	front := b.panel("front")
	if front.Length != 0.9 || math.Abs(front.Width-0.26) > 1e-12 {
		t.Errorf("front %g x %g: does not run through at all four sides", front.Length, front.Width)
	}
	if end := b.panel(leftEnd); math.Abs(end.Length-0.312) > 1e-12 {
		t.Errorf("the end is %g deep, want 0.312: it stops behind the front", end.Length)
	}
	// inside 864 x 224: long cleats 864-25, short ones 224-25, each 25 x 36
	want, got := 2*(0.839+0.199)*0.025*0.036, 0.0
	pieces := 0
	for _, p := range b.Panels {
		if p.Role == Cleat {
			pieces += p.Count
			got += float64(p.Count) * p.Volume
			if p.Layers != 2 || p.Count != 2 {
				t.Errorf("%s: %d layers, count %d", p.Name, p.Layers, p.Count)
			}
		}
	}
	if pieces != 4 || math.Abs(got-want) > 1e-12 {
		t.Errorf("%d cleats of %g m3, want 4 of %g", pieces, got, want)
	}
	gasket := 0.0025 * (0.864 - 0.05) * (0.224 - 0.05)
	if net := b.InsideVolume - want + gasket; math.Abs(b.NetVolume-net) > 1e-12 {
		t.Errorf("net %g, want %g: inside less cleats, and what the gasket adds", b.NetVolume, net)
	}
	if r := b.Removable; r.Spacing > 0.130+1e-9 || r.Corner > 0.080+1e-9 || r.Screws < 18 {
		t.Errorf("screws: %+v", *r)
	}
	if f := b.Finished(); math.Abs(f[1]-0.3325) > 1e-12 || f[0] != 0.9 {
		t.Errorf("finished outside %v: the gasket adds 2.5 mm in depth", f)
	}
}

// What a removable face cannot be is refused in the user's terms, with what would do.
func TestRemovableRefused(t *testing.T) {
	for _, c := range []struct {
		name string
		spec Spec
		want []string
	}{
		{"bevelled", Spec{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: "top"}, []string{"top", "back", "73.7 degrees", "the front or an end would do"}},
		{"rabbeted ends", Spec{Section: mm(0, 0, 330, 0, 330, 260, 0, 260), Width: 0.9, Wood: Wood{Thickness: 0.018, Ends: EndsRabbeted}, Face: "front"}, []string{"front", "rabbet", "ends: over"}},
		{"end inside", Spec{Section: mm(0, 0, 330, 0, 330, 260, 0, 260), Width: 0.9, Wood: Wood{Thickness: 0.018, Ends: EndsInside}, Face: "left"}, []string{"left end", "ends: over"}},
		{"no room", Spec{Section: mm(0, 0, 330, 0, 330, 80, 0, 80), Width: 0.9, Wood: board(18), Face: "front"}, []string{"front", "no room", "25.0 mm wide"}},
	} {
		_, err := Build(loosen(c.spec))
		var why *BuildError
		if !errors.As(err, &why) || why.Reason != NoLoose {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(why.Text, w) {
				t.Errorf("%s: %q does not say %q", c.name, why.Text, w)
			}
		}
	}
}

var cleatPlace = regexp.MustCompile(`along the ([^(,]+) \(reference corner towards the ([^)]+)\)`)

// Each piece of cleat lies along the wall or end that its note names, with its reference corner towards the other.
func TestCleatsSayWhereTheyGo(t *testing.T) {
	kinds := map[bool]int{}
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		m, err := plan(loosen(randomSpec(r)))
		if err != nil || m.looseFace() == nil {
			return
		}
		m.makePanels()
		kinds[m.loose >= 0]++
		for _, p := range m.box.Panels {
			if p.Role != Cleat {
				continue
			}
			places := p.Places
			if p.Count == 1 {
				places = []Frame{p.Place}
			}
			said := cleatPlace.FindAllStringSubmatch(p.Notes[0], -1)
			if len(said) != len(places) {
				t.Fatalf("%s: %q for %d pieces", p.Name, p.Notes[0], len(places))
			}
			off := func(name string, at [3]float64) float64 {
				switch j := slices.Index(m.wrap.names, name); {
				case j >= 0:
					return m.wrap.inn[j].Distance(plane.Point{X: at[1], Y: at[2]})
				case name == leftEnd:
					return at[0] - m.inLeft
				}
				return m.inRight - at[0]
			}
			a, b := p.Outline.Edge(0)
			mid := a.Add(b).Mul(0.5)
			for i, f := range places {
				if d := off(said[i][1], f.At(mid.X, mid.Y, 0)); math.Abs(d) > 1e-6 {
					t.Errorf("%s: piece %d lies %g off the %s", p.Name, i+1, d, said[i][1])
				}
				if math.Abs(off(said[i][2], f.At(a.X, a.Y, 0))) >= math.Abs(off(said[i][2], f.At(b.X, b.Y, 0))) {
					t.Errorf("%s: piece %d does not begin at the %s", p.Name, i+1, said[i][2])
				}
			}
		}
	})
	if kinds[true] == 0 || kinds[false] == 0 {
		t.Errorf("walls and ends that are removable: %v", kinds)
	}
}
