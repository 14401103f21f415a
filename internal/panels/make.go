package panels

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"cubby/internal/plane"
	"cubby/internal/solid"
	"cubby/internal/word"

	"gonum.org/v1/gonum/spatial/r3"
)

// makePanels turns boards and pieces into panels with edges, holes and marks, and weighs them. The panels of the solid's faces
// come first, in its order.
func (sc *scene) makePanels(b *Box) {
	holes := sc.holes()
	b.Panels = make([]Panel, 0, len(sc.shell.parts)+len(sc.pieces))
	for i := range sc.shell.parts {
		b.Panels = append(b.Panels, sc.facePanel(i, holes[i]))
	}
	for i := range sc.pieces {
		b.Panels = sc.addPiece(b.Panels, &sc.pieces[i], holes)
	}
	names := make([]*string, len(b.Panels))
	for i := range names {
		names[i] = &b.Panels[i].Name
	}
	numberAlike(names)
	b.nameOthers()
	mark(b.Panels)
	b.weigh()
	b.worstJoint(sc.spec.RoundTo)
}

// nominal is the thickness that the board is sold as, for n layers; boards that differ are called by what they measure.
func (w *Wood) nominal(t float64, n int) float64 {
	if w.Nominal > 0 && math.Abs(t-float64(n)*w.Thickness) < rounding {
		return float64(n) * w.Nominal
	}
	return t
}

// facePanel is the panel of face i.
func (sc *scene) facePanel(i int, holes []Hole) Panel {
	sh, w := sc.shell, &sc.spec.Wood
	part, board := &sh.parts[i], &sh.boards[i]
	p := sc.panelOf(board, part.frame, part.name, part.role)
	p.Layers, p.Nominal = part.layers, w.nominal(part.t, part.layers)
	p.Holes = holes
	for k := range p.Edges {
		j := p.Edges[k].Other
		if sh.joints.Deep(i, j) > 0 || sh.joints.Deep(j, i) > 0 {
			p.Edges[k].Joint = RabbetEdge
		}
		for _, s := range board.Steps {
			if s.With == j {
				p.Rabbets = append(p.Rabbets, RabbetStep{Edge: k, Width: s.Width, Depth: s.Depth})
			}
		}
	}
	p.InnerWidth -= sc.stepped(&p)
	if sh.axis == solid.Across && part.role == Wall && sh.fromEndToEnd(&p) {
		p.Section = sc.wallSection(i)
		p.Outline = nil
	}
	if w.Flush > 0 && part.role == End && w.Ends != EndsInside {
		p.Flush = w.Flush
		cut := p.CutOutline().Bounds()
		p.Blank = [2]float64{cut.Width(), cut.Height()}
		p.Notes = append(p.Notes, say("cut %s larger all round and trim flush with a router when it is glued", Length(p.Flush)))
		if len(p.Holes) > 0 {
			p.Notes = append(p.Notes, say("openings are dimensioned from the finished edges and cut after that"))
		}
	}
	if part.role == End && len(p.Rabbets) > 0 {
		p.Notes = append(p.Notes, say("the raised field is drawn exact: give it %s of play per side (common practice)", Fine(rabbetPlay)))
	}
	if face, width, ok := sc.mouthCut(); ok && face == i && len(p.Section) > 0 {
		p.CutWidth = p.Width - width
	}
	if i == sh.driver && sc.spec.Mounting.Chamfer > 0 {
		p.Notes = append(p.Notes, say("chamfer the driver's opening from behind, 45 degrees, %s deep, before gluing: inner layers first, then the face", Length(sc.spec.Mounting.Chamfer)))
	}
	if i == sh.loose {
		r := sc.removable()
		p.Holes = append(p.Holes, sc.faceScrews()...)
		p.Notes = append(p.Notes, say("removable: square edges, screwed on over a gasket, never glued; %d screws %s", r.Screws, r.Thread))
	}
	return p
}

// fromEndToEnd reports whether a wall is a rectangle between square ends, so that its section is the same everywhere.
func (sh *shell) fromEndToEnd(p *Panel) bool {
	if !isRectangle(p.Edges) {
		return false
	}
	for _, e := range p.Edges[2:] {
		if sh.parts[e.Other].role != End || e.Run > 0 {
			return false
		}
	}
	return true
}

// rabbetPlay is what the raised field of a rabbeted end is smaller per side, so that it goes in (common practice).
const rabbetPlay = 0.15e-3

// stepped is by how much rabbets along the edges square to y narrow the inner face.
func (sc *scene) stepped(p *Panel) float64 {
	sum := 0.0
	for _, s := range p.Rabbets {
		a, b := p.side(s.Edge)
		if d := b.Sub(a).Unit(); math.Abs(d.X) > 1-sameSize {
			sum += s.Width
		}
	}
	return sum
}

// side gives the ends of edge k on the outer face, panel frame.
func (p *Panel) side(k int) (a, b plane.Point) {
	at := p.Outer
	k = p.Edges[k].side
	for _, r := range p.Rims {
		if k < len(at) {
			break
		}
		k -= len(at)
		at = r.Outer
	}
	return p.Place.To(at[k]), p.Place.To(at[(k+1)%len(at)])
}

func isRectangle(edges []Edge) bool { return len(edges) > 0 && edges[0].Edge == "y0" }

// panelOf is a board as a panel in a frame: measures, outline and edges.
func (sc *scene) panelOf(b *Board, f solid.Frame, name string, role Role) Panel {
	w := &sc.spec.Wood
	p := Panel{Label: Label{Name: name, Role: role, Count: 1}, Stock: Stock{Board: w.Board, Thickness: b.Thickness, Layers: 1, Nominal: w.nominal(b.Thickness, 1)}, Place: f}
	first := nearestOrigin(f.Flat(b.Outer))
	p.Shape = Shape{Outer: slices.Concat(b.Outer[first:], b.Outer[:first]), Inner: slices.Concat(b.Inner[first:], b.Inner[:first]), Rims: b.Holes, Volume: b.Volume}
	p.Outline = f.Flat(p.Outer)
	n := len(b.Edges)
	for k := range b.Edges {
		p.Edges = append(p.Edges, edgeOf(b.Edges[(first+k)%n], k))
	}
	for _, r := range b.Holes {
		for _, e := range r.Edges {
			p.Edges = append(p.Edges, edgeOf(e, len(p.Edges)))
		}
	}
	for k := range p.Edges {
		if e := &p.Edges[k]; e.Other >= 0 {
			e.Meets = sc.shell.parts[e.Other].name
		}
	}
	out, in := p.Outline.Bounds(), f.Flat(p.Inner).Bounds()
	p.Length = math.Max(out.Max.X, in.Max.X) - math.Min(out.Min.X, in.Min.X)
	p.Width = math.Max(out.Max.Y, in.Max.Y) - math.Min(out.Min.Y, in.Min.Y)
	p.OuterWidth, p.InnerWidth = out.Height(), in.Height()
	p.Blank = [2]float64{p.Length, p.Width}
	if role == Wall || role == Pocket || role >= Strip && role <= Saddle {
		p.asRectangle()
	}
	return p
}

// nearestOrigin is the corner nearest to the origin of the frame.
func nearestOrigin(g plane.Polygon) int {
	best := 0
	for i, q := range g {
		if q.Norm() < g[best].Norm()-rounding {
			best = i
		}
	}
	return best
}

// asRectangle calls the edges of a rectangular panel by where they are: y0 y1 x0 x1.
func (p *Panel) asRectangle() {
	if len(p.Edges) != 4 {
		return
	}
	var order [4]Edge
	for k := range p.Outline {
		a, b := p.Outline.Edge(k)
		d := b.Sub(a).Unit()
		at := slices.IndexFunc([]plane.Point{{X: 1}, {X: -1}, {Y: -1}, {Y: 1}}, func(to plane.Point) bool { return d.Dot(to) > 1-rounding })
		if at < 0 {
			return
		}
		order[at] = p.Edges[k]
		order[at].Edge = [...]string{"y0", "y1", "x0", "x1"}[at]
	}
	p.Edges = order[:]
}

// edgeOf is an edge of a board as a panel has it, side k of its outlines.
func edgeOf(e BoardEdge, k int) Edge {
	joint := [...]EdgeJoint{Through: ButtThrough, Mitred: MitreEdge, Stops: ButtStop}[e.Relation]
	out := Edge{Edge: "e" + strconv.Itoa(k), side: k, Meets: e.Piece, Other: e.With, Joint: joint, Bevel: e.Bevel}
	out.Run = math.Abs(e.Run)
	if out.Run < sameFace {
		out.Tilt, out.Run = 0, 0
	}
	return out
}

// wallSection is the section of a wall of a straight prism: O0 O1 N1 N0, with the steps of rabbets between them.
func (sc *scene) wallSection(i int) plane.Polygon {
	sh := sc.shell
	b := &sh.boards[i]
	at := func(p r3.Vec) plane.Point { return sh.axis.Section(p) }
	low := slices.IndexFunc(b.Edges, func(e BoardEdge) bool { return sh.outside.Faces[e.With].Kind == solid.Low })
	n := len(b.Edges)
	start, end := (low+n-1)%n, (low+1)%n // edges with the walls before and after
	out := plane.Polygon{at(b.Outer[low]), at(b.Outer[end])}
	inner := [2]plane.Point{at(b.Inner[low]), at(b.Inner[end])}
	u := out[1].Sub(out[0]).Unit()
	in := u.Left()
	for _, k := range [...]int{end, start} {
		q, way := inner[1], u.Mul(-1)
		if k == start {
			q, way = inner[0], u
		}
		steps := []plane.Point{q}
		for _, s := range b.Steps {
			if s.With == b.Edges[k].With {
				deep := q.Sub(in.Mul(s.Depth))
				steps = []plane.Point{deep, deep.Add(way.Mul(s.Width)), q.Add(way.Mul(s.Width))}
			}
		}
		if k == start {
			slices.Reverse(steps)
		}
		out = append(out, steps...)
	}
	return out
}

// addPiece adds the panel of a piece inside; cleats and uprights of a slot that are alike are counted as one.
func (sc *scene) addPiece(all []Panel, x *piece, holes [][]Hole) []Panel {
	outer := solid.Through(x.board.Outer[0], x.board.Out)
	frame := barFrame(outer, x.board.Outer)
	if x.role == Window { // its windows lie as the box does
		frame = frameOf(outer, x.board.Outer)
	}
	p := sc.panelOf(&x.board, frame, x.name, x.role)
	p.Holes, p.Notes = x.holes, x.notes
	if x.layers > 1 {
		p.Layers, p.Nominal = x.layers, sc.spec.Wood.nominal(p.Thickness, x.layers)
	}
	if x.role == Doubler {
		p.Holes = append(p.Holes, openedThrough(holes[x.on], sc.shell.parts[x.on].frame, p.Place)...)
	}
	if x.role != Cleat && x.role != Fin && x.role != SlotWall {
		return append(all, p)
	}
	for i := range all {
		q := &all[i]
		if q.Role != p.Role || !alike(q, &p) {
			continue
		}
		if q.Count == 1 {
			q.Places = []Frame{q.Place}
		}
		q.Count++
		q.Places = append(q.Places, p.Place)
		q.Notes = append([]Message{say("%s; one %s", q.Notes[0], p.Notes[0])}, q.Notes[1:]...)
		for k := range q.Edges {
			if q.Edges[k].Meets != p.Edges[k].Meets {
				q.Edges[k].Meets, q.Edges[k].Other = "", -1
			}
		}
		for n := range sc.pieces { // what meets it meets the one that stands in the list
			for k := range sc.pieces[n].board.Edges {
				if e := &sc.pieces[n].board.Edges[k]; e.Piece == x.name {
					e.Piece = q.Name
				}
			}
		}
		return all
	}
	return append(all, p)
}

// openedThrough are the openings of a face, in its frame, that go on through a doubler behind it, in the doubler's.
func openedThrough(face []Hole, from, to solid.Frame) []Hole {
	var holes []Hole
	for _, h := range face {
		if h.Kind == HoleDriver || h.Kind == HoleBolt || h.Kind == HolePort {
			q := to.To(from.At(plane.Point{X: h.X, Y: h.Y}, 0))
			h.X, h.Y = q.X, q.Y
			holes = append(holes, h)
		}
	}
	return holes
}

// alike reports whether two pieces have the same outline and the same holes, to a micrometre.
func alike(a, b *Panel) bool {
	return slices.EqualFunc(a.Outline, b.Outline, func(p, q plane.Point) bool { return p.Sub(q).Norm() <= sameSize }) &&
		slices.EqualFunc(a.Holes, b.Holes, func(h, k Hole) bool { return math.Hypot(h.X-k.X, h.Y-k.Y) <= sameSize })
}

// nameOthers finds the panel that every edge meets.
func (b *Box) nameOthers() {
	called := map[string]int{}
	for i := len(b.Panels) - 1; i >= 0; i-- { // of several with one name it is the first
		called[b.Panels[i].Name] = i
	}
	for i := range b.Panels {
		for k := range b.Panels[i].Edges {
			e := &b.Panels[i].Edges[k]
			e.Other = -1
			if j, ok := called[e.Meets]; ok && e.Meets != "" {
				e.Other = j
			}
		}
	}
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
		all[i].Mark = word.Letters(n)
	}
}

// micron rounds to a whole micrometre, so that noise in the last place does not reorder equal panels.
func micron(m float64) int64 { return int64(math.Round(m * 1e6)) }

// weigh adds up the board, openings taken off.
func (b *Box) weigh() {
	wood := 0.0
	for _, p := range b.Panels {
		wood += (p.Volume - opened(p.Holes, p.Thickness)) * float64(p.Count)
	}
	b.BoardMass = wood * b.Spec.Wood.density()
	b.Notes = append(b.Notes, say("weight of the board: %s", b.Spec.Wood.densitySource()))
}

// How sizes are printed: lengths to the job's step, tilts to 0.1 degree, so each is off by half of that at most.
const (
	defaultStep = 1e-3
	tiltStep    = 0.05 * degree
)

// worstJoint is the widest gap or overhang that printed figures can leave: half a step at each end of a board, and what a
// tilt that is off by 0.05 degrees opens.
func (b *Box) worstJoint(step float64) {
	if step <= 0 {
		step = defaultStep
	}
	open := 0.0
	for i := range b.Panels {
		p := &b.Panels[i]
		for _, e := range p.Edges {
			if a := math.Abs(e.Tilt); p.Role.Shell() && a > rounding {
				open = math.Max(open, p.Thickness*(math.Tan(a+tiltStep)-math.Tan(a)))
			}
		}
	}
	b.WorstJoint = step/2 + open
}
