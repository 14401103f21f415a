package render

import (
	"fmt"
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// possible sets what needs care, what else was possible, and where the air goes, with graphs of a height in mm and in type of a size.
func (f *flow) possible(r *design.Result, tall, size float64) {
	d := &r.Designs[0]
	f.notices("What needs care", warningsOf(r, d), size)
	f.offers(r)
	f.tradeoffGraphs(r, tall)
	f.shapes(r)
	f.airAndDriver(r, d)
	f.bullets(append(sentences(r.SearchNotes), findings(r)...), small)
}

// noBoxPage says why there is no design.
func noBoxPage(b *book, r *design.Result) *flow {
	f := b.flow(partA, "The answer", portrait)
	f.titleBlock(r)
	var why []string
	for _, k := range r.Outcomes {
		why = append(why, fmt.Sprintf("%s: %s", k.Kind, k.Reason))
	}
	text := "No box of the kinds considered fits and works in this space."
	if len(why) > 0 {
		text = sentence(strings.Join(why, "; "))
	}
	f.verdict("No box was found.", text)
	f.notices("What needs care", warningsOf(r, nil), sizeBody)
	f.shapes(r)
	f.offers(r)
	f.notices("Notes on the search", sentences(r.SearchNotes), small)
	f.notices("On driver and amplifier", findings(r), small)
	return f
}

// warningsOf collects what must be known now, without repeats: failed and marginal checks first.
func warningsOf(r *design.Result, d *design.Design) []string {
	var out []string
	seen := map[string]bool{}
	add := func(s string) {
		if s = sentence(s); s != "" && !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	if d != nil {
		for _, want := range []panels.Status{panels.Fail, panels.Marginal} {
			for _, c := range d.Checks {
				if c.Status == want {
					add(careLine(c))
				}
			}
		}
		for _, w := range d.Warnings {
			add(w)
		}
	}
	for _, w := range r.Warnings {
		add(w)
	}
	return out
}

// careLine says what to do about a check, else why it wants care.
func careLine(c design.Check) string {
	s := fmt.Sprintf("%s (%s): ", upperFirst(c.Name), strings.ToLower(statusWord(c.Status)))
	if c.Setting != "" {
		return s + c.Setting
	}
	return s + c.Note
}

// notices sets a list under a heading; nothing for an empty list.
func (f *flow) notices(heading string, items []string, size float64) {
	if len(items) == 0 {
		return
	}
	f.Heading(heading)
	f.bullets(items, size)
}

// offers sets the designs side by side, each with why it is offered, then how the search for each kind ended.
func (f *flow) offers(r *design.Result) {
	if len(r.Designs) > 0 {
		f.Section("Boxes that would also serve", offersTable(r))
	} else if len(r.Outcomes) == 0 {
		return
	}
	lines := []string{sentence(fmt.Sprintf("aim %s: %s", r.Request.Aim, r.Request.Aim.Describe()))}
	for _, k := range r.Outcomes {
		isOffered := slices.ContainsFunc(r.Designs, func(d design.Design) bool { return d.Kind == k.Kind })
		if k.Reason != "" && !isOffered {
			lines = append(lines, sentence(fmt.Sprintf("%s: %s", k.Kind, k.Reason)))
		}
	}
	f.bullets(lines, small)
}

func offersTable(r *design.Result) table {
	own := r.Request.Units
	t := table{Columns: []column{{Width: 6}, {Head: "offered because", Width: 31}, {Head: "box", Width: 26}, {Head: "outside"},
		{Head: "lowest note", Width: 17, Align: AlignRight}, {Head: "most", Width: 18, Align: AlignRight}, {Head: "shop, min", Width: 14, Align: AlignRight}, {Head: "verdict", Width: 30}}}
	for i := range r.Designs {
		d := &r.Designs[i]
		size := d.Size()
		voice, outside, lowest, most := r.Brief(d)
		c := cells(strconv.Itoa(i+1), d.Offered(), fmt.Sprintf("%s, %s %s", d.Kind, voice.Name, voice.Text(own)),
			unit.FormatSize(own, size[0], size[1], size[2])+", "+outside.Text(own), lowest.Text(own), most.Text(own), number(d.Placed.Minutes, 0), string(d.Verdict))
		t.Columns[5].Head = most.Name
		c[0].Bold, c[1].Bold = i == 0, i == 0
		t.Rows = append(t.Rows, c)
	}
	return t
}

// tradeoffGraphs draw size against the lowest note and against loudness, by kind.
func (f *flow) tradeoffGraphs(r *design.Result, tall float64) {
	var notes, loud []curve
	sys := r.Request.Units
	for i, k := range r.Tradeoff {
		strong := [...]look{lookSolid, lookDash, lookDot}[min(i, 2)]
		at := func(name string, l look, y func(design.SizePoint) float64) curve {
			c := curve{Name: name, Look: l}
			for _, p := range k.Points {
				c.X, c.Y = append(c.X, volumeIn(p.Candidate.Volume, sys)), append(c.Y, y(p))
			}
			return c
		}
		notes = append(notes, at(string(k.Kind)+", f3", strong, func(p design.SizePoint) float64 { return p.Evaluation.Figures.F3 }))
		thin := [...]look{lookThin, lookLongDash, lookDashDot}[min(i, 2)]
		notes = append(notes, at(string(k.Kind)+", f10", thin, func(p design.SizePoint) float64 { return p.Evaluation.Figures.F10 }))
		loud = append(loud, at(string(k.Kind), strong, func(p design.SizePoint) float64 { most, _ := r.MeanLevel(&p.Evaluation); return most }))
	}
	if len(notes) == 0 {
		return
	}
	x := "net air, litres"
	if sys == unit.Inch {
		x = "net air, cu ft"
	}
	var offered marks
	for i := range r.Designs {
		d := &r.Designs[i]
		offered = append(offered, mark{strconv.Itoa(i + 1), volumeIn(d.Box.NetVolume, sys), d.Figures.F3})
	}
	louder := append(marks(nil), offered...)
	for i := range louder {
		louder[i].y, _ = r.MeanLevel(&r.Designs[i].Evaluation)
	}
	low := graph{Title: "Lowest note by size", YLabel: "Hz", XLabel: x, Linear: true, Lines: notes, Extra: []plot.Plotter{offered}}
	_, band := r.MeanLevel(&search.Evaluation{})
	high := graph{Title: "Greatest level by size, mean of " + band, YLabel: "dB re 20 µPa", XLabel: x, Linear: true, Lines: loud, Extra: []plot.Plotter{louder}}
	low.Points, high.Points = offered, louder
	f.Need(tall + 14)
	f.Heading("What size buys")
	cols := f.Box(tall).Columns(2, 8)
	low.draw(f, cols[0])
	high.draw(f, cols[1])
	f.Gap(1)
	f.Styled("Lines: by the model, from the least to the most air that serves. Numbered rings: the boxes above, as they would be built."+overtakes(loud, sys), TextStyle{Size: sizeSmall, Grey: 0.25})
}

// overtakes says where the curve of one kind crosses that of the first.
func overtakes(kinds []curve, sys unit.System) (text string) {
	if len(kinds) < 2 {
		return ""
	}
	for _, k := range kinds[1:] {
		above := 0.0 // by how much it was, at the point before
		for i, x := range k.X {
			y, ok := kinds[0].at(x)
			if !ok {
				continue
			}
			if now := k.Y[i] - y; above < 0 && now > 0 {
				return fmt.Sprintf(" From about %s up the %s box is the louder.", unit.FormatVolume(x/volumeIn(1, sys), sys), k.Name)
			} else {
				above = now
			}
		}
	}
	return ""
}

// at reads a curve between its points; false beyond them.
func (c curve) at(x float64) (y float64, ok bool) {
	for i := 1; i < len(c.X); i++ {
		if c.X[i-1] <= x && x <= c.X[i] {
			return c.Y[i-1] + (x-c.X[i-1])/(c.X[i]-c.X[i-1])*(c.Y[i]-c.Y[i-1]), true
		}
	}
	return 0, false
}

func volumeIn(m3 float64, sys unit.System) float64 {
	if sys == unit.Inch {
		const cubicFoot = 0.028316846592 // m3
		return m3 / cubicFoot
	}
	return m3 * 1000
}

// mark is a numbered point of a graph.
type mark struct {
	name string
	x, y float64
}

type marks []mark

// Plot draws a ring at each point, with its number beside it.
func (m marks) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	var sty text.Style
	plotFont(&sty, 8)
	sty.Color, sty.XAlign, sty.YAlign = color.Black, draw.XCenter, draw.YBottom
	const radius = vg.Length(2.6)
	w := 2 * radius
	var used []vg.Rectangle
	for _, k := range m {
		if !finite(k.x) || !finite(k.y) {
			continue
		}
		at := vg.Point{X: x(k.x), Y: y(k.y)}
		if at.X < c.Min.X || at.X > c.Max.X || at.Y < c.Min.Y || at.Y > c.Max.Y {
			continue
		}
		var ring vg.Path
		ring.Move(vg.Point{X: at.X + radius, Y: at.Y})
		ring.Arc(at, radius, 0, 2*math.Pi)
		ring.Close()
		c.SetColor(color.White)
		c.Fill(ring)
		c.SetColor(color.Black)
		c.SetLineWidth(vg.Points(1))
		c.SetLineDash(nil, 0)
		c.Stroke(ring)
		for _, d := range []vg.Point{{X: 0, Y: radius + 1.5}, {X: 0, Y: -radius - 8}, {X: radius + 5, Y: -3}, {X: -radius - 5, Y: -3}, {X: 9, Y: radius + 2}, {X: -9, Y: radius + 2}} {
			r := vg.Rectangle{Min: vg.Point{X: at.X + d.X - w/2, Y: at.Y + d.Y}, Max: vg.Point{X: at.X + d.X + w/2, Y: at.Y + d.Y + 7}}
			free := r.Min.X > c.Min.X && r.Max.X < c.Max.X && r.Max.Y < c.Max.Y && r.Min.Y > c.Min.Y
			for _, u := range used {
				free = free && (r.Max.X < u.Min.X || u.Max.X < r.Min.X || r.Max.Y < u.Min.Y || u.Max.Y < r.Min.Y)
			}
			if !free {
				continue
			}
			used = append(used, r)
			c.SetColor(color.White)
			c.Fill(r.Path())
			c.FillText(sty, vg.Point{X: at.X + d.X, Y: r.Min.Y + 0.6}, k.name)
			break
		}
	}
}

// shapes lists what each shape of the space would hold.
func (f *flow) shapes(r *design.Result) {
	if len(r.Shapes) == 0 {
		return
	}
	sys := systems(r.Request.Units)
	t := table{Columns: []column{{Head: "shape", Width: 46}, {Head: "boards", Width: 14, Align: AlignRight}, {Head: "bevels", Width: 14, Align: AlignRight},
		{Head: "most net air", Width: 36, Align: AlignRight}, {Head: "gain"}}}
	for _, s := range r.Shapes {
		t.Rows = append(t.Rows, cells(s.Kind, fmt.Sprint(s.Boards), fmt.Sprint(s.Bevels),
			unit.FormatVolume(s.Net, sys[0])+" ("+unit.FormatVolume(s.Net, sys[1])+")", s.GainText))
	}
	f.Section("What the space gives", t)
	if r.Ladder != "" {
		f.Styled(sentence(r.Ladder), TextStyle{Size: sizeSmall})
	}
}

// airAndDriver sets what takes air from the box beside the driver's figures.
func (f *flow) airAndDriver(r *design.Result, d *design.Design) {
	const gap, headingRoom = 8.0, 14.0
	cols := f.Area.Columns(2, gap)
	air, driver := deductionTable(r, d), driverTable(r)
	f.Need(max(air.height(cols[0].W), driver.height(cols[1].W)) + headingRoom)
	if f.Y > f.Area.Y {
		f.Gap(4)
	}
	top := f.Y
	for i, t := range []table{air, driver} {
		y := columnHead(f, Rect{cols[i].X, top, cols[i].W, 0}, []string{"Where the air goes", "The driver, as wired"}[i])
		f.Y = max(f.Y, t.draw(f, Pt{cols[i].X, y}, cols[i].W))
	}
	f.Gap(3)
}

// columnHead sets a heading with its rule over a column and returns the Y below it.
func columnHead(c Canvas, r Rect, s string) float64 {
	y := paragraph(c, Pt{r.X, r.Y}, r.W, s, TextStyle{Size: sizeHeading, Bold: true})
	line(c, Pt{r.X, y}, Pt{r.Right(), y}, headRule)
	return y + 1
}

// deductionTable lists what takes air from the inside of the box.
func deductionTable(r *design.Result, d *design.Design) table {
	sys := systems(r.Request.Units)
	t := table{Size: sizeSmall, Columns: []column{{}, {Head: unitHead(sys[0]), Width: 23, Align: AlignRight}, {Head: unitHead(sys[1]), Width: 23, Align: AlignRight}}}
	row := func(name string, v float64, sign string, strong bool) {
		c := cells(name, sign+unit.FormatVolume(v, sys[0]), sign+unit.FormatVolume(v, sys[1]))
		for i := range c {
			c[i].Bold = strong
		}
		t.Rows = append(t.Rows, c)
	}
	row("outside of the box", d.Box.OuterVolume, "", false)
	row("wood of walls and ends", d.Box.WallVolume, "− ", false)
	row("inside", d.Box.InsideVolume, "", true)
	for _, k := range d.Box.Deductions {
		row(k.Name, k.Volume, "− ", false)
	}
	row("net air", d.Box.NetVolume, "", true)
	return t
}

// driverTable states the set as wired, with the figures that its box was worked out from.
func driverTable(r *design.Result) table {
	t := table{Size: sizeSmall, Columns: []column{{Width: 40}, {}}}
	add := func(name, v string) { t.Rows = append(t.Rows, cells(name, v)) }
	k := r.Driver
	if k.Count > 1 {
		add("cones", strconv.Itoa(k.Count))
	}
	add("fs, Vas", hertz(k.Fs())+", "+unit.FormatVolume(k.Vas(r.Air), r.Request.Units))
	add("Qts (Qes, Qms)", fmt.Sprintf("%s (%s, %s)", number(k.Qts(), 3), number(k.Qes(), 3), number(k.Qms(), 2)))
	add("Re, Bl", number(k.Re, 2)+" Ω, "+number(k.Bl, 1)+" T m")
	add("moving mass, cone area", number(k.Mms*1000, 0)+" g, "+number(k.Sd*1e4, 0)+" cm²")
	var limits []string
	if k.Xmax > 0 {
		limits = append(limits, unit.Millimetres(k.Xmax, 1)+" mm")
	}
	if k.Power > 0 {
		limits = append(limits, watts(k.Power))
	}
	if k.Impedance > 0 {
		limits = append(limits, trim(k.Impedance)+" Ω")
	}
	if len(limits) > 0 {
		add("Xmax, power, nominal", strings.Join(limits, ", "))
	}
	return t
}

// small is the size of type of the notes that few will read.
const small = 8.5

// origins says what was taken for granted, and what the sheet was made from, so that it can be made again.
func (f *flow) origins(r *design.Result, o Options) {
	s := ""
	if len(r.Assumptions) > 0 {
		s = "Taken for granted where the job is silent: " + strings.Join(r.Assumptions, "; ") + ". "
	}
	if o.Source != "" {
		s += "Made from " + o.Source
		if o.Hash != "" {
			s += ", fingerprint " + o.Hash[:min(12, len(o.Hash))]
		}
		if o.Version != "" {
			s += ", by cubby " + o.Version
		}
		s += "."
	}
	f.Styled(s, TextStyle{Size: small, Grey: 0.25})
}

// findings are remarks on the driver's data, the grave ones first.
func findings(r *design.Result) (items []string) {
	for _, want := range []thielesmall.Severity{thielesmall.Flagged, thielesmall.Warning, thielesmall.Note} {
		for _, k := range r.Findings {
			if k.Severity == want {
				items = append(items, sentence(k.Text))
			}
		}
	}
	return items
}

func sentences(in []string) []string {
	out := make([]string, len(in))
	for i, s := range in {
		out[i] = sentence(s)
	}
	return out
}
