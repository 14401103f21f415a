package main

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/unit"
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
		paragraph(&b, "", "No box suits.")
		for _, o := range r.Outcomes {
			paragraph(&b, "  ", fmt.Sprintf("%s: %s", o.Kind, o.Reason))
		}
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
	if len(d.Warnings) > 0 {
		b.WriteString("\n")
	}
	for _, w := range d.Warnings {
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

// figures are the summary's lines: a name and what it is.
func figures(r *design.Result, d design.Design) [][2]string {
	u := r.Request.Units
	box, f := d.Box, d.Figures
	size := box.Section.Bounds()
	rows := [][2]string{
		{"outside", fmt.Sprintf("%s wide, %s deep, %s high (%s)", unit.FormatLength(box.Width, u),
			unit.FormatLength(size.Max.X-size.Min.X, u), unit.FormatLength(size.Max.Y-size.Min.Y, u), d.Shape.Kind)},
		{"net air", unit.FormatVolume(box.NetVolume, unit.Metric) + ", " + unit.FormatVolume(box.NetVolume, unit.Inch)},
	}
	if d.Kind == design.Sealed {
		rows = append(rows, [2]string{"response", fmt.Sprintf("Qtc %.2f, fc %.1f Hz, %s", f.Qtc, f.Fc, f3(f.F3, f.Reason))})
	} else {
		p := d.Port
		rows = append(rows,
			[2]string{"response", fmt.Sprintf("tuning %.1f Hz (QL %.0f), %s", f.Fb, f.QL, f3(f.F3, f.Reason))},
			[2]string{"port", fmt.Sprintf("%d x %s bore, %s long, %.0f m/s at most", p.Count, unit.FormatLength(p.Bore, u), unit.FormatLength(p.Length, u), p.SpeedAtLimit)})
	}
	rows = append(rows, [2]string{"aim " + string(r.Request.Aim), d.ScoreText})
	if s := d.Sheets; s != nil {
		proof := fmt.Sprintf("at least %d needed", s.LowerBound)
		if s.Proved {
			proof = "proved fewest"
		}
		rows = append(rows, [2]string{"board", fmt.Sprintf("%d sheet(s), %s; %d panels", len(s.Sheets), proof, len(box.Panels))})
	}
	return append(rows, [2]string{"weight", unit.FormatMass(d.Mass, u)})
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
