package render

import (
	"slices"
	"strings"
	"testing"

	"cubby/internal/panels"
)

// Cards take the fewest pages, and no page is drawn smaller than that needs: with larger drawings on it the others would take one more.
func TestCardsAreAsLargeAsTheFewestPagesAllow(t *testing.T) {
	for name, r := range examples(t) {
		for _, size := range []paper{letterPaper, a4Paper} {
			s := &shop{book: &book{paper: size}, r: r, d: &r.Designs[0], box: r.Designs[0].Box, m: newMeasure(r.Request.Units, r.Request.Saw.RoundTo)}
			c := s.cards("Panel drawings", portrait)
			k := &dealer{s, c, c.Area.Bottom() - c.top, map[cardSize]float64{}, map[string]int{}}
			ps := s.wallsInOrder()
			least := k.further(ps, c.Left())
			rows, share := k.hand(ps, c.Left())
			if len(rows) == 0 {
				continue
			}
			if got := k.after(ps, rows); got != least {
				t.Errorf("%s: %d more pages after the first, want %d", name, got, least)
			}
			at := slices.IndexFunc(cardLevels, func(l cardLevel) bool { return l.share == share })
			for _, l := range cardLevels[:at] {
				if larger, _ := k.fill(ps, c.Left(), l); len(larger) > 0 && k.after(ps, larger) <= least {
					t.Errorf("%s: drawn at %g of the best scale, where %g takes no more pages", name, share, l.share)
				}
			}
			s.deal(c, ps)
			if got := len(s.book.sheets); got != least+1 {
				t.Errorf("%s: %d pages of walls, want %d", name, got, least+1)
			}
		}
	}
}

// The table of a panel that is drawn by its corners stays with its drawing, and a cleat is measured from its triangle alone.
func TestTablesOfCleatsStayWithThem(t *testing.T) {
	for _, c := range shopCases() {
		if c.name != "cleats" {
			continue
		}
		r := shopResult(t, c)
		pierced := 0
		for _, p := range r.Designs[0].Box.Panels {
			if p.Role == panels.Cleat {
				if g := datumOf(p); g.FromRight || g.FromTop || g.XName != "the triangle" {
					t.Errorf("%s is measured from %s", p.Name, g.XName)
				}
				if len(p.Holes) > 0 {
					pierced++
				}
			}
		}
		for _, size := range []string{"letter", "a4"} {
			if got := strings.Count("\n"+textOf(shopBook(t, r, size), "Inner parts"), "\nNo.\n"); got != pierced || pierced == 0 {
				t.Errorf("%s: %d heads of tables for %d cleats with holes", size, got, pierced)
			}
		}
	}
}
