package render

import (
	"errors"
	"fmt"
	"io"
	"math"

	"cubby/internal/design"
	"cubby/internal/panels"
)

// MeasuredReport writes how a finished box compares with its design as a PDF for the file: one page. Errors as those of
// Document.
func MeasuredReport(w io.Writer, r *design.MeasuredResult, o Options) error {
	b, err := layOutMeasured(r, o)
	return b.write(w, err)
}

func layOutMeasured(r *design.MeasuredResult, o Options) (*book, error) {
	if r == nil || len(r.Rows) == 0 {
		return nil, errors.New("document: no box was measured")
	}
	return bound(&design.Result{Basis: r.Basis}, o, func(b *book) {
		measuredPage(b, r)
	})
}

func measuredPage(b *book, r *design.MeasuredResult) {
	f := b.flow(partA, "As measured", portrait)
	f.Name(r.Request.Title, "The finished box, as measured")
	f.Para(measuredOf(r))
	f.verdict(sentence(string(r.Verdict)), r.VerdictText)
	const least, most, signed = 40.0, 84.0, 17.0 // mm: the graph, and the lines to sign on
	rows, notes := measuredTable(r), measuredNotes(r)
	small := TextStyle{Size: sizeSmall}
	body := TextStyle{Size: sizeBody}
	room := func() float64 {
		used := rows.height(f.Area.W) + 3 + f.changes(r, body, true) + paragraphHeight(f.Area.W, notes, small) + signed + 5
		return f.Left() - used
	}
	for room() < least && body.Size > sizeSmall {
		body.Size -= 0.5
	}
	measuredGraph(r).draw(f, f.Box(math.Max(least, math.Min(most, room()))))
	f.Gap(2)
	f.Table(rows)
	f.changes(r, body, false)
	f.Styled(notes, small)
	f.Gap(2)
	f.signatures()
}

// changes sets what to do; measure only tells the height that it takes.
func (f *flow) changes(r *design.MeasuredResult, body TextStyle, measure bool) (height float64) {
	say := func(s string, t TextStyle, gap float64) {
		height += paragraphHeight(f.Area.W, s, t) + gap
		if !measure {
			f.Styled(s, t)
			f.Gap(gap)
		}
	}
	say("What to do", TextStyle{Size: sizeSub, Bold: true}, 0.8)
	if len(r.Changes) == 0 {
		say("Nothing. Keep this sheet with the job.", body, 1)
	}
	for i, c := range r.Changes {
		s := fmt.Sprintf("%d  %s", i+1, c.Text)
		if c.ToDo != "" {
			s += " To do: " + c.ToDo
		}
		say(s, body, 1)
	}
	return height
}

// measuredOf says in running text what was measured and how well it is fitted.
func measuredOf(r *design.MeasuredResult) string {
	name := driversNamed(r.DriverSingle.Name, "the driver", r.Request.Mount.Count)
	against := "the design"
	if r.Expected.Described {
		against = "the box as described"
	}
	return fmt.Sprintf("A %s box with %s, by a sweep of its impedance at the terminals (%d points, %s to %s), against %s. The fitted curve misses the measured one by %s %% (rms).",
		r.Expected.Kind, name, r.Fit.Points, hertz(r.Fit.Low), hertz(r.Fit.High), against, number(r.Fit.FitError, 2))
}

// measuredTable has a row for each figure: designed, measured, difference, and whether it is within tolerance.
func measuredTable(r *design.MeasuredResult) table {
	t := table{Size: sizeSmall, Columns: []column{{Head: ""}, {Head: "designed", Width: 30, Align: AlignRight}, {Head: "measured", Width: 42, Align: AlignRight},
		{Head: "difference", Width: 36, Align: AlignRight}, {Head: "", Width: 24}}}
	if r.Expected.Described {
		t.Columns[1].Head = "described"
	}
	words := map[panels.Status]string{panels.Pass: "within", panels.Marginal: "A LITTLE OFF", panels.Fail: "OUT", panels.NotChecked: ""}
	for _, row := range r.Rows {
		measured := row.MeasuredText
		if row.SigmaText != "" {
			measured += " ± " + row.SigmaText
		}
		c := cells(row.Name, row.DesignedText, measured, row.DifferenceText, words[row.Status])
		if row.Status == panels.Marginal || row.Status == panels.Fail {
			for i := range c {
				c[i].Bold = true
			}
		}
		t.Rows = append(t.Rows, c)
	}
	return t
}

// measuredNotes says what was taken as known, and the cautions of the one page.
func measuredNotes(r *design.MeasuredResult) string {
	s := "± is one standard uncertainty of the fit. Tolerances are common practice."
	for _, a := range r.Assumptions {
		s += " " + sentence(a)
	}
	return s + " Work on the box with the amplifier off; mask and dust extraction where wood is cut or fibre handled."
}

// measuredGraph shows the sweep's points, the curve fitted to them and the curve that was expected.
func measuredGraph(r *design.MeasuredResult) graph {
	s := r.Sweep
	n := s.Len()
	to := math.Min(s.Frequency[n-1], math.Max(200, r.Fit.High))
	points := curve{Name: "measured", Look: lookSolid}
	for i, f := range s.Frequency {
		if f <= to {
			points.X, points.Y = append(points.X, f), append(points.Y, s.Magnitude[i])
		}
	}
	line := func(name string, k look, y func(design.ImpedancePoint) float64) curve {
		c := curve{Name: name, Look: k}
		for _, p := range r.Curves {
			if p.Frequency <= to*(1+1e-9) {
				c.X, c.Y = append(c.X, p.Frequency), append(c.Y, y(p))
			}
		}
		return c
	}
	expected := "designed"
	if r.Expected.Described {
		expected = "described"
	}
	return graph{
		Title: "Impedance at the terminals", YLabel: "magnitude, Ω", From: s.Frequency[0], To: to, Whole: true,
		Lines: []curve{
			line(expected, lookDash, func(p design.ImpedancePoint) float64 { return p.Expected }),
			points,
			line("fitted", lookDot, func(p design.ImpedancePoint) float64 { return p.Fitted }),
		},
	}
}
