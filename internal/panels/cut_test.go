package panels

import (
	"math"
	"slices"
	"testing"

	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

const deg = math.Pi / 180

// mm makes a section of millimetres.
func mm(xy ...float64) plane.Polygon {
	var g plane.Polygon
	for i := 0; i < len(xy); i += 2 {
		g = append(g, plane.Point{X: xy[i] / 1000, Y: xy[i+1] / 1000})
	}
	return g
}

func near(t testing.TB, what string, got, want, slack float64) {
	t.Helper()
	if !(math.Abs(got-want) <= slack) {
		t.Errorf("%s = %.9g, want %.9g", what, got, want)
	}
}

// closure is how far boards and air are from filling the solid, relative to it.
func closure(s, air *solid.Solid, boards []Board) float64 {
	sum := air.Volume()
	for _, b := range boards {
		sum += b.Volume
	}
	return math.Abs(sum/s.Volume() - 1)
}

// Worked sections, computed by hand in millimetres: which wall runs through is rank; the ends run over everything.
func TestWorkedSections(t *testing.T) {
	type wall struct{ outer, inner, tilt0, tilt1, area float64 }
	for _, c := range []struct {
		name    string
		section plane.Polygon
		t       []float64 // mm
		rank    []int
		wishes  []Wish
		air     float64 // mm2
		walls   []wall
	}{
		{"rectangle, front doubled", mm(0, 0, 330, 0, 330, 260, 0, 260), []float64{15, 15, 15, 30}, []int{1, 3, 1, 6}, nil, 65550,
			[]wall{{330, 330, 0, 0, 4950}, {230, 230, 0, 0, 3450}, {330, 330, 0, 0, 4950}, {230, 230, 0, 0, 6900}}},
		{"wedge", mm(0, 0, 360, 0, 430, 240, 0, 240), []float64{15, 15, 15, 15}, []int{1, 3, 1, 6}, nil, 76518.75,
			[]wall{{360, 364.375, 0, -16.2602, 5432.8125}, {218.75, 218.75, -16.2602, 16.2602, 3281.25}, {430, 425.625, 16.2602, 0, 6417.1875}, {210, 210, 0, 0, 3150}}},
		{"wedge, mitred, four boards", mm(0, 0, 360, 0, 430, 240, 0, 240), []float64{18, 12, 18, 25}, []int{1, 3, 1, 6}, []Wish{{0, 1, Mitred}, {1, 2, Mitred}, {2, 3, Mitred}, {3, 0, Mitred}}, 72930,
			[]wall{{360, 327.75, 54.2461, 21.9385, 6189.75}, {250, 212.5, 51.8013, 61.6609, 2775}, {430, 387.25, 44.5993, 54.2461, 7355.25}, {240, 204, 35.7539, 35.7539, 5550}}},
		{"step", mm(0, 0, 420, 0, 420, 170, 290, 170, 290, 300, 0, 300), []float64{18, 18, 18, 18, 18, 18}, []int{1, 3, 2, 5, 1, 6}, nil, 84476,
			[]wall{{420, 420, 0, 0, 7560}, {134, 134, 0, 0, 2412}, {148, 148, 0, 0, 2664}, {112, 112, 0, 0, 2016}, {290, 290, 0, 0, 5220}, {264, 264, 0, 0, 4752}}},
		{"step, riser through", mm(0, 0, 420, 0, 420, 170, 290, 170, 290, 300, 0, 300), []float64{18, 18, 18, 18, 18, 18}, []int{1, 3, 2, 5, 1, 6}, []Wish{{3, 2, Through}}, 84476,
			[]wall{{420, 420, 0, 0, 7560}, {134, 134, 0, 0, 2412}, {130, 130, 0, 0, 2340}, {130, 130, 0, 0, 2340}, {290, 290, 0, 0, 5220}, {264, 264, 0, 0, 4752}}},
		{"sloped step", mm(0, 0, 400, 0, 400, 150, 280, 200, 240, 320, 0, 320), []float64{18, 15, 18, 15, 18, 18}, []int{1, 3, 4, 5, 1, 6}, []Wish{{1, 2, Mitred}}, 85602.893,
			[]wall{{400, 400, 0, 0, 7200}, {132, 118.75, 0, 41.4552, 1880.625}, {149.892, 125.464, 25.9249, 41.0548, 2478.205}, {107.517, 99.453, 41.0548, -18.4349, 1552.278}, {240, 246, -18.4349, 0, 4374}, {284, 284, 0, 0, 5112}}},
		{"toe", mm(0, 0, 500, 0, 0, 350.104), []float64{18, 18, 18}, []int{1, 6, 4}, nil, 63211.149,
			[]wall{{500, 474.293, 0, 55, 8768.640}, {557.031, 518.721, 55, 35, 9681.773}, {332.104, 319.500, 35, 0, 5864.438}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			const width = 0.9
			s, err := solid.Straight(c.section, solid.Across, 0, width)
			if err != nil {
				t.Fatal(err)
			}
			thick := make([]float64, len(s.Faces))
			for i := range thick {
				thick[i] = 0.015
			}
			for i, v := range c.t {
				thick[i] = v / 1000
			}
			j, refused, err := Settle(s, append(slices.Clone(c.rank), 0, 0), c.wishes)
			if err != nil || len(refused) > 0 {
				t.Fatalf("refused: %v %v", refused, err)
			}
			boards, air, err := Cut(s, thick, j)
			if err != nil {
				t.Fatal(err)
			}
			const inside = width - 0.030
			near(t, "air", air.Volume(), c.air*1e-6*inside, 0.0006e-6)
			if e := closure(s, air, boards); e > 1e-14 {
				t.Errorf("does not close: %g", e)
			}
			for i, w := range c.walls {
				b := boards[i]
				// The edges along the width: at the section's corner where the wall starts, and where it ends.
				start, end := b.Edges[3], b.Edges[1]
				depth := func(k int) float64 { return r3.Norm(r3.Sub(b.Outer[(k+1)%4], b.Outer[k])) }
				near(t, "outer face", depth(0)*1000, w.outer, 0.0006)
				near(t, "inner face", b.Edges[0].InnerLen*1000, w.inner, 0.0006)
				near(t, "tilt at its start", start.Tilt/deg, w.tilt0, 6e-5)
				near(t, "tilt at its end", end.Tilt/deg, w.tilt1, 6e-5)
				near(t, "area", b.Volume/inside*1e6, w.area, 0.0006)
			}
		})
	}
}

// hopper makes a funnel of n equal sides that lean s from level, its bottom wide enough for boards.
func hopper(t testing.TB, n int, s float64) *solid.Solid {
	faces := make([]solid.Face, n+2)
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		out := r3.Vec{X: math.Sin(s) * math.Cos(a), Y: math.Sin(s) * math.Sin(a), Z: -math.Cos(s)}
		faces[i] = solid.Face{Plane: solid.Through(r3.Vec{X: .4 * math.Cos(a), Y: .4 * math.Sin(a)}, out),
			Loops: []solid.Loop{{With: []int{n, (i + 1) % n, n + 1, (i + n - 1) % n}}}}
	}
	var up, down []int
	for i := range n {
		up, down = append(up, i), append(down, n-1-i)
	}
	faces[n] = solid.Face{Kind: solid.Low, Plane: solid.Plane{N: r3.Vec{Z: -1}}, Loops: []solid.Loop{{With: down}}}
	faces[n+1] = solid.Face{Kind: solid.High, Plane: solid.Plane{N: r3.Vec{Z: 1}, D: .3}, Loops: []solid.Loop{{With: up}}}
	h, err := solid.New(faces)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// The textbook formulas for n sides at s from level: sin tilt = sin s sin(180/n), tan gauge = cos s tan(180/n); butt, n = 4:
// sin tilt = cos^2 s (from memory; standard formulas). Values computed from them.
func TestHopper(t *testing.T) {
	for _, c := range []struct {
		n                  int
		s, tilt, gauge, bt float64
	}{
		{4, 60, 37.761244, 26.565051, 14.477512}, {4, 75, 43.079517, 14.510819, 3.840966},
		{6, 70, 28.024321, 11.170229, 0}, {3, 80, 58.525051, 16.739578, 0}, {8, 50, 17.046787, 14.909199, 0},
	} {
		s := hopper(t, c.n, c.s*deg)
		var mitres []Wish
		for i := range c.n {
			mitres = append(mitres, Wish{i, (i + 1) % c.n, Mitred})
		}
		b := cutAll(t, s, mitres)
		near(t, "mitre tilt", b[0].Edges[1].Tilt/deg, c.tilt, 5e-7)
		gauge := math.Abs(b[0].Edges[0].GaugeEnd)
		if c.n != 4 && c.n != 6 { // the corner of a trapezium, from square
			gauge = math.Abs(b[0].Edges[0].GaugeEnd)
		}
		near(t, "gauge", gauge/deg, c.gauge, 5e-7)
		if !b[0].Edges[1].Compound() {
			t.Error("a compound edge is not told")
		}
		if c.bt > 0 {
			b = cutAll(t, s, nil)
			near(t, "butt tilt", math.Abs(b[0].Edges[1].Tilt)/deg, c.bt, 5e-7)
		}
	}
}

// Chart of a mitre-saw maker's manual, four sides that lie b from flat: gauge x, blade y, to the printed digit.
func TestMitreSawChart(t *testing.T) {
	for _, c := range []struct{ b, x, y float64 }{
		{5, 44.89, 3.53}, {10, 44.56, 7.05}, {15, 44.01, 10.55}, {20, 43.22, 14.00}, {30, 40.89, 20.70}, {45, 35.26, 30.00},
	} {
		s := hopper(t, 4, c.b*deg)
		air := []float64{-.005, -.005, -.005, -.005, -.005, -.005}
		if _, err := s.Moved(air); err != nil {
			t.Fatal(err)
		}
		j, _, _ := Settle(s, []int{1, 1, 1, 1, 0, 0}, []Wish{{0, 1, Mitred}, {1, 2, Mitred}, {2, 3, Mitred}, {3, 0, Mitred}})
		boards, _, err := Cut(s, []float64{.004, .004, .004, .004, .004, .004}, j)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "blade", boards[0].Edges[1].Tilt/deg, c.y, .005)
		near(t, "gauge", math.Abs(boards[0].Edges[0].GaugeEnd)/deg, c.x, .006)
	}
}

func cutAll(t testing.TB, s *solid.Solid, wishes []Wish) []Board {
	t.Helper()
	rank, thick := make([]int, len(s.Faces)), make([]float64, len(s.Faces))
	for i := range rank {
		rank[i], thick[i] = 1, .018
		if k := s.Faces[i].Kind; k == solid.Low || k == solid.High {
			rank[i] = 0
		}
	}
	j, refused, err := Settle(s, rank, wishes)
	if err != nil || len(refused) > 0 {
		t.Fatalf("refused: %v %v", refused, err)
	}
	boards, air, err := Cut(s, thick, j)
	if err != nil {
		t.Fatal(err)
	}
	if e := closure(s, air, boards); e > 1e-13 {
		t.Fatalf("does not close: %g", e)
	}
	return boards
}

// randomSolid draws a prism of 3 to 12 sides with leaning ends and, now and then, pockets.
func randomSolid(t *rapid.T) *solid.Solid {
	n := rapid.IntRange(3, 12).Draw(t, "corners")
	g := make(plane.Polygon, n)
	for i := range g {
		a := 2 * math.Pi * (float64(i) + rapid.Float64Range(-.35, .35).Draw(t, "turn")) / float64(n)
		r := rapid.Float64Range(.2, .6).Draw(t, "radius")
		g[i] = plane.Point{X: r * math.Cos(a), Y: r * math.Sin(a)}
	}
	axis := solid.Axis(rapid.IntRange(0, 2).Draw(t, "axis"))
	u := axis.Unit()
	lean := func(name string) r3.Vec {
		v := func() float64 { return rapid.Float64Range(-.25, .25).Draw(t, name) }
		return r3.Vec{X: v(), Y: v(), Z: v()}
	}
	s, err := solid.Prism(g, axis, solid.Through(r3.Scale(-.4, u), r3.Add(r3.Scale(-1, u), lean("low"))), solid.Through(r3.Scale(.5, u), r3.Add(u, lean("high"))))
	if err != nil {
		t.Skip(err)
	}
	for range rapid.IntRange(0, 2).Draw(t, "pockets") {
		c := func() float64 { return rapid.Float64Range(-.4, .3).Draw(t, "place") }
		b := solid.Box{Min: r3.Vec{X: c(), Y: c(), Z: c()}}
		size := func() float64 { return rapid.Float64Range(.05, .3).Draw(t, "size") }
		b.Max = r3.Add(b.Min, r3.Vec{X: size(), Y: size(), Z: size()})
		if p, err := s.Pocket(b); err == nil {
			s = p
		}
	}
	return s
}

// Boards and air make up the solid where the corners' conditions hold, and every point is in one board, or in the air.
func TestRandomSolidsClose(t *testing.T) {
	tried, closed := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := randomSolid(t)
		tried++
		thick, rank := make([]float64, len(s.Faces)), make([]int, len(s.Faces))
		for i := range thick {
			thick[i] = rapid.Float64Range(.009, .025).Draw(t, "thickness")
			rank[i] = rapid.IntRange(0, 5).Draw(t, "rank")
		}
		var wishes []Wish
		for range rapid.IntRange(0, 6).Draw(t, "wishes") {
			i := rapid.IntRange(0, len(s.Faces)-1).Draw(t, "face")
			w := s.Faces[i].Loops[0].With
			wishes = append(wishes, Wish{i, w[rapid.IntRange(0, len(w)-1).Draw(t, "edge")], Relation(rapid.IntRange(1, 3).Draw(t, "relation"))})
		}
		j, _, err := Settle(s, rank, wishes)
		if err != nil {
			t.Skip(err)
		}
		if why, ok := j.closes(s.Corners(), -1, -1); !ok {
			t.Fatalf("what is settled does not close: %d", why)
		}
		boards, air, err := Cut(s, thick, j)
		if err != nil {
			t.Skip(err)
		}
		closed++
		if e := closure(s, air, boards); e > 1e-9 {
			t.Fatalf("boards + air are off by %g of the solid", e)
		}
		throwPoints(t, s, air, boards)
	})
	t.Logf("%d of %d solids can be built", closed, tried)
}

func throwPoints(t *rapid.T, s, air *solid.Solid, boards []Board) {
	lo, hi := s.Bounds()
	for range 60 {
		p := r3.Vec{X: rapid.Float64Range(lo.X, hi.X).Draw(t, "x"), Y: rapid.Float64Range(lo.Y, hi.Y).Draw(t, "y"), Z: rapid.Float64Range(lo.Z, hi.Z).Draw(t, "z")}
		if onPlane(p, boards) {
			continue
		}
		in := 0
		for i := range boards {
			if boards[i].Contains(p) {
				in++
			}
		}
		want := 0
		if s.Contains(p) && !air.Contains(p) {
			want = 1
		}
		if in != want {
			t.Fatalf("%v lies in %d boards, want %d", p, in, want)
		}
	}
}

// onPlane reports whether p lies so near a cut or a face that either answer is right, or level with a corner of a board.
func onPlane(p r3.Vec, boards []Board) bool {
	for _, b := range boards {
		if d := r3.Dot(b.Out, r3.Sub(b.Outer[0], p)); math.Abs(d) < 1e-6 || math.Abs(d-b.Thickness) < 1e-6 {
			return true
		}
		for _, s := range b.Sides {
			if math.Abs(s.Depth(p)) < 1e-6 {
				return true
			}
		}
	}
	return false
}

// A corner that breaks the conditions is open: turn one relation of a good box, and boards and air no longer fill it.
func TestBrokenCornersDoNotClose(t *testing.T) {
	s, err := solid.Straight(mm(0, 0, 400, 0, 400, 300, 0, 300), solid.Across, 0, .5)
	if err != nil {
		t.Fatal(err)
	}
	thick := []float64{.018, .018, .018, .018, .018, .018}
	j, _, _ := Settle(s, []int{1, 3, 1, 6, 0, 0}, nil)
	j.set(4, 0, Stops) // bottom over the left end, the end over the back, the back under the bottom: bottom > end > back > front
	j.set(3, 4, Through)
	if why, ok := j.closes(s.Corners(), -1, -1); ok || why != RunsRound {
		t.Fatalf("a ring at a corner goes unnoticed: %v %v", why, ok)
	}
	boards, air, err := Cut(s, thick, j)
	if err != nil {
		t.Fatal(err)
	}
	if e := closure(s, air, boards); e < 1e-5 {
		t.Errorf("a broken corner closes: %g", e)
	}
	for _, w := range []Wish{{3, 4, Through}, {0, 2, Mitred}, {0, 9, Through}} {
		j, refused, _ := Settle(s, []int{1, 3, 1, 6, 0, 0}, []Wish{w})
		if _, ok := j.closes(s.Corners(), -1, -1); len(refused) != 1 || !ok {
			t.Errorf("wish %v: refused %v", w, refused)
		}
	}
}

func TestTunnelPocket(t *testing.T) {
	s, err := solid.Straight(mm(0, 0, 400, 0, 400, 300, 0, 300), solid.Across, 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	s, err = s.Pocket(solid.Box{Name: "tunnel", Min: r3.Vec{X: .4, Y: -1, Z: -1}, Max: r3.Vec{X: .6, Y: 1, Z: .1}})
	if err != nil {
		t.Fatal(err)
	}
	rank := []int{1, 3, 1, 6, 0, 0, 1}
	for i := 7; i < len(s.Faces); i++ {
		rank = append(rank, 8)
		if s.Faces[i].N.Z < -.5 {
			rank[i] = 7
		}
	}
	thick := make([]float64, len(s.Faces))
	for i := range thick {
		thick[i] = .018
	}
	j, refused, _ := Settle(s, rank, nil)
	boards, air, err := Cut(s, thick, j)
	if err != nil || len(refused) > 0 {
		t.Fatal(err, refused)
	}
	if e := closure(s, air, boards); e > 1e-14 {
		t.Errorf("does not close: %g", e)
	}
	// The back lies between the pocket's top and sides: without a lift it would leave a hole.
	for i := 7; i < len(rank); i++ {
		rank[i] = 5
		if s.Faces[i].N.Z < -.5 {
			rank[i] = 2
		}
	}
	j, _, _ = Settle(s, rank, nil)
	boards, air, err = Cut(s, thick, j)
	if err != nil {
		t.Fatal(err)
	}
	if e := closure(s, air, boards); e > 1e-14 {
		t.Errorf("with the pocket's top ranked over the back it does not close: %g", e)
	}
}

// A partition in a leaning hopper: the two parts of the air and the slab are all the air there was.
func TestSlab(t *testing.T) {
	s := hopper(t, 4, 70*deg)
	thick := []float64{.018, .018, .018, .018, .018, .018}
	j, _, _ := Settle(s, []int{1, 1, 1, 1, 0, 0}, nil)
	_, air, err := Cut(s, thick, j)
	if err != nil {
		t.Fatal(err)
	}
	n := r3.Unit(r3.Vec{X: 1, Y: .2, Z: .1})
	outer, inner := solid.Plane{N: n, D: .06}, solid.Plane{N: n, D: .045}
	b, err := Slab(air, outer, inner, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	part := func(p solid.Plane, sign float64) float64 { // volume of the air in front of (sign 1) or behind the plane, by fine slices
		lo, hi := -1.0, p.D
		if sign > 0 {
			lo, hi = p.D, 1
		}
		sum, k := 0.0, 4000
		for i := range k {
			d := lo + (float64(i)+.5)/float64(k)*(hi-lo)
			loops, err := air.Slice(solid.Plane{N: n, D: d})
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range loops {
				sum += solid.LoopArea(l.At, n) * (hi - lo) / float64(k)
			}
		}
		return sum
	}
	near(t, "parts and slab", part(outer, 1)+part(inner, -1)+b.Volume, air.Volume(), 2e-6*air.Volume())
	short, err := Slab(air, outer, inner, []solid.Plane{{N: r3.Vec{Z: 1}, D: .15}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	if !(short.Volume < b.Volume) || !slices.ContainsFunc(short.Edges, func(e BoardEdge) bool { return e.With < 0 }) {
		t.Error("a slab does not stop at its free end")
	}
}

func BenchmarkCut(b *testing.B) {
	thick := []float64{.018, .018, .018, .018, .018, .018}
	b.ReportAllocs()
	for b.Loop() {
		s, err := solid.Straight(mm(0, 0, 400, 0, 400, 300, 0, 300), solid.Across, 0, .5)
		if err != nil {
			b.Fatal(err)
		}
		j, _, _ := Settle(s, []int{1, 3, 1, 6, 0, 0}, nil)
		if _, _, err := Cut(s, thick, j); err != nil {
			b.Fatal(err)
		}
	}
}
