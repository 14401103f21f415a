package render

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// screwTable lists the rows; the same row through two panels stands once. What is clamped without screws is said after it.
func (s *shop) screwTable(rows []panels.ScrewRow) (table, []string) {
	t := table{Columns: []column{{Head: "Through"}, {Head: "Into the edge of", Width: 34}, {Head: "Line from the edge", Width: 26, Align: AlignRight},
		{Head: "First from the end", Width: 26, Align: AlignRight}, {Head: "Then every", Width: 24, Align: AlignRight}, {Head: "Screws", Width: 14, Align: AlignCentre}, {Head: "Note", Width: 34}}}
	used := make([]bool, len(rows))
	var none []string
	why := map[string][]string{}
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
		if len(r.At) == 0 {
			if why[string(r.Why)] == nil {
				none = append(none, string(r.Why))
			}
			why[string(r.Why)] = append(why[string(r.Why)], s.throughText(through)+" to "+s.markedName(r.Into))
			continue
		}
		t.Rows = append(t.Rows, s.screwRow(r, s.throughText(through), len(through)))
	}
	for i, w := range none {
		none[i] = "No screws, clamp (" + w + "): " + strings.Join(why[w], "; ") + "."
	}
	return t, none
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
	return listed(marked)
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

func (s *shop) screwRow(r panels.ScrewRow, through string, n int) []cell {
	into := s.markedName(r.Into)
	note := ""
	if r.Lean > leastTilt {
		note = "leaning " + degrees(r.Lean) + ", in line with the board"
	}
	pitch := "–"
	if len(r.At) > 1 {
		pitch = s.m.bare(r.At[1] - r.At[0])
		for k := 2; k < len(r.At); k++ {
			if math.Abs(r.At[k]-r.At[k-1]-(r.At[1]-r.At[0])) > sameFace {
				pitch, note = "as drawn", "left out beside openings"
			}
		}
	}
	return cells(through, into, s.m.bare(r.Inset), s.m.bare(r.At[0]), pitch, fmt.Sprint(n*len(r.At)), note)
}

// landings draws on the outer face of an end what lands on it: the boards of a slot, dashed, with their marks, and the screws.
func (s *shop) landings(d *drawing, p panels.Panel, v view) {
	for _, q := range s.box.Panels {
		if !q.Role.OfPort() && q.Role != panels.Strip || len(q.Outer) == 0 || !s.meets(q, p) {
			continue
		}
		var pts plane.Polygon
		for _, c := range append(append([]r3.Vec(nil), q.Outer...), q.Inner...) {
			pts = append(pts, localTo(p.Place, vec{c.X, c.Y, c.Z}))
		}
		hull := pts.ConvexHull()
		var on []Pt
		for _, c := range hull {
			on = append(on, v.at(c.X, c.Y))
		}
		if len(on) > 2 {
			d.shape(on, &Stroke{Width: thin, Dash: []float64{1.5, 0.8}}, nil)
			d.noteWhere(v.at(hull.Centroid().X, hull.Centroid().Y), q.Mark, TextStyle{Size: sizeLabel, Bold: true}, 2.5, anywhere)
		}
	}
	for _, r := range s.plan.Screws {
		if r.Through != p.Name {
			continue
		}
		for k := range r.At {
			q := r.Place(k)
			d.Canvas.Circle(v.at(q.X, q.Y), 0.5, nil, &Fill{Grey: 0})
		}
	}
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
	q := p.sub(vec(f.Origin))
	return plane.Point{X: q.dot(vec(f.X)), Y: q.dot(vec(f.Y))}
}
