package render

import (
	"bytes"
	"fmt"
	"testing"

	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/unit"
)

// sharedResult is a list of parts laid on shared sheets.
func sharedResult(t *testing.T, u unit.System) *design.Result {
	t.Helper()
	box := &panels.Box{}
	var parts []nest.Part
	for i := range 9 {
		length, width := 300+37*float64(i), 90+21*float64(i)
		name := fmt.Sprintf("van: piece of board number %d", i)
		box.Panels = append(box.Panels, panels.Panel{Label: panels.Label{Mark: string(rune('A' + i)), Name: name, Count: 1 + i%3}, Stock: panels.Stock{Board: "MDF", Thickness: 0.018}, Size: panels.Size{Length: length / 1000, Width: width / 1000, Blank: [2]float64{length / 1000, width / 1000}}})
		parts = append(parts, nest.Part{Name: name, Count: 1 + i%3, Board: "MDF", Thickness: 18000, Length: nest.Um(length * 1000), Width: nest.Um(width * 1000)})
	}
	stock := []nest.Stock{{Board: "MDF", Thickness: 18000, Length: 1220_000, Width: 610_000, Count: 3, Price: 20}}
	l, err := nest.Lay(parts, stock, nest.Saw{Kerf: 3200, Trim: 5000}, nest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r := &design.Result{Basis: design.Basis{Request: design.Request{Title: "Shared sheets: van, shelves", Units: u}, Assumptions: []string{"saw kerf 3.2 mm"}}}
	r.Designs = []design.Design{{Carcass: design.Carcass{Box: box, Sheets: l, SheetStock: stock}}}
	return r
}

func TestSheetsReport(t *testing.T) {
	for _, u := range []unit.System{unit.Metric, unit.Inch} {
		r := sharedResult(t, u)
		b, err := layOutSheets(r, Options{Source: "van.yaml, shelves.csv"})
		if err != nil {
			t.Fatal(err)
		}
		if len(b.sheets) < 2 {
			t.Errorf("%d pages for %d sheets", len(b.sheets), len(r.Designs[0].Sheets.Sheets))
		}
		for i, s := range b.sheets {
			if faults := s.Faults(s.printable()); len(faults) > 0 {
				t.Errorf("page %d: %v", i+1, faults)
			}
		}
		var first, second bytes.Buffer
		for _, w := range []*bytes.Buffer{&first, &second} {
			if err := SheetsReport(w, r, Options{Source: "van.yaml"}); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.HasPrefix(first.Bytes(), []byte("%PDF-")) || !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Error("not the same document twice")
		}
	}
}

func TestSheetsReportWithoutLayout(t *testing.T) {
	var w bytes.Buffer
	for _, r := range []*design.Result{nil, {}, {Designs: []design.Design{{}}}} {
		if err := SheetsReport(&w, r, Options{}); err == nil || w.Len() > 0 {
			t.Errorf("no error, or something was written: %v", err)
		}
	}
}
