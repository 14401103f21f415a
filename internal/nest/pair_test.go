package nest

import (
	"testing"
)

// wedgeEnd is the end panel of a worked example: parallel sides 360 and 430 mm, 240 mm apart.
func wedgeEnd(name, with string, mirrored bool) Part {
	p := Part{Name: name, Count: 1, Length: 430 * mm, Width: 240 * mm, PairWith: with}
	p.Outline = [][2]Um{{0, 0}, {360 * mm, 0}, {430 * mm, 240 * mm}, {0, 240 * mm}}
	if mirrored {
		p.Outline = [][2]Um{{70 * mm, 0}, {430 * mm, 0}, {430 * mm, 240 * mm}, {0, 240 * mm}}
	}
	return p
}

// TestPairSize checks the rectangle of two wedges head to tail by hand: atan(70/240) = 16.2602 degrees,
// 3.2/cos = 3.3333, 360 + 430 + 3.3333 = 793.333.
func TestPairSize(t *testing.T) {
	for _, mirrored := range []bool{false, true} {
		h, ok := headToTail(wedgeEnd("right end", "", false), wedgeEnd("left end", "", mirrored), 3200)
		if !ok {
			t.Fatal("no pair")
		}
		if h.length != 793334 || h.width != 240*mm { // rounded up to a whole micrometre
			t.Errorf("pair is %d x %d um, want 793334 x 240000", h.length, h.width)
		}
		if h.flipped != mirrored {
			t.Errorf("mirrored %v: turned over %v", mirrored, h.flipped)
		}
	}
}

// TestPairIsOnePlacement lays the pair and sees it cut apart by a slanted cut.
func TestPairIsOnePlacement(t *testing.T) {
	j := job{saw: Saw{Kerf: 3200, Trim: 5 * mm}}
	j.parts = []Part{wedgeEnd("right end", "left end", false), wedgeEnd("left end", "", true)}
	j.stock = []Stock{{Name: "board", Length: 810 * mm, Width: 255 * mm, Trim: -1}} // room for the pair, not for two rectangles
	l, err := Lay(j.parts, j.stock, j.saw, j.o)
	if err != nil {
		t.Fatal(err)
	}
	if err := check(j, l); err != nil {
		t.Fatal(err)
	}
	if len(l.Sheets) != 1 || len(l.Sheets[0].Placements) != 1 || len(l.Sheets[0].Placements[0].Parts) != 2 {
		t.Fatalf("want one placement of two parts, got %+v", l.Sheets)
	}
	pl := l.Sheets[0].Placements[0]
	if pl.Parts[0].Flipped || !pl.Parts[1].Flipped {
		t.Errorf("the mirrored part alone is turned over, got %+v", pl.Parts)
	}
	last := l.Sheets[0].Cuts[len(l.Sheets[0].Cuts)-1]
	if last.Direction != "slant" || last.Tool != Taper || last.Setting != 360*mm || last.Far != 430*mm {
		t.Errorf("last cut is %+v", last)
	}
}

// TestPairIsTakenApart: where only two single rectangles fit, no pair is made.
func TestPairIsTakenApart(t *testing.T) {
	j := job{saw: Saw{Kerf: 3200}}
	j.parts = []Part{wedgeEnd("right end", "left end", false), wedgeEnd("left end", "", true)}
	j.stock = []Stock{{Name: "board", Length: 490 * mm, Width: 500 * mm}}
	l, err := Lay(j.parts, j.stock, j.saw, j.o)
	if err != nil {
		t.Fatal(err)
	}
	if err := check(j, l); err != nil {
		t.Fatal(err)
	}
	if len(l.Sheets) != 1 || len(l.Sheets[0].Placements) != 2 {
		t.Fatalf("want two placements on one sheet, got %+v", l.Sheets)
	}
}

// TestOnlyRightTrapezoidsPair refuses other outlines.
func TestOnlyRightTrapezoidsPair(t *testing.T) {
	a := wedgeEnd("a", "", false)
	for name, o := range map[string][][2]Um{
		"rectangle":  {{0, 0}, {430 * mm, 0}, {430 * mm, 240 * mm}, {0, 240 * mm}},
		"two slopes": {{50 * mm, 0}, {360 * mm, 0}, {430 * mm, 240 * mm}, {0, 240 * mm}},
		"five sides": {{0, 0}, {300 * mm, 0}, {430 * mm, 100 * mm}, {430 * mm, 240 * mm}, {0, 240 * mm}},
		"steeper":    {{0, 0}, {300 * mm, 0}, {430 * mm, 240 * mm}, {0, 240 * mm}},
		"none":       nil,
	} {
		b := a
		b.Outline = o
		if _, ok := headToTail(a, b, 3200); ok {
			t.Errorf("%s was paired", name)
		}
	}
}
