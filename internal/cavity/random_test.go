package cavity

import (
	"context"
	"flag"
	"math"
	"math/rand"
	"slices"
	"testing"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

var long = flag.Bool("long", false, "run the random tests over many more spaces")

// spacesToTry is how many random spaces a test looks at.
func spacesToTry(n int) int {
	if *long {
		return 20 * n
	}
	return n
}

// randomSpace strews stations, heights, leaning walls and blocks.
func randomSpace(rnd *rand.Rand) *Space {
	between := func(a, b float64) float64 { return a + (b-a)*rnd.Float64() }
	s := &Space{Gap: 0.003 + 0.009*rnd.Float64()}
	depth, height, width := between(0.3, 0.6), between(0.2, 0.5), between(0.5, 1.3)
	n := 2 + rnd.Intn(3)
	for i := range n {
		t := Station{FromLeft: width * float64(i) / float64(n-1), Front: 0, Back: depth * between(0.9, 1)}
		for k, m := 0, 2+rnd.Intn(3); k < m; k++ {
			t.Roof = append(t.Roof, Height{Depth: t.Back * float64(k) / float64(m-1), Height: height * between(0.75, 1)})
		}
		if rnd.Intn(2) == 0 {
			for k, m := 0, 2+rnd.Intn(3); k < m; k++ {
				t.Floor = append(t.Floor, Height{Depth: t.Back * float64(k) / float64(m-1), Height: height * between(0, 0.15)})
			}
		}
		s.Stations = append(s.Stations, t)
	}
	for side := Front; side <= Right; side++ {
		if rnd.Intn(5) == 0 {
			s.Leans = append(s.Leans, Lean{side, between(0.05, 0.4)})
		}
	}
	for range rnd.Intn(4) {
		x, y := between(0, width), between(0, depth)
		w, d := between(0.02, 0.2), between(0.02, 0.2)
		switch rnd.Intn(3) {
		case 0:
			s.Blocks = append(s.Blocks, BoxBlock("post", r3.Vec{X: x, Y: y, Z: -1}, r3.Vec{X: x + w, Y: y + d, Z: between(0.05, height)}))
		case 1:
			s.Blocks = append(s.Blocks, Block{Name: "arch", Axis: Depth, Outline: RoundOutline(plane.Point{X: x}, w, -1), Lo: y, Hi: 2})
		default:
			s.Blocks = append(s.Blocks, BoxBlock("shelf", r3.Vec{X: x, Y: y, Z: height * between(0.4, 0.8)}, r3.Vec{X: x + w, Y: y + d, Z: 2}))
		}
	}
	return s
}

// known6 holds the regions of the six spaces, which several tests look at.
var known6 = map[string]Result{}

// searched gives the regions of one of the six spaces.
func searched(t testing.TB, name string) (*Room, Result) {
	t.Helper()
	m := settled(t, spaces()[name])
	res, ok := known6[name]
	if !ok {
		var err error
		if res, err = m.Regions(context.Background(), Limits{}); err != nil {
			t.Fatal(err)
		}
		known6[name] = res
	}
	return m, res
}

// search gives the regions of a space, none when there is no room.
func search(t *testing.T, s *Space) []Region {
	t.Helper()
	res, err := settled(t, s).Regions(context.Background(), Limits{})
	if err != nil && err != ErrNoRoom {
		t.Fatal(err)
	}
	return res.Regions
}

// Every region of a random space lies within the raw surfaces, and so does everything nearer than the gap less 0.2 mm.
func TestRandomRegionsKeepTheGap(t *testing.T) {
	seeds := []int{19} // a ray along a wall once ran on past its end
	for seed := range spacesToTry(4) {
		seeds = append(seeds, seed)
	}
	for _, seed := range seeds {
		rnd := rand.New(rand.NewSource(int64(seed)))
		s := randomSpace(rnd)
		for i, r := range search(t, s) {
			if i > 40 && i%5 != 0 {
				continue
			}
			for _, p := range r.points(rnd, 40) {
				if d := (tape{s}).outside(p); d > 1e-6 {
					t.Fatalf("seed %d, region %d: %v is %.4f mm outside; %+v", seed, i, p, d*1000, r)
				}
				for range 6 {
					q := r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()}
					q = r3.Add(p, r3.Scale(s.Gap-0.0002, r3.Unit(q)))
					if d := (tape{s}).outside(q); d > 1e-6 {
						t.Fatalf("seed %d, region %d: the gap at %v is less than %.2f mm by %.4f mm; %+v", seed, i, p, s.Gap*1000, d*1000, r)
					}
				}
			}
		}
	}
}

// most is the air of the best region under a number of corners, with or without pockets.
func most(list []Region, corners int) float64 {
	v := 0.0
	for i := range list {
		if len(list[i].Section) <= corners && len(list[i].Pockets) == 0 {
			v = math.Max(v, list[i].Air)
		}
	}
	return v
}

// A space with one block fewer, or enlarged, never offers one per cent less air.
func TestRandomSpacesAreMonotone(t *testing.T) {
	for seed := range spacesToTry(3) {
		rnd := rand.New(rand.NewSource(int64(1000 + seed)))
		s := randomSpace(rnd)
		before := search(t, s)
		check := func(what string, u *Space) {
			after := search(t, u)
			for _, k := range []int{4, 5, 6} {
				if a, b := most(before, k), most(after, k); b < 0.99*a {
					t.Errorf("seed %d: %s leaves %.3f l of %.3f with %d corners", seed, what, b*1000, a*1000, k)
				}
			}
		}
		if len(s.Blocks) > 0 {
			u := *s
			u.Blocks = slices.Delete(slices.Clone(s.Blocks), 0, 1)
			check("a block taken away", &u)
		}
		u := *s
		u.Stations = slices.Clone(s.Stations)
		for i := range u.Stations {
			st := &u.Stations[i]
			st.Roof = slices.Clone(st.Roof)
			for k := range st.Roof {
				st.Roof[k].Height += 0.02
			}
		}
		check("a roof raised", &u)
	}
}

// mirrored is a space seen in a mirror, left and right exchanged.
func mirrored(s *Space) *Space {
	u := *s
	w := s.Stations[len(s.Stations)-1].FromLeft
	u.Stations = slices.Clone(s.Stations)
	slices.Reverse(u.Stations)
	for i := range u.Stations {
		u.Stations[i].FromLeft = w - u.Stations[i].FromLeft
	}
	u.Leans = slices.Clone(s.Leans)
	for i, l := range u.Leans {
		if l.Side == Left || l.Side == Right {
			u.Leans[i].Side = Left + Right - l.Side
		}
	}
	u.Blocks = slices.Clone(s.Blocks)
	for i := range u.Blocks {
		b := &u.Blocks[i]
		if b.Axis == Across {
			b.Lo, b.Hi = w-b.Hi, w-b.Lo
			continue
		}
		g := slices.Clone(b.Outline)
		for k := range g {
			g[k].X = w - g[k].X
		}
		slices.Reverse(g)
		b.Outline = g
	}
	return &u
}

// Mirroring left and right mirrors the answer: the same air for each number of corners.
func TestMirror(t *testing.T) {
	seeds := []int{16, 145} // a tie, and a corner on a wall: rounding once told them apart
	for seed := range spacesToTry(3) {
		seeds = append(seeds, seed)
	}
	for _, seed := range seeds {
		s := randomSpace(rand.New(rand.NewSource(int64(2000 + seed))))
		a, b := search(t, s), search(t, mirrored(s))
		for _, k := range []int{4, 5, 6} {
			if p, q := most(a, k), most(b, k); math.Abs(p-q) > 0.01*math.Max(p, q) {
				t.Errorf("seed %d: %.3f l with %d corners, in the mirror %.3f", seed, p*1000, k, q*1000)
			}
		}
	}
}

// A cuboid space with blocks, gap 0 and no weight on reach, turned by a quarter about the vertical, gives the same boxes.
func TestTurning(t *testing.T) {
	seeds := []int{387} // two plans in the same bounds once counted as one
	for seed := range spacesToTry(4) {
		seeds = append(seeds, seed)
	}
	for _, seed := range seeds {
		rnd := rand.New(rand.NewSource(int64(3000 + seed)))
		w, d, h := 0.6+0.5*rnd.Float64(), 0.4+0.3*rnd.Float64(), 0.3+0.2*rnd.Float64()
		build := func(w, d float64, turn bool, blocks [][6]float64) *Space {
			roof := []Height{{Depth: 0, Height: h}, {Depth: d, Height: h}}
			s := &Space{Stations: []Station{{Roof: roof, Back: d}, {FromLeft: w, Roof: roof, Back: d}}}
			for _, b := range blocks {
				lo, hi := r3.Vec{X: b[0], Y: b[1], Z: -1}, r3.Vec{X: b[0] + b[3], Y: b[1] + b[4], Z: b[5]}
				if turn { // (x, y) goes to (y, w - x)
					lo, hi = r3.Vec{X: lo.Y, Y: d - hi.X, Z: lo.Z}, r3.Vec{X: hi.Y, Y: d - lo.X, Z: hi.Z}
				}
				s.Blocks = append(s.Blocks, BoxBlock("block", lo, hi))
			}
			return s
		}
		var blocks [][6]float64
		for range 1 + rnd.Intn(3) {
			blocks = append(blocks, [6]float64{w * rnd.Float64(), d * rnd.Float64(), 0, 0.05 + 0.2*rnd.Float64(), 0.05 + 0.2*rnd.Float64(), 0.05 + 0.3*rnd.Float64()})
		}
		one, two := build(w, d, false, blocks), build(d, w, true, blocks)
		a, b := search(t, one), search(t, two)
		for _, k := range []int{4, 5, 6} {
			if p, q := most(a, k), most(b, k); math.Abs(p-q) > 0.01*math.Max(p, q) {
				t.Errorf("seed %d: %.3f l with %d corners, turned %.3f", seed, p*1000, k, q*1000)
			}
		}
		weights := DefaultWeights()
		weights.Reach = 0
		p, q := settled(t, one).Place(a, 0.012, weights, Limits{}), settled(t, two).Place(b, 0.012, weights, Limits{})
		if len(p) > 0 && len(q) > 0 && math.Abs(p[0].Minutes-q[0].Minutes) > 0.01*p[0].Minutes {
			t.Errorf("seed %d: 12 l in %.2f minutes, turned %.2f", seed, p[0].Minutes, q[0].Minutes)
		}
	}
}
