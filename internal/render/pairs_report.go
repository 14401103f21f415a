package render

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"strings"

	"cubby/internal/design"
	"cubby/internal/search"
	"cubby/internal/unit"
	"cubby/internal/word"
)

// How much of a pairing is printed: boxes beside each other in the table both ways, pairs in the list, lines in the graph.
const (
	pairBoxes = 5
	pairRows  = 40
	pairLines = 4
)

// PairsReport writes several drivers against several ready-made boxes as a PDF: who suits whom, and the maximum level of the
// best pairs. Errors as those of Document.
func PairsReport(w io.Writer, r *design.Pairing, o Options) error {
	b, err := layOutPairs(r, o)
	return b.write(w, err)
}

func layOutPairs(r *design.Pairing, o Options) (*book, error) {
	if r == nil || len(r.Pairs) == 0 {
		return nil, errors.New("document: no pair was judged")
	}
	return bound(&design.Result{Basis: design.Basis{Request: r.Request}}, o, func(b *book) {
		pairPages(b, r)
	})
}

func pairPages(b *book, r *design.Pairing) {
	f := b.flow(partA, "Drivers and boxes", portrait)
	title := r.Request.Title
	if title == "" {
		title = "Which driver suits which box?"
	}
	f.Heading(title)
	boxes := fmt.Sprintf("%d boxes", len(r.Boxes))
	if len(r.Boxes) == 1 {
		boxes = "one box"
	}
	f.Para(fmt.Sprintf("%s judged in %s, each with the job's amplifier and space. Watts: the power that excursion and port speed allow.",
		word.Count(len(r.Drivers), "driver"), boxes))
	f.Gap(2)
	if len(r.Boxes) > 1 && len(r.Drivers) > 1 {
		for from := 0; from < len(r.Boxes); from += pairBoxes {
			f.Table(bothWays(r, r.Boxes[from:min(from+pairBoxes, len(r.Boxes))]))
			f.Gap(3)
		}
	}
	f.Table(pairList(r))
	if n := len(r.Pairs) - pairRows; n > 0 {
		f.Styled(fmt.Sprintf("%s more not printed.", word.Count(n, "pair")), TextStyle{Size: sizeSmall})
	}
	f.Gap(2)
	const least, most = 60.0, 95.0 // mm, of the graph
	small := TextStyle{Size: sizeSmall}
	if len(r.Assumptions) > 0 {
		f.Styled("Not said in the job, and taken so: "+strings.Join(r.Assumptions, "; ")+".", small)
		f.Gap(2)
	}
	foot := paragraphHeight(f.Area.W, checkCautions, small) + 3
	if g := pairGraph(r); len(g.Lines) > 0 {
		if f.Left()-foot < least {
			f.Page()
		}
		g.draw(f, f.Box(min(most, f.Left()-foot-3)))
	}
	f.Need(foot)
	f.Gap(2)
	f.Styled(checkCautions, small)
}

// bothWays is the table of drivers against some of the boxes.
func bothWays(r *design.Pairing, boxes []string) table {
	t := table{Size: sizeSmall, Columns: []column{{Head: "driver", Width: 38}}}
	for _, box := range boxes {
		t.Columns = append(t.Columns, column{Head: box})
	}
	for _, driver := range r.Drivers {
		words := []string{driver}
		for _, box := range boxes {
			words = append(words, pairWord(r.At(driver, box)))
		}
		t.Rows = append(t.Rows, cells(words...))
	}
	return t
}

// pairWord is the verdict on a pair in a cell.
func pairWord(p *design.Pair) string {
	switch {
	case p == nil:
		return "–"
	case p.Verdict == design.DoesNotSuit:
		return "no"
	}
	text := string(p.Verdict)
	if at := search.Watts(p.Allowed); finite(p.Allowed) && !strings.HasSuffix(text, at) { // some verdicts say it
		text += ", " + at
	}
	return text
}

// pairList is the list of the pairs, best first.
func pairList(r *design.Pairing) table {
	t := table{Size: sizeSmall, Columns: []column{{Head: "", Width: 8, Align: AlignRight}, {Head: "driver", Width: 33}, {Head: "box", Width: 33},
		{Head: "net air", Width: 17, Align: AlignRight}, {Head: "f3", Width: 14, Align: AlignRight}, {Head: "allows", Width: 15, Align: AlignRight},
		{Head: fmt.Sprintf("%d Hz, dB", comparedAt), Width: 18, Align: AlignRight}, {Head: "answer"}}}
	for i := range r.Pairs[:min(pairRows, len(r.Pairs))] {
		p := &r.Pairs[i]
		air, low, allows, loud := "–", "–", "–", cmp.Or(p.At(comparedAt), "–")
		if p.NetVolume > 0 {
			air = unit.FormatVolume(p.NetVolume, r.Request.Units)
		}
		if v := p.Lowest(); finite(v) {
			low = hertz(v)
		}
		if finite(p.Allowed) {
			allows = watts(p.Allowed)
		}
		t.Rows = append(t.Rows, cells(fmt.Sprint(i+1), p.Driver, p.Box, air, low, allows, loud, answer(p.Judged)))
	}
	return t
}

// pairGraph is the maximum level of the best pairs.
func pairGraph(r *design.Pairing) graph {
	looks := []look{lookSolid, lookDash, lookDot, lookThin}
	g := graph{Title: "Maximum level within every limit", YLabel: "dB re 20 µPa, 1 m", From: 10, To: 200, Floor: 50}
	for i := range r.Pairs {
		p := &r.Pairs[i]
		if p.Circuit == nil || len(g.Lines) == pairLines || !finite(p.MaxAt(comparedAt)) {
			continue
		}
		name := fmt.Sprintf("%d  %s, %s", i+1, p.Driver, p.Box)
		g.Lines = append(g.Lines, over(name, looks[len(g.Lines)], p.Curves, func(c design.CurvePoint) float64 { return c.MaxLevel }))
	}
	return g
}
