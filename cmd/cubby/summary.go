package main

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
)

// lineWidth is how wide the summary may be.
const lineWidth = 80

// summary is what design says on the terminal.
func summary(r *design.Result, pdf string) string {
	var b strings.Builder
	if r.Request.Title != "" {
		paragraph(&b, "", r.Request.Title)
	}
	if len(r.Designs) == 0 {
		noBox(&b, r)
		return b.String()
	}
	d := r.Designs[0]
	paragraph(&b, "", d.VerdictText)
	b.WriteString("\n")
	for _, line := range figures(r, d) {
		fmt.Fprintf(&b, "  %-18s%s\n", line[0], wrapAt(line[1], 20))
	}
	for _, c := range d.Checks {
		if c.Status != panels.Marginal && c.Status != panels.Fail {
			continue
		}
		b.WriteString("\n")
		paragraph(&b, "", fmt.Sprintf("%s (%s): %s.", c.Name, c.Status, c.Note))
		if c.Setting != "" {
			paragraph(&b, "  ", "To do: "+c.Setting+".")
		}
	}
	warnings := append(append(doubts(r.Findings), r.Warnings...), d.Warnings...)
	if len(warnings) > 0 {
		b.WriteString("\n")
	}
	for _, w := range warnings {
		paragraph(&b, "  ", "- "+w)
	}
	b.WriteString("\n")
	for _, other := range r.Designs[1:] {
		paragraph(&b, "", other.Tradeoff)
	}
	for _, o := range r.Outcomes {
		if o.Status != "found" {
			paragraph(&b, "", fmt.Sprintf("%s: %s; %s.", o.Kind, o.Status, o.Reason))
		}
	}
	fmt.Fprintf(&b, "%s written.\n", pdf)
	return b.String()
}

// noBox says why there is none.
func noBox(b *strings.Builder, r *design.Result) {
	paragraph(b, "", "No box suits.")
	if n := len(r.Outcomes); n == 2 && r.Outcomes[0].Reason == r.Outcomes[1].Reason {
		paragraph(b, "  ", fmt.Sprintf("%s and %s: %s.", r.Outcomes[0].Kind, r.Outcomes[1].Kind, r.Outcomes[0].Reason))
	} else {
		for _, o := range r.Outcomes {
			paragraph(b, "  ", fmt.Sprintf("%s: %s.", o.Kind, o.Reason))
		}
	}
	for _, w := range doubts(r.Findings) {
		paragraph(b, "  ", "- "+w)
	}
}

// doubts are what is found wrong with the driver's data, as warnings.
func doubts(findings []thielesmall.Finding) []string {
	var all []string
	for _, f := range findings {
		if f.Severity != thielesmall.Note {
			all = append(all, "driver's data: "+strings.TrimSuffix(f.Text, "."))
		}
	}
	return all
}

// micron is the least difference of two sizes that is worth a line, m.
const micron = 1e-6

// figures are the summary's lines: a name and what it is.
func figures(r *design.Result, d design.Design) [][2]string {
	u := r.Request.Units
	box, f := d.Box, d.Figures
	lo, hi := box.Spec.Outside.Bounds()
	size := r3.Sub(hi, lo)
	rows := [][2]string{
		{"outside", fmt.Sprintf("%s wide, %s deep, %s high (%s)", unit.FormatLength(size.X, u),
			unit.FormatLength(size.Y, u), unit.FormatLength(size.Z, u), d.ShapeName())},
	}
	if f := box.Finished(); f[0] > size.X+micron || f[1] > size.Y+micron || f[2] > size.Z+micron {
		with := "covering"
		switch {
		case box.Spec.Wood.Covering == nil:
			with = "gasket"
		case box.Removable != nil:
			with = "covering and gasket"
		}
		rows = append(rows, [2]string{"finished", fmt.Sprintf("%s wide, %s deep, %s high with %s", unit.FormatLength(f[0], u), unit.FormatLength(f[1], u), unit.FormatLength(f[2], u), with)})
	}
	rows = append(rows, [][2]string{
		{"net air", unit.FormatVolume(box.NetVolume, unit.Metric) + ", " + unit.FormatVolume(box.NetVolume, unit.Inch)},
	}...)
	if d.Kind == design.Sealed {
		rows = append(rows, [2]string{"response", fmt.Sprintf("Qtc %.2f, fc %.1f Hz, %s", f.Qtc, f.Fc, f3(f.F3, f.Reason))})
	} else {
		p := d.Port
		rows = append(rows,
			[2]string{"response", fmt.Sprintf("tuning %.1f Hz (QL %.0f), %s", f.Fb, f.QL, f3(f.F3, f.Reason))},
			[2]string{"port", portText(p, u)})
	}
	rows = append(rows, [2]string{"aim " + string(r.Request.Aim), d.ScoreText})
	if s := d.Sheets; s != nil {
		rows = append(rows, [2]string{"board", boardText(s, len(box.Panels))})
	}
	return append(rows, [2]string{"weight", unit.FormatMass(d.Mass, u)})
}

// boardText says how many sheets a layout takes and how good that is.
func boardText(s *nest.Layout, panels int) string {
	sheets := "1 sheet"
	if n := len(s.Sheets); n != 1 {
		sheets = fmt.Sprintf("%d sheets", n)
	}
	switch {
	case len(s.Unplaced) > 0:
		return fmt.Sprintf("%s; %d of %d panels cannot be cut from the stock", sheets, len(s.Unplaced), panels)
	case s.Proved:
		return fmt.Sprintf("%s, proved fewest; %d panels", sheets, panels)
	}
	return fmt.Sprintf("%s, at least %d needed; %d panels", sheets, s.LowerBound, panels)
}

// portText says what the ports are.
func portText(p *design.PortDesign, u unit.System) string {
	size := unit.FormatLength(p.Bore, u) + " bore"
	if p.Bore == 0 {
		size = fmt.Sprintf("slot %s x %s", unit.FormatLength(p.Height, u), unit.FormatLength(p.Width, u))
	}
	text := fmt.Sprintf("%d x %s, %s long", p.Count, size, unit.FormatLength(p.Length, u))
	if p.SpeedAtLimit > 0 {
		text += fmt.Sprintf(", %.0f m/s at most", p.SpeedAtLimit)
	}
	return text
}

func f3(hz float64, reason string) string {
	if math.IsNaN(hz) {
		return "f3 not stated: " + reason
	}
	return fmt.Sprintf("f3 %.1f Hz", hz)
}

// paragraph writes a text wrapped to the line, every line after the indent.
func paragraph(b *strings.Builder, indent, text string) {
	b.WriteString(indent + wrapAt(text, len(indent)) + "\n")
}

// wrapAt breaks a text at spaces so that it fits a line that begins at the given column.
func wrapAt(text string, column int) string {
	var b strings.Builder
	used := column
	for i, word := range strings.Fields(text) {
		n := len([]rune(word))
		switch {
		case i == 0:
		case used+1+n > lineWidth:
			b.WriteString("\n" + strings.Repeat(" ", column))
			used = column
		default:
			b.WriteString(" ")
			used++
		}
		b.WriteString(word)
		used += n
	}
	return b.String()
}

// cutShort makes a name fit a column of the given width.
func cutShort(name string, width int) string {
	if letters := []rune(name); len(letters) > width {
		return string(letters[:width-2]) + ".."
	}
	return name
}
