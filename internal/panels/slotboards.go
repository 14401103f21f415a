package panels

import (
	"fmt"
	"math"

	"cubby/internal/plane"
)

// slotPanels makes the boards of the slot: roofs, fins or side piece. A roof's outer face is the one that looks at the
// slot's air; its frame is that of the wall it is parallel to.
func (m *maker) slotPanels() []Panel {
	s := m.slot
	if s == nil {
		return nil
	}
	var all []Panel
	for i, r := range s.roofs {
		p := m.slotBoard("slot wall", r.cut.outer, s.x1-s.x0)
		if len(s.roofs) > 1 {
			p.Name = fmt.Sprintf("slot wall %d", i+1)
		}
		u := m.wrap.u[r.wall]
		p.Length, p.Width = s.x1-s.x0, r.cut.blank
		p.OuterWidth, p.InnerWidth = r.cut.outer, r.cut.inner
		p.Blank = [2]float64{p.Length, p.Width}
		p.Outline = plane.Polygon{{}, {X: p.Length}, {X: p.Length, Y: p.OuterWidth}, {Y: p.OuterWidth}}
		p.Volume = r.cut.area * p.Length
		p.Place = Frame{Origin: [3]float64{s.x0, r.cut.o1.X, r.cut.o1.Y}, X: [3]float64{1, 0, 0}, Y: [3]float64{0, -u.X, -u.Y}}
		p.Edges = m.roofEdges(r, i)
		p.Notes = append(p.Notes,
			fmt.Sprintf("fixed through both ends; supply it %s longer along the air and trim after the dry fit (common practice)", m.wrap.length(slotTrim)),
			fmt.Sprintf(slotNoteText, m.wrap.length(slotRound)))
		all = append(all, p)
	}
	return append(all, m.uprights()...)
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

// uprights are the fins of a full-width slot or the side piece of a narrow one, standing on the floor.
func (m *maker) uprights() []Panel {
	s := m.slot
	first := s.roofs[0]
	length := math.Min(first.cut.outer, first.cut.inner)
	p := m.slotBoard("slot side", length, s.h)
	u := m.wrap.u[first.wall]
	up := m.wrap.inn[first.wall].N
	foot := first.cut.o0.Sub(up.Mul(s.h))
	if d := first.cut.inner - first.cut.outer; d < 0 {
		foot = foot.Add(u.Mul(math.Max(first.cut.n0.Sub(first.cut.o0).Dot(u), 0)))
	}
	at := func(x float64) Frame { // seen from the right, x along the walk
		return Frame{Origin: [3]float64{x + s.t, foot.X, foot.Y}, X: [3]float64{0, u.X, u.Y}, Y: [3]float64{0, up.X, up.Y}}
	}
	for k, meets := range []string{m.wrap.names[first.wall], m.wrap.names[s.mouth], "slot wall", ""} {
		p.Edges = append(p.Edges, Edge{Edge: fmt.Sprintf("e%d", k), Meets: meets, Joint: "butt-stop", Angle: math.Pi / 2, LongFace: "equal"})
	}
	if s.narrow {
		p.Place = at(s.x1 - s.t)
		return []Panel{p}
	}
	if s.fins == 0 {
		return nil
	}
	p.Name, p.Count = "slot fin", s.fins
	pitch := s.clear/float64(s.fins+1) + s.t
	for i := range s.fins {
		p.Places = append(p.Places, at(s.x0+float64(i+1)*pitch-s.t))
	}
	p.Place = p.Places[0]
	p.Notes = append(p.Notes, "round the leading and trailing edges")
	return []Panel{p}
}

// slotMouth takes the slot's mouth out of its wall: as its edge when it is as wide as the box, so that the wall is cut
// narrower, else as an opening at that edge.
func (m *maker) slotMouth() {
	s := m.slot
	if s == nil {
		return
	}
	p := m.box.panel(m.wrap.names[s.mouth])
	lo, hi := m.mouthSpan()
	x0 := s.x0 - m.wallLeft
	p.Holes = append(p.Holes, Hole{Kind: "slot", X: x0 + s.width()/2, Y: (lo + hi) / 2, Length: s.width(), Width: hi - lo, From: "outer"})
	if !s.narrow {
		p.CutWidth = p.Width - (hi - lo)
		p.Notes = append(p.Notes, fmt.Sprintf("the slot's mouth takes the edge to the %s: cut it %s wide", m.wrap.names[s.floor], m.wrap.length(p.CutWidth)))
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
