package panels

import (
	"cmp"
	"math"

	"cubby/internal/grade"
	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// The cable's way out of the box (common practice).
const (
	cableHole   = 10e-3
	terminalAir = 10e-3 // behind a plate's cup
)

// A common terminal plate (common practice).
const (
	plateWidth  = 90e-3
	plateHeight = 60e-3
	plateRadius = 5e-3
	plateDepth  = 40e-3
	plateScrews = 4
	platePilot  = 2.5e-3
	plateEdge   = 8e-3  // from the opening to a screw
	plateRim    = 14e-3 // that the plate covers outside the opening
)

// WithDefaults fills in what is not stated by the common plate.
func (p Plate) WithDefaults() Plate {
	if p.Diameter == 0 {
		if p.Width == 0 && p.Height == 0 && p.Radius == 0 {
			p.Radius = plateRadius
		}
		p.Width, p.Height = cmp.Or(p.Width, plateWidth), cmp.Or(p.Height, plateHeight)
		p.Radius = math.Min(p.Radius, math.Min(p.Width, p.Height)/2)
	}
	p.Depth, p.Screws, p.Hole = cmp.Or(p.Depth, plateDepth), cmp.Or(p.Screws, plateScrews), cmp.Or(p.Hole, platePilot)
	return p
}

// half is half of the opening along x and y.
func (p Plate) half() (x, y float64) {
	if p.Diameter > 0 {
		return p.Diameter / 2, p.Diameter / 2
	}
	return p.Width / 2, p.Height / 2
}

// screwsAt are the places of the screws about the middle: on the corners of a rectangle outside the opening when there are
// four, else round a circle.
func (p Plate) screwsAt() []plane.Point {
	x, y := p.half()
	if p.Screws == 4 && p.Diameter == 0 {
		c := plane.Point{X: x + plateEdge, Y: y + plateEdge}
		if p.Circle > 0 {
			c = c.Mul(p.Circle / 2 / c.Norm())
		}
		return []plane.Point{c, {X: c.X, Y: -c.Y}, {X: -c.X, Y: -c.Y}, {X: -c.X, Y: c.Y}}
	}
	r := p.Circle / 2
	if r == 0 {
		r = x + plateEdge
		if p.Diameter == 0 {
			r = math.Hypot(x, y) + plateEdge
		}
	}
	return circle(p.Screws, r)
}

// leastRoom is the least room round the plate's opening that is taken at all: what the plate covers there.
func (p Plate) leastRoom() float64 {
	x, y := p.half()
	rim := plateRim
	for _, s := range p.screwsAt() {
		rim = math.Max(rim, math.Max(math.Abs(s.X)-x, math.Abs(s.Y)-y)+plateRim-plateEdge)
	}
	return rim
}

// attitudes are the plate as it is stated and, where that differs, on its end.
func (p Plate) attitudes() []Plate {
	if p.Diameter > 0 || p.Width == p.Height {
		return []Plate{p}
	}
	turned := p
	turned.Width, turned.Height = p.Height, p.Width
	return []Plate{p, turned}
}

// terminalFit is the terminal plate, or the cable hole, as placed.
type terminalFit struct {
	opening
	placed bool
	plate  *Plate // nil: a cable hole
	turned bool
	room   float64 // least distance to a joint in terms of what is wanted there, m
	near   Message // what that distance is to
	buried bool    // a plug finds no room before it
}

// placeTerminal puts the terminal plate or cable hole on the end or wall that has the room, away from driver and port, low and to
// the rear; never on the bottom; on a removable face never; before a closed side or a thing only where all others are. A plate
// that finds no place is tried on its end.
func placeTerminal(s *scene) terminalFit {
	if !s.spec.Terminal && s.spec.Plate == nil {
		return terminalFit{}
	}
	var best terminalFit
	try := func(shape opening, plate *Plate, turned bool) bool {
		for _, f := range s.terminalFaces() {
			t, ok := s.tryTerminal(f, shape, plate)
			if t.turned = turned; ok && (!best.placed || best.buried && !t.buried || best.buried == t.buried && t.room > best.room+rounding) {
				best = t
			}
			if best.placed && !best.buried && best.room >= terminalWood()-rounding {
				return true
			}
		}
		return best.placed
	}
	if s.spec.Plate == nil {
		try(opening{kind: cableOpening, number: -1, round: true, hx: cableHole / 2, hy: cableHole / 2}, nil, false)
		return best
	}
	for i, p := range s.spec.Plate.WithDefaults().attitudes() {
		shape := opening{kind: terminalOpening, number: -1, round: p.Diameter > 0}
		shape.hx, shape.hy = p.half()
		if try(shape, &p, i > 0) {
			s.bodies = append(s.bodies, s.cup(best))
			return best
		}
	}
	return best // its check says so
}

func terminalWood() float64 { return grade.Of(grade.TerminalToJoint).Pass }

// terminalFaces are the faces that the terminal may go on, in the order in which they are tried.
func (s *scene) terminalFaces() []*face {
	if p := s.spec.Plate; p != nil && p.Face != "" {
		if i, err := s.shell.resolve(p.Face); err == nil && s.faces[i].side != bottomSide && i != s.shell.loose {
			return []*face{&s.faces[i]}
		}
		return nil
	}
	return s.facesTo(leftSide, rightSide, backSide, frontSide, topSide)
}

// facesTo are the faces that look to sides, in their order, but for pockets and a removable face.
func (s *scene) facesTo(sides ...side) []*face {
	var out []*face
	for _, to := range sides {
		for i := range s.faces {
			if f := &s.faces[i]; f.side == to && i != s.shell.loose && s.shell.parts[i].role != Pocket {
				out = append(out, f)
			}
		}
	}
	return out
}

// tryTerminal looks over a face for the place with the room that is wanted, else the most.
func (s *scene) tryTerminal(f *face, shape opening, plate *Plate) (terminalFit, bool) {
	least, deep := cableHole, f.t
	if plate != nil {
		least, deep = plate.leastRoom(), math.Max(plate.Depth, f.t)
	}
	others := s.onFace(f.i)
	at := func(p plane.Point) opening {
		o := shape
		o.at, o.face = p, f.i
		return o
	}
	margin := plane.Point{X: shape.hx + least, Y: shape.hy + least}
	w := wanted{in: plane.Rect{Min: f.free.Min.Add(margin), Max: f.free.Max.Sub(margin)}, enough: terminalWood(), value: func(p plane.Point, bar float64) float64 {
		room, _ := s.terminalRoom(f, at(p), others, math.Max(bar, least-rounding))
		if room < least-rounding || room > bar && s.standsBehind(f, p, math.Hypot(shape.hx, shape.hy), deep+terminalAir, terminalBody) != "" {
			return math.Inf(-1)
		}
		return room
	}}
	wood := plane.Point{X: shape.hx + terminalWood() + 5e-3, Y: shape.hy + terminalWood() + 5e-3}
	roomy := drawn(plane.Rect{Min: f.free.Min.Add(wood), Max: f.free.Max.Sub(wood)})
	rear, fore, low, mid := roomy.Max.X, roomy.Min.X, roomy.Min.Y, roomy.Min.Add(roomy.Max).Mul(0.5)
	if f.side == leftSide { // x runs to the front there
		rear, fore = fore, rear
	}
	w.first = []plane.Point{{X: rear, Y: low}, {X: fore, Y: low}, {X: rear, Y: mid.Y}, {X: fore, Y: mid.Y}, mid}
	w.like = w.first[0]
	found := w.place()
	if math.IsInf(found.value, -1) {
		return terminalFit{}, false
	}
	t := terminalFit{opening: at(found.at), placed: true, plate: plate}
	t.room, t.near = s.terminalRoom(f, t.opening, others, math.Inf(-1))
	t.buried = s.spec.Room != nil && !s.spec.Room(f.at(found.at, 0), f.N)
	return t, true
}

// terminalRoom is the least room round an opening for the terminal, in terms of the distance wanted to a joint, and what is
// nearest. It may be anything up to bar once that much is known.
func (s *scene) terminalRoom(f *face, o opening, others []opening, bar float64) (room float64, near Message) {
	room, near = o.toJoint(f), say("a joint")
	for _, x := range others {
		if room <= bar {
			return room, near
		}
		d := o.apart(x)
		if x.circle > 0 {
			y := x
			y.hx, y.hy = x.circle, x.circle
			d = math.Min(d, o.apart(y)-(grade.Of(grade.TerminalToBolt).Pass-terminalWood()))
		}
		if d < room {
			room, near = d, x.name()
		}
	}
	return s.nextBrace(f, o, room, near)
}

// nextBrace gives the brace that is nearer than room to an opening, and how near; else room and what that is to.
func (s *scene) nextBrace(f *face, o opening, room float64, near Message) (float64, Message) {
	for i := range s.bodies {
		if b := &s.bodies[i]; b.kind == braceBody || b.kind == stripBody {
			if d := s.nextTo(f, o, b); d < room {
				room, near = d, say("%s", b.name)
			}
		}
	}
	return room, near
}

// nextTo is the distance along a face from an opening to a brace that stands on it; +Inf where it stands elsewhere.
func (s *scene) nextTo(f *face, o opening, b *body) float64 {
	if lo, hi := b.span(f.N); hi < r3.Dot(f.O, f.N)-f.t-5e-3 || lo > r3.Dot(f.O, f.N) {
		return math.Inf(1)
	}
	x0, x1 := b.span(f.X)
	y0, y1 := b.span(f.Y)
	ox, oy := r3.Dot(f.O, f.X), r3.Dot(f.O, f.Y)
	other := opening{at: plane.Point{X: (x0+x1)/2 - ox, Y: (y0+y1)/2 - oy}, hx: (x1 - x0) / 2, hy: (y1 - y0) / 2}
	return o.apart(other)
}

// standsBehind names what stands within depth, from the outer face, behind a round thing, but for bodies of a kind; empty: nothing.
func (s *scene) standsBehind(f *face, p plane.Point, r, depth float64, but bodyKind) string {
	from := f.at(p, f.t)
	if d, wall := s.shell.ahead(from, f.in(), r); d+f.t < depth-rounding {
		return s.faces[wall].name
	}
	c := cone(but, from, f.in(), depth-f.t, r, r)
	for i := range s.bodies {
		if b := &s.bodies[i]; b.kind != but && c.meets(b, 0) {
			return b.name
		}
	}
	return ""
}

// cup is what a plate's cup takes in the air of the box.
func (s *scene) cup(t terminalFit) body {
	f := &s.faces[t.face]
	deep := math.Max(t.plate.Depth, f.t)
	var b body
	if t.round {
		b = cone(terminalBody, f.at(t.at, f.t), f.in(), deep-f.t, t.hx, t.hx)
	} else {
		var at []r3.Vec
		for _, d := range [...]float64{f.t, deep} {
			for _, c := range [...]plane.Point{{X: -t.hx, Y: -t.hy}, {X: t.hx, Y: -t.hy}, {X: t.hx, Y: t.hy}, {X: -t.hx, Y: t.hy}} {
				at = append(at, f.at(t.at.Add(c), d))
			}
		}
		b = newBody(terminalBody, "terminal", at, tubeSide)
	}
	b.name, b.air = "terminal plate", tubeSide
	return b
}

// cupVolume is the air that the plate's cup takes, or would where it is not placed yet.
func (s *scene) cupVolume() float64 {
	if s.spec.Plate == nil {
		return 0
	}
	p := s.spec.Plate.WithDefaults()
	t := s.spec.Wood.Thickness
	if s.fitted.terminal.placed {
		t = s.faces[s.fitted.terminal.face].t
	}
	return s.plateHole(p).area() * math.Max(p.Depth-t, 0)
}

func (s *scene) plateHole(p Plate) Hole {
	if p.Diameter > 0 {
		return Hole{Diameter: p.Diameter}
	}
	return Hole{Length: p.Width, Width: p.Height, Radius: p.Radius}
}

// terminalHoles are the terminal's opening and its screws' pilot holes.
func (s *scene) terminalHoles() []Hole {
	t := &s.fitted.terminal
	if !t.placed {
		return nil
	}
	if t.plate == nil {
		return []Hole{{Kind: HoleCable, X: t.at.X, Y: t.at.Y, Diameter: 2 * t.hx, From: "outer"}}
	}
	h := s.plateHole(*t.plate)
	h.Kind, h.X, h.Y, h.From = HoleTerminal, t.at.X, t.at.Y, "outer"
	out := []Hole{h}
	for _, c := range t.plate.screwsAt() {
		out = append(out, Hole{Kind: HoleFixing, X: t.at.X + c.X, Y: t.at.Y + c.Y, Diameter: t.plate.Hole, Depth: blindPilot(s.faces[t.face].t), Use: UseTerminalScrew, From: "outer"})
	}
	return out
}

// blindPilot is how deep a pilot goes into a board without coming out behind (common practice).
func blindPilot(t float64) float64 { return math.Min(12e-3, 0.7*t) }

// checkTerminal says how the terminal has come out.
func (s *scene) checkTerminal(b *Findings) {
	t, p := &s.fitted.terminal, s.spec.Plate
	name, least, want := "cable hole", cableHole, 2*cableHole // room for a gland's nut (common practice)
	smaller := Message{}
	switch {
	case p != nil:
		whole := p.WithDefaults()
		x, y := whole.half()
		name, least, want = "terminal plate", whole.leastRoom(), terminalWood()
		smaller = say("; it is %s x %s and %s deep: a smaller or shallower plate, or another face, would do", Length(2*x), Length(2*y), Length(whole.Depth))
	case !s.spec.Terminal:
		return
	}
	if !t.placed {
		b.add(name, Fail, 0, want, "m", say("no face that it may go on has room for the %s clear of joints, openings and what stands behind it%s", name, smaller))
		return
	}
	b.least(name, t.room, want, least, "the %s is in the %s%s, %s from %s; %s is wanted%s", name, s.faces[t.face].name, sayIf(t.turned, ", turned a quarter"), Length(t.room), t.near,
		Length(want), sayIf(t.room < terminalWood()-rounding && t.plate != nil, "; an opening %s smaller would do", Length(2*(terminalWood()-t.room))))
}
