package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	"cubby/internal/unit"
)

// cornerWide is the width of a table of corners, mm.
func (s *shop) cornerWide(p panels.Panel) float64 {
	w := 66.0
	if s.m.sys == unit.Inch { // fractions with the exact figure beside them
		w = 74
	}
	if len(p.Outline) > fewCorners {
		w *= 2
	}
	return w
}

// cornerTables are the tables of the corners of two ends: one when both have the same numbers, as ends of one box do, none for
// rectangles.
func (s *shop) cornerTables(pair []panels.Panel) []table {
	var out []table
	for _, p := range pair {
		if rectangular(p) {
			continue
		}
		t := s.cornerTable(p)
		if len(out) > 0 && sameCells(out[0], t) {
			continue
		}
		out = append(out, t)
	}
	return out
}

func sameCells(a, b table) bool {
	if len(a.Rows) != len(b.Rows) {
		return false
	}
	for i := range a.Rows {
		for k := range a.Rows[i] {
			if a.Rows[i][k].Text != b.Rows[i][k].Text {
				return false
			}
		}
	}
	return true
}

// cornerTable gives the corners of an outline from its reference corner, many corners in two halves side by side.
func (s *shop) cornerTable(p panels.Panel) table {
	g := datumOf(p)
	rows := make([][]cell, len(p.Outline))
	for i, c := range p.Outline {
		x, y := g.place(c)
		no := s.cornerNo(p, i)
		rows[no-1] = cells(fmt.Sprint(no), s.m.sloped(x), s.m.sloped(y))
	}
	t := table{Columns: []column{{Head: "Corner", Width: 14, Align: AlignCentre}, {Head: "X from " + g.XName, Align: AlignRight},
		{Head: "Y from " + g.YName, Align: AlignRight}}}
	if half := (len(rows) + 1) / 2; len(rows) > fewCorners {
		t.Columns = append(t.Columns, t.Columns...)
		for i, r := range rows[half:] {
			rows[i] = append(rows[i], r...)
		}
		rows = rows[:half]
	}
	t.Rows = rows
	return t
}

// cornerNo numbers the corners of both ends alike, as the corners of the section: the left end is seen from the other side, so its
// numbers run the other way round.
func (s *shop) cornerNo(p panels.Panel, i int) int {
	if p.Role != panels.End || len(p.Outline) != len(s.box.Section) {
		return i + 1
	}
	v := onPanel(p.Place, p.Outline[i])
	at := s.box.Spec.Axis.Section(r3.Vec{X: v[0], Y: v[1], Z: v[2]})
	best, no := math.Inf(1), i+1
	for k := range s.box.Section {
		c := s.box.Section[k]
		if p.Length < s.box.Section.Bounds().Max.X-s.box.Section.Bounds().Min.X-sameFace {
			c = s.box.Inside[k]
		}
		if l := math.Hypot(c.X-at.X, c.Y-at.Y); l < best {
			best, no = l, k+1
		}
	}
	return no
}
