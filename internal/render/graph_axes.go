package render

import (
	"cmp"
	"math"
	"strconv"
)

// A chart is a graph on a page: the frame of its curves and the scales of its axes.
type chart struct {
	graph
	c      Canvas
	frame  Rect
	lo, hi float64 // of the Y axis
	xs, ys []tick
}

// across is where a value of the X axis lies, from 0 at the left side of the frame to 1 at the right.
func (k chart) across(v float64) float64 {
	if k.Linear {
		return (v - k.From) / (k.To - k.From)
	}
	return math.Log(v/k.From) / math.Log(k.To/k.From)
}

// up is where a value of the Y axis lies, from 0 at the foot of the frame to 1.
func (k chart) up(v float64) float64 { return (v - k.lo) / (k.hi - k.lo) }

func (k chart) x(v float64) float64 { return k.frame.X + k.frame.W*k.across(v) }
func (k chart) y(v float64) float64 { return k.frame.Bottom() - k.frame.H*k.up(v) }

// shows reports whether a value lies on the Y axis.
func (k chart) shows(v float64) bool { return v >= k.lo && v <= k.hi }

// Types of the axes' words, and lengths and widths of their lines.
var (
	tickType, labelType = TextStyle{Size: 8, Label: true}, TextStyle{Size: 8.5, Label: true}
	axisLine, tickLine  = Stroke{Width: 0.6 * pointMM}, Stroke{Width: 0.5 * pointMM}
)

const (
	tickLength = 3 * pointMM
	axisGap    = 3 * pointMM // between an axis' label and its figures
)

// drop and height are what a line of a type takes below its baseline, and in all; mm.
func (t TextStyle) drop() float64   { return textDrop * t.Size * pointMM }
func (t TextStyle) height() float64 { return (textRise + textDrop) * t.Size * pointMM }

// axes finds the scales of a graph and the room for its frame in a rectangle, and draws its axes.
func (g graph) axes(c Canvas, r Rect) chart {
	if g.Linear {
		g.From, g.To = g.xRange()
	}
	g.XLabel = cmp.Or(g.XLabel, "frequency, Hz")
	k := chart{graph: g, c: c}
	const wide = 75.0 // mm, from which all labels find room
	if g.Linear {
		k.xs = stepTicks(niceStep((g.To-g.From)/5, g.To-g.From), g.From, g.To)
	} else {
		k.xs = frequencyTicks(g.From, g.To, r.W < wide)
	}
	k.lo, k.hi = g.yRange()
	const below, least = 12.0, 8.0 // mm for the X axis' labels, and of a plot
	k.hi += (k.hi - k.lo) * g.Strip / math.Max(least, r.H-below-g.Strip)
	step := g.Step
	if step == 0 {
		step = niceStep((k.hi-k.lo)/math.Max(2, math.Min(7, r.H/9)), k.hi-k.lo)
	}
	k.lo, k.hi = math.Floor(k.lo/step+1e-9)*step, math.Ceil(k.hi/step-1e-9)*step
	k.ys = stepTicks(step, k.lo, k.hi)

	figures := 0.0 // width of the widest
	for _, t := range k.ys {
		figures = math.Max(figures, c.TextWidth(t.label, tickType))
	}
	left := labelType.height() + labelType.drop() + axisGap + figures
	foot := labelType.height() + axisGap + tickType.height() + tickLength
	k.frame = Rect{r.X + left + c.TextWidth(" ", labelType) + tickLength + axisLine.Width/2, r.Y, 0, r.H - foot - axisLine.Width/2}
	k.frame.W = r.Right() - k.frame.X
	k.keepLabelsIn()
	k.xAxis(r.Bottom(), r.Bottom()-foot+tickLength)
	k.yAxis(r.X, r.X+left)
	return k
}

// keepLabelsIn makes the frame smaller where words of its axes would stand out beyond it at the right or above.
func (k *chart) keepLabelsIn() {
	type overhang struct{ at, half float64 } // place on the axis from 0 to 1, and what stands out beyond it
	fit := func(length float64, all []overhang) float64 {
		most, worst := length, overhang{1, 0}
		for _, o := range all {
			if end := length*o.at + o.half; end > most && o.at <= 1 {
				most, worst = end, o
			}
		}
		return (length - worst.half) / worst.at
	}
	right := []overhang{{k.across((k.From + k.To) / 2), k.c.TextWidth(k.XLabel, labelType) / 2}}
	for _, t := range k.xs {
		right = append(right, overhang{k.across(t.value), k.c.TextWidth(t.label, tickType) / 2})
	}
	above := []overhang{{0.5, k.c.TextWidth(k.YLabel, labelType) / 2}}
	for _, t := range k.ys {
		above = append(above, overhang{k.up(t.value), tickType.height() / 2})
	}
	tall := fit(k.frame.H, above)
	k.frame = Rect{k.frame.X, k.frame.Bottom() - tall, fit(k.frame.W, right), tall}
}

// xAxis draws the axis at the foot: its label above the bottom, and figures whose marks begin at a height on the page.
func (k chart) xAxis(bottom, marks float64) {
	centred := func(x, y float64, s string, t TextStyle) { k.c.Text(Pt{x - k.c.TextWidth(s, t)/2, y}, s, t) }
	centred(k.frame.Centre().X, bottom-labelType.drop(), k.XLabel, labelType)
	for _, t := range k.xs {
		centred(k.x(t.value), marks+tickType.height()-tickType.drop(), t.label, tickType)
	}
	for _, t := range k.xs {
		line(k.c, Pt{k.x(t.value), marks - t.start()}, Pt{k.x(t.value), marks - tickLength}, tickLine)
	}
	line(k.c, Pt{k.frame.X, marks - tickLength}, Pt{k.frame.Right(), marks - tickLength}, axisLine)
}

// yAxis draws the axis at the left: its label from the left side, and figures that end at a place.
func (k chart) yAxis(left, figures float64) {
	turned := labelType
	turned.Angle = 90
	k.c.Text(Pt{left + labelType.height() - labelType.drop(), k.frame.Centre().Y + k.c.TextWidth(k.YLabel, labelType)/2}, k.YLabel, turned)
	for _, t := range k.ys {
		k.c.Text(Pt{figures - k.c.TextWidth(t.label, tickType), k.y(t.value) + tickType.height()/2 - tickType.drop()}, t.label, tickType)
	}
	marks := figures + k.c.TextWidth(" ", tickType)
	for _, t := range k.ys {
		line(k.c, Pt{marks + t.start(), k.y(t.value)}, Pt{marks + tickLength, k.y(t.value)}, tickLine)
	}
	line(k.c, Pt{marks + tickLength, k.frame.Bottom()}, Pt{marks + tickLength, k.frame.Y}, axisLine)
}

// tick is a value that an axis marks; without a label its mark is half as long.
type tick struct {
	value float64
	label string
}

// start is where its mark begins, mm.
func (t tick) start() float64 {
	if t.label == "" {
		return tickLength / 2
	}
	return 0
}

// frequencyTicks labels 10 20 30 40 50 60 80 100 200 ..., or 10 20 30 50 100 200 ... where there is less room, and marks the tens between.
func frequencyTicks(lo, hi float64, sparse bool) []tick {
	labelled := map[int]bool{1: true, 2: true, 3: true, 4: !sparse, 5: true, 6: !sparse, 8: !sparse}
	var out []tick
	for decade := 1.0; decade < 1e5; decade *= 10 {
		for m := 1; m < 10; m++ {
			f := decade * float64(m)
			if f < lo*(1-1e-9) || f > hi*(1+1e-9) {
				continue
			}
			t := tick{value: f}
			if labelled[m] && (f <= 100 || m <= 3 || m == 5) {
				t.label = strconv.FormatFloat(f, 'f', -1, 64)
			}
			out = append(out, t)
		}
	}
	return out
}

// stepTicks labels every multiple of a step with a true minus sign.
func stepTicks(step, lo, hi float64) []tick {
	decimals := int(math.Max(0, math.Ceil(-math.Log10(step)-1e-9)))
	var out []tick
	for i := math.Ceil(lo/step - 1e-9); i*step <= hi+step*1e-9 && len(out) < 100; i++ {
		v := i * step
		label := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
		if v < -step/2 {
			label = "−" + label
		}
		out = append(out, tick{v, label})
	}
	return out
}
