package panels

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

func TestNames(t *testing.T) {
	for _, x := range []struct {
		section []float64
		want    string
	}{
		{[]float64{0, 0, 330, 0, 330, 260, 0, 260}, "bottom back top front"},
		{wedge, "bottom back top front"},
		{step, "bottom back tread riser top front"},
		{[]float64{0, 0, 400, 0, 400, 150, 280, 200, 240, 320, 0, 320}, "bottom back slope 1 slope 2 top front"},
		{[]float64{0, 0, 500, 0, 0, 350}, "bottom slope front"},
		{[]float64{0, 0, 386, 0, 386, 80, 0, 350}, "bottom nose slope front"},
		{[]float64{0, 50, 100, 50, 100, 0, 400, 0, 400, 300, 0, 300}, "soffit riser bottom back top front"}, // over a rail at the front
	} {
		if got := strings.Join(Names(mm(x.section...)), " "); got != x.want {
			t.Errorf("%v: got %q, want %q", x.section, got, x.want)
		}
	}
}

// Of the eight edges of the wedge with forced mitres of unlike boards, four tilt beyond 45 degrees: each is warned of, and
// no other.
func TestTiltsBeyondTheSaw(t *testing.T) {
	for _, x := range workedExamples() {
		b, err := Build(Spec{Section: mm(x.section...), Width: 0.9, Wood: x.wood, Corners: x.corners, Face: "front"})
		if err != nil {
			t.Fatal(err)
		}
		beyond, warned := 0, 0
		for _, w := range x.walls {
			for _, tilt := range []float64{w.tilt0, w.tilt1} {
				if math.Abs(tilt) > 45 {
					beyond++
				}
			}
		}
		for _, w := range b.Warnings {
			if strings.Contains(w, "beyond the saw") {
				warned++
			}
		}
		if warned != beyond {
			t.Errorf("%s: %d warnings for %d edges: %q", x.name, warned, beyond, b.Warnings)
		}
	}
}

// A 140 degree corner between boards of 12 and 25 mm: the mitre would tilt +63.99 and -23.99 degrees, so that the butt with
// its 50 degrees is the lesser evil, whatever the wish.
func TestJointOfUnlikeBoards(t *testing.T) {
	const a = 140 * degree
	for _, x := range []struct{ t, other, want float64 }{{12, 25, 63.99}, {25, 12, -23.99}} {
		if got := mitreTilt(x.t, x.other, a) / degree; math.Abs(got-x.want) > 0.005 {
			t.Errorf("%g mm against %g mm: mitre of %.3f degrees, want %.2f", x.t, x.other, got, x.want)
		}
	}
	for _, wish := range []Joint{Butt, Mitre, Rabbet} {
		if got := chooseJoint(wish, a, 12, 25); got != Butt {
			t.Errorf("wish %v: got %v, want butt", wish, got)
		}
		if got := chooseJoint(wish, a, 18, 18); got != Mitre {
			t.Errorf("wish %v, equal boards: got %v, want mitre", wish, got)
		}
	}
}

// A driver on the front of the wedge looks at the back wall that leans away: the nearest point is at the magnet's lower edge.
func TestDepthBehindOnSlopingWall(t *testing.T) {
	driver := Driver{Frame: 0.170, Cutout: 0.150, Magnet: 0.090, Depth: 0.080}
	for _, x := range []struct {
		face, behind string
		want         float64 // mm
	}{
		// back's inner face runs through (348.750, 15) and rises 240 in 70; front's middle is at height 120, the magnet's edge at 75
		{"front", "back", 348.750 + (75.0-15)*70/240},
		{"top", "bottom", 240 - 15},
		{"bottom", "top", 240 - 15},
		{"left", rightEnd, 900 - 15},
		{"right", leftEnd, 900 - 15},
	} {
		b, err := Build(Spec{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: x.face, Driver: driver})
		if err != nil {
			t.Fatal(err)
		}
		if got := b.DriverSeat.DepthBehind * 1000; math.Abs(got-x.want) > 1e-6 || b.DriverSeat.Behind != x.behind {
			t.Errorf("%s: %.6f mm to the %s, want %.6f to the %s", x.face, got, b.DriverSeat.Behind, x.want, x.behind)
		}
	}
}

// The depth grades go by the driver's depth and what it wants behind it.
func TestDepthGrades(t *testing.T) {
	for _, x := range []struct {
		depth float64
		vent  bool
		want  Status
	}{{0.200, true, Pass}, {0.201, true, Marginal}, {0.225, true, Marginal}, {0.2251, true, Fail}, {0.219, false, Pass}, {0.2191, false, Marginal}} {
		b, err := Build(Spec{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: "top",
			Driver: Driver{Frame: 0.260, Cutout: 0.235, Magnet: 0.140, Depth: x.depth, Vent: x.vent}})
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(b.Checks, func(c Check) bool { return c.Name == "depth behind the driver" })
		if i < 0 || b.Checks[i].Status != x.want {
			t.Errorf("depth %g, vent %t: got %+v, want %v", x.depth, x.vent, b.Checks, x.want)
		}
	}
}

// A straight tube in the left end: what it takes from the air, and what is left before its inner end, by hand.
func TestStraightTube(t *testing.T) {
	s := Spec{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: "top",
		Driver: Driver{Frame: 0.150, Cutout: 0.130, Magnet: 0.080, Depth: 0.060, Displacement: 0.0005},
		Port:   &Port{Count: 1, Bore: 0.070, Outside: 0.076, Length: 0.300, Face: "left"}}
	b, err := Build(s)
	if err != nil {
		t.Fatal(err)
	}
	p := b.PortSeats[0]
	if got, want := p.InsideVolume, math.Pi/4*0.076*0.076*(0.300-0.015); math.Abs(got-want) > 1e-12 {
		t.Errorf("the tube takes %g m3, want %g", got, want)
	}
	if got, want := b.NetVolume, 0.870*0.07651875-0.0005-p.InsideVolume; math.Abs(got-want) > 1e-9 {
		t.Errorf("net volume %g m3, want %g", got, want)
	}
	if got := p.InnerSection; math.Abs(got-0.07651875) > 1e-12 {
		t.Errorf("section at the inner end %g m2, want the inside's", got)
	}
}

// Three tubes with elbows run one behind the other: each keeps its length, its air and its distance from the others.
func TestThreeTubesTurn(t *testing.T) {
	s := Spec{Section: mm(0, 0, 520, 0, 520, 300, 0, 300), Width: 1.1, Wood: board(15), Face: "top",
		Driver: Driver{Frame: 0.200, Cutout: 0.180, Magnet: 0.100, Depth: 0.090},
		Port:   &Port{Count: 3, Bore: 0.071, Outside: 0.075, Length: 0.62, Elbow: true, Face: "front"}}
	m, err := plan(s)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(m.box.PortSeats); n != 3 {
		t.Fatalf("%d tubes", n)
	}
	for _, p := range m.box.PortSeats {
		if got := p.Legs[0] + p.Bend*math.Pi/2 + p.Legs[1]; math.Abs(got-0.62) > 1e-12 || p.Saddle != saddleFromEnd {
			t.Errorf("a tube of %g m by its legs, saddle %g: %+v", got, p.Saddle, p)
		}
		if want := math.Pi / 4 * 0.075 * 0.075 * (0.62 - 0.015); math.Abs(p.InsideVolume-want) > 1e-12 {
			t.Errorf("a tube takes %g m3, want %g", p.InsideVolume, want)
		}
		if p.FreeEnd < 0.071 {
			t.Errorf("%g m of air before a tube of 71 mm", p.FreeEnd)
		}
	}
	for i, a := range m.bodies {
		for _, b := range m.bodies[:i] {
			if a.name != b.name && a.x0 < b.x1 && b.x0 < a.x1 && a.area.IntersectArea(b.area) > 1e-12 {
				t.Errorf("%s and %s run into each other", a.name, b.name)
			}
		}
	}
}

// A slot along the bottom of a rectangle, straight and then with a bend up the back: centre line, wood and air by hand.
func TestSlot(t *testing.T) {
	// 400 deep, 300 high, 18 mm; the mouth low in the front, 30 mm high; driver on top
	s := Spec{Section: mm(0, 0, 400, 0, 400, 300, 0, 300), Width: 0.6, Wood: board(18), Face: "top",
		Driver: Driver{Frame: 0.200, Cutout: 0.180, Magnet: 0.100, Depth: 0.090}}
	for _, x := range []struct {
		length, free float64
		legs         []float64
		area         float64 // of wood and air in the section, mm2
	}{
		{300, 382 - 300, []float64{300}, (300 - 18) * 48},
		// the centre line turns at 382 - 15 from the outside; up the back it counts from 18 + 15
		{500, 282 - 33 - 133, []float64{367, 133}, (382-18)*48 + (33+133-18-48)*48},
	} {
		s.Port = &Port{Height: 0.030, Length: x.length / 1000, Face: "front"}
		b, err := Build(s)
		if err != nil {
			t.Fatal(err)
		}
		p := b.PortSeats[0]
		if math.Abs(p.FreeEnd*1000-x.free) > 1e-6 || len(p.Legs) != len(x.legs) || p.Along != "bottom" {
			t.Fatalf("%g mm: got %+v, want %g mm free, legs %v", x.length, p, x.free, x.legs)
		}
		for i, l := range p.Legs {
			if math.Abs(l*1000-x.legs[i]) > 1e-6 {
				t.Errorf("%g mm: leg %d is %g mm, want %g", x.length, i+1, l*1000, x.legs[i])
			}
		}
		if got, want := p.InsideVolume*1e9, x.area*(600-36); math.Abs(got-want) > 1 {
			t.Errorf("%g mm: the slot takes %.0f mm3, want %.0f", x.length, got, want)
		}
		if front := b.panel("front"); math.Abs(front.CutWidth-(0.300-0.036-0.030)) > 1e-12 {
			t.Errorf("front is cut %g wide, want 0.234", front.CutWidth)
		}
		for _, r := range b.ScrewRows() {
			if r.Through == "bottom" && r.Into == "front" {
				t.Error("screws go through the bottom into the edge that the mouth takes")
			}
		}
		for i, wall := range []string{"bottom", "back"}[:len(x.legs)] {
			name := []string{"slot wall", "slot wall 1", "slot wall 2"}[i+len(x.legs)-1]
			want := "stands 30.0 mm from the inner face of the " + wall
			if p := b.panel(name); p == nil || !strings.Contains(strings.Join(p.Notes, "; "), want) {
				t.Errorf("%s: no note says that it %s", name, want)
			}
		}
	}
}

// What a refusal calls the longest port goes in, and a hair more does not.
func TestLongestPort(t *testing.T) {
	base := Spec{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: "top",
		Driver: Driver{Frame: 0.260, Cutout: 0.235, Magnet: 0.140, Depth: 0.120, Vent: true}}
	for i, p := range []Port{
		{Count: 1, Bore: 0.075, Length: 5}, {Count: 2, Bore: 0.050, Length: 5}, {Count: 1, Bore: 0.060, Length: 5, Elbow: true}, {Count: 2, Bore: 0.045, Length: 5, Elbow: true},
		{Count: 1, Bore: 0.060, Length: 5, Face: "front"}, {Count: 1, Bore: 0.050, Length: 5, Elbow: true, Face: "top"}, {Height: 0.030, Length: 5}, {Height: 0.025, Length: 5, Face: "front"},
	} {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			s := base
			s.Port = &p
			_, err := Build(s)
			var why *BuildError
			if !errors.As(err, &why) || why.Reason != NoPort || !(why.LongestPort > 0) {
				t.Fatalf("a port of 5 m: %v", err)
			}
			for _, x := range []struct {
				length float64
				goes   bool
			}{{why.LongestPort - 1e-6, true}, {why.LongestPort + 1e-6, false}} {
				p.Length = x.length
				if _, err := Build(s); (err == nil) != x.goes {
					t.Errorf("longest %g: %g goes in: %v", why.LongestPort, x.length, err)
				}
			}
		})
	}
}

// A port that would go in but takes all the air that the driver leaves is refused with the longest that leaves some.
func TestLongestPortThatLeavesAir(t *testing.T) {
	for _, p := range []Port{{Count: 1, Bore: 0.060, Length: 0.15}, {Height: 0.030, Length: 0.2}, {Height: 0.030, Width: 0.1, Length: 0.2}} {
		s := Spec{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: "top"}
		empty, err := Build(s)
		if err != nil {
			t.Fatal(err)
		}
		s.Driver.Displacement = empty.InsideVolume - 0.3e-3
		s.Port = &p
		_, err = Build(s)
		var why *BuildError
		if !errors.As(err, &why) || !(why.LongestPort > 0) || why.LongestPort >= p.Length {
			t.Fatalf("%+v: %v", p, err)
		}
		for _, x := range []struct {
			length float64
			goes   bool
		}{{why.LongestPort, true}, {why.LongestPort + 0.2e-3, false}} {
			p.Length = x.length
			if _, err := Build(s); (err == nil) != x.goes {
				t.Errorf("longest %g: %g goes in: %v", why.LongestPort, x.length, err)
			}
		}
	}
}

// Impossible input is refused with a reason, all faults at once.
func TestRefusals(t *testing.T) {
	good := Spec{Section: mm(wedge...), Width: 0.9, Wood: board(15), Face: "top"}
	for _, x := range []struct {
		name   string
		change func(*Spec)
		want   Reason
	}{
		{"no width", func(s *Spec) { s.Width = 0 }, BadInput},
		{"width not a number", func(s *Spec) { s.Width = math.NaN() }, BadInput},
		{"no board", func(s *Spec) { s.Wood.Thickness = 0 }, BadInput},
		{"two corners", func(s *Spec) { s.Section = mm(0, 0, 300, 0) }, BadInput},
		{"no such face", func(s *Spec) { s.Face = "lid" }, NoFace},
		{"board too thick", func(s *Spec) { s.Wood.Thickness = 0.12 }, NoInside},
		{"too narrow", func(s *Spec) { s.Width = 0.03 }, NoInside},
		{"driver too large", func(s *Spec) { s.Driver = Driver{Frame: 0.45, Cutout: 0.42} }, NoFrame},
		{"driver takes the air", func(s *Spec) { s.Driver.Displacement = 0.2 }, NoAir},
		{"port without length", func(s *Spec) { s.Port = &Port{Bore: 0.05} }, BadInput},
		{"ends too thin to rabbet", func(s *Spec) { s.Wood.Thickness, s.Wood.Ends = 0.009, EndsRabbeted }, NoRabbet},
		{"unlike boards at a flat corner", func(s *Spec) {
			s.Section = mm(0, 0, 400, 0, 400, 200, 200, 228, 0, 228)
			s.Wood.Panels = map[string]float64{"top": 0.025}
		}, UnlikeBoards},
	} {
		s := good
		x.change(&s)
		_, err := Build(s)
		var why *BuildError
		if !errors.As(err, &why) || why.Reason != x.want {
			t.Errorf("%s: got %v, want a refusal for %q", x.name, err, x.want)
		}
		if _, err := Plan(s); err == nil {
			t.Errorf("%s: Plan does not refuse", x.name)
		}
	}
	s := good
	s.Width, s.Wood.Thickness = -1, math.Inf(1)
	if _, err := Build(s); err == nil || strings.Count(err.Error(), "\n") != 1 {
		t.Errorf("two faults give %q", err)
	}
}
