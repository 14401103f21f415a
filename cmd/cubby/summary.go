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
)

// lineWidth is how wide the summary may be.
const lineWidth = 80

// nameColumn is where the values of the summary's lines begin.
const nameColumn = 20

// summary is what design says on the terminal; drawn: with the box in its space in characters.
func summary(r *design.Result, pdf string, drawn bool) string {
	var b strings.Builder
	if r.Request.Title != "" {
		paragraph(&b, "", r.Request.Title)
	}
	if len(r.Designs) == 0 {
		noBox(&b, r)
		return b.String()
	}
	d := &r.Designs[0]
	paragraph(&b, "", d.VerdictText)
	dialIn(&b, r, d)
	b.WriteString("\n")
	for _, line := range figures(r, d) {
		fmt.Fprintf(&b, "  %-*s%s\n", nameColumn-2, line[0], wrapAt(line[1], nameColumn))
	}
	if drawn && r.Room != nil {
		b.WriteString("\n")
		sketch(&b, r, d)
	}
	sticks(&b, r, d)
	mind(&b, r, d)
	b.WriteString("\n")
	for _, other := range r.Designs[1:] {
		paragraph(&b, "", other.Tradeoff)
	}
	for _, o := range r.Outcomes {
		if o.Status != "found" {
			paragraph(&b, "", fmt.Sprintf("%s: %s; %s.", o.Kind, o.Status, o.Reason))
		}
	}
	for _, n := range r.SearchNotes {
		paragraph(&b, "", "Note: "+n+".")
	}
	fmt.Fprintf(&b, "%s written.\n", pdf)
	return b.String()
}

// shownCautions is how many cautions a summary lists; the report has all.
const shownCautions = 8

// mind lists what is not as it should be, with what to do.
func mind(b *strings.Builder, r *design.Result, d *design.Design) {
	var all []string
	for _, c := range d.Checks {
		if c.Status != panels.Marginal && c.Status != panels.Fail {
			continue
		}
		text := fmt.Sprintf("%s (%s): %s.", c.Name, c.Status, c.Note)
		if c.Setting != "" {
			text += " To do: " + c.Setting + "."
		}
		all = append(all, text)
	}
	all = append(append(append(all, doubts(r.Findings)...), r.Warnings...), d.Warnings...)
	if len(all) > 0 {
		b.WriteString("\nMind:\n")
	}
	for _, text := range all[:min(shownCautions, len(all))] {
		item(b, text)
	}
	if n := len(all) - shownCautions; n > 0 {
		item(b, fmt.Sprintf("%d more in the report", n))
	}
}

// item writes an entry of a list.
func item(b *strings.Builder, text string) { b.WriteString("- " + wrapAt(text, 2) + "\n") }

// dialIn lists what is set on the amplifier before the box plays.
func dialIn(b *strings.Builder, r *design.Result, d *design.Design) {
	settings := r.Request.Settings(d)
	for i, s := range settings {
		name := ""
		if i == 0 {
			name = "set first"
			b.WriteString("\n")
		}
		fmt.Fprintf(b, "  %-*s%s\n", nameColumn-2, name, wrapAt(s.Text, nameColumn))
	}
}

// The size of the views: two side by side on a line, and short enough to leave the rest of a screen.
const (
	viewColumns = 38
	viewRows    = 7
	viewGap     = 3
)

// sketch draws the box in its space from above and from the front, side by side.
func sketch(b *strings.Builder, r *design.Result, d *design.Design) {
	v := r.Room.Views(&d.Placed.Region, viewColumns, viewRows)
	const above, front = "from above, back at the top", "from the front"
	left := append([]string{above}, v.Plan...)
	right := append([]string{front}, v.Front...)
	width := len(above) // captions are of plain letters
	for _, line := range left {
		width = max(width, len([]rune(line)))
	}
	for i := range max(len(left), len(right)) {
		one, other := "", ""
		if i < len(left) {
			one = left[i]
		}
		if i < len(right) {
			other = right[i]
		}
		b.WriteString(strings.TrimRight(fmt.Sprintf("  %-*s%s", width+viewGap, one, other), " ") + "\n")
	}
	paragraph(b, "  ", strings.Join(v.Legend, ", "))
}

// shownSticks is how many places for the stick a summary lists; the report has all.
const shownSticks = 3

// sticks lists where the space is to be tried with a stick before the wood is cut.
func sticks(b *strings.Builder, r *design.Result, d *design.Design) {
	if len(d.StickTests) == 0 {
		return
	}
	length := func(m float64) string { return unit.FormatLength(m, r.Request.Units) }
	var places []string
	for _, t := range d.StickTests[:min(shownSticks, len(d.StickTests))] {
		places = append(places, fmt.Sprintf("%s from the left and %s deep the %s at %s", length(t.X), length(t.Y), t.Surface, length(t.Z)))
	}
	text := "Try with a stick before cutting: " + strings.Join(places, "; ") + "."
	if n := len(d.StickTests) - shownSticks; n > 0 {
		text += fmt.Sprintf(" %d more in the report.", n)
	}
	b.WriteString("\n")
	paragraph(b, "", text)
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
func figures(r *design.Result, d *design.Design) [][2]string {
	u := r.Request.Units
	box, f := d.Box, d.Figures
	size := d.Size()
	rows := [][2]string{{"outside", fmt.Sprintf("%s (%s)", sizes(size, u), d.ShapeName())}}
	if f := box.Finished(); f[0] > size[0]+micron || f[1] > size[1]+micron || f[2] > size[2]+micron {
		with := "covering"
		switch {
		case box.Spec.Wood.Covering == nil:
			with = "gasket"
		case box.Removable != nil:
			with = "covering and gasket"
		}
		rows = append(rows, [2]string{"finished", sizes(f, u) + " with " + with})
	}
	stands := r.Request.StandingText(d)
	if d.RunnerUp != "" {
		stands += "; " + d.RunnerUp
	}
	rows = append(rows, [][2]string{
		{"stands", stands},
		{"net air", unit.FormatVolume(box.NetVolume, unit.Metric) + ", " + unit.FormatVolume(box.NetVolume, unit.Inch)},
	}...)
	if d.Kind == design.Sealed {
		rows = append(rows, [2]string{"response", fmt.Sprintf("Qtc %.2f, fc %.1f Hz, %s", f.Qtc, f.Fc, f3(f.F3, f.Reason))})
	} else {
		rows = append(rows, [2]string{"response", fmt.Sprintf("tuning %.1f Hz (QL %.0f), %s", f.Fb, f.QL, f3(f.F3, f.Reason))})
	}
	if d.Port != nil {
		rows = append(rows, [2]string{"port", portText(d.Port, u)})
	}
	if r := d.Radiator; r != nil {
		rows = append(rows, [2]string{"passive radiator", r.Text()})
	}
	rows = append(rows, [2]string{"aim " + string(r.Request.Aim), d.ScoreText})
	if s := d.Sheets; s != nil {
		rows = append(rows, [2]string{"board", boardText(s, len(box.Panels))})
	}
	return append(rows, [2]string{"weight", unit.FormatMass(d.Mass, u)})
}

// sizes writes sizes across, in depth and in height.
func sizes(s [3]float64, u unit.System) string {
	return fmt.Sprintf("%s wide, %s deep, %s high", unit.FormatLength(s[0], u), unit.FormatLength(s[1], u), unit.FormatLength(s[2], u))
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
