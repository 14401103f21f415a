package render

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"
)

// column is one column of a table. Width in mm; 0: an equal share of what the others leave.
type column struct {
	Head  string
	Width float64
	Align Align
}

// cell is one cell: text, which wraps (newlines are kept), or a drawing of Height mm in the cell's rectangle.
type cell struct {
	Text   string
	Bold   bool
	Draw   func(c Canvas, r Rect)
	Height float64 // the least height of a drawn cell, mm
}

// cells makes a row of plain texts.
func cells(texts ...string) []cell {
	out := make([]cell, len(texts))
	for i, t := range texts {
		out[i] = cell{Text: t}
	}
	return out
}

// table is a ruled table. Size is the type size in points (0: 8.5); Grid adds a grey head, a frame and lines between the columns.
// A row of a single cell in a table of several columns is a band: a heading across the table, kept with the row after it.
type table struct {
	Columns []column
	Rows    [][]cell
	Size    float64
	Grid    bool
	tight   float64 // share of the space between rows that is taken out, at most 1
}

const (
	cellPadX = 1.5
	cellPadY = 0.9
)

// padY is the space above and below the text of a row.
func (t table) padY() float64 { return cellPadY * (1 - 0.55*t.tight) }

// inset is the space left and right of a cell's text. A table without a grid stands flush with the text around it.
func (t table) inset(i int) (left, right float64) {
	left, right = cellPadX, cellPadX
	if !t.Grid && i == 0 {
		left = 0
	}
	if !t.Grid && i == len(t.Columns)-1 {
		right = 0
	}
	return left, right
}

func (t table) size() float64 {
	if t.Size > 0 {
		return t.Size
	}
	return 8.5
}

// widths shares the table's width among its columns. Columns that are too wide together are scaled down.
func (t table) widths(total float64) []float64 {
	out := make([]float64, len(t.Columns))
	used, free := 0.0, 0
	for i, c := range t.Columns {
		out[i] = c.Width
		used += c.Width
		if c.Width == 0 {
			free++
		}
	}
	const least = 8 // mm, for a column without a width of its own
	share := 0.0
	if free > 0 {
		share = math.Max((total-used)/float64(free), least)
	}
	scale := 1.0
	if sum := used + share*float64(free); sum > total {
		scale = total / sum
	}
	for i := range out {
		if out[i] == 0 {
			out[i] = share
		}
		out[i] *= scale
	}
	return out
}

// row is a row that has been broken into lines.
type row struct {
	cells []cell
	lines [][]string
	band  bool
}

func (t table) style(c cell, a Align) TextStyle {
	return TextStyle{Size: t.size(), Bold: c.Bold, Align: a}
}

func (t table) breakRow(cs []cell, w []float64, bold bool) row {
	r := row{cells: make([]cell, len(t.Columns)), lines: make([][]string, len(t.Columns))}
	if r.band = len(cs) == 1 && len(t.Columns) > 1; r.band {
		cs[0].Bold = true
		r.cells[0] = cs[0]
		r.lines[0] = wrap(cs[0].Text, t.style(cs[0], AlignLeft), floats.Sum(w)-2*cellPadX)
		return r
	}
	for i := range t.Columns {
		if i < len(cs) {
			r.cells[i] = cs[i]
		}
		r.cells[i].Bold = r.cells[i].Bold || bold
		if r.cells[i].Text != "" {
			left, right := t.inset(i)
			r.lines[i] = wrap(r.cells[i].Text, t.style(r.cells[i], AlignLeft), w[i]-left-right)
		}
	}
	return r
}

func (t table) rowHeight(r row) float64 {
	h := lineHeight(t.size())
	for i, l := range r.lines {
		h = math.Max(h, float64(len(l))*lineHeight(t.size()))
		h = math.Max(h, r.cells[i].Height)
	}
	return h + 2*t.padY()
}

func (t table) head(w []float64) row {
	return t.breakRow(t.headCells(), w, true)
}

func (t table) headless() bool {
	for _, c := range t.Columns {
		if c.Head != "" {
			return false
		}
	}
	return true
}

func (t table) drawRow(c Canvas, x, y float64, r row, w []float64, head bool) float64 {
	h := t.rowHeight(r)
	if t.Grid && (head || r.band) {
		grey := 0.93
		if head {
			grey = 0.86
		}
		shade(c, Rect{x, y, floats.Sum(w), h}, grey)
	}
	for i := range t.Columns {
		if t.Grid && (i == 0 || !r.band) {
			line(c, Pt{x, y}, Pt{x, y + h}, gridRule)
		}
		left, right := t.inset(i)
		in := Rect{x + left, y + t.padY(), w[i] - left - right, h - 2*t.padY()}
		st := t.style(r.cells[i], t.Columns[i].Align)
		ax := in.X + in.W*st.Align.share()
		for k, l := range r.lines[i] {
			c.Text(Pt{ax, in.Y + rise(t.size()) + (lineHeight(t.size())-rise(t.size()))/3 + float64(k)*lineHeight(t.size())}, l, st)
		}
		if d := r.cells[i].Draw; d != nil {
			d(c, in)
		}
		x += w[i]
	}
	if t.Grid {
		line(c, Pt{x, y}, Pt{x, y + h}, gridRule)
	}
	return y + h
}

// rules drawn under the head and under each row.
var (
	headRule = Stroke{Width: 0.35}
	rowRule  = Stroke{Width: 0.1, Grey: 0.55}
	gridRule = Stroke{Width: 0.1, Grey: 0.3}
)

// height is the height of the whole table at that width, mm.
func (t table) height(width float64) float64 {
	w, h := t.widths(width), 0.0
	if !t.headless() {
		h += t.rowHeight(t.head(w))
	}
	for _, cs := range t.Rows {
		h += t.rowHeight(t.breakRow(cs, w, false))
	}
	return h
}

// draw draws the whole table with its upper left corner at at, and returns the Y below it. It does not mind the page's end: see
// flow.Table for that.
func (t table) draw(c Canvas, at Pt, width float64) float64 {
	w, y := t.widths(width), at.Y
	y = t.drawHead(c, at.X, y, width, w)
	for _, cs := range t.Rows {
		y = t.drawRow(c, at.X, y, t.breakRow(cs, w, false), w, false)
		line(c, Pt{at.X, y}, Pt{at.X + width, y}, rowRule)
	}
	return y
}

func (t table) drawHead(c Canvas, x, y, width float64, w []float64) float64 {
	if t.headless() {
		line(c, Pt{x, y}, Pt{x + width, y}, rowRule)
		return y
	}
	top := y
	y = t.drawRow(c, x, y, t.head(w), w, true)
	if t.Grid {
		line(c, Pt{x, top}, Pt{x + width, top}, headRule)
	}
	line(c, Pt{x, y}, Pt{x + width, y}, headRule)
	return y
}

// cut splits a row that is taller than n lines in two.
func (r row) cut(n int) (first, rest row) {
	first, rest = r, r
	first.lines, rest.lines = make([][]string, len(r.lines)), make([][]string, len(r.lines))
	rest.cells = append([]cell(nil), r.cells...)
	for i, l := range r.lines {
		k := min(n, len(l))
		first.lines[i], rest.lines[i] = l[:k], l[k:]
		rest.cells[i].Draw, rest.cells[i].Height = nil, 0
	}
	return first, rest
}

// fitted sets the widths of a table's columns to what is in them. What is too much for a width is taken where it costs the fewest
// lines, what is to spare is shared out. Widths that columns have are their least. The first rows stand for all.
func (t table) fitted(total float64) table {
	const sample, step, spare = 120, 1.5, 0.05 // rows; mm
	rows := append([][]cell{t.headCells()}, t.Rows[:min(len(t.Rows), sample)]...)
	n := len(t.Columns)
	w, least := make([]float64, n), make([]float64, n)
	style := func(r, i int) TextStyle { return t.style(cell{Bold: r == 0 || rows[r][i].Bold}, AlignLeft) }
	for r, cs := range rows {
		for i := range min(n, len(cs)) {
			left, right := t.inset(i)
			for _, l := range strings.Split(cs[i].Text, "\n") {
				w[i] = math.Max(w[i], textWidth(l, style(r, i))+left+right+spare)
				for _, k := range words(l) {
					least[i] = math.Max(least[i], textWidth(k, style(r, i))+left+right+spare)
				}
			}
		}
	}
	for i, c := range t.Columns {
		w[i], least[i] = math.Max(w[i], c.Width), math.Max(least[i], c.Width)
	}
	lines := func(r, i int, width float64) int {
		if i >= len(rows[r]) || rows[r][i].Text == "" {
			return 0
		}
		left, right := t.inset(i)
		return len(wrap(rows[r][i].Text, style(r, i), width-left-right))
	}
	now := make([][]int, len(rows))
	for r := range rows {
		now[r] = make([]int, n)
		for i := range n {
			now[r][i] = lines(r, i, w[i])
		}
	}
	cost := func(i int, width float64) int { // lines that the table grows by
		more := 0
		for r := range rows {
			more += max(0, lines(r, i, width)-slices.Max(now[r]))
		}
		return more
	}
	for over := floats.Sum(w) - total; over > 1e-6; over = floats.Sum(w) - total {
		pick, price := -1, 0
		for i := range n {
			if w[i]-least[i] < 1e-6 {
				continue
			}
			if c := cost(i, math.Max(least[i], w[i]-step)); pick < 0 || c < price || c == price && w[i] > w[pick] {
				pick, price = i, c
			}
		}
		if pick < 0 {
			break // words alone are too wide: the table is scaled down
		}
		w[pick] = math.Max(least[pick], w[pick]-math.Min(step, over))
		for r := range rows {
			now[r][pick] = lines(r, pick, w[pick])
		}
	}
	t.Columns = slices.Clone(t.Columns)
	for i := range t.Columns {
		t.Columns[i].Width = w[i] + math.Max(0, total-floats.Sum(w))/float64(n)
	}
	return t
}

func (t table) headCells() []cell {
	cs := make([]cell, len(t.Columns))
	for i, c := range t.Columns {
		cs[i] = cell{Text: c.Head}
	}
	return cs
}

// halved splits the rows of a table in two of about one height.
func (t table) halved(width float64) (a, b table) {
	a, b = t, t
	for k := range t.Rows {
		a.Rows, b.Rows = t.Rows[:k+1], t.Rows[k+1:]
		if a.height(width) >= b.height(width) {
			break
		}
	}
	return a, b
}
