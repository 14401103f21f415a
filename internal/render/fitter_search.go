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
func (f *flow) searchReport(r *design.Result, _ Options) {
	f.shapes(r)
	f.candidates(r)
	f.notices("Notes on the search", r.SearchNotes)
	f.findings(r)
	f.notices("Taken for granted where the job is silent", sentences(r.Assumptions))
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
	f.notices("On the driver's data", items)
}

func sentences(in []string) []string {
	out := make([]string, len(in))
	for i, s := range in {
		out[i] = sentence(s)
	}
	return out
}
