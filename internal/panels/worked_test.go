package panels

import (
	"math"
	"testing"

	"cubby/internal/plane"
)

// The worked examples are computed by hand from the cut lines, in millimetres and degrees, and printed to 0.001: the
// tolerances are that rounding.
const (
	mmTolerance     = 0.0006
	areaTolerance   = 0.06 // mm2: some corners are stated to 0.001 mm over lengths of 500 mm
	degreeTolerance = 0.00006
)

type workedWall struct {
	name         string
	section      []float64
	outer, inner float64 // 0: not stated
	blank        float64
	tilt0, tilt1 float64
	area         float64
}

type worked struct {
	name    string
	section []float64
	wood    Wood
	corners []CornerWish
	inside  []float64
	areas   [2]float64 // inside, walls
	walls   []workedWall
}

func mm(xy ...float64) plane.Polygon {
	g := make(plane.Polygon, len(xy)/2)
	for i := range g {
		g[i] = plane.Point{X: xy[2*i] / 1000, Y: xy[2*i+1] / 1000}
	}
	return g
}

func board(t float64) Wood { return Wood{Board: "MDF", Thickness: t / 1000} }

func mixed(t float64, by map[string]float64) Wood {
	w := board(t)
	w.Panels = map[string]float64{}
	for n, v := range by {
		w.Panels[n] = v / 1000
	}
	return w
}

func joined(a, b string, j Joint) CornerWish { return CornerWish{Between: [2]string{a, b}, Joint: j} }

var wedge = []float64{0, 0, 360, 0, 430, 240, 0, 240}
var step = []float64{0, 0, 420, 0, 420, 170, 290, 170, 290, 300, 0, 300}

func workedExamples() []worked {
	layered := board(15)
	layered.FrontLayers = 2
	rabbeted := board(18)
	rabbeted.Joints, rabbeted.RabbetDepth = Rabbet, 9e-3
	return []worked{
		{name: "E1 rectangle, double front", section: []float64{0, 0, 330, 0, 330, 260, 0, 260}, wood: layered,
			inside: []float64{30, 15, 315, 15, 315, 245, 30, 245}, areas: [2]float64{65550, 20250},
			walls: []workedWall{
				{"bottom", []float64{0, 0, 330, 0, 330, 15, 0, 15}, 330, 330, 330, 0, 0, 4950},
				{"back", []float64{330, 15, 330, 245, 315, 245, 315, 15}, 230, 230, 230, 0, 0, 3450},
				{"top", []float64{330, 260, 0, 260, 0, 245, 330, 245}, 330, 330, 330, 0, 0, 4950},
				{"front", []float64{0, 245, 0, 15, 30, 15, 30, 245}, 230, 230, 230, 0, 0, 6900},
			}},
		{name: "E2 wedge", section: wedge, wood: board(15),
			inside: []float64{15, 15, 348.750, 15, 410, 225, 15, 225}, areas: [2]float64{76518.750, 18281.250},
			walls: []workedWall{
				{"bottom", []float64{0, 0, 360, 0, 364.375, 15, 0, 15}, 360, 364.375, 364.375, 0, -16.2602, 5432.8125},
				{"back", []float64{364.375, 15, 425.625, 225, 410, 225, 348.750, 15}, 218.750, 218.750, 223.125, -16.2602, 16.2602, 3281.250},
				{"top", []float64{430, 240, 0, 240, 0, 225, 425.625, 225}, 430, 425.625, 430, 16.2602, 0, 6417.1875},
				{"front", []float64{0, 225, 0, 15, 15, 15, 15, 225}, 210, 210, 210, 0, 0, 3150},
			}},
		{name: "E3 wedge, forced mitres of unlike boards", section: wedge, wood: mixed(18, map[string]float64{"back": 12, "front": 25}),
			corners: []CornerWish{joined("bottom", "back", Mitre), joined("back", "top", Mitre), joined("top", "front", Mitre), joined("front", "bottom", Mitre)},
			inside:  []float64{25, 18, 352.750, 18, 412.250, 222, 25, 222}, areas: [2]float64{72930, 21870},
			walls: []workedWall{
				{"bottom", []float64{0, 0, 360, 0, 352.750, 18, 25, 18}, 360, 327.750, 360, 54.2461, 21.9385, 6189.750},
				{"back", []float64{360, 0, 430, 240, 412.250, 222, 352.750, 18}, 250, 212.500, 250, 51.8013, 61.6609, 2775},
				{"top", []float64{430, 240, 0, 240, 25, 222, 412.250, 222}, 430, 387.250, 430, 44.5993, 54.2461, 7355.250},
				{"front", []float64{0, 240, 0, 0, 25, 18, 25, 222}, 240, 204, 240, 35.7539, 35.7539, 5550},
			}},
		{name: "E4 step", section: step, wood: board(18),
			inside: []float64{18, 18, 402, 18, 402, 152, 272, 152, 272, 282, 18, 282}, areas: [2]float64{84476, 24624},
			walls: []workedWall{
				{"bottom", []float64{0, 0, 420, 0, 420, 18, 0, 18}, 420, 420, 420, 0, 0, 7560},
				{"back", []float64{420, 18, 420, 152, 402, 152, 402, 18}, 134, 134, 134, 0, 0, 2412},
				{"tread", []float64{420, 170, 272, 170, 272, 152, 420, 152}, 148, 148, 148, 0, 0, 2664},
				{"riser", []float64{290, 170, 290, 282, 272, 282, 272, 170}, 112, 112, 112, 0, 0, 2016},
				{"top", []float64{290, 300, 0, 300, 0, 282, 290, 282}, 290, 290, 290, 0, 0, 5220},
				{"front", []float64{0, 282, 0, 18, 18, 18, 18, 282}, 264, 264, 264, 0, 0, 4752},
			}},
		{name: "E4b step, riser through", section: step, wood: board(18),
			corners: []CornerWish{{Between: [2]string{"tread", "riser"}, Joint: Butt, Through: "riser"}},
			inside:  []float64{18, 18, 402, 18, 402, 152, 272, 152, 272, 282, 18, 282}, areas: [2]float64{84476, 24624},
			walls: []workedWall{
				{}, {},
				{"tread", []float64{420, 170, 290, 170, 290, 152, 420, 152}, 130, 130, 130, 0, 0, 2340},
				{"riser", []float64{290, 152, 290, 282, 272, 282, 272, 152}, 130, 130, 130, 0, 0, 2340},
				{}, {},
			}},
		{name: "E5 sloped step", section: []float64{0, 0, 400, 0, 400, 150, 280, 200, 240, 320, 0, 320},
			wood:    mixed(18, map[string]float64{"back": 15, "slope 2": 15}),
			corners: []CornerWish{joined("back", "slope 1", Mitre)},
			inside:  []float64{18, 18, 385, 18, 385, 136.750, 269.187, 185.006, 230.189, 302, 18, 302}, areas: [2]float64{85602.893, 22597.107},
			walls: []workedWall{
				{"bottom", []float64{0, 0, 400, 0, 400, 18, 0, 18}, 400, 400, 400, 0, 0, 7200},
				{"back", []float64{400, 18, 400, 150, 385, 136.750, 385, 18}, 132, 118.750, 132, 0, 41.4552, 1880.625},
				{"slope 1", []float64{400, 150, 261.638, 207.651, 269.187, 185.006, 385, 136.750}, 149.892, 125.464, 149.892, 25.9249, 41.0548, 2478.205},
				{"slope 2", []float64{280, 200, 246, 302, 230.189, 302, 261.638, 207.651}, 107.517, 99.453, 112.517, 41.0548, -18.4349, 1552.278},
				{"top", []float64{240, 320, 0, 320, 0, 302, 246, 302}, 240, 246, 246, -18.4349, 0, 4374},
				{"front", []float64{0, 302, 0, 18, 18, 18, 18, 302}, 284, 284, 284, 0, 0, 5112},
			}},
		{name: "E6 toe of 35 degrees", section: []float64{0, 0, 500, 0, 0, 350.10377}, wood: board(18),
			corners: []CornerWish{{Between: [2]string{"slope", "front"}, Joint: Butt, Through: "front"}},
			inside:  []float64{18, 18, 442.911, 18, 18, 315.526}, areas: [2]float64{63211.149, 24314.851},
			walls: []workedWall{
				{"bottom", []float64{0, 0, 500, 0, 474.293, 18, 0, 18}, 500, 474.293, 500, 0, 55, 8768.640},
				{"slope", []float64{474.293, 18, 18, 337.500, 18, 315.526, 442.911, 18}, 557.031, 518.721, 557.031, 55, 35, 9681.773},
				{"front", []float64{0, 350.104, 0, 18, 18, 18, 18, 337.500}, 332.104, 319.500, 332.104, 35, 0, 5864.438},
			}},
		{name: "E6b toe blunted", section: []float64{0, 0, 385.748, 0, 385.748, 80, 0, 350.104}, wood: board(18),
			corners: []CornerWish{joined("nose", "slope", Mitre), {Between: [2]string{"slope", "front"}, Joint: Butt, Through: "front"}},
			inside:  []float64{18, 18, 367.748, 18, 367.748, 70.630, 18, 315.526}, areas: [2]float64{61233.197, 21722.682},
			walls: []workedWall{
				{"bottom", []float64{0, 0, 385.748, 0, 385.748, 18, 0, 18}, 385.748, 385.748, 385.748, 0, 0, 6943.464},
				{"nose", []float64{385.748, 18, 385.748, 80, 367.748, 70.630, 367.748, 18}, 62, 52.630, 62, 0, 27.5, 1031.668},
				{"slope", []float64{385.748, 80, 18, 337.500, 18, 315.526, 367.748, 70.630}, 448.938, 426.964, 448.938, 27.5, 35, 7883.111},
				{"front", []float64{0, 350.104, 0, 18, 18, 18, 18, 337.500}, 332.104, 319.500, 332.104, 35, 0, 5864.438},
			}},
		{name: "E7 rabbeted wrap", section: []float64{0, 0, 330, 0, 330, 260, 0, 260}, wood: rabbeted,
			inside: []float64{18, 18, 312, 18, 312, 242, 18, 242}, areas: [2]float64{65856, 19944},
			walls: []workedWall{
				{"bottom", []float64{0, 0, 330, 0, 330, 9, 312, 9, 312, 18, 18, 18, 18, 9, 0, 9}, 330, 294, 330, 0, 0, 5616},
				{"back", []float64{330, 9, 330, 251, 312, 251, 312, 9}, 242, 242, 242, 0, 0, 4356},
				{"top", []float64{330, 260, 0, 260, 0, 251, 18, 251, 18, 242, 312, 242, 312, 251, 330, 251}, 330, 294, 330, 0, 0, 5616},
				{"front", []float64{0, 251, 0, 9, 18, 9, 18, 251}, 242, 242, 242, 0, 0, 4356},
			}},
	}
}

func TestWorkedExamples(t *testing.T) {
	for _, x := range workedExamples() {
		t.Run(x.name, func(t *testing.T) {
			b, err := Build(Spec{Section: mm(x.section...), Width: 0.9, Wood: x.wood, Corners: x.corners, Face: "front"})
			if err != nil {
				t.Fatal(err)
			}
			near := func(what string, got, want, tol float64) {
				t.Helper()
				if !(math.Abs(got-want) <= tol) {
					t.Errorf("%s: got %.6f, want %.6f", what, got, want)
				}
			}
			corners := func(what string, got plane.Polygon, want []float64) {
				t.Helper()
				if len(got) != len(want)/2 {
					t.Fatalf("%s: got %d corners, want %d", what, len(got), len(want)/2)
				}
				for i, p := range got {
					near(what+" x", p.X*1000, want[2*i], mmTolerance)
					near(what+" y", p.Y*1000, want[2*i+1], mmTolerance)
				}
			}
			corners("inside", b.Inside, x.inside)
			near("inside area", b.Inside.Area()*1e6, x.areas[0], areaTolerance)
			walls := 0.0
			for i := range x.walls {
				walls += b.Panels[i].Section.Area() * 1e6
				want := x.walls[i]
				if want.name == "" {
					continue
				}
				p := b.Panels[i]
				if p.Name != want.name {
					t.Fatalf("wall %d: name %q, want %q", i, p.Name, want.name)
				}
				corners(p.Name, p.Section, want.section)
				near(p.Name+" outer", p.OuterWidth*1000, want.outer, mmTolerance)
				near(p.Name+" inner", p.InnerWidth*1000, want.inner, mmTolerance)
				near(p.Name+" blank", p.Width*1000, want.blank, mmTolerance)
				near(p.Name+" tilt0", p.Edges[1].Tilt/degree, want.tilt0, 1.1*degreeTolerance)
				near(p.Name+" tilt1", p.Edges[0].Tilt/degree, want.tilt1, 1.1*degreeTolerance)
				near(p.Name+" area", p.Section.Area()*1e6, want.area, areaTolerance)
			}
			near("walls' area", walls, x.areas[1], areaTolerance)
		})
	}
}
