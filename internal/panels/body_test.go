package panels

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// What a disc meets on its way it reaches from there on, and not before: the quick question gives the answer of the search.
func TestReachesWhereTheSweepEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		figure := func(name string) float64 { return rapid.Float64Range(-1, 1).Draw(t, name) }
		place := func(name string) r3.Vec { return r3.Vec{X: figure(name), Y: figure(name), Z: figure(name)} }
		dir, size := place("direction"), place("size")
		if r3.Norm(dir) < 0.1 || math.Min(math.Abs(size.X), math.Min(math.Abs(size.Y), math.Abs(size.Z))) < 0.01 {
			return
		}
		dir = r3.Unit(dir)
		var corners []r3.Vec
		turn := r3.NewRotation(3*figure("turn"), r3.Vec{X: 1, Y: 2, Z: 3})
		at := place("at")
		for k := range 8 {
			c := size
			for i, v := range []*float64{&c.X, &c.Y, &c.Z} {
				if k>>i&1 == 0 {
					*v = 0
				}
			}
			corners = append(corners, r3.Add(at, turn.Rotate(c)))
		}
		b := newBody(braceBody, "", corners, 0)
		from, r := place("from"), 0.02+0.2*math.Abs(figure("radius"))
		const slack = 5 * sweepStep
		d, ok := sweep(&b, from, dir, r, 3)
		switch {
		case !ok && reaches(&b, r3.Add(from, r3.Scale(slack, dir)), dir, r-slack, 3-2*slack):
			t.Errorf("reached, but no sweep ends there")
		case ok && !reaches(&b, from, dir, r, d+slack):
			t.Errorf("the sweep ends at %g, which is not reached", d)
		case ok && d > slack && reaches(&b, r3.Add(from, r3.Scale(slack, dir)), dir, r-slack, d-2*slack):
			t.Errorf("the sweep ends at %g, but something is reached before", d)
		}
	})
}

// A longer cylinder never comes free of a body again: arrangements in which a flat hull of four points once said so.
func TestGapOfFlatHulls(t *testing.T) {
	for _, seed := range []int{2262, 2715, 2993, 3120} {
		x := func(k int) float64 {
			v := math.Sin(float64(seed*13+k)*12.9898) * 43758.5453
			return 2*(v-math.Floor(v)) - 1
		}
		dir, at := r3.Unit(r3.Vec{X: x(1), Y: x(2), Z: x(3)}), r3.Vec{X: x(4), Y: x(5), Z: x(6)}
		var corners []r3.Vec
		for k := range 8 {
			corners = append(corners, r3.Add(at, r3.Vec{X: .3 * float64(k&1), Y: .2 * float64(k>>1&1), Z: .1 * float64(k>>2)}))
		}
		b, met := newBody(braceBody, "", corners, 0), false
		for i := 1; i < 300; i++ {
			c := cone(portBody, r3.Vec{X: x(7), Y: x(8), Z: x(9)}, dir, float64(i)/100, .1, .1)
			now := gap(&c, &b, 0) == 0
			if met && !now {
				t.Errorf("%d: free again at %d", seed, i)
			}
			met = now
		}
	}
}
