package render

import (
	"cmp"
	"image/color"
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	xfont "golang.org/x/image/font"
)

// graph is one diagram over frequency.
type graph struct {
	Title  string
	Note   string // words under it
	YLabel string
	From   float64 // Hz
	To     float64
	Lines  []curve
	Limits []limitLine
	YMin   float64 // the axis reaches at least from YMin to YMax
	YMax   float64
	Step   float64 // between the labels of the Y axis; 0: chosen
	Floor  float64 // nothing is shown below the highest value minus Floor; 0: no such floor
	Whole  bool    // values cannot be negative: the axis starts at 0
	Cap    float64 // the axis ends here at most, unless a limit lies higher; 0: no cap

	XLabel string // empty: frequency, over a logarithmic axis from From to To
	Linear bool   // a straight axis over what the curves cover
	Bands  []bandFill
	Points []mark // the axes reach these

	Extra []plot.Plotter // drawn over the curves
	Strip float64        // mm left free above the curves
}

// curve is one line of a graph. NaN values are gaps.
type curve struct {
	Name string
	X, Y []float64
	Look look
	Free bool // does not count for the range of the axis: it runs out of the frame where it must
}

// bandFill is the grey between two curves over the same X. NaN values are gaps.
type bandFill struct {
	X, Low, High []float64
	Grey         float64
}

// limitLine is a horizontal line at a limit.
type limitLine struct {
	Name  string
	Value float64
}

// look tells lines apart without colour.
type look int

const (
	lookSolid look = iota
	lookDash
	lookDot
	lookDashDot
	lookThin
	lookLongDash
	lookHeavy
)

func (l look) style() draw.LineStyle {
	p := vg.Points
	s := draw.LineStyle{Color: color.Black, Width: p(1.3)}
	switch l {
	case lookDash:
		s.Width, s.Dashes = p(1.1), []vg.Length{p(5), p(2.5)}
	case lookDot:
		s.Width, s.Dashes = p(1.2), []vg.Length{p(1.2), p(2.2)}
	case lookDashDot:
		s.Width, s.Dashes = p(1), []vg.Length{p(7), p(2), p(1.2), p(2)}
	case lookThin:
		s.Width = p(0.5)
	case lookLongDash:
		s.Width, s.Dashes = p(0.8), []vg.Length{p(10), p(3)}
	case lookHeavy:
		s.Width = p(2.4)
	}
	return s
}

// draw sets the graph into a rectangle of a page: title, axes, grid, curves, limits and names.
func (g graph) draw(c Canvas, r Rect) {
	head := 0.0
	if g.Title != "" {
		title := TextStyle{Size: 9, Bold: true}
		c.Text(Pt{r.X, r.Y + rise(title.Size)}, clipText(g.Title, title, r.W), title)
		head = lineHeight(title.Size) + 0.8
	}
	if g.Note != "" {
		note := TextStyle{Size: sizeSmall}
		h := paragraphHeight(r.W, g.Note, note)
		paragraph(c, Pt{r.X, r.Bottom() - h}, r.W, g.Note, note)
		r.H -= h + 0.8
	}
	r = Rect{r.X, r.Y + head, r.W, r.H - head}
	if legend := g.legend(c, r); legend > 0 {
		r = Rect{r.X, r.Y + legend, r.W, r.H - legend}
	}
	p := g.plot(r)
	p.Draw(draw.New(newPlotCanvas(c, r)))
}

// legend sets the curves' samples and names in rows above the plot and returns the height taken. A single unnamed curve has none.
func (g graph) legend(c Canvas, r Rect) float64 {
	const sample, gap, between = 11.0, 1.5, 5.0
	t := TextStyle{Size: 8, Label: true}
	x, y := r.X, r.Y
	any := false
	for _, k := range g.Lines {
		if k.Name == "" {
			continue
		}
		name := clipText(k.Name, t, r.W-sample-gap)
		w := sample + gap + textWidth(name, t)
		if any && x+w > r.Right() {
			x, y = r.X, y+lineHeight(t.Size)
		}
		s := k.Look.style()
		st := Stroke{Width: float64(s.Width) * pointMM}
		for _, d := range s.Dashes {
			st.Dash = append(st.Dash, float64(d)*pointMM)
		}
		line(c, Pt{x, y + rise(t.Size)/2}, Pt{x + sample, y + rise(t.Size)/2}, st)
		c.Text(Pt{x + sample + gap, y + rise(t.Size)}, name, t)
		x += w + between
		any = true
	}
	if !any {
		return 0
	}
	return y - r.Y + lineHeight(t.Size) + 0.8
}

func (g graph) plot(r Rect) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	if g.Linear {
		g.From, g.To = g.xRange()
	}
	if g.Linear {
		p.X.Tick.Marker = stepTicks(niceStep((g.To-g.From)/5, g.To-g.From))
	} else {
		p.X.Scale = plot.LogScale{}
		const wide = 75.0 // mm, from which all labels find room
		p.X.Tick.Marker = frequencyTicks{sparse: r.W < wide}
	}
	p.X.Label.Text = cmp.Or(g.XLabel, "frequency, Hz")
	p.Y.Label.Text = g.YLabel
	lo, hi := g.yRange()
	const below, least = 12.0, 8.0 // mm for the X axis' labels, and of a plot
	hi += (hi - lo) * g.Strip / math.Max(least, r.H-below-g.Strip)
	step := g.Step
	if step == 0 {
		step = niceStep((hi-lo)/math.Max(2, math.Min(7, r.H/9)), hi-lo)
	}
	lo, hi = math.Floor(lo/step+1e-9)*step, math.Ceil(hi/step-1e-9)*step
	p.Y.Tick.Marker = stepTicks(step)
	for _, ax := range []*plot.Axis{&p.X, &p.Y} {
		ax.Padding = 0
		ax.LineStyle.Width = vg.Points(0.6)
		ax.Tick.LineStyle.Width = vg.Points(0.5)
		ax.Tick.Length = vg.Points(3)
		plotFont(&ax.Tick.Label, 8)
		plotFont(&ax.Label.TextStyle, 8.5)
		ax.Label.Padding = vg.Points(3)
	}
	plotFont(&p.Title.TextStyle, 8)
	plotFont(&p.Legend.TextStyle, 7)
	for _, k := range g.Bands {
		p.Add(bandPlotter{k})
	}
	p.Add(gridLines{})
	for _, l := range g.Limits {
		p.Add(limitPlotter{l})
	}
	for _, k := range g.Lines {
		p.Add(curvePlotter{k})
	}
	p.Add(limitNames{g})
	p.Add(g.Extra...)
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = g.From, g.To, lo, hi
	return p
}

func plotFont(s *text.Style, size float64) {
	s.Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Length(size), Weight: xfont.WeightNormal}
	s.Handler = plotText{}
}

// yRange is what the Y axis has to show.
func (g graph) yRange() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, k := range g.Lines {
		if k.Free {
			continue
		}
		for i, v := range k.Y {
			if plottable(v) && k.X[i] >= g.From && k.X[i] <= g.To {
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
		}
	}
	for _, k := range g.Points {
		if plottable(k.y) && k.x >= g.From && k.x <= g.To {
			lo, hi = math.Min(lo, k.y), math.Max(hi, k.y)
		}
	}
	for _, k := range g.Bands {
		for i, v := range k.High {
			if plottable(v) && plottable(k.Low[i]) && k.X[i] >= g.From && k.X[i] <= g.To {
				lo, hi = math.Min(lo, k.Low[i]), math.Max(hi, v)
			}
		}
	}
	if math.IsInf(lo, 0) {
		lo, hi = 0, 1
	}
	for _, l := range g.Limits {
		lo, hi = math.Min(lo, l.Value), math.Max(hi, l.Value*1.02)
	}
	if g.YMin < g.YMax {
		lo, hi = math.Min(lo, g.YMin), math.Max(hi, g.YMax)
	}
	if g.Cap > 0 {
		hi = math.Min(hi, g.Cap)
		for _, l := range g.Limits {
			hi = math.Max(hi, l.Value)
		}
	}
	if g.Floor > 0 {
		lo = math.Max(lo, hi-g.Floor)
	}
	if g.Whole {
		lo = 0
		hi *= 1.08
	}
	if hi-lo < 1e-9 {
		hi = lo + 1
	}
	return lo, hi
}

// xRange is what a straight X axis has to show, with a little room.
func (g graph) xRange() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, k := range g.Lines {
		for _, v := range k.X {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	for _, k := range g.Points {
		lo, hi = math.Min(lo, k.x), math.Max(hi, k.x)
	}
	if !finite(lo) || !finite(hi) {
		return 0, 1
	}
	room := math.Max(0.04*(hi-lo), 1e-3*math.Abs(hi)+1e-9)
	return math.Max(0, lo-room), hi + room
}

// plottable reports whether a value can go on an axis: figures beyond a million are no level, excursion or impedance of any box, and an
// axis that reached so far could no longer tell its own steps apart.
func plottable(v float64) bool { return math.Abs(v) < 1e6 }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// niceStep is the smallest of 1, 2, 5 times a power of ten that is at least raw.
func niceStep(raw, span float64) float64 {
	if !(raw > 0) {
		raw = math.Max(span, 1)
	}
	p := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if m*p >= raw*(1-1e-9) {
			return m * p
		}
	}
	return 10 * p
}

// frequencyTicks labels 10 20 30 40 50 60 80 100 200 ..., or 10 20 30 50 100 200 ... where there is less room, and marks the tens between.
type frequencyTicks struct{ sparse bool }

func (k frequencyTicks) Ticks(lo, hi float64) []plot.Tick {
	labelled := map[int]bool{1: true, 2: true, 3: true, 4: !k.sparse, 5: true, 6: !k.sparse, 8: !k.sparse}
	var out []plot.Tick
	for decade := 1.0; decade < 1e5; decade *= 10 {
		for m := 1; m < 10; m++ {
			f := decade * float64(m)
			if f < lo*(1-1e-9) || f > hi*(1+1e-9) {
				continue
			}
			t := plot.Tick{Value: f}
			if labelled[m] && (f <= 100 || m <= 3 || m == 5) {
				t.Label = strconv.FormatFloat(f, 'f', -1, 64)
			}
			out = append(out, t)
		}
	}
	return out
}

// stepTicks labels every multiple of a step with a true minus sign.
type stepTicks float64

func (s stepTicks) Ticks(lo, hi float64) []plot.Tick {
	step := float64(s)
	decimals := int(math.Max(0, math.Ceil(-math.Log10(step)-1e-9)))
	var out []plot.Tick
	for i := math.Ceil(lo/step - 1e-9); i*step <= hi+step*1e-9 && len(out) < 100; i++ {
		v := i * step
		label := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
		if v < -step/2 {
			label = "−" + label
		}
		out = append(out, plot.Tick{Value: v, Label: label})
	}
	return out
}

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

// clampFar keeps values far outside the axis from making coordinates that no reader can handle; a span above or below the axis is
// outside the frame and cut off anyway.
func clampFar(v, lo, hi float64) float64 {
	return math.Max(lo-100*(hi-lo), math.Min(hi+100*(hi-lo), v))
}

// paperStep is the distance below which two points of a curve cannot be told apart in print, points: a twelfth of a millimetre.
const paperStep = 0.25

// thinned drops points that lie closer than paperStep to the straight line between their kept neighbours (Douglas and Peucker,
// "Algorithms for the reduction of the number of points required to represent a digitized line", 1973).
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

// place finds a rectangle for a name of width w and height h at the line at: right, left or middle, above or below the line.
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
