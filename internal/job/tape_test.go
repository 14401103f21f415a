package job

import (
	"context"
	"math"
	"path/filepath"
	"testing"

	"cubby/internal/cavity"
)

// Jobs of six invented spaces: the most air of a rectangle, in litres between boards of 18 mm, as a prototype found it.
func TestSpacesByTape(t *testing.T) {
	for name, litres := range map[string]float64{"bench-tunnel-legs": 17.68, "wheel-well": 15.58, "stepped-footwell": 39.32,
		"corner-beside-arch": 32.06, "shelf-towers": 40.48, "over-arch": 43.37} {
		path := filepath.Join("testdata", "spaces", name+".yaml")
		q, err := Parse(path, readFile(t, path), noFiles)
		if err != nil {
			t.Error(err)
			continue
		}
		if q.Space.Space == nil {
			t.Errorf("%s: no space by tape", name)
			continue
		}
		room, err := q.Space.Space.Settle()
		if err != nil {
			t.Error(err)
			continue
		}
		res, err := room.Regions(context.Background(), cavity.Limits{Pockets: -1})
		if err != nil {
			t.Error(err)
			continue
		}
		best := 0.0
		for _, r := range res.Regions {
			if r.Rectangle {
				best = math.Max(best, r.Air*1000)
			}
		}
		if best < litres*0.99 || best > litres*1.01 {
			t.Errorf("%s: a rectangle of %.2f l, wanted %.2f", name, best, litres)
		}
	}
}

// All that can be said of a space by tape arrives in metres, with its defaults.
func TestTapeSaysAll(t *testing.T) {
	const text = `units: mm
driver: {fs: 30 Hz, qes: 0.5, qms: 5, vas: 25 l, sd: 330 cm2, re: 3.4 ohm}
wood: {sheet: MDF, thickness: 18}
placing: {minute: 0.03 dB, reach: 0.1, corner: 4}
cavity:
  gap: 6
  depths: [0, 120, 430]
  stations:
    - {from_left: 0, roof: [230, 245, 190], floor: [[0, 0], [280, 0], [300, 90], [430, 90]], back: 440}
    - {from_left: 260, like: 1, front: 10}
    - {from_left: 500, roof: [230, ?, [190, sure]]}
  walls: [{side: right, lean: 14 deg}]
  open: [front, left]
  stick: [{from_left: 100, depth: 200, roof: 205}, {from_left: 100, depth: 200, floor: 8}]
  blocks:
    - {name: seat rail, from_left: 20, width: 50, height: 30}
    - {name: tunnel, along: depth, outline: [[500, 0], [400, 0], [420, 105]]}
    - {name: arch, along: depth, round: 100, at: [300, 0], from_front: 40}
    - {name: lamp, from_left: 30, width: 100, from_front: 10, depth: 50, hangs: 60}
    - {name: sill, depth: 20}
`
	q, err := Parse("tape.yaml", []byte(text), noFiles)
	if err != nil {
		t.Fatal(err)
	}
	s := q.Space.Space
	if s == nil {
		t.Fatal("no space by tape")
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %v, want %v", what, got, want)
		}
	}
	near("gap", s.Gap, 0.006)
	near("roof of station 1 at mark 2", s.Stations[0].Roof[1].Height, 0.245)
	near("its depth", s.Stations[0].Roof[1].Depth, 0.12)
	near("back of station 1", s.Stations[0].Back, 0.44)
	near("back of station 2, like 1", s.Stations[1].Back, 0.44)
	near("front of station 2", s.Stations[1].Front, 0.01)
	near("back of station 3", s.Stations[2].Back, 0.43)
	if !s.Stations[2].Roof[1].Unknown || !s.Stations[2].Roof[2].Sure || len(s.Stations[1].Floor) != 4 {
		t.Errorf("stations are read as %+v", s.Stations)
	}
	near("lean", s.Leans[0].Angle, 14*math.Pi/180)
	if len(s.Open) != 2 || len(s.Sticks) != 2 || s.Sticks[1].Surface != cavity.Floor {
		t.Errorf("open %v, sticks %v", s.Open, s.Sticks)
	}
	rail := s.Blocks[0]
	near("the rail begins before the space", rail.Lo, -1)
	near("and ends behind it", rail.Hi, 1.44)
	near("stands under the floor", rail.Outline.Bounds().Min.Y, -1)
	near("and is as high as written", rail.Outline.Bounds().Max.Y, 0.03)
	near("the arch begins", s.Blocks[2].Lo, 0.04)
	near("the arch is as high as its circle", s.Blocks[2].Outline.Bounds().Max.Y, 0.1)
	near("the lamp hangs", s.Blocks[3].Hangs, 0.06)
	near("the sill ends", s.Blocks[4].Hi, 0.02)
	p := q.Placing
	near("a minute", p.Minute, 0.03)
	near("reach, min per m", p.Reach, 100)
	near("a corner", p.Corner, 4)
	near("a board keeps its default", p.Board, 6)
	near("height keeps its default", p.Height, 50)
}
