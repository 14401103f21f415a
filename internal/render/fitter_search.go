package render

import (
	"fmt"

	"cubby/internal/design"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// deductions lists what takes air from the inside of the box.
func (f *flow) deductions(r *design.Result, d *design.Design) {
	sys := systems(r.Request.Units)
	t := table{Columns: []column{{Head: ""}, {Head: unitHead(sys[0]), Width: 28, Align: AlignRight}, {Head: unitHead(sys[1]), Width: 28, Align: AlignRight}}}
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
	f.Section("Where the air goes", t)
}

// searchReport says what the space gave, what else was found, and what was taken for granted.
func (f *flow) searchReport(r *design.Result, o Options) {
	f.shapes(r)
	f.candidates(r)
	f.notices("Notes on the search", r.SearchNotes)
	f.findings(r)
	f.notices("Taken for granted where the job is silent", sentences(r.Assumptions))
	f.provenance(o)
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
		t.Rows = append(t.Rows, cells(s.Kind.String(), fmt.Sprint(s.Bevels),
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
	var lines []string
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
	f.Bullets(lines)
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
	f.Heading("The driver")
	f.Para(driverText(r))
	f.Bullets(items)
}

// driverText states the set as wired, with the figures that its box was worked out from.
func driverText(r *design.Result) string {
	k := r.Driver
	s := "As wired"
	if k.Count > 1 {
		s = fmt.Sprintf("%d cones, as wired", k.Count)
	}
	s += fmt.Sprintf(": fs %s, Qts %s (Qes %s, Qms %s), Vas %s, Re %s Ω, Bl %s T m, moving mass %s g, cone area %s cm²",
		hertz(k.Fs()), number(k.Qts(), 3), number(k.Qes(), 3), number(k.Qms(), 2), volumes(r.Request.Units, k.Vas(r.Air)), number(k.Re, 2), number(k.Bl, 1), number(k.Mms*1000, 0), number(k.Sd*1e4, 0))
	if k.Xmax > 0 {
		s += ", Xmax " + unit.Millimetres(k.Xmax, 1) + " mm one way"
	}
	if k.Power > 0 {
		s += ", rated " + watts(k.Power)
	}
	if k.Impedance > 0 {
		s += ", " + trim(k.Impedance) + " Ω nominal"
	}
	return s + fmt.Sprintf(". Air: %s °C, %s kPa, %s %% humidity.", number(r.Air.Temperature, 0), number(r.Air.Pressure/1000, 1), number(r.Air.Humidity*100, 0))
}

func sentences(in []string) []string {
	out := make([]string, len(in))
	for i, s := range in {
		out[i] = sentence(s)
	}
	return out
}
