package nest

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// boxParts is the panels of an invented box: four walls of one length and two ends, and sometimes more.
func boxParts(r *rng) ([]Part, []Stock, Saw) {
	long := Um(400_000 + r.below(700_000))
	deep, high := Um(250_000+r.below(250_000)), Um(150_000+r.below(200_000))
	t := Um(18_300)
	var parts []Part
	add := func(name string, n int, l, w Um) {
		parts = append(parts, Part{Name: name, Count: n, Board: "MDF", Thickness: t, Length: l, Width: w})
	}
	add("top", 1, long, deep)
	add("bottom", 1, long, deep-Um(r.below(60_000)))
	add("back", 1, long, high-2*t)
	add("front", 1, long, high-2*t-Um(r.below(50_000)))
	add("end", 2, deep, high)
	if r.below(2) == 0 {
		add("brace", 1, deep-2*t, high-2*t)
	}
	if r.below(2) == 0 {
		add("slot wall", 1, long, 120_000+Um(r.below(80_000)))
	}
	return parts, []Stock{{Name: "full", Board: "MDF", Thickness: t, Length: 2440 * mm, Width: 1220 * mm, Trim: -1}}, Saw{Kerf: 3200, Trim: 5 * mm}
}

// TestSequenceOfABox cuts invented boxes: the walls' length is set once, on one tool, nothing that decides a fit is what is
// left over, no cut takes less than a kerf, no waste strips are left, and few settings come twice.
func TestSequenceOfABox(t *testing.T) {
	r := rng(11)
	settings, cuts, twice, blind := 0, 0, 0, 0
	for i := range 100 {
		parts, stock, saw := boxParts(&r)
		l, err := Lay(parts, stock, saw, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := replay(l); err != nil {
			t.Fatalf("box %d: %v", i, err)
		}
		tools := map[string]bool{}
		seen := map[string]bool{}
		for _, b := range l.Batches {
			k := fmt.Sprint(b.Tool, b.Setting)
			if seen[k] {
				twice++
			}
			seen[k] = true
			for _, ref := range b.Cuts {
				c := l.Sheets[ref.Sheet].Cuts[ref.No-1]
				if !c.Rough && abs(c.Setting-parts[0].Length) <= settingSlack {
					tools[c.Tool] = true
				}
				for _, mark := range []string{MarkShave, MarkLeftover} {
					if strings.Contains(c.Safety, mark) {
						blind++
					}
				}
			}
		}
		if len(tools) != 1 {
			t.Errorf("box %d: the walls are cut to length on %v", i, tools)
		}
		for _, sh := range l.Sheets {
			cuts += len(sh.Cuts)
			for _, o := range sh.Offcuts {
				if min(o.Width, o.Height) < wasteStrip {
					t.Errorf("box %d: %s is a strip of %s x %s mm", i, o.Name, showMM(o.Width), showMM(o.Height))
				}
			}
		}
		settings += len(l.Batches)
	}
	if twice > 12 || blind > 8 { // of 100 boxes; what no layout of the same sheets avoids, as far as the search goes
		t.Errorf("%d settings come twice, %d parts are what is left over", twice, blind)
	}
	t.Logf("%d settings come twice, %d parts are left over", twice, blind)
	t.Logf("%.2f set-ups and %.2f cuts a box", float64(settings)/100, float64(cuts)/100)
}

// TestCostBound: a sheet that is filled by half costs what it costs, no layout costs less, and the cheaper of two kinds of stock bounds it.
func TestCostBound(t *testing.T) {
	parts := []Part{{Name: "half", Count: 3, Length: 900 * mm, Width: 900 * mm}}
	stock := []Stock{{Name: "dear", Length: 1000 * mm, Width: 1000 * mm, Price: 60, Trim: -1}, {Name: "cheap", Length: 1000 * mm, Width: 1000 * mm, Price: 54, Count: 2, Trim: -1}}
	l, err := Lay(parts, stock, Saw{Kerf: 3200, Trim: 5 * mm}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if l.Cost != 168 || l.LowerCost > l.Cost || l.LowerCost < 3*54 || l.LowerBound != 3 {
		t.Errorf("cost %g, bound %g, %d sheets at least", l.Cost, l.LowerCost, l.LowerBound)
	}
}

// TestWideFirst holds that settings of one tool that wait for nothing go from wide to narrow.
func TestWideFirst(t *testing.T) {
	var parts []Part
	for i, w := range []Um{350 * mm, 500 * mm, 400 * mm} {
		parts = append(parts, Part{Name: string(rune('a' + i)), Count: 1, Length: 1000 * mm, Width: w})
	}
	l, err := Lay(parts, []Stock{{Length: 1000 * mm, Width: 600 * mm}}, Saw{Kerf: 3 * mm}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var got []Um
	for _, b := range l.Batches {
		got = append(got, b.Setting/mm)
	}
	if !slices.Equal(got, []Um{500, 400, 350}) {
		t.Errorf("settings %v, want 500, 400, 350", got)
	}
}
