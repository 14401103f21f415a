package panels

import (
	"errors"
	"math"
	"strings"
	"testing"

	"cubby/internal/plane"
	"cubby/internal/unit"
	"pgregory.net/rapid"
)

// carton is a plain box, 600 x 330 x 300 of 18 mm board, driver in front.
func carton() Spec {
	return Spec{Section: mm(0, 0, 330, 0, 330, 300, 0, 300), Width: 0.6, Wood: board(18), Face: "front", Terminal: true,
		Driver: Driver{Frame: 0.250, Cutout: 0.225, Depth: 0.100, Magnet: 0.140, Displacement: 0.0015, Circle: 0.243, Bolts: 8, Hole: 0.0055, Mass: 5}}
}

func mustBuild(t *testing.T, s Spec) *Box {
	t.Helper()
	b, err := Build(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func (b *Box) check(t *testing.T, name string) Check {
	t.Helper()
	for _, c := range b.Checks {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no check %q among %v", name, b.Checks)
	return Check{}
}

func count(p *Panel, kind, use string) int {
	n := 0
	for _, h := range p.Holes {
		if h.Kind == kind && h.Use == use {
			n++
		}
	}
	return n
}

// The fastening by the room round the opening: an M5 T-nut's flange of 8 mm wants 9 mm between the opening and the bolt
// circle; an M5 insert's hole of 6.5 mm leaves 4 mm of wood from 7.25 mm up.
func TestFastening(t *testing.T) {
	for _, c := range []struct {
		name         string
		ring, hole   float64 // mm: opening to bolt circle; the driver's hole
		mount        Mounting
		want         Fastening
		thread       string
		drill, land  float64 // mm
		status       Status
		says, remedy string
	}{
		{"T-nut just goes", 9, 5.5, Mounting{}, TNut, "M5", 6.5, 5.75, Pass, "flange wants 9.0 mm", ""},
		{"T-nut just does not", 8.99, 5.5, Mounting{}, Insert, "M5", 6.5, 5.74, Pass, "flange wants 9.0 mm", ""},
		{"insert just goes", 7.25, 5.5, Mounting{}, Insert, "M5", 6.5, 4, Pass, "inserts", ""},
		{"too near for an insert", 7.2, 5.5, Mounting{}, WoodScrew, "", 3, 5.7, Pass, "would leave", ""},
		{"larger screw", 12, 6.6, Mounting{}, TNut, "M6", 8, 8, Pass, "M6", ""},
		{"smaller screw", 12, 4.5, Mounting{}, TNut, "M4", 5.5, 9.25, Pass, "M4", ""},
		{"hole for no machine screw", 12, 3.5, Mounting{}, WoodScrew, "", 3, 10.5, Pass, "no machine screw", ""},
		{"chamfer excludes T-nuts", 12, 5.5, Mounting{Chamfer: 0.004}, Insert, "M5", 6.5, 4.75, Pass, "chamfered", ""},
		{"as asked", 12, 5.5, Mounting{Fastening: WoodScrew}, WoodScrew, "", 3, 10.5, Pass, "as the job asks", ""},
		{"too little wood", 5, 5.5, Mounting{Fastening: Insert}, Insert, "M5", 6.5, 1.75, Fail, "as the job asks", ""},
		{"wood screws would do", 6, 5.5, Mounting{Fastening: Insert}, Insert, "M5", 6.5, 2.75, Fail, "as the job asks", "wood screws would do"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := carton()
			s.Units = unit.Metric
			s.Driver.Circle, s.Driver.Hole, s.Mounting = s.Driver.Cutout+2*c.ring/1000, c.hole/1000, c.mount
			s.Driver.Frame = s.Driver.Circle + 0.01
			b := mustBuild(t, s)
			f := b.DriverSeat.Fixing
			if f.Fastening != c.want || f.Thread != c.thread || math.Abs(f.Hole*1000-c.drill) > 1e-9 || math.Abs(f.Land*1000-c.land) > 1e-9 {
				t.Errorf("got %+v, want %s %s, hole %g, land %g mm", f, c.want, c.thread, c.drill, c.land)
			}
			if !strings.Contains(f.Reason, c.says) {
				t.Errorf("reason %q does not say %q", f.Reason, c.says)
			}
			check := b.check(t, "wood round the bolts")
			if check.Status != c.status || !strings.Contains(check.Note, c.remedy) {
				t.Errorf("%v: %s", check.Status, check.Note)
			}
			for _, h := range b.panel("front").Holes {
				if h.Kind == "bolt" && h.Diameter != f.Hole {
					t.Errorf("bolt hole %g, want the barrel's %g", h.Diameter, f.Hole)
				}
			}
		})
	}
}

// A recess sinks the driver: its hole is drawn, wood and depth behind go by it, and what the face cannot take is refused.
func TestRecess(t *testing.T) {
	flat := mustBuild(t, carton())
	s := carton()
	s.Mounting.Recess = 0.006
	b := mustBuild(t, s)
	h := b.panel("front").Holes[0]
	if h.Kind != "recess" || math.Abs(h.Diameter-0.251) > 1e-12 || h.Depth != 0.006 || h.From != "outer" {
		t.Errorf("recess: %+v", h)
	}
	if got := flat.DriverSeat.DepthBehind - b.DriverSeat.DepthBehind; math.Abs(got-0.006) > 1e-12 {
		t.Errorf("the recess takes %g of the depth behind, want 6 mm", got)
	}
	if c := b.check(t, "wood under the flange"); c.Status != Pass || math.Abs(c.Value-0.012) > 1e-12 {
		t.Errorf("wood under the flange: %+v", c)
	}
	// a ring of 6 mm taken out round the opening, at 750 kg/m3
	ring := math.Pi / 4 * (0.251*0.251 - 0.225*0.225) * 0.006 * 750
	if got := flat.BoardMass - b.BoardMass; math.Abs(got-ring) > 1e-9 {
		t.Errorf("the recess takes %g kg, want %g", got, ring)
	}
	for recess, want := range map[float64]Status{0.007: Marginal, 0.0095: Fail} {
		s.Mounting.Recess = recess
		if c := mustBuild(t, s).check(t, "wood under the flange"); c.Status != want {
			t.Errorf("recess %g: %v", recess, c)
		}
	}
	s.Mounting.Recess = 0.013
	var why *BuildError
	if _, err := Build(s); !errors.As(err, &why) || !strings.Contains(why.Text, "12.0 mm or less") {
		t.Errorf("recess of 13 in 18: %v", err)
	}
	s.Driver.Frame = 0
	if _, err := Build(s); !errors.As(err, &why) || !strings.Contains(why.Text, "frame is not stated") {
		t.Errorf("recess without a frame: %v", err)
	}
}

// The terminal plate: opening and screws in one end, its cup off the air, and refusals with what would do.
func TestTerminalPlate(t *testing.T) {
	s := carton()
	bare := mustBuild(t, s)
	s.Plate = &Plate{Width: 0.1, Height: 0.06, Radius: 0.006, Depth: 0.05}
	b := mustBuild(t, s)
	end := b.panel(leftEnd)
	if count(end, "terminal", "") != 1 || count(end, "fixing", UseTerminalScrew) != 4 {
		t.Fatalf("holes of the end: %+v", end.Holes)
	}
	want := (0.1*0.06 - (4-math.Pi)*0.006*0.006) * (0.05 - 0.018)
	if got := bare.NetVolume - b.NetVolume; math.Abs(got-want) > 1e-12 {
		t.Errorf("the cup takes %g, want %g", got, want)
	}
	if c := b.check(t, "terminal plate"); c.Status != Pass || c.Value < terminalWood-1e-9 {
		t.Errorf("terminal: %+v", c)
	}
	s.Plate.Face = "bottom"
	if _, err := Build(s); err == nil || !strings.Contains(err.Error(), "stands on it") {
		t.Errorf("plate in the bottom: %v", err)
	}
	s.Plate.Face, s.Plate.Height = "left", 0.235
	if c := mustBuild(t, s).check(t, "terminal plate"); c.Status != Fail && c.Status != Marginal || !strings.Contains(c.Note, "smaller") {
		t.Errorf("plate as high as the end: %+v", c)
	}
	s.Plate = &Plate{Face: "front"}
	if c := mustBuild(t, s).check(t, "terminal plate"); c.Status == Pass && c.Value < terminalWood {
		t.Errorf("beside the driver: %+v", c)
	}
}

// Fixing points are where the job says, drilled, and checked against joints, openings and what stands behind.
func TestFixingPoints(t *testing.T) {
	at := func(v float64) *float64 { return &v }
	s := carton()
	s.Left = 0.1
	s.Fixings = []FixingPoint{
		{Face: "bottom", Left: at(0.1), Front: at(0.08)},
		{Face: "bottom", Right: at(0.1), Front: at(0.08), Kind: FixingBracket},
		{Face: "back", Left: at(0.3), Bottom: at(0.2)},
		{Face: "right", Front: at(0.1), Bottom: at(0.25)},
		{Face: "left", Front: at(0.1), Bottom: at(0.25), Hole: 0.009},
	}
	b := mustBuild(t, s)
	want := map[string][][3]float64{"bottom": {{0.2, 0.08, 0}, {0.6, 0.08, 0}}, "back": {{0.4, 0.33, 0.2}}, "right end": {{0.7, 0.1, 0.25}}, "left end": {{0.1, 0.1, 0.25}}}
	for name, places := range want {
		p := b.panel(name)
		var got [][3]float64
		for _, h := range p.Holes {
			if h.ToVehicle() {
				got = append(got, p.Place.At(h.X, h.Y, 0))
			}
		}
		if len(got) != len(places) {
			t.Errorf("%s: %v, want %v", name, got, places)
			continue
		}
		for i := range got {
			for k := range 3 {
				if math.Abs(got[i][k]-places[i][k]) > 1e-12 {
					t.Errorf("%s: %v, want %v", name, got[i], places[i])
				}
			}
		}
	}
	for i := range s.Fixings {
		if c := b.check(t, "fixing point "+string(rune('1'+i))); c.Status != Pass {
			t.Errorf("%+v", c)
		}
	}
	for _, c := range []struct {
		name   string
		point  FixingPoint
		status Status
		says   string
	}{
		{"near a joint", FixingPoint{Face: "bottom", Left: at(0.05), Front: at(0.04)}, Marginal, "further away would do"},
		{"on a joint", FixingPoint{Face: "bottom", Left: at(0.1), Front: at(0.005)}, Fail, "misses the inside of the bottom by 17.0 mm; from_left from 47.0 mm to 553.0 mm and from_front from 47.0 mm to 283.0 mm would do"},
		{"at the end of what would do", FixingPoint{Face: "bottom", Left: at(0.553), Front: at(0.283)}, Pass, ""},
		{"beyond the end of a wall", FixingPoint{Face: "back", Right: at(0.1), Bottom: at(0.290)}, Fail, "from_right from 47.0 mm to 553.0 mm and from_bottom from 47.0 mm to 253.0 mm would do"},
		{"off the box", FixingPoint{Face: "bottom", Left: at(0.7), Front: at(0.1)}, Fail, "misses the inside"},
	} {
		s.Fixings = []FixingPoint{c.point}
		b := mustBuild(t, s)
		if got := b.check(t, "fixing point 1"); got.Status != c.status || !strings.Contains(got.Note, c.says) {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
	s.Fixings = []FixingPoint{{Face: "front", Left: at(0.3), Bottom: at(0.15)}}
	if c := mustBuild(t, s).check(t, "wood between openings"); c.Status != Fail || !strings.Contains(c.Note, "more between them would do") {
		t.Errorf("through the driver: %+v", c)
	}
	s = loosen(carton())
	s.Driver = Driver{Frame: 0.2, Cutout: 0.18}
	s.Fixings = []FixingPoint{{Face: "front", Left: at(0.08), Bottom: at(0.08)}}
	if c := mustBuild(t, s).check(t, "fixing point 1"); c.Status != Fail || !strings.Contains(c.Note, "removable") {
		t.Errorf("in the removable face: %+v", c)
	}
}

// The flange of a tube: rebate, pilot holes on the middle of the rim, and the room that it takes.
func TestTubeFlange(t *testing.T) {
	s := carton()
	s.Width = 0.8
	s.Port = &Port{Count: 1, Bore: 0.071, Outside: 0.075, Length: 0.15, Flange: Flange{Rim: 0.02, Rebate: 0.004, Screws: 6}}
	b := mustBuild(t, s)
	p := b.panel(b.PortSeats[0].Panel)
	if count(p, "fixing", UseFlangeScrew) != 6 {
		t.Fatalf("holes: %+v", p.Holes)
	}
	c := b.PortSeats[0].Centre
	for _, h := range p.Holes {
		switch {
		case h.Use == UseFlangeScrew:
			if r := math.Hypot(h.X-c.X, h.Y-c.Y); math.Abs(r-0.0475) > 1e-12 {
				t.Errorf("flange screw at %g from the centre, want 47.5 mm", r)
			}
		case h.Kind == "recess":
			if math.Abs(h.Diameter-0.1155) > 1e-12 || h.Depth != 0.004 {
				t.Errorf("rebate %+v", h)
			}
		case h.Kind == "port" && math.Abs(h.Diameter-0.0755) > 1e-12:
			t.Errorf("hole %g, want the outside and half a millimetre", h.Diameter)
		}
	}
	s.Port.Flange.Rebate = 0.012
	if c := mustBuild(t, s).check(t, "wood behind the port's flange"); c.Status != Marginal || !strings.Contains(c.Note, "a rebate of 10.0 mm would do") {
		t.Errorf("%+v", c)
	}
}

// Covering: area, and the finished outside of a box covered on some faces; the panels stay as they are.
func TestCovering(t *testing.T) {
	s := carton()
	bare := mustBuild(t, s)
	s.Wood.Covering = &Covering{Kind: "carpet", Thickness: 0.004}
	b := mustBuild(t, s)
	if b.NetVolume != bare.NetVolume || b.panel("top").Length != bare.panel("top").Length {
		t.Error("covering changed the wood")
	}
	if f := b.Finished(); math.Abs(f[0]-0.608) > 1e-12 || math.Abs(f[1]-0.338) > 1e-12 || math.Abs(f[2]-0.308) > 1e-12 {
		t.Errorf("finished %v", f)
	}
	// outside x 1.10, and 50 mm over both edges of the strip round the walls and at its seam
	round := 2 * (0.33 + 0.3)
	want := (round*0.6+2*0.33*0.3)*1.1 + (2*round+0.6)*0.05
	if got := b.CoverArea(); math.Abs(got-want) > 1e-12 {
		t.Errorf("area %g, want %g", got, want)
	}
	s.Wood.Covering.Faces = []string{"front", "left"}
	b = mustBuild(t, s)
	if f := b.Finished(); math.Abs(f[0]-0.604) > 1e-12 || math.Abs(f[1]-0.334) > 1e-12 || math.Abs(f[2]-0.3) > 1e-12 {
		t.Errorf("front and left covered: finished %v", f)
	}
	want = (0.3*0.6+0.33*0.3)*1.1 + (2*0.3+0.6)*0.05
	if got := b.CoverArea(); math.Abs(got-want) > 1e-12 {
		t.Errorf("front and left: area %g, want %g", got, want)
	}
}

// Ends with a flush allowance: the blank grows, the outline and its openings do not.
func TestFlush(t *testing.T) {
	s := carton()
	bare := mustBuild(t, s)
	s.Wood.Flush = 0.001
	b := mustBuild(t, s)
	p, q := b.panel(leftEnd), bare.panel(leftEnd)
	if math.Abs(p.Blank[0]-q.Blank[0]-0.002) > 1e-12 || math.Abs(p.Blank[1]-q.Blank[1]-0.002) > 1e-12 || p.Length != q.Length || p.Volume != q.Volume {
		t.Errorf("blank %v, finished %v", p.Blank, q.Blank)
	}
	if len(p.Holes) != 1 || p.Holes[0] != q.Holes[0] {
		t.Errorf("openings moved: %+v %+v", p.Holes, q.Holes)
	}
	// at a corner of 73.7 degrees the sides moved out by 1 mm meet 1.33 mm further: (1 + cos)/sin
	s.Section = mm(wedge...)
	s.Driver = Driver{}
	b = mustBuild(t, s)
	p = b.panel(rightEnd)
	cut := p.CutOutline().Bounds()
	a := math.Atan2(240, 70)
	if want := 0.430 + 0.001 + 0.001*(1+math.Cos(a))/math.Sin(a); math.Abs(cut.Width()-want) > 1e-12 || p.Blank[0] != cut.Width() {
		t.Errorf("wedge: blank %g, want %g", cut.Width(), want)
	}
}

// The distance of a segment from a rectangle's outline is the least of its distances from the four sides.
func TestOffRect(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		point := func(name string) plane.Point {
			along := rapid.IntRange(0, 10) // whole numbers, so that things often touch
			return plane.Point{X: float64(along.Draw(t, name+".x")), Y: float64(along.Draw(t, name+".y"))}
		}
		r := plane.Polygon{point("p"), point("q")}.Bounds()
		if r.Area() == 0 {
			return
		}
		a, b := point("a"), point("b")
		want := math.Inf(1)
		for i, g := 0, r.Polygon(); i < len(g); i++ {
			c, d := g.Edge(i)
			want = math.Min(want, apart(a, b, c, d))
		}
		if got := offRect(r, a, b); math.Abs(got-want) > 1e-12 {
			t.Fatalf("%v to %v is %g from %v, its sides say %g", a, b, got, r, want)
		}
	})
}
