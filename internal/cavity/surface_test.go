package cavity

import (
	"math"
	"testing"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if math.Abs(got-want) > by {
		t.Errorf("%s is %.6f, want %.6f", what, got, want)
	}
}

func settled(t testing.TB, s *Space) *Room {
	t.Helper()
	m, err := s.Settle()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// The gap is square to the plane: 6 mm on a roof that falls by 0.35 over depth and by 0.2 across is 6.469 mm upright.
func TestGapIsSquareToThePlane(t *testing.T) {
	const p, q, g = 0.35, 0.2, 0.006
	z := func(x, y float64) float64 { return 0.5 + q*x - p*y }
	st := func(x float64) Station {
		return Station{FromLeft: x, Front: 0, Back: 0.4, Roof: []Height{{Depth: 0, Height: z(x, 0)}, {Depth: 0.4, Height: z(x, 0.4)}}}
	}
	m := settled(t, &Space{Gap: g, Stations: []Station{st(0), st(0.5)}})
	got := z(0.25, 0.2) + m.free.roof.at(0.25, 0.2)
	near(t, "the gap upright", got*1000, 6.469, 0.0005)
	near(t, "the gap in the section", got*1000/math.Sqrt(1+p*p), 6.106, 0.0005)
	near(t, "the gap square to the plane", got/math.Sqrt(1+p*p+q*q), g, 1e-12)
}

// A cell of four heights is a ruled patch: over 200 220 / 210 260 its middle is 222.5, between the 230 and 215 of the two
// ways to halve it into triangles.
func TestPatchIsRuled(t *testing.T) {
	m := settled(t, &Space{Stations: []Station{at(0, line(0, 200, 400, 220), nil), at(500, line(0, 210, 400, 260), nil)}})
	near(t, "the middle", -m.raw.roof.at(0.25, 0.2)*1000, 222.5, 1e-9)
}

// A kick of 0 to 90 that lies at depths 280 and 200 at two stations counts as 90 over the whole cell between those depths.
func TestSlantedStepsAreSafe(t *testing.T) {
	roof := line(0, 300, 430, 300)
	m := settled(t, &Space{Stations: []Station{at(0, roof, line(0, 0, 280, 0, 300, 90, 430, 90)), at(500, roof, line(0, 0, 200, 0, 220, 90, 430, 90))}})
	for _, x := range []float64{0, 0.1, 0.25, 0.4, 0.5} {
		near(t, "the floor between the steps", m.raw.floor.at(x, 0.25)*1000, 90, 1e-9)
		near(t, "the floor before the steps", m.raw.floor.at(x, 0.15)*1000, 0, 1e-9)
	}
	r := Region{Axis: Across, Lo: 0.05, Hi: 0.45, Section: outline(0, 95, 400, 95, 400, 290, 0, 290)}
	if s := m.StickTests(&r); len(s) == 0 || s[0].Surface != Floor || s[0].Y < 0.2 || s[0].Y > 0.3 {
		t.Errorf("stick tests %+v: want one on the slanting step first", s)
	}
	// a step at the same depth is left alone
	m = settled(t, &Space{Stations: []Station{at(0, roof, line(0, 0, 280, 0, 300, 90, 430, 90)), at(500, roof, line(0, 0, 280, 0, 300, 50, 430, 50))}})
	near(t, "half way up a step at one depth", m.raw.floor.at(0.25, 0.29)*1000, 35, 1e-9)
}

// A round hump's polygon lies outside its circle by at most 1.25 % and touches it at its top.
func TestRoundHump(t *testing.T) {
	g := RoundOutline(plane.Point{X: 0.45}, 0.31, -1)
	near(t, "its top", g.Bounds().Max.Y, 0.31, 1e-12)
	far := 0.0
	for _, p := range g {
		if p.Y >= 0 {
			far = math.Max(far, math.Hypot(p.X-0.45, p.Y))
		}
	}
	near(t, "its farthest corner", far*1000, 313.9, 0.05)
	if !g.IsConvex() || g.Area() <= 0 {
		t.Errorf("%v is not convex", g)
	}
	for k := range 100 {
		s, c := math.Sincos(math.Pi * float64(k) / 99)
		if !g.Contains(plane.Point{X: 0.45 + 0.31*c, Y: 0.31 * s}) {
			t.Errorf("a point of the circle lies outside at %d of 99", k)
		}
	}
}

// The shadow of a hump that runs along the depth on a prism across is only as high as the hump is within the stretch.
func TestShadowOfAHump(t *testing.T) {
	b := Block{Axis: Depth, Outline: outline(500, 0, 760, 0, 700, 105, 560, 105), Lo: 0, Hi: 0.4}
	g := b.shadow(Across, 0.7, 0.9)
	near(t, "its height from 700 on", g.Bounds().Max.Y*1000, 105, 1e-9)
	g = b.shadow(Across, 0.73, 0.9)
	near(t, "its height from 730 on", g.Bounds().Max.Y*1000, 52.5, 1e-9)
	if b.shadow(Across, 0.76, 0.9) != nil {
		t.Error("beside the hump there is a shadow")
	}
	if g = b.shadow(Depth, 0.1, 0.2); len(g) != 4 || math.Abs(g.Area()-b.Outline.Area()) > 1e-12 {
		t.Errorf("along the hump its shadow is %v", g)
	}
}

// A stick that finds the roof lower bends it down there; one on the floor bends that up.
func TestSticksBend(t *testing.T) {
	s := &Space{Stations: []Station{at(0, line(0, 300, 400, 300), nil), at(800, line(0, 300, 400, 300), nil)},
		Sticks: []Stick{{0.4, 0.2, 0.27, Roof}, {0.4, 0.2, 0.02, Floor}}}
	m := settled(t, s)
	near(t, "the roof at the stick", -m.raw.roof.at(0.4, 0.2), 0.27, 1e-12)
	near(t, "the floor at the stick", m.raw.floor.at(0.4, 0.2), 0.02, 1e-12)
	near(t, "the roof at the left side", -m.raw.roof.at(0, 0.2), 0.3, 1e-12)
	near(t, "the roof half way", -m.raw.roof.at(0.2, 0.2), 0.285, 1e-12)
}

// What is not measured yet is held straight, named, and cannot be the first of its line; a slip of the pencil is doubted
// unless it is sure.
func TestUnknownAndDoubtful(t *testing.T) {
	roof := func(v float64, sure bool) []Height {
		l := line(0, 300, 200, v, 400, 300)
		l[1].Sure = sure
		return l
	}
	guess := line(0, 300, 200, 0, 400, 200)
	guess[1].Unknown = true
	s := &Space{Stations: []Station{at(0, roof(300, false), nil), at(400, roof(200, false), nil), at(800, guess, nil)}}
	m := settled(t, s)
	if len(m.Doubts) != 1 || m.Doubts[0].Station != 2 || m.Doubts[0].Reading != 2 || m.Doubts[0].Surface != Roof {
		t.Errorf("doubts %+v", m.Doubts)
	}
	if len(m.Guess) != 1 || math.Abs(m.Guess[0].Z-0.25) > 1e-12 {
		t.Errorf("guesses %+v", m.Guess)
	}
	near(t, "the guessed height", -m.raw.roof.at(0.8, 0.2), 0.25, 1e-12)
	s.Stations[1].Roof = roof(200, true)
	if m = settled(t, s); len(m.Doubts) != 0 {
		t.Errorf("a sure reading is doubted: %+v", m.Doubts)
	}
	// a kick that slants in plan is no slip
	kick := func(y float64) []Height { return line(0, 0, y, 0, y+20, 90, 400, 90) }
	s.Stations[1].Roof, s.Stations[0].Floor, s.Stations[1].Floor, s.Stations[2].Floor = roof(300, false), kick(300), kick(200), kick(100)
	if m = settled(t, s); len(m.Doubts) != 0 {
		t.Errorf("a slanting kick is doubted: %+v", m.Doubts)
	}
	// nor is the rim of a round well, whose bends wander in depth and of which the first station has none
	rim := func(x, y float64) Station {
		return at(x, line(y, 300, 400-y, 300), line(y, 70, y+50, 0, 350-y, 0, 400-y, 70))
	}
	well := &Space{Stations: []Station{at(0, line(150, 300, 250, 300), line(150, 70, 250, 70)), rim(100, 60), rim(200, 10), rim(300, 60), rim(400, 140)}}
	if m = settled(t, well); len(m.Doubts) != 0 {
		t.Errorf("a round rim is doubted: %+v", m.Doubts)
	}
	well.Stations[2].Floor[1].Height = 30 * mm
	if m = settled(t, well); len(m.Doubts) != 1 || m.Doubts[0].Station != 3 {
		t.Errorf("a slip at a rim: %+v", m.Doubts)
	}
	guess[0].Unknown = true
	if err := s.Check(); err == nil {
		t.Error("a line that begins with a guess is taken")
	}
}

// The air before a cone: free to the open front, stopped by a block, by a closed side and by a roof that comes down.
func TestBefore(t *testing.T) {
	s := &Space{Stations: []Station{at(0, line(0, 300, 400, 200), nil), at(800, line(0, 300, 400, 200), nil)},
		Blocks: []Block{box("leg", 380, 40, 20, 30, -1000, 1200)}}
	m := settled(t, s)
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	for _, c := range []struct {
		name      string
		p, dir    r3.Vec
		r, length float64
		want      Obstacle
	}{
		{"out of the open front", r3.Vec{X: 0.2, Y: 0.1, Z: 0.12}, r3.Scale(-1, y), 0.1, 0.3, Obstacle{}},
		{"through the leg", r3.Vec{X: 0.4, Y: 0.1, Z: 0.12}, r3.Scale(-1, y), 0.1, 0.3, Obstacle{Blocked: true, Block: "leg"}},
		{"beside the leg", r3.Vec{X: 0.53, Y: 0.1, Z: 0.12}, r3.Scale(-1, y), 0.1, 0.3, Obstacle{}},
		{"into the back", r3.Vec{X: 0.2, Y: 0.3, Z: 0.1}, y, 0.05, 0.2, Obstacle{Blocked: true, Side: Back}},
		{"into the left side", r3.Vec{X: 0.1, Y: 0.2, Z: 0.1}, r3.Scale(-1, x), 0.05, 0.2, Obstacle{Blocked: true, Side: Left}},
		{"up into the roof", r3.Vec{X: 0.2, Y: 0.2, Z: 0.15}, z, 0.1, 0.08, Obstacle{Blocked: true, Side: Roof}},
		{"up below the roof", r3.Vec{X: 0.2, Y: 0.2, Z: 0.15}, z, 0.1, 0.07, Obstacle{}},
		{"up over the edge of the front", r3.Vec{X: 0.2, Y: 0.05, Z: 0.15}, z, 0.1, 0.1, Obstacle{}},
		{"up over the edge of the left side", r3.Vec{X: 0.05, Y: 0.2, Z: 0.1}, z, 0.1, 0.05, Obstacle{Blocked: true, Side: Left}},
		{"askew into the roof", r3.Vec{X: 0.2, Y: 0.2, Z: 0.15}, r3.Unit(r3.Vec{Y: 1, Z: 1}), 0.05, 0.3, Obstacle{Blocked: true, Side: Roof}},
	} {
		if got := m.Before(c.p, c.dir, c.r, c.length); got != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
}
