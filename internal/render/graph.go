package render

import "math"

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

	Extra func(chart) // draws over the curves; nil: nothing
	Strip float64     // mm left free above the curves
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

// stroke is how a line of a look is drawn; black.
func (l look) stroke() Stroke {
	points := func(width float64, dash ...float64) Stroke {
		for i := range dash {
			dash[i] *= pointMM
		}
		return Stroke{Width: width * pointMM, Dash: dash}
	}
	switch l {
	case lookDash:
		return points(1.1, 5, 2.5)
	case lookDot:
		return points(1.2, 1.2, 2.2)
	case lookDashDot:
		return points(1, 7, 2, 1.2, 2)
	case lookThin:
		return points(0.5)
	case lookLongDash:
		return points(0.8, 10, 3)
	case lookHeavy:
		return points(2.4)
	}
	return points(1.3)
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
	k := g.axes(c, r)
	for _, b := range g.Bands {
		k.band(b)
	}
	k.grid()
	for _, l := range g.Limits {
		if y := k.y(l.Value); k.shows(l.Value) {
			line(c, Pt{k.frame.X, y}, Pt{k.frame.Right(), y}, lookLongDash.stroke())
		}
	}
	for _, l := range g.Lines {
		k.curve(l)
	}
	k.limitNames()
	if g.Extra != nil {
		g.Extra(k)
	}
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
		line(c, Pt{x, y + rise(t.Size)/2}, Pt{x + sample, y + rise(t.Size)/2}, k.Look.stroke())
		c.Text(Pt{x + sample + gap, y + rise(t.Size)}, name, t)
		x += w + between
		any = true
	}
	if !any {
		return 0
	}
	return y - r.Y + lineHeight(t.Size) + 0.8
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
