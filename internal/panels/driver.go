package panels

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Distances of drivers (common practice).
const (
	frameGap     = 10e-3 // of wood between the frames of two drivers
	frameWood    = 5e-3  // between a frame and a joint
	basketShare  = 0.6   // of a driver's depth is its basket, taken as wide as the cut-out: the wide side
	basketAir    = 5e-3  // beside it
	recessPlay   = 1e-3  // of the recess over the frame, in diameter
	recessFloor  = 6e-3  // of wood that a recess leaves at least
	chamferFloor = 2e-3  // of the opening's wall that a chamfer leaves at least
	thinnest     = 12e-3 // board below which no thinner wall is advised
)

// cutout is the opening to cut; when it is not stated, what the frame lets one suppose for clearances, and false.
func (d Driver) cutout() (float64, bool) {
	switch {
	case d.Cutout > 0:
		return d.Cutout, true
	case d.Frame > 0:
		return 0.92 * d.Frame, false // common practice: the flange overlaps by 8 to 12 mm a side
	case d.Sd > 0:
		return 2 * math.Sqrt(d.Sd/math.Pi), false
	}
	return 0, false
}

// frame is the outside diameter of the flange, at least the cut-out.
func (d Driver) frame() float64 {
	c, _ := d.cutout()
	return math.Max(d.Frame, c)
}

// magnet is the diameter over which the depth behind is taken: the cut-out's where it is not known.
func (d Driver) magnet() float64 {
	if d.Magnet > 0 {
		return d.Magnet
	}
	c, _ := d.cutout()
	return c
}

// air is what a driver wants behind it.
func (d Driver) air() float64 {
	if d.Vent {
		return grade.Of(grade.DepthBehindVent).Pass
	}
	return grade.Of(grade.DepthBehind).Pass
}

// sunk is how deep the driver goes, from the outer face: its depth, and the recess of its flange.
func (s *Spec) sunk() float64 {
	if s.Driver.Depth <= 0 || s.Mounting.Outside {
		return 0
	}
	return s.Driver.Depth + s.Mounting.Recess
}

// neck is how deep the basket goes, from the outer face, before only the magnet is left.
func (s *Spec) neck() float64 { return basketShare*s.Driver.Depth + s.Mounting.Recess }

// flange is the diameter that the driver needs on its face: its frame, or the recess for it.
func (s *Spec) flange() float64 {
	if s.Mounting.Recess > 0 {
		return s.Driver.frame() + recessPlay
	}
	return s.Driver.frame()
}

// driverFit is the drivers as placed.
type driverFit struct {
	on      int
	centres []plane.Point
	fix     Fixing
	slot    *slot // settled together with them
	slots   slotReach
}

// placeDriver stands the drivers on their face: in its middle where there is the depth behind and the air beside them, else where
// there is, as near to it as may be. A slot, if one is wanted, is laid first, where it leaves the drivers their place.
func placeDriver(s *scene) (driverFit, error) {
	if err := s.mounts(); err != nil {
		return driverFit{}, err
	}
	if s.spec.Port != nil && s.spec.Port.Bore <= 0 {
		return s.driversWithSlot()
	}
	fit, _, err := s.standDrivers(s.shell.driver, nil, -rounding)
	if err != nil {
		return fit, err.refused()
	}
	s.bodies = append(s.bodies, s.driverBodies(fit)...)
	return fit, nil
}

// driverFace is the face with the drivers.
func (s *scene) driverFace() *face { return &s.faces[s.shell.driver] }

// refused is what standing the drivers is worth where their frame does not go on, besides what is missing there.
const refused = -100

// standDrivers looks for the best place of the drivers on a face, as near as may be to like (nil: its middle). short is how much
// is missing there of depth, wood and air, 0 where nothing is; a place that is worth enough is not bettered.
func (s *scene) standDrivers(on int, like *plane.Point, enough float64) (fit driverFit, short float64, err *noFrame) {
	f := &s.faces[on]
	fit = driverFit{on: on}
	fit.fix = s.fixing()
	best := found{value: math.Inf(-1)}
	var g group
	mid := plane.Point{X: (f.free.Min.X + f.free.Max.X) / 2, Y: f.mid.Y}
	if like != nil {
		mid = *like
	}
	margin := s.spec.flange()/2 + frameWood
	others := s.onFace(f.i)
	for k, way := range s.driverGroups(f) {
		w := wanted{in: way.inside(f.free, margin), like: mid, enough: enough, value: func(p plane.Point, bar float64) float64 {
			return s.groupWorth(f, p, way, others, bar)
		}}
		if w.in.Width() < 0 {
			w.in.Min.X = (w.in.Min.X + w.in.Max.X) / 2
			w.in.Max.X = w.in.Min.X
		}
		if w.in.Height() < 0 {
			w.in.Min.Y = (w.in.Min.Y + w.in.Max.Y) / 2
			w.in.Max.Y = w.in.Min.Y
		}
		if like == nil {
			w.first = []plane.Point{{X: mid.X, Y: clamp(mid.Y, w.in.Min.Y, w.in.Max.Y)}}
		}
		if at := s.spec.Mounting.At; at != nil {
			w.hold(f, at)
		} else if s.spec.Mounting.Centred && w.value(w.first[0], math.Inf(-1)) > refused/2 {
			w.only = true
		}
		if p := w.place(); k == 0 || p.value > best.value+rounding {
			best, g = p, way
		}
		if best.value >= enough {
			break
		}
	}
	if best.value <= refused/2 {
		return fit, 0, &noFrame{s: s, f: f, room: best.value - refused + s.spec.flange()/2}
	}
	for _, m := range g.at {
		fit.centres = append(fit.centres, best.at.Add(m))
	}
	return fit, math.Max(-best.value, 0), nil
}

// driverGroups are the ways to stand the drivers: evenly spread along the face, side by side, in a column, in two rows.
func (s *scene) driverGroups(f *face) []group {
	n := max(s.spec.Count, 1)
	tight := groups(n, s.spec.flange()+frameGap)
	if n == 1 {
		return tight
	}
	even := groups(n, f.free.Width()/float64(n))[0]
	if f.free.Width()/float64(n) < s.spec.flange()+frameGap {
		return tight[1:]
	}
	return append([]group{even}, tight...)
}

// groupWorth is how well the drivers stand with the middle of their group at p: 0, or less by what is missing.
// It may be anything up to bar once it is known to be no more.
func (s *scene) groupWorth(f *face, p plane.Point, g group, others []opening, bar float64) float64 {
	worst := 0.0
	for _, m := range g.at {
		if worst = math.Min(worst, s.driverWorth(f, p.Add(m), others, bar)); worst <= bar {
			break
		}
	}
	return worst
}

// driverWorth is 0 where one driver has all that is wanted at p, less by what is missing, and about refused where its frame does
// not go on; it may be anything up to bar once it is known to be no more.
func (s *scene) driverWorth(f *face, p plane.Point, others []opening, bar float64) float64 {
	room := f.room(p) - s.spec.flange()/2
	own := s.driverOpening(f, p, -1)
	for _, o := range others {
		switch o.kind {
		case slotOpening:
			room = math.Min(room, own.apart(o)-grade.Of(grade.SlotFrameClear).Pass-s.spec.Wood.Thickness)
		case fixingOpening:
			room = math.Min(room, own.apart(o))
		}
	}
	if room < -rounding {
		return refused + room
	}
	missing := math.Max(frameWood-room, 0)
	if s.spec.sunk() <= 0 {
		return -missing
	}
	want := s.spec.sunk() + s.spec.Driver.air()
	from, r := f.at(p, f.t), s.spec.Driver.magnet()/2
	depth, _ := s.shell.ahead(from, f.in(), r)
	behind := math.Max(want-f.t-depth, 0)
	if -missing-behind <= bar {
		return bar
	}
	air, _ := s.besideDriver(f, p, basketAir)
	beside := math.Max(basketAir-air, 0)
	if -missing-behind-beside <= bar {
		return bar
	}
	pass := func(b *body) bool { return s.passed(f, b) }
	near := math.Min(depth, want-f.t)
	if least := want - f.t + bar + missing + beside; least > 0 { // where a body is as near it is no more than bar
		near = math.Min(near, least)
	}
	if s.blocked(from, f.in(), r, near, false, pass) {
		if near < math.Min(depth, want-f.t) {
			return bar
		}
	} else if near == math.Min(depth, want-f.t) || !s.blocked(from, f.in(), r, math.Min(depth, want-f.t), false, pass) {
		return -missing - behind - beside
	}
	if d, b := s.bodyAhead(from, f.in(), r, depth, false, pass); b != nil {
		behind = math.Max(want-f.t-d, 0)
	}
	return -missing - behind - beside
}

// passed reports whether a driver on f need not keep off a body behind it: another driver, which it keeps off as an opening, or
// what belongs to its own face.
func (s *scene) passed(f *face, b *body) bool { return b.kind == driverBody || s.own(f, b) }

// behindDriver is the least depth behind a driver at p over its magnet, from the outer face, and what is there.
func (s *scene) behindDriver(f *face, p plane.Point) (depth float64, what obstacle) {
	r := s.spec.Driver.magnet() / 2
	from := f.at(p, f.t)
	depth, wall := s.shell.ahead(from, f.in(), r)
	what = obstacle{face: wall}
	if d, b := s.bodyAhead(from, f.in(), r, depth, false, func(b *body) bool { return s.passed(f, b) }); b != nil {
		depth, what = d, obstacle{face: -1, body: b}
	}
	return depth + f.t, what
}

// own reports whether a body lies against face f and belongs to it: the doubler of the drivers' face.
func (s *scene) own(f *face, b *body) bool { return b.kind == layerBody && f.i == s.shell.driver }

// besideDriver is the least air between the driver's basket, taken as a cone from the opening to the magnet, and what is beside it:
// the other walls and a slot; +Inf where it is not known how deep it goes. It may be anything over enough once that is known.
func (s *scene) besideDriver(f *face, p plane.Point, enough float64) (air float64, what obstacle) {
	cut, known := s.spec.Driver.cutout()
	what.face = -1
	if neck := s.spec.neck(); known && neck > f.t && s.spec.sunk() > 0 {
		c := cone(driverBody, f.at(p, f.t), f.in(), neck-f.t, cut/2, math.Min(s.spec.Driver.magnet(), cut)/2)
		air, what.face = s.shell.within(&c, f.i, 2*basketAir)
		for i := range s.bodies {
			if b := &s.bodies[i]; b.kind == slotBody && r3.Norm(r3.Sub(c.centre, b.centre))-c.radius-b.radius < math.Min(air, enough) {
				if d := gap(&c, b, math.Min(air, enough)); d < air {
					air, what = d, obstacle{face: -1, body: b}
				}
			}
		}
		return air, what
	}
	return math.Inf(1), what
}

// driverOpening is what a driver covers of its face.
func (s *scene) driverOpening(f *face, p plane.Point, number int) opening {
	r := s.spec.flange() / 2
	return opening{kind: driverOpening, number: number, face: f.i, at: p, round: true, hx: r, hy: r}
}

// driverBodies are the baskets and magnets behind the face. A basket counts as wide as the opening as far as it goes.
func (s *scene) driverBodies(fit driverFit) []body {
	f, depth := &s.faces[fit.on], s.spec.sunk()
	if depth <= f.t {
		return nil
	}
	cut, _ := s.spec.Driver.cutout()
	var out []body
	for i, c := range fit.centres {
		from := f.at(c, f.t)
		if neck := s.spec.neck(); neck > f.t {
			out = append(out, cone(driverBody, from, f.in(), neck-f.t, cut/2, cut/2))
		}
		m := s.spec.Driver.magnet() / 2
		out = append(out, cone(driverBody, from, f.in(), depth-f.t, m, m))
		for k := range out {
			if out[k].name == "" {
				out[k].number, out[k].name, out[k].air = i, "driver", tubeSide
			}
		}
		out[len(out)-1].air = math.Max(tubeSide, s.spec.Driver.air())
	}
	return out
}

// mounts refuses a recess or a chamfer that the face does not have the wood for.
func (s *scene) mounts() error {
	mo, f := s.spec.Mounting, s.driverFace()
	bad := func(value, limit float64, form string, args ...any) error {
		return &BuildError{Reason: BadInput, Panel: f.name, Value: value, Limit: limit, Say: say(form, args...)}
	}
	under := s.underFlange()
	switch {
	case mo.Recess > 0 && s.spec.Driver.Frame <= 0:
		return bad(mo.Recess, 0, "the driver's frame is not stated: a recess for its flange cannot be drawn")
	case mo.Recess > 0 && under < recessFloor-rounding:
		return bad(mo.Recess, mo.Recess+under-recessFloor, "a recess of %s leaves only %s of the %s, and %s has to stay: %s or less, or a thicker face, would do",
			Length(mo.Recess), Length(math.Max(under, 0)), f.name, Length(recessFloor), Length(math.Max(mo.Recess+under-recessFloor, 0)))
	case mo.Chamfer > 0 && mo.Chamfer > under-chamferFloor+rounding:
		return bad(mo.Chamfer, under-chamferFloor, "a chamfer of %s is too deep for the %s of wood under the driver's flange: %s or less would do",
			Length(mo.Chamfer), Length(under), Length(math.Max(under-chamferFloor, 0)))
	}
	return nil
}

// underFlange is the wood behind the driver's flange: the face with its inner doublers, less the recess.
func (s *scene) underFlange() float64 {
	t := s.driverFace().t - s.spec.Mounting.Recess
	for i := range s.pieces {
		if s.pieces[i].role == Doubler {
			t += s.pieces[i].board.Thickness
		}
	}
	return t
}

// instead names the other faces that would take the drivers, with the room behind each; empty where there is none.
func (s *scene) instead(not int) Message {
	bare := *s
	bare.bodies, bare.fitted = nil, fitted{}
	var can []Message
	for i := range s.faces {
		if i == not || s.shell.parts[i].role == Pocket {
			continue
		}
		fit, short, err := bare.standDrivers(i, nil, -rounding)
		if err == nil && short <= rounding {
			depth, _ := bare.behindDriver(&s.faces[i], fit.centres[0])
			can = append(can, say("the %s (%s deep behind it)", s.faces[i].name, Length(depth)))
		}
	}
	if len(can) == 0 {
		return say("%s", "")
	}
	return say("; it would go on %s", can)
}

// noFrame is that the frame does not go on a face, with the room for it; a way of placing that is passed over tells nobody.
type noFrame struct {
	s    *scene
	f    *face
	room float64
}

// refused says it, and the smallest change that would do.
func (n *noFrame) refused() error {
	s, f, room := n.s, n.f, n.room
	e := &BuildError{Reason: NoFrame, Panel: f.name, Value: 2 * room, Limit: s.spec.flange()}
	each := say("%s", "")
	if s.spec.Count > 1 {
		each = say(" for each of the %d drivers", s.spec.Count)
	}
	more := say("%s", "")
	need, size := s.spec.flange()+2*frameWood, f.free
	switch tall, wide := need-size.Height(), need*float64(max(s.spec.Count, 1))-size.Width(); {
	case tall > rounding && wide > rounding:
		more = say("; a face larger by %s and %s would do", Length(tall), Length(wide))
	case tall > rounding || wide > rounding:
		more = say("; a face larger by %s would do", Length(math.Max(tall, wide)))
	}
	e.Say = say("the driver's frame of %s does not go on the %s: between the joints there is room for %s%s%s%s",
		Length(s.spec.flange()), f.name, Length(math.Max(2*room, 0)), each, more, s.instead(f.i))
	return e
}

// bolts gives the holes of the bolt circle round a centre. The circle starts half a step clockwise of the panel's y, so that no
// bolt stands nearest to the joint above or below.
func (s *scene) bolts(c plane.Point) []Hole {
	d := s.spec.Driver
	if d.Circle <= 0 || d.Bolts <= 0 {
		return nil
	}
	holes := make([]Hole, d.Bolts)
	for i := range holes {
		a := (float64(i) + 0.5) * 2 * math.Pi / float64(d.Bolts)
		holes[i] = Hole{Kind: HoleBolt, X: c.X + d.Circle/2*math.Sin(a), Y: c.Y + d.Circle/2*math.Cos(a), Diameter: s.fitted.drivers.fix.Hole, From: "outer"}
	}
	return holes
}

// obstacle is what ends a way: a face of the air or a body.
type obstacle struct {
	face int // -1: none
	body *body
}

// name is the obstacle in words.
func (s *scene) name(o obstacle) string {
	switch {
	case o.body != nil:
		return o.body.name
	case o.face >= 0:
		return s.faces[o.face].name
	}
	return "air"
}

// bodyAhead is how far a disc of radius r can go along dir from p, at most far, before it meets a body that is not passed over, and
// which; nil where there is none. A tube keeps beside it the air that bodies want.
func (s *scene) bodyAhead(p, dir r3.Vec, r, far float64, isTube bool, pass func(*body) bool) (t float64, what *body) {
	t = far
	for i := range s.bodies {
		b := &s.bodies[i]
		if pass(b) {
			continue
		}
		if d, ok := sweep(b, p, dir, r+b.kept(isTube), t); ok {
			t, what = d, b
		}
	}
	return t, what
}

// blocked reports whether bodyAhead finds a body before far.
func (s *scene) blocked(p, dir r3.Vec, r, far float64, isTube bool, pass func(*body) bool) bool {
	for i := range s.bodies {
		if b := &s.bodies[i]; !pass(b) && reaches(b, p, dir, r+b.kept(isTube), far) {
			return true
		}
	}
	return false
}

// kept is the air that is kept to a body.
func (b *body) kept(byTube bool) float64 {
	if byTube {
		return b.air
	}
	return 0
}

// sweepStep is how closely it is found where a disc meets a body, m.
const sweepStep = 20e-6

// reaches reports whether a disc of radius r meets the body before it has gone far.
func reaches(b *body, p, dir r3.Vec, r, far float64) bool {
	if far <= 0 {
		return false
	}
	off := r3.Sub(b.centre, p)
	along := r3.Dot(off, dir)
	if along <= rounding-b.radius || along-b.radius >= far-rounding {
		return false
	}
	if away := r + b.radius; r3.Norm2(off)-along*along >= away*away {
		return false
	}
	lo, hi := b.span(dir)
	start := r3.Dot(p, dir)
	if hi <= start+rounding || lo >= start+far-rounding {
		return false
	}
	c := cone(portBody, p, dir, math.Min(far, hi-start), r, r)
	return c.meets(b, 0)
}

// sweep is how far a disc of radius r can go before it meets the body; ok is false where it can go far.
func sweep(b *body, p, dir r3.Vec, r, far float64) (t float64, ok bool) {
	if !reaches(b, p, dir, r, far) {
		return far, false
	}
	lo, hi := b.span(dir)
	start := r3.Dot(p, dir)
	if math.IsInf(far, 1) {
		far = hi - start
	}
	over := func(t float64) bool {
		c := cone(portBody, p, dir, t, r, r)
		return c.meets(b, 0)
	}
	low, high := math.Max(lo-start, 0), far
	if low > 0 && !over(low+2*sweepStep) || low == 0 {
		for high-low > sweepStep {
			if mid := (low + high) / 2; over(mid) {
				high = mid
			} else {
				low = mid
			}
		}
	}
	return low, true
}
