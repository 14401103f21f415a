package render

import (
	"cmp"
	"errors"
	"flag"
	"fmt"
	"math"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/unit"
)

// The tests of this file build the boards from the text of part B alone, as pdftotext reads it: list, edges, rabbets, corners and
// openings are found by the heads of their columns, and compared with the design.

// pageWord is a word on a page, points from the upper left.
type pageWord struct {
	page int
	x, y float64
	text string
	foot float64 // where the foot of its page begins
	tall float64 // of its box: more than the type's size
}

var wordPattern = regexp.MustCompile(`<page width="[\d.]+" height="([\d.]+)"|<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">([^<]*)</word>`)

// wordsOf reads a document.
func wordsOf(t testing.TB, data []byte) []pageWord {
	c := exec.Command("pdftotext", "-bbox", "-", "-")
	c.Stdin = strings.NewReader(string(data))
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	var all []pageWord
	page, foot := 0, 0.0
	unescape := strings.NewReplacer("&amp;", "&", "&lt;", "<", "&gt;", ">", "&quot;", `"`)
	for _, m := range wordPattern.FindAllStringSubmatch(string(out), -1) {
		if m[1] != "" {
			page++
			foot, _ = strconv.ParseFloat(m[1], 64)
			foot -= (footMargin - 2) / pointMM
			continue
		}
		x, _ := strconv.ParseFloat(m[2], 64)
		y, _ := strconv.ParseFloat(m[3], 64)
		low, _ := strconv.ParseFloat(m[4], 64)
		all = append(all, pageWord{page, x, y, unescape.Replace(m[5]), foot, low - y})
	}
	return all
}

// grid is a table as it is found on the pages: rows of cells by the first word of their column's head.
type grid []map[string]string

// tablesWith finds every table whose head has these words at the left of its columns, in this order. A row begins where its first
// column has a word; a table ends at a gap, and where a word of ends stands in the first column. No table is wider than wide points.
func tablesWith(all []pageWord, wide float64, ends []string, heads ...string) grid {
	var out grid
	for _, w := range all {
		if w.text != heads[0] {
			continue
		}
		xs := []float64{w.x}
		for _, h := range heads[1:] {
			k := slices.IndexFunc(all, func(v pageWord) bool {
				return v.page == w.page && math.Abs(v.y-w.y) < 2 && v.x > xs[len(xs)-1] && v.x < w.x+wide && v.text == h
			})
			if k < 0 {
				break
			}
			xs = append(xs, all[k].x)
		}
		if len(xs) == len(heads) {
			var mine []pageWord
			for _, v := range all {
				if v.page == w.page && v.y > w.y-2 && v.y < w.foot && v.x > xs[0]-12 && v.x < w.x+wide {
					mine = append(mine, v)
				}
			}
			out = append(out, rowsUnder(mine, w, xs, ends, heads)...)
		}
	}
	return out
}

// rowsUnder reads the rows under a head out of the words that stand in its columns.
func rowsUnder(mine []pageWord, h pageWord, xs []float64, ends, heads []string) grid {
	limit := h.foot
	var begins []float64
	for _, w := range mine {
		if w.y > h.y+8 && w.x < xs[1]-2 && slices.Contains(ends, w.text) {
			limit = math.Min(limit, w.y)
		}
	}
	for _, w := range mine {
		if w.y > h.y+8 && w.y < limit && w.x < xs[1]-4 {
			begins = append(begins, w.y)
		}
	}
	slices.Sort(begins)
	begins = slices.CompactFunc(begins, func(a, b float64) bool { return math.Abs(a-b) < 6 })
	var out grid
	low := bottomOf(mine, h.y, limit)
	for r, y := range begins {
		if y > low+8 {
			break
		}
		low = bottomOf(mine, y, limit)
		end := math.Min(limit, low)
		if r+1 < len(begins) {
			end = math.Min(end, begins[r+1])
		}
		row := map[string]string{}
		var words []pageWord
		for _, w := range mine {
			if w.y > y-3 && w.y < end-3 {
				words = append(words, w)
			}
		}
		slices.SortStableFunc(words, func(a, b pageWord) int {
			if math.Abs(a.y-b.y) > 3 {
				return cmp.Compare(a.y, b.y)
			}
			return cmp.Compare(a.x, b.x)
		})
		for _, w := range words {
			col := 0
			for k := range xs {
				if w.x > xs[k]-3 {
					col = k
				}
			}
			row[heads[col]] = strings.TrimSpace(row[heads[col]] + " " + w.text)
		}
		out = append(out, row)
	}
	return out
}

// bottomOf is where the lines that begin at y end: at a gap wider than that between the lines of a cell.
func bottomOf(words []pageWord, y, limit float64) float64 {
	const pitch = 12.6 // points, more than the distance of two lines of a cell
	var ys []float64
	for _, w := range words {
		if w.y > y-3 && w.y < limit {
			ys = append(ys, w.y)
		}
	}
	slices.Sort(ys)
	for _, v := range ys {
		if v > y+pitch {
			break
		}
		y = math.Max(y, v)
	}
	return y + pitch
}

// Widths of tables in points: of the page, and of its columns.
const (
	pageWide   = 1e4
	columnWide = 250.0
)

var lengthPattern = regexp.MustCompile(`(\d+-\d+/\d+|\d+/\d+|\d+\.\d+|\d+)( · (\d*\.\d+))?`)

// lengthsIn reads the lengths in a text, metres: the exact figure where one follows a fraction.
func lengthsIn(s string, u unit.System) []float64 {
	var out []float64
	for _, m := range lengthPattern.FindAllStringSubmatch(s, -1) {
		v := 0.0
		switch {
		case m[3] != "":
			v, _ = strconv.ParseFloat(m[3], 64)
		default:
			whole, frac := "", m[1]
			if i := strings.IndexByte(m[1], '-'); i > 0 {
				whole, frac = m[1][:i], m[1][i+1:]
			}
			if i := strings.IndexByte(frac, '/'); i > 0 {
				n, _ := strconv.ParseFloat(frac[:i], 64)
				d, _ := strconv.ParseFloat(frac[i+1:], 64)
				v = n / d
			} else {
				v, _ = strconv.ParseFloat(frac, 64)
			}
			if w, err := strconv.ParseFloat(whole, 64); err == nil {
				v += w
			}
		}
		if u == unit.Inch {
			out = append(out, v*inch)
		} else {
			out = append(out, v/1000)
		}
	}
	return out
}

// nearEnough is how far a length that is built from the page may be from the design, m.
const nearEnough = 0.15e-3

func off(a, b float64) bool { return math.Abs(a-b) > nearEnough }

var edgePattern = regexp.MustCompile(`(?:to ([A-Z0-9 ]+?)|free edge) (\d+\.\d)°, (OUT|IN) long, run ([\d./-]+)`)

// builtFromPage compares everything that part B prints of its boards with the box.
func builtFromPage(all []pageWord, b *panels.Box, u unit.System) error {
	rows := tablesWith(all, pageWide, []string{"Dust", "Blade"}, "Mark", "Panel", "Qty", "T", "L", "W", "Edges", "Grain", "Work", "cut")
	byMark := map[string]map[string]string{}
	for _, r := range rows {
		byMark[r["Mark"]] = r
	}
	for i := range b.Panels {
		p := &b.Panels[i]
		r, ok := byMark[p.Mark]
		if !ok {
			return fmt.Errorf("%s %s is not in the list", p.Mark, p.Name)
		}
		if err := listRow(r, p, b, u); err != nil {
			return fmt.Errorf("%s %s: %w (row %v)", p.Mark, p.Name, err, r)
		}
	}
	if err := cornersPrinted(all, b, u); err != nil {
		return err
	}
	return holesPrinted(all, b, u)
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

// cornersPrinted finds the corners of every outline in the tables of corners.
func cornersPrinted(all []pageWord, b *panels.Box, u unit.System) error {
	var printed []plane.Point
	for _, r := range tablesWith(all, columnWide, []string{"Corner", "No."}, "Corner", "X", "Y", "to", "inside") {
		x, y := lengthsIn(r["X"], u), lengthsIn(r["Y"], u)
		if _, err := strconv.Atoi(r["Corner"]); err == nil && len(x) > 0 && len(y) > 0 {
			printed = append(printed, plane.Point{X: x[0], Y: y[0]})
		}
	}
	for i := range b.Panels {
		p := b.Panels[i]
		if !outlined(p) {
			continue
		}
		g, cut := datumOf(p), p.CutOutline()
		lo, hi := bounds(cut)
		g.Width, g.Height = hi.X-lo.X, hi.Y-lo.Y
		for _, c := range cut {
			x, y := g.place(c.Sub(lo))
			if !slices.ContainsFunc(printed, func(q plane.Point) bool { return !off(q.X, x) && !off(q.Y, y) }) {
				return fmt.Errorf("%s: no corner at %.2f, %.2f mm among %v", p.Name, x*1000, y*1000, printed)
			}
		}
	}
	return nil
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

// printedWords lays a case out and reads it back.
func printedWords(t testing.TB, c shopCase, paper string) (*design.Result, []pageWord) {
	r := shopResult(t, c)
	b := shopBook(t, r, paper)
	data, err := b.pdf(r, Options{Created: "2026-03-14T00:00:00Z"})
	if err != nil {
		t.Fatal(err)
	}
	return r, wordsOf(t, data)
}

// TestBuiltFromThePage builds the worked boxes from part B.
func TestBuiltFromThePage(t *testing.T) {
	tool(t, "pdftotext")
	for _, c := range shopCases() {
		if c.extra > 0 {
			continue
		}
		for _, paper := range []string{"letter", "a4"} {
			r, all := printedWords(t, c, paper)
			if err := builtFromPage(all, r.Designs[0].Box, c.units); err != nil {
				t.Errorf("%s on %s: %v", c.name, paper, err)
			}
		}
	}
}

var long = flag.Bool("long", false, "build hundreds of random boxes from the page")

// TestBuiltFromThePageRandom builds random boxes from part B.
func TestBuiltFromThePageRandom(t *testing.T) {
	tool(t, "pdftotext")
	n, most, kinds := 0, 12, map[string]int{}
	if *long {
		most = 400
	}
	rapid.Check(t, func(rt *rapid.T) {
		c := randomCase(rt)
		if _, err := panels.Build(c.spec); err != nil || n >= most {
			return
		}
		n++
		r, all := printedWords(t, c, rapid.SampledFrom([]string{"letter", "a4"}).Draw(rt, "paper"))
		if err := builtFromPage(all, r.Designs[0].Box, c.units); err != nil {
			rt.Error(err)
		}
		air, err := assembledFromPage(all, r.Designs[0].Box, c.units)
		if err != nil {
			rt.Error(err)
		}
		for _, k := range kindsOf(r.Designs[0].Box, air) {
			kinds[k]++
		}
	})
	t.Logf("%d boxes built from the page: %v", n, kinds)
}

// kindsOf says what a random box has, for the count of what was tried.
func kindsOf(b *panels.Box, air bool) (out []string) {
	out = append(out, "axis "+b.Spec.Axis.String(), "joints "+b.Spec.Wood.Joints.String())
	for what, is := range map[string]bool{"pocket": pocketed(b) > 1e-9, "slot": b.Slot != nil, "elbow": len(b.Ports) > 0 && b.Ports[0].Elbow != nil, "two drivers": len(b.Drivers.Centres) > 1, "flush": b.Spec.Wood.Flush > 0,
		"removable": b.Removable != nil, "air": air, "braced": slices.ContainsFunc(b.Panels, func(p panels.Panel) bool { return p.Role.Stands() })} {
		if is {
			out = append(out, what)
		}
	}
	return out
}

// TestBuiltFromThePageCanFail plants faults in what the page is compared with: each is found.
func TestBuiltFromThePageCanFail(t *testing.T) {
	tool(t, "pdftotext")
	for name, plant := range map[string]func(*panels.Box){
		"length": func(b *panels.Box) { b.Panels[0].Length += 0.3e-3 },
		"bevel":  func(b *panels.Box) { b.Panels[edged(b)].Edges[0].Tilt *= -1; b.Panels[edged(b)].Edges[1].Tilt *= -1 },
		"width":  func(b *panels.Box) { b.Panels[edged(b)].OuterWidth += 0.3e-3 },
		"hole":   func(b *panels.Box) { h := &b.Panels[pierced(b)].Holes[0]; h.X += 0.3e-3 },
		"corner": func(b *panels.Box) {
			p := &b.Panels[end(b)]
			p.Outline = slices.Clone(p.Outline)
			p.Outline[2].X += 0.3e-3
		},
		"missing": func(b *panels.Box) { p := b.Panels[0]; p.Mark = "ZZ"; b.Panels = append(slices.Clone(b.Panels), p) },
	} {
		c := shopCases()[1]
		r, all := printedWords(t, c, "letter")
		if err := builtFromPage(all, r.Designs[0].Box, c.units); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		plant(r.Designs[0].Box)
		if builtFromPage(all, r.Designs[0].Box, c.units) == nil {
			t.Errorf("a fault in the %s is not seen", name)
		}
	}
}

func edged(b *panels.Box) int {
	return slices.IndexFunc(b.Panels, func(p panels.Panel) bool { return slices.ContainsFunc(p.Edges, bevelled) })
}

func pierced(b *panels.Box) int {
	return slices.IndexFunc(b.Panels, func(p panels.Panel) bool { return len(p.Holes) > 0 })
}

func end(b *panels.Box) int {
	return slices.IndexFunc(b.Panels, func(p panels.Panel) bool { return p.Role == panels.End })
}
