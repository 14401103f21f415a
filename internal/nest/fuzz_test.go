package nest

import (
	"fmt"
	"testing"
)

// FuzzLay lays any parts on any stock with little work: what is accepted comes out once each, by a sequence of cuts that
// can be replayed, with counts that add up.
func FuzzLay(f *testing.F) {
	f.Add([]byte("a few parts of sizes that letters give"), uint16(3200), uint16(10000), false)
	f.Add([]byte{255, 255, 128, 1, 1, 1, 0, 0, 0, 90, 200, 3, 90, 200, 3}, uint16(0), uint16(0), true)
	f.Add([]byte{}, uint16(1), uint16(1), false)
	f.Fuzz(func(t *testing.T, data []byte, kerf, trim uint16, fixed bool) {
		next := func() Um {
			if len(data) == 0 {
				return 0
			}
			b := data[0]
			data = data[1:]
			return Um(b)
		}
		stock := []Stock{{Name: "s", Board: "MDF", Thickness: 18 * mm, Length: next() * 11 * mm, Width: next() * 7 * mm, Count: int(next() % 9), Trim: -1,
			Price: float64(next())}}
		var parts []Part
		pieces := 0
		for len(data) > 0 && len(parts) < 12 {
			p := Part{Name: fmt.Sprint("p", len(parts)), Board: "MDF", Thickness: 18 * mm, Length: next()*5*mm + next(), Width: next() * 3 * mm,
				Count: int(next() % 5), Grain: []string{"", "length", "width"}[next()%3]}
			parts, pieces = append(parts, p), pieces+p.Count
		}
		l, err := Lay(parts, stock, Saw{Kerf: Um(kerf), Trim: Um(trim)}, Options{NoTurn: fixed, Budget: 2000})
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		laid := 0
		for _, sh := range l.Sheets {
			if sh.Waste < -1e-12 || sh.Waste > 1 {
				t.Fatalf("waste %v", sh.Waste)
			}
			for _, p := range sh.Placements {
				laid += max(1, len(p.Parts))
			}
		}
		if laid+len(l.Unplaced) != pieces || l.LowerBound > len(l.Sheets) && len(l.Unplaced) == 0 {
			t.Fatalf("%d laid and %d not, of %d; %d sheets, at least %d", laid, len(l.Unplaced), pieces, len(l.Sheets), l.LowerBound)
		}
		if err := replay(l); err != nil {
			t.Fatal(err)
		}
	})
}
