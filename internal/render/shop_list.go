package render

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/unit"
)

func (s *shop) listPages() {
	f := s.book.flow(partB, "Panel list and materials", landscape)
	f.Heading("Panel list")
	f.Styled("All sizes in "+s.unitsText()+"; L × W × T always in that order. L runs along the width of the box, left end to right end; for the ends L is the depth and W the height of the "+
		"rectangle round them. W is the long face: hook the tape there. “sq” is a square edge; “run” is how far a bevel goes in over the thickness: check it with a rule. Cut sizes are finished sizes.",
		TextStyle{Size: sizeSmall})
	f.Gap(1.5)
	f.Table(s.panelList())
	s.materials(f)
}

func (s *shop) unitsText() string {
	if s.m.sys == unit.Inch {
		return fmt.Sprintf("inches, to 1/%d; where a size does not fall on that step the exact inches follow in brackets", s.m.den)
	}
	return "millimetres"
}

// panelList is the list with the columns that a shop cuts from, in this order.
func (s *shop) panelList() table {
	t := table{Columns: []column{
		{Head: "Mark", Width: 11, Align: AlignCentre}, {Head: "Panel\n(place)", Width: 19}, {Head: "Qty", Width: 8.5, Align: AlignCentre},
		{Head: "Board", Width: 17}, {Head: "T mea-\nsured", Width: 14, Align: AlignRight}, {Head: "L", Width: 16, Align: AlignRight},
		{Head: "W long\nface", Width: 19, Align: AlignRight}, {Head: "Long face is", Width: 11, Align: AlignCentre},
		{Head: "Edge 1: joins, tilt, run", Width: 31}, {Head: "Edge 2: joins, tilt, run", Width: 31}, {Head: "Blank\nL × W", Width: 19, Align: AlignRight},
		{Head: "Grain", Width: 12}, {Head: "Open-\nings", Width: 12, Align: AlignCentre}, {Head: "Sheet / cut", Width: 13, Align: AlignCentre},
		{Head: "cut   fit", Width: 15.5, Align: AlignCentre}}}
	for _, p := range s.byMark() {
		e1, e2 := s.edgeTexts(p)
		grain := p.Grain
		if grain == "" {
			grain = "any"
		} else {
			grain = "along " + map[string]string{"length": "L", "width": "W"}[grain]
		}
		open := "–"
		if n := len(p.Holes); n > 0 {
			open = fmt.Sprint(n)
		}
		mark := cell{Text: p.Mark, Bold: true}
		t.Rows = append(t.Rows, []cell{mark, {Text: p.Name, Bold: true}, {Text: fmt.Sprint(max(p.Count, 1))}, {Text: p.Board},
			{Text: s.m.sloped(p.Thickness)}, {Text: s.m.sloped(p.Length)}, {Text: s.longWidth(p), Bold: true}, {Text: longFace(p)},
			{Text: e1}, {Text: e2}, {Text: s.m.sloped(p.Blank[0]) + " × " + s.m.sloped(p.Blank[1])}, {Text: grain}, {Text: open},
			{Text: s.whereCut(p.Name)}, {Draw: tickBoxes, Height: 4.4}})
	}
	return t
}

// tickBoxes draws the two boxes to tick when a panel is cut and when it fits.
func tickBoxes(c Canvas, r Rect) {
	for _, x := range []float64{r.X + r.W*0.25, r.X + r.W*0.75} {
		box(c, Rect{x - 2, r.Centre().Y - 2, 4, 4}, Stroke{Width: 0.3})
	}
}

// longWidth is the width to hook the tape on, or both faces of a panel that is bevelled the same way at both edges.
func (s *shop) longWidth(p panels.Panel) string {
	if p.Role != panels.Wall {
		return s.m.sloped(p.Width)
	}
	if p.CutWidth > 0 {
		return s.m.sloped(p.Width) + ", then " + s.m.sloped(p.CutWidth)
	}
	skew := p.Width - math.Max(p.OuterWidth, p.InnerWidth)
	if math.Abs(p.OuterWidth-p.InnerWidth) < sameFace && skew > sameFace {
		return "both " + s.m.sloped(p.OuterWidth) + ", skewed " + s.m.sloped(skew)
	}
	return s.m.sloped(math.Max(p.OuterWidth, p.InnerWidth))
}

// sameFace is the difference of two faces that no rule shows, m.
const sameFace = 5e-5

func longFace(p panels.Panel) string {
	switch d := p.OuterWidth - p.InnerWidth; {
	case p.Role != panels.Wall && !p.Role.OfPort() || math.Abs(d) < sameFace:
		return "–"
	case d > 0:
		return "OUT"
	}
	return "IN"
}

// edgeTexts describes the two long edges of a wall; other panels have square edges all round.
func (s *shop) edgeTexts(p panels.Panel) (first, second string) {
	if p.Role == panels.Wall {
		a, _ := edgeNamed(p, "y0")
		b, _ := edgeNamed(p, "y1")
		return s.edgeText(a), s.edgeText(b)
	}
	if r := allRound(p); r != nil {
		return "sq all round, see drawing", fmt.Sprintf("rabbet inside %s deep", s.m.sloped(r[0].Depth))
	}
	for _, e := range p.Edges {
		if bevelled(e) {
			a, _ := edgeNamed(p, "y0")
			b, _ := edgeNamed(p, "y1")
			return s.edgeText(a), s.edgeText(b)
		}
	}
	if p.Role == panels.End || len(p.Outline) > 4 {
		return "sq, outline as drawn", "sq, outline as drawn"
	}
	return "sq", "sq"
}

func (s *shop) edgeText(e panels.Edge) string {
	to := "to " + place(e.Meets) + " "
	if e.Meets == "" {
		to = "free edge "
	}
	switch {
	case e.Joint == "rabbet":
		to += "rabbet, "
	case e.Joint == "mitre":
		to += "mitre, "
	}
	if !bevelled(e) {
		return to + "sq"
	}
	return to + s.tiltText(e)
}

// tiltText is a bevel in words: 16.3° OUT, run 4.4.
func (s *shop) tiltText(e panels.Edge) string {
	return fmt.Sprintf("%s %s, run %s", degrees(e.Tilt), faceWord(e), s.m.sloped(e.Run))
}

// faceWord says which face is the long one at an edge.
func faceWord(e panels.Edge) string {
	if e.Tilt > 0 {
		return "OUT"
	}
	return "IN"
}

// baseName is the panel's name in a placement or a cut: several equal pieces are numbered name#k.
func baseName(s string) string {
	if i := strings.LastIndexByte(s, '#'); i > 0 {
		return s[:i]
	}
	return s
}

// whereCut gives the sheet and the last cut that frees a panel: "1 / 7".
func (s *shop) whereCut(name string) string {
	if s.d.Sheets == nil {
		return "–"
	}
	var out []string
	for i, sh := range s.d.Sheets.Sheets {
		if !onSheet(sh, name) {
			continue
		}
		t := fmt.Sprint(i + 1)
		for k := len(sh.Cuts) - 1; k >= 0; k-- {
			c := sh.Cuts[k]
			if baseName(c.Makes[0]) == name || baseName(c.Makes[1]) == name {
				t += fmt.Sprintf(" / %d", c.No)
				break
			}
		}
		out = append(out, t)
	}
	if len(out) == 0 {
		return "not placed"
	}
	return strings.Join(out, "; ")
}

func onSheet(sh nest.Sheet, name string) bool {
	for _, p := range sh.Placements {
		if baseName(p.Panel) == name {
			return true
		}
		for _, q := range p.Parts {
			if baseName(q.Panel) == name {
				return true
			}
		}
	}
	return false
}

// setups lists every distinct setting of a saw over all sheets, square ones first, in order of work, with the cuts made at it.
func (s *shop) setups() table {
	t := table{Columns: []column{{Head: "No.", Width: 9, Align: AlignCentre}, {Head: "Tool", Width: 16}, {Head: "Tilt", Width: 12, Align: AlignRight},
		{Head: "Fence, stop or rail at", Width: 33}, {Head: "Cuts", Width: 10, Align: AlignCentre}, {Head: "Sheet / cut", Width: 24}, {Head: "For"}, {Head: "Check", Width: 27}}}
	add := func(tool, tilt, setting string, n int, refs, which, check string) {
		t.Rows = append(t.Rows, []cell{{Text: fmt.Sprint(len(t.Rows) + 1)}, {Text: tool}, {Text: tilt}, {Text: setting, Bold: true}, {Text: fmt.Sprint(n)}, {Text: refs}, {Text: which}, {Text: check}})
	}
	if s.d.Sheets != nil {
		for _, b := range s.d.Sheets.Batches {
			var refs []string
			for _, r := range b.Cuts {
				refs = append(refs, fmt.Sprintf("%d/%d", r.Sheet+1, r.No))
			}
			setting := s.m.sloped(um(b.Setting))
			if c, ok := s.cut(b.Cuts[0]); ok && b.Tool == nest.Taper {
				setting = s.settingText(c) + "\nfrom the " + c.Reference
			}
			add(b.Tool, "0°", setting, len(b.Cuts), strings.Join(refs, ", "), s.batchMakes(b), "")
		}
	}
	for _, g := range s.bevelGroups() {
		add("BEVEL", degrees(g.tilt), "arris at "+s.m.sloped(g.width)+" from the far edge", g.count, "–", strings.Join(g.which, "; "), "run "+s.m.sloped(g.run))
	}
	for _, p := range s.withRole(panels.Wall) {
		if p.CutWidth > 0 {
			add("RIP", "0°", s.m.sloped(p.CutWidth), max(p.Count, 1), "–", p.Mark+" "+place(p.Name)+", the slot's mouth off its edge", "after its openings are laid out")
		}
	}
	for _, o := range s.outlineCuts() {
		add(o.tool, "0°", "line from corner to corner", o.count, "–", o.which, "corners as in the end's drawing")
	}
	for _, p := range s.box.Panels {
		if r := allRound(p); r != nil {
			add("RABBET", "0°", "depth "+s.m.sloped(r[0].Depth)+", width "+s.rabbetWidths(p), max(p.Count, 1), "–", place(p.Name)+", inner face, all round", "try it on an offcut of the same board")
		}
	}
	return t
}

// allRound are the steps of an end's rabbet, one for each side of its outline; nil where it has none.
func allRound(p panels.Panel) []panels.RabbetStep {
	if p.Role != panels.End || len(p.Rabbets) == 0 || len(p.Rabbets) != len(p.Outline) {
		return nil
	}
	return p.Rabbets
}

func (s *shop) rabbetWidths(p panels.Panel) string {
	var out []string
	for _, r := range allRound(p) {
		t := s.m.sloped(r.Width)
		if len(out) == 0 || out[len(out)-1] != t {
			out = append(out, t)
		}
	}
	return strings.Join(out, ", ")
}

// batchMakes names what the cuts of a batch free, pieces of the box first.
func (s *shop) batchMakes(b nest.Batch) string {
	var parts, rest []string
	seen := map[string]bool{}
	for _, ref := range b.Cuts {
		c, ok := s.cut(ref)
		if !ok {
			continue
		}
		for _, n := range c.Makes {
			if n == "" || seen[n] {
				continue
			}
			seen[n] = true
			if p, ok := s.named(baseName(n)); ok {
				parts = append(parts, p.Mark+" "+n)
			} else {
				rest = append(rest, n)
			}
		}
	}
	if len(parts) == 0 {
		parts = rest
	}
	return strings.Join(parts, ", ")
}

// cut finds a cut by sheet and number.
func (s *shop) cut(ref nest.CutRef) (nest.Cut, bool) {
	i := ref.Sheet
	if s.d.Sheets == nil || i < 0 || i >= len(s.d.Sheets.Sheets) {
		return nest.Cut{}, false
	}
	for _, c := range s.d.Sheets.Sheets[i].Cuts {
		if c.No == ref.No {
			return c, true
		}
	}
	return nest.Cut{}, false
}

// outlineCut is the sides of an end's outline that no straight cut of the layout makes.
type outlineCut struct {
	tool  string
	count int
	which string
}

// outlineCuts lists the slanted sides and notches of the ends that are sawn after the rectangles: those of head-to-tail pairs are in
// the layout's own sequence.
func (s *shop) outlineCuts() []outlineCut {
	var out []outlineCut
	for _, p := range s.withRole(panels.End) {
		if s.inPair(p.Name) {
			continue
		}
		lo, hi := bounds(p.Outline)
		var sides []string
		for i := range p.Outline {
			a, b := p.Outline.Edge(i)
			onRim := math.Abs(a.X-b.X) < sameFace && (math.Abs(a.X-lo.X) < sameFace || math.Abs(a.X-hi.X) < sameFace) ||
				math.Abs(a.Y-b.Y) < sameFace && (math.Abs(a.Y-lo.Y) < sameFace || math.Abs(a.Y-hi.Y) < sameFace)
			if !onRim {
				sides = append(sides, s.sideText(p, i))
			}
		}
		if len(sides) == 0 {
			continue
		}
		tool := nest.Track
		if s.slanted(p) {
			tool = nest.Taper
		}
		which := fmt.Sprintf("%s %s, corners %s", p.Mark, place(p.Name), strings.Join(sides, ", "))
		if !p.Outline.IsConvex() {
			which += "; stop short of the inner corner and finish it by hand"
		}
		out = append(out, outlineCut{tool, len(sides), which})
	}
	return out
}

// sideText names a side of an end by its corners, and a slanted one by where they are.
func (s *shop) sideText(p panels.Panel, i int) string {
	a, b := p.Outline.Edge(i)
	n, m := s.cornerNo(p, i), s.cornerNo(p, (i+1)%len(p.Outline))
	if math.Abs(a.X-b.X) < sameFace || math.Abs(a.Y-b.Y) < sameFace {
		return fmt.Sprintf("%d–%d", n, m)
	}
	at := func(q plane.Point) string {
		x, y := datumOf(p).place(q)
		return "X " + s.m.sloped(x) + " Y " + s.m.sloped(y)
	}
	return fmt.Sprintf("%d (%s) – %d (%s)", n, at(a), m, at(b))
}

// slanted reports whether an outline has a side that is neither level nor upright.
func (s *shop) slanted(p panels.Panel) bool {
	for i := range p.Outline {
		a, b := p.Outline.Edge(i)
		if math.Abs(a.X-b.X) > sameFace && math.Abs(a.Y-b.Y) > sameFace {
			return true
		}
	}
	return false
}

// inPair reports whether a panel is cut out of a rectangle that it shares head to tail.
func (s *shop) inPair(name string) bool {
	if s.d == nil || s.d.Sheets == nil {
		return false
	}
	for _, sh := range s.d.Sheets.Sheets {
		for _, p := range sh.Placements {
			for _, q := range p.Parts {
				if baseName(q.Panel) == name {
					return true
				}
			}
		}
	}
	return false
}

// bevelGroup is all edges sawn at one tilt and one width.
type bevelGroup struct {
	tilt, width, run float64
	count            int
	which            []string
}

// bevelGroups puts the bevelled edges in order of tilt, then of width.
func (s *shop) bevelGroups() []bevelGroup {
	var out []bevelGroup
	for _, p := range s.box.Panels {
		for _, e := range p.Edges {
			if !bevelled(e) {
				continue
			}
			side := "long face OUT"
			if e.Tilt < 0 {
				side = "long face IN"
			}
			text := fmt.Sprintf("%s %s to %s, %s", p.Mark, place(p.Name), place(e.Meets), side)
			g := bevelGroup{tilt: math.Abs(e.Tilt), width: p.Width, run: e.Run}
			if p.Role.OfPort() {
				g.width = p.Blank[1] // what is over comes off the other edge, after the dry fit
			}
			k := -1
			for i := range out {
				if math.Abs(out[i].tilt-g.tilt) < leastTilt && math.Abs(out[i].width-g.width) < sameFace && math.Abs(out[i].run-g.run) < sameFace {
					k = i
				}
			}
			if k < 0 {
				out, k = append(out, g), len(out)
			}
			out[k].count += max(p.Count, 1)
			out[k].which = append(out[k].which, text)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if math.Abs(out[i].tilt-out[j].tilt) > leastTilt {
			return out[i].tilt < out[j].tilt
		}
		return out[i].width > out[j].width
	})
	return out
}
