package cavity

import (
	"context"
	"math/rand"
	"testing"
)

// Of a rough space of 12 stations with 40 heights each the ladder tells what each corner buys; no region leaves the space,
// and few corners lose little: the prototype's kept 98 % with 12 corners, 96 % with 6 and 81 % with 4 of a like one.
func TestLadderOfARoughSpace(t *testing.T) {
	s := noisy()
	res, err := settled(t, s).Regions(context.Background(), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	most, rungs := 0.0, map[int]float64{}
	for _, r := range res.Ladder {
		if r.Axis != Across {
			continue
		}
		t.Logf("%d corners: %.1f l, lose %.1f", r.Corners, r.Air*1000, r.Lost*1000)
		if r.Air <= most {
			t.Errorf("%d corners hold no more than fewer", r.Corners)
		}
		most = r.Air
		rungs[r.Corners] = r.Air
	}
	if rungs[6] < 0.9*most || rungs[4] < 0.75*most {
		t.Errorf("6 corners hold %.1f l, 4 hold %.1f of %.1f", rungs[6]*1000, rungs[4]*1000, most*1000)
	}
	rnd := rand.New(rand.NewSource(1))
	for i, r := range res.Regions {
		if i%4 != 0 {
			continue
		}
		for _, p := range r.points(rnd, 200) {
			if d := (tape{s}).outside(p); d > 1e-6 {
				t.Fatalf("region %d: %v is %.4f mm outside", i, p, d*1000)
			}
		}
	}
}
