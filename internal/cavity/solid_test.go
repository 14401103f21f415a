package cavity

import (
	"math"
	"testing"
)

// The solid of a region has its volume, and the air that is counted is what is left inside boards all round, which the
// solid's own faces moved in give too.
func TestRegionsAsSolids(t *testing.T) {
	const board = 0.018
	pocketed, all := 0, 0
	for name := range spaces() {
		_, res := searched(t, name)
		for i, r := range res.Regions {
			if len(r.Pockets) == 0 && i%7 != 0 {
				continue
			}
			all++
			b, err := r.Solid()
			if err != nil {
				t.Errorf("%s: region %d with %d pockets makes no solid: %v", name, i, len(r.Pockets), err)
				continue
			}
			if v := b.Volume(); math.Abs(v-r.Volume) > 1e-6*r.Volume+1e-9 {
				t.Errorf("%s: region %d holds %.6f l, its solid %.6f; pockets %v", name, i, r.Volume*1000, v*1000, r.Pockets)
			}
			by := make([]float64, len(b.Faces))
			for k := range by {
				by[k] = -board
			}
			air, err := b.Moved(by)
			if err != nil {
				t.Errorf("%s: region %d with %d pockets has no air: %v", name, i, len(r.Pockets), err)
				continue
			}
			if len(r.Pockets) > 0 {
				pocketed++
			}
			if v := air.Volume(); math.Abs(v-r.Air) > 1e-3*r.Air+1e-9 {
				t.Errorf("%s: region %d has %.4f l of air, its solid %.4f; pockets %v", name, i, r.Air*1000, v*1000, r.Pockets)
			}
		}
	}
	t.Logf("%d regions, %d with pockets compared", all, pocketed)
	if pocketed < 10 {
		t.Errorf("only %d regions with pockets", pocketed)
	}
}
