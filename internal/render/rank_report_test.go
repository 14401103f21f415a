package render

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/unit"
)

// TestRankReport lays out a ranking with drivers that suit, one that does not, one without a box and one without a name.
func TestRankReport(t *testing.T) {
	req := wedgeResult(t).Request
	var drivers []design.Entrant
	for i := range 5 {
		drivers = append(drivers, design.Entrant{Source: fmt.Sprintf("list.csv:%d", i+2), Spec: req.Driver, Frame: req.Frame})
	}
	drivers[1].Spec.Name = ""
	drivers[2].Spec.Name = strings.Repeat("A long name of a driver ", 2)
	drivers[3].Frame.Depth = 0.9
	drivers[4].Frame.Frame, drivers[4].Frame.Cutout = 1.2, 1.1
	for _, u := range []unit.System{unit.Metric, unit.Inch} {
		req.Units = u
		r, err := design.Rank(context.Background(), req, drivers, 0, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Best) == 0 || r.Placings[len(r.Placings)-1].Kind != "" {
			t.Fatalf("the test wants drivers that suit and one without a box: %+v", r.Placings)
		}
		var text strings.Builder
		for _, paper := range []string{"letter", "a4"} {
			b, err := layOutRank(r, Options{Paper: paper})
			if err != nil {
				t.Fatal(err)
			}
			for i, s := range b.sheets {
				for _, k := range s.Faults(s.printable()) {
					t.Errorf("%s, page %d: %s", paper, i+1, k)
				}
				for _, o := range s.ops {
					if o.kind == opText {
						text.WriteString(o.text + "\n")
					}
				}
			}
			keepBook(t, b, fmt.Sprintf("rank-%s-%s.pdf", u, paper))
		}
		if s := text.String(); !strings.Contains(s, "list.csv:3") || strings.Contains(s, "NaN") {
			t.Error("the driver without a name is not printed by its source, or a number is missing")
		}
		for _, p := range r.Placings {
			if p.Kind != "" && !strings.Contains(text.String(), fmt.Sprintf("\n%s\n", p.Kind)) {
				t.Errorf("%q is broken in its column", p.Kind)
			}
		}
		var first, second bytes.Buffer
		for _, w := range []*bytes.Buffer{&first, &second} {
			if err := RankReport(w, r, Options{}); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.HasPrefix(first.Bytes(), []byte("%PDF-")) || !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Error("not the same document twice")
		}
	}
	if err := RankReport(&bytes.Buffer{}, &design.Ranking{}, Options{}); err == nil {
		t.Error("an empty ranking is printed")
	}
}
