package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// columnsWide is the width of a table whose columns have all theirs, mm.
func columnsWide(t table) float64 {
	w := 0.0
	for _, c := range t.Columns {
		w += c.Width
	}
	return w
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

// blankDatum is where the places of an outline as it is cut are measured from, and their origin in the panel's frame.
func blankDatum(p panels.Panel) (g datum, origin plane.Point) {
	g = datumOf(p)
	lo, hi := bounds(p.CutOutline())
	g.Width, g.Height = hi.X-lo.X, hi.Y-lo.Y
	if p.Flush > 0 {
		g.XName, g.YName = g.XName+", blank", g.YName+", blank"
	}
	return g, lo
}

// cornerTable gives the corners of an outline as it is cut, from the reference corner of its blank, with the side from each to the
// next, the angle inside, and the mark of what that side meets.
func (s *shop) cornerTable(p panels.Panel) table {
	g, lo := blankDatum(p)
	cut := p.CutOutline()
	n := len(cut)
	rows := make([][]cell, n)
	at := make([]int, n+1) // by number
	for i, no := range s.cornerNumbers(p) {
		at[no] = i
	}
	along := make([]string, n)
	for _, e := range p.Edges {
		if k := sideIndex(e.Edge); k >= 0 && k < n {
			along[k] = s.markOf(e.Meets)
		}
	}
	for no := 1; no <= n; no++ {
		i, next := at[no], at[no%n+1]
		x, y := g.place(cut[i].Sub(lo))
		side := i
		if next != (i+1)%n {
			side = next
		}
		rows[no-1] = cells(fmt.Sprint(no), s.m.stack(x), s.m.stack(y), s.m.stack(cut[next].Sub(cut[i]).Norm()), degrees(cut.InteriorAngle(i)), along[side])
	}
	return table{Rows: rows, Columns: []column{{Head: "Corner", Width: 12.5, Align: AlignCentre}, {Head: "X from " + g.XName, Width: 18},
		{Head: "Y from " + g.YName, Width: 18}, {Head: "to next", Width: 15.5}, {Head: "inside", Width: 13}, {Head: "along", Width: 10.5}}}
}

// cornerNumbers numbers the corners of both ends alike, as the corners of the section: the left end is seen from the other side, so
// its numbers run the other way round. The corners of any other outline, and of an end that a pocket makes into another figure, are
// numbered as they come.
func (s *shop) cornerNumbers(p panels.Panel) []int {
	n := len(p.Outline)
	own, as := make([]int, n), make([]int, n)
	section := s.box.Section
	if p.Length < section.Bounds().Width()-sameFace {
		section = s.box.Inside
	}
	for i, c := range p.Outline {
		own[i] = i + 1
		v := onPanel(p.Place, c)
		at, best := s.box.Spec.Axis.Section(r3.Vec{X: v[0], Y: v[1], Z: v[2]}), math.Inf(1)
		for k := range section {
			if l := section[k].Sub(at).Norm(); l < best {
				best, as[i] = l, k+1
			}
		}
	}
	turn := func(i int) int { return (as[(i+1)%n] - as[i] + n) % n } // 1 or n-1 where the numbers run on
	for i := range n {
		if p.Role != panels.End || n != len(section) || turn(i) != turn(0) || turn(i) != 1 && turn(i) != n-1 {
			return own
		}
	}
	return as
}

// sideText names a side of an outline by the numbers of its corners.
func (s *shop) sideText(p panels.Panel, i int) string {
	no := s.cornerNumbers(p)
	return fmt.Sprintf("side %d–%d", no[i], no[(i+1)%len(no)])
}
