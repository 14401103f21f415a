package render

import (
	"testing"
)

// No page of an example holds just a few lines.
func TestNoPageIsNearlyEmptyAndPartAIsShort(t *testing.T) {
	const least = 0.2
	for name, r := range examples(t) {
		for _, paper := range []string{"letter", "a4"} {
			b, err := layOut(r, Options{Paper: paper, Source: name, Hash: "0123456789ab"})
			if err != nil {
				t.Fatal(err)
			}
			fitter := 0
			for i, s := range b.sheets {
				if s.Part == partA {
					fitter++
				}
				if k := s.filled(); k < least {
					t.Errorf("%s on %s: page %d (%s) is filled to %.0f %%", name, paper, i+1, s.Title, 100*k)
				}
			}
			if fitter > 5 {
				t.Errorf("%s on %s: part A takes %d pages", name, paper, fitter)
			}
		}
	}
}

// A list that runs over its page by a line is set closer, and one that fits as it is is not.
func TestFewestSetsLinesCloser(t *testing.T) {
	rows := func(n int) func(b *book, _ float64) *flow {
		return func(b *book, _ float64) *flow {
			f := b.flow(partB, "List", portrait)
			lines := table{Columns: []column{{Head: "No."}}}
			for range n {
				lines.Rows = append(lines.Rows, cells("x"))
			}
			f.Table(lines)
			return f
		}
	}
	full := 1
	for ; ; full++ {
		b := &book{paper: a4Paper}
		if rows(full+1)(b, 1); len(b.sheets) > 1 {
			break
		}
	}
	for n, want := range map[int]int{full: 1, full + 1: 1, 2 * full: 2} {
		b := &book{paper: a4Paper}
		b.runOn(nil, asItIs, rows(n))
		if len(b.sheets) != want || b.tight != 0 {
			t.Errorf("%d rows where %d fit: %d pages, want %d", n, full, len(b.sheets), want)
		}
	}
	b, loose := &book{paper: a4Paper}, &book{paper: a4Paper}
	b.runOn(nil, asItIs, rows(full))
	rows(full)(loose, 1)
	if b.sheets[0].filled() != loose.sheets[0].filled() {
		t.Error("a list that fits is set closer")
	}
}
