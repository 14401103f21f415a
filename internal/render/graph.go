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
