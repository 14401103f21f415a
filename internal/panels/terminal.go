package panels

import (
	"errors"
	"fmt"
	"iter"
	"math"

	"cubby/internal/plane"
)

// The cable's way out of the box (common practice).
const (
	cableHole     = 10e-3
	terminalWood  = 40e-3 // to a joint or a brace
	terminalBolts = 50e-3 // to the drivers' bolt circle
	terminalAir   = 10e-3 // behind a plate's cup
	terminalGrid  = 9     // places tried along each side of a face
)

// Plate is a terminal plate. Zero fields take the size of a common plate (common practice): measure the one in hand.
type Plate struct {
	Width, Height float64 // of the opening, along the panel's x and y, m
	Radius        float64 // of its corners
	Diameter      float64 // of a round opening instead
	Depth         float64 // from the outer face of the panel to the back of the cup
	Face          string  // the face that it goes on; empty: chosen
	Screws        int
	Circle        float64 // of the screws; 0: 8 mm outside the opening's corners
	Hole          float64 // pilot of its screws
}

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
		if p.Width == 0 {
			p.Width = plateWidth
		}
		if p.Height == 0 {
			p.Height = plateHeight
		}
		p.Radius = math.Min(p.Radius, math.Min(p.Width, p.Height)/2)
	}
	if p.Depth == 0 {
		p.Depth = plateDepth
	}
	if p.Screws == 0 {
		p.Screws = plateScrews
	}
	if p.Hole == 0 {
		p.Hole = platePilot
	}
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
	var at []plane.Point
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
	for i := range p.Screws {
		a := (float64(i) + 0.5) * 2 * math.Pi / float64(p.Screws)
		at = append(at, plane.Point{X: r * math.Sin(a), Y: r * math.Cos(a)})
	}
	return at
}

// terminal is the terminal plate, or the cable hole, as placed.
type terminal struct {
	opening
	plate *Plate  // nil: a cable hole
	room  float64 // least distance to a joint in terms of what is wanted there, m
	near  string  // what that distance is to
}

// behindPlate is how deep the terminal needs to reach from the outer face.
func (m *maker) behindPlate() float64 {
	if m.Plate == nil {
		return 0
	}
	return m.Plate.WithDefaults().Depth
}

// planTerminal puts the terminal plate or cable hole on the end or wall that has most room, away from driver and port, low
// and to the rear; never on the bottom. It goes on the driver's face only if the job says so. A plate that finds no place is
// tried on its end.
func (m *maker) planTerminal() error {
	if !m.Terminal && m.Plate == nil {
		return nil
	}
	faces, err := m.terminalFaces()
	if err != nil {
		return err
	}
	if m.Plate == nil {
		m.placeTerminal(faces, opening{name: "cable hole", kind: "cable", round: true, hx: cableHole / 2, hy: cableHole / 2})
		return nil
	}
	for _, p := range m.Plate.WithDefaults().attitudes() {
		shape := opening{name: "terminal plate", kind: "terminal", round: p.Diameter > 0}
		shape.hx, shape.hy = p.half()
		if m.placeTerminal(faces, shape); m.terminal != nil {
			m.terminal.plate = &p
			m.bodies = append(m.bodies, m.terminal.cup(p.Depth))
			return nil
		}
	}
	return nil // its check says so
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

// terminalFaces are the faces that the terminal may go on, in the order in which they are tried.
func (m *maker) terminalFaces() ([]*face, error) {
	names := []string{leftEnd, rightEnd, "back", "front", "top"}
	asked := m.Plate != nil && m.Plate.Face != ""
	if asked {
		names = []string{m.Plate.Face}
	}
	var faces []*face
	for _, name := range names {
		wall, end, err := m.resolve(name, m.Section, m.wrap.names)
		if err != nil {
			if asked {
				return nil, err
			}
			continue
		}
		if wall >= 0 && SideOf(m.Section, wall) == "bottom" {
			return nil, &BuildError{Reason: BadInput, Panel: m.wrap.names[wall], Text: fmt.Sprintf("the terminal plate cannot be in the %s: the box stands on it; left, right, back, front and top are looked at when no face is named", m.wrap.names[wall])}
		}
		f := m.faceOf(wall, end)
		if m.isLoose(f) {
			f = m.seat
		}
		faces = append(faces, f)
	}
	return faces, nil
}

// placeTerminal looks the faces over until one has all the room that is wanted.
func (m *maker) placeTerminal(faces []*face, shape opening) {
	for _, f := range faces {
		m.tryTerminal(f, shape)
		if m.terminal != nil && m.terminal.room >= terminalWood-rounding {
			return
		}
	}
}

// lacksTerminal reports whether the terminal that is wanted has found no place.
func (m *maker) lacksTerminal() bool { return (m.Terminal || m.Plate != nil) && m.terminal == nil }

// clearOfDriver reports whether the driver has its depth and air behind it.
func (m *maker) clearOfDriver() bool {
	depth, _ := m.behind()
	return depth >= m.Driver.Depth+m.Driver.air()
}

// mostMoves is how many other places of the tubes are tried for the terminal's sake. The first few differ most.
const mostMoves = 8

// makeWay gives the box with its tubes where they leave the terminal a place, if it has none and they can stand as well
// elsewhere; else the box as it is.
func (m *maker) makeWay(s Spec) *maker {
	if s.Port == nil || !m.lacksTerminal() {
		return m
	}
	for skip := 1; skip <= mostMoves; skip++ {
		other, err := planWith(s, nil, skip)
		var why *BuildError
		switch {
		case errors.As(err, &why) && why.Reason == NoPort:
			return m // no place is left
		case err == nil && !other.lacksTerminal() && (other.clearOfDriver() || !m.clearOfDriver()):
			return other
		}
	}
	return m
}

// leastRoom is the least room round the terminal that is taken at all: what its plate covers there.
func (m *maker) leastRoom() float64 {
	if m.Plate == nil {
		return cableHole
	}
	p := m.Plate.WithDefaults()
	x, y := p.half()
	rim := plateRim
	for _, s := range p.screwsAt() {
		rim = math.Max(rim, math.Max(math.Abs(s.X)-x, math.Abs(s.Y)-y)+plateRim-plateEdge)
	}
	return rim
}

// tryTerminal looks over a face for the place with most room and keeps it if it is better than what there was.
func (m *maker) tryTerminal(f *face, shape opening) {
	least, others := m.leastRoom(), m.besideTerminal(f)
	wanted := func(room float64) bool {
		return room >= least-rounding && (m.terminal == nil || math.Min(room, terminalWood) > math.Min(m.terminal.room, terminalWood)+rounding)
	}
	for p := range f.quiet(terminalWood+shape.hx+5e-3, terminalWood+shape.hy+5e-3) {
		o := shape
		o.face, o.at = f, p
		room, near := m.terminalRoom(o, others, wanted)
		if !wanted(room) {
			continue
		}
		m.terminal = &terminal{opening: o, room: room, near: near}
		if room >= terminalWood {
			return
		}
	}
}

// besideTerminal are the openings of a face that the terminal keeps away from.
func (m *maker) besideTerminal(f *face) []opening {
	var all []opening
	for _, x := range m.openings() {
		if x.kind == "terminal" || x.kind == "cable" || !x.face.same(f) {
			continue
		}
		all = append(all, x)
	}
	return all
}

// terminalRoom is the least room round an opening for the terminal, in terms of the distance wanted to a joint, and what is
// nearest; negative where a body stands behind it. It may be more when it is not wanted in any case.
func (m *maker) terminalRoom(o opening, others []opening, wanted func(float64) bool) (room float64, near string) {
	room = math.Inf(1)
	closer := func(d float64, what string) {
		if d < room {
			room, near = d, what
		}
	}
	for _, x := range others {
		d := o.apart(x)
		if x.kind == "driver" {
			x.hx, x.hy = m.Driver.Circle/2, m.Driver.Circle/2
			d = math.Min(d, o.apart(x)-(terminalBolts-terminalWood))
		}
		closer(d, x.name)
	}
	if o.face.wall >= 0 {
		x := o.face.across(o.at.X, o.at.Y, 0)
		for _, b := range m.braces {
			closer(math.Max(b.left-x, x-b.left-b.t)-o.hx, b.name)
		}
	}
	for _, x := range m.strips {
		if x.on == o.face.name && o.face.end >= 0 {
			closer(x.body.area.Distance(o.face.section(o.at.X, o.at.Y, 0))-math.Hypot(o.hx, o.hy), x.name)
		}
	}
	if !wanted(room) {
		return room, near
	}
	if d := o.toJoint(); d <= room {
		room, near = d, "a joint"
	}
	if !wanted(room) {
		return room, near
	}
	depth, what := m.reach(o.face, o.at.X, o.at.Y, math.Hypot(o.hx, o.hy), false)
	if depth < math.Max(m.behindPlate(), o.face.t)+terminalAir {
		return -1, what
	}
	return room, near
}

// cup is what a plate's cup takes in the air of the box.
func (t *terminal) cup(depth float64) solid {
	f, o := t.face, t.opening
	d0, d1 := f.t, math.Max(depth, f.t)
	if f.end >= 0 {
		a, b := f.across(o.at.X, 0, d0), f.across(o.at.X, 0, d1)
		g := plane.Polygon{f.section(o.at.X-o.hx, o.at.Y-o.hy, 0), f.section(o.at.X+o.hx, o.at.Y-o.hy, 0), f.section(o.at.X+o.hx, o.at.Y+o.hy, 0), f.section(o.at.X-o.hx, o.at.Y+o.hy, 0)}
		return solid{name: "terminal", x0: math.Min(a, b), x1: math.Max(a, b), area: g.CCW(), air: tubeSide}
	}
	s := f.block("terminal", o.at.X, o.at.Y, o.hy, d0, d1)
	x := f.across(o.at.X, o.at.Y, 0)
	s.x0, s.x1 = x-o.hx, x+o.hx
	return s
}

// cupVolume is the air that the plate's cup takes.
func (m *maker) cupVolume() float64 {
	t := m.terminal
	if t == nil || t.plate == nil {
		return 0
	}
	return t.hole().area() * math.Max(t.plate.Depth-t.face.t, 0)
}

// hole is the terminal's opening in its panel.
func (t *terminal) hole() Hole {
	h := Hole{Kind: t.kind, X: t.at.X, Y: t.at.Y, From: "outer"}
	switch {
	case t.round:
		h.Diameter = 2 * t.hx
	default:
		h.Length, h.Width, h.Radius = 2*t.hx, 2*t.hy, t.plate.Radius
	}
	return h
}

// cutTerminal cuts the terminal's opening and its screws' pilot holes.
func (m *maker) cutTerminal() {
	t := m.terminal
	if t == nil {
		return
	}
	p := m.box.panel(t.face.name)
	p.Holes = append(p.Holes, t.hole())
	if t.plate == nil {
		return
	}
	for _, s := range t.plate.screwsAt() {
		p.Holes = append(p.Holes, Hole{Kind: "fixing", X: t.at.X + s.X, Y: t.at.Y + s.Y, Diameter: t.plate.Hole, Depth: blindPilot(p.Thickness), Use: UseTerminalScrew, From: "outer"})
	}
}

// blindPilot is how deep a pilot goes into a board without coming out behind (common practice).
func blindPilot(t float64) float64 { return math.Min(12e-3, 0.7*t) }

// quiet gives places on a face to try: the corners of its free part moved in by the margins, the lower ones first, its
// middle, and a grid over all of it.
func (f *face) quiet(mx, my float64) iter.Seq[plane.Point] {
	return func(yield func(plane.Point) bool) {
		r := f.free
		mid := r.Min.Add(r.Max).Mul(0.5)
		dx, dy := math.Min(mx, mid.X-r.Min.X), math.Min(my, mid.Y-r.Min.Y)
		corners := [...]plane.Point{{X: r.Max.X - dx, Y: r.Min.Y + dy}, {X: r.Min.X + dx, Y: r.Min.Y + dy}, {X: r.Max.X - dx, Y: mid.Y}, {X: r.Min.X + dx, Y: mid.Y}, mid}
		if f.end == 0 { // x runs to the front on the left end
			corners[0], corners[1] = corners[1], corners[0]
		}
		for _, p := range corners {
			if !yield(p) {
				return
			}
		}
		if f.shape != nil && !yield(f.roomiest(mid, math.Max(mx, my))) {
			return
		}
		for i := range terminalGrid {
			for k := range terminalGrid {
				if !yield(plane.Point{X: r.Min.X + r.Width()*(float64(i)+0.5)/terminalGrid, Y: r.Min.Y + r.Height()*(float64(k)+0.5)/terminalGrid}) {
					return
				}
			}
		}
	}
}

func (m *maker) checkTerminal() {
	if !m.Terminal && m.Plate == nil {
		return
	}
	l := m.wrap.length
	name := "cable hole"
	if m.Plate != nil {
		name = "terminal plate"
	}
	if m.terminal == nil {
		m.add(name, Fail, 0, terminalWood, "m", "no face that it may go on has room for the %s clear of joints, openings and what stands behind it%s%s", name, m.portInWay(), m.smallerPlate())
		return
	}
	room := m.terminal.room
	turned := ""
	if m.Plate != nil && m.terminal.plate.Width != m.Plate.WithDefaults().Width {
		turned = ", turned a quarter"
	}
	note := fmt.Sprintf("the %s is in the %s%s, %s from %s; %s is wanted", name, m.terminal.face.name, turned, l(room), m.terminal.near, l(terminalWood))
	if room < terminalWood-rounding && m.Plate != nil {
		note += fmt.Sprintf("; an opening %s smaller would do", l(2*(terminalWood-room)))
	}
	m.add(name, grade(room, terminalWood, m.leastRoom()), room, terminalWood, "m", "%s", note)
}

// portInWay says so when the port alone keeps the terminal from a place.
func (m *maker) portInWay() string {
	if m.Port == nil || m.Mute {
		return ""
	}
	bare := m.Spec
	bare.Port = nil
	if other, err := planWith(bare, nil, 0); err != nil || other.lacksTerminal() {
		return ""
	}
	return "; without the port it would have one, and none was found that leaves room for both: a shorter or narrower port would do"
}

func (m *maker) smallerPlate() string {
	if m.Plate == nil {
		return ""
	}
	p := m.Plate.WithDefaults()
	x, y := p.half()
	text := fmt.Sprintf("; it is %s x %s and %s deep: a smaller or shallower plate", m.wrap.length(2*x), m.wrap.length(2*y), m.wrap.length(p.Depth))
	if p.Face != "" {
		text += ", or another face (terminal.face),"
	}
	return text + " would do"
}
