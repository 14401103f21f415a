package nest

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// gap is the distance between two outlines, um; 0 when they meet.
func gap(a, b [][2]Um) float64 {
	best := math.Inf(1)
	for i := range a {
		for j := range b {
			p, q, r, s := a[i], a[(i+1)%len(a)], b[j], b[(j+1)%len(b)]
			if (turnOf(p, q, r) > 0) != (turnOf(p, q, s) > 0) && (turnOf(r, s, p) > 0) != (turnOf(r, s, q) > 0) {
				return 0
			}
			best = min(best, toSegment(p, r, s), toSegment(q, r, s), toSegment(r, p, q), toSegment(s, p, q))
		}
	}
	if holdsPoint(a, b[0]) || holdsPoint(b, a[0]) {
		return 0
	}
	return best
}

func toSegment(p, a, b [2]Um) float64 {
	ux, uy := float64(b[0]-a[0]), float64(b[1]-a[1])
	wx, wy := float64(p[0]-a[0]), float64(p[1]-a[1])
	k := max(0, min(1, (wx*ux+wy*uy)/(ux*ux+uy*uy)))
	return math.Hypot(wx-k*ux, wy-k*uy)
}

func holdsPoint(g [][2]Um, p [2]Um) bool {
	in := false
	for i, a := range g {
		b := g[(i+1)%len(g)]
		if (a[1] > p[1]) != (b[1] > p[1]) && float64(p[0]) < float64(a[0])+float64(b[0]-a[0])*float64(p[1]-a[1])/float64(b[1]-a[1]) {
			in = !in
		}
	}
	return in
}

// checkNested looks at every rule that a layout for a router keeps.
func checkNested(t interface{ Errorf(string, ...any) }, n *Nested, parts []Part, stock []Stock, saw Saw) {
	byName := map[string]Part{}
	want := 0
	for _, p := range parts {
		byName[p.Name] = p
		want += p.Count
	}
	have := len(n.Unplaced)
	for _, s := range n.Sheets {
		k := stock[s.Stock]
		trim := k.trim(saw)
		for i, p := range s.Places {
			have++
			name, _ := PartOf(p.Panel)
			q := byName[name]
			lo, hi := extents(p.Outline)
			if lo[0] < trim || lo[1] < trim || hi[0] > k.Length-trim || hi[1] > k.Width-trim {
				t.Errorf("%s lies at %v to %v, off its sheet or in its trim", p.Panel, lo, hi)
			}
			a := attitude{p.Flipped, p.Turns}
			if g := shiftBy(a.of(outlineOf(q)), p.X, p.Y); !sameOutline(g, tidy(p.Outline)) {
				t.Errorf("%s: attitude %+v gives %v, laid %v", p.Panel, a, g, p.Outline)
			}
			if p.Flipped && q.PairWith == "" {
				t.Errorf("%s is turned over", p.Panel)
			}
			if q.Grain == "length" && p.Turns%2 == 1 || q.Grain == "width" && p.Turns%2 == 0 {
				t.Errorf("%s with grain along its %s is turned by %d quarters", p.Panel, q.Grain, p.Turns)
			}
			if q.Board != k.Board || q.Thickness != k.Thickness {
				t.Errorf("%s of %s lies on %s", p.Panel, q.Board, k.Board)
			}
			for _, o := range s.Places[:i] {
				if d := gap(p.Outline, o.Outline); d < float64(n.Clearance)-1e-6 { // the distance is rounded
					t.Errorf("%s and %s are %.3f um apart, less than %d", p.Panel, o.Panel, d, n.Clearance)
				}
			}
		}
	}
	if have != want {
		t.Errorf("%d pieces laid or named, want %d", have, want)
	}
}

// wedges are the two ends of a wedge box, each the other's mirror image, and four walls.
func wedgeParts() []Part {
	end := [][2]Um{{0, 0}, {540_500, 0}, {416_000, 364_000}, {0, 364_000}}
	other := [][2]Um{{540_500 - 416_000, 364_000}, {0, 0}, {540_500, 0}, {540_500, 364_000}}
	return []Part{
		{Name: "left end", Count: 1, Length: 540_500, Width: 364_000, Outline: end, PairWith: "right end"},
		{Name: "right end", Count: 1, Length: 540_500, Width: 364_000, Outline: other, PairWith: "left end"},
		{Name: "walls", Count: 4, Length: 700_000, Width: 300_000},
	}
}

func TestNestedEndsOfWedgesNest(t *testing.T) {
	stock := []Stock{{Length: 2440_000, Width: 1220_000, Trim: -1}}
	saw := Saw{Kerf: 3_200, Trim: 5_000}
	n, err := LayNested(wedgeParts(), stock, saw, 8*mm, Options{})
	if err != nil {
		t.Fatal(err)
	}
	checkNested(t, n, wedgeParts(), stock, saw)
	if len(n.Sheets) != 1 || len(n.Unplaced) != 0 {
		t.Fatalf("%d sheets, %v not laid", len(n.Sheets), n.Unplaced)
	}
	// Both ends alone: the parallel sides add up to 956.5 mm; two rectangles side by side need 1081 mm and the clearance.
	n, err = LayNested(wedgeParts()[:2], []Stock{{Length: 2440_000, Width: 374_000, Trim: -1}}, saw, 8*mm, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n.Sheets[0].Used > 5_000+956_500+9_000 {
		t.Errorf("the ends of a wedge reach to %d um: they do not nest", n.Sheets[0].Used)
	}
}

func TestNestedKeepsItsRules(t *testing.T) {
	boards := []string{"MDF", "ply"}
	rapid.Check(t, func(t *rapid.T) {
		var parts []Part
		for i := range rapid.IntRange(1, 7).Draw(t, "parts") {
			p := Part{Name: fmt.Sprint("p", i), Count: rapid.IntRange(1, 3).Draw(t, "count"), Board: rapid.SampledFrom(boards).Draw(t, "board"),
				Length: rapid.Int64Range(30_000, 900_000).Draw(t, "length"), Width: rapid.Int64Range(30_000, 600_000).Draw(t, "width"),
				Grain: rapid.SampledFrom([]string{"", "length", "width"}).Draw(t, "grain")}
			x := func(of Um) Um { return rapid.Int64Range(1, of-1).Draw(t, "cut") }
			switch rapid.IntRange(0, 3).Draw(t, "shape") {
			case 1:
				p.Outline = [][2]Um{{0, 0}, {p.Length, 0}, {x(p.Length), p.Width}, {0, p.Width}}
			case 2:
				a, b := x(p.Length), x(p.Width)
				p.Outline = [][2]Um{{0, 0}, {p.Length, 0}, {p.Length, b}, {a, b}, {a, p.Width}, {0, p.Width}}
			case 3:
				p.Outline = [][2]Um{{0, 0}, {p.Length, x(p.Width)}, {0, p.Width}}
			}
			if p.Outline != nil && rapid.Bool().Draw(t, "either face") {
				p.PairWith = p.Name
			}
			parts = append(parts, p)
		}
		stock := []Stock{
			{Name: "MDF", Board: "MDF", Length: 1220_000, Width: 1000_000, Trim: -1},
			{Name: "offcut", Board: "MDF", Length: 600_000, Width: 500_000, Trim: -1, Offcut: true, Count: 1},
			{Name: "ply", Board: "ply", Length: 1500_000, Width: 700_000, Trim: -1, Count: rapid.IntRange(0, 2).Draw(t, "ply sheets")},
		}
		saw := Saw{Kerf: 3_200, Trim: rapid.SampledFrom([]Um{0, 6_000}).Draw(t, "trim")}
		n, err := LayNested(parts, stock, saw, rapid.Int64Range(1, 20_000).Draw(t, "clearance"), Options{Budget: 400_000})
		if err != nil {
			t.Fatal(err)
		}
		checkNested(t, n, parts, stock, saw)
	})
}

func TestGrowHoldsAllWithinTheClearance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pts [][2]Um
		for range rapid.IntRange(3, 9).Draw(t, "n") {
			pts = append(pts, [2]Um{rapid.Int64Range(0, 2_000_000).Draw(t, "x"), rapid.Int64Range(0, 2_000_000).Draw(t, "y")})
		}
		g := convexHull(pts)
		if len(g) < 3 {
			return
		}
		c := rapid.Int64Range(1, 30_000).Draw(t, "c")
		out := grow(g, c)
		if !isConvex(out) || !clears(out, g, float64(c)) {
			t.Fatalf("%v grown by %d: %v", g, c, out)
		}
		if a, b := doubleArea(out), float64(doubleArea(g)); float64(a) < b {
			t.Fatalf("grown to less")
		}
	})
}

func TestNestedRefusesNoClearance(t *testing.T) {
	for _, c := range []Um{0, -1, MaxSize + 1} {
		_, err := LayNested(wedgeParts(), []Stock{{Length: 2440_000, Width: 1220_000}}, Saw{}, c, Options{})
		var bad *InputError
		if !errors.As(err, &bad) || bad.Field != "clearance" {
			t.Errorf("clearance %d: %v", c, err)
		}
	}
}

func TestNestedStops(t *testing.T) {
	done := make(chan struct{})
	close(done)
	_, err := LayNested(wedgeParts(), []Stock{{Length: 2440_000, Width: 1220_000}}, Saw{}, 8*mm, Options{Done: done})
	if !errors.Is(err, ErrStopped) {
		t.Errorf("got %v", err)
	}
}

func BenchmarkNested(b *testing.B) {
	stock := []Stock{{Length: 2440_000, Width: 1220_000, Trim: -1}}
	parts := wedgeParts()
	parts[2].Count = 18
	for b.Loop() {
		if _, err := LayNested(parts, stock, Saw{Kerf: 3_200}, 8*mm, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
