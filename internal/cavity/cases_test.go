package cavity

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

const mm = 0.001

// line makes readings from pairs of depth and height in millimetres.
func line(vs ...float64) []Height {
	var l []Height
	for i := 0; i+1 < len(vs); i += 2 {
		l = append(l, Height{Depth: vs[i] * mm, Height: vs[i+1] * mm})
	}
	return l
}

// at makes a station; front and back are the least and greatest depth of its readings.
func at(x float64, roof, floor []Height) Station {
	s := Station{FromLeft: x * mm, Roof: roof, Floor: floor, Front: math.Inf(1), Back: math.Inf(-1)}
	for _, p := range append(append([]Height{}, roof...), floor...) {
		s.Front, s.Back = math.Min(s.Front, p.Depth), math.Max(s.Back, p.Depth)
	}
	return s
}

func box(name string, x, w, y, d, z, h float64) Block {
	return BoxBlock(name, r3.Vec{X: x * mm, Y: y * mm, Z: z * mm}, r3.Vec{X: (x + w) * mm, Y: (y + d) * mm, Z: (z + h) * mm})
}

func outline(vs ...float64) plane.Polygon {
	var g plane.Polygon
	for i := 0; i+1 < len(vs); i += 2 {
		g = append(g, plane.Point{X: vs[i] * mm, Y: vs[i+1] * mm})
	}
	return g
}

// spaces are the six spaces of testdata/cases.json as a tape gives them.
func spaces() map[string]*Space {
	const under = -1000
	bench := line(0, 230, 120, 245, 360, 215, 430, 190)
	well := func(x, f, b, in float64) Station {
		s := at(x, line(f, 205, b, 205), line(f, 40, f+40, 0, b-40, 0, b, 40))
		s.Front, s.Back = (320-in)*mm, (320+in)*mm
		return s
	}
	step := line(0, 0, 260, 0, 300, 90, 520, 90)
	seat := line(0, 330, 520, 300)
	return map[string]*Space{
		"bench-tunnel-legs": {Gap: 6 * mm, Stations: []Station{at(0, bench, nil), at(1240, bench, nil)}, Blocks: []Block{
			{Name: "tunnel", Axis: Depth, Outline: outline(500, 0, 760, 0, 760, 30, 700, 105, 560, 105, 500, 30), Lo: -1, Hi: 1.43},
			box("left leg", 210, 40, 60, 50, under, 1240), box("right leg", 990, 40, 60, 50, under, 1240)}},
		"corner-beside-arch": {Gap: 6 * mm, Stations: []Station{at(0, line(0, 450, 420, 410), nil), at(520, line(0, 450, 420, 410), nil)},
			Leans:  []Lean{{Right, 14 * math.Pi / 180}, {Back, 10 * math.Pi / 180}},
			Blocks: []Block{{Name: "arch", Axis: Across, Outline: RoundOutline(plane.Point{X: 0.47}, 0.19, -1), Lo: 0.3, Hi: 0.52}}},
		"over-arch": {Gap: 6 * mm, Stations: []Station{at(0, line(0, 560, 300, 560), nil), at(900, line(0, 560, 300, 560), nil)},
			Blocks: []Block{{Name: "arch", Axis: Depth, Outline: RoundOutline(plane.Point{X: 0.45}, 0.31, -1), Lo: 0.04, Hi: 1.3}}},
		"shelf-towers": {Gap: 6 * mm, Stations: []Station{at(0, line(0, 300, 480, 190), nil), at(450, line(0, 350, 480, 240), nil), at(900, line(0, 300, 480, 190), nil)},
			Blocks: []Block{box("left tower", 0, 130, 180, 300, under, 1300), box("right tower", 770, 130, 180, 300, under, 1300)}},
		"stepped-footwell": {Gap: 6 * mm, Stations: []Station{at(0, seat, line(0, 60, 260, 60, 300, 150, 520, 150)), at(80, seat, step), at(640, seat, step)}},
		"wheel-well": {Gap: 6 * mm, Stations: []Station{well(10, 240.6, 399.4, 79.373), well(80, 108.3, 531.7, 211.66), well(210, 19.5, 620.5, 300.4998),
			well(430, 19.5, 620.5, 300.4998), well(560, 108.3, 531.7, 211.66), well(630, 240.6, 399.4, 79.373)},
			Blocks: []Block{box("stud", 300, 40, 300, 40, under, 1060)}},
	}
}

// A case is what the prototype found for one space.
type caseOf struct {
	Name      string             `json:"name"`
	Rectangle answer             `json:"rectangle"`
	Across    map[string]answer  `json:"prism_across"`
	Depth     map[string]answer  `json:"prism_depth"`
	Up        map[string]answer  `json:"prism_up"`
	PocketsX  map[string]answer  `json:"pockets_across"`
	PocketsXY map[string]answer  `json:"pockets_any_axis"`
	Leaning   map[string]answer  `json:"leaning_ends"` // of walls that lean: elsewhere they are not wanted
	Placed    map[string]*placed `json:"placed"`
}

type answer struct {
	Air float64 `json:"air"`
}

type placed struct {
	Minutes float64 `json:"minutes"`
	Stands  float64 `json:"stands"`
	Lo      float64 `json:"lo"`
	Hi      float64 `json:"hi"`
	Axis    string  `json:"axis"`
}

func cases(t testing.TB) []caseOf {
	t.Helper()
	data, err := os.ReadFile("testdata/cases.json")
	if err != nil {
		t.Fatal(err)
	}
	data = []byte(strings.ReplaceAll(string(data), "NaN", "null"))
	var list []caseOf
	if err := json.Unmarshal(data, &list); err != nil {
		t.Fatal(err)
	}
	return list
}

// The answers of a prototype in another language for six invented spaces: within one per cent of its air, or more.
func TestCases(t *testing.T) {
	for _, c := range cases(t) {
		t.Run(c.Name, func(t *testing.T) {
			_, res := searched(t, c.Name)
			t.Logf("%d regions, all stretches looked at: %v", len(res.Regions), res.Proved)
			best := func(corners int, pockets bool, ok func(*Region) bool) float64 {
				v := 0.0
				for i := range res.Regions {
					if r := &res.Regions[i]; len(r.Section) <= corners && (pockets || len(r.Pockets) == 0) && ok(r) {
						v = math.Max(v, r.Air*1000)
					}
				}
				return v
			}
			check := func(what string, want, got float64) {
				mark := ""
				if got < want*0.99 {
					mark = "  <<<"
					t.Errorf("%s: %.2f l of air, wanted %.2f", what, got, want)
				}
				t.Logf("%-26s want %6.2f got %6.2f %+.1f %%%s", what, want, got, 100*(got/want-1), mark)
			}
			check("rectangle", c.Rectangle.Air, best(4, false, func(r *Region) bool { return r.Rectangle }))
			for axis, list := range map[Axis]map[string]answer{Across: c.Across, Depth: c.Depth, Up: c.Up} {
				for k, a := range list {
					check("prism "+axis.String()+" "+k, a.Air, best(int(k[0]-'0'), false, func(r *Region) bool {
						return (r.Axis == axis || r.Rectangle) && r.Leans == [2]float64{}
					}))
				}
			}
			if len(spaces()[c.Name].Leans) > 0 {
				for k, a := range c.Leaning {
					check("leaning ends "+k, a.Air, best(int(k[0]-'0'), false, func(r *Region) bool { return r.Leans != [2]float64{} }))
				}
			}
			for k, a := range c.PocketsX {
				check("pockets across "+k, a.Air, best(int(k[0]-'0'), true, func(r *Region) bool { return r.Axis == Across }))
			}
			for k, a := range c.PocketsXY {
				check("pockets "+k, a.Air, best(int(k[0]-'0'), true, func(r *Region) bool { return true }))
			}
		})
	}
}

// hump is a space with a hump in its middle: 52 by 17 by 12 in, hump 10 by 3 in.
func hump() *Space {
	const in = 25.4
	roof := line(0, 12*in, 17*in, 12*in)
	return &Space{Gap: 6 * mm, Stations: []Station{at(0, roof, nil), at(52*in, roof, nil)},
		Blocks: []Block{box("hump", 21*in, 10*in, -1000, 3000, -1000, 1000+3*in)}}
}

// Where a craftsman puts a box of a wished air: minutes, stretch and standing of the prototype's answers.
func TestPlacing(t *testing.T) {
	for _, c := range []struct {
		name    string
		known   string
		space   *Space
		litres  float64
		minutes float64
		stands  Support
		limits  Limits
		within  [2]float64 // mm across, between the blocks where it has to stand; zero: anywhere
	}{
		{"bench 17", "bench-tunnel-legs", spaces()["bench-tunnel-legs"], 17, 64.3, OnFloor, Limits{}, [2]float64{0, 500}},
		{"bench 30", "bench-tunnel-legs", spaces()["bench-tunnel-legs"], 30, 116.05, OnFloor, Limits{}, [2]float64{250, 990}},
		{"footwell 17", "stepped-footwell", spaces()["stepped-footwell"], 17, 56.9, OnFloor, Limits{}, [2]float64{}},
		{"footwell 30", "stepped-footwell", spaces()["stepped-footwell"], 30, 73.5, OnFloor, Limits{}, [2]float64{}},
		{"corner 17", "corner-beside-arch", spaces()["corner-beside-arch"], 17, 56.6, OnFloor, Limits{}, [2]float64{}},
		{"corner 30", "corner-beside-arch", spaces()["corner-beside-arch"], 30, 65.5, OnFloor, Limits{}, [2]float64{}},
		{"towers 17", "shelf-towers", spaces()["shelf-towers"], 17, 57.1, OnFloor, Limits{}, [2]float64{}},
		{"towers 30", "shelf-towers", spaces()["shelf-towers"], 30, 67.5, OnFloor, Limits{}, [2]float64{}},
		{"arch 17", "over-arch", spaces()["over-arch"], 17, 112.6, OnBlock, Limits{Pockets: -1}, [2]float64{}},
		{"arch 30", "over-arch", spaces()["over-arch"], 30, 123.3, OnBlock, Limits{Pockets: -1}, [2]float64{}},
		{"arch 17 with a pocket", "over-arch", spaces()["over-arch"], 17, 112.6, OnFloor, Limits{}, [2]float64{}},
		{"hump 17.6", "", hump(), 17.6, 57.3, OnFloor, Limits{}, [2]float64{0, 533.4}},
		{"hump 30", "", hump(), 30, 65.4, OnFloor, Limits{}, [2]float64{}},
		{"hump 45", "", hump(), 45, 74.1, OnFloor, Limits{}, [2]float64{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			room, res := settled(t, c.space), Result{}
			if c.limits == (Limits{}) && c.known != "" {
				room, res = searched(t, c.known)
			} else {
				var err error
				if res, err = room.Regions(context.Background(), c.limits); err != nil {
					t.Fatal(err)
				}
			}
			placed := room.Place(res.Regions, c.litres/1000, DefaultWeights(), c.limits)
			if len(placed) == 0 {
				t.Fatal("nothing found")
			}
			p := placed[0]
			b := p.Bounds()
			t.Logf("%.1f min (wanted %.1f), %v %v, %.0f x %.0f x %.0f mm at %.0f, %.0f, %.0f, %d boards %d bevels pockets %d, stands %+v", p.Minutes, c.minutes, p.Axis, p.Way,
				(b.Max.X-b.Min.X)*1000, (b.Max.Y-b.Min.Y)*1000, (b.Max.Z-b.Min.Z)*1000, b.Min.X*1000, b.Min.Y*1000, b.Min.Z*1000, p.Boards, p.Bevels, len(p.Pockets), p.Stands)
			if p.Minutes > c.minutes*1.05 {
				t.Errorf("%.1f minutes, wanted %.1f", p.Minutes, c.minutes)
			}
			// a place that asks less than the prototype's goes before it, which must be there all the same
			beside := slices.ContainsFunc(placed, func(q Placed) bool {
				o := q.Bounds()
				return q.Minutes <= c.minutes*1.05 && o.Min.X*1000 >= c.within[0] && o.Max.X*1000 <= c.within[1]
			})
			if c.within[1] > 0 && !beside {
				t.Errorf("stands from %.0f to %.0f mm, wanted between %v", b.Min.X*1000, b.Max.X*1000, c.within)
			}
			if p.Stands.On != c.stands {
				t.Errorf("stands on %v, wanted %v", p.Stands.On, c.stands)
			}
			for _, q := range placed[:min(4, len(placed))] {
				o := q.Bounds()
				t.Logf("    %.1f %v %d corners way %d: %.0f..%.0f %.0f..%.0f %.0f..%.0f", q.Minutes, q.Axis, len(q.Section), q.Way, o.Min.X*1000, o.Max.X*1000, o.Min.Y*1000, o.Max.Y*1000, o.Min.Z*1000, o.Max.Z*1000)
			}
		})
	}
}
