package render

import (
	"fmt"
	"strconv"

	"cubby/internal/design"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

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
	add("fs, Vas", hertz(k.Fs())+", "+volumes(r.Request.Units, k.Vas(r.Air)))
	add("Qts (Qes, Qms)", fmt.Sprintf("%s (%s, %s)", number(k.Qts(), 3), number(k.Qes(), 3), number(k.Qms(), 2)))
	add("Re, Bl", number(k.Re, 2)+" Ω, "+number(k.Bl, 1)+" T m")
	add("moving mass, cone area", number(k.Mms*1000, 0)+" g, "+number(k.Sd*1e4, 0)+" cm²")
	if k.Xmax > 0 {
		add("Xmax, one way", unit.FormatBoth(k.Xmax, unit.Metric))
	}
	if k.Power > 0 {
		add("rated power", watts(k.Power))
	}
	if k.Impedance > 0 {
		add("nominal impedance", trim(k.Impedance)+" Ω")
	}
	return t
}

// small is the size of type of the notes that few will read.
const small = 8.5

// origins says what was taken for granted and what the sheet was made from.
func (f *flow) origins(r *design.Result, o Options) {
	f.notices("Taken for granted where the job is silent", sentences(r.Assumptions), small)
	f.provenance(o)
}

// hasRoomForOrigins reports whether the origins fit on what is left of the page: they go to the first page of part A that has room
// and do not open one.
func (f *flow) hasRoomForOrigins(r *design.Result) bool {
	const heading, between, last = 16.0, 1.5, 8.0 // mm
	h := heading + last
	for _, s := range sentences(r.Assumptions) {
		h += paragraphHeight(f.Area.W-labelGap*4, s, TextStyle{Size: small}) + between
	}
	return h <= f.Left()
}

// provenance says what the sheet was made from, so that it can be made again.
func (f *flow) provenance(o Options) {
	if o.Source == "" {
		return
	}
	s := "Made from " + o.Source
	if o.Hash != "" {
		s += ", fingerprint " + o.Hash[:min(12, len(o.Hash))]
	}
	if o.Version != "" {
		s += ", by cubby " + o.Version
	}
	f.Styled(s+".", TextStyle{Size: sizeSmall, Grey: 0.25})
}

// shapes lists what each shape of the space would hold.
func (f *flow) shapes(r *design.Result) {
	if len(r.Shapes) == 0 {
		return
	}
	sys := systems(r.Request.Units)
	t := table{Columns: []column{{Head: "shape", Width: 32}, {Head: "bevelled corners", Width: 30, Align: AlignRight},
		{Head: "most net air", Width: 44, Align: AlignRight}, {Head: "gain"}}}
	for _, s := range r.Shapes {
		t.Rows = append(t.Rows, cells(s.Kind, fmt.Sprint(s.Bevels),
			unit.FormatVolume(s.Net, sys[0])+" ("+unit.FormatVolume(s.Net, sys[1])+")", s.GainText))
	}
	f.Section("What the space gives", t)
}

// candidates sets the designs side by side, then how the search for each kind ended.
func (f *flow) candidates(r *design.Result) {
	if len(r.Designs) == 0 && len(r.Outcomes) == 0 {
		return
	}
	if len(r.Designs) == 0 {
		f.Heading("Boxes considered")
	} else {
		t := table{Columns: []column{{Head: "", Width: 14}, {Head: "box", Width: 34}, {Head: "net air", Width: 20, Align: AlignRight},
			{Head: "f3", Width: 18, Align: AlignRight}, {Head: "verdict", Width: 27}, {Head: "judged by"}}}
		for i := range r.Designs {
			d := &r.Designs[i]
			what := fmt.Sprintf("%s, Qtc %s", d.Kind, number(d.Figures.Qtc, 2))
			if d.Kind == design.Vented {
				what = fmt.Sprintf("%s, %s", d.Kind, hertz(d.Figures.Fb))
			}
			rank := fmt.Sprintf("no. %d", i+1)
			if i == 0 {
				rank = "built"
			}
			c := cells(rank, what, unit.FormatVolume(d.Box.NetVolume, r.Request.Units), hertz(d.Figures.F3), string(d.Verdict), d.ScoreText)
			c[0].Bold = i == 0
			t.Rows = append(t.Rows, c)
		}
		f.Section("Boxes considered", t)
	}
	lines := []string{sentence(fmt.Sprintf("aim %s: %s", r.Request.Aim, r.Request.Aim.Describe()))}
	for i := range r.Designs {
		if s := r.Designs[i].Tradeoff; s != "" {
			lines = append(lines, sentence(s))
		}
	}
	for _, k := range r.Outcomes {
		if k.Reason != "" {
			lines = append(lines, sentence(fmt.Sprintf("%s: %s", k.Kind, k.Reason)))
		}
	}
	f.bullets(lines, small)
}

// findings lists remarks on the driver's data, the grave ones first.
func (f *flow) findings(r *design.Result) {
	var items []string
	for _, want := range []thielesmall.Severity{thielesmall.Flagged, thielesmall.Warning, thielesmall.Note} {
		for _, k := range r.Findings {
			if k.Severity == want {
				items = append(items, sentence(k.Text))
			}
		}
	}
	f.notices("On the driver's data", items, small)
}

func sentences(in []string) []string {
	out := make([]string, len(in))
	for i, s := range in {
		out[i] = sentence(s)
	}
	return out
}
