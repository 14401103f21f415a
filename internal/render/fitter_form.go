package render

import (
	"math/cmplx"

	"cubby/internal/design"
	"cubby/internal/unit"
)

// asBuilt is the form for what was really built and measured, with the designed values beside the blanks.
func asBuilt(b *book, r *design.Result) {
	d := &r.Designs[0]
	f := b.flow(partA, "As built", portrait)
	f.Heading("As built: measure, fill in, keep with the job")
	f.Styled("Measure before covering. Anything that differs by more than the tolerance is worth a line under Remarks.", TextStyle{Size: sizeSmall})
	f.Gap(2)
	f.form("The box", "tolerance", boxForm(r, d))
	f.form("Air and sealing", "tolerance", airForm(r, d))
	f.form("Electrical", "tolerance", electricalForm(r, d))
	f.remarks()
	f.signatures()
}

// formRow is one thing to be measured.
type formRow struct{ what, designed, tolerance string }

// form sets rows with a blank line each.
func (f *flow) form(head, tol string, rows []formRow) {
	if len(rows) == 0 {
		return
	}
	const height = 5.4
	t := table{Columns: []column{{Head: head, Width: 68}, {Head: "designed", Width: 42, Align: AlignRight}, {Head: tol, Width: 24, Align: AlignRight}, {Head: "as built"}}}
	blank := cell{Height: height, Draw: func(c Canvas, r Rect) {
		line(c, Pt{r.X, r.Bottom() + cellPadY}, Pt{r.Right(), r.Bottom() + cellPadY}, Stroke{Width: 0.3})
	}}
	for _, k := range rows {
		c := cells(k.what, k.designed, k.tolerance)
		t.Rows = append(t.Rows, append(c, blank))
	}
	f.Table(t)
}

func boxForm(r *design.Result, d *design.Design) []formRow {
	sys := r.Request.Units
	l := func(m float64) string { return unit.FormatBoth(m, sys) }
	small := map[unit.System]string{unit.Metric: "± 1 mm", unit.Inch: `± 1/32"`}[sys]
	w, dp, h := outside(d.Box)
	rows := []formRow{
		{"width outside (left to right)", l(w), small},
		{"depth outside (greatest)", l(dp), small},
		{"height outside (greatest)", l(h), small},
		{"board, mean of three places", l(r.Request.Wood.Thickness), map[unit.System]string{unit.Metric: "± 0.3 mm", unit.Inch: `± 1/64"`}[sys]},
		{"driver opening, diameter", l(d.Box.Drivers.Opening), map[unit.System]string{unit.Metric: "−0 +1 mm", unit.Inch: `−0 +1/32"`}[sys]},
		{"depth behind the flange, clear", l(d.Box.Drivers.DepthBehind), ""},
	}
	if p := d.Port; p != nil {
		if p.Bore > 0 {
			rows = append(rows, formRow{"port, inside diameter", l(p.Bore), ""})
		} else {
			rows = append(rows, formRow{"port, height of the slot", l(p.Height), small})
		}
		rows = append(rows, formRow{"port, length along the centre line", l(p.Length), ""})
	}
	return append(rows, formRow{"weight with driver", masses(sys, d.Mass), ""})
}

func airForm(r *design.Result, d *design.Design) []formRow {
	rows := []formRow{
		{"inside volume, bare, by dry filling", volumes(r.Request.Units, d.Box.InsideVolume), "± 2 %"},
		{"net air, after driver, port and braces", volumes(r.Request.Units, d.Box.NetVolume), "± 2 %"},
		{"leaks found and closed (soap water, low sine)", "none", ""},
	}
	return rows
}

// electricalForm holds the impedance: where its peaks and, of a vented box, the dip between them lie.
func electricalForm(r *design.Result, d *design.Design) []formRow {
	rows := []formRow{{"resistance at the terminals, direct current", number(r.Driver.Re, 2) + " Ω", ""}}
	peaks := impedancePeaks(d)
	if d.Kind == design.Vented {
		if len(peaks) >= 2 {
			rows = append(rows,
				formRow{"impedance peak below the tuning", "about " + hertz(peaks[0]), ""},
				formRow{"impedance peak above the tuning", "about " + hertz(peaks[1]), ""})
		}
		rows = append(rows, formRow{"tuning: dip between the peaks", hertz(d.Figures.Fb), "± 3 %"})
	} else {
		rows = append(rows, formRow{"impedance peak: resonance in the box", hertz(d.Figures.Fc), "± 5 %"})
		rows = append(rows, formRow{"Qtc", number(d.Figures.Qtc, 2), "± 10 %"})
	}
	if v := d.Fitting.GainVolts; v > 0 {
		rows = append(rows, formRow{"gain set: voltage at the terminals", number(v, 1) + " V", "not above"})
	}
	if v := d.Fitting.HighPass; v > 0 {
		rows = append(rows, formRow{"high-pass set", hertz(v), ""})
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
	const rows, pitch = 5, 8
	f.Sub("Remarks")
	f.Need(rows * pitch)
	for range rows {
		f.Y += pitch
		line(f, Pt{f.Area.X, f.Y}, Pt{f.Area.Right(), f.Y}, Stroke{Width: 0.15})
	}
	f.Gap(6)
}

func (f *flow) signatures() {
	const height = 16
	t := TextStyle{Size: sizeSmall, Grey: 0.2}
	cols := f.Box(height).Columns(3, 8)
	for i, label := range []string{"built by, date", "measured by, date", "fitted and handed over by, date"} {
		r := cols[i]
		line(f, Pt{r.X, r.Y + 10}, Pt{r.Right(), r.Y + 10}, Stroke{Width: 0.2})
		f.Text(Pt{r.X, r.Y + 10.8 + rise(t.Size)}, label, t)
	}
}
