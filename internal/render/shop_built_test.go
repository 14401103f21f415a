package render

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/unit"
)

// The tests of this file build the boards from the text of part B alone, as pdftotext reads it: list, edges, rabbets, corners and
// openings are found by the heads of their columns, and compared with the design.

// nearEnough is how far a length that is built from the page may be from the design, m.
const nearEnough = 0.15e-3

func off(a, b float64) bool { return math.Abs(a-b) > nearEnough }

var edgePattern = regexp.MustCompile(`(?:to ([A-Z0-9 ]+?)|free edge) (\d+\.\d)°, (OUT|IN) long, run ([\d./-]+)`)

// builtFromPage compares everything that part B prints of its boards with the box.
func builtFromPage(all []pageWord, p *pageBox, b *panels.Box) error {
	byMark := map[string]map[string]string{}
	for _, r := range listRows(all) {
		byMark[r["Mark"]] = r
	}
	for i := range b.Panels {
		q := &b.Panels[i]
		r, ok := byMark[q.Mark]
		if !ok {
			return fmt.Errorf("%s %s is not in the list", q.Mark, q.Name)
		}
		if err := listRow(r, q, b, p.units); err != nil {
			return fmt.Errorf("%s %s: %w (row %v)", q.Mark, q.Name, err, r)
		}
	}
	for _, err := range []error{cornersPrinted(p, b), linesPrinted(p, b), slantsPrinted(all, p, b)} {
		if err != nil {
			return err
		}
	}
	return holesPrinted(all, b, p.units)
}

// listRow builds a board from its row of the list.
func listRow(r map[string]string, p *panels.Panel, b *panels.Box, u unit.System) error {
	one := func(key string) (float64, error) {
		l := lengthsIn(r[key], u)
		if len(l) == 0 {
			return 0, fmt.Errorf("no figure under %s", key)
		}
		return l[0], nil
	}
	t, err := one("T")
	if err != nil {
		return err
	}
	l, err := one("L")
	if err != nil {
		return err
	}
	if off(t, p.Thickness/float64(max(1, p.Layers))) || off(l, p.Length) {
		return fmt.Errorf("%.2f x T %.2f mm, not %.2f x %.2f", l*1000, t*1000, p.Length*1000, p.Thickness*1000)
	}
	if n, _ := strconv.Atoi(r["Qty"]); n != max(1, p.Count)*max(1, p.Layers) {
		return fmt.Errorf("%s pieces, not %d", r["Qty"], p.Count)
	}
	signed, bevels := 0.0, 0
	for _, m := range edgePattern.FindAllStringSubmatch(r["Edges"], -1) {
		bevels++
		run := lengthsIn(m[4], u)[0]
		tilt, _ := strconv.ParseFloat(m[2], 64)
		found := slices.ContainsFunc(p.Edges, func(e panels.Edge) bool {
			return place(e.Meets) == m[1] && math.Abs(math.Abs(e.Tilt)*180/math.Pi-tilt) < 0.0501 && math.Abs(e.Run-run) < 0.06e-3 && (e.Tilt > 0) == (m[3] == "OUT")
		})
		if !found {
			return fmt.Errorf("no edge as %q", m[0])
		}
		if toPocket(b, m[1]) {
			continue // in a notch: not across the whole width
		}
		signed += math.Copysign(run, map[string]float64{"OUT": 1, "IN": -1}[m[3]])
	}
	for _, e := range p.Edges {
		if bevelled(e) {
			bevels--
		}
	}
	if bevels != 0 {
		return fmt.Errorf("%d more bevels than the panel has: %q", bevels, r["Edges"])
	}
	if err := widthsPrinted(r["W"], p, signed, u); err != nil {
		return err
	}
	for _, s := range p.Rabbets {
		found := false
		for _, m := range regexp.MustCompile(`rabbet ([^r×]+) × ([\d./-]+)`).FindAllStringSubmatch(r["Work"], -1) {
			w, d := lengthsIn(m[1], u), lengthsIn(m[2], u)
			found = found || len(w) > 0 && len(d) > 0 && !off(w[0], s.Width) && !off(d[0], s.Depth)
		}
		if !found {
			return fmt.Errorf("no rabbet of %.1f x %.1f mm", s.Width*1000, s.Depth*1000)
		}
	}
	return nil
}

// widthsPrinted takes both faces from the column of the long face.
func widthsPrinted(text string, p *panels.Panel, signed float64, u unit.System) error {
	w := lengthsIn(text, u)
	if len(w) == 0 {
		return errors.New("no width")
	}
	rabbets := 0.0
	for _, s := range p.Rabbets {
		if p.Role != panels.End && levelEdge(*p, p.Edges[s.Edge]) {
			rabbets += s.Width
		}
	}
	outer, inner := w[0], w[0]
	switch {
	case strings.Contains(text, "on each face"):
	case strings.Contains(text, "OUT") && strings.Contains(text, "IN"):
		inner = w[1]
	case strings.Contains(text, "OUT"):
		inner = outer - signed
	case strings.Contains(text, "IN"):
		outer = inner + signed
	default:
		if off(w[0], p.Width) {
			return fmt.Errorf("%.2f mm wide, not %.2f", w[0]*1000, p.Width*1000)
		}
		return nil
	}
	if off(outer, p.OuterWidth) || p.Role == panels.Wall && off(inner, p.InnerWidth+rabbets) {
		return fmt.Errorf("faces of %.2f and %.2f mm, not %.2f and %.2f", outer*1000, inner*1000, p.OuterWidth*1000, p.InnerWidth*1000)
	}
	return nil
}

// cornersPrinted compares every outline with the table of corners on its card: where each corner is, how far it is to the next, the
// angle, and what lies along the side after it.
func cornersPrinted(p *pageBox, b *panels.Box) error {
	for i := range b.Panels {
		q := b.Panels[i]
		if !outlined(q) {
			continue
		}
		got, cut := p.boards[q.Mark].pageOutline, q.CutOutline()
		if len(got.corners) != len(cut) {
			return fmt.Errorf("%s: %d corners, not %d", q.Name, len(got.corners), len(cut))
		}
		for k, c := range cut {
			x, y := onBlank(q, c)
			at := slices.IndexFunc(got.corners, func(v plane.Point) bool { return !off(v.X, x) && !off(v.Y, y) })
			if at < 0 {
				return fmt.Errorf("%s: no corner at %.2f, %.2f mm among %v", q.Name, x*1000, y*1000, got.corners)
			}
			next := cut[(k+1)%len(cut)]
			u, v := onBlank(q, next)
			side := at
			if n := got.corners[(at+1)%len(cut)]; off(n.X, u) || off(n.Y, v) {
				side = (at + len(cut) - 1) % len(cut) // as the other side sees it
			}
			meets := ""
			for _, e := range q.Edges {
				if sideIndex(e.Edge) == k {
					meets = ""
					if o, ok := panelOf(b, func(o *panels.Panel) bool { return o.Name == e.Meets }); ok {
						meets = o.Mark
					}
				}
			}
			if off(got.next[side], next.Sub(c).Norm()) || math.Abs(got.inside[at]-cut.InteriorAngle(k)*180/math.Pi) > 0.0501 || got.along[side] != meets {
				return fmt.Errorf("%s: %.2f mm, %.1f° and %q at corner %d, not %.2f, %.2f, %q", q.Name, got.next[side]*1000, got.inside[at], got.along[side], k, next.Sub(c).Norm()*1000,
					cut.InteriorAngle(k)*180/math.Pi, meets)
			}
		}
	}
	return nil
}

// onBlank is a place on a panel as it is measured from the reference corner of its blank.
func onBlank(p panels.Panel, c plane.Point) (x, y float64) {
	g, lo := blankDatum(p)
	return g.place(c.Sub(lo))
}

// linesPrinted compares the lines of a slot's boards on the ends with where the boards stand.
func linesPrinted(p *pageBox, b *panels.Box) error {
	for _, end := range b.Panels {
		if end.Role != panels.End {
			continue
		}
		lines := p.boards[end.Mark].lines
		for _, q := range b.Panels {
			if !q.Role.OfPort() || !slices.ContainsFunc(q.Edges, func(e panels.Edge) bool { return e.Meets == end.Name }) {
				continue
			}
			for _, c := range landing(end, q) {
				x, y := onBlank(end, c)
				if !slices.ContainsFunc(lines[q.Mark], func(v plane.Point) bool { return !off(v.X, x) && !off(v.Y, y) }) {
					return fmt.Errorf("%s: no line of %s to %.2f, %.2f mm among %v", end.Name, q.Name, x*1000, y*1000, lines[q.Mark])
				}
			}
			if n := len(landing(end, q)); len(lines[q.Mark]) != n && len(lines[q.Mark]) != 2*n {
				return fmt.Errorf("%s: %d points for the lines of %s", end.Name, len(lines[q.Mark]), q.Name)
			}
			delete(lines, q.Mark)
		}
		if len(lines) > 0 {
			return fmt.Errorf("%s: lines of what does not stand on it: %v", end.Name, lines)
		}
	}
	return nil
}

// slantsPrinted sets out the slants and notches of the table of cuts from the edges that they are measured from, and compares them
// with the design's corners of the sides that they make.
func slantsPrinted(all []pageWord, p *pageBox, b *panels.Box) error {
	marks := map[string]string{}
	for m, b := range p.boards {
		marks["to "+place(b.name)] = m
	}
	tool, fence := "", ""
	for _, r := range tablesWith(all, pageWide, nil, "Cut", "Tool", "Fence", "Tilt,", "Take", "Reference", "Makes", "Keep", "Mind") {
		if r["Tool"] != "" {
			tool = r["Tool"]
		}
		if r["Fence"] != "" {
			fence = r["Fence"]
		}
		g := p.boards[r["Take"]].pageOutline
		if tool != "TAPER" && tool != "NOTCH" || g.corners == nil {
			continue
		}
		if q, ok := panelOf(b, func(q *panels.Panel) bool { return q.Mark == r["Take"] }); ok {
			g.corners = slices.Clone(g.corners)
			for _, c := range q.CutOutline() {
				x, y := onBlank(*q, c)
				if k := slices.IndexFunc(g.corners, func(v plane.Point) bool { return !off(v.X, x) && !off(v.Y, y) }); k >= 0 {
					g.corners[k] = plane.Point{X: x, Y: y}
				}
			}
		}
		from, to, ok := strings.Cut(fence, " to ")
		if !ok {
			to = from
		}
		u, v := lengthsIn(from, p.units)[0], lengthsIn(to, p.units)[0]
		found := false
		for i, made := range g.along {
			a, b := g.corners.Edge(i)
			if m := marks[r["Makes"]]; m != "" && m != made {
				continue
			}
			for _, l := range g.edgesFor(marks[strings.TrimSuffix(r["Reference"], ", blank")]) {
				x, y := l.Distance(a), l.Distance(b)
				found = found || !off(x, u) && !off(y, v) || !off(y, u) && !off(x, v)
			}
		}
		if !found {
			return fmt.Errorf("%s: no side is at %s from %s for %s: %v", r["Take"], fence, r["Reference"], r["Makes"], g.corners)
		}
	}
	return nil
}

// edgesFor are the lines along the sides that meet a board; empty: the sides of the rectangle round the outline.
func (o pageOutline) edgesFor(mark string) (out []plane.Line) {
	for i, m := range o.along {
		if a, b := o.corners.Edge(i); mark != "" && m == mark {
			out = append(out, plane.LineThrough(a, b))
		}
	}
	if mark == "" {
		g := o.corners.Bounds().Polygon()
		for i := range g {
			out = append(out, plane.LineThrough(g.Edge(i)))
		}
	}
	return out
}

// holesPrinted finds every opening of walls and ends in the tables of openings.
func holesPrinted(all []pageWord, b *panels.Box, u unit.System) error {
	type spot struct{ x, y, size float64 }
	var printed []spot
	for _, r := range tablesWith(all, columnWide, []string{"No.", "Corner"}, "No.", "What", "X", "Y", "Size") {
		x, y, size := lengthsIn(r["X"], u), lengthsIn(r["Y"], u), lengthsIn(r["Size"], u)
		if len(x) > 0 && len(y) > 0 && len(size) > 0 {
			printed = append(printed, spot{x[0], y[0], size[0]})
		}
	}
	for i := range b.Panels {
		p := b.Panels[i]
		if !p.Role.Shell() {
			continue
		}
		for _, o := range openings(p) {
			if isStrip(p, o.Hole) {
				continue
			}
			size := math.Max(o.Hole.Diameter, o.Hole.Length)
			k := slices.IndexFunc(printed, func(q spot) bool { return !off(q.x, o.X) && !off(q.y, o.Y) && !off(q.size, size) })
			if k < 0 {
				return fmt.Errorf("%s: opening %d (%s) at %.2f, %.2f, %.2f mm is not printed: %v", p.Name, o.No, o.Hole.Kind, o.X*1000, o.Y*1000, size*1000, printed)
			}
			printed = slices.Delete(printed, k, k+1)
		}
	}
	return nil
}
