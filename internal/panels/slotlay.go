package panels

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// laySlot gives the slot with its boards, for an effective length that it can have.
func (s *scene) laySlot(k *slot, length float64) (*slot, error) {
	u := *k
	last := &u.legs[len(u.legs)-1]
	if u.fold {
		u.end = u.folds - (length - u.reach.least + u.shortest)
		u.free = u.end
		u.foldShape()
	} else {
		u.end = u.first + u.shortest + length - u.reach.least
		u.free = u.faced - u.end
		u.shape()
	}
	if err := u.roof(s); err != nil {
		return nil, err
	}
	u.volume = (u.x1 - u.x0) * math.Abs(solid.LoopArea(u.whole, last.w))
	u.walk()
	u.path.Effective = length
	end, dir := u.path.Line[len(u.path.Line)-1], u.path.Directions[len(u.path.Directions)-1]
	u.section = s.shell.sectionAt(end, dir)
	u.stand()
	return &u, nil
}

// shape draws the outline of the air at x0, and that with the roofs on it.
func (k *slot) shape() {
	first, last := &k.legs[0], &k.legs[len(k.legs)-1]
	top := k.h + k.t
	k.air, k.whole, k.sides = nil, nil, nil
	add := func(p, q r3.Vec, side int) {
		k.air, k.whole, k.sides = append(k.air, p), append(k.whole, q), append(k.sides, side)
	}
	o := first.at(0, k.x0, 0)
	add(o, o, first.floor)
	for i := range len(k.legs) - 1 {
		p := k.corner(i, 0, 0)
		add(p, p, k.legs[i+1].floor)
	}
	v := k.lastAt(k.x0)
	add(last.at(k.end, v, 0), last.at(k.end, v, 0), noSide)
	add(last.at(k.end, v, k.h), last.at(k.end, v, top), -len(k.legs))
	for i := len(k.legs) - 2; i >= 0; i-- {
		add(k.corner(i, k.h, k.h), k.corner(i, top, top), -1-i)
	}
	add(first.at(first.lean*k.h, k.x0, k.h), first.at(first.lean*top, k.x0, top), first.start)
}

// lastAt writes a place along w of the first leg in the frame of the last.
func (k *slot) lastAt(x float64) float64 {
	last := &k.legs[len(k.legs)-1]
	return last.to(k.legs[0].at(0, x, 0))[1]
}

// foldShape draws the outlines of a slot that folds.
func (k *slot) foldShape() {
	l, top := &k.legs[0], 2*k.h+k.t
	wall := k.folds + k.h
	at := func(v, n float64) r3.Vec { return l.at(v, k.x0, n) }
	k.air = []r3.Vec{at(0, 0), at(wall, 0), at(wall, top), at(k.end, top), at(k.end, k.h+k.t), at(k.folds, k.h+k.t), at(k.folds, k.h), at(0, k.h)}
	k.sides = []int{l.floor, k.reach.wallAhead, -2, noSide, -1, -1, -1, l.start}
	k.whole = []r3.Vec{at(0, 0), at(wall, 0), at(wall, top+k.t), at(k.end, top+k.t), at(k.end, k.h+k.t), at(0, k.h+k.t)}
}

// roof cuts the boards over the air.
func (k *slot) roof(s *scene) error {
	k.roofs = nil
	air := s.shell.air
	ends := func(more ...solid.Plane) []solid.Plane {
		l := &k.legs[0]
		if k.low {
			more = append(more, solid.Through(l.at(0, k.x0, 0), r3.Scale(-1, l.w)))
		}
		if k.high {
			more = append(more, solid.Through(l.at(0, k.x1, 0), l.w))
		}
		return more
	}
	slab := func(floor int, n float64, more ...solid.Plane) error {
		p := air.Faces[floor].Plane
		b, err := Slab(air, p.Offset(-n), p.Offset(-n-k.t), ends(more...), 0)
		if err == nil {
			k.roofs = append(k.roofs, b)
		}
		return err
	}
	last := &k.legs[len(k.legs)-1]
	if k.fold {
		if err := slab(last.floor, k.h, solid.Through(last.at(k.folds, 0, 0), last.v)); err != nil {
			return err
		}
		return slab(last.floor, 2*k.h+k.t, solid.Through(last.at(k.end, 0, 0), r3.Scale(-1, last.v)))
	}
	for i := range k.legs {
		l := &k.legs[i]
		var more []solid.Plane
		if i > 0 {
			more = append(more, air.Faces[k.legs[i-1].floor].Offset(-k.h-k.t))
		}
		if i < len(k.legs)-1 {
			more = append(more, air.Faces[k.legs[i+1].floor].Offset(-k.h))
		} else {
			more = append(more, solid.Through(l.at(k.end, 0, 0), l.v))
		}
		if err := slab(l.floor, k.h, more...); err != nil {
			return err
		}
	}
	return nil
}

// mid is the middle of the air along w.
func (k *slot) mid() float64 {
	lo, hi := k.airSpan()
	return (lo + hi) / 2
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

// walk measures the way of the air.
func (k *slot) walk() {
	first, last := &k.legs[0], &k.legs[len(k.legs)-1]
	shift := r3.Scale(k.mid()-k.x0, first.w)
	mid := func(p r3.Vec) r3.Vec { return r3.Add(p, shift) }
	line := []r3.Vec{mid(first.at(k.outer, k.x0, k.h/2))}
	if k.fold {
		turn, n := k.folds+k.h/2, k.h+k.t+k.h/2
		line = append(line, mid(first.at(turn, k.x0, k.h/2)), mid(first.at(turn, k.x0, n)), mid(first.at(k.end, k.x0, n)))
	} else {
		for i := range len(k.legs) - 1 {
			line = append(line, mid(k.corner(i, k.h/2, k.h/2)))
		}
		line = append(line, mid(last.at(k.end, k.lastAt(k.x0), k.h/2)))
	}
	k.path = Path{Line: line}
	for i := range len(line) - 1 {
		d := r3.Sub(line[i+1], line[i])
		k.path.Legs = append(k.path.Legs, r3.Norm(d))
		k.path.Directions = append(k.path.Directions, r3.Unit(d))
		k.path.Length += r3.Norm(d)
	}
}

// stand makes the bodies that the slot takes out of the box's air: one for each leg, wood and air.
func (k *slot) stand() {
	k.bodies = nil
	shift := r3.Scale(k.x1-k.x0, k.legs[0].w)
	add := func(at ...r3.Vec) {
		for _, p := range at {
			at = append(at, r3.Add(p, shift))
		}
		b := newBody(slotBody, "slot", at, tubeSide)
		b.number = len(k.bodies)
		k.bodies = append(k.bodies, b)
	}
	top := k.h + k.t
	l := &k.legs[0]
	if k.fold {
		at := func(v, n float64) r3.Vec { return l.at(v, k.x0, n) }
		wall := k.folds + k.h
		add(at(0, 0), at(wall, 0), at(wall, top), at(0, top))
		add(at(k.end, top), at(wall, top), at(wall, 2*top), at(k.end, 2*top))
		return
	}
	for i := range k.legs {
		l := &k.legs[i]
		x := l.to(k.legs[0].at(0, k.x0, 0))[1]
		near := [2]r3.Vec{l.at(0, x, 0), l.at(l.lean*top, x, top)}
		if i > 0 {
			near[1] = k.corner(i-1, 0, top)
		}
		far := [2]r3.Vec{l.at(k.end, x, 0), l.at(k.end, x, top)}
		if i < len(k.legs)-1 {
			far = [2]r3.Vec{k.corner(i, 0, 0), k.corner(i, top, 0)}
		}
		add(near[0], near[1], far[0], far[1])
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
	r := f.flat(at).Bounds()
	return opening{kind: slotOpening, number: -1, face: l.start, at: r.Min.Add(r.Max).Mul(0.5), hx: r.Width() / 2, hy: r.Height() / 2}
}

// driversWithSlot lays the slot where it leaves the drivers their place, and stands them.
func (s *scene) driversWithSlot() (mounted, error) {
	p := s.spec.Port
	stood := s.bodies
	if s.standAlone(); s.alone.why != nil {
		return mounted{}, s.alone.why.refused()
	}
	alone := 0
	if s.alone.short > rounding {
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
	s.fitted.ports = portFit{}
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

// alone is the drivers as they stand where no slot is in their way, with what is missing for them all the same.
type alone struct {
	fit   mounted
	short float64
	why   *noFrame
}

// standAlone stands the drivers without a slot, once.
func (s *scene) standAlone() {
	if s.alone == nil {
		s.alone = &alone{}
		s.alone.fit, s.alone.short, s.alone.why = s.stand(s.spec.drivers(), s.shell.driver, nil, -rounding, none)
	}
}

// withSlot lays a slot and stands the drivers beside it: where they stand alone if they may, else in a place worth enough; short is
// what is missing for them, why that their frame does not go on.
func (s *scene) withSlot(stood []body, k *slot, length, enough, over float64) (fit mounted, short float64, why *noFrame, ok bool) {
	laid, err := s.laySlot(k, length)
	if err != nil {
		return fit, 0, nil, false
	}
	s.bodies = append(stood[:len(stood):len(stood)], laid.bodies...)
	for i := range stood {
		for m := range laid.bodies {
			if stood[i].kind != layerBody && stood[i].meets(&laid.bodies[m], 0) {
				return fit, 0, nil, false
			}
		}
	}
	s.fitted.ports = portFit{slot: laid}
	if s.stillStand() {
		fit = s.alone.fit
	} else {
		fit, short, why = s.stand(s.spec.drivers(), s.shell.driver, nil, enough, over)
	}
	fit.slot = laid
	return fit, short, why, why == nil
}

// stillStand reports whether nothing is missing for the drivers, as they stand alone, with what stands now.
func (s *scene) stillStand() bool {
	if s.alone.why != nil || s.alone.short > rounding {
		return false
	}
	f := s.driverFace()
	others := s.onFace(f.i)
	for _, c := range s.alone.fit.centres {
		if s.worth(s.alone.fit.mount, f, c, others, -2*rounding) < -rounding {
			return false
		}
	}
	return true
}

// takeSlot gives the slot that was laid with the drivers.
func (s *scene) takeSlot() (portFit, error) {
	k := s.fitted.drivers.slot
	return portFit{slot: k, wishes: []Wish{{A: k.legs[0].floor, B: k.legs[0].start, R: Through}}}, nil
}

// slotReach is what all places allow a slot: the least and the longest that acts. The longest leaves air in the box.
func (s *scene) slotReach() Reach {
	stood := s.bodies
	s.standAlone()
	defer func() { s.bodies, s.fitted.ports = stood, portFit{} }()
	out := Reach{Least: math.Inf(1)}
	for k := range s.slots {
		goes := func(length float64) bool {
			_, _, _, ok := s.withSlot(stood, k, length, refused/2, none)
			return ok
		}
		least, most := k.reach.least, k.reach.most
		why := say("along the %s its inner end keeps %s to the %s", s.faces[k.legs[0].floor].name,
			Length(grade.Of(grade.SlotInner).Marginal*k.h), s.name(obstacle{face: k.reach.wall}))
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
	e := &BuildError{Reason: NoPort, Panel: p.Face, Value: p.Length, Limit: r.Most, Reach: r}
	what := say("the slot (%s high, acting as %s)", Length(p.Height), Length(p.Length))
	switch {
	case r.Most <= 0:
		if why != nil {
			return why.refused()
		}
		e.Say = say("%s finds no place: %s", what, r.Why)
	case p.Length < r.Least:
		e.Limit = r.Least
		e.Say = say("%s is too short to be made of board: %s is the least", what, Length(r.Least))
	case p.Length < r.Most:
		e.Say = say("%s is too long to be straight and too short to bend, or too tight for what stands there; %s would do", what, Length(r.Most))
	default:
		e.Say = say("%s does not go into the box: the longest that does is %s (%s)", what, Length(r.Most), r.Why)
	}
	return e
}

// sectionAt is the area of the air's section square to dir at p; 0 where there is none.
func (sh *shell) sectionAt(p, dir r3.Vec) float64 {
	all, err := sh.air.Slice(solid.Through(p, dir))
	if err != nil {
		return 0
	}
	f := frameOf(solid.Through(p, dir), []r3.Vec{p})
	for _, c := range all {
		if g := f.locals(c.At); g.Contains(f.local(p)) {
			return math.Abs(g.Area())
		}
	}
	return 0
}
