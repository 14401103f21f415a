package render

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"cubby/internal/plane"
	solids "cubby/internal/solid"
	"cubby/internal/unit"
)

// The functions of this file build the box from part B: ends from their tables of corners, walls round them by the table of joints.
// They are given the words of its pages and nothing else.

// pageBoard is a board as its row of the list and the tables of its card give it.
type pageBoard struct {
	mark, name   string
	t            float64    // m, of all its layers
	l, w         [2]float64 // m, of the outer and the inner face, along its length and across
	faced        string     // "l" or "w": which of them has a face's name
	runs         map[string]float64
	steps        []float64                // of rabbets: width and depth, one after the other
	rabbet       float64                  // m3 of wood that rabbets along single edges take
	pageOutline                           // of its outer face, as cut
	flush        float64                  // m, that it is cut larger all round
	long         float64                  // m, of a wall along the box
	lines        map[string]plane.Polygon // points of the lines of boards that stand on it, by their marks
	holes, bored float64                  // m2, of openings that the fill counts, and of all
}

// pageOutline is a table of corners.
type pageOutline struct {
	corners plane.Polygon
	inside  []float64 // degrees, of the corners
	next    []float64 // m, from each to the next
	along   []string  // marks of what the sides after them meet
}

// counterClockwise is the outline that way round: the corner that was first is the last.
func (o pageOutline) counterClockwise() pageOutline {
	if o.corners.Area() > 0 {
		return o
	}
	n := len(o.corners)
	out := pageOutline{make(plane.Polygon, n), make([]float64, n), make([]float64, n), make([]string, n)}
	for i := range n {
		back := (2*n - 2 - i) % n // the side before becomes the one after
		out.corners[i], out.inside[i], out.next[i], out.along[i] = o.corners[n-1-i], o.inside[n-1-i], o.next[back], o.along[back]
	}
	return out
}

// pageJoint is a corner of the section: who meets there, and how.
type pageJoint struct {
	both           [2]string // marks
	through, stops string    // empty: mitred, or apart
	rabbet, apart  bool
}

// pageNotch is a notch with its measures from left, front and bottom, m.
type pageNotch struct {
	name   string
	lo, hi [3]float64
}

// pageBox is a box as its pages give it.
type pageBox struct {
	units         unit.System
	axis          solids.Axis
	long          float64 // m, along the axis
	notches       []pageNotch
	boards        map[string]pageBoard
	ends          []string // marks
	closes, loose string   // marks of the end that goes on last, and of the face that is screwed on
	joints        []pageJoint
	sides         []float64 // m
	outside       plane.Polygon
	walls         map[string]plane.Polygon // sections
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

// outsideFromPage is the outside size along an axis; 0: none is printed.
func outsideFromPage(all []pageWord, axis solids.Axis, u unit.System) float64 {
	word := [...]string{"wide,", "deep,", "high"}[axis]
	for _, w := range all {
		if w.page > 1 || w.text != word {
			continue
		}
		var best pageWord
		for _, v := range all {
			if v.page == w.page && v.x < w.x && v.x > best.x && math.Abs(v.y-w.y) < 10 {
				best = v
			}
		}
		if l := lengthsIn(best.text, u); len(l) > 0 {
			return l[0]
		}
	}
	return 0
}

// tubeRows are the rows of the table of tubes.
func tubeRows(all []pageWord) grid {
	return tablesWith(all, pageWide, []string{"Elbow:", "Port"}, "Port", "In", "Bore", "Outside", "Centre", "Legs", "Inner")
}

// tubesInside is the room that the tubes take inside the box, as their rows say.
func tubesInside(all []pageWord, boards map[string]pageBoard, u unit.System) float64 {
	v := 0.0
	for _, r := range tubeRows(all) {
		outside, long := lengthsIn(r["Outside"], u), lengthsIn(r["Centre"], u)
		if mark, _, _ := strings.Cut(r["In"], " "); len(outside) > 0 && len(long) > 0 {
			v += math.Pi / 4 * outside[0] * outside[0] * math.Max(0, long[0]-boards[mark].t)
		}
	}
	return v
}

// lineFrom are the words that stand on the line of one, from it on.
func lineFrom(all []pageWord, w pageWord) string {
	var line []pageWord
	for _, v := range all {
		if v.page == w.page && math.Abs(v.y-w.y) < 3.5 && v.x >= w.x {
			line = append(line, v)
		}
	}
	slices.SortFunc(line, func(a, b pageWord) int { return cmp.Compare(a.x, b.x) })
	return joined(line)
}

var (
	facePattern  = regexp.MustCompile(`OUT|IN|over both faces`)
	stepPattern  = regexp.MustCompile(`rabbet ([^r×]+) × ([\d./-]+)`)
	joinPattern  = regexp.MustCompile(`^([A-Z]+) (runs past|rabbeted for) ([A-Z]+)$|^([A-Z]+), ([A-Z]+)( mitred)?$`)
	flushPattern = regexp.MustCompile(`bearing on the walls: ([\d./-]+) all round`)
	bigHole      = regexp.MustCompile(`^(driver|radiator|terminal|port mouth)`)
)

// stepMarks are the marks before the words of a step.
func stepMarks(all []pageWord, words string) (marks []string) {
	const column = 62.0 // points
	for i := range all {
		if n := i + len(strings.Fields(words)); n > len(all) || joined(all[i:n]) != words {
			continue
		}
		for _, w := range all {
			if at := all[i]; w.page == at.page && math.Abs(w.y-at.y) < 2 && w.x < at.x && w.x > at.x-column {
				marks = append(marks, regexp.MustCompile(`^[A-Z]+`).FindAllString(w.text, -1)...)
			}
		}
	}
	return marks
}

// readBox reads the boards and puts them together.
func readBox(all []pageWord) (*pageBox, error) {
	p := &pageBox{boards: map[string]pageBoard{}}
	for i, w := range all {
		switch {
		case w.page == 1 && w.text == "inches":
			p.units = unit.Inch
		case w.text == "Section" && i+3 < len(all) && joined(all[i:i+4]) == "Section through the walls":
			switch line := lineFrom(all, w); {
			case strings.Contains(line, "from the FRONT"):
				p.axis = solids.Depth
			case strings.Contains(line, "from above"):
				p.axis = solids.Up
			case !strings.Contains(line, "from the RIGHT END"):
				return nil, fmt.Errorf("the section is not seen from anywhere: %q", line)
			}
		}
	}
	p.long = outsideFromPage(all, p.axis, p.units)
	for _, r := range tablesWith(all, columnWide, []string{"Board"}, "Notch,", "LEFT", "FRONT", "BOTTOM") {
		if r["LEFT"] == "" { // the head's second line
			continue
		}
		n, err := readNotch(r, p.units)
		if err != nil {
			return nil, err
		}
		p.notches = append(p.notches, n)
	}
	p.closes = strings.Join(stepMarks(all, "closes the box"), "")
	p.loose = strings.Join(stepMarks(all, "on its gasket, never"), "")
	p.readBoards(all)
	if err := p.readJoints(all); err != nil {
		return nil, err
	}
	return p, p.standWalls()
}

// readNotch reads a row of the table of notches.
func readNotch(r map[string]string, u unit.System) (pageNotch, error) {
	n := pageNotch{name: r["Notch,"]}
	for k, head := range []string{"LEFT", "FRONT", "BOTTOM"} {
		from, to, ok := strings.Cut(r[head], "–")
		if !ok {
			from, to, _ = strings.Cut(r[head], " to ")
		}
		a, b := lengthsIn(from, u), lengthsIn(to, u)
		if len(a) == 0 || len(b) == 0 {
			return n, fmt.Errorf("a notch without measures: %v", r)
		}
		n.lo[k], n.hi[k] = a[0], b[0]
	}
	return n, nil
}

// inNotch reports whether a board lines a notch: it bears its name.
func (p *pageBox) inNotch(mark string) bool {
	name := p.boards[mark].name
	return slices.ContainsFunc(p.notches, func(n pageNotch) bool { return strings.HasPrefix(place(name), place(n.name)+" ") })
}

// listRows are the rows of the panel list.
func listRows(all []pageWord) grid {
	return tablesWith(all, pageWide, []string{"Dust", "Blade"}, "Mark", "Panel", "Qty", "T", "L", "W", "Edges", "Grain", "Work", "cut")
}

// readBoards reads the list, and the tables of the cards.
func (p *pageBox) readBoards(all []pageWord) {
	rows := listRows(all)
	endNames := map[solids.Axis][]string{solids.Across: {"left end", "right end"}, solids.Depth: {"front", "back"}, solids.Up: {"bottom", "top"}}[p.axis]
	outlined, marks := map[string]bool{}, map[string]string{}
	for _, r := range rows {
		marks[place(r["Panel"])] = r["Mark"]
		p.boards[r["Mark"]] = pageBoard{mark: r["Mark"], name: r["Panel"]}
	}
	for _, r := range rows {
		l, t, w := lengthsIn(r["L"], p.units), lengthsIn(r["T"], p.units), lengthsIn(r["W"], p.units)
		if len(l)*len(t)*len(w) == 0 {
			continue
		}
		n, _ := strconv.Atoi(r["Qty"])
		b := pageBoard{mark: r["Mark"], name: r["Panel"], t: t[0] * float64(max(1, n)), l: [2]float64{l[0], l[0]}, w: [2]float64{w[0], w[0]}, runs: map[string]float64{}}
		for _, m := range edgePattern.FindAllStringSubmatch(r["Edges"], -1) {
			b.runs[marks[m[1]]] = math.Copysign(lengthsIn(m[4], p.units)[0], map[string]float64{"OUT": 1, "IN": -1}[m[3]])
		}
		p.readFaces(&b, r["L"], r["W"], w)
		for _, m := range stepPattern.FindAllStringSubmatch(r["Work"], -1) {
			b.steps = append(b.steps, lengthsIn(m[1], p.units)[0], lengthsIn(m[2], p.units)[0])
		}
		outlined[b.mark] = strings.Contains(r["Edges"], "see Ends")
		if slices.Contains(endNames, b.name) {
			p.ends = append(p.ends, b.mark)
		}
		p.boards[b.mark] = b
	}
	p.readTables(all, headings(all, rows))
	for i, m := range p.ends { // tables with the same figures stand once
		if b := p.boards[m]; outlined[m] && b.corners == nil {
			b.pageOutline = p.boards[p.ends[1-i]].pageOutline
			p.boards[m] = b
		}
	}
	if m := flushPattern.FindStringSubmatch(joined(all)); m != nil {
		for _, mark := range stepMarks(all, "trimmed flush with") {
			b := p.boards[mark]
			b.flush = lengthsIn(m[1], p.units)[0]
			p.boards[mark] = b
		}
	}
}

// readFaces works out both faces of a board from the words at its length or its width, and the runs of its bevels.
func (p *pageBox) readFaces(b *pageBoard, l, w string, widths []float64) {
	sum := 0.0
	for to, run := range b.runs {
		if p.inNotch(to) {
			continue // not across the whole width
		}
		sum += run
		switch {
		case strings.Contains(l, "over both faces") && run < 0:
			b.l[0] += run
		case strings.Contains(l, "over both faces"), strings.Contains(l, "OUT"):
			b.l[1] -= run
		case strings.Contains(l, "IN"):
			b.l[0] += run
		}
	}
	switch {
	case strings.Contains(w, "OUT") && strings.Contains(w, "IN"):
		b.w[1] = widths[1]
	case strings.Contains(w, "OUT"):
		b.w[1] -= sum
	case strings.Contains(w, "IN"):
		b.w[0] += sum
	}
	if facePattern.MatchString(l) {
		b.faced = "l"
	} else if facePattern.MatchString(w) || strings.Contains(w, "on each face") {
		b.faced = "w"
	}
}

// readTables reads the tables of corners and openings, each for the boards of the card that it stands on.
func (p *pageBox) readTables(all []pageWord, hs []heading) {
	for _, w := range all {
		switch w.text {
		case "Corner":
			var g pageOutline
			for _, r := range tableAt(all, w, []string{"Corner", "No.", "Inner"}, "Corner", "X", "Y", "to", "inside", "along") {
				x, y, next := lengthsIn(r["X"], p.units), lengthsIn(r["Y"], p.units), lengthsIn(r["to"], p.units)
				if _, err := strconv.Atoi(r["Corner"]); err == nil && len(x)*len(y)*len(next) > 0 {
					angle, _ := strconv.ParseFloat(strings.TrimSuffix(r["inside"], "°"), 64)
					g.corners, g.next = append(g.corners, plane.Point{X: x[0], Y: y[0]}), append(g.next, next[0])
					g.inside, g.along = append(g.inside, angle), append(g.along, r["along"])
				}
			}
			for _, m := range ownerOf(hs, w) {
				if b := p.boards[m]; len(g.corners) > 2 {
					b.pageOutline = g.counterClockwise()
					p.boards[m] = b
				}
			}
		case "Inner":
			lines := map[string]plane.Polygon{}
			for _, r := range tableAt(all, w, []string{"No.", "Corner", "Inner"}, "Inner", "X", "Y", "to", "to"+again) {
				if x, y, u, v := lengthsIn(r["X"], p.units), lengthsIn(r["Y"], p.units), lengthsIn(r["to"], p.units), lengthsIn(r["to"+again], p.units); len(x)*len(y)*len(u)*len(v) > 0 {
					m := r["Inner"]
					if _, ok := p.boards[m]; !ok {
						break // the texts under it
					}
					lines[m] = append(lines[m], plane.Point{X: x[0], Y: y[0]}, plane.Point{X: u[0], Y: v[0]})
				}
			}
			for _, m := range ownerOf(hs, w) {
				if b := p.boards[m]; len(lines) > 0 {
					b.lines = lines
					p.boards[m] = b
				}
			}
		case "No.":
			for _, r := range tableAt(all, w, []string{"No.", "Corner", "Inner"}, "No.", "What", "X", "Y", "Size") {
				size := lengthsIn(r["Size"], p.units)
				if len(size) == 0 {
					continue
				}
				a := math.Pi / 4 * size[0] * size[0]
				if !strings.HasPrefix(r["Size"], "Ø") && len(size) > 1 {
					a = size[0] * size[1]
					if len(size) > 2 {
						a -= (4 - math.Pi) * size[2] * size[2]
					}
				}
				for _, m := range ownerOf(hs, w) {
					b := p.boards[m]
					if b.bored += a; bigHole.MatchString(r["What"]) {
						b.holes += a
					}
					p.boards[m] = b
				}
			}
		}
	}
}

// wood is the volume of a board with its openings shut; the corners of an outline are those of the outer face.
func (b pageBoard) wood() float64 {
	v := (b.l[0] + b.l[1]) / 2 * (b.w[0] + b.w[1]) / 2 * b.t
	if b.corners != nil {
		v = math.Abs(b.corners.Area()) * b.t
		for i, to := range b.along {
			v -= b.runs[to] * b.next[i] * b.t / 2
		}
	}
	return v - b.rabbet
}
