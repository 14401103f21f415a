package nest

import (
	"fmt"
	"strings"
	"testing"
)

// TestPiecesAreNamedBySheet holds that what a cut leaves to be cut again carries the number of its sheet.
func TestPiecesAreNamedBySheet(t *testing.T) {
	parts := []Part{{Name: "side", Count: 6, Length: 700 * mm, Width: 400 * mm}, {Name: "end", Count: 7, Length: 330 * mm, Width: 290 * mm}}
	l, err := Lay(parts, []Stock{{Name: "sheet", Length: 1220 * mm, Width: 1220 * mm}}, Saw{Kerf: 3200}, Options{})
	if err != nil || len(l.Sheets) < 2 {
		t.Fatalf("%d sheets, %v", len(l.Sheets), err)
	}
	for i, s := range l.Sheets {
		named := 0
		for _, c := range s.Cuts {
			for _, piece := range append(c.Makes[:], c.Piece) {
				if number, ok := strings.CutPrefix(piece, "piece "); ok {
					named++
					if !strings.HasPrefix(number, fmt.Sprintf("%d.", i+1)) {
						t.Errorf("%s on sheet %d", piece, i+1)
					}
				}
			}
		}
		if named == 0 {
			t.Errorf("sheet %d has no piece that is cut again", i+1)
		}
	}
}

// TestKerfEatsTheRest holds that nothing is left, and nothing cut from it, where the board beside a part is less than a kerf.
func TestKerfEatsTheRest(t *testing.T) {
	l, err := Lay([]Part{{Name: "top", Count: 1, Length: 998 * mm, Width: 498 * mm}}, []Stock{{Name: "sheet", Length: 1000 * mm, Width: 500 * mm}}, Saw{Kerf: 3200}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := l.Sheets[0]
	if len(s.Offcuts) != 0 || len(s.Cuts) != 2 {
		t.Fatalf("%d offcuts, cuts %+v", len(s.Offcuts), s.Cuts)
	}
	for _, c := range s.Cuts {
		if c.Makes[1] != "" || c.Setting != 998*mm && c.Setting != 498*mm {
			t.Errorf("%+v", c)
		}
	}
}
