package render

import (
	"fmt"
	"image/color"
	"math"
	"math/cmplx"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// graphs show how the box behaves over frequency: rows of two of a height and of three of a lesser one, mm.
func (f *flow) graphs(r *design.Result, d *design.Design, tall, low float64) {
	f.Need(tall + 14)
	f.Heading("What to expect of it")
	rest := []graph{excursionGraph(r, d), impedanceGraph(r, d), delayGraph(d)}
	if d.Port != nil {
		rest = append(rest, portGraph(r, d))
	}
	if d.Radiator != nil {
		rest = append(rest, radiatorGraph(r, d))
	}
	rest = append(rest, phaseGraph(d))
	cols := f.Box(tall).Columns(2, 8)
	levelGraph(r, d).draw(f, cols[0])
	maximumGraph(r, d).draw(f, cols[1])
	f.Gap(smallGap)
	const across = 3
	for i := 0; i < len(rest); i += across {
		cols := f.Box(low).Columns(across, 6)
		for k, c := range cols {
			if i+k < len(rest) {
				rest[i+k].draw(f, c)
				continue
			}
			c.W = cols[across-1].Right() - c.X
			paragraph(f, Pt{c.X, c.Y}, c.W, graphNote(r), TextStyle{Size: sizeSmall})
			break
		}
		f.Gap(smallGap)
	}
}

const smallGap = 3.5 // mm under a row of small graphs

// graphNote says at which drive and with which filters the curves are stated.
func graphNote(r *design.Result) string {
	s := fmt.Sprintf("Calculated at small signals, half space (2π), 1 m, %s V rms unless said. Power compression but for the hot coil, and turbulence, are not modelled. ", trim(r.DriveVolts))
	if len(r.Designs) > 0 && r.Designs[0].Circuit != nil {
		var names []string
		for _, k := range r.Designs[0].Circuit.System.Filters {
			names = append(names, filterText(k))
		}
		if len(names) > 0 {
			s += "Filters in all curves but the impedance: " + strings.Join(names, ", ") + ". "
		} else {
			s += "No filters. "
		}
	}
	switch v := r.Request.Vehicle; {
	case v == nil:
	case len(v.Measured) > 0:
		s += "In the vehicle: free field plus the measured curve " + v.Source + "."
	default:
		s += "In the vehicle: free field plus a model of the closed cabin, shown to 100 Hz, good to ±6 dB at best."
	}
	return s
}

func filterText(f thielesmall.Filter) string {
	name := map[thielesmall.FilterType]string{thielesmall.Butterworth: "Butterworth", thielesmall.Bessel: "Bessel", thielesmall.LinkwitzRiley: "Linkwitz-Riley"}[f.Type]
	switch f.Kind {
	case thielesmall.HighPass:
		return fmt.Sprintf("high-pass %s, %d dB per octave (%s)", hertz(f.Frequency), 6*f.Order, name)
	case thielesmall.LowPass:
		return fmt.Sprintf("low-pass %s, %d dB per octave (%s)", hertz(f.Frequency), 6*f.Order, name)
	}
	return fmt.Sprintf("boost %s dB at %s", number(f.Gain, 1), hertz(f.Frequency))
}

// over makes a curve of one quantity of a design's points.
func over(name string, k look, pts []design.CurvePoint, y func(design.CurvePoint) float64) curve {
	c := curve{Name: name, Look: k, X: make([]float64, len(pts)), Y: make([]float64, len(pts))}
	for i, p := range pts {
		c.X[i], c.Y[i] = p.Frequency, y(p)
	}
	return c
}

// band is the frequency range of the graphs: that of the curves, within 10 to 200 Hz, where a subwoofer is judged.
func band(d *design.Design) (from, to float64) {
	from, to = 10, 200
	if n := len(d.Curves); n > 1 {
		a, b := math.Max(from, d.Curves[0].Frequency), math.Min(to, d.Curves[n-1].Frequency)
		if a < b*0.9 {
			from, to = a, b
		}
	}
	return from, to
}

// graphOf is a graph over the frequencies of a design, still without curves.
func graphOf(d *design.Design, title, label string) graph {
	from, to := band(d)
	return graph{Title: title, YLabel: label, From: from, To: to}
}

const levelUnit = "dB re 20 µPa"

func levelGraph(r *design.Result, d *design.Design) graph {
	g := graphOf(d, fmt.Sprintf("Level at 1 m, half space, %s V", trim(r.DriveVolts)), levelUnit)
	g.Floor = 36 // dB shown below the highest value
	g.Lines = append(g.Lines, over("free field", lookSolid, d.Curves, func(p design.CurvePoint) float64 { return p.Level }))
	low := over("", lookThin, d.Curves, func(p design.CurvePoint) float64 { return p.LevelLow })
	high := over("", lookThin, d.Curves, func(p design.CurvePoint) float64 { return p.LevelHigh })
	if r.Spread != nil && d.Rank == 1 {
		g.Bands = append(g.Bands, bandFill{low.X, low.Y, high.Y, 0.85})
		g.Note = "Grey: 10 to 90 % of builds within usual tolerances."
	}
	v := r.Request.Vehicle
	if v == nil {
		return g
	}
	const modelEnds = 100 // Hz, up to where the cabin model is stated
	inside := over("in the vehicle", lookDash, d.Curves, func(p design.CurvePoint) float64 {
		if len(v.Measured) == 0 && p.Frequency > modelEnds {
			return math.NaN()
		}
		return p.CabinLevel
	})
	g.Lines = append(g.Lines, inside)
	if len(v.Measured) == 0 {
		g.Note += " In the vehicle: to 100 Hz, where the cabin's model ends."
	}
	g.Note = strings.TrimSpace(g.Note)
	return g
}

// limitsOf are the limits that the maximum level was found with, each by itself, with its name and look.
func limitsOf(r *design.Result, d *design.Design) []limitCurve {
	var out []limitCurve
	add := func(name string, k look, l thielesmall.Limits) { out = append(out, limitCurve{name, k, l}) }
	if v := r.FullVolts; v > 0 {
		add("amplifier", lookThin, thielesmall.Limits{AmplifierVolts: v})
	}
	if r.Driver.Power > 0 && r.Driver.Impedance > 0 {
		add("rated power", lookDash, thielesmall.Limits{RatedPower: r.Driver.Power, Nominal: r.Driver.Impedance})
	}
	if r.Driver.Xmax > 0 {
		add("Xmax", lookDot, thielesmall.Limits{Xmax: r.Driver.Xmax})
	}
	if q := d.Radiator; q != nil && q.Xmax > 0 {
		add("radiator's Xmax", lookDashDot, thielesmall.Limits{RadiatorXmax: q.Xmax})
	}
	if v, ok := portLimit(d); ok {
		add("port speed", lookDashDot, thielesmall.Limits{PortSpeed: v})
	}
	return out
}

type limitCurve struct {
	name   string
	look   look
	limits thielesmall.Limits
}

// portLimit is the port-speed limit that the design was judged by.
func portLimit(d *design.Design) (float64, bool) {
	if d.Port == nil {
		return 0, false
	}
	for _, c := range d.Checks {
		if c.Unit == "m/s" && c.Status != panels.NotChecked && plottable(c.Limit) {
			return c.Limit, true
		}
	}
	return 0, false
}

func maximumGraph(r *design.Result, d *design.Design) graph {
	g := graphOf(d, "Maximum level at 1 m, half space, and what sets it", levelUnit)
	g.Floor = 45
	g.Lines = append(g.Lines, over("maximum", lookHeavy, d.Curves, func(p design.CurvePoint) float64 { return p.MaxLevel }))
	for _, k := range limitsOf(r, d) {
		if d.Circuit == nil {
			break
		}
		alone := over(k.name, k.look, d.Curves, func(p design.CurvePoint) float64 {
			level, cause := d.Circuit.MaxLevel(p.Frequency, k.limits)
			if !finite(p.MaxLevel) || cause == thielesmall.Unlimited {
				return math.NaN()
			}
			return level
		})
		alone.Free = true
		g.Lines = append(g.Lines, alone)
	}
	warm := over("hot coil", lookLongDash, d.Curves, func(p design.CurvePoint) float64 { return p.MaxWarm })
	g.Bands = []bandFill{{warm.X, warm.Y, g.Lines[0].Y, 0.85}}
	g.Lines = append(g.Lines[:1:1], append([]curve{warm}, g.Lines[1:]...)...)
	g.Extra = append(g.Extra, causeStrip{d.Curves})
	g.Strip = stripHeight * pointMM * 1.15
	g.Note = maximumEnd(d)
	return g
}

// maximumEnd says where the greatest level is stated to, and why no further.
func maximumEnd(d *design.Design) string {
	last := 0.0
	for _, p := range d.Curves {
		if finite(p.MaxLevel) {
			last = p.Frequency
		}
	}
	if last == 0 {
		return "Not stated: amplifier, rated power and Xmax are not known."
	}
	if v := d.Figures.DuctResonance; v > 0 && last < v/2*1.03 && last < 195 {
		return fmt.Sprintf("Ends at %s, half the port's first resonance: above it the port is no longer one lump of air.", hertz(last))
	}
	if last > 195 { // the grid's last point before 200 Hz
		last = 200
	}
	return fmt.Sprintf("Stated to %s, where a subwoofer's work ends. Strip: what sets it.", hertz(last))
}

// stripHeight is that of a strip of causes, points.
const stripHeight = 11

// causeStrip is a strip along the upper edge of the graph that names what sets the maximum level below it.
type causeStrip struct{ points []design.CurvePoint }

func (s causeStrip) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	shades := map[thielesmall.Cause]uint8{thielesmall.Voltage: 255, thielesmall.Power: 235, thielesmall.Excursion: 205, thielesmall.PortSpeed: 220}
	var sty text.Style
	plotFont(&sty, 7)
	sty.Color, sty.XAlign = color.Black, draw.XCenter
	edge := draw.LineStyle{Color: color.Black, Width: vg.Points(0.5)}
	top, low := c.Max.Y, c.Max.Y-stripHeight
	for i := 0; i < len(s.points); {
		j := i
		for j+1 < len(s.points) && s.points[j+1].LimitedBy == s.points[i].LimitedBy && finite(s.points[j+1].MaxLevel) == finite(s.points[i].MaxLevel) {
			j++
		}
		a, z := s.points[i], s.points[min(j+1, len(s.points)-1)]
		i = j + 1
		if !finite(a.MaxLevel) || a.LimitedBy == thielesmall.Unlimited || z.Frequency < p.X.Min || a.Frequency > p.X.Max {
			continue
		}
		left, right := x(math.Max(a.Frequency, p.X.Min)), x(math.Min(z.Frequency, p.X.Max))
		r := vg.Rectangle{Min: vg.Point{X: left, Y: low}, Max: vg.Point{X: right, Y: top}}
		c.SetColor(color.Gray{shades[a.LimitedBy]})
		c.Fill(r.Path())
		c.StrokeLines(edge, []vg.Point{{X: left, Y: low}, {X: right, Y: low}, {X: right, Y: top}, {X: left, Y: top}, {X: left, Y: low}})
		_, word, _ := design.LimitWords(a.LimitedBy)
		for _, name := range []string{word, strings.Fields(word)[0]} {
			if sty.Width(name)+4 < right-left {
				c.FillText(sty, vg.Point{X: (left + right) / 2, Y: low + 3}, name)
				break
			}
		}
	}
}

var _ plot.Plotter = causeStrip{}

// atPower is a graph of a quantity at the amplifier's full voltage and as page 1 sets it where that is less, or at the
// job's drive where there is no amplifier.
func atPower(r *design.Result, d *design.Design, title, label string, y func(thielesmall.Point) float64) graph {
	at := func(name string, k look, volts float64) curve {
		return over(name, k, d.Curves, func(p design.CurvePoint) float64 { return y(d.Circuit.At(p.Frequency, volts)) })
	}
	v, s := r.FullVolts, d.Evaluation.Settings
	if v == 0 || d.Circuit == nil {
		g := graphOf(d, fmt.Sprintf("%s at %s V", title, trim(r.DriveVolts)), label)
		g.Whole, g.Lines = true, []curve{over("", lookSolid, d.Curves, func(p design.CurvePoint) float64 { return y(p.Point) })}
		return g
	}
	g := graphOf(d, fmt.Sprintf("%s at full power, %s V", title, number(v, 1)), label)
	g.Whole, g.Lines = true, []curve{at("", lookSolid, v)}
	if s.Volts > 0 && s.Allowed < 0.995*s.Full {
		g.Lines[0].Name = "full"
		g.Lines = append(g.Lines, at("as set, page 1", lookDash, s.Volts))
	}
	return g
}

func excursionGraph(r *design.Result, d *design.Design) graph {
	g := atPower(r, d, "Cone excursion", "peak, mm", func(p thielesmall.Point) float64 { return p.Excursion * 1000 })
	if x := r.Driver.Xmax; x > 0 {
		g.Limits = append(g.Limits, limitLine{"Xmax " + unit.Millimetres(x, 1) + " mm", x * 1000})
		g.Cap = 3 * x * 1000
	}
	g.Note = beyond(g.Lines, r.Driver.Xmax*1000, "Xmax")
	if x := r.Driver.Xmech; x > 0 {
		g.Limits = append(g.Limits, limitLine{"Xmech " + unit.Millimetres(x, 1) + " mm", x * 1000})
	}
	return g
}

// beyond says where the first of some curves crosses a limit from 20 Hz up, whence it is judged, and whether the second keeps it.
func beyond(lines []curve, limit float64, name string) string {
	const lowest, slack = 20.0, 1.005
	span := func(c curve) (from, to float64) {
		for i, f := range c.X {
			if f < lowest || !(c.Y[i] > limit*slack) {
				continue
			}
			if from == 0 {
				from = f
			}
			to = f
		}
		return from, to
	}
	from, to := span(lines[0])
	if limit <= 0 || from == 0 {
		return ""
	}
	s := fmt.Sprintf("Over %s from %s to %s at full power", name, hertz(from), hertz(to))
	if len(lines) > 1 {
		if again, _ := span(lines[1]); again == 0 {
			return s + "; as set it keeps within."
		}
	}
	return s + "."
}

func portGraph(r *design.Result, d *design.Design) graph {
	g := atPower(r, d, "Port air speed", "speed, peak, m/s", func(p thielesmall.Point) float64 { return p.PortSpeed })
	if v, ok := portLimit(d); ok {
		g.Limits = append(g.Limits, limitLine{"limit " + quantity(v, "m/s", unit.Metric), v})
		g.Note = beyond(g.Lines, v, "its limit")
	}
	return g
}

func radiatorGraph(r *design.Result, d *design.Design) graph {
	g := atPower(r, d, "Radiator", "peak, mm", func(p thielesmall.Point) float64 { return p.Radiator * 1000 })
	if x := d.Radiator.Xmax; x > 0 {
		g.Limits = append(g.Limits, limitLine{"its Xmax " + unit.Millimetres(x, 1) + " mm", x * 1000})
	}
	return g
}

func impedanceGraph(r *design.Result, d *design.Design) graph {
	g := graphOf(d, "Input impedance as wired", "magnitude, Ω")
	g.Whole, g.Lines = true, []curve{over("", lookSolid, d.Curves, func(p design.CurvePoint) float64 { return cmplx.Abs(p.Impedance) })}
	if a := r.Request.Amplifier; a != nil {
		if least := a.LeastLoad(); least > 0 {
			g.Limits = append(g.Limits, limitLine{"least load " + trim(least) + " Ω", least})
			if z := d.Fitting.LowestImpedance; z > 0 && z < least {
				g.Note = fmt.Sprintf("Dips to %s Ω at %s: a load is graded by its nominal figure.", number(z, 2), hertz(d.Fitting.LowestAt))
			} else if z > 0 && finite(z) {
				g.Note = fmt.Sprintf("Least: %s Ω at %s.", number(z, 2), hertz(d.Fitting.LowestAt))
			}
		}
	}
	return g
}

func delayGraph(d *design.Design) graph {
	loudest := math.Inf(-1)
	for _, p := range d.Curves {
		loudest = math.Max(loudest, p.Level)
	}
	const silent = 30 // dB below the loudest: the delay of what is hardly there, at a radiator's notch, says nothing
	delay := over("", lookSolid, d.Curves, func(p design.CurvePoint) float64 {
		if d.Radiator != nil && p.Level < loudest-silent {
			return math.NaN()
		}
		return p.GroupDelay * 1000
	})
	g := graphOf(d, "Group delay, with filters", "delay, ms")
	g.YMax, g.Note, g.Lines = 5, delayWords(d), []curve{delay}
	return g
}

// delayWords says whether the group delay matters, by how many periods of its note it lasts. That up to about one and a half go
// unnoticed with music is common practice (from memory), no published threshold.
func delayWords(d *design.Design) string {
	const heard = 1.5 // periods
	most, at := 0.0, 0.0
	for _, p := range d.Curves {
		if p.Frequency >= 20 && p.Frequency <= 200 && p.GroupDelay > most {
			most, at = p.GroupDelay, p.Frequency
		}
	}
	if most == 0 {
		return ""
	}
	s := fmt.Sprintf("%s ms at %s, %s periods: ", number(most*1000, 0), hertz(at), number(most*at, 1))
	if most*at <= heard {
		return s + "up to 1.5 it goes unnoticed (common practice)."
	}
	return s + "over 1.5 low notes may seem late (common practice)."
}

// phaseGraph is the phase of the sound, cut where it goes round.
func phaseGraph(d *design.Design) graph {
	c := over("", lookSolid, d.Curves, func(p design.CurvePoint) float64 { return p.Phase })
	for i := len(c.Y) - 1; i > 0; i-- {
		if math.Abs(c.Y[i]-c.Y[i-1]) > 180 {
			c.Y[i] = math.NaN()
		}
	}
	g := graphOf(d, "Phase of the sound, with filters", "phase, degrees")
	g.YMin, g.YMax, g.Step, g.Lines = -180, 180, 90, []curve{c}
	g.Note = "−180° and 180° are the same: a line that ends at one goes on at the other."
	return g
}
