package panels

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/plane"
)

// FixingPoint is where the box is fixed to the vehicle. Lengths are in metres, from the outside of the bare box; of the pair
// Left and Right one is stated, of Front and Bottom what the face needs: one for a wall, both for an end.
type FixingPoint struct {
	Face          string
	Left, Right   *float64
	Front, Bottom *float64
	Kind          FixingKind
	Hole          float64 // diameter; 0: by kind
}

// FixingKind is what goes into a fixing point's hole.
type FixingKind string

// The kinds: a nut or insert in the wood, or a bracket bolted through it.
const (
	FixingInsert  FixingKind = "insert"
	FixingBracket FixingKind = "bracket"
)

const (
	insertHole  = 8e-3   // barrel of an M6 nut (from memory: measure the barrel)
	bracketHole = 6.5e-3 // an M6 bolt through a bracket, with a washer plate inside (common practice)
	fixingAir   = 15e-3  // behind it, for the nut (common practice)
	nutRadius   = 10e-3  // of the nut's flange or the washer plate (from memory)
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

// Use is the text of its hole.
func (p FixingPoint) use() string {
	if p.Kind == FixingBracket {
		return UseBracket
	}
	return UseInsert
}

// planFixings puts the fixing points on their faces. One that misses its face is said by its check, and not drilled.
func (m *maker) planFixings() error {
	for i, p := range m.Fixings {
		p = p.WithDefaults()
		name := fmt.Sprintf("fixing point %d", i+1)
		wall, end, err := m.resolve(p.Face, m.Section, m.wrap.names)
		if err != nil {
			return err
		}
		f := m.faceOf(wall, end)
		at, err := m.pointOn(f, p)
		if err != nil {
			return &BuildError{Reason: BadInput, Panel: f.name, Text: name + ": " + err.Error()}
		}
		o := opening{name: name, kind: "fixing", face: f, at: at, round: true, hx: p.Hole / 2, hy: p.Hole / 2}
		m.points = append(m.points, o)
		m.pointUse = append(m.pointUse, p.use())
	}
	return nil
}

// pointOn is a fixing point's place in the frame of its face.
func (m *maker) pointOn(f *face, p FixingPoint) (plane.Point, error) {
	box := m.Section.Bounds()
	if f.end >= 0 {
		if p.Front == nil || p.Bottom == nil {
			return plane.Point{}, fmt.Errorf("on the %s it needs from_front and from_bottom", f.name)
		}
		at := plane.Polygon{{X: box.Min.X + *p.Front, Y: box.Min.Y + *p.Bottom}}
		return m.toEnd(at, f.end)[0], nil
	}
	var across float64
	switch {
	case p.Left != nil:
		across = m.Left + *p.Left
	case p.Right != nil:
		across = m.Left + m.Width - *p.Right
	default:
		return plane.Point{}, fmt.Errorf("on the %s it needs from_left or from_right", f.name)
	}
	left, _ := m.wallSpan(f.wall)
	w, u := m.wrap.walls[f.wall], m.wrap.u[f.wall]
	start, end := w.o1.Sub(u.Mul(w.outer)), w.o1
	side := SideOf(m.Section, f.wall)
	level := side == "top" || side == "bottom"
	var share float64
	switch {
	case level && p.Front != nil:
		share = (box.Min.X + *p.Front - start.X) / (end.X - start.X)
	case !level && p.Bottom != nil:
		share = (box.Min.Y + *p.Bottom - start.Y) / (end.Y - start.Y)
	case level:
		return plane.Point{}, fmt.Errorf("on the %s it needs from_front", f.name)
	default:
		return plane.Point{}, fmt.Errorf("on the %s it needs from_bottom", f.name)
	}
	return plane.Point{X: across - left, Y: w.outer * (1 - share)}, nil
}

// nuts are what stands in the air behind the fixing points.
func (m *maker) nuts(bodies []solid) []solid {
	for _, o := range m.points {
		if o.toJoint() >= 0 {
			s := o.face.block(o.name, o.at.X, o.at.Y, nutRadius, o.face.t, o.face.t+fixingAir)
			s.air = 0
			bodies = append(bodies, s)
		}
	}
	return bodies
}

// blocked refuses a slot that takes the air behind a fixing point.
func (m *maker) blocked() error {
	for _, o := range m.points {
		if _, what, free := m.behindPoint(o); !free && what == "slot" {
			return &BuildError{Reason: NoPort, Panel: o.face.name, LongestPort: m.Port.Length, Text: fmt.Sprintf("the slot would run over %s in the %s, whose nut wants %s of air: another place for it would do",
				o.name, o.face.name, m.wrap.length(fixingAir))}
		}
	}
	return nil
}

// behindPoint is how much depth a fixing point has, from its outer face, and what ends it; its own nut and those of others
// do not count.
func (m *maker) behindPoint(o opening) (depth float64, what string, free bool) {
	all := m.bodies
	m.bodies = slices.DeleteFunc(slices.Clone(all), func(b solid) bool { return wallKind(b.name) == "fixing" })
	depth, what = m.reach(o.face, o.at.X, o.at.Y, o.hx, false)
	m.bodies = all
	return depth, what, depth >= o.face.t+fixingAir-rounding
}

// drillFixings makes the holes of the fixing points that are on their faces.
func (m *maker) drillFixings() {
	for i, o := range m.points {
		if o.toJoint() < 0 {
			continue
		}
		p := m.box.panel(o.face.name)
		p.Holes = append(p.Holes, Hole{Kind: "fixing", X: o.at.X, Y: o.at.Y, Diameter: 2 * o.hx, Use: m.pointUse[i], From: "outer"})
	}
}

// mayStand says where on its wall a fixing point may stand, by the keys of the job; nothing of an end, whose inside is no
// rectangle.
func (m *maker) mayStand(o opening, p FixingPoint) string {
	f := o.face
	if f.wall < 0 {
		return ""
	}
	margin := o.hx + fixingWood
	if least := o.hx + leastShare*fixingWood; math.Min(f.free.Width(), f.free.Height()) < 2*least {
		return ", which has no room for it"
	} else if math.Min(f.free.Width(), f.free.Height()) < 2*margin {
		margin = least
	}
	x0, x1, y0, y1 := f.free.Min.X+margin, f.free.Max.X-margin, f.free.Min.Y+margin, f.free.Max.Y-margin
	between := func(key string, a, b float64) string {
		return fmt.Sprintf("%s from %s to %s", key, m.wrap.length(math.Min(a, b)), m.wrap.length(math.Max(a, b)))
	}
	left, _ := m.wallSpan(f.wall)
	across := between("from_left", left+x0-m.Left, left+x1-m.Left)
	if p.Left == nil {
		across = between("from_right", m.Left+m.Width-left-x0, m.Left+m.Width-left-x1)
	}
	w, u, box := m.wrap.walls[f.wall], m.wrap.u[f.wall], m.Section.Bounds()
	lo, hi := w.o1.Sub(u.Mul(y0)).Sub(box.Min), w.o1.Sub(u.Mul(y1)).Sub(box.Min)
	up := between("from_bottom", lo.Y, hi.Y)
	if side := SideOf(m.Section, f.wall); side == "top" || side == "bottom" {
		up = between("from_front", lo.X, hi.X)
	}
	return fmt.Sprintf("; %s and %s would do", across, up)
}

// checkFixings verifies each fixing point against joints, braces and what stands behind it.
func (m *maker) checkFixings() {
	l := m.wrap.length
	for i, o := range m.points {
		room, near := o.toJoint(), "a joint"
		if o.face.wall >= 0 {
			x := o.face.across(o.at.X, o.at.Y, 0)
			for _, b := range m.braces {
				if d := math.Max(b.left-x, x-b.left-b.t) - o.hx; d < room {
					room, near = d, b.name
				}
			}
		}
		wrong := ""
		switch _, what, free := m.behindPoint(o); {
		case o.toJoint() < 0:
			wrong = fmt.Sprintf("it misses the inside of the %s by %s%s", o.face.name, l(-o.toJoint()), m.mayStand(o, m.Fixings[i]))
		case m.isLoose(o.face):
			wrong = fmt.Sprintf("the %s is removable: fix the box by another face", o.face.name)
		case !free:
			wrong = fmt.Sprintf("behind it stands the %s: %s of air is wanted for the nut", strings.TrimPrefix(what, "the "), l(fixingAir))
		}
		if wrong != "" {
			m.add(o.name, Fail, room, fixingWood, "m", "%s", wrong)
			continue
		}
		note := fmt.Sprintf("in the %s, %s from %s; %s is wanted", o.face.name, l(room), near, l(fixingWood))
		if room < fixingWood-rounding {
			note += fmt.Sprintf("; %s further away would do", l(fixingWood-room))
		}
		m.add(o.name, grade(room, fixingWood, leastShare*fixingWood), room, fixingWood, "m", "%s", note)
	}
}
