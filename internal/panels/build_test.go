package panels

import (
	"errors"
	"flag"
	"math"
	"slices"
	"testing"

	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

var long = flag.Bool("long", false, "run the long random tests")

// across makes the outside of a prism across.
func across(t testing.TB, section plane.Polygon, left, width float64) *solid.Solid {
	t.Helper()
	s, err := solid.Straight(section, solid.Across, left, left+width)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// boxClosure is how far the boards of the faces and the air are from filling the outside.
func boxClosure(b *Box) float64 {
	sum := b.InsideVolume
	for _, p := range b.Panels {
		if p.Role.Shell() {
			sum += p.Volume
		}
	}
	return math.Abs(sum/b.OuterVolume - 1)
}

func build(t testing.TB, s Spec) *Box {
	t.Helper()
	b, err := Build(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func panelNamed(t testing.TB, b *Box, name string) *Panel {
	t.Helper()
	for i := range b.Panels {
		if b.Panels[i].Name == name {
			return &b.Panels[i]
		}
	}
	t.Fatalf("no panel %q", name)
	return nil
}

// The worked sections through Build: names, measures and places as they go to the saw, computed by hand in millimetres.
func TestWorkedBoxes(t *testing.T) {
	type wall struct {
		name                      string
		outer, inner, blank, area float64
		tilt0, tilt1              float64
		x, y, z                   float64 // of the frame's origin
	}
	for _, c := range []struct {
		name    string
		section plane.Polygon
		wood    Wood
		width   float64
		air     float64
		wishes  []CornerWish
		walls   []wall
	}{
		{"wedge", mm(0, 0, 360, 0, 430, 240, 0, 240), Wood{Board: "MDF", Thickness: .015}, 900, 76518.75, nil, []wall{
			{"bottom", 360, 364.375, 364.375, 5432.8125, 0, -16.2602, 15, 360, 0},
			{"back", 218.75, 218.75, 223.125, 3281.25, -16.2602, 16.2602, 15, 425.625, 225},
			{"top", 430, 425.625, 430, 6417.1875, 16.2602, 0, 15, 0, 240},
			{"front", 210, 210, 210, 3150, 0, 0, 15, 0, 15}}},
		{"step", mm(0, 0, 420, 0, 420, 170, 290, 170, 290, 300, 0, 300), Wood{Board: "MDF", Thickness: .018}, 700, 84476, nil, []wall{
			{"bottom", 420, 420, 420, 7560, 0, 0, 18, 420, 0}, {"back", 134, 134, 134, 2412, 0, 0, 18, 420, 152},
			{"tread", 148, 148, 148, 2664, 0, 0, 18, 272, 170}, {"riser", 112, 112, 112, 2016, 0, 0, 18, 290, 282},
			{"top", 290, 290, 290, 5220, 0, 0, 18, 0, 300}, {"front", 264, 264, 264, 4752, 0, 0, 18, 0, 18}}},
		{"front doubled", mm(0, 0, 330, 0, 330, 260, 0, 260), Wood{Board: "MDF", Thickness: .015, FrontLayers: 2}, 500, 65550, nil, []wall{
			{"bottom", 330, 330, 330, 4950, 0, 0, 15, 330, 0}, {"front", 230, 230, 230, 6900, 0, 0, 15, 0, 15}}},
		{"rabbeted walls", mm(0, 0, 330, 0, 330, 260, 0, 260), Wood{Board: "MDF", Thickness: .018, Joints: Rabbet, RabbetDepth: .009}, 500, 294 * 224, nil, []wall{
			{"bottom", 330, 294, 330, 5616, 0, 0, 18, 330, 0}, {"back", 242, 242, 242, 4356, 0, 0, 18, 330, 251},
			{"top", 330, 294, 330, 5616, 0, 0, 18, 0, 260}, {"front", 242, 242, 242, 4356, 0, 0, 18, 0, 9}}},
		{"blunted toe", mm(0, 0, 385.748, 0, 385.748, 80, 0, 350.104), Wood{Board: "MDF", Thickness: .018}, 600, 61233.197, []CornerWish{{Between: [2]string{"nose", "slope"}, Joint: Mitre}, {Between: [2]string{"slope", "front"}, Through: "front"}}, []wall{
			{"bottom", 385.748, 385.748, 385.748, 6943.464, 0, 0, 18, 385.748, 0}, {"nose", 62, 52.630, 62, 1031.668, 0, 27.5, 18, 385.748, 80},
			{"slope", 448.938, 426.964, 448.938, 7883.111, 27.5, 35, 18, 18, 337.5}, {"front", 332.104, 319.5, 332.104, 5864.438, 35, 0, 18, 0, 18}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := build(t, Spec{Outside: across(t, c.section, 0, c.width/1000), Wood: c.wood, Corners: c.wishes})
			if open := boxClosure(b); open > 1e-12 {
				t.Errorf("open by %g", open)
			}
			near(t, "air", b.InsideVolume, c.air*1e-6*b.InsideWidth, .0006e-6)
			for _, w := range c.walls {
				p := panelNamed(t, b, w.name)
				near(t, w.name+" length", p.Length, b.InsideWidth, 1e-12)
				near(t, w.name+" outer", p.OuterWidth, w.outer/1000, .6e-6)
				near(t, w.name+" inner", p.InnerWidth, w.inner/1000, .6e-6)
				near(t, w.name+" blank", p.Width, w.blank/1000, .6e-6)
				near(t, w.name+" volume", p.Volume, w.area*1e-6*b.InsideWidth, .6e-9)
				near(t, w.name+" area", p.Section.Area(), w.area*1e-6, .6e-9)
				near(t, w.name+" tilt at y1", p.Edges[1].Tilt/deg, w.tilt0, .6e-4)
				near(t, w.name+" tilt at y0", p.Edges[0].Tilt/deg, w.tilt1, .6e-4)
				near(t, w.name+" place", r3.Norm(r3.Sub(p.Place.O, r3.Vec{X: w.x / 1000, Y: w.y / 1000, Z: w.z / 1000})), 0, .6e-6)
			}
		})
	}
}

// A rabbet between walls as its section shows it: 330 x 260, 18 mm, 9 deep.
func TestRabbetSection(t *testing.T) {
	b := build(t, Spec{Outside: across(t, mm(0, 0, 330, 0, 330, 260, 0, 260), 0, .5), Wood: Wood{Board: "MDF", Thickness: .018, Joints: Rabbet, RabbetDepth: .009}})
	want := mm(0, 0, 330, 0, 330, 9, 312, 9, 312, 18, 18, 18, 18, 9, 0, 9)
	got := panelNamed(t, b, "bottom").Section
	if len(got) != len(want) {
		t.Fatalf("section %v", got)
	}
	for i := range want {
		near(t, "corner", got[i].Sub(want[i]).Norm(), 0, 1e-12)
	}
	p := panelNamed(t, b, "bottom")
	if len(p.Rabbets) != 2 || p.Rabbets[0].Width != .018 || p.Rabbets[0].Depth != .009 || p.Edges[0].Joint != RabbetEdge {
		t.Errorf("rabbets %+v", p.Rabbets)
	}
}

// Ends with a rabbet: the walls reach into them, all round, and the step is as wide as the wall is thick.
func TestRabbetedEnds(t *testing.T) {
	for _, joints := range []Joint{Butt, Mitre, Rabbet} {
		b := build(t, Spec{Outside: across(t, mm(0, 0, 330, 0, 330, 260, 0, 260), 0, .5), Wood: Wood{Board: "birch ply", Thickness: .018, Ends: EndsRabbeted, Joints: joints}})
		if c := boxClosure(b); c > 1e-12 {
			t.Errorf("%v: open by %g", joints, c)
		}
		end := panelNamed(t, b, "left end")
		near(t, "raised field", end.InnerWidth, .224, 1e-12)
		near(t, "end's volume", end.Volume, .33*.26*.009+.294*.224*.009, 1e-12)
		near(t, "wall's length", panelNamed(t, b, "top").Length, .5-.018, 1e-12)
		if len(end.Rabbets) != 4 {
			t.Errorf("%v: %d rabbets", joints, len(end.Rabbets))
		}
	}
}

// A pocket that leaves an end two edges with one wall: the step is taken from the end once.
func TestRabbetedEndOverPocket(t *testing.T) {
	s, err := across(t, mm(0, 0, 400, 0, 400, 300, 0, 300), 0, .6).Pocket(solid.Box{Name: "post", Min: r3.Vec{X: .4, Y: .15, Z: .2}, Max: r3.Vec{X: 1, Y: .25, Z: 1}})
	if err != nil {
		t.Fatal(err)
	}
	b := build(t, Spec{Outside: s, Wood: Wood{Board: "MDF", Thickness: .018, Ends: EndsRabbeted}})
	if c := boxClosure(b); c > 1e-12 {
		t.Errorf("open by %g", c)
	}
}

// The frames and names of boxes along the other two axes.
func TestOtherAxes(t *testing.T) {
	for _, c := range []struct {
		axis  solid.Axis
		names []string
	}{
		{solid.Across, []string{"bottom", "back", "top", "front", "left end", "right end"}},
		{solid.Depth, []string{"bottom", "right", "top", "left", "front", "back"}},
		{solid.Up, []string{"front", "right", "back", "left", "bottom", "top"}},
	} {
		s, err := solid.Straight(mm(0, 0, 400, 0, 400, 300, 0, 300), c.axis, .1, .6)
		if err != nil {
			t.Fatal(err)
		}
		b := build(t, Spec{Outside: s, Axis: c.axis, Wood: Wood{Board: "MDF", Thickness: .018}})
		if open := boxClosure(b); open > 1e-12 {
			t.Errorf("open by %g", open)
		}
		for i, want := range c.names {
			p := &b.Panels[i]
			if p.Name != want {
				t.Errorf("%v: face %d is %q, want %q", c.axis, i, p.Name, want)
			}
			out := map[string]r3.Vec{"bottom": {Z: -1}, "top": {Z: 1}, "front": {Y: -1}, "back": {Y: 1}, "left": {X: -1}, "left end": {X: -1}, "right": {X: 1}, "right end": {X: 1}}[want]
			if r3.Norm(r3.Sub(p.Place.N, out)) > 1e-12 {
				t.Errorf("%v: the %s looks to %v", c.axis, want, p.Place.N)
			}
			if math.Abs(out.X) < .5 && p.Place.X != (r3.Vec{X: 1}) || math.Abs(out.X) > .5 && p.Place.Y != (r3.Vec{Z: 1}) {
				t.Errorf("%v: frame of the %s: %v", c.axis, want, p.Place)
			}
		}
	}
}

// A tunnel between the legs: the pocket's boards, and who runs through.
func TestTunnelBox(t *testing.T) {
	s, err := across(t, mm(0, 0, 400, 0, 400, 300, 0, 300), 0, 1).Pocket(solid.Box{Name: "tunnel", Min: r3.Vec{X: .4, Y: -1, Z: -1}, Max: r3.Vec{X: .6, Y: 1, Z: .1}})
	if err != nil {
		t.Fatal(err)
	}
	b := build(t, Spec{Outside: s, Wood: Wood{Board: "MDF", Thickness: .018}})
	if c := boxClosure(b); c > 1e-12 {
		t.Errorf("open by %g", c)
	}
	var names []string
	for _, p := range b.Panels {
		names = append(names, p.Name)
	}
	for _, want := range []string{"bottom 1", "bottom 2", "tunnel top", "tunnel left", "tunnel right"} {
		if !slices.Contains(names, want) {
			t.Errorf("no %s among %v", want, names)
		}
	}
	near(t, "section", b.Section.Area(), .4*.3, 1e-12)
	if len(b.Warnings) > 0 {
		t.Errorf("warnings: %v", b.Warnings)
	}
}

// A removable face runs through all its neighbours, has square edges, and is refused where one is bevelled.
func TestRemovableFace(t *testing.T) {
	rect := across(t, mm(0, 0, 330, 0, 330, 260, 0, 260), 0, .5)
	for _, face := range []string{"front", "left end"} {
		b := build(t, Spec{Outside: rect, Face: face, Wood: Wood{Board: "MDF", Thickness: .018}, Mounting: Mounting{Removable: true}})
		if c := boxClosure(b); c > 1e-12 {
			t.Errorf("%s: open by %g", face, c)
		}
		p := panelNamed(t, b, face)
		for _, e := range p.Edges {
			if e.Joint != ButtThrough || e.Run != 0 {
				t.Errorf("%s: edge to the %s is %s, run %g", face, e.Meets, e.Joint, e.Run)
			}
		}
		cleats := 0
		for _, q := range b.Panels {
			if q.Role == Cleat {
				cleats += q.Count
			}
		}
		if cleats != 4 || b.Removable == nil || b.Removable.Screws < 8 {
			t.Errorf("%s: %d cleats, %+v", face, cleats, b.Removable)
		}
	}
	_, err := Build(Spec{Outside: across(t, mm(0, 0, 360, 0, 430, 240, 0, 240), 0, .5), Face: "back", Wood: Wood{Board: "MDF", Thickness: .018}, Mounting: Mounting{Removable: true}})
	var why *BuildError
	if !errors.As(err, &why) || why.Reason != NoLoose {
		t.Errorf("a bevelled face is made removable: %v", err)
	}
}

// Boxes drawn at random: 3 to 12 walls along any axis, leaning ends, mixed boards, pockets, wishes. What is built closes, and a
// point thrown into it is in one board, or in none where there is air; what is not built is refused with the reason.
func TestRandomBoxesClose(t *testing.T) {
	built, tried := 0, 0
	worst := 0.0
	rapid.Check(t, func(t *rapid.T) {
		tried++
		spec := randomSpec(t)
		b, err := Build(spec)
		var why *BuildError
		if err != nil {
			if !errors.As(err, &why) || why.Reason == "" || why.Error() == "" {
				t.Fatalf("refused without a reason: %v", err)
			}
			return
		}
		built++
		open := boxClosure(b)
		worst = math.Max(worst, open)
		if open > 1e-9 {
			t.Fatalf("open by %g", open)
		}
		throwAtBox(t, b)
		checkRecord(t, b)
	})
	t.Logf("%d of %d boxes were built, the worst is open by %.1e", built, tried, worst)
	if built < tried/20 {
		t.Errorf("only %d of %d boxes were built", built, tried)
	}
}

func randomSpec(t *rapid.T) Spec {
	s := randomSolid(t)
	if rapid.Bool().Draw(t, "plain") { // a step or a rectangle with straight ends, which takes rabbets
		c := func() float64 { return rapid.Float64Range(150, 600).Draw(t, "size") }
		d, h := c(), c()
		g := rapid.SampledFrom([]plane.Polygon{mm(0, 0, d, 0, d, h, 0, h), mm(0, 0, d, 0, d, h/2, d/2, h/2, d/2, h, 0, h), mm(0, 0, d, 0, d*1.1, h, 0, h)}).Draw(t, "section")
		var err error
		if s, err = solid.Straight(g, solid.Axis(rapid.IntRange(0, 2).Draw(t, "axis")), .1, .1+c()/1000); err != nil {
			t.Fatal(err)
		}
	}
	axis := axisOf(s)
	names := []string{}
	section, walls := sectionOf(s, axis)
	w := Wood{Board: rapid.SampledFrom([]string{"MDF", "plywood"}).Draw(t, "board"), Thickness: rapid.Float64Range(.009, .025).Draw(t, "thickness"), Panels: map[string]float64{}}
	w.Joints = rapid.SampledFrom([]Joint{Butt, Mitre, Rabbet}).Draw(t, "joints")
	w.Ends = rapid.SampledFrom([]EndStyle{EndsOver, EndsOver, EndsInside, EndsRabbeted}).Draw(t, "ends")
	for _, p := range partsOf(s, axis, section, walls) {
		names = append(names, p.name)
		if rapid.IntRange(0, 3).Draw(t, "own") == 0 {
			w.Panels[p.name] = rapid.Float64Range(.009, .025).Draw(t, "own thickness")
		}
	}
	spec := Spec{Outside: s, Axis: axis, Wood: w, Face: names[0]}
	for range rapid.IntRange(0, 4).Draw(t, "wishes") {
		a, b := rapid.SampledFrom(names).Draw(t, "a"), rapid.SampledFrom(names).Draw(t, "b")
		spec.Corners = append(spec.Corners, CornerWish{Between: [2]string{a, b}, Joint: rapid.SampledFrom([]Joint{Butt, Mitre, Rabbet}).Draw(t, "joint"), Through: rapid.SampledFrom([]string{"", a, b}).Draw(t, "through")})
	}
	return spec
}

// axisOf finds the axis of a prism by its sides, which are square to it.
func axisOf(s *solid.Solid) solid.Axis {
	for axis := solid.Across; axis <= solid.Up; axis++ {
		square := true
		for _, f := range s.Faces {
			square = square && (f.Kind != solid.Side || math.Abs(axis.Of(f.N)) < 1e-9)
		}
		if square {
			return axis
		}
	}
	return solid.Across
}

// throwAtBox counts the boards that hold a point thrown into the box: a step of a rabbet belongs to the board that stops in it.
func throwAtBox(t *rapid.T, b *Box) {
	lo, hi := b.Spec.Outside.Bounds()
	sh, err := newShell(&b.Spec)
	if err != nil {
		t.Fatal(err)
	}
	for range 30 {
		p := r3.Vec{X: rapid.Float64Range(lo.X, hi.X).Draw(t, "x"), Y: rapid.Float64Range(lo.Y, hi.Y).Draw(t, "y"), Z: rapid.Float64Range(lo.Z, hi.Z).Draw(t, "z")}
		in := 0
		if nearSurface(b, sh, p) {
			continue
		}
		for i := range sh.boards {
			if !sh.boards[i].Contains(p) {
				continue
			}
			stepped := false
			for _, s := range sh.boards[i].Steps {
				stepped = stepped || sh.outside.Faces[i].Depth(p) > sh.parts[i].t-s.Depth && sh.boards[s.With].Contains(p)
			}
			if !stepped {
				in++
			}
		}
		want := 0
		if b.Spec.Outside.Contains(p) && !b.Air.Contains(p) {
			want = 1
		}
		if in != want {
			t.Fatalf("%v is in %d boards, want %d", p, in, want)
		}
	}
}

// nearSurface reports whether a point lies so near to a cut that it may count as on either side of it.
func nearSurface(b *Box, sh *shell, p r3.Vec) bool {
	const slack = 1e-7
	for i := range sh.boards {
		bd := &sh.boards[i]
		planes := append(slices.Clone(bd.Sides), sh.outside.Faces[i].Plane, b.Air.Faces[i].Plane)
		for _, s := range bd.Steps {
			planes = append(planes, b.Air.Faces[i].Offset(s.Depth))
		}
		for _, r := range bd.Holes {
			planes = append(planes, r.Sides...)
		}
		for _, q := range planes {
			if math.Abs(q.Depth(p)) < slack {
				return true
			}
		}
	}
	return false
}

// checkRecord compares what a panel says of itself with its two faces.
func checkRecord(t *rapid.T, b *Box) {
	for i := range b.Panels {
		p := &b.Panels[i]
		if len(p.Outer) != len(p.Inner) || len(p.Outer) < 3 {
			t.Fatalf("%s: %d and %d corners", p.Name, len(p.Outer), len(p.Inner))
		}
		for k, q := range p.Outer {
			if z := r3.Dot(p.Place.N, r3.Sub(q, p.Place.O)); math.Abs(z) > 1e-9 {
				t.Fatalf("%s: corner %d lies %g off the outer face", p.Name, k, z)
			}
			if z := r3.Dot(p.Place.N, r3.Sub(p.Inner[k], p.Place.O)); math.Abs(z+p.Thickness) > 1e-9 {
				t.Fatalf("%s: inner corner %d lies %g off", p.Name, k, z)
			}
			g := p.Place.To(q)
			if g.X < -1e-9 || g.Y < -1e-9 || g.Y > p.OuterWidth+1e-9 {
				t.Fatalf("%s: corner %v outside its rectangle", p.Name, g)
			}
		}
		for k, e := range p.Edges {
			if e.Other < 0 || b.Panels[e.Other].Name != e.Meets {
				t.Fatalf("%s: edge %d meets %q, panel %d", p.Name, k, e.Meets, e.Other)
			}
			a, c := p.side(k)
			if d := c.Sub(a).Norm(); math.Abs(d-e.OuterLen) > 1e-9 {
				t.Fatalf("%s: edge %d is %g long, its corners %g apart", p.Name, k, e.OuterLen, d)
			}
			if math.Abs(p.Thickness*math.Abs(math.Tan(e.Tilt))-e.Run) > 1e-9 {
				t.Fatalf("%s: edge %d: tilt %g and run %g disagree", p.Name, k, e.Tilt, e.Run)
			}
		}
	}
}

func BenchmarkBuildSixBoards(b *testing.B) {
	spec := Spec{Outside: across(b, mm(0, 0, 360, 0, 430, 240, 0, 240), 0, .9), Wood: Wood{Board: "MDF", Thickness: .018}}
	for b.Loop() {
		if _, err := Build(spec); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPlanSixBoards(b *testing.B) {
	spec := Spec{Outside: across(b, mm(0, 0, 360, 0, 430, 240, 0, 240), 0, .9), Wood: Wood{Board: "MDF", Thickness: .018}}
	for b.Loop() {
		if _, err := Plan(spec); err != nil {
			b.Fatal(err)
		}
	}
}

// A board let into two that are mitred together takes the corner from both, each up to the mitre: at a convex edge and at a
// reflex one, also where the two are unlike.
func TestRabbetsAcrossAMitre(t *testing.T) {
	step := mm(0, 0, 400, 0, 400, 200, 200, 200, 200, 400, 0, 400)
	for _, section := range []plane.Polygon{mm(0, 0, 150, 0, 150, 150, 0, 150), step} {
		s, err := solid.Straight(section, solid.Across, .1, .4)
		if err != nil {
			t.Fatal(err)
		}
		spec := Spec{Outside: s, Face: "front", Wood: Wood{Board: "MDF", Thickness: .018, Joints: Mitre, Ends: EndsInside,
			Panels: map[string]float64{"bottom": .025, "front": .015, "tread": .022}}}
		for _, unlike := range [][2]string{{"bottom", "back"}, {"bottom", "front"}, {"tread", "riser"}} {
			spec.Corners = append(spec.Corners, CornerWish{Between: unlike, Joint: Mitre})
		}
		walls := []string{"bottom", "back", "top", "front", "tread", "riser"}
		for _, name := range walls {
			spec.Corners = append(spec.Corners, CornerWish{Between: [2]string{"left end", name}, Joint: Rabbet, Through: name})
		}
		b := build(t, spec)
		steps := 0
		for i := range b.Panels {
			steps += len(b.Panels[i].Rabbets)
		}
		if steps != len(section) {
			t.Errorf("%d steps in %d walls", steps, len(section))
		}
		if open := boxClosure(b); open > 1e-12 {
			t.Errorf("%d walls: open by %g", len(section), open)
		}
	}
}
