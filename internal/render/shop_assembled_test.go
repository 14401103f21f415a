package render

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
	solids "cubby/internal/solid"
	"cubby/internal/unit"
	"cubby/internal/work"
)

// The tests of this file put the boards together where the text of part B says: ends from their tables of corners, walls round them by
// the table of joints, the boards inside by their sentences; and compare where every corner comes to lie, and the air that is left,
// with the design and with the measure of the dry fill on the page itself.

// pageBoard is a board as its row of the list and the tables of its card give it.
type pageBoard struct {
	mark, name   string
	l, t         float64 // m; t of all its layers
	turned       bool    // its length in the list lies in the section
	outer, inner float64 // m, of the two faces across
	runs         map[string]float64
	rabbet       float64 // m3 of wood that its rabbets take
	step, depth  float64 // width and depth of a rabbet
	corners      plane.Polygon
	holes, bored float64 // m2, of openings that the fill counts, and of all
}

func (b pageBoard) volume() float64 {
	if b.corners != nil {
		return math.Abs(b.corners.Area())*b.t - b.rabbet
	}
	return b.l*(b.outer+b.inner)/2*b.t - b.rabbet
}

// heading is the head of a card: mark and name in capitals.
type heading struct {
	pageWord
	marks []string
}

// headTall is less than the height of the words of a head, and more than that of labels in drawings, points.
const headTall = 10.6

// headings finds the heads of cards: a mark, or several, and the names behind them in capitals.
func headings(all []pageWord, rows grid) []heading {
	name := map[string]string{}
	for _, r := range rows {
		name[r["Mark"]] = place(r["Panel"])
	}
	all = slices.Clone(all) // in order of reading: a page's text comes in blocks
	slices.SortStableFunc(all, func(a, b pageWord) int {
		return cmp.Or(cmp.Compare(a.page, b.page), cmp.Compare(math.Round(a.y/3), math.Round(b.y/3)), cmp.Compare(a.x, b.x))
	})
	var out []heading
	for i, w := range all {
		m := strings.TrimSuffix(w.text, ",")
		if name[m] == "" || w.tall < headTall || i > 0 && math.Abs(all[i-1].y-w.y) < 2 && strings.HasSuffix(all[i-1].text, ",") {
			continue
		}
		marks := []string{m}
		k := i + 1
		for ; strings.HasSuffix(all[k-1].text, ",") && k < len(all); k++ {
			marks = append(marks, strings.TrimSuffix(all[k].text, ","))
		}
		first := strings.Fields(name[m])
		if k+len(first) <= len(all) && strings.TrimRight(joined(all[k:k+len(first)]), ",…") == name[m] {
			out = append(out, heading{w, marks})
		}
	}
	return out
}

func joined(ws []pageWord) string {
	var out []string
	for _, w := range ws {
		out = append(out, w.text)
	}
	return strings.Join(out, " ")
}

// ownerOf are the marks of the card that a table at a place belongs to: the nearest head above it in its column, else on its page.
func ownerOf(hs []heading, at pageWord) []string {
	const column = 15.0
	var best *heading
	rank := func(h *heading) (bool, float64) { return at.x > h.x-3 && at.x < h.x+column, h.y }
	for i := range hs {
		h := &hs[i]
		if h.page != at.page || h.y > at.y || h.x > at.x+30 {
			continue
		}
		if best == nil {
			best = h
			continue
		}
		near, y := rank(h)
		was, low := rank(best)
		if near && !was || near == was && y > low {
			best = h
		}
	}
	if best == nil {
		return nil
	}
	return best.marks
}

// pageBoards reads all boards.
func pageBoards(all []pageWord, box *panels.Box, u unit.System) map[string]pageBoard {
	rows := tablesWith(all, pageWide, []string{"Dust", "Blade"}, "Mark", "Panel", "Qty", "T", "L", "W", "Edges", "Grain", "Work", "cut")
	out := map[string]pageBoard{}
	for _, r := range rows {
		l, t, w := lengthsIn(r["L"], u), lengthsIn(r["T"], u), lengthsIn(r["W"], u)
		if len(l)*len(t)*len(w) == 0 {
			continue
		}
		n, _ := strconv.Atoi(r["Qty"])
		b := pageBoard{mark: r["Mark"], name: r["Panel"], l: l[0], t: t[0] * float64(max(1, n)), outer: w[0], inner: w[0], runs: map[string]float64{}}
		sum := 0.0
		for _, m := range edgePattern.FindAllStringSubmatch(r["Edges"], -1) {
			run := lengthsIn(m[4], u)[0]
			if m[3] == "IN" {
				run = -run
			}
			if b.runs[m[1]] = run; !toPocket(box, m[1]) {
				sum += run
			}
		}
		switch {
		case strings.Contains(r["W"], "on each face"):
		case strings.Contains(r["W"], "OUT") && strings.Contains(r["W"], "IN"):
			b.inner = w[1]
		case strings.Contains(r["W"], "OUT"):
			b.inner = b.outer - sum
		case strings.Contains(r["W"], "IN"):
			b.outer = b.inner + sum
		}
		if p, ok := panelOf(box, func(p *panels.Panel) bool { return p.Mark == b.mark }); ok && (p.Role == panels.Wall && math.Abs(box.Spec.Axis.Of(p.Place.X)) < 0.5 || facePattern.MatchString(r["L"])) {
			b.turned = p.Role == panels.Wall && math.Abs(box.Spec.Axis.Of(p.Place.X)) < 0.5
			b.l, b.outer, b.inner = b.outer, b.l, b.l // its length lies in the section, or is that of a face
			for to, run := range b.runs {
				switch text := r["L"]; {
				case toPocket(box, to):
				case strings.Contains(text, "over both faces") && run < 0:
					b.outer += run
				case strings.Contains(text, "over both faces"), strings.Contains(text, "OUT"):
					b.inner -= run
				case strings.Contains(text, "IN"):
					b.outer += run
				}
			}
		}
		for _, m := range regexp.MustCompile(`rabbet ([^r×]+) × ([\d./-]+)`).FindAllStringSubmatch(r["Work"], -1) {
			b.step, b.depth = lengthsIn(m[1], u)[0], lengthsIn(m[2], u)[0]
		}
		out[b.mark] = b
	}
	hs := headings(all, rows)
	for _, w := range all {
		switch w.text {
		case "Corner":
			var g plane.Polygon
			for _, r := range tableAt(all, w, []string{"Corner", "No."}, "Corner", "X", "Y", "to", "inside") {
				x, y := lengthsIn(r["X"], u), lengthsIn(r["Y"], u)
				if _, err := strconv.Atoi(r["Corner"]); err == nil && len(x) > 0 && len(y) > 0 {
					g = append(g, plane.Point{X: x[0], Y: y[0]})
				}
			}
			for _, m := range ownerOf(hs, w) {
				if b := out[m]; len(g) > 2 {
					b.corners = g
					out[m] = b
				}
			}
		case "No.":
			for _, r := range tableAt(all, w, []string{"No.", "Corner"}, "No.", "What", "X", "Y", "Size") {
				if size := lengthsIn(r["Size"], u); len(size) > 0 {
					a := math.Pi / 4 * size[0] * size[0]
					if !strings.HasPrefix(r["Size"], "Ø") && len(size) > 1 {
						a = size[0] * size[1]
						if len(size) > 2 {
							a -= (4 - math.Pi) * size[2] * size[2]
						}
					}
					for _, m := range ownerOf(hs, w) {
						b := out[m]
						if b.bored += a; regexp.MustCompile(`^(driver|radiator|terminal|port mouth)`).MatchString(r["What"]) {
							b.holes += a
						}
						out[m] = b
					}
				}
			}
		}
	}
	return out
}

// tableAt reads the table whose head begins with a word.
func tableAt(all []pageWord, head pageWord, ends []string, heads ...string) grid {
	var near []pageWord
	for _, w := range all {
		if w.page == head.page && (w == head || w.text != heads[0] || math.Abs(w.y-head.y) > 2) {
			near = append(near, w)
		}
	}
	i := slices.Index(near, head)
	rest := append([]pageWord{head}, slices.Delete(slices.Clone(near), i, i+1)...)
	for k := range rest[1:] { // no other head of this table on the page
		if rest[k+1].text == heads[0] {
			rest[k+1].text += " " // it still ends this one
			ends = append(slices.Clone(ends), rest[k+1].text)
		}
	}
	return tablesWith(rest, columnWide, ends, heads...)
}

var facePattern = regexp.MustCompile(`OUT|IN|over both faces`)

// along is how long a board's side to a neighbour is: of an outline, the side that bears its name in the drawing.
func (b pageBoard) along(box *panels.Box, neighbour string) float64 {
	p, ok := panelOf(box, func(p *panels.Panel) bool { return p.Mark == b.mark })
	if !ok || b.corners == nil {
		return b.l
	}
	sum := 0.0
	for _, e := range p.Edges {
		if k := sideIndex(e.Edge); place(e.Meets) == place(neighbour) && k >= 0 && k < len(b.corners) {
			x, y := b.corners.Edge(k)
			sum += y.Sub(x).Norm()
		}
	}
	return sum
}

var joinPattern = regexp.MustCompile(`^([A-Z]+) (runs past|rabbeted for) ([A-Z]+)$|^([A-Z]+), ([A-Z]+) mitred$`)

// errNotched is returned where a pocket goes through both ends: neither shows the section.
var errNotched = errors.New("no end has the corners of the section")

// sectionFromPage is the outline of the section: that of an end, drawn out by the walls round it, where its sides are then as long as
// the table of corners says; else sides of those lengths in the directions that the end's have. Of the ends across the box both have
// the same figures, of others the one that is seen as the section is. An end without a table is a rectangle, as the section is drawn.
func sectionFromPage(boards map[string]pageBoard, sides, thick []float64, b *panels.Box) plane.Polygon {
	names := map[solids.Axis][]string{solids.Across: {"right end", "left end"}, solids.Depth: {"front"}, solids.Up: {"top"}}[b.Spec.Axis]
	g, n := plane.Polygon(nil), len(sides)
	for _, e := range boards {
		if slices.Contains(names, e.name) && len(e.corners) == n {
			g = e.corners
		}
	}
	if g == nil && n == 4 && len(b.Section) == 4 && rectangular(panels.Panel{Shape: panels.Shape{Outline: b.Section}}) {
		g = b.Section
	}
	if g == nil {
		return nil
	}
	for _, by := range []func(int) float64{func(int) float64 { return 0 }, func(i int) float64 { return -thick[i] }, func(int) float64 { return b.Spec.Wood.Flush }} {
		out, fits := drawnIn(g, by), true // an end over the walls, between them, or to be trimmed
		for i, side := range sides {
			a, c := out.Edge(i)
			fits = fits && math.Abs(c.Sub(a).Norm()-side) < 2*nearEnough
		}
		if fits {
			return out.Translate(out.Bounds().Min.Mul(-1))
		}
	}
	out := make(plane.Polygon, n)
	var at plane.Point
	for i := range n {
		out[i] = at
		a, c := g.Edge(i)
		at = at.Add(c.Sub(a).Unit().Mul(sides[i]))
	}
	for i := range n { // rounded sides do not close: the gap is shared among the corners
		out[i] = out[i].Sub(at.Mul(float64(i) / float64(n)))
	}
	return out.Translate(out.Bounds().Min.Mul(-1))
}

// drawnIn moves the sides of an outline inward.
func drawnIn(g plane.Polygon, by func(side int) float64) plane.Polygon {
	n := len(g)
	out := make(plane.Polygon, n)
	side := func(i int) plane.Line {
		a, b := g.Edge(i)
		return plane.LineThrough(a, b).Offset(by(i))
	}
	for i, v := range g {
		k := (i + n - 1) % n
		if d := by(i); d == by(k) { // lines that meet at a small angle give the corner badly
			a, b := g.Edge(k)
			_, c := g.Edge(i)
			u, w := b.Sub(a).Unit().Left(), c.Sub(b).Unit().Left()
			out[i] = v.Add(u.Add(w).Mul(d / (1 + u.Dot(w))))
			continue
		}
		out[i], _ = side(k).Meet(side(i))
	}
	return out
}

// wrapFromPage places the sections of the walls round the box as the page says, in the coordinates of the section.
func wrapFromPage(all []pageWord, boards map[string]pageBoard, u unit.System, box *panels.Box) (outside plane.Polygon, walls map[string]plane.Polygon, err error) {
	type joint struct {
		through, stops string // marks; empty: mitred
		both           [2]string
		rabbet         bool
	}
	var joints []joint
	var sides []float64
	for _, r := range tablesWith(all, 300, []string{"Panel", "Mark"}, "Corner", "Joint", "Side", "out", "in") {
		m := joinPattern.FindStringSubmatch(r["Joint"])
		if _, err := strconv.Atoi(r["Corner"]); err != nil {
			continue
		}
		long := lengthsIn(r["out"], u)
		if m == nil && pocketed(box) > 1e-9 {
			return nil, nil, errNotched // a pocket lies between the two all along
		}
		if m == nil || len(long) == 0 {
			return nil, nil, fmt.Errorf("no joint or side in %v", r)
		}
		sides = append(sides, long[0])
		if m[1] != "" {
			joints = append(joints, joint{m[1], m[3], [2]string{m[1], m[3]}, m[2] == "rabbeted for"})
			if w := boards[m[1]]; m[2] == "rabbeted for" {
				w.rabbet += w.depth * boards[m[3]].t * w.along(box, boards[m[3]].name)
				boards[m[1]] = w
			}
			continue
		}
		joints = append(joints, joint{both: [2]string{m[4], m[5]}})
	}
	n := len(joints)
	marks, thick := make([]string, n), make([]float64, n)
	for i := range marks {
		for _, m := range joints[i].both {
			if next := joints[(i+1)%n].both; m == next[0] || m == next[1] {
				marks[i], thick[i] = m, boards[m].t
			}
		}
	}
	if outside = sectionFromPage(boards, sides, thick, box); outside == nil {
		return nil, nil, errNotched
	}
	walls = map[string]plane.Polygon{}
	line := func(i int, in float64) plane.Line {
		a, b := outside.Edge((i + n) % n)
		return plane.LineThrough(a, b).Offset(in)
	}
	for i := range n {
		w := boards[marks[i]]
		j := joints[i]
		before := boards[marks[(i+n-1)%n]]
		reflex := outside.InteriorAngle(i) > math.Pi
		other := 0.0 // the face of the wall before on which this one's outer arris lies, from its outer face inward
		switch {
		case j.stops == w.mark && !reflex:
			other = before.t
			if j.rabbet {
				other -= boards[j.through].depth
			}
		case j.through == w.mark && reflex:
			other = before.t
		}
		o0 := outside[i]
		if other > 0 { // else it is the corner itself, which lines at a small angle give badly
			var ok bool
			if o0, ok = line(i-1, other).Meet(line(i, 0)); !ok {
				return nil, nil, fmt.Errorf("corner %d cannot be found", i+1)
			}
		}
		a, b := outside.Edge(i)
		d := b.Sub(a).Unit()
		in := d.Left().Mul(w.t)
		start, stop := w.runs[place(before.name)], w.runs[place(boards[marks[(i+1)%n]].name)]
		o1 := o0.Add(d.Mul(w.outer))
		walls[w.mark] = plane.Polygon{o0, o1, o1.Add(in).Sub(d.Mul(stop)), o0.Add(in).Add(d.Mul(start))}
	}
	return outside, walls, nil
}

// standsNear is how far along a line a corner of a board may stand from its place, m: it is built of four figures at most (where the
// end's corner is, the board's thickness, its width and a run, or another board's thickness), each printed to a tenth of a millimetre
// and so up to half of one off.
const standsNear = 4 * 0.05e-3

// assembledFromPage puts the box together and compares: corners, closure of the section, no overlap, tubes, and the air of the dry fill.
func assembledFromPage(all []pageWord, b *panels.Box, u unit.System) (air bool, err error) {
	boards := pageBoards(all, b, u)
	if err := tubesFromPage(all, b, boards, u); err != nil {
		return false, err
	}
	outside, walls, err := wrapFromPage(all, boards, u, b)
	if errors.Is(err, errNotched) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	lo := b.Section.Bounds().Min
	for i := range b.Panels {
		p := &b.Panels[i]
		q, ok := walls[p.Mark]
		if !ok || leansToPocket(b, p) {
			continue
		}
		for _, face := range [][]r3.Vec{p.Outer, p.Inner} {
			for _, v := range face {
				c := b.Spec.Axis.Section(v).Sub(lo)
				near := math.Inf(1)
				for k, v := range q {
					near = math.Min(near, v.Sub(c).Norm())
					if x, y := q.Edge(k); outlined(*p) { // the corners of a notch lie on the wall's faces
						d := c.Sub(x).Dot(y.Sub(x).Unit())
						if d > 0 && d < y.Sub(x).Norm() {
							near = math.Min(near, math.Abs(plane.LineThrough(x, y).Distance(c)))
						}
					}
				}
				if near > standsNear*math.Sqrt2 {
					return false, fmt.Errorf("%s: no corner within %.2f mm of %.2f, %.2f", p.Name, near*1000, c.X*1000, c.Y*1000)
				}
			}
		}
	}
	for m, p := range walls {
		for k, q := range walls {
			if m < k && p.IntersectArea(q) > 4*nearEnough*boards[m].t {
				if b.Spec.Wood.Joints != panels.Rabbet || p.IntersectArea(q) > boards[m].t*boards[k].t {
					return false, fmt.Errorf("%s and %s overlap by %.1f mm2", m, k, p.IntersectArea(q)*1e6)
				}
			}
		}
	}
	return true, airFromPage(all, b, boards, outside, walls, u)
}

var closePattern = regexp.MustCompile(`\b([A-Z]+) closes the box`)

var fillPattern = regexp.MustCompile(`rim: ([\d.]+) l`)

// airFromPage works out the dry fill from the boards as they are printed, and compares it with the figure on the page: what the wood, the
// pockets of the space and the tubes leave of the outside, and the openings that are taped.
func airFromPage(all []pageWord, b *panels.Box, boards map[string]pageBoard, outside plane.Polygon, walls map[string]plane.Polygon, u unit.System) error {
	long := outsideFromPage(all, b.Spec.Axis, u)
	if e := exactOutside(b); u == unit.Inch && math.Abs(e-long) < inch/60 { // a fraction stands for it
		long = e
	}
	v := outside.Area()*long - pocketed(b)
	air := drawnIn(outside, func(i int) float64 { return sideBoard(outside, i, boards, walls).t })
	closes := "" // the end that is not on yet
	if m := closePattern.FindStringSubmatch(joined(all)); m != nil {
		closes = m[1]
	}
	for i, p := range b.Panels {
		q := boards[p.Mark]
		if section, ok := walls[p.Mark]; ok && q.corners == nil {
			v -= section.Area()*q.l*q.t/boards[p.Mark].t - q.rabbet
		} else if p.Role == panels.End {
			g := q.corners
			for _, o := range boards { // both ends have one table where it is the same
				if g == nil && strings.HasSuffix(o.name, " end") && len(o.corners) == len(outside) {
					g = o.corners
				}
			}
			wood := q.l * q.outer * q.t
			if g != nil {
				g = g.CCW()
				if more := g.Bounds().Width() - q.l; more > nearEnough {
					g = drawnIn(g, func(int) float64 { return more / 2 })
				}
				wood = g.Area() * q.t
			}
			field := air.Area()
			if q.depth > 0 && g != nil && len(g) != len(outside) { // round a notch as well
				field = drawnIn(g, func(int) float64 { return q.step }).Area()
			}
			v -= wood - (wood/q.t-field)*q.depth
		} else {
			v -= q.volume()
			for _, e := range p.Edges { // the corners are those of the outer face
				if k := sideIndex(e.Edge); q.corners != nil && k >= 0 && k < len(q.corners) {
					x, y := q.corners.Edge(k)
					v += q.runs[place(e.Meets)] * y.Sub(x).Norm() * q.t / 2
				}
			}
		}
		if !p.Role.Shell() {
			v += q.bored * q.t
		} else if p.Mark != closes && i != removableOf(b) {
			v += q.holes * q.t
		}
	}
	v -= tubesInside(all, boards, u)
	m := fillPattern.FindStringSubmatch(joined(all))
	if m == nil {
		return errors.New("no figure of the dry fill")
	}
	want, _ := strconv.ParseFloat(m[1], 64)
	if math.Abs(v*1000-want) > 2e-3*want+0.06 {
		return fmt.Errorf("the boards leave %.2f l, the page says %.1f (%.1f mm long, design's %.2f l)", v*1000, want, long*1000, b.InsideVolume*1000)
	}
	return nil
}

// TestAssembledFromThePage puts the worked boxes together from part B.
func TestAssembledFromThePage(t *testing.T) {
	tool(t, "pdftotext")
	aired := 0
	for _, c := range shopCases() {
		if c.extra > 0 {
			continue
		}
		r, all := printedWords(t, c, "a4")
		air, err := assembledFromPage(all, r.Designs[0].Box, c.units)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if air {
			aired++
		}
	}
	if aired < 10 {
		t.Errorf("the air of %d boxes was compared", aired)
	}
}

// TestAssembledFromThePageCanFail plants faults in what is printed: each is found.
func TestAssembledFromThePageCanFail(t *testing.T) {
	tool(t, "pdftotext")
	for name, plant := range map[string]func(*design.Design){
		"width": func(d *design.Design) {
			p := &d.Box.Panels[edged(d.Box)]
			p.OuterWidth, p.InnerWidth = p.OuterWidth+0.6e-3, p.InnerWidth+0.6e-3
		},
		"joint": func(d *design.Design) {
			for i := range d.Box.Panels[0].Edges {
				if d.Box.Panels[0].Edges[i].Joint == panels.ButtThrough {
					d.Box.Panels[0].Edges[i].Joint = panels.ButtStop
				}
			}
		},
		"thickness": func(d *design.Design) { d.Box.Panels[edged(d.Box)].Thickness += 0.5e-3 },
		"fill":      func(d *design.Design) { d.Work = work.Make(d.Box, d.Sheets); d.Work.Fill.Volume *= 1.01 },
	} {
		c := shopCases()[1]
		r := shopResult(t, c)
		was := *r.Designs[0].Box
		was.Panels = slices.Clone(was.Panels)
		plant(&r.Designs[0])
		data, err := shopBook(t, r, "a4").pdf(r, Options{Created: "2026-03-14T00:00:00Z"})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := assembledFromPage(wordsOf(t, data), &was, c.units); err == nil {
			t.Errorf("a fault in the %s is not seen", name)
		}
	}
}
