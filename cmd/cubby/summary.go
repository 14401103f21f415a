package main

import (
	"fmt"
	"slices"
	"strings"

	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
	"cubby/internal/word"
)

// lineWidth is how wide the summary may be.
const lineWidth = 80

// nameColumn is where the values of the summary's lines begin.
const nameColumn = 23

// summaryLines is what a summary may take, a window of a usual height: as many cautions are listed as there are lines
// for.
const summaryLines = 40

// summary is what design says on the terminal; drawn: with the box in its space in characters.
func summary(r *design.Result, pdf string, drawn bool) string {
	var b, end strings.Builder
	titled(&b, r.Request.Title)
	if len(r.Designs) == 0 {
		noBox(&b, r)
		return b.String()
	}
	d := &r.Designs[0]
	paragraph(&b, "", d.VerdictText)
	b.WriteString("\n")
	inColumns(&b, r.Facts(d), r.Request.Units)
	dialIn(&b, r.Settings(d))
	labelled(&b, "stands", r.Request.StandingText(d)+after("; ", d.Beside))
	labelled(&b, "access", d.Access.Text())
	if s := d.Sheets; s != nil {
		labelled(&b, "board", boardText(s, len(d.Box.Panels)))
	}
	if drawn && r.Room != nil {
		b.WriteString("\n")
		sketch(&b, r, d)
	}
	if n := len(d.StickTests); n > 0 {
		paragraph(&end, "", fmt.Sprintf("Before wood is cut, try a stick in the space: places %d, in the report.", n))
	}
	others(&end, r)
	fmt.Fprintf(&end, "%s written.\n", pdf)
	b.WriteString("\n")
	mind(&b, cautions(r, d), summaryLines-strings.Count(b.String()+end.String(), "\n"))
	return b.String() + end.String()
}

// dialIn says in a line what is set before the box plays; the report has how.
func dialIn(b *strings.Builder, settings []design.Setting) {
	var all []string
	for _, s := range settings {
		text := s.Knob.String() + " " + s.Figure()
		if s.Knob == design.BoostKnob {
			text += " " + s.Words
		}
		all = append(all, text)
	}
	if len(all) > 0 {
		labelled(b, "set", strings.Join(all, ", "))
	}
}

// after is a text after a mark, where there is one.
func after(mark, text string) string {
	if text == "" {
		return ""
	}
	return mark + text
}

// row writes a line of a table.
func row(b *strings.Builder, format string, cells ...any) {
	b.WriteString(strings.TrimRight(fmt.Sprintf(format, cells...), " ") + "\n")
}

// labelled writes a line with a name before it.
func labelled(b *strings.Builder, name, text string) {
	fmt.Fprintf(b, "  %-*s %s\n", nameColumn-3, name, wrapAt(text, nameColumn))
}

// inColumns lists facts: those of the box at the left, those of the sound beside them; what is too wide has a line of
// its own.
func inColumns(b *strings.Builder, facts []design.Fact, u unit.System) {
	const left, name = 35, 20 // letters of the left column, of a name on the right
	var columns [2][]string
	var wide []design.Fact
	for _, f := range facts {
		text := f.Text(u)
		line := fmt.Sprintf("%-*s %s", nameColumn-3, f.Name, text)
		if f.Place == design.OfTheSound {
			line = fmt.Sprintf("%-*s%s", name, f.Name, text)
		}
		if most := [...]int{left - 1, lineWidth - left - 1}[f.Place]; len([]rune(line)) > most {
			wide = append(wide, f)
			continue
		}
		columns[f.Place] = append(columns[f.Place], line)
	}
	beside(b, left, columns[0], columns[1])
	for _, f := range wide {
		labelled(b, f.Name, f.Text(u))
	}
}

// beside writes two columns beside each other, the first so wide.
func beside(b *strings.Builder, width int, left, right []string) {
	for len(left)+len(right) > 0 {
		var at [2]string
		for k, column := range []*[]string{&left, &right} {
			if len(*column) > 0 {
				at[k], *column = (*column)[0], (*column)[1:]
			}
		}
		row(b, "  %-*s%s", width, at[0], at[1])
	}
}

// others lists the designs that would also serve, and how the search went for a kind without one, in a line each.
func others(b *strings.Builder, r *design.Result) {
	for i := range r.Designs[1:] {
		d := &r.Designs[1+i]
		voice, outside, lowest, most := r.Brief(d)
		if i == 0 {
			fmt.Fprintf(b, "Also possible (%s; %s; %s):\n", outside.Name, lowest.Name, most.Name)
		}
		u := r.Request.Units
		paragraph(b, "", fmt.Sprintf("- %s: %s, %s %s, %s, %s, %s", d.Offered(), d.Kind, voice.Name, voice.Text(u), outside.Text(u), lowest.Text(u), most.Text(u)))
	}
	for _, o := range r.Outcomes {
		if o.Status != "found" && !slices.ContainsFunc(r.Designs, func(d design.Design) bool { return d.Kind == o.Kind }) {
			paragraph(b, "", fmt.Sprintf("%s: %s; %s.", o.Kind, o.Status, o.Reason))
		}
	}
}

// cautions are what is not as it should be, with what to do.
func cautions(r *design.Result, d *design.Design) []string {
	var all []string
	for _, c := range d.Checks {
		if c.Status == panels.Marginal || c.Status == panels.Fail {
			do := c.Note
			if c.Setting != "" {
				do = c.Setting
			}
			all = append(all, fmt.Sprintf("%s (%s): %s", c.Name, c.Status, do))
		}
	}
	return slices.Concat(all, doubts(r.Findings), r.Warnings, d.Warnings, r.SearchNotes)
}

// mind lists cautions, as many as there are lines for and one at least; the report has all.
func mind(b *strings.Builder, all []string, lines int) {
	const least, own = 1, 2 // entries; lines about the list
	if len(all) > 0 {
		b.WriteString("Mind:\n")
	}
	lines -= own
	for i, text := range all {
		item := "- " + wrapAt(text, 2) + "\n"
		if lines -= strings.Count(item, "\n"); lines < 0 && i >= least {
			fmt.Fprintf(b, "- %d more in the report\n", len(all)-i)
			return
		}
		b.WriteString(item)
	}
}

// The size of the views: two side by side on a line, and short enough to leave the rest of a screen.
const (
	viewColumns = 38
	viewRows    = 5
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
	beside(b, width+viewGap, left, right)
	paragraph(b, "  ", strings.Join(v.Legend, ", "))
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

// doubts are what is found wrong with the driver's data, or with the amplifier for it, as warnings.
func doubts(findings []thielesmall.Finding) []string {
	var all []string
	for _, f := range findings {
		switch {
		case f.Severity == thielesmall.Note:
		case f.Quantity == design.AboutAmplifier:
			all = append(all, strings.TrimSuffix(f.Text, "."))
		default:
			all = append(all, "driver's data: "+strings.TrimSuffix(f.Text, "."))
		}
	}
	return all
}

// boardText says how many sheets a layout takes and how good that is.
func boardText(s *nest.Layout, panels int) string {
	sheets := word.Count(len(s.Sheets), "sheet")
	switch {
	case len(s.Unplaced) > 0:
		return fmt.Sprintf("%s; %d of %d panels cannot be cut from the stock", sheets, len(s.Unplaced), panels)
	case s.Proved:
		return fmt.Sprintf("%s, proved fewest; %d panels", sheets, panels)
	}
	return fmt.Sprintf("%s, at least %d needed; %d panels", sheets, s.LowerBound, panels)
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
