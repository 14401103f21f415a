package panels

import (
	"math"
	"slices"

	"cubby/internal/duct"
	"cubby/internal/grade"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	leastRoof  = 1e-3  // the shortest face of a board of a slot
	leastTurn  = 20e-3 // of the board after a turn, so that it can be held (common practice)
	flush      = 1e-4  // how far from square a wall may be for a slot to use it as its side, rad
	mostTurns  = 2     // of a slot along walls
	sharpTurn  = 2.62  // the most that a slot turns at once, rad: 150 degrees
	slightTurn = 0.17  // and the least, 10 degrees
)

// stretch is a stretch along w that is free, with the faces that end it.
type stretch struct {
	lo, hi        float64
	atLow, atHigh int
}

// free gives the widest free stretch along w over v from the starting wall to long and n up to high.
func (s *scene) free(l *leg, from, to, long, high float64) (best stretch, ok bool) {
	return s.widest(l, block{[3]float64{math.Max(l.lean*high, 0) + edgeOff, from, edgeOff}, [3]float64{long - edgeOff, to, high - edgeOff}})
}

// widest gives the widest free stretch along w of a block of the air.
func (s *scene) widest(l *leg, in block) (best stretch, ok bool) {
	type wall struct {
		lo, hi float64
		face   int
	}
	var walls []wall
	from, to := in.lo[1], in.hi[1]
	mid := [2]float64{in.lo[0] + leastRoof, (in.lo[2] + in.hi[2]) / 2}
	in.lo[1], in.hi[1] = from-1, to+1
	for i := range s.shell.air.Faces {
		if i == l.floor || i == l.start {
			continue
		}
		if b, hit := l.clip(&s.shell.air.Faces[i], in); hit {
			walls = append(walls, wall{b.lo[1], b.hi[1], i})
		}
	}
	slices.SortFunc(walls, func(a, b wall) int {
		if a.lo < b.lo {
			return -1
		}
		return 1
	})
	at, face := math.Inf(-1), -1
	for _, w := range append(walls, wall{math.Inf(1), math.Inf(1), -1}) {
		lo, hi := math.Max(at, from), math.Min(w.lo, to)
		if hi-lo > best.hi-best.lo+rounding && s.shell.air.Contains(l.at(mid[0], (lo+hi)/2, mid[1])) {
			best, ok = stretch{lo, hi, -1, -1}, true // a wall that ends the joint, or where the joint ends in the open
			if at > from-edgeOff {
				best.atLow = face
			}
			if w.lo < to+edgeOff {
				best.atHigh = w.face
			}
		}
		if w.hi > at {
			at, face = w.hi, w.face
		}
	}
	return best, ok
}

// before is how far the air over a leg's floor runs between x0 and x1 and n0 and n1 before something stands in it, and which face.
func (s *scene) before(l *leg, x0, x1, n0, n1 float64) (v float64, face int) {
	v, face = math.Inf(1), -1
	in := block{[3]float64{edgeOff, x0 + edgeOff, n0 + edgeOff}, [3]float64{math.Inf(1), x1 - edgeOff, n1 - edgeOff}}
	for i := range s.shell.air.Faces {
		f := &s.shell.air.Faces[i]
		if i == l.floor || i == l.start {
			continue
		}
		if b, ok := l.clip(f, in); ok && b.lo[0] < v {
			v, face = b.lo[0], i
		}
	}
	return v, face
}

// slot is a port made of boards along walls: its floor is a wall's inner face, its roof a board parallel to it, its mouth the edge
// of the wall that it starts at. It turns along walls that it runs into, or folds back over itself.
// Folded back, its second leg runs up the wall ahead without a board, and the third under a board of its own.
type slot struct {
	legs   []leg
	facing int // the face before its inner end
	reach  slotReach
	channel
	bounds
	laid
}

// channel is a slot's section, the same all along.
type channel struct {
	h, t      float64
	x0, x1    float64 // along w: all of it, side pieces included
	low, high bool    // side pieces
	closers   [2]int  // faces that close it where it has none
	clear     float64 // clear width, fins taken off
	wide      float64 // where it is narrower than was asked for: the longest that may be as wide, 0: none
	fins      int
}

// bounds is where a slot begins, turns and may end, along its legs.
type bounds struct {
	outer        float64 // v of the mouth's middle on the outer face of its wall
	first, faced float64 // v of the last leg at which its roof begins, and at which it meets what faces it
	shortest     float64 // its last roof
}

// laid is a slot of a length.
type laid struct {
	end    float64 // v of the inner mouth in the last leg
	free   float64
	roofs  []Board
	air    []r3.Vec // outline of the air at x0
	sides  []int    // what it meets: a face, or -1 - a roof, or noSide
	bodies []body
}

const noSide = math.MinInt

// slotReach is which effective lengths go in: from the shortest whose boards have faces to the longest with the least air before
// the inner end, and the longest with the air that is wanted.
type slotReach struct {
	least, clear, most float64
	wall               int // that ends it
}

func (r slotReach) has(length, most float64) bool {
	return length >= r.least-rounding && length <= most+rounding
}

// channelWidth is the widest that a channel of a slot of height h may be between fins, m.
func channelWidth(h float64) float64 {
	return math.Min(grade.Of(grade.SlotFinSpacing).Pass, grade.Of(grade.SlotAspect).Pass*h)
}

// slotFins gives how many fins, each t thick, a slot of height h has between sides full apart, and what width stays clear; m.
// Its channels are at most 250 mm and eight times their height wide (common practice). h and t are greater than 0.
func slotFins(full, h, t float64) (fins int, clear float64) {
	for (full-float64(fins)*t)/float64(fins+1) > channelWidth(h)+rounding && full > float64(fins+1)*t {
		fins++
	}
	return fins, full - float64(fins)*t
}

// slots gives every slot that could be laid, but for its length: straight, along a wall that it runs into, along two, folded; from
// every joint of a wall that may have the mouth with one that may be its floor, best first.
func (s *scene) slots(yield func(*slot) bool) {
	for _, b := range s.berths() {
		for _, first := range s.straights(b) {
			if !yield(first) {
				return
			}
			for turned := first; len(turned.legs) <= mostTurns; {
				next, ok := s.turnedSlot(turned)
				if !ok {
					break
				}
				if !yield(next) {
					return
				}
				turned = next
			}
			if f, ok := s.folded(first); ok && !yield(f) {
				return
			}
		}
	}
}

// berth is where a slot may start: the faces of its mouth and its floor, and the ends of their joint.
type berth struct {
	mouth, floor int
	from, to     r3.Vec
}

// berths lists where a slot may start: the mouth where the job says, else in the drivers' face, front, top, back or the ends; the
// floor the bottom if that is next to it, and never the wall that the drivers are on.
func (s *scene) berths() []berth {
	var out []berth
	for _, mouth := range s.facesFor(s.spec.Port.Face, frontSide, topSide, backSide, leftSide, rightSide) {
		m := mouth.i
		if m == s.shell.loose {
			continue
		}
		var rest []berth
		f := &s.shell.air.Faces[m]
		for _, loop := range f.Loops {
			for k, floor := range loop.With {
				if floor == s.shell.driver || floor == s.shell.loose || !s.shell.air.Convex(m, loop, k) {
					continue
				}
				b := berth{m, floor, loop.At[k], loop.At[(k+1)%len(loop.At)]}
				if s.shell.parts[floor].side == bottomSide {
					out = append(out, b)
				} else {
					rest = append(rest, b)
				}
			}
		}
		out = append(out, rest...)
	}
	return out
}

// straights gives the straight slots of a berth: as wide as the job says or as the walls allow over the whole length, or near the
// mouth only, where that is more.
func (s *scene) straights(b berth) []*slot {
	w := r3.Unit(r3.Sub(b.to, b.from))
	l, ok := s.newLeg(b.floor, b.mouth, w, b.from)
	if !ok {
		return nil
	}
	long := r3.Norm(r3.Sub(b.to, b.from))
	h, t := s.spec.Port.Height, s.spec.Wood.Thickness
	near, ok := s.free(&l, 0, long, math.Max(l.lean*(h+t), 0)+h, h+t)
	if !ok {
		return nil
	}
	var out []*slot
	if far, _ := s.before(&l, near.lo, near.hi, 0, h+t); far > 2*h {
		if all, ok := s.free(&l, near.lo, near.hi, far-h, h+t); ok && all.hi-all.lo < near.hi-near.lo-rounding {
			mid := (near.lo + near.hi) / 2
			if a, face := s.before(&l, mid-edgeOff*4, mid+edgeOff*4, 0, h); face >= 0 {
				if wide, ok := s.free(&l, near.lo, near.hi, a-h, h+t); ok {
					all = wide
				}
			}
			if one := s.straightIn(l, all); one != nil {
				out = append(out, one)
			}
		}
	}
	if one := s.straightIn(l, near); one != nil {
		out = append(out, one)
	}
	return out
}

// straightIn is the straight slot in a stretch along w.
func (s *scene) straightIn(l leg, in stretch) *slot {
	l.over, l.board = -1, s.boardOver()
	k := &slot{legs: []leg{l}, facing: -1, channel: channel{h: s.spec.Port.Height, t: s.spec.Wood.Thickness}}
	if !s.divide(k, in) {
		return nil
	}
	f := &s.shell.outside.Faces[l.start]
	across := r3.Dot(f.N, l.v)
	if math.Abs(across) < 0.3 {
		return nil
	}
	k.outer = (f.D - r3.Dot(f.N, l.at(0, 0, k.h/2))) / across
	start := math.Max(0, math.Max(l.lean*k.h, l.lean*(k.h+k.t)))
	if !l.covers(&s.shell.air.Faces[l.start], 1, 2, k.mouthBlock(k.h+k.t)) || s.floorEnd(&k.legs[0], k.x0, k.x1) < start {
		return nil
	}
	a, board := s.runsOn(k)
	k.facing = a.face
	k.reach = s.reachOf(k, start, a, board, -k.outer)
	return k
}

// end is where a leg ends, along v, and the face that ends it.
type end struct {
	v    float64
	face int
}

// runsOn is how far the air of a slot's last leg goes, and how far its board.
func (s *scene) runsOn(k *slot) (air, board end) {
	l := &k.legs[len(k.legs)-1]
	air.v, air.face = s.before(l, k.x0, k.x1, 0, k.h)
	board.v, board.face = s.before(l, k.x0, k.x1, 0, k.h+k.t)
	board.v = math.Min(board.v, s.floorEnd(l, k.x0, k.x1))
	return air, board
}

// reachOf is which lengths a slot's last leg allows: its roof starts at v = start; base is the effective length at v = 0.
func (s *scene) reachOf(k *slot, start float64, air, board end, base float64) slotReach {
	wanted, half := s.spec.Port.mouthAir()
	k.first, k.faced = start, air.v
	k.shortest = leastRoof
	if len(k.legs) > 1 {
		k.shortest = leastTurn
	}
	out := slotReach{least: base + start + k.shortest, clear: base + math.Min(air.v-wanted, board.v), most: base + math.Min(air.v-half, board.v), wall: air.face}
	if board.v < air.v-half {
		out.wall = board.face
	}
	return out
}

// divide settles width, side pieces and fins in a stretch along w; ok is false where no slot goes there.
func (s *scene) divide(k *slot, in stretch) bool {
	l := &k.legs[0]
	k.x0, k.x1 = in.lo, in.hi
	far, _ := s.before(l, k.x0, k.x1, 0, k.h+k.t)
	far = math.Min(far, s.floorEnd(l, k.x0, k.x1))
	closes := func(face int) bool {
		if face < 0 || face == s.shell.loose {
			return false
		}
		n := s.shell.air.Faces[face].N
		return math.Abs(r3.Dot(n, l.v)) < flush && math.Abs(r3.Dot(n, l.n)) < flush && s.closed(l, face, far, k.h+k.t)
	}
	k.low, k.high = !closes(in.atLow), !closes(in.atHigh)
	k.closers = [2]int{in.atLow, in.atHigh}
	for _, end := range [...]struct {
		face int
		x    *float64
		way  float64
	}{{in.atLow, &k.x0, 1}, {in.atHigh, &k.x1, -1}} {
		if end.face >= 0 && end.face == s.shell.loose {
			*end.x += end.way * s.cleatDepth()
		}
	}
	full := k.x1 - k.x0
	for _, side := range [...]bool{k.low, k.high} {
		if side {
			full -= k.t
		}
	}
	k.fins, k.clear = slotFins(full, k.h, k.t)
	if want := s.spec.Port.Width; want > 0 {
		fins := max(int(math.Ceil(want/channelWidth(k.h)-rounding))-1, 0)
		wide := want + float64(fins)*k.t
		switch {
		case wide < full-k.t && !k.high: // a side piece of its own
			k.fins, k.clear, k.high = fins, want, true
			k.x1 = k.x0 + wide + k.t
			if k.low {
				k.x1 += k.t
			}
		case wide < full-rounding && k.high:
			k.fins, k.clear = fins, want
			k.x1 -= full - wide
		}
	}
	return k.clear > float64(k.fins+1)*k.h
}

// closed reports whether a wall at a slot's side reaches along it as far as v and as high as n.
func (s *scene) closed(l *leg, face int, v, n float64) bool {
	from := math.Max(0, l.lean*n)
	return v > from && l.covers(&s.shell.air.Faces[face], 0, 2, block{[3]float64{from, 0, 0}, [3]float64{v, 0, n}})
}

// holds reports whether the walls beside a leg close it as far as v and as high as n, where it has no side pieces.
func (s *scene) holds(k *slot, l *leg, v, n float64) bool {
	return (k.low || s.closed(l, k.closers[0], v, n)) && (k.high || s.closed(l, k.closers[1], v, n))
}

// cleatDepth is how far the cleats of a removable face reach behind it.
func (s *scene) cleatDepth() float64 {
	f := &s.shell.air.Faces[max(s.shell.loose, 0)]
	deep := 0.0
	for i := range s.bodies {
		if b := &s.bodies[i]; b.kind == cleatBody {
			lo, _ := b.span(f.N)
			deep = math.Max(deep, f.D-lo)
		}
	}
	return deep
}

// boardOver are the levels of the board over a leg along a wall.
func (s *scene) boardOver() [2]float64 {
	h := s.spec.Port.Height
	return [2]float64{h, h + s.spec.Wood.Thickness}
}

// gate is the place at x0 before leg i: a over the leg before it and b over itself; before the first it is on the wall with the
// mouth, after the last at the inner end.
func (k *slot) gate(i int, a, b float64) r3.Vec {
	switch last := len(k.legs) - 1; {
	case i == 0:
		return k.legs[0].at(k.legs[0].lean*b, k.x0, b)
	case i > last:
		return k.legs[last].at(k.end, k.x0, a)
	}
	l := &k.legs[i-1]
	p, _ := solid.Meet(l.level(a), k.legs[i].level(b), solid.Through(l.at(0, k.x0, 0), l.w))
	return p
}

// level is the plane at n over the leg's floor.
func (l *leg) level(n float64) solid.Plane { return solid.Through(l.at(0, 0, n), l.n) }

// turnedSlot is the slot with one more leg along the wall that its last one runs into.
func (s *scene) turnedSlot(k *slot) (*slot, bool) {
	last := &k.legs[len(k.legs)-1]
	a, b := s.before(last, k.x0, k.x1, 0, k.h)
	if _, other := s.before(last, k.x0, k.x1, 0, k.h+k.t); b < 0 || other != b || math.IsInf(a, 1) || b == s.shell.loose || b == k.legs[0].start {
		return nil, false
	}
	n := s.shell.air.Faces[b].N
	turn := math.Acos(clamp(r3.Dot(last.n, r3.Scale(-1, n)), -1, 1))
	if math.Abs(r3.Dot(n, last.w)) > 1e-9 || r3.Dot(n, last.v) <= 0 || turn > sharpTurn || turn < slightTurn {
		return nil, false
	}
	for _, l := range k.legs {
		if l.floor == b {
			return nil, false
		}
	}
	l, ok := s.newLeg(b, last.floor, last.w, last.o)
	if !ok {
		return nil, false
	}
	u, i, top := *k, len(k.legs), k.h+k.t
	l.over, l.board = -1-i, s.boardOver()
	u.legs = append(slices.Clone(k.legs), l)
	// the roof before the turn has faces
	from := math.Max(last.to(k.gate(i-1, top, k.h))[0], last.to(k.gate(i-1, top, top))[0])
	to := math.Min(last.to(u.gate(i, k.h, k.h))[0], last.to(u.gate(i, top, k.h))[0])
	if math.Min(to, last.to(u.gate(i, top, top))[0])-from < leastRoof {
		return nil, false
	}
	start := math.Max(l.to(u.gate(i, top, k.h))[0], l.to(u.gate(i, top, top))[0])
	air, board := s.runsOn(&u)
	if !s.holds(k, &l, math.Min(air.v, board.v), top) || !last.covers(&s.shell.air.Faces[b], 1, 2, k.mouthBlock(top)) || s.floorEnd(last, k.x0, k.x1) < a-1e-6 && last.lean == 0 {
		return nil, false
	}
	if i > 1 { // not past where it would meet the roof of the leg before the last
		before := &k.legs[i-2]
		if p, ok := solid.Meet(l.level(top), before.level(top), solid.Through(l.o, l.w)); ok && l.to(p)[0] > start && l.to(p)[0] < board.v {
			board = end{l.to(p)[0], before.floor}
		}
	}
	u.facing = air.face
	u.reach = s.reachOf(&u, start, air, board, u.walked()-l.to(u.gate(i, k.h/2, k.h/2))[0])
	return &u, u.reach.most > u.reach.least
}

// mouthBlock is as wide as the slot, and so high.
func (k *slot) mouthBlock(high float64) block {
	return block{[3]float64{0, k.x0, 0}, [3]float64{0, k.x1, high}}
}

// walked is the effective length of a slot from its mouth to the corner before its last leg.
func (k *slot) walked() float64 {
	sum := 0.0
	at := k.legs[0].at(k.outer, k.x0, k.h/2)
	for i := 1; i < len(k.legs); i++ {
		c := k.gate(i, k.h/2, k.h/2)
		sum += r3.Norm(r3.Sub(c, at)) - duct.TurnCut(k.h, math.Acos(clamp(r3.Dot(k.legs[i-1].v, k.legs[i].v), -1, 1)))
		at = c
	}
	return sum
}

// folded is the slot that turns back over its own roof before the wall that it runs into, if that is square to its floor.
func (s *scene) folded(k *slot) (*slot, bool) {
	l, high := &k.legs[0], 2*(k.h+k.t)
	a, b := s.before(l, k.x0, k.x1, 0, high)
	if b < 0 || b == s.shell.loose || math.Abs(r3.Dot(s.shell.air.Faces[b].N, l.v)-1) > flush*flush || l.lean != 0 && math.Abs(l.lean) > flush {
		return nil, false
	}
	if a < 3*k.h || !s.holds(k, l, a, high) || s.floorEnd(l, k.x0, k.x1) < a-1e-6 || !l.covers(&s.shell.air.Faces[b], 1, 2, k.mouthBlock(high)) ||
		!l.covers(&s.shell.air.Faces[l.start], 1, 2, k.mouthBlock(high)) {
		return nil, false
	}
	up, ok := s.newLeg(b, l.floor, l.w, l.o)
	if !ok {
		return nil, false
	}
	up.over = -1
	back := leg{floor: -2, start: b, over: -1, o: l.at(a, 0, 2*k.h+k.t), v: r3.Scale(-1, l.v), w: l.w, n: r3.Scale(-1, l.n), board: [2]float64{0, -k.t}}
	u := *k
	u.legs = []leg{*l, up, back}
	u.facing = l.start
	base := a - k.h - k.outer + 2*k.h + k.t - duct.FoldCut(k.h, k.t, k.h) // to the divider's end, round it
	u.reach = s.reachOf(&u, k.h, end{a, l.start}, end{math.Inf(1), -1}, base-k.h)
	return &u, u.reach.most > u.reach.least
}
