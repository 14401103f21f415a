package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/word"
	"cubby/internal/work"
)

// assemblyPages draw the pieces pulled apart, in a drawing of a height, with what is needed and the steps: side by side under the
// drawing on one page, or with what is needed beside the drawing and the steps over the whole width.
func (s *shop) assemblyPages(height float64) *flow {
	const narrow, gap, head = 60.0, 5.0, 8.0
	f := s.book.flow(partB, "Assembly", portrait)
	hardware, steps := s.hardwareTable().fitted(narrow), s.stepTable()
	hardware.tight, steps.tight = f.b.tight, f.b.tight
	wide := f.Area.W - narrow - gap
	all := s.apartPieces()
	height = math.Min(height, apartHeight(all, wide))
	if math.Max(hardware.height(narrow), steps.height(wide))+head+height+5 <= f.Left() {
		s.exploded(f, f.Box(height), all)
		y := blockHead(f, f.Area.X, f.Y, narrow, "Hardware")
		low := hardware.draw(f, Pt{f.Area.X, y - 1.5}, narrow)
		x := f.Area.X + narrow + gap
		y = blockHead(f, x, f.Y, wide, "Steps")
		f.Y = math.Max(low, steps.draw(f, Pt{x, y - 1.5}, wide))
		return f
	}
	r := f.Box(math.Max(height, hardware.height(narrow)+head))
	hardware.draw(f, Pt{r.X + wide + gap, blockHead(f, r.X+wide+gap, r.Y, narrow, "Hardware") - 1.5}, narrow)
	s.exploded(f, Rect{r.X, r.Y, wide, r.H}, all)
	f.Y = blockHead(f, f.Area.X, f.Y+1, f.Area.W, "Steps") - 1.5
	if steps.height(f.Area.W) > f.Left() {
		half := (f.Area.W - gap) / 2
		if a, b := steps.halved(half); math.Max(a.height(half), b.height(half)) <= f.Left() {
			f.Y = math.Max(a.draw(f, Pt{f.Area.X, f.Y}, half), b.draw(f, Pt{f.Area.X + half + gap, f.Y}, half))
			return f
		}
	}
	f.Table(steps)
	return f
}

// apart is a piece in the exploded drawing: where it is drawn, and where it belongs.
type apart struct {
	solid
	panel panels.Panel
	frame panels.Frame
	way   vec
}

// exploded draws all pieces pulled apart along the way they go in, with their openings, and chain lines to where they go.
func (s *shop) exploded(c Canvas, r Rect, all []apart) {
	d := onPaper(c, r)
	d.thisWayUp(Pt{r.X + 5, r.Y + 2}, 18)
	fit := fitInto(Rect{r.X + 8, r.Y + 13, r.W - 16, r.H - apartOver}, apartPoints(all))
	for _, a := range all {
		s.traceLines(d, a, fit)
	}
	var ordered []solid
	byPiece := map[int]int{}
	ordered = append(ordered, farFirst(solidsOf(all))...)
	for i, sd := range ordered {
		for k, a := range all {
			if a.Mark == sd.Mark && a.Cap[0] == sd.Cap[0] {
				byPiece[i] = k
			}
		}
	}
	for i, sd := range ordered {
		d.paint(sd, fit)
		s.openingsOn(d, all[byPiece[i]], fit)
	}
	for i := len(ordered) - 1; i >= 0; i-- {
		s.markSolid(d, ordered, i, fit)
	}
	c.Text(Pt{r.X, r.Bottom() - 1.5}, "Front and right end towards you. Chain lines: each panel's way to its place.", TextStyle{Size: sizeSmall})
}

// apartOver is the height of the exploded drawing over its pieces: the words at the arrow, and the line under it, mm.
const apartOver = 23.0

// apartHeight is what the exploded drawing takes at its largest in a width.
func apartHeight(all []apart, width float64) float64 {
	lo, hi := bounds(apartPoints(all))
	return (width-16)*(hi.Y-lo.Y)/(hi.X-lo.X) + apartOver
}

func apartPoints(all []apart) (pts plane.Polygon) {
	for _, a := range all {
		for _, fc := range a.faces() {
			pts = append(pts, fc.Corners...)
		}
	}
	return pts
}

func solidsOf(all []apart) []solid {
	out := make([]solid, len(all))
	for i, a := range all {
		out[i] = a.solid
	}
	return out
}

func (s *shop) apartPieces() []apart {
	var all []apart
	lo, hi := bounds(s.box.Section)
	e := 0.55 * math.Max(hi.X-lo.X, hi.Y-lo.Y)
	for _, p := range s.byMark() {
		far := e
		switch p.Role {
		case panels.End:
			far = 0.25*s.box.Width + 0.6*e
		case panels.Doubler:
			far = e / 2
		case panels.Wall:
		default:
			far = 0
		}
		frames := p.Places
		if len(frames) == 0 {
			frames = []panels.Frame{p.Place}
		}
		for k, sd := range panelSolids(p) {
			way := sd.Out.mul(far)
			all = append(all, apart{sd.moved(way), p, frames[min(k, len(frames)-1)], way})
		}
	}
	return all
}

// traceLines draws a piece's way to its place, from two corners.
func (s *shop) traceLines(d *drawing, a apart, f fit) {
	if a.way.norm() < 1e-9 {
		return
	}
	chain := Stroke{Width: thin, Dash: []float64{4, 0.8, 0.8, 0.8}}
	for _, k := range []int{0, len(a.Cap) / 2} {
		from := a.Cap[k].add(a.Normal.mul(-a.Thick))
		d.Canvas.Path([]Pt{f.at(iso(from)), f.at(iso(from.sub(a.way)))}, false, &chain, nil)
	}
}

// openingsOn draws a panel's openings on whichever of its faces is in view.
func (s *shop) openingsOn(d *drawing, a apart, f fit) {
	n := toVec(a.frame.N)
	back := vec{}
	switch look := n.dot(toViewer); {
	case look < -1e-6:
		back = n.mul(-a.panel.Thickness)
	case look < 1e-6:
		return
	}
	for _, h := range a.panel.Holes {
		if h.Depth > 0 && (h.From == "inner") == (back == vec{}) {
			continue
		}
		var pts []plane.Point
		for _, c := range holeOutline(h, 36) {
			pts = append(pts, iso(onPanel(a.frame, c).add(back).add(a.way)))
		}
		grey := 0.816
		if smallHole(h) {
			grey = 0
		}
		d.shape(f.path(pts), &Stroke{Width: thin}, &Fill{Grey: grey})
	}
}

// markSolid puts a piece's mark on a part of it that nothing nearer covers, else beside it with a leader.
func (s *shop) markSolid(d *drawing, all []solid, i int, f fit) {
	at, seen := visibleSpot(all, i, f)
	if !seen {
		at = f.at(iso(all[i].centre()))
	}
	d.markNear(at, all[i].Mark)
}

// stepTable is the order of assembly: number, what, how.
func (s *shop) stepTable() table {
	t := table{Size: 9, Columns: []column{{Width: 7, Align: AlignRight}, {Width: 20}, {}}}
	for i, st := range s.plan.Steps {
		what, how := s.stepWords(st)
		t.Rows = append(t.Rows, []cell{{Text: fmt.Sprint(i + 1)}, {Text: what, Bold: true}, {Text: how}})
	}
	return t
}

// stepWords words one step.
func (s *shop) stepWords(st work.Step) (what, how string) {
	marks := s.marksAt(st.Panels)
	w, d, h := work.Outside(s.box)
	switch st.Kind {
	case work.Laminate:
		return marks, "boards face to face first, clamped flat; square, bevel and bore them when the glue has set."
	case work.DryFit:
		return "Dry-fit", "all without glue, marks outward. Outside " + s.m.times(w, d, h) + " or less; nothing rocks. Pencil THIS WAY UP, FRONT and LEFT END on the outer faces."
	case work.OpenUp:
		return "Open up", fmt.Sprintf("%s, lying flat (cuts %s).%s", marks, cutRange(st.Cuts), s.openWords())
	case work.LayDown:
		if i := st.Panels[0]; s.box.Panels[i].Role == panels.End {
			return marks, "flat on the bench, outer face down. Draw the lines of its page on it: all that follows is set up on them."
		}
		return marks, "down on the bench, outer face down."
	case work.GlueOn, work.OnBench:
		return marks, s.joinWords(st)
	case work.Fold:
		t := "side by side, outer faces up, edges touching: tape every joint across, turn over, glue in the grooves, fold"
		if len(st.Panels) < len(s.withRole(panels.Wall)) {
			return marks, t + "; an end, held in dry, gives the angles."
		}
		return marks, t + " and tape shut on a flat bench."
	case work.Diagonals:
		return "Measure", "both diagonals at " + s.mouths() + ", outside, from arris to arris: " + s.diagonals() + ". Rack it now; write them on the last page."
	case work.Seal:
		return "Seal", "every inside seam of the walls, one unbroken bead, smoothed into the corner."
	case work.SetOn:
		return marks, "flat on the bench, the wrap set on it and glued. Seal its seam from inside."
	case work.SetIn:
		return "Port", s.tubeWords()
	case work.Wire:
		if slices.ContainsFunc(s.box.Panels[st.Panels[0]].Holes, func(h panels.Hole) bool { return h.Kind == panels.HoleTerminal }) {
			return "Terminal", "plate on its gasket in " + marks + ", its leads fixed inside so that they cannot rattle and long enough to reach the driver's opening."
		}
		return "Cable", fmt.Sprintf("through %s, fixed inside so that it cannot rattle, sealed all round inside and out.", marks)
	case work.DryFill:
		return "Dry fill", s.fillWords()
	case work.Close:
		return marks, "closes the box: flat, clamped all round. Seal its seam through an opening."
	case work.Flush:
		t := fmt.Sprintf("trimmed flush with a router, bearing on the walls: %s all round.", s.m.small(s.box.Panels[st.Panels[0]].Flush))
		if s.box.Slot != nil {
			t += " Bridge the port's mouth with a scrap level with the wall, or the bearing dips into it."
		}
		return marks, t
	case work.OpenLate:
		return "Open up", fmt.Sprintf("%s now, from the finished edges (cuts %s).", marks, cutRange(st.Cuts))
	case work.CleanUp:
		return "Clean up", "after a day. Break outer arrises 1 to 2 mm (1/16 in); not where openings are still to be measured from."
	case work.Frame:
		return "Frame", fmt.Sprintf("under %s: plane edges and cleats level, set the inserts, lay it on dry. Never glue it.", marks)
	case work.ScrewOn:
		return marks, s.faceWords()
	case work.LeakTest:
		return "Leak test", "lamp inside, openings taped, room dark: no light; then soapy water on the seams (common practice)."
	case work.FitDriver:
		return "Driver", "on its gasket, last; screws in turn across, hand tight." + s.coverWords()
	case work.FitRadiator:
		return "Radiator", "as the driver, and with care for its cone. " + s.massWords()
	}
	return "Hand back", "the last page with your measures; marks stay on."
}

func cutRange(nos []int) string {
	if len(nos) == 0 {
		return ""
	}
	if len(nos) > 2 && nos[len(nos)-1]-nos[0] == len(nos)-1 {
		return fmt.Sprintf("%d to %d", nos[0], nos[len(nos)-1])
	}
	var out []string
	for _, n := range nos {
		out = append(out, fmt.Sprint(n))
	}
	return strings.Join(out, ", ")
}

// joinWords says what a panel is glued to.
func (s *shop) joinWords(st work.Step) string {
	by := map[work.Joint][]int{}
	var order []work.Joint
	for _, c := range st.On {
		if by[c.Joint] == nil {
			order = append(order, c.Joint)
		}
		by[c.Joint] = append(by[c.Joint], c.On)
	}
	var out []string
	for _, j := range order {
		on := s.marksAt(by[j])
		switch j {
		case work.StopsOn:
			out = append(out, "stops on "+on)
		case work.RunsPast:
			out = append(out, "runs past "+on)
		case work.MitredWith:
			out = append(out, "mitred with "+on)
		case work.RabbetedTo:
			out = append(out, "into the rabbet with "+on)
		case work.FaceToFace:
			out = append(out, "along "+on)
		case work.OffBy:
			out = append(out, "stands off "+on+" on spacers, for the mouth of the slot")
		}
	}
	t := word.List(out)
	if t == "" {
		t = "set up square"
	}
	if st.Kind == work.OnBench {
		t += ", while that lies on the bench"
	}
	p := s.box.Panels[st.Panels[0]]
	for _, c := range st.On {
		if e := s.box.Panels[c.On]; p.Role.OfPort() && e.Role == panels.End {
			t += ", on its lines on " + e.Mark
		}
	}
	switch p.Role {
	case panels.Pocket:
		if on := s.notchedFor(p); on != "" {
			t += "; its outer face looks out of the box, level with the edge of the notch in " + on
		}
	case panels.SlotWall, panels.SlotRoof, panels.Fin, panels.Window, panels.Strip, panels.Saddle, panels.Doubler, panels.Cleat:
		if all := panels.Texts(p.Notes, s.m.sys); len(all) > 0 { // where it stands; the rest is on its drawing
			t += "; " + all[0]
		}
	}
	return upperFirst(t) + "."
}

// notchedFor lists the walls and ends that have a notch along a board of a pocket.
func (s *shop) notchedFor(p panels.Panel) string {
	var on []int
	for i, q := range s.box.Panels {
		if (q.Role == panels.Wall || q.Role == panels.End) && s.meets(q, p) {
			on = append(on, i)
		}
	}
	return s.marksAt(on)
}

// mouths are those of the wrap at which no pocket takes a corner away.
func (s *shop) mouths() string {
	var whole []string
	ends, pockets := s.withRole(panels.End), s.withRole(panels.Pocket)
	for _, p := range ends {
		if !slices.ContainsFunc(pockets, func(q panels.Panel) bool { return s.meets(p, q) }) {
			whole = append(whole, p.Mark)
		}
	}
	if len(whole) == 0 || len(whole) == len(ends) {
		return "both mouths"
	}
	return "the mouth of " + word.List(whole)
}

func (s *shop) diagonals() string {
	var out []string
	for _, m := range s.plan.Checks {
		if m.Kind == work.DiagonalUp || m.Kind == work.DiagonalDown {
			out = append(out, s.m.bare(m.Value))
		}
	}
	return word.List(out)
}

// fillWords is the measurement of the air: what is taped, what is plugged, and the figure that is read.
func (s *shop) fillWords() string {
	k := s.plan.Fill
	t := "driver out, open end up."
	if s.box.Radiators != nil {
		t = "driver and radiator out, open end up."
	}
	if m := s.marksAt(k.Taped); m != "" {
		t += " Openings of " + m + " taped from outside."
	}
	if k.Plugs > 0 {
		t += fmt.Sprintf(" %s plugged at the inner mouth.", upperFirst(word.Count(k.Plugs, "tube")))
	}
	if s.box.Slot != nil {
		t += " The slot fills too."
	}
	return t + fmt.Sprintf(" Dry rice or beads in a bag, to the rim: %s, ± %.0f %%. Else stop, ask.", s.litres(k.Volume), k.Share*100)
}

func (s *shop) tubeWords() string {
	t := "into its wall from outside, to its full length: glue and a fillet of sealant on both sides of the board."
	for _, p := range s.box.Ports {
		if p.Saddle > 0 {
			return t + " Saddle within " + s.m.bare(p.Saddle) + " of the free end."
		}
	}
	return t
}

func (s *shop) openWords() string {
	t := ""
	if s.box.Spec.Driver.Bolts > 0 && len(s.box.Drivers.Centres) > 0 {
		t = map[panels.Fastening]string{panels.TNut: " Pull the T-nuts in from the inner face, glued.", panels.Insert: " Screw the inserts in.", panels.WoodScrew: ""}[s.box.Drivers.Fixing.Fastening]
	}
	if m := s.box.Spec.Mounting.Recess; m > 0 {
		t += fmt.Sprintf(" Recess for the flange first, %s deep.", s.m.small(m))
	}
	if m := s.box.Spec.Mounting.Chamfer; m > 0 {
		t += fmt.Sprintf(" Chamfer the opening behind, 45°, %s deep.", s.m.small(m))
	}
	for _, p := range s.box.Panels {
		for _, h := range p.Holes {
			if h.ToVehicle() {
				return t + " Fixings to the vehicle: bored, and their inserts or plates set, now."
			}
		}
	}
	return t
}

// massWords say what is added to the radiators.
func (s *shop) massWords() string {
	r := s.d.Radiator
	if r == nil || r.Added == 0 {
		return "Nothing is added to it."
	}
	each := "it"
	if r.Count > 1 {
		each = "each"
	}
	return fmt.Sprintf("%.0f g more on %s, screwed to its middle: weigh them.", r.Added*1000, each)
}

func (s *shop) faceWords() string {
	r := s.box.Removable
	return fmt.Sprintf("on its gasket, never glued: %d screws %s, in turn, until the foam is %s thick all round.", r.Screws, r.Thread, s.m.small(r.Gasket))
}

func (s *shop) coverWords() string {
	c := s.box.Spec.Wood.Covering
	if c == nil {
		return ""
	}
	kind := c.Kind
	if kind == "" {
		kind = "covering"
	}
	return fmt.Sprintf(" Before it the %s, %s thick; cut back from under flange and gaskets.", kind, s.m.small(c.Thickness))
}
