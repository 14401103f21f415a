package panels

import (
	"math"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// laySlot gives the slot with its boards, for an effective length that it can have.
func (s *scene) laySlot(k *slot, length float64) (*slot, error) {
	u := *k
	u.end = u.first + u.shortest + length - u.reach.least
	u.free = u.faced - u.end
	u.shape()
	if err := u.roof(s); err != nil {
		return nil, err
	}
	u.stand()
	return &u, nil
}

// shape draws the outline of the air at x0: along the floors to the inner end, and back under what is over them.
func (k *slot) shape() {
	k.air, k.sides = nil, nil
	add := func(i int, level float64, side int) {
		k.air, k.sides = append(k.air, k.gate(i, level, level)), append(k.sides, side)
	}
	n := len(k.legs)
	for i := range k.legs {
		add(i, 0, k.legs[i].floor)
	}
	add(n, 0, noSide)
	for i := n; i > 0; i-- {
		add(i, k.h, k.legs[i-1].over)
	}
	add(0, k.h, k.legs[0].start)
}

// boarded reports whether there is a leg i with a board of its own.
func (k *slot) boarded(i int) bool {
	return i >= 0 && i < len(k.legs) && k.legs[i].board[0] != k.legs[i].board[1]
}

// roof cuts the boards over the air.
func (k *slot) roof(s *scene) error {
	k.roofs = nil
	first := &k.legs[0]
	for i := range k.legs {
		if !k.boarded(i) {
			continue
		}
		l := &k.legs[i]
		outer, inner := l.level(l.board[0]), l.level(l.board[1])
		if l.board[0] < l.board[1] {
			outer, inner = outer.Flipped(), inner.Flipped()
		}
		var ends []solid.Plane
		if k.low {
			ends = append(ends, solid.Through(first.at(0, k.x0, 0), r3.Scale(-1, l.w)))
		}
		if k.high {
			ends = append(ends, solid.Through(first.at(0, k.x1, 0), l.w))
		}
		if k.boarded(i - 1) {
			ends = append(ends, k.legs[i-1].level(k.h+k.t).Flipped())
		}
		if i < len(k.legs)-1 {
			ends = append(ends, k.legs[i+1].level(k.h).Flipped())
		} else {
			ends = append(ends, solid.Through(l.at(k.end, 0, 0), l.v))
		}
		b, err := Slab(s.shell.air, outer, inner, ends, 0)
		if err != nil {
			return err
		}
		k.roofs = append(k.roofs, b)
	}
	return nil
}

// airSpan is the stretch of the air along w, fins included.
func (k *slot) airSpan() (lo, hi float64) {
	lo, hi = k.x0, k.x1
	if k.low {
		lo += k.t
	}
	if k.high {
		hi -= k.t
	}
	return lo, hi
}

// portOf is a slot that is laid, as a port.
func (s *scene) portOf(k *slot) port {
	p := port{opening: s.mouth(k), path: Path{Effective: s.spec.Port.Length}, free: k.free, facing: obstacle{face: k.facing}, bodies: k.bodies, slot: k}
	p.volume = (k.x1 - k.x0) * math.Abs(solid.LoopArea(k.air, k.legs[0].w))
	for i := range k.roofs {
		p.volume += k.roofs[i].Volume
	}
	w := k.legs[0].w
	lo, hi := k.airSpan()
	shift := r3.Scale((lo+hi)/2-k.x0, w)
	line := []r3.Vec{r3.Add(k.legs[0].at(k.outer, k.x0, k.h/2), shift)}
	for i := range k.legs {
		line = append(line, r3.Add(k.gate(i+1, k.h/2, k.h/2), shift))
		d := r3.Sub(line[i+1], line[i])
		p.path.Legs = append(p.path.Legs, r3.Norm(d))
		p.path.Directions = append(p.path.Directions, r3.Unit(d))
		p.path.Length += r3.Norm(d)
	}
	p.path.Line = line
	wanted, _ := s.spec.Port.mouthAir()
	last := &k.legs[len(k.legs)-1]
	var at []r3.Vec
	for _, x := range [...]float64{lo, hi} {
		for _, n := range [...]float64{0, k.h} {
			for _, v := range [...]float64{k.end, k.end + wanted} {
				at = append(at, last.at(v, x, n))
			}
		}
	}
	p.mouth = newBody(slotBody, "slot", at, 0)
	return p
}

// stand makes the bodies that the slot takes out of the box's air: for each board that with the air at it.
func (k *slot) stand() {
	k.bodies = nil
	shift := r3.Scale(k.x1-k.x0, k.legs[0].w)
	for i := range k.legs {
		if !k.boarded(i) {
			continue
		}
		back := k.legs[i].board[1]
		lo, hi := math.Min(0, back), math.Max(k.h, back)
		at := []r3.Vec{k.gate(i, 0, lo), k.gate(i, 0, hi), k.gate(i+1, lo, 0), k.gate(i+1, hi, 0)}
		for _, p := range at {
			at = append(at, r3.Add(p, shift))
		}
		b := newBody(slotBody, "slot", at, tubeSide)
		b.number = len(k.bodies)
		k.bodies = append(k.bodies, b)
	}
}

// mouth is the slot's opening in its face.
func (s *scene) mouth(k *slot) opening {
	l := &k.legs[0]
	f, outer := &s.faces[l.start], &s.shell.outside.Faces[l.start]
	lo, hi := k.airSpan()
	var at []r3.Vec
	for _, w := range [...]float64{lo, hi} {
		for _, n := range [...]float64{0, k.h} {
			v := (outer.D - r3.Dot(outer.N, l.at(0, w, n))) / r3.Dot(outer.N, l.v)
			at = append(at, l.at(v, w, n))
		}
	}
	r := f.Flat(at).Bounds()
	return opening{kind: slotOpening, number: -1, face: l.start, at: r.Min.Add(r.Max).Mul(0.5), hx: r.Width() / 2, hy: r.Height() / 2}
}

// driversWithSlot lays the slot where it leaves the drivers their place, and stands them.
func (s *scene) driversWithSlot() (mounted, error) {
	p := s.spec.Port
	stood := s.bodies
	_, missing, why := s.stand(s.spec.drivers(), s.shell.driver, nil, -rounding, none)
	if why != nil {
		return mounted{}, why.refused()
	}
	alone := 0 // without a slot
	if missing > rounding {
		alone = 2
	}
	var best mounted
	rank, over := 4, none
	var noFrame *noFrame
	for k := range s.slots {
		if !k.reach.has(p.Length, k.reach.most) {
			continue
		}
		now := 0
		if p.Length > k.reach.clear+rounding {
			now++
		}
		if now+alone >= rank {
			continue
		}
		fit, short, why, ok := s.withSlot(stood, k, p.Length, -rounding, over)
		if !ok {
			noFrame = why
			continue
		}
		if short > rounding {
			now += 2
		}
		if now < rank {
			best, rank, over = fit, now, -gridPitch // with a place found another counts only where it is right, or refining makes it so
		}
		if rank == alone {
			break
		}
	}
	s.fitted.ports = nil
	if best.slot == nil {
		s.bodies = stood
		return mounted{}, s.slotError(noFrame)
	}
	if best.slot.clear < p.Width-rounding {
		for k := range s.slots {
			if k.clear >= p.Width-rounding {
				best.slot.wide = math.Max(best.slot.wide, k.reach.most)
			}
		}
	}
	s.bodies = append(append(stood[:len(stood):len(stood)], best.slot.bodies...), s.behind(best)...)
	return best, nil
}

// withSlot lays a slot and stands the drivers beside it, in a place worth enough; short is what is missing for them, why that their
// frame does not go on.
func (s *scene) withSlot(stood []body, k *slot, length, enough, over float64) (fit mounted, short float64, why *noFrame, ok bool) {
	laid, err := s.laySlot(k, length)
	if err != nil {
		return fit, 0, nil, false
	}
	s.bodies = append(stood[:len(stood):len(stood)], laid.bodies...)
	for i := range stood {
		for m := range laid.bodies {
			if stood[i].meets(&laid.bodies[m], 0) {
				return fit, 0, nil, false
			}
		}
	}
	s.fitted.ports = []port{{opening: s.mouth(laid), slot: laid}}
	fit, short, why = s.stand(s.spec.drivers(), s.shell.driver, nil, enough, over)
	fit.slot = laid
	return fit, short, why, why == nil
}

// slotReach is what all places allow a slot: the least and the longest that acts. The longest leaves air in the box.
func (s *scene) slotReach() Reach {
	stood := s.bodies
	defer func() { s.bodies, s.fitted.ports = stood, nil }()
	out := Reach{Least: math.Inf(1)}
	_, half := s.spec.Port.mouthAir()
	for k := range s.slots {
		goes := func(length float64) bool {
			_, _, _, ok := s.withSlot(stood, k, length, refused/2, none)
			return ok
		}
		least, most := k.reach.least, k.reach.most
		why := say("along the %s its inner end keeps %s to the %s", s.faces[k.legs[0].floor].name, Length(half), s.name(obstacle{face: k.reach.wall}))
		if air := s.longestWithAir(k); air < most {
			most, why = air, say(airIsLeft)
		}
		if most <= math.Max(least, out.Most) {
			continue
		}
		if !goes(most) { // shorter it may leave what stands there its room
			short := math.Max(least, out.Most) + reachStep
			if short >= most || !goes(short) {
				continue
			}
			for most-short > reachStep {
				if mid := (short + most) / 2; goes(mid) {
					short = mid
				} else {
					most = mid
				}
			}
			most, why = short, say("along the %s it leaves what stands there its room", s.faces[k.legs[0].floor].name)
		}
		out.Least, out.Most, out.Why = math.Min(out.Least, least), most, why
	}
	if out.Most == 0 {
		out.Least = 0
		out.Why = say("its mouth has to be at the joint with a wall that the driver is not on, and at least as high and wide as it is")
	}
	return out
}

// reachStep is how closely it is found how long a slot may be that something stands in the way of, m.
const reachStep = 1e-3

// airKept is the share of the air between the walls that a port leaves at least, so that a length that is said to fit does.
const airKept = 0.02

// airIsLeft is what is said of a port that would leave less.
const airIsLeft = "the air that is left"

// longestWithAir is the longest slot of a kind that leaves air in the box.
func (s *scene) longestWithAir(k *slot) float64 {
	area := (k.x1 - k.x0) * (k.h + k.t)
	return s.airLeft()/area + math.Min(k.reach.least, 0)
}

// airLeft is the air that a port may take.
func (s *scene) airLeft() float64 {
	d := s.spec.drivers()
	air := (1-airKept)*s.shell.air.Volume() - float64(d.count)*d.takes()
	for i := range s.pieces {
		air -= s.pieces[i].taken()
	}
	return air - s.cupVolume()
}

// slotError says that the slot does not go in, and which do.
func (s *scene) slotError(why *noFrame) error {
	p := s.spec.Port
	r := s.slotReach()
	if r.Most <= 0 && why != nil {
		return why.refused()
	}
	return s.noPort(say("the slot (%s high, acting as %s)", Length(p.Height), Length(p.Length)), "too short to be made of board", r)
}

// sectionAt is the area of the air's section square to dir at p; 0 where there is none.
func (sh *shell) sectionAt(p, dir r3.Vec) float64 {
	all, err := sh.air.Slice(solid.Through(p, dir))
	if err != nil {
		return 0
	}
	for _, c := range all {
		if solid.Holds([]solid.Loop{{At: c.At}}, dir, p) {
			return math.Abs(solid.LoopArea(c.At, dir))
		}
	}
	return 0
}
