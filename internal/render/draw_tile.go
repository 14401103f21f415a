package render

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// figure is a full-size drawing of W by H mm. Draw draws it with its upper left corner at a point; texts are set only where they
// lie wholly in the drawing's area.
type figure struct {
	Title string
	W, H  float64
	Draw  func(d *drawing, at Pt)
	Busy  func(p Pt, r float64) bool // whether anything is drawn within r of a point of the figure
}

// tiling is how a figure is cut into pages.
type tiling struct {
	Window     Rect // on each page
	Cols, Rows int
}

const (
	tileOverlap = 12.0 // mm that neighbouring tiles share
	tileInset   = 11.0 // mm from the paper's edge to the tile's window, at the sides: room for the upright check bar
	tileFoot    = 24.0 // mm under the window for check bars and tile map
	markRadius  = 3.0  // registration mark
)

func tiles(span, window float64) int {
	if span <= window {
		return 1
	}
	return int(math.Ceil((span-tileOverlap)/(window-tileOverlap) - 1e-9))
}

// tileWindow is the part of a page that a template may use: all between head and foot, down to what printers reach at the sides.
func tileWindow(s *sheet) Rect {
	top := s.Area.Y + 7
	return Rect{tileInset, top, s.W - 2*tileInset, s.Area.Bottom() - tileFoot - top}
}

func tilingOf(f figure, window Rect) tiling {
	return tiling{window, tiles(f.W, window.W), tiles(f.H, window.H)}
}

// name is a tile's number, from the upper left, row by row.
func (t tiling) name(col, row int) string { return strconv.Itoa(row*t.Cols + col + 1) }

// place says where a tile lies: "upper left", "middle", "row 2, column 4".
func (t tiling) place(col, row int) string {
	words := func(i, n int, all [3]string) string {
		switch {
		case n == 1:
			return ""
		case i == 0:
			return all[0]
		case i == n-1:
			return all[2]
		}
		return all[1]
	}
	if t.Cols > 3 || t.Rows > 3 {
		return fmt.Sprintf("row %d, column %d", row+1, col+1)
	}
	v, h := words(row, t.Rows, [3]string{"upper", "middle", "lower"}), words(col, t.Cols, [3]string{"left", "middle", "right"})
	return strings.TrimSpace(v + " " + h)
}

// origin is where the figure's corner lies on the page of a tile. The figure stands in the middle of all tiles together.
func (t tiling) origin(f figure, col, row int) Pt {
	stepX, stepY := t.Window.W-tileOverlap, t.Window.H-tileOverlap
	wide, tall := float64(t.Cols-1)*stepX+t.Window.W, float64(t.Rows-1)*stepY+t.Window.H
	return Pt{t.Window.X - float64(col)*stepX + (wide-f.W)/2, t.Window.Y - float64(row)*stepY + (tall-f.H)/2}
}

// template sets a figure over as many pages as it takes.
func (b *book) template(f figure) {
	s := b.add(partB, "Templates", portrait)
	t := tilingOf(f, tileWindow(s))
	first := true
	for row := range t.Rows {
		for col := range t.Cols {
			if t.blank(f, col, row) {
				continue
			}
			if !first {
				s = b.add(partB, "Templates", portrait)
			}
			first = false
			t.page(s, f, col, row)
		}
	}
}

// blank reports whether nothing of the figure falls on a tile.
func (t tiling) blank(f figure, col, row int) bool {
	o := t.origin(f, col, row)
	w := t.Window
	const step = 4.0
	for y := w.Y; y <= w.Bottom(); y += step {
		for x := w.X; x <= w.Right(); x += step {
			if f.Busy(Pt{x - o.X, y - o.Y}, step) {
				return false
			}
		}
	}
	return true
}

func (t tiling) page(s *sheet, f figure, col, row int) {
	title := f.Title
	if t.Cols*t.Rows > 1 {
		title += fmt.Sprintf("  –  %s, %d of %d", t.place(col, row), row*t.Cols+col+1, t.Cols*t.Rows)
	}
	st := TextStyle{Size: 10, Bold: true}
	s.Text(Pt{s.Area.X, s.Area.Y + rise(10)}, clipText(title, st, s.Area.W), st)
	d := onPaper(s, t.Window)
	s.Clip(t.Window, func() {
		t.marks(d, f, col, row)
		f.Draw(d, t.origin(f, col, row))
	})
	if t.Cols*t.Rows > 1 {
		box(s, t.Window, Stroke{Width: hairline, Dash: []float64{2, 2}})
	}
	checkBars(s)
	t.tileMap(s, col, row)
}

// marks draws the registration marks in the middle of the overlaps: crosses in rings that fall on one another when the tiles are
// laid right.
func (t tiling) marks(d *drawing, f figure, col, row int) {
	o := t.origin(f, col, row)
	w := t.Window
	for i := range 2 {
		c := col - 1 + i // boundary between columns c and c+1
		if c >= 0 && c+1 < t.Cols {
			x := w.X + tileOverlap/2
			if i == 1 {
				x = w.Right() - tileOverlap/2
			}
			at := freeMarks(func(k float64) bool { return f.Busy(Pt{x - o.X, w.Y + w.H*k - o.Y}, markClear) })
			for k, share := range at {
				d.registration(Pt{x, w.Y + w.H*share}, fmt.Sprintf("%s/%s %c", t.name(c, row), t.name(c+1, row), 'a'+k))
			}
		}
		r := row - 1 + i
		if r >= 0 && r+1 < t.Rows {
			y := w.Y + tileOverlap/2
			if i == 1 {
				y = w.Bottom() - tileOverlap/2
			}
			at := freeMarks(func(k float64) bool { return f.Busy(Pt{w.X + w.W*k - o.X, y - o.Y}, markClear) })
			for k, share := range at {
				d.registration(Pt{w.X + w.W*share, y}, fmt.Sprintf("%s/%s %c", t.name(col, r), t.name(col, r+1), 'a'+k))
			}
		}
	}
}

// markClear is how far a registration mark keeps from the lines of the figure, mm.
const markClear = 6.5

// freeMarks chooses two places along an overlap, as shares of its length, that are clear of the figure and well apart.
func freeMarks(busy func(share float64) bool) []float64 {
	pick := func(shares ...float64) float64 {
		for _, k := range shares {
			if !busy(k) {
				return k
			}
		}
		return shares[0]
	}
	return []float64{pick(0.25, 0.2, 0.3, 0.15, 0.35, 0.1, 0.4), pick(0.75, 0.8, 0.7, 0.85, 0.65, 0.9, 0.6)}
}

func (d *drawing) registration(c Pt, name string) {
	const arm = 5.0
	d.Canvas.Circle(c, markRadius, &Stroke{Width: thin}, nil)
	d.line(Pt{c.X - arm, c.Y}, Pt{c.X + arm, c.Y}, hairline)
	d.line(Pt{c.X, c.Y - arm}, Pt{c.X, c.Y + arm}, hairline)
	st := TextStyle{Size: sizeLeast}
	d.write(name, st, spot{At: Pt{c.X + 3.4, c.Y - 2.4}}, spot{At: Pt{c.X - 3.4, c.Y - 2.4}, Align: AlignRight}, spot{At: Pt{c.X + 3.4, c.Y + 3.6}}, spot{At: Pt{c.X - 3.4, c.Y + 3.6}, Align: AlignRight})
}

// checkBars draws a 100 mm and a 4 in bar across the page and a 100 mm bar up it: a print at the wrong scale shows before wood is cut.
func checkBars(s *sheet) {
	small := TextStyle{Size: sizeSmall}
	y := s.Area.Bottom() - tileFoot + 8
	bar := func(x, y, l float64, text string) {
		line(s, Pt{x, y}, Pt{x + l, y}, Stroke{Width: medium})
		for _, at := range []float64{0, l / 4, l / 2, l * 3 / 4, l} {
			h := 1.5
			if at == 0 || at == l {
				h = 2.5
			}
			line(s, Pt{x + at, y - h}, Pt{x + at, y + h}, Stroke{Width: thin})
		}
		s.Text(Pt{x + l + 2.5, y + rise(sizeSmall)/2}, text, small)
	}
	x := s.Area.X
	bar(x, y, 100, "100 mm")
	bar(x, y+7, 4*inch*1000, "4 in")
	s.Text(Pt{x, y + 14}, "Print at 100 %, not “fit to page”. If a bar here or at the left edge is off by more than 0.5 mm (1/64 in), do not use this sheet.", small)
	up := tileInset - 2
	bottom := s.Area.Bottom() - tileFoot
	line(s, Pt{up, bottom}, Pt{up, bottom - 100}, Stroke{Width: medium})
	for _, k := range []float64{0, 25, 50, 75, 100} {
		line(s, Pt{up - 1.5, bottom - k}, Pt{up + 1.5, bottom - k}, Stroke{Width: thin})
	}
	s.Text(Pt{up + 1, bottom - 102.5}, "100 mm", TextStyle{Size: sizeLeast, Angle: 90, Label: true})
}

// tileMap shows which tile of all this page is.
func (t tiling) tileMap(s *sheet, col, row int) {
	if t.Cols*t.Rows < 2 {
		return
	}
	const most = 15.5
	size := math.Min(8, most/float64(max(t.Rows, t.Cols)))
	x0, y0 := s.Area.Right()-size*float64(t.Cols), s.Area.Bottom()-tileFoot+3
	for r := range t.Rows {
		for c := range t.Cols {
			cell := Rect{x0 + float64(c)*size, y0 + float64(r)*size, size, size}
			if r == row && c == col {
				shade(s, cell, 0.75)
			}
			box(s, cell, Stroke{Width: thin})
			s.Text(Pt{cell.Centre().X, cell.Centre().Y + rise(sizeLeast)/2}, t.name(c, r), TextStyle{Size: sizeLeast, Align: AlignCentre, Label: true})
		}
	}
}
