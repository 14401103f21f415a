package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/word"
)

// screwBlocks list the rows of screws in two columns; the same row through two panels stands once. What leans, and what is clamped
// without screws, is said under them.
func (s *shop) screwBlocks(width float64) []block {
	t := table{Columns: []column{{Head: "Through"}, {Head: "Into edge of", Width: 22}, {Head: "Line", Width: 11, Align: AlignRight}, {Head: "First", Width: 15, Align: AlignRight},
		{Head: "Every", Width: 15, Align: AlignRight}, {Head: "No.", Width: 8, Align: AlignRight}}}
	rows := s.plan.Screws
	used := make([]bool, len(rows))
	var notes []string
	type clamped struct{ who, why string }
	var clamps []clamped // what is clamped without screws, alike once
	into := map[clamped][]string{}
	for i, r := range rows {
		if used[i] {
			continue
		}
		through := []string{r.Through}
		for k := i + 1; k < len(rows); k++ {
			if o := rows[k]; !used[k] && o.Into == r.Into && sameRow(r, o) {
				used[k] = true
				through = append(through, o.Through)
			}
		}
		who := s.throughText(through)
		if len(r.At) == 0 {
			k := clamped{who, string(r.Why)}
			if into[k] == nil {
				clamps = append(clamps, k)
			}
			into[k] = append(into[k], s.markedName(r.Into))
			continue
		}
		pitch := "–"
		for k := 1; k < len(r.At); k++ {
			if d := r.At[k] - r.At[k-1]; k == 1 {
				pitch = s.m.bare(d)
			} else if math.Abs(d-(r.At[1]-r.At[0])) > sameFace {
				pitch = "drawn"
			}
		}
		if r.Lean > leastTilt {
			notes = append(notes, "From "+who+" into "+s.markedName(r.Into)+" leaning "+degrees(r.Lean)+", in line with the board.")
		}
		if pitch == "drawn" {
			notes = append(notes, "From "+who+" into "+s.markedName(r.Into)+" as drawn: some are left out beside openings.")
		}
		t.Rows = append(t.Rows, cells(who, s.markedName(r.Into), s.m.bare(r.Inset), s.m.bare(r.At[0]), pitch, fmt.Sprint(len(through)*len(r.At))))
	}
	for _, k := range clamps {
		notes = append(notes, "No screws from "+k.who+" into "+word.List(into[k])+" ("+k.why+"): clamp.")
	}
	half := (width - cardGap) / 2
	switch len(t.Rows) {
	case 0:
		return nil
	case 1:
		return []block{s.tableBlock(t, half), textBlock(width, notes)}
	}
	left, right := t.halved(half)
	return []block{abreast(s.tableBlock(left, half), s.tableBlock(right, half), cardGap), textBlock(width, notes)}
}

// throughText names the panels that a row of screws goes through.
func (s *shop) throughText(names []string) string {
	ends := 0
	marked := make([]string, len(names))
	for i, name := range names {
		if p, ok := s.named(name); ok && p.Role == panels.End {
			ends++
		}
		marked[i] = s.markedName(name)
	}
	if ends == 2 && len(names) == 2 {
		return "both ends"
	}
	return word.List(marked)
}

func sameRow(a, b panels.ScrewRow) bool {
	if len(a.At) != len(b.At) || a.Why != b.Why || math.Abs(a.Inset-b.Inset) > sameFace || math.Abs(a.Lean-b.Lean) > leastTilt {
		return false
	}
	for i := range a.At {
		if math.Abs(a.At[i]-b.At[i]) > sameFace {
			return false
		}
	}
	return true
}

// landings draws on the outer face of an end what lands on it: the boards of a slot, dashed, with their marks, and the screws.
func (s *shop) landings(d *drawing, p panels.Panel, v view) {
	type name struct {
		at   Pt
		mark string
	}
	var names []name // after all lines, so that none runs through one
	for _, q := range s.box.Panels {
		if !q.Role.OfPort() && q.Role != panels.Strip && q.Role != panels.Saddle || len(q.Outer) == 0 || !s.meets(q, p) {
			continue
		}
		hull := landing(p, q)
		var on []Pt
		for _, c := range hull {
			on = append(on, v.at(c.X, c.Y))
		}
		if len(on) > 2 {
			d.shape(on, &Stroke{Width: thin, Dash: []float64{1.5, 0.8}}, nil)
			names = append(names, name{v.at(hull.Centroid().X, hull.Centroid().Y), q.Mark})
		}
	}
	for _, r := range s.plan.Screws {
		if r.Through != p.Name {
			continue
		}
		for k := range r.At {
			q := r.Place(k)
			c := v.at(q.X, q.Y)
			d.Canvas.Circle(c, 0.5, nil, &Fill{Grey: 0})
			d.reserve(turnedBox(c, -0.5, 0.5, 0.5, 0.5, 0))
		}
	}
	for _, n := range names {
		d.noteWhere(n.at, n.mark, TextStyle{Size: sizeLabel, Bold: true}, 2.5, anywhere)
	}
}

// landing is where a board stands on a panel, in its frame.
func landing(p, q panels.Panel) plane.Polygon {
	var pts plane.Polygon
	for _, c := range append(append([]r3.Vec(nil), q.Outer...), q.Inner...) {
		pts = append(pts, localTo(p.Place, vec{c.X, c.Y, c.Z}))
	}
	return pts.ConvexHull()
}

// lineTable gives the lines that a slot's boards are set up on, on the inner face of an end: both long sides of each board's foot.
func (s *shop) lineTable(p panels.Panel) table {
	g, lo := blankDatum(p)
	t := table{Columns: []column{{Head: "Inner face, lines of", Width: 16}, {Head: "X from " + g.XName, Width: 18}, {Head: "Y from " + g.YName, Width: 19}, {Head: "to X", Width: 17}, {Head: "to Y", Width: 17}}}
	for _, q := range s.box.Panels {
		if p.Role != panels.End || !q.Role.OfPort() || !s.meets(q, p) {
			continue
		}
		foot := landing(p, q)
		for i := range foot {
			a, b := foot.Edge(i)
			if c, d := foot.Edge((i + 1) % len(foot)); len(foot) == 4 && b.Sub(a).Norm() < d.Sub(c).Norm() {
				continue
			}
			x, y := g.place(a.Sub(lo))
			u, v := g.place(b.Sub(lo))
			t.Rows = append(t.Rows, cells(q.Mark, s.m.stack(x), s.m.stack(y), s.m.stack(u), s.m.stack(v)))
		}
	}
	return t
}

// meets reports whether a panel has an edge to another.
func (s *shop) meets(p, q panels.Panel) bool {
	for _, e := range p.Edges {
		if e.Meets == q.Name {
			return true
		}
	}
	return false
}

// localTo is a point of the space in the frame of a panel.
func localTo(f panels.Frame, p vec) plane.Point {
	return f.To(ofVec(p))
}
