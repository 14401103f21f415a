package render

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/work"
)

// sheetHeights are the heights that the drawing of a sheet may take, mm, largest first.
var sheetHeights = []float64{128, 112, 100, 88, 76, 64}

// cutPages draw the occupied part of each sheet, no taller than a height, what the tools are, and one table of all cuts.
func (s *shop) cutPages(tallest float64) *flow {
	f := s.book.flow(partB, "Layout and cuts", portrait)
	if l := s.d.Sheets; l != nil {
		for i := range l.Sheets {
			if i == 0 {
				s.firstSheet(f, tallest)
				continue
			}
			s.sheetBlock(f, i, f.Area.W, math.Min(tallest, 80))
		}
		if len(l.Unplaced) > 0 {
			var out []string
			for _, u := range l.Unplaced {
				out = append(out, s.markOf(baseName(u.Part))+": "+u.Why)
			}
			f.Sub("Not on any sheet")
			f.bullets(out, sizeSmall)
		}
	}
	f.Gap(1)
	f.Table(s.cuts)
	return f
}

// firstSheet draws the first sheet with the words of the tools beside it.
func (s *shop) firstSheet(f *flow, tallest float64) {
	const side, gap = 60.0, 5.0
	f.Need(s.besideSheet(&Recorder{}, Rect{0, 0, side, 0}))
	top, area := f.Y, f.Area
	f.Area.W = area.W - side - gap
	s.sheetBlock(f, 0, f.Area.W, tallest)
	page := f.sheet
	s.underSheet(f)
	low := f.Y
	f.Area = area
	if page == f.sheet {
		low = math.Max(low, s.besideSheet(f, Rect{area.Right() - side, top, side, 0}))
	}
	f.Y = low
}

// toolWords explain the tools that the table uses, each in a line.
var toolWords = []struct {
	tool work.Tool
	text string
}{
	{work.Track, "track saw on foam, the sheet lying flat"}, {work.Rip, "saw bench, the edge named to the fence"}, {work.Cross, "gauge and stop block; the edge named to the stop"},
	{work.Bevel, "fence where the blade leans away; it reads the SHORT face, lying down"},
	{work.Taper, "sled or track on the line, toggles"}, {work.Notch, "two cuts, stopped short of the inner corner, finished by hand"}, {work.Rabbet, "router or dado set, inner face up"}, {work.Bore, "router on a circle arm, drill"},
	{work.CutOut, "jigsaw on the line, corners drilled first; a notch with two cuts, stopped short of its corner"},
}

// besideSheet sets the words of the tools and what rough cuts are.
func (s *shop) besideSheet(c Canvas, r Rect) float64 {
	y := blockHead(c, r.X, r.Y, r.W, "The tools, once")
	st, key := TextStyle{Size: sizeSmall}, TextStyle{Size: sizeSmall, Bold: true}
	used := map[work.Tool]bool{}
	rough := false
	for _, k := range s.plan.Cuts {
		used[k.Tool], rough = true, rough || k.Rough
	}
	for _, t := range toolWords {
		if used[t.tool] {
			c.Text(Pt{r.X, y + rise(sizeSmall)}, string(t.tool), key)
			y = paragraph(c, Pt{r.X + 16, y}, r.W-16, t.text, st) + 0.4
		}
	}
	y = paragraph(c, Pt{r.X, y + 0.8}, r.W, "Makes: first the piece at the reference edge, which the figure measures.", st)
	if rough {
		y = blockHead(c, r.X, y+1.5, r.W, "Sawn edges")
		y = paragraph(c, Pt{r.X, y}, r.W, "“rough” is measured from a factory edge and decides no size: both its sides are sawn edges from then on, and all fits are measured from sawn edges. Set rough cuts square.", st)
	}
	return y
}

// underSheet tells the offcuts to keep, and what the drawing's marks are.
func (s *shop) underSheet(f *flow) {
	var keep []string
	for _, sh := range s.d.Sheets.Sheets {
		for _, o := range sh.Offcuts {
			if o.Reusable {
				keep = append(keep, o.Name+" "+s.m.times(um(o.Width), um(o.Height)))
			}
		}
	}
	const most = 6
	if n := len(keep) - most; n > 0 {
		keep = append(keep[:most], fmt.Sprintf("%d more, see the drawing", n))
	}
	if len(keep) > 0 {
		f.Styled("Offcuts to mark and keep: "+strings.Join(keep, "; ")+".", TextStyle{Size: sizeSmall})
	}
	f.Styled("Filled triangle: reference corner, there the panel's drawing begins. Circle: cut number on its cut. Test each bevel on an offcut against its run.", TextStyle{Size: sizeSmall})
}

// crop is the occupied part of a sheet: all placements and the cuts that free them, with some of what lies beyond.
func crop(sh nest.Sheet) (w, h nest.Um) {
	for _, p := range sh.Placements {
		w, h = max(w, p.X+p.Width), max(h, p.Y+p.Height)
	}
	beyond := func(used, whole nest.Um) nest.Um {
		if room := used + whole/12; room < whole*4/5 {
			return room
		}
		return whole
	}
	return beyond(w, sh.Width), beyond(h, sh.Height)
}

// sheetBlock draws one sheet with its heading.
func (s *shop) sheetBlock(f *flow, i int, width, tallest float64) {
	sh := s.d.Sheets.Sheets[i]
	cw, ch := crop(sh)
	w, h := um(cw), um(ch)
	const room = 10.0
	k := s.scaleFor(w, h, width-2*room, tallest-2*room)
	tall := h*1000*k + 2*room
	f.Need(tall + 14)
	f.Text(Pt{f.Area.X, f.Y + rise(11)}, s.sheetTitle(i), TextStyle{Size: 11, Bold: true})
	f.Y += lineHeight(11)
	f.Y = paragraph(f, Pt{f.Area.X, f.Y}, width, s.sheetText(i, cw < sh.Width || ch < sh.Height, scaleText(k)), TextStyle{Size: sizeSmall})
	r := Rect{f.Area.X, f.Y, width, tall}
	f.Y += tall
	d := onPaper(f, r)
	s.drawSheet(d, i, view{k * 1000, r.X + (width-w*1000*k)/2, r.Bottom() - room}, cw, ch)
}

func (s *shop) sheetTitle(i int) string {
	sh := s.d.Sheets.Sheets[i]
	t := fmt.Sprintf("Sheet %d of %d", i+1, len(s.d.Sheets.Sheets))
	if sh.Stock >= 0 && sh.Stock < len(s.d.SheetStock) {
		st := s.d.SheetStock[sh.Stock]
		t += ": " + st.Board + " " + s.m.thick(um(st.Thickness))
		if st.Offcut {
			t += ", an offcut"
		}
	}
	return t + ", " + s.m.times(um(sh.Width), um(sh.Height))
}

func (s *shop) sheetText(i int, cropped bool, scale string) string {
	t := scale + ", outer faces up, never turned over unless marked."
	if cropped {
		t = "Occupied part, " + t
	}
	for _, p := range s.d.Sheets.Sheets[i].Placements {
		for _, q := range p.Parts {
			if q.Flipped {
				t += " " + s.markOf(baseName(q.Panel)) + " is turned over face for face: its outer face is the back of the board."
			}
		}
	}
	return t + fmt.Sprintf(" Laid out for a kerf of %s: if your widest is more, stop and ask.", s.m.full(s.r.Request.Saw.Kerf))
}

// cutTable is the one table of cuts, ordered by set-up, which is the order of work. What a set-up has in common is printed once.
func (s *shop) cutTable() table {
	t := table{Columns: []column{{Head: "Set-up", Align: AlignCentre}, {Head: "Cut", Align: AlignCentre}, {Head: "Tool"}, {Head: "Fence or stop"}, {Head: "Tilt, long face"},
		{Head: "Take"}, {Head: "Reference edge"}, {Head: "Makes"}, {Head: "Keep"}, {Head: "Mind"}}}
	last := 0
	for _, c := range s.plan.Cuts {
		row := []cell{{}, {Text: fmt.Sprint(c.No), Bold: true}, {}, {}, {Text: s.tiltText(c)}, {Text: s.pieceText(c.Take)}, {Text: s.referenceText(c)}, {Text: s.makesText(c)}, {Text: s.keepText(c), Bold: true}, {Text: s.mindText(c)}}
		if c.Setup != last {
			row[0], row[2], row[3] = cell{Text: fmt.Sprint(c.Setup), Bold: true}, cell{Text: string(c.Tool), Bold: true}, cell{Text: s.fenceText(c), Bold: true}
		} else if s.fenceText(c) != s.fenceText(s.plan.Cuts[c.No-2]) {
			row[3] = cell{Text: s.fenceText(c), Bold: true}
		}
		last = c.Setup
		t.Rows = append(t.Rows, row)
	}
	return t
}

// pieceText names a piece: a panel by its mark, pieces still to be cut by the sheet's number and their own.
func (s *shop) pieceText(p work.Piece) string {
	switch p.Kind {
	case work.Nothing:
		return ""
	case work.Board:
		if m := s.markAt(p.Panel); p.Part > 0 {
			return fmt.Sprintf("%s (%d)", m, p.Part)
		} else if m != "" {
			return m
		}
		return s.box.Panels[p.Panel].Name
	case work.Waste:
		return "waste"
	}
	for _, sh := range s.d.Sheets.Sheets { // a head-to-tail pair goes by the marks of both
		for _, pl := range sh.Placements {
			if pl.Panel == p.Name && len(pl.Parts) == 2 {
				return s.markOf(baseName(pl.Parts[0].Panel)) + "+" + s.markOf(baseName(pl.Parts[1].Panel))
			}
		}
	}
	return strings.TrimPrefix(p.Name, "piece ")
}

func (s *shop) makesText(c work.Cut) string {
	switch {
	case len(c.Holes) > 0:
		return s.holeNumbers(c)
	case c.At.Index >= 0:
		return s.edgeText(c.Take.Panel, c.At.Index)
	}
	var out []string
	for _, m := range c.Makes {
		if t := s.pieceText(m); t != "" {
			out = append(out, t)
		}
	}
	return strings.Join(out, " + ")
}

// holeNumbers names the openings of a row by their numbers in the panel's drawing.
func (s *shop) holeNumbers(c work.Cut) string {
	p := s.box.Panels[c.Take.Panel]
	var out []string
	for _, o := range openings(p) {
		for _, k := range c.Holes {
			if h := p.Holes[k]; h == o.Hole {
				out = append(out, fmt.Sprint(o.No))
				break
			}
		}
	}
	if len(out) > 3 {
		out = []string{out[0] + " to " + out[len(out)-1]}
	}
	return "No. " + strings.Join(out, ", ") + ": " + kindText(p.Holes[c.Holes[0]])
}

// edgeText names an edge of a panel by its neighbour, or by the corners of its outline.
func (s *shop) edgeText(panel, edge int) string {
	if panel < 0 || panel >= len(s.box.Panels) {
		return ""
	}
	p := s.box.Panels[panel]
	if p.Role == panels.End && edge < len(p.Outline) {
		return s.sideText(p, edge)
	}
	if edge < len(p.Edges) && p.Edges[edge].Meets != "" {
		return "to " + place(p.Edges[edge].Meets)
	}
	if len(p.Outline) > 4 {
		return fmt.Sprintf("side %d–%d", edge+1, (edge+1)%len(p.Outline)+1)
	}
	return "free edge"
}

func (s *shop) referenceText(c work.Cut) string {
	switch {
	case len(c.Holes) > 0:
		g := datumOf(s.box.Panels[c.Take.Panel])
		bare := func(t string) string { return strings.TrimPrefix(strings.TrimPrefix(t, "edge to "), "the ") }
		return bare(g.XName) + ", " + bare(g.YName)
	case c.Reference.Side != "" && c.Sheet >= 0:
		if c.Reference.Sawn {
			return c.Reference.Side + ", sawn"
		}
		return c.Reference.Side + ", factory"
	case c.Tool == work.Rabbet:
		return "that edge"
	case c.Take.Panel < 0:
		return ""
	case c.Reference.Side == "" && c.Reference.Index < 0:
		return "the line"
	}
	p := s.box.Panels[c.Take.Panel]
	t, k := strings.NewReplacer("bottom", "lower", "top", "upper").Replace(c.Reference.Side)+" side of the drawing", c.Reference.Index
	switch {
	case k >= 0 && k < len(p.Edges) && p.Edges[k].Meets != "":
		t = "to " + place(p.Edges[k].Meets)
	case k >= 0:
		t = s.edgeText(c.Take.Panel, k)
	}
	if p.Flush > 0 && c.Reference.Side != "" {
		t += ", blank"
	}
	return t
}

func (s *shop) keepText(c work.Cut) string {
	if c.Keep < 0 {
		return "both"
	}
	if c.Makes[c.Keep].Kind == work.Offcut {
		return "both"
	}
	return s.pieceText(c.Makes[c.Keep])
}

// fenceText is what is set: fence, stop or rail; both ends of a slant; width and depth of a rabbet; size of an opening.
func (s *shop) fenceText(c work.Cut) string {
	switch {
	case c.Tool == work.Rabbet:
		return s.m.sloped(c.Fence) + " wide\n" + s.m.small(c.Depth) + " deep"
	case len(c.Holes) > 0:
		p := s.box.Panels[c.Take.Panel]
		h := p.Holes[c.Holes[0]]
		t := s.sizeText(h)
		if n := len(c.Holes); n > 1 {
			t = fmt.Sprintf("%d × %s", n, t)
		}
		if h.Depth > 0 {
			t += ", " + s.m.small(h.Depth) + " deep"
		}
		return t
	case c.Tool == work.Taper && c.Sheet >= 0 || (c.Tool == work.Taper || c.Tool == work.Notch) && math.Abs(c.Far-c.Fence) > sameFace:
		return s.m.sloped(c.Fence) + " to " + s.m.sloped(c.Far)
	}
	t := s.m.sloped(c.Fence)
	if c.Rough {
		t += " rough"
	}
	return t
}

func (s *shop) tiltText(c work.Cut) string {
	switch c.Tool {
	case work.Bevel:
		face := "OUT up"
		if c.Up == work.InnerFace {
			face = "IN up"
		}
		return degrees(c.Tilt) + ", " + face
	case work.Rabbet, work.Bore, work.CutOut, work.Taper, work.Notch:
		if c.Up == work.InnerFace {
			return "0°, IN up"
		}
		return "0°, OUT up"
	}
	return "0°"
}

// mindText is the caution of a row.
func (s *shop) mindText(c work.Cut) string {
	var out []string
	if c.Tool == work.Bevel {
		out = append(out, "run "+s.m.small(c.Run))
	}
	for _, m := range c.Marks {
		switch m {
		case work.Strip:
			out = append(out, "waste strip")
		case work.HandsClear:
			out = append(out, "hands "+s.m.about(0.15)+" away")
		default:
			out = append(out, string(m))
		}
	}
	return strings.Join(out, "; ")
}
