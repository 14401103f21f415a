package render

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"cubby/internal/design"
	"cubby/internal/word"
	"cubby/internal/work"
)

// SheetsReport writes the layouts and cut sequences of panels and parts that share their stock. The first design of r
// holds them: Box.Panels is the list, each with a mark and a name of its own, Sheets the layout and SheetStock its
// stock. Errors as those of Document.
func SheetsReport(w io.Writer, r *design.Result, o Options) error {
	b, err := layOutSheets(r, o)
	return b.write(w, err)
}

func layOutSheets(r *design.Result, o Options) (*book, error) {
	if r == nil || len(r.Designs) == 0 || r.Designs[0].Box == nil || r.Designs[0].Sheets == nil {
		return nil, errors.New("document: nothing was laid on sheets")
	}
	return bound(r, o, func(b *book) {
		if r.Designs[0].Work == nil {
			r.Designs[0].Work = work.Sawing(r.Designs[0].Box, r.Designs[0].Sheets)
		}
		s := newShop(b, r, o)
		s.sharedParts()
		s.cutPages(sheetHeights[1])
	})
}

// sharedParts lists what is cut from the shared sheets and where each part lies.
func (s *shop) sharedParts() {
	f := s.book.flow(partB, "Parts on shared sheets", portrait)
	f.Heading("Parts on shared sheets")
	f.Para("From " + s.o.Source + ". " + sharedCount(s.d))
	for _, a := range s.r.Assumptions {
		f.Styled("Taken as given: "+a+".", TextStyle{Size: sizeSmall})
	}
	f.Gap(2)
	t := table{Size: sizeSmall, Grid: true, Columns: []column{{Head: "Mark", Width: 11}, {Head: "Part"}, {Head: "Pieces", Width: 14, Align: AlignRight},
		{Head: "Board", Width: 34}, {Head: "L × W, " + s.m.mark(), Width: 36, Align: AlignRight}, {Head: "Grain along", Width: 20}, {Head: "Sheet", Width: 16}}}
	where := map[string]string{}
	for i, sh := range s.d.Sheets.Sheets {
		on := fmt.Sprint(i + 1)
		note := func(name string) {
			if k := baseName(name); where[k] == "" {
				where[k] = on
			} else if where[k] != on && !strings.HasSuffix(where[k], ", "+on) {
				where[k] += ", " + on
			}
		}
		for _, p := range sh.Placements {
			note(p.Panel)
			for _, q := range p.Parts {
				note(q.Panel)
			}
		}
	}
	for _, p := range s.byMark() {
		t.Rows = append(t.Rows, cells(p.Mark, p.Name, fmt.Sprint(max(1, p.Count)*max(1, p.Layers)), s.boardOf(p),
			s.m.times(p.Blank[0], p.Blank[1]), p.Grain, where[p.Name]))
	}
	f.Table(t)
}

// sharedCount says how many sheets are used and how far that is from the least.
func sharedCount(d *design.Design) string {
	l := d.Sheets
	text := fmt.Sprintf("%s used", word.Count(len(l.Sheets), "sheet"))
	switch {
	case l.Proved && l.Cost > 0:
		text += ", proved the least cost"
	case l.Proved:
		text += ", proved the fewest"
	case len(l.Sheets) > 0:
		text += fmt.Sprintf("; no layout of these parts needs fewer than %d", l.LowerBound)
	}
	if l.Cost > 0 {
		text += ". Board costs " + fmt.Sprintf("%.2f", l.Cost)
	}
	return text + fmt.Sprintf(". %s of fence or stop.", word.Count(l.Settings, "setting"))
}
