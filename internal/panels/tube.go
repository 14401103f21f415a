package panels

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/duct"
	"cubby/internal/grade"
	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Distances of tubes (common practice).
const (
	tubeWall     = 3e-3  // wall of a tube whose outside is not stated
	tubeFrame    = 15e-3 // least wood between a tube's hole and the driver's frame
	tubeSide     = 5e-3  // least air beside a tube inside the box
	tubeStraight = 5e-3  // straight piece between the board and an elbow
	betweenWood  = 15e-3 // between two other openings
	mostElbows   = 2
)

// outside is the outside diameter of the tube.
func (p *Port) outside() float64 {
	if p.Outside > p.Bore {
		return p.Outside
	}
	return p.Bore + 2*tubeWall
}

// margin is the least distance from a tube's centre to a joint line.
func (p *Port) margin() float64 {
	od := p.outside()
	wood := math.Max(grade.Of(grade.TubeToJoint).Pass, grade.Of(grade.TubeToJointShare).Pass*od)
	return od/2 + math.Max(wood, p.Flange.Rim+flangeEdge)
}

// pitch is the distance between the centres of two tubes side by side.
func (p *Port) pitch() float64 {
	return p.outside() + math.Max(math.Max(grade.Of(grade.TubeToJoint).Pass, p.Bore/2), 2*p.Flange.Rim+flangeEdge)
}

// isSlot reports whether the port is made of boards.
func (p *Port) isSlot() bool { return p.Bore <= 0 }

// clear is the bore of a tube, or the height of a slot.
func (p *Port) clear() float64 { return cmp.Or(math.Max(p.Bore, 0), p.Height) }

// mouthAir is the air wanted before the inner end, and the least.
func (p *Port) mouthAir() (wanted, least float64) {
	r := grade.Of(grade.TubeInner)
	if p.isSlot() {
		r = grade.Of(grade.SlotInner)
	}
	return r.Pass * p.clear(), r.Marginal * p.clear()
}

// cut is what so many elbows and the flares take off the centre line.
func (p *Port) cut(elbows int) float64 {
	a := p.Bore / 2
	return float64(elbows)*duct.ElbowCut(a, p.elbowRadius(), math.Pi/2) + duct.FlareCut(p.Flares[0], a) + duct.FlareCut(p.Flares[1], a)
}

// port is one tube, or the slot, as placed.
type port struct {
	opening         // its mouth, flange included
	path    Path    // of the air
	free    float64 // before its inner end
	facing  obstacle
	volume  float64 // that it takes of the air, with its boards and the air in it
	bodies  []body
	mouth   body  // the air before the inner end that is to be kept clear of braces
	slot    *slot // nil: a tube
}

// end is the inner end and the way that it looks.
func (p *Path) end() (at, dir r3.Vec) {
	return p.Line[len(p.Line)-1], p.Directions[len(p.Directions)-1]
}

// layout is one way of placing all tubes, but for the place: on a face, in a group, with so many elbows, and the drivers moved.
type layout struct {
	f       *face
	g       group
	elbows  int
	drivers *mounted  // nil: where they are
	others  []opening // on the face
}

// placePorts places the port. A slot was laid with the drivers: its floor runs past its mouth's wall.
func (s *scene) placePorts() error {
	if k := s.fitted.drivers.slot; k != nil {
		s.fitted.ports = []port{s.portOf(k)}
		return s.turn(Wish{A: k.legs[0].floor, B: k.legs[0].start, R: Through})
	}
	var reach Reach
	if s.fitted.ports, reach = s.placeTubes(s.spec.Port.Length); s.fitted.ports == nil {
		return s.portError(reach)
	}
	for i := range s.fitted.ports {
		s.bodies = append(s.bodies, s.fitted.ports[i].bodies...)
	}
	return nil
}

// candidate is the best place of a layout.
type candidate struct {
	layout
	found
	acts float64 // the longest that acts, with the least air before the inner end, and air left in the box
}

// placeTubes looks for a place for tubes that act as length metres (+Inf: only what they can have at most). Where it gives nil, it
// says what the places allow. Places that are sure not to do are passed over quickly first; only when none does are they all looked
// at as closely as for the reach, which therefore does not depend on the length.
func (s *scene) placeTubes(length float64) ([]port, Reach) {
	p := s.spec.Port
	_, half := p.mouthAir()
	take := func(c *candidate, whole bool) []port {
		was := s.shift(c.drivers)
		fit := s.take(c, length, whole)
		if fit == nil {
			s.shift(was)
		}
		return fit
	}
	var tight []candidate
	for l := range s.layouts {
		bar := length + p.cut(l.elbows) + half - 2*rounding
		if math.IsInf(length, 1) {
			break
		}
		was := s.shift(l.drivers)
		c := s.tryLayout(l, length, bar)
		s.shift(was)
		if c.value > bar {
			if fit := take(&c, true); fit != nil {
				return fit, Reach{}
			}
			tight = append(tight, c)
		}
	}
	if len(tight) > 0 {
		if fit := take(&tight[0], false); fit != nil {
			return fit, Reach{}
		}
	}
	all, reach := s.longest()
	for i := range all {
		if all[i].acts < length-rounding {
			continue
		}
		if fit := take(&all[i], false); fit != nil {
			return fit, reach
		}
	}
	return nil, reach
}

// shift moves the drivers and their bodies, and gives where they were; nil leaves them.
func (s *scene) shift(to *mounted) *mounted {
	if to == nil {
		return nil
	}
	was := s.fitted.drivers
	s.fitted.drivers = *to
	s.bodies = slices.DeleteFunc(slices.Clone(s.bodies), func(b body) bool { return b.kind == driverBody })
	s.bodies = append(s.bodies, s.behind(*to)...)
	return &was
}

// layouts gives the ways to place the tubes, best first: straight before elbows; on the drivers' face, since there is air in front
// of it, before the others; with the drivers in their place before having them moved.
func (s *scene) layouts(yield func(layout) bool) {
	p := s.spec.Port
	n := max(p.Count, 1)
	faces := s.facesFor(p.Face, frontSide, leftSide, rightSide, topSide, backSide)
	for elbows := 0; elbows <= min(p.Elbows, mostElbows); elbows++ {
		for _, f := range faces {
			each := func(m *mounted) bool {
				for _, g := range s.tubeGroups(f, n) {
					if !yield(layout{f: f, g: g, elbows: elbows, drivers: m}) {
						return false
					}
				}
				return true
			}
			if !each(nil) {
				return
			}
			if f.i != s.shell.driver || elbows > 1 {
				continue
			}
			if s.moved == nil {
				s.moved = s.movedDrivers()
			}
			for _, m := range s.moved {
				if !each(m) {
					return
				}
			}
		}
	}
}

// movedDrivers are other places of the drivers: as far as they go to each side of their face.
func (s *scene) movedDrivers() []*mounted {
	out := []*mounted{}
	m := s.spec.Mounting
	if m.Centred || m.At != nil {
		return out
	}
	f := s.driverFace()
	_, short, _ := s.stand(s.spec.drivers(), f.i, nil, -rounding, none)
	r := f.free
	for _, like := range [...]plane.Point{{X: r.Min.X, Y: f.mid.Y}, {X: r.Max.X, Y: f.mid.Y}, {X: (r.Min.X + r.Max.X) / 2, Y: r.Min.Y}, {X: (r.Min.X + r.Max.X) / 2, Y: r.Max.Y}} {
		fit, worse, err := s.stand(s.spec.drivers(), f.i, &like, -rounding, none)
		if err == nil && worse <= short+rounding && fit.centres[0].Sub(s.fitted.drivers.centres[0]).Norm() > frameGap {
			out = append(out, &fit)
		}
	}
	return out
}

// facesFor lists the faces to try for a port or radiators: the named one, or that of the drivers and those that look to sides.
func (s *scene) facesFor(name string, sides ...side) []*face {
	if name != "" {
		if i, err := s.shell.resolve(name); err == nil {
			return []*face{&s.faces[i]}
		}
		return nil
	}
	first := s.driverFace()
	return append([]*face{first}, slices.DeleteFunc(s.facesTo(sides...), func(f *face) bool { return f == first })...)
}

// tubeGroups are the ways to stand n tubes on a face; two also on both sides of the driver.
func (s *scene) tubeGroups(f *face, n int) []group {
	out := groups(n, s.spec.Port.pitch())
	if c := s.fitted.drivers.centres; n == 2 && f.i == s.shell.driver && len(c) == 1 {
		margin, away := s.spec.Port.margin(), s.tubeAway()
		left, right := (f.free.Min.X+margin+c[0].X-away)/2, (f.free.Max.X-margin+c[0].X+away)/2
		if d := math.Min(c[0].X-left, right-c[0].X); d > away-rounding {
			out = append([]group{{at: []plane.Point{{X: -d}, {X: d}}, hx: d}}, out...)
		}
	}
	return out
}

// tubeAway is the least distance of a tube's centre from a driver's.
func (s *scene) tubeAway() float64 {
	return s.spec.drivers().flange()/2 + s.spec.Port.outside()/2 + math.Max(tubeFrame, s.spec.Port.Flange.Rim+flangeEdge)
}

// tryLayout looks for the best place of a layout.
func (s *scene) tryLayout(l layout, length, bar float64) candidate {
	p := s.spec.Port
	whole, _ := p.mouthAir()
	need := length + p.cut(l.elbows)
	w := wanted{in: l.g.inside(l.f.free, p.margin()), enough: need + whole, over: &bar, value: func(at plane.Point, bar float64) float64 {
		return s.tubeWorth(l, at, need, bar)
	}}
	w.like = plane.Point{X: (w.in.Min.X + w.in.Max.X) / 2, Y: clamp(l.f.mid.Y, w.in.Min.Y, w.in.Max.Y)}
	if bar > s.longestIn(l) {
		return candidate{layout: l, found: found{value: math.Inf(-1)}}
	}
	l.others = s.onFace(l.f.i)
	if l.elbows > 0 {
		w.coarse = 3
	}
	if p.At != nil {
		w.hold(l.f, p.At)
	} else if l.f.i == s.shell.driver {
		w.first = s.besides(l, w)
	}
	w.corner = math.IsInf(length, 1) // what is longest begins there, most often
	return candidate{layout: l, found: w.place()}
}

// besides are the middles of the free stretches beside the drivers, at their height and at the middle of the face.
func (s *scene) besides(l layout, w wanted) []plane.Point {
	var out []plane.Point
	for _, c := range s.fitted.drivers.centres {
		away := s.tubeAway()
		for _, p := range [...]plane.Point{
			{X: (w.in.Min.X + c.X - away - l.g.hx) / 2, Y: c.Y}, {X: (w.in.Max.X + c.X + away + l.g.hx) / 2, Y: c.Y},
			{X: c.X, Y: (w.in.Min.Y + c.Y - away - l.g.hy) / 2}, {X: c.X, Y: (w.in.Max.Y + c.Y + away + l.g.hy) / 2}} {
			if p.X >= w.in.Min.X-rounding && p.X <= w.in.Max.X+rounding && p.Y >= w.in.Min.Y-rounding && p.Y <= w.in.Max.Y+rounding {
				out = append(out, p)
			}
		}
		if len(l.g.at) == 2 && len(s.fitted.drivers.centres) == 1 {
			out = append(out, c)
		}
	}
	return out
}

// tubeWorth is how long the centre lines of all tubes of a layout at p can be, with no air before their ends; it may be anything
// up to bar once it is known to be no more.
func (s *scene) tubeWorth(l layout, p plane.Point, need, bar float64) float64 {
	ways, ok := s.bestWays(l, p, need, bar)
	if !ok {
		return math.Inf(-1)
	}
	return deepest(ways)
}

// way is the way of one tube: straight legs, the first from the outer face of its board, with elbows between them.
type way struct {
	at     plane.Point
	elbows int
	dirs   [mostElbows + 1]r3.Vec // of the legs
	runs   [mostElbows]float64    // lengths of all but the last
	from   r3.Vec                 // where the last begins
	least  float64                // of the centre line
	most   float64                // until it meets something
	facing obstacle               // what that is
}

// bestWays gives the ways of all tubes of a layout with the middle of their group at p whose centre lines may be need long and can
// be longest.
func (s *scene) bestWays(l layout, p plane.Point, need, bar float64) ([]way, bool) {
	var ways []way
	for _, m := range l.g.at {
		at := p.Add(m)
		if !s.holeAt(l, at) {
			return nil, false
		}
		over := bar
		if l.elbows > 0 { // what stands straight behind bounds where the elbow may be
			over = math.Inf(-1)
		}
		w := s.straight(l.f, at, over)
		if w.most <= over || w.most <= l.f.t {
			return nil, false
		}
		ways = append(ways, w)
	}
	switch l.elbows {
	case 0:
		return ways, true
	case 1:
		return s.bent(l, ways, need, bar)
	}
	return s.twiceBent(l, ways, need, bar)
}

// holeAt reports whether a tube's hole has the wood that it needs.
func (s *scene) holeAt(l layout, at plane.Point) bool {
	p := s.spec.Port
	if l.f.room(at) < p.margin()-rounding {
		return false
	}
	for _, o := range l.others {
		hole := opening{kind: portOpening, at: at, round: true, hx: p.outside() / 2}
		wood := math.Max(betweenWood, p.Flange.Rim+flangeEdge)
		if o.kind == driverOpening {
			wood = math.Max(tubeFrame, p.Flange.Rim+flangeEdge)
		}
		if hole.apart(o) < wood-rounding {
			return false
		}
	}
	return true
}

// straight is how far a straight tube goes; where walls alone allow no more than bar, bodies are not looked at.
func (s *scene) straight(f *face, at plane.Point, bar float64) way {
	from, r := f.at(at, f.t), s.spec.Port.outside()/2
	d, wall := s.shell.ahead(from, f.in(), r)
	w := way{at: at, dirs: [...]r3.Vec{0: f.in(), mostElbows: {}}, from: f.at(at, 0), least: f.t, most: d + f.t, facing: obstacle{face: wall}}
	if w.most <= bar {
		return w
	}
	if s.blocked(portBody, from, f.in(), r, bar-f.t) {
		w.most = bar
		return w
	}
	d, w.facing = s.bodyAhead(portBody, from, f.in(), r, d, w.facing)
	w.most = d + f.t
	return w
}

// take lays tubes of the given acting length where a candidate has them, with the whole of the air wanted before their ends or the
// least; nil where that is too long or too short.
func (s *scene) take(c *candidate, length float64, whole bool) (tubes []port) {
	p := s.spec.Port
	need := length + p.cut(c.elbows)
	air, least := p.mouthAir()
	if !whole {
		air = least
	}
	ways, ok := s.bestWays(c.layout, c.at, need, need+air-2*rounding)
	if !ok {
		return nil
	}
	for i, w := range ways {
		if w.least > need+rounding {
			return nil
		}
		tubes = append(tubes, s.lay(c.f, w, need, i, len(ways)))
	}
	return tubes
}

// lay makes tube i of n of its way with a centre line so long.
func (s *scene) lay(f *face, w way, long float64, i, n int) port {
	p := s.spec.Port
	r, rim := p.outside()/2, p.outside()/2+p.Flange.Rim
	t := port{opening: opening{kind: portOpening, number: numberOf(i, n), face: f.i, at: w.at, round: true, hx: rim, hy: rim},
		free: w.most - long, facing: w.facing, volume: math.Pi * r * r * math.Max(long-f.t, 0), bodies: s.tubeBodies(f, w, long)}
	legs := s.legs(&w, long)
	t.path = Path{Length: long, Effective: long - p.cut(w.elbows), Legs: legs, Directions: w.dirs[:w.elbows+1], Line: s.line(f, &w, legs)}
	if w.elbows > 0 {
		t.path.Bend = p.elbowRadius()
		t.path.Elbow = &Elbow{Count: w.elbows, Bore: p.Bore, Radius: p.elbowRadius(), Angle: math.Pi / 2}
	}
	end, dir := t.path.end()
	t.mouth = cone(portBody, end, dir, p.Bore, r, r)
	for k := range t.bodies {
		t.bodies[k].name, t.bodies[k].number = numbered("port", i, n), i
	}
	return t
}

// portError says that the tubes do not go into the box, and the longest that do.
func (s *scene) portError(reach Reach) error {
	p := s.spec.Port
	count, each := say("one tube"), ""
	if p.Count > 1 {
		count, each = say("%d tubes", p.Count), " each"
	}
	return s.noPort(say("the port (%s of %s bore, acting as %s%s)", count, Length(p.Bore), Length(p.Length), each), "shorter than the board that it goes through", reach)
}

// noPort says that a port does not go in, and which do.
func (s *scene) noPort(what Message, short string, r Reach) error {
	p := s.spec.Port
	e := &BuildError{Reason: NoPort, Panel: p.Face, Value: p.Length, Limit: r.Most, Reach: r}
	switch {
	case r.Most <= 0:
		e.Say = say("%s finds no place: %s", what, r.Why)
	case p.Length < r.Least:
		e.Limit = r.Least
		e.Say = say("%s is %s: %s is the least", what, short, Length(r.Least))
	case p.isSlot() && p.Length < r.Most:
		e.Say = say("%s is too long to be straight and too short to bend, or too tight for what stands there; %s would do", what, Length(r.Most))
	default:
		e.Say = say("%s does not go into the box: the longest that does is %s (%s)", what, Length(r.Most), r.Why)
	}
	return e
}
