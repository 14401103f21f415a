package render

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// gridLines draws a light line at every tick, and the frame.
type gridLines struct{}

func (gridLines) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	light := draw.LineStyle{Color: color.Gray{200}, Width: vg.Points(0.3)}
	for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		c.StrokeLine2(light, x(t.Value), c.Min.Y, x(t.Value), c.Max.Y)
	}
	for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		c.StrokeLine2(light, c.Min.X, y(t.Value), c.Max.X, y(t.Value))
	}
	frame := draw.LineStyle{Color: color.Black, Width: vg.Points(0.6)}
	c.StrokeLines(frame, []vg.Point{c.Min, {X: c.Min.X, Y: c.Max.Y}, c.Max, {X: c.Max.X, Y: c.Min.Y}, c.Min})
}

// bandPlotter fills between two curves, cut at the frame.
type bandPlotter struct{ bandFill }

func (k bandPlotter) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	var top, low []vg.Point
	flush := func() {
		if len(top) > 1 {
			ring := append([]vg.Point(nil), top...)
			for i := len(low) - 1; i >= 0; i-- {
				ring = append(ring, low[i])
			}
			c.FillPolygon(color.Gray{Y: uint8(math.Round(255 * k.Grey))}, c.ClipPolygonXY(ring))
		}
		top, low = nil, nil
	}
	for i, f := range k.X {
		if !plottable(k.Low[i]) || !plottable(k.High[i]) || f < p.X.Min*(1-1e-9) || f > p.X.Max*(1+1e-9) {
			flush()
			continue
		}
		top = append(top, vg.Point{X: x(f), Y: y(clampFar(k.High[i], p.Y.Min, p.Y.Max))})
		low = append(low, vg.Point{X: x(f), Y: y(clampFar(k.Low[i], p.Y.Min, p.Y.Max))})
	}
	flush()
}

// curvePlotter draws a curve, cut at the frame, with no more points than paper shows.
type curvePlotter struct{ curve }

func (k curvePlotter) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	var run []vg.Point
	flush := func() {
		if len(run) > 1 {
			for _, part := range c.ClipLinesXY(thinned(run)) {
				c.StrokeLines(k.Look.style(), part)
			}
		}
		run = nil
	}
	for i, v := range k.Y {
		f := k.X[i]
		if !plottable(v) || !finite(f) || f <= 0 || f < p.X.Min*(1-1e-9) || f > p.X.Max*(1+1e-9) {
			flush()
			continue
		}
		run = append(run, vg.Point{X: x(f), Y: y(clampFar(v, p.Y.Min, p.Y.Max))})
	}
	flush()
}

// clampFar keeps values far outside the axis from making coordinates that no reader can handle; a span above or below
// the axis is outside the frame and cut off anyway.
func clampFar(v, lo, hi float64) float64 {
	return math.Max(lo-100*(hi-lo), math.Min(hi+100*(hi-lo), v))
}

// paperStep is the distance below which two points of a curve cannot be told apart in print, points: a twelfth of a
// millimetre.
const paperStep = 0.25

// thinned drops points that lie closer than paperStep to the straight line between their kept neighbours (Douglas and
// Peucker, "Algorithms for the reduction of the number of points required to represent a digitized line", 1973).
func thinned(pts []vg.Point) []vg.Point {
	keep := make([]bool, len(pts))
	keep[0], keep[len(pts)-1] = true, true
	var split func(a, b int)
	split = func(a, b int) {
		worst, at := 0.0, 0
		for i := a + 1; i < b; i++ {
			if d := offLine(pts[a], pts[b], pts[i]); d > worst {
				worst, at = d, i
			}
		}
		if worst > paperStep/4 {
			keep[at] = true
			split(a, at)
			split(at, b)
		}
	}
	split(0, len(pts)-1)
	var out []vg.Point
	for i, k := range keep {
		if k {
			out = append(out, pts[i])
		}
	}
	return out
}

// offLine is the distance of p from the straight line through a and b.
func offLine(a, b, p vg.Point) float64 {
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	l := math.Hypot(dx, dy)
	if l == 0 {
		return math.Hypot(float64(p.X-a.X), float64(p.Y-a.Y))
	}
	return math.Abs(dx*float64(p.Y-a.Y)-dy*float64(p.X-a.X)) / l
}

// limitPlotter draws a limit across the graph.
type limitPlotter struct{ limitLine }

func (l limitPlotter) Plot(c draw.Canvas, p *plot.Plot) {
	_, y := p.Transforms(&c)
	if l.Value < p.Y.Min || l.Value > p.Y.Max {
		return
	}
	c.StrokeLine2(lookLongDash.style(), c.Min.X, y(l.Value), c.Max.X, y(l.Value))
}

// limitNames names the limits at their lines, where no curve passes if there is such a place.
type limitNames struct{ g graph }

func (l limitNames) Plot(c draw.Canvas, p *plot.Plot) {
	_, y := p.Transforms(&c)
	var sty text.Style
	plotFont(&sty, 8)
	sty.Color = color.Black
	var taken []vg.Rectangle
	for _, k := range l.g.Limits {
		if k.Value < p.Y.Min || k.Value > p.Y.Max {
			continue
		}
		r := l.place(c, p, sty.Width(k.Name), sty.Font.Size*textRise, y(k.Value), taken)
		taken = append(taken, r)
		c.SetColor(color.White)
		c.Fill(r.Path())
		c.FillText(sty, vg.Point{X: r.Min.X + namePad, Y: r.Min.Y + namePad}, k.Name)
	}
}

// namePad is the white kept round a limit's name, points.
const namePad = 1.2

// place finds a rectangle for a name of width w and height h at the line at: right, left or middle, above or below the
// line.
func (l limitNames) place(c draw.Canvas, p *plot.Plot, w, h, at vg.Length, taken []vg.Rectangle) vg.Rectangle {
	w, h = w+2*namePad, h+2*namePad
	var best vg.Rectangle
	least := -1
	for _, x := range []vg.Length{c.Max.X - w - 1, c.Min.X + 1, (c.Min.X + c.Max.X - w) / 2} {
		for _, y := range []vg.Length{at + 0.8, at - h - 0.8} {
			r := vg.Rectangle{Min: vg.Point{X: x, Y: y}, Max: vg.Point{X: x + w, Y: y + h}}
			if r.Min.Y < c.Min.Y || r.Max.Y > c.Max.Y {
				continue
			}
			if n := l.trouble(c, p, r, taken); least < 0 || n < least {
				best, least = r, n
			}
		}
	}
	if least < 0 { // a line on the frame with no room on either side
		best = vg.Rectangle{Min: vg.Point{X: c.Max.X - w - 1, Y: c.Max.Y - h}, Max: vg.Point{X: c.Max.X - 1, Y: c.Max.Y}}
	}
	return best
}

// trouble counts what a name in r would cover: other names above all, other limits' lines, points of curves.
func (l limitNames) trouble(c draw.Canvas, p *plot.Plot, r vg.Rectangle, taken []vg.Rectangle) int {
	const aName, aLine = 10000, 100
	x, y := p.Transforms(&c)
	n := 0
	for _, t := range taken {
		if r.Min.X < t.Max.X && t.Min.X < r.Max.X && r.Min.Y < t.Max.Y && t.Min.Y < r.Max.Y {
			n += aName
		}
	}
	for _, k := range l.g.Limits {
		if v := y(k.Value); v > r.Min.Y && v < r.Max.Y {
			n += aLine
		}
	}
	for _, k := range l.g.Lines {
		for i, v := range k.Y {
			if f := k.X[i]; plottable(v) && f > 0 && finite(f) {
				if q := (vg.Point{X: x(f), Y: y(v)}); q.X > r.Min.X && q.X < r.Max.X && q.Y > r.Min.Y && q.Y < r.Max.Y {
					n++
				}
			}
		}
	}
	return n
}
