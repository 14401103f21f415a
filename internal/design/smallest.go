package design

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"cubby/internal/cavity"
	"cubby/internal/numeric"
	"cubby/internal/panels"
	"cubby/internal/search"
)

// A portReach is which effective lengths, ends included, a tube may have in a stand at its largest.
type portReach struct {
	Least, Most float64
	Why         error
}

// reach asks the wood for it, once for every tube.
func (f *finder) reach(s *stand, d *duct) portReach {
	if r, ok := s.reach[d]; ok {
		return r
	}
	spec := s.spec
	spec.Port = d.wood(f.req.Wood.Thickness, f.req)
	ends := d.ends(0)
	var r portReach
	if got, err := panels.PortReach(spec); err != nil {
		r.Why = f.inUnits(err)
	} else if r.Why = f.inUnits(&panels.BuildError{Reason: panels.NoPort, Say: got.Why}); got.Most > 0 {
		r.Least, r.Most = got.Least+ends[0]+ends[1], got.Most+ends[0]+ends[1]
	}
	if s.reach == nil {
		s.reach = map[*duct]portReach{}
	}
	s.reach[d] = r
	return r
}

// least is the net air of the smallest box of the stand that takes the driver, in any way, m3; found when it is first wanted.
func (s *stand) least(f *finder) float64 {
	if s.smallest > 0 {
		return s.smallest
	}
	s.smallest = s.net
	for _, w := range slices.Backward(f.ways(&s.region)) { // those that change most sizes first
		lo, hi := 0.0, 1.0
		for hi-lo > leastWithin {
			m := made{way: w}
			share := (lo + hi) / 2
			box, err := f.plan(&m, s, share)
			if err != nil || box.NetVolume <= 0 || f.failedWood(box) != nil {
				if lo = share; m.region.Air-s.taken >= s.smallest { // and no larger one holds less
					break
				}
				continue
			}
			hi, s.smallest = share, min(s.smallest, box.NetVolume)
		}
	}
	if own := s.cutToFace(f); own != nil {
		s.smallest = math.Min(s.smallest, own.least(f))
	}
	return s.smallest
}

// through is the largest share of the size that a way changes at which a box goes through the passage; found when it is first
// wanted.
func (s *stand) through(f *finder, w cavity.Way) float64 {
	if share, ok := s.passes[w]; ok || f.req.Space.Passage == nil {
		return cmp.Or(share, 1)
	}
	var face *panels.RemovableFace
	if s.spec.Mounting.Removable {
		face = &panels.RemovableFace{Gasket: panels.GasketSqueezed}
	}
	goes := func(share float64) bool {
		r, ok := f.shrunk(s, w, share)
		body, err := r.Solid()
		if !ok || err != nil { // what is no box is in nobody's way
			return true
		}
		c := f.carryIn(body, face)
		return c.Answer != cavity.Cannot && c.Section <= 1 // with no use of the test's slack
	}
	share := 1.0
	if size := sizeOf(&s.region, w); !goes(1) {
		share = floorTo(numeric.Bisect(0, 1, 12, goes)*size, f.req.Saw.RoundTo) / size
	}
	if s.passes == nil {
		s.passes = map[cavity.Way]float64{}
	}
	s.passes[w] = math.Max(share, slack)
	return s.passes[w]
}

// shrunk is a stand's region at a share of the size that a way changes; false where that is no box.
func (f *finder) shrunk(s *stand, w cavity.Way, share float64) (cavity.Region, bool) {
	if share >= 1 {
		return s.region, true
	}
	return f.room.Shrunk(s.region, w, share, f.shop)
}

// carriedAir is the air of the largest region of a stand that a way leaves and the passage lets in, m3; 0: none.
func (s *stand) carriedAir(f *finder, w cavity.Way) float64 {
	r, ok := f.shrunk(s, w, s.through(f, w))
	if !ok {
		return 0
	}
	return r.Air
}

// carriedNet is the most net air that a box of a stand may have which goes through the passage, m3; braces and the like may be in
// a larger box alone.
func (f *finder) carriedNet(s *stand) float64 {
	if f.req.Space.Passage == nil {
		return s.net
	}
	most := 0.0
	for _, w := range f.ways(&s.region) {
		most = math.Max(most, s.carriedAir(f, w)-f.displaced())
	}
	return math.Min(s.net, most)
}

// towards is the way that moves the wall across from the driver's towards it.
func (f *finder) towards() cavity.Way {
	switch f.req.Mount.Face {
	case "top", "bottom":
		return cavity.ByHeight
	case "left", "right":
		return cavity.ByWidth
	}
	return cavity.ByDepth
}

// cutToFace is a rectangular stand whose driver's face is cut to what the driver needs: a box with less air than that takes
// can only be less deep behind it. Nil where there is none, or where the job says which size alone gives way.
func (s *stand) cutToFace(f *finder) *stand {
	if s.faced != nil || s.uncut || !s.region.Rectangle || s.spec.Radiators != nil || f.req.Space.Shrink != "" {
		return s.faced
	}
	s.uncut = true
	own := &stand{region: s.region, spec: s.spec, minutes: s.minutes, uncut: true}
	for _, w := range [...]cavity.Way{cavity.ByWidth, cavity.ByDepth, cavity.ByHeight} {
		if w == f.towards() {
			continue
		}
		lo, hi := 0.0, 1.0
		for hi-lo > leastWithin/4 {
			share := (lo + hi) / 2
			box, err := f.plan(&made{way: w}, own, share)
			if err != nil || f.failedWood(box) != nil {
				lo = share
			} else {
				hi = share
			}
		}
		if size, step := sizeOf(&own.region, w), f.req.Saw.RoundTo; step > 0 { // a step less would be too small
			hi = math.Min(1, math.Ceil(hi*size/step-stepSlack)*step/size)
		}
		if r, ok := f.room.Shrunk(own.region, w, hi, f.shop); ok {
			own.region = f.rounded(f.prepared, r)
		}
	}
	if f.settle(own) != nil || own.net >= s.net*(1-leastWithin) {
		return nil
	}
	s.faced = own
	return own
}

// leastWithin is how closely the smallest box is looked for, as a share of the largest.
const leastWithin = 0.01

// refuse adds to a refusal what one way of building has told: the longest port that any of them has room for.
func (f *finder) refuse(r *search.Refusal, err error, d *duct, c search.Candidate) {
	r.Why = f.inUnits(err)
	var b *panels.BuildError
	most := 0.0
	switch {
	case d == nil:
	case errors.As(err, &b):
		most = b.Reach.Most
	}
	if most <= 0 {
		return
	}
	own := *d
	if own.isSlot() {
		own.height = math.Max(f.leastSlot(), math.Sqrt(c.Port.Area/6))
		own.width = c.Port.Area / own.height
	}
	ends := own.ends(0)
	if most += ends[0] + ends[1]; most < c.Port.Length {
		r.Length.Most = math.Max(r.Length.Most, most)
	}
}
