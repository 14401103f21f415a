package panels

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/plane"
)

// slotPanels makes the boards of the slot: roofs, fins or side piece. A roof's outer face is the one that looks at the
// slot's air; its frame is that of the wall it is parallel to.
func (m *maker) slotPanels() []Panel {
	s := m.slot
	if s == nil {
		return nil
	}
	if s.lane != nil {
		return m.lanePanels()
	}
	var all []Panel
	for i, r := range s.roofs {
		p := m.slotBoard("slot wall", s.x1-s.x0, r.cut.outer)
		if len(s.roofs) > 1 {
			p.Name = fmt.Sprintf("slot wall %d", i+1)
		}
		u := m.wrap.u[r.wall]
		p.Width = r.cut.blank
		p.OuterWidth, p.InnerWidth = r.cut.outer, r.cut.inner
		p.Blank = [2]float64{p.Length, p.Width}
		p.Volume = r.cut.area * p.Length
		p.Place = Frame{Origin: [3]float64{s.x0, r.cut.o1.X, r.cut.o1.Y}, X: [3]float64{1, 0, 0}, Y: [3]float64{0, -u.X, -u.Y}}
		p.Edges = m.roofEdges(r, i)
		p.Notes = m.roofNotes(i)
		all = append(all, p)
	}
	return append(all, m.uprights()...)
}

// roofNotes says how roof i is fitted: the board with the inner mouth is supplied longer and trimmed.
func (m *maker) roofNotes(i int) []string {
	s := m.slot
	notes := []string{m.roofStands(s.roofs[i].wall)}
	if i == len(s.roofs)-1 {
		notes = append(notes, "fixed through both ends")
	}
	if len(s.roofs) > 1 {
		notes = append(notes, "round the edge that the air turns about (common practice)")
	}
	return append(notes, fmt.Sprintf(slotNoteText, m.wrap.length(slotRound)))
}

// roofStands says where a roof goes: on spacers over the wall that it is parallel to.
func (m *maker) roofStands(wall int) string {
	return fmt.Sprintf("its outer face looks at the slot and stands %s from the inner face of the %s: set it on spacers of that height", m.wrap.length(m.slot.h), m.wrap.names[wall])
}

// uprightStands says where the pieces of an upright go: by the face that is nearer to a wall's inner face, at distances from it.
func (m *maker) uprightStands(wall string, at []float64) string {
	var l []string
	for _, x := range at {
		l = append(l, m.wrap.length(x))
	}
	return fmt.Sprintf("near face %s from the inner face of the %s", strings.Join(l, ", "), wall)
}

func (m *maker) slotBoard(name string, length, width float64) Panel {
	return Panel{Name: name, Role: PortPart, Count: 1, Layers: 1, Board: m.Wood.Board, Thickness: m.slot.t, Nominal: m.nominal(m.slot.t, 1),
		Length: length, Width: width, OuterWidth: width, InnerWidth: width, Blank: [2]float64{length, width},
		Outline: plane.Polygon{{}, {X: length}, {X: length, Y: width}, {Y: width}}, Volume: length * width * m.slot.t}
}

// roofEdges names what a roof meets: at the mouth the wall with the mouth, at its other end the free air or the next roof.
func (m *maker) roofEdges(r roof, i int) []Edge {
	s := m.slot
	inner, outer := "", m.wrap.names[s.mouth]
	if len(s.roofs) > 1 {
		if i == 0 {
			inner = "slot wall 2"
		} else {
			outer = "slot wall 1"
		}
	}
	edge := func(name, meets string, tilt float64) Edge {
		e := Edge{Edge: name, Meets: meets, Joint: "butt-stop", Angle: math.Pi/2 + tilt, Tilt: tilt, Run: s.t * math.Abs(math.Tan(tilt))}
		if e.LongFace = longFace(e.Run, tilt); e.LongFace == "equal" {
			e.Tilt, e.Run, e.Angle = 0, 0, math.Pi/2
		}
		return e
	}
	start, end := outer, inner // where the walk along the wall starts and ends
	if m.backwards() {
		start, end = inner, outer
	}
	return []Edge{edge("y0", end, r.cut.tilt1), edge("y1", start, r.cut.tilt0),
		{Edge: "x0", Meets: leftEnd, Joint: "butt-stop", Angle: math.Pi / 2, LongFace: "equal"},
		{Edge: "x1", Meets: m.slotRight(), Joint: "butt-stop", Angle: math.Pi / 2, LongFace: "equal"}}
}

// backwards reports whether the air of a slot runs against the walk along the wall that is its floor.
func (m *maker) backwards() bool { return m.slot.v.Dot(m.wrap.u[m.slot.floor]) < 0 }

func (m *maker) slotRight() string {
	if m.slot.narrow {
		return "slot side"
	}
	return rightEnd
}

// uprights are the fins of a slot and the side piece of a narrow one, standing on the floor: in one piece round a bend.
func (m *maker) uprights() []Panel {
	s := m.slot
	if !s.narrow && s.fins == 0 {
		return nil
	}
	shape, meets := m.slotSide()
	a := s.floor
	u, up := m.wrap.u[a], m.wrap.inn[a].N
	local := make(plane.Polygon, len(shape))
	for i, p := range shape {
		local[i] = plane.Point{X: p.Dot(u), Y: p.Dot(up)}
	}
	box := local.Bounds()
	local = local.Translate(box.Min.Mul(-1))
	foot := u.Mul(box.Min.X).Add(up.Mul(box.Min.Y))
	make1 := func(name string, x0s ...float64) Panel {
		p := m.slotBoard(name, box.Width(), box.Height())
		p.Outline, p.Volume, p.Count = local, local.Area()*s.t, len(x0s)
		var at []float64
		for _, x := range x0s {
			at = append(at, x-m.inLeft)
		}
		p.Notes = append(p.Notes, m.uprightStands(leftEnd, at))
		for k, name := range meets {
			p.Edges = append(p.Edges, Edge{Edge: fmt.Sprintf("e%d", k), Meets: name, Joint: "butt-stop", Angle: math.Pi / 2, LongFace: "equal"})
		}
		for _, x0 := range x0s { // seen from the right
			p.Places = append(p.Places, Frame{Origin: [3]float64{x0 + s.t, foot.X, foot.Y}, X: [3]float64{0, u.X, u.Y}, Y: [3]float64{0, up.X, up.Y}})
		}
		p.Place = p.Places[0]
		if len(x0s) == 1 {
			p.Places = nil
		}
		return p
	}
	var all []Panel
	if s.narrow {
		all = append(all, make1("slot side", s.x1-s.t))
	}
	if s.fins > 0 {
		p := make1("slot fin", s.finsAt(s.x0)...)
		p.Notes = append(p.Notes, "round the leading and trailing edges")
		all = append(all, p)
	}
	return all
}

// finsAt gives where the fins begin in a slot that begins at x0.
func (s *slot) finsAt(x0 float64) []float64 {
	pitch := s.clear/float64(s.fins+1) + s.t
	at := make([]float64, s.fins)
	for i := range at {
		at[i] = x0 + float64(i+1)*pitch - s.t
	}
	return at
}

// slotSide is the outline of the slot's air inside the mouth's wall, in the section plane, counter-clockwise, and what each
// of its sides meets.
func (m *maker) slotSide() (plane.Polygon, []string) {
	s := m.slot
	first, last := s.roofs[0], s.roofs[len(s.roofs)-1]
	near, far := 0, 1 // of the corners of a channel and of a roof's face: at the mouth's side and the other
	if m.backwards() {
		near, far = 1, 0
	}
	face := func(r roof) [2]plane.Point { return [2]plane.Point{r.cut.o0, r.cut.o1} }
	shape := plane.Polygon{first.channel[near]}
	meets := []string{m.wrap.names[first.wall]}
	if len(s.roofs) > 1 {
		corner, _ := m.wrap.inn[s.floor].Meet(m.wrap.inn[s.turn])
		inner, _ := m.wrap.inn[s.floor].Offset(s.h).Meet(m.wrap.inn[s.turn].Offset(s.h))
		shape = append(shape, corner, last.channel[far], face(last)[far], inner, face(first)[near])
		meets = append(meets, m.wrap.names[s.turn], "", "slot wall 2", "slot wall 1", m.wrap.names[s.mouth])
	} else {
		shape = append(shape, first.channel[far], face(first)[far], face(first)[near])
		meets = append(meets, "", "slot wall", m.wrap.names[s.mouth])
	}
	if shape.Area() < 0 {
		slices.Reverse(shape)
		n := len(meets)
		turned := make([]string, n)
		for i := range turned {
			turned[i] = meets[(2*n-2-i)%n]
		}
		meets = turned
	}
	return shape, meets
}

// slotMouth is the face with the slot's mouth, and the mouth's size along the face's x and y.
func (m *maker) slotMouth() (*face, plane.Point) {
	s := m.slot
	if s.lane != nil {
		size := s.lane.rect(s.lane.air0, s.lane.air0+s.wide, s.h).Bounds()
		return m.faceOf(-1, s.end), plane.Point{X: size.Width(), Y: size.Height()}
	}
	lo, hi := m.mouthSpan()
	return m.faceOf(s.mouth, -1), plane.Point{X: s.wide, Y: hi - lo}
}

// cutMouth takes the slot's mouth out of its panel: as the edge of a wall when it is as wide as the box, so that the wall is
// cut narrower, else as an opening at that edge.
func (m *maker) cutMouth() {
	s := m.slot
	if s == nil {
		return
	}
	f, size := m.slotMouth()
	p, c := m.box.panel(f.name), m.box.PortSeats[0].Centre
	p.Holes = append(p.Holes, Hole{Kind: "slot", X: c.X, Y: c.Y, Length: size.X, Width: size.Y, From: "outer"})
	if s.lane == nil && !s.narrow {
		p.CutWidth = p.Width - size.Y
		p.Notes = append(p.Notes, fmt.Sprintf("the slot's mouth takes %s off the edge to the %s: lay the openings out from that edge first, then cut the board to %s",
			m.wrap.length(size.Y), m.wrap.names[s.floor], m.wrap.length(p.CutWidth)))
	}
}

// mouthSpan is the mouth's extent along y of its wall, on the outer face.
func (m *maker) mouthSpan() (lo, hi float64) {
	s := m.slot
	w, u := m.wrap.walls[s.mouth], m.wrap.u[s.mouth]
	at := func(offset float64) float64 {
		p, _ := m.wrap.inn[s.floor].Offset(offset).Meet(m.wrap.out[s.mouth])
		return w.o1.Sub(p).Dot(u)
	}
	a, b := at(0), at(s.h)
	return math.Min(a, b), math.Max(a, b)
}

// checkSlot verifies the slot's proportions.
func (m *maker) checkSlot() {
	s := m.slot
	if s == nil {
		return
	}
	l := m.wrap.length
	least := math.Max(slotLeast, s.t)
	m.add("slot height", grade(s.h, least, least/2), s.h, least, "m", "the slot is %s high; %s is wanted", l(s.h), l(least))
	channel := s.clear / float64(s.fins+1)
	ratio := channel / s.h
	status := Fail
	switch {
	case ratio <= slotRatio*(1+slack):
		status = Pass
	case ratio <= slotWorst*(1+slack):
		status = Marginal
	}
	m.add("slot proportions", status, ratio, slotRatio, "", "each channel is %s wide and %s high, %.1f to 1; %.0f to 1 is the most wanted", l(channel), l(s.h), ratio, slotRatio)
}
