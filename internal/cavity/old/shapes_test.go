package cavity

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

const inch = 0.0254

// faults returns what is wrong with a shape for a space, "" if nothing. It uses distances only, not the functions that
// made the shape.
func faults(s Space, sh Shape) string {
	g := sh.Section
	switch {
	case !g.IsSimple() || !(g.Area() > 0):
		return "not a counter-clockwise simple section"
	case len(g) > plane.MaxCorners:
		return "too many corners"
	case !s.Section.CCW().ContainsPolygon(g):
		return "outside the space"
	case math.Abs(sh.Volume-g.Area()*sh.Width) > 1e-12:
		return "volume is not area by width"
	case kindOf(g) > sh.Kind:
		return "harder to build than its kind"
	}
	left, right := s.InsetLeft, s.InsetRight
	if left == 0 {
		left = s.Gap
	}
	if right == 0 {
		right = s.Gap
	}
	if sh.Left < left-1e-12 || sh.Left+sh.Width > s.Width-right+1e-12 {
		return "too near to an end"
	}
	if why := tooNear(s, g); why != "" {
		return why
	}
	for _, b := range s.Blocks {
		if b.Left-s.Gap >= sh.Left+sh.Width-1e-9 || b.Left+b.Width+s.Gap <= sh.Left+1e-9 {
			continue
		}
		k := plane.Rect{
			Min: plane.Point{X: b.Front - s.Gap + 1e-6, Y: b.Floor - s.Gap + 1e-6},
			Max: plane.Point{X: b.Front + b.Depth + s.Gap - 1e-6, Y: b.Floor + b.Height + s.Gap - 1e-6},
		}
		if g.IntersectArea(k.Polygon()) > 1e-9 {
			return "in the way of a block"
		}
	}
	for i := range g {
		a, b := g.Edge(i)
		if b.Sub(a).Norm() < DefaultLeastWall*(1-1e-5) {
			return "a wall too short"
		}
		if !s.KeepToes && g.InteriorAngle(i) < 44.9*math.Pi/180 {
			return "a toe too sharp"
		}
	}
	return ""
}

// tooNear measures from points along the section square to every side of the space.
func tooNear(s Space, g plane.Polygon) string {
	for i := range s.Section {
		a, b := s.Section.Edge(i)
		want := s.Gap
		if s.Insets != nil {
			want = s.Insets[i]
		}
		u := b.Sub(a).Unit()
		for j := range g {
			p, q := g.Edge(j)
			for k := range 12 {
				x := p.Add(q.Sub(p).Mul(float64(k) / 12))
				t := x.Sub(a).Dot(u)
				if t <= 1e-7 || t >= b.Sub(a).Norm()-1e-7 {
					continue
				}
				foot := a.Add(u.Mul(t))
				mid := foot.Add(x).Mul(0.5)
				if d := x.Sub(foot).Norm(); d < want-1e-6 && s.Section.Distance(mid) > d/2-1e-9 && s.Section.Contains(mid) {
					return fmt.Sprintf("%v is %.3f mm from side %d, want %.3f", x, d*1e3, i+1, want*1e3)
				}
			}
		}
	}
	return ""
}

func TestShapesOfRandomSpaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSpace(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), rapid.Uint64().Draw(t, "second seed"))))
		shapes, err := s.Shapes()
		if err != nil {
			var none *NoRoomError
			if !errors.As(err, &none) {
				t.Fatalf("%#v: %v", s, err)
			}
			return
		}
		if len(shapes) == 0 {
			t.Fatalf("%#v: no shape and no error", s)
		}
		for i, sh := range shapes {
			if why := faults(s, sh); why != "" {
				t.Fatalf("%#v\n%s %v: %s", s, sh.Kind, sh.Section, why)
			}
			if i > 0 && (sh.Kind <= shapes[i-1].Kind || sh.Volume <= shapes[i-1].Volume*(1+gain)) {
				t.Fatalf("%#v\n%s of %.3f l after %s of %.3f l", s, sh.Kind, sh.Volume*1e3, shapes[i-1].Kind, shapes[i-1].Volume*1e3)
			}
		}
	})
}

// A space twice as large in every way holds boxes eight times as large, and one seen in a mirror the same boxes.
func TestShapesScaleAndMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSpace(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), rapid.Uint64().Draw(t, "second seed"))))
		big, mirrored := s, s
		const k = 2 // a power of two: no rounding comes in
		big.Width, big.Gap, big.InsetLeft, big.Section = k*s.Width, k*s.Gap, k*s.InsetLeft, scaled(s.Section, k)
		big.LeastWall, big.Board = k*DefaultLeastWall, k*DefaultBoard
		big.Insets, big.Blocks, mirrored.Blocks = nil, nil, nil
		for _, d := range s.Insets {
			big.Insets = append(big.Insets, k*d)
		}
		mirrored.InsetLeft, mirrored.InsetRight = s.InsetRight, s.InsetLeft
		for _, b := range s.Blocks {
			m := b
			m.Left = s.Width - b.Left - b.Width
			mirrored.Blocks = append(mirrored.Blocks, m)
			big.Blocks = append(big.Blocks, Block{b.Name, k * b.Left, k * b.Width, k * b.Front, k * b.Depth, k * b.Floor, k * b.Height})
		}
		want, err := s.Shapes()
		for name, other := range map[string]Space{"twice as large": big, "mirrored": mirrored} {
			f, tol := 1.0, 1e-9
			if name == "twice as large" {
				f, tol = k*k*k, 1e-3 // corners a hundredth of a millimetre apart are one in both
			}
			got, err2 := other.Shapes()
			if (err == nil) != (err2 == nil) {
				t.Fatalf("%#v\n%s: %v, want %v", s, name, err2, err)
			}
			most := map[ShapeKind]float64{}
			for _, sh := range want {
				most[sh.Kind] = f * sh.Volume
			}
			for _, sh := range got {
				if v, ok := most[sh.Kind]; ok && math.Abs(sh.Volume-v) > tol*v {
					t.Fatalf("%#v\n%s: %s has %v, want %v", s, name, sh.Kind, sh.Volume, v)
				}
			}
		}
	})
}

func TestExactSections(t *testing.T) {
	for _, c := range []struct {
		name  string
		space Space
		kinds []ShapeKind
		last  plane.Polygon // mm
		width float64       // mm
	}{
		{"rectangle", Space{Width: 0.9, Section: poly(0, 0, 0.88, 0, 0.88, 0.3, 0, 0.3), Gap: 0.008},
			[]ShapeKind{Rectangle}, poly(8, 8, 872, 8, 872, 292, 8, 292), 884},
		{"clockwise rectangle, its own gap on each side",
			Space{Width: 0.9, Section: poly(0, 0, 0, 0.3, 0.88, 0.3, 0.88, 0), Insets: []float64{0.01, 0.02, 0.03, 0.04}, Gap: 0.008, InsetLeft: 0.05},
			[]ShapeKind{Rectangle}, poly(10, 40, 850, 40, 850, 280, 10, 280), 842},
		{"wedge", Space{Width: 0.9, Section: poly(0, 0, 0.36, 0, 0.43, 0.24, 0, 0.24)},
			[]ShapeKind{Rectangle, OneSlope}, poly(0, 0, 360, 0, 430, 240, 0, 240), 900},
		{"step", Space{Width: 0.9, Section: poly(0, 0, 0.42, 0, 0.42, 0.17, 0.29, 0.17, 0.29, 0.3, 0, 0.3), Gap: 0.01},
			[]ShapeKind{Rectangle, OneSlope, FullSection}, poly(10, 10, 410, 10, 410, 160, 280, 160, 280, 290, 10, 290), 880},
		// A toe of 35 degrees: 60 mm and the thickness of the board make a nose of 80 mm.
		{"toe", Space{Width: 0.9, Section: poly(0, 0, 0.5, 0, 0, 0.350104), Board: 0.020},
			[]ShapeKind{Rectangle, OneSlope}, poly(0, 0, 385.748, 0, 385.748, 80, 0, 350.104), 900},
	} {
		t.Run(c.name, func(t *testing.T) {
			shapes, err := c.space.Shapes()
			if err != nil {
				t.Fatal(err)
			}
			var kinds []ShapeKind
			for _, sh := range shapes {
				kinds = append(kinds, sh.Kind)
				if why := faults(c.space, sh); why != "" {
					t.Errorf("%v: %s", sh.Section, why)
				}
			}
			if len(kinds) != len(c.kinds) {
				t.Fatalf("got %v, want %v", kinds, c.kinds)
			}
			for i := range kinds {
				if kinds[i] != c.kinds[i] {
					t.Fatalf("got %v, want %v", kinds, c.kinds)
				}
			}
			last := shapes[len(shapes)-1]
			tol := 1e-12
			if c.name == "toe" {
				tol = 5e-7 // the corners are printed to a thousandth of a millimetre
			}
			if len(last.Section) != len(c.last) {
				t.Fatalf("got %v, want %v", last.Section, c.last)
			}
			for i, p := range last.Section {
				if q := c.last[i].Mul(1e-3); math.Hypot(p.X-q.X, p.Y-q.Y) > tol {
					t.Errorf("corner %d: got %v, want %v", i+1, p, q)
				}
			}
			if math.Abs(last.Width-c.width/1e3) > 1e-12 {
				t.Errorf("width %v, want %v mm", last.Width, c.width)
			}
		})
	}
}

func TestBevels(t *testing.T) {
	for _, c := range []struct {
		g    plane.Polygon
		kind ShapeKind
		want int
	}{
		{poly(0, 0, 1, 0, 1, 1, 0, 1), Rectangle, 0},
		{poly(0, 0, 0.36, 0, 0.43, 0.24, 0, 0.24), OneSlope, 2},
		{poly(0, 0, 0.4, 0, 0.4, 0.2, 0.3, 0.3, 0, 0.3), OneSlope, 2},
		{poly(0, 0, 0.4, 0, 0.5, 0.2, 0.1, 0.3), FullSection, 4},
		{poly(0, 0, 0.42, 0, 0.42, 0.17, 0.29, 0.17, 0.29, 0.3, 0, 0.3), FullSection, 0},
	} {
		if k, b := kindOf(c.g), bevels(c.g); k != c.kind || b != c.want {
			t.Errorf("%v: %s with %d bevels, want %s with %d", c.g, k, b, c.kind, c.want)
		}
	}
}

// The largest rectangle, 1.2 m by 50 mm, is too flat to build; the one that can be built is smaller.
func TestFlatRectangleGivesWay(t *testing.T) {
	s := Space{Width: 1, Section: poly(0, 0, 1.2, 0, 1.2, 0.05, 0.2, 0.05, 0.2, 0.25, 0, 0.25)}
	shapes, err := s.Shapes()
	if err != nil {
		t.Fatal(err)
	}
	if got := shapes[0]; got.Kind != Rectangle || math.Abs(got.Volume-0.2*0.25) > 1e-12 {
		t.Errorf("got %+v, want the rectangle of 200 by 250 mm", got)
	}
}

func TestNotesOfCorners(t *testing.T) {
	for _, c := range []struct {
		name  string
		space Space
		want  string // note of the last shape
	}{
		{"step of 22 mm", Space{Width: 0.9, Section: poly(0, 0, 0.42, 0, 0.42, 0.278, 0.25, 0.278, 0.25, 0.3, 0, 0.3)},
			"the wall of 22.0 mm at the back (depth 250.0 mm, height 289.0 mm) is too short to build, " +
				"the least is 60.0 mm; its corner cut off, 2.5 l of the largest box lost"},
		{"toe", Space{Width: 0.9, Section: poly(0, 0, 0.5, 0, 0, 0.350104), Board: 0.020},
			"the toe of 35.0 degrees at depth 500.0 mm, height 0.0 mm is blunted by a nose of 80.0 mm, 4.1 l of the largest box lost"},
	} {
		shapes, err := c.space.Shapes()
		if err != nil {
			t.Fatal(err)
		}
		last := shapes[len(shapes)-1]
		if len(last.Notes) != 1 || last.Notes[0] != c.want {
			t.Errorf("%s: got %q, want %q", c.name, last.Notes, c.want)
		}
	}
}

func TestBlocks(t *testing.T) {
	base := Space{Width: 1, Section: poly(0, 0, 0.4, 0, 0.4, 0.3, 0, 0.3), Gap: 0.01}
	for _, c := range []struct {
		name        string
		block       Block
		left, width float64
		notes       string // of the rectangle
	}{
		{"post near the right end", Block{"post", 0.9, 0.05, 0.1, 0.05, 0, 0.3}, 0.01, 0.88, "the width is shortened to 880.0 mm so that the box stands left of the post: costs 10.6 l of the largest box that the space could take"},
		{"post near the left end", Block{"post", 0.05, 0.05, 0.1, 0.05, 0, 0.3}, 0.11, 0.88, "stands right of the post: costs 10.6 l of the largest box that the space could take"},
		{"low rail", Block{"rail", 0.4, 0.1, 0, 0.4, 0, 0.03}, 0.01, 0.98, "the box stays above the rail along the whole width: costs 11.2 l of the largest box that the space could take"},
		{"duct along the back", Block{"duct", 0, 1, 0.35, 0.05, 0.1, 0.1}, 0.01, 0.98, "the box stays in front of the duct along the whole width: costs 13.7 l of the largest box that the space could take"},
		{"out of the way", Block{"belt", 0, 1, 0.45, 0.05, 0.1, 0.1}, 0.01, 0.98, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := base
			s.Blocks = []Block{c.block}
			shapes, err := s.Shapes()
			if err != nil {
				t.Fatal(err)
			}
			got := shapes[0]
			if math.Abs(got.Left-c.left) > 1e-12 || math.Abs(got.Width-c.width) > 1e-12 {
				t.Errorf("left %v width %v, want %v and %v", got.Left, got.Width, c.left, c.width)
			}
			notes := strings.Join(got.Notes, " | ")
			if (c.notes == "") != (notes == "") || !strings.Contains(notes, c.notes) {
				t.Errorf("notes %q, want %q", notes, c.notes)
			}
			for _, sh := range shapes {
				if why := faults(s, sh); why != "" {
					t.Errorf("%v: %s", sh.Section, why)
				}
			}
		})
	}
}

func TestNoRoom(t *testing.T) {
	for _, c := range []struct {
		name  string
		space Space
		text  string
	}{
		{"shallow", Space{Width: 1, Section: poly(0, 0, 0.625*inch, 0, 0.625*inch, 14*inch, 0, 14*inch), Gap: 0.375 * inch, Units: unit.Inch},
			"the gap of 3/8 in on both sides leaves no room: the space is 5/8 in deep at height 7 in"},
		{"low", Space{Width: 1, Section: poly(0, 0, 0.4, 0, 0.4, 0.015, 0, 0.015), Gap: 0.008},
			"the gap of 8.0 mm on both sides leaves no room: the space is 15.0 mm high at depth 200.0 mm"},
		{"narrow", Space{Width: 0.1, Section: poly(0, 0, 0.4, 0, 0.4, 0.3, 0, 0.3), Gap: 0.05},
			"the gap of 50.0 mm on both sides leaves no room: the space is 100.0 mm wide"},
		{"unlike gaps", Space{Width: 0.1, Section: poly(0, 0, 0.4, 0, 0.4, 0.3, 0, 0.3), Gap: 0.05, InsetLeft: 0.06},
			"the gaps of 60.0 mm and 50.0 mm leave no room: the space is 100.0 mm wide"},
		{"too narrow to build", Space{Width: 0.1, Section: poly(0, 0, 0.4, 0, 0.4, 0.3, 0, 0.3), Gap: 0.03},
			"leaves 40.0 mm of the 100.0 mm that the space is wide: the narrowest wall that can be built is 60.0 mm"},
		{"filled by a block", Space{Width: 1, Section: poly(0, 0, 0.4, 0, 0.4, 0.3, 0, 0.3), Blocks: []Block{{"tank", 0, 1, 0, 0.4, 0, 0.28}}},
			"the things in the space"},
	} {
		t.Run(c.name, func(t *testing.T) {
			shapes, err := c.space.Shapes()
			var none *NoRoomError
			if !errors.As(err, &none) {
				t.Fatalf("got %v, %v; want a *NoRoomError", shapes, err)
			}
			if !strings.Contains(err.Error(), c.text) {
				t.Errorf("got  %s\nwant %s", err, c.text)
			}
		})
	}
}

func TestShapesRefuseBadSpaces(t *testing.T) {
	good := poly(0, 0, 0.4, 0, 0.4, 0.3, 0, 0.3)
	nan := math.NaN()
	for name, s := range map[string]Space{
		"no width":       {Section: good},
		"width nan":      {Width: nan, Section: good},
		"no section":     {Width: 1},
		"negative gap":   {Width: 1, Section: good, Gap: -1},
		"gap nan":        {Width: 1, Section: good, Gap: nan},
		"insets missing": {Width: 1, Section: good, Insets: []float64{0}},
		"inset nan":      {Width: 1, Section: good, Insets: []float64{0, 0, 0, nan}},
		"crossed":        {Width: 1, Section: poly(0, 0, 0.4, 0.3, 0.4, 0, 0, 0.3)},
		"corner nan":     {Width: 1, Section: poly(0, 0, 0.4, nan, 0.4, 0.3)},
		"flat block":     {Width: 1, Section: good, Blocks: []Block{{Name: "x"}}},
		"block nowhere":  {Width: 1, Section: good, Blocks: []Block{{"x", nan, 1, 1, 1, 1, 1}}},
	} {
		if shapes, err := s.Shapes(); err == nil {
			t.Errorf("%s: got %v, want an error", name, shapes)
		}
	}
}

func BenchmarkShapes(b *testing.B) {
	g := poly(0, 0, .5, .02, .6, -.03, .62, .1, .7, .3, .5, .33, .4, .25, .3, .35, .2, .33, .1, .3, .05, .2, -.05, .1)
	for b.Loop() {
		if _, err := (Space{Width: 1, Section: g, Gap: 0.01}).Shapes(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRandomSpaces(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	for b.Loop() {
		randomSpace(r).Shapes()
	}
}

// Corners that a woodworker would not see go, and nothing is gained outside by it.
func TestStraighten(t *testing.T) {
	for _, c := range []struct {
		name string
		g    plane.Polygon
		area float64
	}{
		{"convex", poly(0, 0, 0.5, -0.001, 1, 0, 1, 1, 0, 1), 1},
		// The floor rises 1 in 500 to a bump in its middle; it now rises all the way, 2 mm in a metre.
		{"reflex", poly(0, 0, 0.5, 0.001, 1, 0, 1, 1, 0, 1), 1 - 0.001},
		{"doubled", poly(0, 0, 1, 0, 1, 5e-6, 1, 1, 0, 1), 1},
	} {
		got := straighten(c.g)
		if len(got) != 4 || !c.g.ContainsPolygon(got) || math.Abs(got.Area()-c.area) > 1e-5 {
			t.Errorf("%s: %v of area %v, want 4 corners, inside, %v", c.name, got, got.Area(), c.area)
		}
	}
}

// Eight things that hang free in the space, each of which can be passed on four sides.
func BenchmarkFreeBlocks(b *testing.B) {
	s := Space{Width: 1.4, Section: poly(0, 0, 0.6, 0, 0.7, 0.3, 0.5, 0.5, 0, 0.5), Gap: 0.01}
	for i := range 8 {
		x := float64(i)
		s.Blocks = append(s.Blocks, Block{"thing", 0.1 + 0.15*x, 0.08, 0.1 + 0.04*x, 0.05, 0.12 + 0.03*math.Mod(3*x, 7), 0.04})
	}
	for b.Loop() {
		if _, err := s.Shapes(); err != nil {
			b.Fatal(err)
		}
	}
}
