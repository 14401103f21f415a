package panels

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// placeDriver stands the drivers on their face: in its middle where there is the depth behind and the air beside them, else where
// there is, as near to it as may be. A slot, if one is wanted, is laid first, where it leaves the drivers their place.
func placeDriver(s *scene) (mounted, error) {
	m := s.spec.drivers()
	if err := s.sinks(m, s.driverFace()); err != nil {
		return mounted{}, err
	}
	if s.spec.Port != nil && s.spec.Port.isSlot() {
		return s.driversWithSlot()
	}
	fit, _, err := s.stand(m, s.shell.driver, nil, -rounding, none)
	if err != nil {
		return fit, err.refused()
	}
	s.bodies = append(s.bodies, s.behind(fit)...)
	return fit, nil
}

// placeRadiators stands the radiators where the most is right: on the face that is asked for, else on the first that will do, the
// drivers' before the others. On that one the drivers make way where they may.
func (s *scene) placeRadiators(m mount, face string) error {
	best, short := mounted{}, math.Inf(1)
	var drivers *mounted
	var first *noFrame
	for _, f := range s.facesFor(face, frontSide, leftSide, rightSide, topSide, backSide) {
		if err := s.sinks(m, f); err != nil {
			return err
		}
		ways := []*mounted{nil}
		if f.i == s.shell.driver {
			ways = append(ways, s.movedDrivers()...)
		}
		for _, way := range ways {
			was := s.shift(way)
			fit, less, no := s.stand(m, f.i, nil, -rounding, none)
			s.shift(was)
			if no == nil && less < short-rounding {
				best, short, drivers = fit, less, way
			} else if first == nil {
				first = no
			}
			if short <= rounding {
				break
			}
		}
	}
	if best.centres == nil {
		return first.refused()
	}
	s.shift(drivers)
	s.fitted.radiators = best
	s.bodies = append(s.bodies, s.behind(best)...)
	if best.on == s.shell.driver { // they are cut through the doublers too
		for i := range s.pieces {
			if p := &s.pieces[i]; p.role == Doubler {
				p.air -= best.opened() * p.board.Thickness
			}
		}
	}
	return nil
}

// driverFace is the face with the drivers.
func (s *scene) driverFace() *face { return &s.faces[s.shell.driver] }

// refused is what standing drivers is worth where their frame does not go on, besides what is missing there.
const refused = -100

// none is worth less than anything.
var none = math.Inf(-1)

// stand looks for the best place of drivers or radiators on a face, as near as may be to like (nil: its middle). short is how much
// is missing there of depth, wood and air, 0 where nothing is; a place that is worth enough is not bettered, and one that is worth no
// more than over does not count.
func (s *scene) stand(m mount, on int, like *plane.Point, enough, over float64) (fit mounted, short float64, err *noFrame) {
	f := &s.faces[on]
	fit = mounted{mount: m, on: on, fix: s.fixing(m)}
	best := found{value: none}
	var g group
	mid := plane.Point{X: (f.free.Min.X + f.free.Max.X) / 2, Y: f.mid.Y}
	if like != nil {
		mid = *like
	}
	margin := m.flange()/2 + frameWood
	others := s.onFace(f.i)
	for k, way := range m.groups(f) {
		w := wanted{in: drawn(way.inside(f.free, margin)), like: mid, enough: enough, over: &over, value: func(p plane.Point, bar float64) float64 {
			return s.groupWorth(m, f, p, way, others, bar)
		}}
		if like == nil {
			w.first = []plane.Point{{X: mid.X, Y: clamp(mid.Y, w.in.Min.Y, w.in.Max.Y)}}
		}
		if at := m.At; at != nil {
			w.hold(f, at)
		} else if m.Centred && w.value(w.first[0], none) > refused/2 {
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
		return fit, 0, &noFrame{s: s, m: m, f: f, room: best.value - refused + m.flange()/2}
	}
	for _, by := range g.at {
		fit.centres = append(fit.centres, best.at.Add(by))
	}
	return fit, math.Max(-best.value, 0), nil
}

// groups are the ways to stand them: evenly spread along the face, side by side, in a column, in two rows.
func (m mount) groups(f *face) []group {
	n := m.count
	tight := groups(n, m.flange()+frameGap)
	if n == 1 {
		return tight
	}
	even := groups(n, f.free.Width()/float64(n))[0]
	if f.free.Width()/float64(n) < m.flange()+frameGap {
		return tight[1:]
	}
	return append([]group{even}, tight...)
}

// groupWorth is how well they stand with the middle of their group at p: 0, or less by what is missing.
// It may be anything up to bar once it is known to be no more.
func (s *scene) groupWorth(m mount, f *face, p plane.Point, g group, others []opening, bar float64) float64 {
	worst := 0.0
	for _, by := range g.at {
		if worst = math.Min(worst, s.worth(m, f, p.Add(by), others, bar)); worst <= bar {
			break
		}
	}
	return worst
}

// worth is 0 where one of them has all that is wanted at p, less by what is missing, and about refused where its frame does
// not go on; it may be anything up to bar once it is known to be no more.
func (s *scene) worth(m mount, f *face, p plane.Point, others []opening, bar float64) float64 {
	room := f.room(p) - m.flange()/2
	own := m.opening(f, p, -1)
	for _, o := range others {
		switch {
		case o.kind == slotOpening:
			room = math.Min(room, own.apart(o)-grade.Of(grade.SlotFrameClear).Pass-s.spec.Wood.Thickness)
		case o.kind == fixingOpening:
			room = math.Min(room, own.apart(o))
		case o.kind != own.kind && o.kind <= radiatorOpening:
			room = math.Min(room, own.apart(o)-frameGap)
		}
	}
	if room < -rounding {
		return refused + room
	}
	missing := math.Max(frameWood-room, 0)
	if m.sunk() <= 0 {
		return -missing
	}
	want := m.sunk() + m.air()
	from, r := f.at(p, f.t), m.magnet()/2
	depth, _ := s.shell.ahead(from, f.in(), r)
	behind := math.Max(want-f.t-depth, 0)
	if -missing-behind <= bar {
		return bar
	}
	air, _ := s.beside(m, f, p, basketAir)
	beside := math.Max(basketAir-air, 0)
	if -missing-behind-beside <= bar {
		return bar
	}
	near := math.Min(depth, want-f.t)
	if least := want - f.t + bar + missing + beside; least > 0 { // where a body is as near it is no more than bar
		near = math.Min(near, least)
	}
	if s.blocked(m.kind(), from, f.in(), r, near) {
		if near < math.Min(depth, want-f.t) {
			return bar
		}
	} else if near == math.Min(depth, want-f.t) || !s.blocked(m.kind(), from, f.in(), r, math.Min(depth, want-f.t)) {
		return -missing - behind - beside
	}
	depth, _ = s.bodyAhead(m.kind(), from, f.in(), r, depth, obstacle{})
	return -missing - math.Max(want-f.t-depth, 0) - beside
}

// depthAt is the least depth behind p over the magnet, from the outer face, and what is there.
func (s *scene) depthAt(m mount, f *face, p plane.Point) (depth float64, what obstacle) {
	from, r := f.at(p, f.t), m.magnet()/2
	depth, wall := s.shell.ahead(from, f.in(), r)
	depth, what = s.bodyAhead(m.kind(), from, f.in(), r, depth, obstacle{face: wall})
	return depth + f.t, what
}

// beside is the least air between a basket, taken as a cone from the opening to the magnet, and what is beside it: the other
// walls, a slot, a radiator beside a driver; +Inf where it is not known how deep it goes. It may be anything over enough once that is known.
func (s *scene) beside(m mount, f *face, p plane.Point, enough float64) (air float64, what obstacle) {
	cut, known := m.cutout()
	what.face = -1
	if neck := m.neck(); known && neck > f.t && m.sunk() > 0 {
		c := cone(driverBody, f.at(p, f.t), f.in(), neck-f.t, cut/2, math.Min(m.magnet(), cut)/2)
		air, what.face = s.shell.within(&c, f.i, 2*basketAir)
		for i := range s.bodies {
			if b := &s.bodies[i]; (b.kind == slotBody || b.kind <= radiatorBody && b.kind != m.kind()) && r3.Norm(r3.Sub(c.centre, b.centre))-c.radius-b.radius < math.Min(air, enough) {
				if d := gap(&c, b, math.Min(air, enough)); d < air {
					air, what = d, obstacle{face: -1, body: b}
				}
			}
		}
		return air, what
	}
	return math.Inf(1), what
}

// behind are the baskets and magnets behind the face. A basket counts as wide as the opening as far as it goes.
func (s *scene) behind(fit mounted) []body {
	f, depth := &s.faces[fit.on], fit.sunk()
	if depth <= f.t {
		return nil
	}
	cut, _ := fit.cutout()
	var out []body
	for i, c := range fit.centres {
		from := f.at(c, f.t)
		if neck := fit.neck(); neck > f.t {
			out = append(out, cone(fit.kind(), from, f.in(), neck-f.t, cut/2, cut/2))
		}
		m := fit.magnet() / 2
		out = append(out, cone(fit.kind(), from, f.in(), depth-f.t, m, m))
		for k := range out {
			if out[k].name == "" {
				out[k].number, out[k].name, out[k].air = i, fit.word(), tubeSide
			}
		}
		out[len(out)-1].air = math.Max(tubeSide, fit.air())
	}
	return out
}

// instead names the other faces that would take them, with the room behind each; empty where there is none.
func (s *scene) instead(m mount, not int) Message {
	bare := *s
	if !m.passive {
		bare.bodies, bare.fitted = nil, fitted{}
	}
	var can []Message
	for i := range s.faces {
		if i == not || s.shell.parts[i].role == Pocket {
			continue
		}
		fit, short, err := bare.stand(m, i, nil, -rounding, none)
		if err == nil && short <= rounding {
			depth, _ := bare.depthAt(m, &s.faces[i], fit.centres[0])
			can = append(can, say("the %s (%s deep behind it)", s.faces[i].name, Length(depth)))
		}
	}
	return sayIf(len(can) > 0, "; it would go on %s", can)
}

// noFrame is that the frame does not go on a face, with the room for it; a way of placing that is passed over tells nobody.
type noFrame struct {
	s    *scene
	m    mount
	f    *face
	room float64
}

// refused says it, and the smallest change that would do.
func (n *noFrame) refused() error {
	s, m, f, room := n.s, n.m, n.f, n.room
	e := &BuildError{Reason: NoFrame, Panel: f.name, Value: 2 * room, Limit: m.flange()}
	each := sayIf(m.count > 1, " for each of the %d %ss", m.count, m.word())
	more := Message{}
	need, size := m.flange()+2*frameWood, f.free
	switch tall, wide := need-size.Height(), need*float64(m.count)-size.Width(); {
	case tall > rounding && wide > rounding:
		more = say("; a face larger by %s and %s would do", Length(tall), Length(wide))
	case tall > rounding || wide > rounding:
		more = say("; a face larger by %s would do", Length(math.Max(tall, wide)))
	}
	e.Say = say("the %s's frame of %s does not go on the %s: between the joints there is room for %s%s%s%s",
		m.word(), Length(m.flange()), f.name, Length(math.Max(2*room, 0)), each, more, later(func() Message { return s.instead(m, f.i) }))
	return e
}
