package nest

import (
	"fmt"
	"testing"
)

// twentyPanels is an ordinary job: two wedge boxes of 10 panels each.
func twentyPanels() ([]Part, []Stock, Saw) {
	var parts []Part
	add := func(name string, n int, l, w Um) {
		parts = append(parts, Part{Name: name, Count: n, Board: "MDF", Thickness: 18 * mm, Length: l, Width: w})
	}
	for i, d := range []Um{0, 35 * mm} {
		box := fmt.Sprintf("box %d ", i+1)
		add(box+"top", 1, 870*mm-d, 430*mm)
		add(box+"bottom", 1, 870*mm-d, 364400)
		add(box+"back", 1, 870*mm-d, 223100)
		add(box+"front", 1, 870*mm-d, 210*mm)
		add(box+"layer", 1, 330*mm, 200*mm)
		add(box+"brace", 2, 330*mm, 190*mm)
		add(box+"divider", 1, 870*mm-d, 120*mm)
		end := [][2]Um{{0, 0}, {360 * mm, 0}, {430 * mm, 240 * mm}, {0, 240 * mm}}
		add(box+"right end", 1, 430*mm, 240*mm)
		parts[len(parts)-1].Outline, parts[len(parts)-1].PairWith = end, box+"left end"
		add(box+"left end", 1, 430*mm, 240*mm)
		parts[len(parts)-1].Outline = [][2]Um{{70 * mm, 0}, {430 * mm, 0}, {430 * mm, 240 * mm}, {0, 240 * mm}}
	}
	return parts, []Stock{{Name: "full", Board: "MDF", Thickness: 18 * mm, Length: 2440 * mm, Width: 1220 * mm, Trim: -1, Price: 54}},
		Saw{Kerf: 3200, Trim: 5 * mm}
}

func BenchmarkTwentyPanels(b *testing.B) {
	parts, stock, saw := twentyPanels()
	for b.Loop() {
		l, err := Lay(parts, stock, saw, Options{})
		if err != nil || !l.Proved {
			b.Fatal(err, l)
		}
	}
}

// BenchmarkHundreds is a day's work of a shop: 300 parts of 60 sizes.
func BenchmarkHundreds(b *testing.B) {
	r := rng(7)
	var parts []Part
	for i := range 60 {
		parts = append(parts, Part{Name: fmt.Sprint("part ", i), Count: 5, Board: "ply", Thickness: 15 * mm,
			Length: Um(150+r.below(900)) * mm, Width: Um(80+r.below(500)) * mm})
	}
	stock := []Stock{{Name: "full", Board: "ply", Thickness: 15 * mm, Length: 2440 * mm, Width: 1220 * mm, Trim: -1}}
	for b.Loop() {
		l, err := Lay(parts, stock, Saw{Kerf: 3200, Trim: 5 * mm}, Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(l.Sheets)), "sheets")
		b.ReportMetric(float64(l.LowerBound), "bound")
	}
}

// BenchmarkFiveThousand is the most that a job may have, every part of a size of its own.
func BenchmarkFiveThousand(b *testing.B) {
	r := rng(3)
	var parts []Part
	for i := range MaxParts {
		parts = append(parts, Part{Name: fmt.Sprint("part ", i), Count: 1, Board: "ply", Thickness: 15 * mm,
			Length: Um(20_000 + r.below(880_000)), Width: Um(10_000 + r.below(390_000))})
	}
	stock := []Stock{{Name: "full", Board: "ply", Thickness: 15 * mm, Length: 2440 * mm, Width: 1220 * mm, Trim: -1}}
	for b.Loop() {
		l, err := Lay(parts, stock, Saw{Kerf: 3200, Trim: 5 * mm}, Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(l.Sheets)), "sheets")
		b.ReportMetric(float64(len(l.Batches)), "batches")
	}
}
