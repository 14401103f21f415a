package panels

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"cubby/internal/unit"
)

// makePanels turns the plan into pieces with edges, holes and marks, and weighs them.
func (m *maker) makePanels() {
	b := m.box
	b.DriverSeat.Fixing.Reason = m.whyFixed()
	for i := range m.wrap.walls {
		b.Panels = append(b.Panels, m.wallPanel(i))
	}
	for end := range m.endT {
		b.Panels = append(b.Panels, m.endPanel(end))
	}
	m.cutOpenings()
	b.Panels = append(b.Panels, m.layerPanels()...)
	b.Panels = append(b.Panels, m.slotPanels()...)
	b.Slot = m.slotView()
	b.Panels = append(b.Panels, m.bracePanels()...)
	b.Panels = append(b.Panels, m.stripPanels()...)
	b.Panels = append(b.Panels, m.cleatPanels()...)
	mark(b.Panels)
	m.weigh()
	m.worstJoint()
}

// mostPieces is how many pieces of board a box may have. No job comes near it: the fullest that were drawn at random,
// 10 m wide, have half as many. Lists, marks and drawings are laid out for no more.
const mostPieces = 200

// countPieces refuses a box of too many pieces.
func (m *maker) countPieces() error {
	pieces := 0
	for _, p := range m.box.Panels {
		pieces += p.Count * max(p.Layers, 1)
	}
	if pieces <= mostPieces {
		return nil
	}
	return &BuildError{Reason: ManyPieces, Text: fmt.Sprintf("the box takes %d pieces of board: at most %d can be listed and drawn", pieces, mostPieces)}
}

// nominal is the thickness that the board is sold as, for n layers; boards that differ are called by what they measure.
func (m *maker) nominal(t float64, n int) float64 {
	if m.Wood.Nominal > 0 && math.Abs(t-float64(n)*m.Wood.Thickness) < rounding {
		return float64(n) * m.Wood.Nominal
	}
	return t
}

func (m *maker) wallPanel(i int) Panel {
	w, t := m.wrap.walls[i], m.wrap.t[i]
	p := Panel{Name: m.wrap.names[i], Role: Wall, Count: 1, Board: m.Wood.Board, Thickness: t,
		Width: w.blank, OuterWidth: w.outer, InnerWidth: w.inner,
		Section: w.section, Place: m.wallPlace(i)}
	left, right := m.wallSpan(i)
	p.Length = right - left
	p.Layers = m.layersOf(p.Name, i == m.seat.wall)
	p.Nominal = m.nominal(t, p.Layers)
	p.Blank = [2]float64{p.Length, p.Width}
	p.Volume = w.area * p.Length
	p.Edges = m.wallEdges(i)
	return p
}

func (m *maker) layersOf(name string, seat bool) int {
	if _, own := m.Wood.Panels[name]; own {
		return 1
	}
	return m.fullLayers(seat)
}

// wallEdges lists a wall's edges: y0 where its section ends, y1 where it starts, x0 at the left end, x1 at the right.
func (m *maker) wallEdges(i int) []Edge {
	n, w, t := len(m.wrap.walls), m.wrap.walls[i], m.wrap.t[i]
	next := (i + 1) % n
	edges := []Edge{
		m.jointEdge("y0", i, next, next, w.tilt1, t),
		m.jointEdge("y1", i, i, (i+n-1)%n, w.tilt0, t),
	}
	joint := "butt-stop"
	switch m.Wood.Ends {
	case EndsInside:
		joint = "butt-through"
	case EndsRabbeted:
		joint = "rabbet"
	}
	if i == m.loose {
		joint = "butt-through"
	}
	for k, name := range []string{leftEnd, rightEnd} {
		edges = append(edges, Edge{Edge: fmt.Sprintf("x%d", k), Meets: name, Joint: joint, Angle: math.Pi / 2, LongFace: "equal"})
	}
	return edges
}

// jointEdge is the edge of wall i at corner k, where it meets wall other.
func (m *maker) jointEdge(edge string, i, k, other int, tilt, t float64) Edge {
	c := m.wrap.corners[k]
	e := Edge{Edge: edge, Meets: m.wrap.names[other], Angle: c.angle, Tilt: tilt, Run: t * math.Abs(math.Tan(tilt))}
	switch {
	case c.joint == Mitre:
		e.Joint = "mitre"
	case c.joint == Rabbet:
		e.Joint = "rabbet"
	case c.through == i:
		e.Joint = "butt-through"
	default:
		e.Joint = "butt-stop"
	}
	e.LongFace = longFace(e.Run, tilt)
	if e.LongFace == "equal" {
		e.Tilt, e.Run = 0, 0
	}
	return e
}

// rounding is what two lengths, in metres, or two ratios that are equal may differ by through arithmetic: nothing that a tool
// could show, and far above the 1e-15 or so that each step leaves.
const rounding = 1e-9

// sameSize is what two lengths may differ by, in metres, when one of them comes out of a search: a micrometre, at which the
// searches stop and which no tool shows.
const sameSize = 1e-6

// sameWay is how far the cosine between two directions may be from 1: 0.08 degrees, under what a saw is set to (a tenth).
const sameWay = 1e-6

// sameFace is the run below which an edge is square.
const sameFace = rounding

func longFace(run, tilt float64) string {
	switch {
	case run < sameFace:
		return "equal"
	case tilt > 0:
		return "outer"
	}
	return "inner"
}

// rabbetPlay is what the raised field of a rabbeted end is smaller per side, so that it goes in (common practice).
const rabbetPlay = 0.15e-3

// fine gives a length that is too small for the steps of a tape measure.
func (m *maker) fine(length float64) string {
	if m.Units == unit.Inch {
		return fmt.Sprintf("%.3f\"", length/0.0254)
	}
	return fmt.Sprintf("%.2f mm", length*1000)
}

func (m *maker) endPanel(end int) Panel {
	outline := m.toEnd(m.endOutline(), end)
	size := outline.Bounds().Max
	t := m.endT[end]
	p := Panel{Name: leftEnd, Role: End, Count: 1, Board: m.Wood.Board, Thickness: t,
		Length: size.X, Width: size.Y, OuterWidth: size.Y, InnerWidth: size.Y, Blank: [2]float64{size.X, size.Y},
		Outline: outline, Place: m.endPlace(end), Volume: m.endVolume(end)}
	if end == 1 {
		p.Name = rightEnd
	}
	p.Layers = m.layersOf(p.Name, end == m.seat.end)
	p.Nominal = m.nominal(t, p.Layers)
	if m.Wood.Ends == EndsRabbeted {
		in := m.wrap.inside.Bounds()
		p.InnerWidth = in.Max.Y - in.Min.Y
		p.Rabbet = &RabbetStep{Depth: m.step}
		p.Notes = append(p.Notes, fmt.Sprintf("the raised field is drawn exact: give it %s of play per side (common practice)", m.fine(rabbetPlay)))
	}
	if m.Wood.Flush > 0 && m.Wood.Ends != EndsInside {
		p.Flush = m.Wood.Flush
		cut := p.CutOutline().Bounds()
		p.Blank = [2]float64{cut.Width(), cut.Height()}
		p.Notes = append(p.Notes, fmt.Sprintf("cut %s larger all round and trim flush with a router when it is glued; openings are dimensioned from the finished edges and cut after that",
			m.wrap.length(p.Flush)))
	}
	n := len(m.wrap.names)
	for k := range outline {
		wall := k
		if end == 0 { // mirrored: side k runs from corner n-1-k to n-2-k, which is wall n-2-k
			wall = (2*n - 2 - k) % n
		}
		e := Edge{Edge: fmt.Sprintf("e%d", k), Meets: m.wrap.names[wall], Joint: "butt-through", Angle: math.Pi / 2, LongFace: "equal"}
		switch {
		case m.Wood.Ends == EndsInside || wall == m.loose:
			e.Joint = "butt-stop"
		case m.Wood.Ends == EndsRabbeted:
			e.Joint = "rabbet"
			p.Rabbet.Widths = append(p.Rabbet.Widths, m.wrap.t[wall])
		}
		p.Edges = append(p.Edges, e)
	}
	return p
}

// panel finds a wall or an end of the box by its name.
func (b *Box) panel(name string) *Panel {
	for i := range b.Panels {
		if b.Panels[i].Name == name {
			return &b.Panels[i]
		}
	}
	return nil
}

// cutOpenings cuts the holes of drivers, ports, terminal and fixings into the walls and ends.
func (m *maker) cutOpenings() {
	seat := m.box.panel(m.seat.name)
	for _, c := range m.box.DriverSeat.Centres {
		if m.Mounting.Recess > 0 {
			seat.Holes = append(seat.Holes, Hole{Kind: "recess", X: c.X, Y: c.Y, Diameter: m.flange(), Depth: m.Mounting.Recess, From: "outer"})
		}
		if m.box.DriverSeat.Opening > 0 {
			seat.Holes = append(seat.Holes, Hole{Kind: "driver", X: c.X, Y: c.Y, Diameter: m.box.DriverSeat.Opening, From: "outer"})
		}
		seat.Holes = append(seat.Holes, m.bolts(c)...)
	}
	m.noteChamfer()
	m.noteLoose()
	if m.box.Removable != nil {
		seat.Holes = append(seat.Holes, m.faceScrews()...)
	}
	for _, t := range m.ports {
		p := m.box.panel(t.face.name)
		p.Holes = append(p.Holes, Hole{Kind: "port", X: t.seat.Centre.X, Y: t.seat.Centre.Y, Diameter: t.od + holeOver, From: "outer"})
		p.Holes = append(p.Holes, m.flangeHoles(t, p.Thickness)...)
	}
	m.cutMouth()
	m.cutTerminal()
	m.drillFixings()
}

// noteLoose says on the removable face that it is one.
func (m *maker) noteLoose() {
	r := m.box.Removable
	if r == nil {
		return
	}
	p := m.box.panel(r.Panel)
	p.Notes = append(p.Notes, fmt.Sprintf("removable: square edges, screwed on over a gasket, never glued; %d screws %s", r.Screws, r.Thread))
}

// noteChamfer says on the face, or on the innermost layer behind it, that its opening is chamfered.
func (m *maker) noteChamfer() {
	if m.Mounting.Chamfer <= 0 {
		return
	}
	l := m.wrap.length
	m.box.panel(m.seat.name).Notes = append(m.box.panel(m.seat.name).Notes,
		fmt.Sprintf("chamfer the driver's opening from behind, 45 degrees, %s deep, before gluing: inner layers first, then the face", l(m.Mounting.Chamfer)))
}

// mark letters the panels in the order of the printed list: by board, thickness, then width descending, which is the order
// of the fence. Equal keys keep the order in which they were made.
func mark(all []Panel) {
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := &all[i], &all[j]
		return cmp.Or(cmp.Compare(a.Board, b.Board), cmp.Compare(micron(a.Thickness), micron(b.Thickness)), cmp.Compare(micron(b.Width), micron(a.Width)))
	})
	for n, i := range order {
		all[i].Mark = letters(n)
	}
}

// micron rounds to a whole micrometre, so that noise in the last place does not reorder equal panels.
func micron(m float64) int64 { return int64(math.Round(m * 1e6)) }

// letters gives A, B ... Z, AA, AB ...
func letters(n int) string {
	if n < 26 {
		return string(rune('A' + n))
	}
	return letters(n/26-1) + letters(n%26)
}

// weigh adds up the board, openings taken off.
func (m *maker) weigh() {
	rho, source := m.Wood.density(), m.Wood.densitySource()
	wood := 0.0
	for _, p := range m.box.Panels {
		wood += (p.Volume - p.opened()) * float64(p.Count)
	}
	m.box.BoardMass = wood * rho
	m.box.Notes = append(m.box.Notes, fmt.Sprintf("weight of the board: %s", source))
}

// opened is the volume of wood that the panel's holes take out.
func (p *Panel) opened() float64 {
	v := 0.0
	for _, h := range p.Holes {
		depth := p.Thickness
		if h.Depth > 0 {
			depth = math.Min(h.Depth, depth)
		}
		v += depth * h.area()
		if h.Kind == "recess" { // round an opening, which is counted by itself
			for _, o := range p.Holes {
				if o.Kind != "recess" && math.Hypot(o.X-h.X, o.Y-h.Y) < rounding {
					v -= depth * o.area()
				}
			}
		}
	}
	return v
}

func (h Hole) area() float64 {
	if h.Diameter > 0 {
		return math.Pi / 4 * h.Diameter * h.Diameter
	}
	return h.Length*h.Width - (4-math.Pi)*h.Radius*h.Radius
}

// How sizes are printed: lengths to the job's step, tilts to 0.1 degree, so each is off by half of that at most.
const (
	defaultStep = 1e-3
	tiltStep    = 0.05 * degree
)

// worstJoint is the widest gap or overhang that printed figures can leave: half a step at each end of a wall, and what a
// tilt that is off by 0.05 degrees opens.
func (m *maker) worstJoint() {
	step := m.RoundTo
	if step <= 0 {
		step = defaultStep
	}
	open := 0.0
	for i, w := range m.wrap.walls {
		for _, tilt := range []float64{w.tilt0, w.tilt1} {
			if a := math.Abs(tilt); a > rounding {
				open = math.Max(open, m.wrap.t[i]*(math.Tan(a+tiltStep)-math.Tan(a)))
			}
		}
	}
	m.box.WorstJoint = step/2 + open
}
