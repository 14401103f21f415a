package design

import (
	"math"
	"testing"

	"cubby/internal/plane"
)

// Whatever dimension gives way, a wished volume comes out to 0.1 %, and the other two dimensions are as large as they can be.
func TestShrinkByEachDimension(t *testing.T) {
	const wished, gap = 0.047, 0.008
	for _, by := range []Shrink{"", ShrinkWidth, ShrinkDepth, ShrinkHeight} {
		for _, stepped := range []bool{false, true} {
			req := wedgeRequest()
			req.Space.Space, req.Space.Shrink, req.Space.Passage = square(0.5, 0.43, 0.4), by, nil
			if stepped {
				req.Space.Space = uniform(0.5, plane.Polygon{{X: 0, Y: 0}, {X: 0.5, Y: 0}, {X: 0.5, Y: 0.2}, {X: 0.38, Y: 0.2}, {X: 0.38, Y: 0.4}, {X: 0, Y: 0.4}})
			}
			req.Limits.Volume = [2]float64{wished, wished}
			req.Kinds = []Kind{Sealed}
			r := mustRun(t, req)
			if len(r.Designs) == 0 {
				t.Fatalf("%q: %+v", by, r.Outcomes)
			}
			b := r.Designs[0].Box
			if off := b.NetVolume/wished - 1; math.Abs(off) > volumeWithin {
				t.Errorf("%q, stepped %t: net air off by %.2f %%", by, stepped, 100*off)
			}
			if stepped || by == "" {
				continue
			}
			lo, hi := b.Spec.Outside.Bounds()
			for _, s := range []struct {
				what      Shrink
				got, want float64
			}{{ShrinkWidth, hi.X - lo.X, 0.5}, {ShrinkDepth, hi.Y - lo.Y, 0.43}, {ShrinkHeight, hi.Z - lo.Z, 0.4}} {
				less := s.want - 2*gap - s.got
				if s.what == ShrinkDepth {
					less = s.want - 0.05 - gap - s.got // the air before the driver
				}
				if gives := less > 1e-3; gives != (s.what == by) {
					t.Errorf("%q: %s %g of %g", by, s.what, s.got, s.want)
				}
			}
		}
	}
}
