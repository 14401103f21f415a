package render

import (
	"fmt"
	"math/cmplx"
	"strings"

	"cubby/internal/design"
	"cubby/internal/unit"
)

// asBuilt is the form for what was really built and measured, with the designed values beside the blanks.
func (f *flow) asBuilt(r *design.Result) {
	d := &r.Designs[0]
	const gap = 7.0
	tables := []table{formTable("the box", boxForm(r, d)), formTable("air, sealing, electrical", append(airForm(r, d), electricalForm(r, d)...))}
	cols := f.Area.Columns(2, gap)
	f.Need(max(tables[0].height(cols[0].W), tables[1].height(cols[1].W)) + 52)
	f.Heading("As built: measure before covering, fill in, keep with the job")
	f.columns(2, gap, func(k int) { f.Table(tables[k]) })
	f.trimTable(r, d)
	f.remarks()
	f.signatures()
}

// trimTable says to what the box tunes when the port comes out longer or shorter than drawn.
func (f *flow) trimTable(r *design.Result, d *design.Design) {
	if d.Port == nil || len(d.Port.Trim) == 0 {
		return
	}
	t := table{Size: sizeSmall, Columns: []column{{Width: 52}}, Rows: [][]cell{cells("port as built, at its middle"), cells("the box tunes to")}}
	for _, s := range d.Port.Trim {
		t.Columns = append(t.Columns, column{Align: AlignRight})
		t.Rows[0] = append(t.Rows[0], cell{Text: unit.FormatLength(s.Length, r.Request.Units)})
		t.Rows[1] = append(t.Rows[1], cell{Text: hertz(s.Tuning)})
	}
	f.Table(t)
}

// formRow is one thing to be measured.
type formRow struct{ what, designed, tolerance string }

// formTable sets rows with a blank line each.
func formTable(head string, rows []formRow) table {
	const height = 5.0
	t := table{Size: sizeSmall, Columns: []column{{Head: head}, {Head: "designed", Width: 33, Align: AlignRight}, {Head: "as built", Width: 17}}}
	blank := cell{Height: height, Draw: func(Canvas, Rect) {}}
	for _, k := range rows {
		designed := k.designed
		if k.tolerance != "" {
			designed += "  " + k.tolerance
		}
		t.Rows = append(t.Rows, append(cells(k.what, designed), blank))
	}
	return t
}

func boxForm(r *design.Result, d *design.Design) []formRow {
	sys := r.Request.Units
	l := func(m float64) string { return unit.FormatLength(m, sys) }
	small := map[unit.System]string{unit.Metric: "± 1 mm", unit.Inch: `± 1/32"`}[sys]
	size := d.Size()
	w, dp, h := size[0], size[1], size[2]
	rows := []formRow{
		{"width outside", l(w), small},
		{"depth outside", l(dp), small},
		{"height outside", l(h), small},
		{"board, mean of three", l(r.Request.Wood.Thickness), map[unit.System]string{unit.Metric: "± 0.3 mm", unit.Inch: `± 1/64"`}[sys]},
		{"driver opening", l(d.Box.Drivers.Opening), map[unit.System]string{unit.Metric: "−0 +1 mm", unit.Inch: `−0 +1/32"`}[sys]},
		{"depth behind flange", l(d.Box.Drivers.DepthBehind), ""},
	}
	if at := d.Box.Radiators; at != nil {
		rows = append(rows, formRow{"radiator opening", l(at.Opening), map[unit.System]string{unit.Metric: "−0 +1 mm", unit.Inch: `−0 +1/32"`}[sys]},
			formRow{"mass added to each radiator", fmt.Sprintf("%.0f g", d.Radiator.Added*1000), "± 1 %"})
	}
	if p := d.Port; p != nil {
		if p.Bore > 0 {
			rows = append(rows, formRow{"port, inside diameter", l(p.Bore), ""})
		} else {
			rows = append(rows, formRow{"port, height of the slot", l(p.Height), small})
		}
		rows = append(rows, formRow{"port, length at its middle", l(p.Length), ""})
	}
	if r.Request.Frame.Mass > 0 {
		rows = append(rows, formRow{"weight with driver", unit.FormatMass(d.Mass, sys), ""})
	}
	return rows
}

func airForm(r *design.Result, d *design.Design) []formRow {
	rows := []formRow{
		{"inside, by dry filling", unit.FormatVolume(d.Box.InsideVolume, r.Request.Units), "± 2 %"},
		{"net air", unit.FormatVolume(d.Box.NetVolume, r.Request.Units), "± 2 %"},
		{"leaks closed (soap water)", "none", ""},
	}
	return rows
}

// electricalForm holds the impedance: where its peaks and, of a vented box, the dip between them lie.
func electricalForm(r *design.Result, d *design.Design) []formRow {
	rows := []formRow{{"DC resistance, terminals", number(r.Driver.Re, 2) + " Ω", ""}}
	peaks := impedancePeaks(d)
	if d.Kind != design.Sealed {
		if len(peaks) >= 2 {
			rows = append(rows,
				formRow{"lower impedance peak", "about " + hertz(peaks[0]), ""},
				formRow{"upper impedance peak", "about " + hertz(peaks[1]), ""})
		}
		rows = append(rows, formRow{"tuning: dip between them", hertz(d.Figures.Fb), "± 3 %"})
	} else {
		rows = append(rows, formRow{"impedance peak", hertz(d.Figures.Fc), "± 5 %"})
		rows = append(rows, formRow{"Qtc", number(d.Figures.Qtc, 2), "± 10 %"})
	}
	for _, s := range r.Settings(d) {
		rows = append(rows, formRow{"set: " + strings.ToLower(knobName(s)), s.Figure(), ""})
	}
	return rows
}

// impedancePeaks reads the frequencies of the peaks off the printed impedance curve, to its grid.
func impedancePeaks(d *design.Design) []float64 {
	var out []float64
	for i := 1; i+1 < len(d.Curves); i++ {
		z := cmplx.Abs(d.Curves[i].Impedance)
		if z > cmplx.Abs(d.Curves[i-1].Impedance) && z >= cmplx.Abs(d.Curves[i+1].Impedance) {
			out = append(out, d.Curves[i].Frequency)
		}
	}
	return out
}

func (f *flow) remarks() {
	const rows, pitch = 2, 7.0
	f.Sub("Remarks")
	f.Need(rows * pitch)
	for range rows {
		f.Y += pitch
		line(f, Pt{f.Area.X, f.Y}, Pt{f.Area.Right(), f.Y}, Stroke{Width: 0.15})
	}
	f.Gap(4.5)
}

func (f *flow) signatures() {
	const height = 14.5
	t := TextStyle{Size: sizeSmall, Grey: 0.2}
	cols := f.Box(height).Columns(3, 8)
	for i, label := range []string{"built by, date", "measured by, date", "fitted and handed over by, date"} {
		r := cols[i]
		line(f, Pt{r.X, r.Y + 10}, Pt{r.Right(), r.Y + 10}, Stroke{Width: 0.2})
		f.Text(Pt{r.X, r.Y + 10.8 + rise(t.Size)}, label, t)
	}
}
