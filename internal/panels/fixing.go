package panels

import (
	"cmp"
	"math"

	"cubby/internal/grade"
	"cubby/internal/plane"
	"cubby/internal/solid"

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
	p.Kind = cmp.Or(p.Kind, FixingInsert)
	p.Hole = cmp.Or(p.Hole, map[FixingKind]float64{FixingInsert: insertHole, FixingBracket: bracketHole}[p.Kind])
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

// from gives a coordinate of a fixing point in the space, and the keys of the job that say it; ok is false where none does.
func (p FixingPoint) from(axis solid.Axis, lo, hi r3.Vec) (v float64, keys string, ok bool) {
	stated, from, way, keys := p.Bottom, lo, 1.0, "from_bottom"
	switch {
	case axis == solid.Depth:
		stated, keys = p.Front, "from_front"
	case axis == solid.Across && p.Left == nil && p.Right != nil:
		stated, from, way, keys = p.Right, hi, -1, "from_right"
	case axis == solid.Across:
		stated, keys = p.Left, "from_left or from_right"
	}
	if stated == nil {
		return 0, keys, false
	}
	return axis.Of(from) + way**stated, keys, true
}

// lookingAlong gives the axis that a face looks along most, and the two others.
func lookingAlong(n r3.Vec) (through solid.Axis, other [2]solid.Axis) {
	switch {
	case math.Abs(n.X) >= math.Abs(n.Y) && math.Abs(n.X) >= math.Abs(n.Z):
		return solid.Across, [...]solid.Axis{solid.Depth, solid.Up}
	case math.Abs(n.Z) > math.Abs(n.Y):
		return solid.Up, [...]solid.Axis{solid.Across, solid.Depth}
	}
	return solid.Depth, [...]solid.Axis{solid.Across, solid.Up}
}

// pointOn is a fixing point's place in the frame of its face. Of the three directions of the space it needs the two that the face
// does not look along.
func (s *scene) pointOn(f *face, p FixingPoint, i int) (plane.Point, error) {
	lo, hi := s.shell.outside.Bounds()
	outer := s.shell.outside.Faces[f.i].Plane
	through, other := lookingAlong(outer.N)
	var at r3.Vec
	for _, axis := range other {
		v, keys, ok := p.from(axis, lo, hi)
		if !ok {
			if through == solid.Across {
				keys = "from_front and from_bottom"
			}
			return plane.Point{}, &BuildError{Reason: BadInput, Panel: f.name, Say: say("fixing point %d: on the %s it needs %s", i+1, f.name, keys)}
		}
		at = r3.Add(at, r3.Scale(v, axis.Unit()))
	}
	return f.To(r3.Add(at, r3.Scale(outer.Depth(at)/through.Of(outer.N), through.Unit()))), nil
}

// mayStand says where on its face a fixing point may stand, by the keys of the job; nothing where the face is no rectangle.
func (s *scene) mayStand(x *fixingFit) Message {
	f := &s.faces[x.face]
	for _, r := range f.rims {
		if r.hole || math.Abs(r.at.Area()-r.at.Bounds().Area()) > rounding {
			return Message{}
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
	var keys [2]Message
	_, other := lookingAlong(s.shell.outside.Faces[x.face].N)
	for k, axis := range other {
		from := axis.Of(lo)
		_, key, _ := x.point.from(axis, lo, hi)
		switch {
		case axis == solid.Across && x.point.Left == nil:
			from, key = axis.Of(hi), "from_right"
		case axis == solid.Across:
			key = "from_left"
		}
		u, v := math.Abs(axis.Of(a)-from), math.Abs(axis.Of(b)-from)
		keys[k] = say("%s from %s to %s", key, Length(math.Min(u, v)), Length(math.Max(u, v)))
	}
	return say("; %s and %s would do", keys[0], keys[1])
}

// checkFixings verifies each fixing point against joints, braces and what stands behind it.
func (s *scene) checkFixings(b *Findings) {
	for i := range s.fitted.fixings {
		x := &s.fitted.fixings[i]
		f := &s.faces[x.face]
		room, near := s.nextBrace(f, x.opening, x.wood, say("a joint"))
		status, note := Fail, Message{}
		switch behind := s.standsBehind(f, x.at, x.hx, f.t+fixingAir, nutBody); {
		case x.wood < 0:
			note = say("it misses the inside of the %s by %s%s", f.name, Length(-x.wood), s.mayStand(x))
		case f.i == s.shell.loose:
			note = say("the %s is removable: fix the box by another face", f.name)
		case behind != "":
			note = say("behind it stands the %s: %s of air is wanted for the nut", behind, Length(fixingAir))
		default:
			status = grade.NoLess(room, fixingWood, leastShare*fixingWood)
			note = say("in the %s, %s from %s; %s is wanted%s", f.name, Length(room), near, Length(fixingWood),
				sayIf(room < fixingWood-rounding, "; %s further away would do", Length(fixingWood-room)))
		}
		b.add(x.name().Text(0), status, room, fixingWood, "m", note)
	}
}
