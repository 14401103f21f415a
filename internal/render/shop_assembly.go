package render

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/unit"
)

// assemblyPages draw the pieces pulled apart, in a drawing of a height, over the order in which they are joined.
func (s *shop) assemblyPages(height float64) {
	f := s.book.flow(partB, "Assembly", portrait)
	f.Heading("Exploded drawing")
	s.exploded(f, height)
	f.Heading("Order of assembly")
	f.Steps(s.assemblySteps())
}

// exploded draws all pieces pulled apart along the way they go in.
func (s *shop) exploded(f *flow, height float64) {
	r := f.Box(height)
	d := onPaper(f, r)
	d.thisWayUp(Pt{r.X + 8, r.Y + 4}, 26)
	var all []solid
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
		for _, sd := range panelSolids(p) {
			all = append(all, sd.moved(sd.Out.mul(far)))
		}
	}
	var pts []plane.Point
	for _, sd := range all {
		for _, fc := range sd.faces() {
			pts = append(pts, fc.Corners...)
		}
	}
	fit := fitInto(r.Shrink(9), pts)
	ordered := farFirst(all)
	for _, sd := range ordered {
		d.paint(sd, fit)
	}
	var crowded []string
	for i := len(ordered) - 1; i >= 0; i-- {
		if !s.labelSolid(d, ordered, i, fit) {
			crowded = append(crowded, ordered[i].Mark)
		}
	}
	if len(crowded) > 0 {
		f.Styled("Too crowded to be named in the drawing: "+listed(crowded)+".", TextStyle{Size: sizeSmall})
	}
}

// labelSolid writes a piece's mark and name on a part of it that nothing nearer covers, else beside it. It reports false where there is
// no room.
func (s *shop) labelSolid(d *drawing, all []solid, i int, f fit) bool {
	sd := all[i]
	name := sd.Mark
	for _, p := range s.box.Panels {
		if p.Mark == sd.Mark {
			name = p.Mark + "  " + p.Name
			if p.Role == panels.Wall || p.Role == panels.End {
				name = p.Mark + "  " + place(p.Name) // as it is pencilled on the outer face
			}
		}
	}
	at := f.at(iso(sd.centre()))
	if q, ok := visibleSpot(all, i, f); ok {
		at = q
	}
	st := TextStyle{Size: sizeLabel, Bold: true}
	bare := func(p Pt) bool { return !coveredBy(all, f.back(p)) }
	return d.writeClear(name, st, centredOn(at, 0, sizeLabel)) || d.noteWhere(at, name, st, 6, bare) || d.noteWhere(at, name, st, 6, anywhere) ||
		d.noteWhere(at, sd.Mark, TextStyle{Size: sizeLeast, Bold: true}, 1, anywhere)
}

// visibleSpot looks for a point of a piece that no nearer piece covers, starting at the middles of its faces.
func visibleSpot(all []solid, i int, f fit) (Pt, bool) {
	for _, k := range []float64{0, 0.3, 0.6, 0.85} {
		for _, fc := range all[i].faces() {
			var c plane.Point
			for _, p := range fc.Corners {
				c = c.Add(p.Mul(1 / float64(len(fc.Corners))))
			}
			for _, p := range fc.Corners {
				q := c.Add(p.Sub(c).Mul(k))
				if plane.Polygon(fc.Corners).CCW().Contains(q) && !coveredBy(all[i+1:], q) {
					return f.at(q), true
				}
			}
		}
	}
	return Pt{}, false
}

func coveredBy(nearer []solid, q plane.Point) bool {
	for _, sd := range nearer {
		for _, fc := range sd.faces() {
			if plane.Polygon(fc.Corners).CCW().Contains(q) {
				return true
			}
		}
	}
	return false
}

// byMark is the order of the printed list: A, B ... Z, AA.
func (s *shop) byMark() []panels.Panel {
	out := append([]panels.Panel(nil), s.box.Panels...)
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i].Mark, out[j].Mark
		if len(a) != len(b) {
			return len(a) < len(b)
		}
		return a < b
	})
	return out
}

func marked(p panels.Panel) string { return p.Mark + " (" + p.Name + ")" }

func markedAll(ps []panels.Panel) string {
	names := make([]string, len(ps))
	for i, p := range ps {
		names[i] = marked(p)
	}
	return listed(names)
}

// wrapOrder puts the walls in the order in which they are set up: the bottom first, then from low to high.
func (s *shop) wrapOrder() []panels.Panel {
	walls := s.withRole(panels.Wall)
	if r := s.box.Removable; r != nil {
		walls = slices.DeleteFunc(walls, func(p panels.Panel) bool { return p.Name == r.Panel })
	}
	height := func(p panels.Panel) float64 { return p.Section.Centroid().Y }
	sort.SliceStable(walls, func(i, j int) bool {
		a, b := walls[i].Name == "bottom", walls[j].Name == "bottom"
		if a != b {
			return a
		}
		return height(walls[i]) < height(walls[j])-1e-6
	})
	return walls
}

// endsInOrder gives the end that is glued first and the one that closes the box: the closing one has no openings if one of them
// has none, so that it can be clamped flat.
func (s *shop) endsInOrder() []panels.Panel {
	ends := s.withRole(panels.End)
	if r := s.box.Removable; r != nil {
		ends = slices.DeleteFunc(ends, func(p panels.Panel) bool { return p.Name == r.Panel })
	}
	sort.SliceStable(ends, func(i, j int) bool { return len(ends[i].Holes) > len(ends[j].Holes) })
	return ends
}

// assemblySteps derives the order of assembly from the joints.
func (s *shop) assemblySteps() []string {
	walls, ends := s.wrapOrder(), s.endsInOrder()
	steps := []string{s.layerStep(), s.dryStep(), s.openingStep()}
	wrap := s.wrapSteps(walls)
	last := max(len(wrap)-1, 0)
	steps = append(steps, wrap[:last]...)
	steps = append(steps, s.innerSteps(s.portParts())...)
	steps = append(steps, s.innerSteps(s.withRole(panels.Divider, panels.Window, panels.Strip))...)
	steps = append(steps, wrap[last:]...)
	steps = append(steps, s.innerSteps(s.withRole(panels.Doubler, panels.Ring, panels.Cleat))...)
	steps = append(steps, s.tubeStep())
	steps = append(steps, "Seal every inside seam of the wrap with an unbroken bead and smooth it into the corner. Check both mouths: "+lowerFirst(s.diagonals()))
	if len(ends) > 0 {
		steps = append(steps, fmt.Sprintf("Glue on the first end: %s. Lay the wrap on it, the end flat on the bench. Seal its seams from inside.", marked(ends[0])))
	}
	steps = append(steps, s.wiringStep(), s.fillStep())
	if len(ends) > 1 {
		t := fmt.Sprintf("Glue on the end that closes the box: %s, flat and clamped all round.", marked(ends[len(ends)-1]))
		if s.box.Removable == nil {
			t += " Nothing can be reached inside afterwards except through the openings: seal the last seams through the driver opening."
		} else {
			t += " Seal its seams through the open face."
		}
		steps = append(steps, t)
	}
	steps = append(steps, s.trimStep(), s.frameStep())
	steps = append(steps, "Let the glue set for a day. Clean up the joints; break outer arrises by 1 to 2 mm (1/16 in), but not those that openings were measured from until all of them are cut.")
	steps = append(steps, s.looseStep(), s.leakStep(), s.fitStep())
	return slices.DeleteFunc(steps, func(t string) bool { return t == "" })
}

func lowerFirst(t string) string {
	if t == "" {
		return t
	}
	return strings.ToLower(t[:1]) + t[1:]
}

func (s *shop) dryStep() string {
	return "Dry-fit everything without glue, with clamps or two screws a joint. Marks and reference corners face out; the box stands as in the sketch. Look for gaps, rocking and size: outside " +
		s.outsideText() + ", not more."
}

func (s *shop) outsideText() string {
	lo, hi := bounds(s.box.Section)
	return s.m.times(s.box.Width, hi.X-lo.X, hi.Y-lo.Y) + " " + s.m.mark()
}

// openingStep says which openings are cut before glue-up: all, while the panels lie flat and the router has support.
func (s *shop) openingStep() string {
	var with []panels.Panel
	for _, p := range s.box.Panels {
		if len(p.Holes) > 0 && p.Flush == 0 {
			with = append(with, p)
		}
	}
	if len(with) == 0 {
		return "No openings are cut."
	}
	t := "Cut all openings now, before glue-up, while the panels lie flat and the router has support on both sides: " + markedAll(with) + "."
	if s.box.Spec.Driver.Bolts > 0 {
		t += " " + map[panels.Fastening]string{panels.TNut: "Drill the driver's bolt holes and pull in the T-nuts from behind, glued.", panels.Insert: "Drill the driver's bolt holes and screw in the inserts.",
			panels.WoodScrew: "Drill the pilot holes for the driver's screws."}[s.box.Drivers.Fixing.Fastening]
	}
	if r := s.recessText(); r != "" {
		t += " " + r
	}
	if _, _, where := s.vehicleFixings(); len(where) > 0 {
		t += " Drill the fixing points to the vehicle in " + markedAll(where) + " and set their inserts or plates now."
	}
	for _, p := range with {
		for _, e := range p.Edges {
			if bevelled(e) {
				return t + " On a bevelled panel measure on the outer face."
			}
		}
	}
	return t
}

// wrapSteps sets up the walls one after the other and says at each joint what runs through, what stops, and what is mitred.
func (s *shop) wrapSteps(walls []panels.Panel) []string {
	placed := map[string]panels.Panel{}
	var out []string
	for i, w := range walls {
		var how []string
		for _, e := range w.Edges {
			o, ok := placed[e.Meets]
			if !ok || strings.HasPrefix(e.Edge, "x") {
				continue
			}
			if gap := mouthAt(w, e); gap > 0 {
				how = append(how, fmt.Sprintf("stands %s off %s, on spacers, for the slot's mouth is between them", s.m.full(gap), marked(o)))
				continue
			}
			how = append(how, jointText(e, o))
		}
		switch {
		case i == 0:
			out = append(out, fmt.Sprintf("Lay %s down first, outer face on the bench.", marked(w)))
		case len(how) == 0:
			out = append(out, fmt.Sprintf("Set up %s against a square block: it joins the walls that follow.", marked(w)))
		default:
			t := fmt.Sprintf("Glue on %s: it %s.", marked(w), listed(how))
			if i == len(walls)-1 {
				t += " It closes the wrap."
			}
			out = append(out, t)
		}
		placed[w.Name] = w
	}
	return out
}

// mouthAt is the height of the slot's mouth that takes an edge of a wall, 0 where none does.
func mouthAt(w panels.Panel, e panels.Edge) float64 {
	if w.CutWidth <= 0 {
		return 0
	}
	for _, h := range w.Holes {
		if h.Kind == "slot" && (e.Edge == "y0") == (h.Y < w.Width/2) && strings.HasPrefix(e.Edge, "y") {
			return w.Width - w.CutWidth
		}
	}
	return 0
}

func jointText(e panels.Edge, o panels.Panel) string {
	tilt := ""
	if bevelled(e) {
		tilt = fmt.Sprintf(" (edge at %s)", degrees(e.Tilt))
	}
	switch e.Joint {
	case "butt-through":
		return "runs past " + marked(o) + tilt
	case "mitre":
		return "is mitred with " + marked(o) + tilt
	case "rabbet":
		return "goes into the rabbet with " + marked(o)
	}
	return "stops on " + marked(o) + tilt
}

// layerStep says which pieces are made of several boards.
func (s *shop) layerStep() string {
	var thick []panels.Panel
	for _, p := range s.byMark() {
		if p.Layers > 1 {
			thick = append(thick, p)
		}
	}
	if len(thick) == 0 {
		return ""
	}
	return "Glue the boards of " + markedAll(thick) + " face to face first, as many as the drawing's heading says, clamped flat; square and bevel them, and drill them, when the glue has set."
}

// portParts are the boards of a slot in the order in which they go in: what stands under a roof first.
func (s *shop) portParts() []panels.Panel {
	parts := slices.Clone(s.withRole(panels.SlotRoof, panels.SlotWall, panels.Fin, panels.Saddle))
	roof := func(p panels.Panel) bool { return p.Role == panels.SlotRoof }
	sort.SliceStable(parts, func(i, j int) bool { return !roof(parts[i]) && roof(parts[j]) })
	return parts
}

// innerSteps puts in pieces that must be inside before the box is closed. What holds for several of them is said once.
func (s *shop) innerSteps(ps []panels.Panel) []string {
	var out []string
	said := map[string]bool{}
	for _, p := range ps {
		t := "Put in " + marked(p) + ": "
		switch {
		case p.Role == panels.Doubler:
			t += "glue it face to face behind the wall it doubles, openings in line, screws from inside"
		case p.Role.Stands():
			t += "glue it in"
		case p.Role == panels.Divider:
			t += "glue it in square"
		case p.Role == panels.Ring:
			t += "glue it in with its bead of sealant"
		case p.Role == panels.Cleat:
			t += "glue and screw it, sealed along its whole length"
		case p.Role.OfPort():
			t += "glue it where it meets the walls and seal it, the last wall and the ends as they go on"
		}
		for _, n := range panels.Texts(p.Notes, s.m.sys) {
			if !said[n] {
				t += "; " + n
			}
			said[n] = true
		}
		out = append(out, t+".")
	}
	return out
}

// tubeStep sets the port's tubes into their panel.
func (s *shop) tubeStep() string {
	port := s.d.Port
	if port == nil || port.Bore <= 0 {
		return ""
	}
	saddle := ""
	if s.saddles() > 0 {
		saddle = fmt.Sprintf("; a saddle within %s of the free end", s.m.full(s.box.Ports[0].Saddle))
	}
	return fmt.Sprintf("Set %s into the %s from outside now, while the inner end can be held: glue and a fillet of sealant on both sides of the board%s. Leave the length over until the box has been tuned.",
		map[bool]string{true: "the port tubes", false: "the port tube"}[len(s.box.Ports) > 1], place(s.portPanel()), saddle)
}

func (s *shop) portPanel() string {
	for _, p := range s.box.Ports {
		return p.Panel
	}
	return "wall"
}

func (s *shop) wiringStep() string {
	for _, p := range s.box.Panels {
		for _, h := range p.Holes {
			if h.Kind == "terminal" {
				return fmt.Sprintf("Run the cable to the terminal plate in the %s and fix it inside so that it cannot rattle; set the plate on its gasket when its opening is cut.", place(p.Name))
			}
			if h.Kind == "cable" {
				return fmt.Sprintf("Bring the cable through the %s, fix it inside so that it cannot rattle, and seal it airtight.", place(p.Name))
			}
		}
	}
	return "Wiring: no cable hole is drawn. Ask the fitter where the cable leaves before the box is closed."
}

// fillTolerance is how far the bench measurement of the air may lie from the figure before somebody asks, common practice.
const fillTolerance = "2 %"

// fillStep is the check of the air volume before the last end goes on.
func (s *shop) fillStep() string {
	net := s.box.NetVolume
	for _, d := range s.box.Deductions {
		if strings.Contains(d.Name, "driver") {
			net += d.Volume
		}
	}
	return fmt.Sprintf("Last chance to check the air. With all inner parts in and the open end up, line the box with a bag, tape the openings shut from outside and fill it with dry rice or packing beads to the inner face of the last end: %s ± %s without the driver (its air, %s net, is taken off later). If it differs by more, stop and ask.",
		s.litres(net), fillTolerance, s.litres(s.box.NetVolume))
}

// litres is a volume for the bench: litres to a tenth, with cubic feet for an inch shop.
func (s *shop) litres(v float64) string {
	if s.m.sys == unit.Inch {
		return fmt.Sprintf("%.1f l (%s)", v*1000, unit.FormatVolume(v, unit.Inch))
	}
	return fmt.Sprintf("%.1f l", v*1000)
}

func (s *shop) leakStep() string {
	closed := ""
	if s.d.Port != nil {
		closed = " and the port closed"
	}
	t := "Leak test before covering. A lamp inside, the openings taped, the room dark: no light at any seam. Then with the driver or a plate on its gasket" + closed + ", press the cone or blow in gently: it must return slowly; soapy water on the seams shows where it does not. Seal again from inside where needed."
	return t + " (common practice)"
}

func (s *shop) fitStep() string {
	t := "Fit gasket and driver last, screws in turn across the circle, hand tight."
	if s.d.Port != nil {
		t += " The port is trimmed by the fitter after measuring."
	}
	return t + fmt.Sprintf(" Write the marks THIS WAY UP, FRONT and LEFT END on the box and send it back with this sheet. Outside, bare: %s at most.", s.outsideText()) + s.coverStep()
}

func (s *shop) glueNotes() []string {
	ring, clamps := 0.0, 0
	for i := range s.box.Section {
		a, b := s.box.Section.Edge(i)
		ring += b.Sub(a).Norm()
	}
	clamps = int(math.Max(4, math.Ceil(ring/0.3)))
	open := "250 mm"
	if s.m.sys == unit.Inch {
		open = "10 in"
	}
	instead := ""
	if s.screws() > 0 {
		instead = "Screws may stand in for clamps. "
	}
	notes := []string{
		fmt.Sprintf("A clamp every %s or so round an end: about %d of them, each longer than %s. %sModerate pressure: a thin even squeeze-out, no more; wipe it from outer faces, inside it may stay.", open, clamps, s.m.full(s.box.Width), instead),
		"PVA glue stays open for 5 to 10 minutes: glue one joint at a time, or two when helped (common practice; the label comes first).",
	}
	if len(s.bevelGroups()) > 0 {
		notes = append(notes, "Bevelled joints slide under pressure: hold them with two screws or a stop block before clamping.")
	}
	return notes
}
