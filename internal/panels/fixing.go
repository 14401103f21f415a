package panels

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Fixing points to the vehicle.
const (
	insertHole  = 8e-3      // barrel of an M6 nut (from memory: measure the barrel)
	bracketHole = 6.5e-3    // an M6 bolt through a bracket, with a washer plate inside (common practice)
	fixingAir   = 15e-3     // behind it, for the nut (common practice)
	nutRadius   = 10e-3     // of the nut's flange or the washer plate (from memory)
	fixingWood  = 25e-3     // round it, to a joint or another opening (common practice)
	leastShare  = 1.0 / 3.0 // of wood wanted that is the least
)

// WithDefaults fills in the hole and the kind.
func (p FixingPoint) WithDefaults() FixingPoint {
	if p.Kind == "" {
		p.Kind = FixingInsert
	}
	if p.Hole == 0 {
		p.Hole = insertHole
		if p.Kind == FixingBracket {
			p.Hole = bracketHole
		}
	}
	return p
}

// use is what its hole is for.
func (p FixingPoint) use() HoleUse {
	if p.Kind == FixingBracket {
		return UseBracket
	}
	return UseInsert
}

// fixingFit is a fixing point on its face.
type fixingFit struct {
	opening
	point FixingPoint
	wood  float64 // to the nearest joint, negative where it misses the inside of its face
}

// placeFixings puts the fixing points on their faces. One that misses its face is said by its check, and not drilled.
func placeFixings(s *scene) ([]fixingFit, error) {
	var out []fixingFit
	for i, p := range s.spec.Fixings {
		p = p.WithDefaults()
		on, err := s.shell.resolve(p.Face)
		if err != nil {
			return nil, err
		}
		f := &s.faces[on]
		at, err := s.pointOn(f, p, i)
		if err != nil {
			return nil, err
		}
		x := fixingFit{opening: opening{kind: fixingOpening, number: i, face: on, at: at, round: true, hx: p.Hole / 2, hy: p.Hole / 2}, point: p}
		x.wood = x.toJoint(f)
		out = append(out, x)
		if x.wood >= 0 {
			b := cone(nutBody, f.at(at, f.t), f.in(), fixingAir, nutRadius, nutRadius)
			b.name, b.number = "fixing point", i
			s.bodies = append(s.bodies, b)
		}
	}
	return out, nil
}

// pointOn is a fixing point's place in the frame of its face. Of the three directions of the space it needs the two that the face
// does not look along.
func (s *scene) pointOn(f *face, p FixingPoint, i int) (plane.Point, error) {
	lo, hi := s.shell.outside.Bounds()
	outer := s.shell.outside.Faces[f.i].Plane
	bad := func(keys string) error {
		return &BuildError{Reason: BadInput, Panel: f.name, Say: say("fixing point %d: on the %s it needs %s", i+1, f.name, keys)}
	}
	across := func() (float64, bool) {
		switch {
		case p.Left != nil:
			return lo.X + *p.Left, true
		case p.Right != nil:
			return hi.X - *p.Right, true
		}
		return 0, false
	}
	n := outer.N
	var at r3.Vec
	switch {
	case math.Abs(n.X) >= math.Abs(n.Y) && math.Abs(n.X) >= math.Abs(n.Z):
		if p.Front == nil || p.Bottom == nil {
			return plane.Point{}, bad("from_front and from_bottom")
		}
		at = r3.Vec{Y: lo.Y + *p.Front, Z: lo.Z + *p.Bottom}
		at.X = (outer.D - r3.Dot(n, at)) / n.X
	case math.Abs(n.Z) > math.Abs(n.Y):
		x, ok := across()
		switch {
		case !ok:
			return plane.Point{}, bad("from_left or from_right")
		case p.Front == nil:
			return plane.Point{}, bad("from_front")
		}
		at = r3.Vec{X: x, Y: lo.Y + *p.Front}
		at.Z = (outer.D - r3.Dot(n, at)) / n.Z
	default:
		x, ok := across()
		switch {
		case !ok:
			return plane.Point{}, bad("from_left or from_right")
		case p.Bottom == nil:
			return plane.Point{}, bad("from_bottom")
		}
		at = r3.Vec{X: x, Z: lo.Z + *p.Bottom}
		at.Y = (outer.D - r3.Dot(n, at)) / n.Y
	}
	return f.to(at), nil
}

// mayStand says where on its face a fixing point may stand, by the keys of the job; nothing where the face is no rectangle.
func (s *scene) mayStand(x *fixingFit) Message {
	f := &s.faces[x.face]
	for _, r := range f.rims {
		if r.hole || math.Abs(r.at.Area()-r.at.Bounds().Area()) > rounding {
			return say("%s", "")
		}
	}
	margin := x.hx + fixingWood
	if least := x.hx + leastShare*fixingWood; math.Min(f.free.Width(), f.free.Height()) < 2*least {
		return say(", which has no room for it")
	} else if math.Min(f.free.Width(), f.free.Height()) < 2*margin {
		margin = least
	}
	lo, hi := s.shell.outside.Bounds()
	m := plane.Point{X: margin, Y: margin}
	a, b := f.at(f.free.Min.Add(m), 0), f.at(f.free.Max.Sub(m), 0)
	ranges := func(key string, u, v float64) Message {
		return say("%s from %s to %s", key, Length(math.Min(u, v)), Length(math.Max(u, v)))
	}
	var keys []Message
	n := s.shell.outside.Faces[x.face].N
	switch {
	case math.Abs(n.X) >= math.Max(math.Abs(n.Y), math.Abs(n.Z)):
		keys = []Message{ranges("from_front", a.Y-lo.Y, b.Y-lo.Y), ranges("from_bottom", a.Z-lo.Z, b.Z-lo.Z)}
	default:
		keys = []Message{ranges("from_left", a.X-lo.X, b.X-lo.X)}
		if x.point.Left == nil {
			keys[0] = ranges("from_right", hi.X-a.X, hi.X-b.X)
		}
		if math.Abs(n.Z) > math.Abs(n.Y) {
			keys = append(keys, ranges("from_front", a.Y-lo.Y, b.Y-lo.Y))
		} else {
			keys = append(keys, ranges("from_bottom", a.Z-lo.Z, b.Z-lo.Z))
		}
	}
	return say("; %s and %s would do", keys[0], keys[1])
}

// checkFixings verifies each fixing point against joints, braces and what stands behind it.
func (s *scene) checkFixings() []Check {
	var out []Check
	for i := range s.fitted.fixings {
		x := &s.fitted.fixings[i]
		f := &s.faces[x.face]
		name := x.name().Text(0)
		room, near := x.wood, say("a joint")
		for k := range s.bodies {
			if b := &s.bodies[k]; b.kind == braceBody || b.kind == stripBody {
				if d := s.nextTo(f, x.opening, b); d < room {
					room, near = d, say("%s", b.name)
				}
			}
		}
		wrong, bad := say("%s", ""), true
		switch behind := s.behindPoint(x); {
		case x.wood < 0:
			wrong = say("it misses the inside of the %s by %s%s", f.name, Length(-x.wood), s.mayStand(x))
		case f.i == s.shell.loose:
			wrong = say("the %s is removable: fix the box by another face", f.name)
		case behind != "":
			wrong = say("behind it stands the %s: %s of air is wanted for the nut", behind, Length(fixingAir))
		default:
			bad = false
		}
		if bad {
			out = append(out, Check{name, Fail, room, fixingWood, "m", wrong})
			continue
		}
		more := say("%s", "")
		if room < fixingWood-rounding {
			more = say("; %s further away would do", Length(fixingWood-room))
		}
		out = append(out, Check{name, grade.NoLess(room, fixingWood, leastShare*fixingWood), room, fixingWood, "m",
			say("in the %s, %s from %s; %s is wanted%s", f.name, Length(room), near, Length(fixingWood), more)})
	}
	return out
}

// behindPoint names what takes the air that the nut of a fixing point wants; empty where nothing does.
func (s *scene) behindPoint(x *fixingFit) string {
	f := &s.faces[x.face]
	from := f.at(x.at, f.t)
	if d, wall := s.shell.ahead(from, f.in(), x.hx); d < fixingAir-rounding {
		return s.faces[wall].name
	}
	c := cone(nutBody, from, f.in(), fixingAir, x.hx, x.hx)
	for i := range s.bodies {
		if b := &s.bodies[i]; b.kind != nutBody && !s.own(f, b) && c.meets(b, 0) {
			return b.name
		}
	}
	return ""
}
