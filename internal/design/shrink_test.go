package design

import (
	"math"
	"slices"
	"testing"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/search"
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

// finderOf is a job made ready to be searched.
func finderOf(t *testing.T, req Request) *finder {
	t.Helper()
	p, err := newRig(&req)
	if err != nil {
		t.Fatal(err)
	}
	f, _, err := p.ready(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The smallest box that takes a driver is the same in whatever space it stands, to a step of the saw.
func TestLeastAirIsTheDriversOwn(t *testing.T) {
	var least []float64
	for k := range 8 {
		req := wedgeRequest()
		req.Space.Space, req.Space.Passage = square(0.7+0.0137*float64(k), 0.40, 0.35+0.0071*float64(k)), nil
		req.Frame = panels.Driver{Frame: 0.2107, Cutout: 0.1807, Depth: 0.0813, Magnet: 0.1114, Displacement: 0.0027, Circle: 0.1977, Bolts: 8, Hole: 0.0055}
		f := finderOf(t, req)
		least = append(least, f.stands[0].least(f))
	}
	if lo, hi := slices.Min(least), slices.Max(least); hi > 1.1*lo+0.0001 {
		t.Errorf("the least net air is %v", least)
	}
}

// No box that is built is smaller outside than its place says of its air, however large the place and braced its largest box is.
func TestOutsideIsTheLeast(t *testing.T) {
	req := wedgeRequest()
	req.Space.Space, req.Space.Passage, req.Kinds = square(1.1, 0.42, 0.36), nil, []Kind{Sealed}
	f, built := finderOf(t, req), 0
	for _, v := range logGrid(0.008, 0.09, 8) {
		b, err := f.Build(t.Context(), &f.places[0], search.Candidate{Kind: search.Sealed, Volume: v})
		if err != nil || b.Refused != nil {
			continue
		}
		built++
		if c := b.Candidate; c.Outside < f.places[0].Outside(c.Volume) {
			t.Errorf("%.1f l in %.3f l, at least %.3f l is said", c.Volume*1e3, c.Outside*1e3, f.places[0].Outside(c.Volume)*1e3)
		}
	}
	if built < 4 {
		t.Errorf("%d boxes were built", built)
	}
}
