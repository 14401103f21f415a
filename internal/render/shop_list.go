package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/unit"
	"cubby/internal/work"
)

// listBlock is the panel list.
func (s *shop) listBlock(f *flow) {
	text := "L × W × T, " + s.m.words() + "; W is the long face. Square edges are not mentioned."
	if s.m.sys == unit.Inch {
		text = fmt.Sprintf("L × W × T in inches to 1/%d; after the dot the exact figure where it differs: set that.", s.m.den)
	}
	t := s.list
	t.tight = f.b.tight
	f.Need(math.Min(t.height(f.Area.W)+8, 60))
	f.Text(Pt{f.Area.X, f.Y + rise(11)}, "Panel list", TextStyle{Size: 11, Bold: true})
	f.Text(Pt{f.Area.Right(), f.Y + rise(11)}, text, TextStyle{Size: sizeSmall, Align: AlignRight})
	f.Y += lineHeight(11) + 0.5
	f.Table(t)
	f.Gap(-1.5)
}

// panelList is the list with the columns that a shop cuts from, in this order.
func (s *shop) panelList() table {
	t := table{}
	for _, h := range []string{"Mark", "Panel", "Qty", "T measured", "L", "W (long face)", "Edges", "Grain", "Work", "cut  fit"} {
		t.Columns = append(t.Columns, column{Head: h})
	}
	t.Columns[len(t.Columns)-1].Width = 12.5
	for _, p := range s.byMark() {
		grain := map[string]string{"": "any", "length": "L", "width": "W"}[p.Grain]
		t.Rows = append(t.Rows, []cell{{Text: p.Mark, Bold: true}, {Text: p.Name, Bold: true}, {Text: fmt.Sprint(max(p.Count, 1) * max(p.Layers, 1))}, {Text: s.m.thick(p.Thickness / float64(max(1, p.Layers)))},
			{Text: s.longLength(p), Bold: true}, {Text: s.longWidth(p), Bold: true}, {Text: s.edgesText(p)}, {Text: grain}, {Text: s.workText(p)}, {Draw: tickBoxes, Height: 4.2}})
	}
	return t
}

// tickBoxes draws the two boxes to tick when a panel is cut and when it fits.
func tickBoxes(c Canvas, r Rect) {
	for _, x := range []float64{r.X + 2.2, r.X + 8.5} {
		box(c, Rect{x - 1.9, r.Y, 3.8, 3.8}, Stroke{Width: 0.3})
	}
}

// longWidth is W with the face that it is measured on; a panel that is bevelled the same way at both edges prints both faces and the
// skew.
func (s *shop) longWidth(p panels.Panel) string {
	over := ""
	if p.CutWidth > 0 {
		over += "\nthen " + s.m.sloped(p.CutWidth)
	}
	if !slices.ContainsFunc(p.Edges, func(e panels.Edge) bool { return bevelled(e) && levelEdge(p, e) }) {
		return s.m.sloped(p.Width) + over
	}
	outer, inner := p.OuterWidth, p.InnerWidth+s.rabbeted(p)
	skew := p.Width - math.Max(outer, inner)
	switch {
	case math.Abs(outer-inner) < sameFace && skew > sameFace:
		return s.m.sloped(outer) + " on each face, skewed " + s.m.small(skew) + "\nblank " + s.m.stack(p.Width) + over
	case skew > sameFace:
		return s.m.sloped(outer) + " OUT\n" + s.m.sloped(inner) + " IN\nblank " + s.m.stack(p.Width) + over
	case outer > inner:
		return s.m.sloped(outer) + " OUT" + over
	}
	return s.m.sloped(inner) + " IN" + over
}

// levelEdge reports whether an edge runs along a panel's length rather than across it.
func levelEdge(p panels.Panel, e panels.Edge) bool {
	switch sideOf(p, e.Edge) {
	case "y0", "y1":
		return true
	case "x0", "x1":
		return false
	}
	for i := range p.Outline {
		if e.Edge == fmt.Sprintf("e%d", i) {
			a, b := p.Outline.Edge(i)
			return math.Abs(b.X-a.X) >= math.Abs(b.Y-a.Y)
		}
	}
	return true
}

// longLength is L, with the face that it is measured on where an edge across it is bevelled.
func (s *shop) longLength(p panels.Panel) string {
	out, in := false, false
	for _, e := range p.Edges {
		if bevelled(e) && !levelEdge(p, e) {
			out, in = out || e.Tilt > 0, in || e.Tilt < 0
		}
	}
	t := s.m.stack(p.Length)
	switch {
	case out && in:
		t += "\nover both faces"
	case out:
		t += "\nOUT"
	case in:
		t += "\nIN"
	}
	return t
}

// rabbeted is the width of the rabbets across a panel, which its inner face lacks.
func (s *shop) rabbeted(p panels.Panel) float64 {
	w := 0.0
	if p.Role != panels.End {
		for _, r := range s.rabbetsOf(p) {
			w += r.Width
		}
	}
	return w
}

// edgesText lists the bevelled edges, with the rabbets after them.
func (s *shop) edgesText(p panels.Panel) string {
	var out []string
	if b := p.Blank; math.Abs(b[0]-p.Length) > sameFace || math.Abs(b[1]-p.Width) > sameFace {
		out = append(out, "blank "+s.m.sloped(b[0])+" × "+s.m.sloped(b[1]))
	}
	for _, e := range p.Edges {
		if !bevelled(e) {
			continue
		}
		to := "free edge"
		if e.Meets != "" {
			to = "to " + place(e.Meets)
		}
		out = append(out, fmt.Sprintf("%s %s, %s long, run %s", to, degrees(e.Tilt), faceWord(e), s.m.small(e.Run)))
	}
	if p.Role == panels.End {
		slants := 0
		for i := range p.Outline {
			a, b := p.Outline.Edge(i)
			if math.Abs(a.X-b.X) > sameFace && math.Abs(a.Y-b.Y) > sameFace {
				slants++
			}
		}
		switch {
		case slants > 0:
			out = append(out, "slanted, see Ends")
		case len(p.Outline) > 4:
			out = append(out, "notched, see Ends")
		}
	} else if len(p.Outline) > 4 {
		out = append(out, "notched, as drawn")
	}
	return strings.Join(out, "\n")
}

// faceWord says which face is the long one at an edge.
func faceWord(e panels.Edge) string {
	if e.Tilt > 0 {
		return "OUT"
	}
	return "IN"
}

// workText is what is done to a panel beyond its square cuts: openings, rabbets, notches.
func (s *shop) workText(p panels.Panel) string {
	var out []string
	all := slices.DeleteFunc(openings(p), func(o opening) bool { return isStrip(p, o.Hole) })
	switch n := len(all); {
	case n == 1:
		out = append(out, fmt.Sprintf("opening %d", all[0].No))
	case n > 1:
		out = append(out, fmt.Sprintf("openings %d to %d", all[0].No, all[n-1].No))
	}
	seen := map[string]bool{}
	for _, r := range s.rabbetsOf(p) {
		t := "rabbet " + s.m.sloped(r.Width) + " × " + s.m.small(r.Depth)
		if r.Blank > r.Width {
			t += ", on the blank " + s.m.sloped(r.Blank) + " wide"
		}
		if !seen[t] {
			out = append(out, t)
		}
		seen[t] = true
	}
	if p.CutWidth > 0 {
		out = append(out, "mouth off one edge")
	}
	return strings.Join(out, "\n")
}

// rabbetsOf are the rows of the plan that cut rabbets into a panel.
func (s *shop) rabbetsOf(p panels.Panel) []workRabbet {
	var out []workRabbet
	for _, c := range s.plan.Cuts {
		if c.Tool == work.Rabbet && s.box.Panels[c.Take.Panel].Name == p.Name {
			out = append(out, workRabbet{c.At.Index, c.Width, c.Fence, c.Depth, c.No})
		}
	}
	return out
}

// workRabbet is a rabbet along an edge of a panel.
type workRabbet struct {
	Edge                int
	Width, Blank, Depth float64 // Blank: its width where it is cut, wider than Width where the board is trimmed later
	No                  int     // of its row in the table of cuts
}
