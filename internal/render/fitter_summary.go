package render

import (
	"fmt"
	"strings"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/unit"
)

// summary is page 1: what, where, the verdict, the box in the space, the figures, what matters now.
func summary(b *book, r *design.Result, o Options, viewHeight float64) *flow {
	f := b.flow(partA, "Summary", portrait)
	f.titleBlock(r)
	if len(r.Designs) == 0 {
		f.verdict("No box found", noBox(r))
		f.notices("What matters now", warningsOf(r, nil), sizeBody)
		f.shapes(r)
		f.candidates(r)
		f.notices("Notes on the search", sentences(r.SearchNotes), small)
		f.findings(r)
		return f
	}
	d := &r.Designs[0]
	f.verdict(string(d.Verdict), d.VerdictText)
	f.boxInSpace(r, d)
	f.keyFigures(r, d)
	f.notices("What matters now", warningsOf(r, d), sizeBody)
	f.candidates(r)
	f.standingViews(r, d, o, viewHeight)
	f.airAndDriver(r, d)
	f.shapes(r)
	f.notices("Notes on the search", sentences(r.SearchNotes), small)
	f.findings(r)
	return f
}

func noBox(r *design.Result) string {
	var why []string
	for _, k := range r.Outcomes {
		why = append(why, fmt.Sprintf("%s: %s", k.Kind, k.Reason))
	}
	if len(why) == 0 {
		return "No box of the kinds considered fits and works in this space."
	}
	return sentence(strings.Join(why, "; "))
}

// titleBlock sets the job's name with what and where beneath it.
func (f *flow) titleBlock(r *design.Result) {
	t := TextStyle{Size: sizeTitle, Bold: true}
	title := r.Request.Title
	if title == "" {
		title = "Loudspeaker box"
	}
	for t.Size > 13 && len(wrap(title, t, f.Area.W)) > 1 {
		t.Size--
	}
	f.Styled(title, t)
	f.Gap(0.6)
	var facts []string
	add := func(label, v string) {
		if v != "" {
			facts = append(facts, label+v)
		}
	}
	add("", r.Request.Date)
	add("revision ", r.Request.Revision)
	add("by ", r.Request.Author)
	add("questions to ", r.Request.Contact)
	if len(facts) > 0 {
		f.Styled(strings.Join(facts, "   ·   "), TextStyle{Size: sizeSmall, Grey: 0.25})
	}
	f.Gap(2)
	f.Para(whatAndWhere(r))
}

// whatAndWhere says in running text what is built for what.
func whatAndWhere(r *design.Result) string {
	q := r.Request
	name := r.DriverSingle.Name
	if name == "" {
		name = q.Frame.Name
	}
	if name == "" {
		name = "driver"
	}
	n := max(1, q.Mount.Count)
	what := name
	if n > 1 {
		what = fmt.Sprintf("%d × %s", n, name)
	}
	if len(r.Designs) > 0 {
		what = fmt.Sprintf("A %s box for %s", r.Designs[0].Kind, what)
	} else {
		what = "A box for " + what
	}
	if q.Mount.Face != "" {
		what += fmt.Sprintf(", facing %s", facing(q.Mount.Face))
	}
	if a := q.Amplifier; a != nil && a.Power > 0 {
		what += fmt.Sprintf(", on an amplifier of %s into %s Ω", watts(a.Power), trim(a.Into))
	}
	if s := q.Space; s != nil {
		k := s.Section.Bounds()
		size := func(sys unit.System) string { return sizes(sys, s.Width, k.Max.X-k.Min.X, k.Max.Y-k.Min.Y) }
		sys := systems(q.Units)
		what += fmt.Sprintf(", in a space that measures %s (%s), width × depth × height", size(sys[0]), size(sys[1]))
	}
	return what + "."
}

func facing(face string) string {
	return map[string]string{"front": "to the front", "back": "to the back", "top": "up", "bottom": "down", "left": "left", "right": "right"}[face]
}

// trim prints a plain number without needless zeros.
func trim(v float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", v), "0"), ".")
}

// verdict sets the answer in a frame.
func (f *flow) verdict(word, text string) {
	const pad = 3.0
	head := TextStyle{Size: 12, Bold: true}
	body := TextStyle{Size: sizeBody}
	w := f.Area.W - 2*pad - 2
	h := 2*pad + paragraphHeight(w, strings.ToUpper(word), head) + paragraphHeight(w, text, body) - (lineHeight(body.Size) - rise(body.Size) - 1)
	r := f.Box(h)
	shade(f, r, 0.93)
	shade(f, Rect{r.X, r.Y, 2, r.H}, 0)
	y := paragraph(f, Pt{r.X + 2 + pad, r.Y + pad}, w, strings.ToUpper(word), head)
	paragraph(f, Pt{r.X + 2 + pad, y}, w, text, body)
	f.Gap(3)
}

// boxInSpace draws the box where it stands, with a line of sizes under it.
func (f *flow) boxInSpace(r *design.Result, d *design.Design) {
	const height = 78
	drawSpace(f, f.Box(height), r.Request.Space, d)
	f.Gap(2)
}

// keyFigures sets the two tables of figures side by side.
func (f *flow) keyFigures(r *design.Result, d *design.Design) {
	sys := systems(r.Request.Units)
	wide := map[unit.System]float64{unit.Inch: 44, unit.Metric: 34} // mm; sizes in fractions are longer
	boxed := table{Size: sizeSmall, Columns: []column{{Head: "The box"}, {Head: unitHead(sys[0]), Width: wide[sys[0]]}, {Head: unitHead(sys[1]), Width: wide[sys[1]]}}}
	for _, k := range boxFigures(r, d) {
		boxed.Rows = append(boxed.Rows, []cell{{Text: k[0]}, {Text: k[1], Bold: true}, {Text: k[2]}})
	}
	sound := table{Size: sizeSmall, Columns: []column{{Head: "What it does", Width: 40}, {Head: " "}}}
	for _, k := range soundFigures(r, d) {
		sound.Rows = append(sound.Rows, []cell{{Text: k[0]}, {Text: k[1], Bold: true}})
	}
	const gap = 7.0
	left := f.Area.W*0.58 - gap/2
	right := f.Area.W - left - gap
	f.Need(max(boxed.height(left), sound.height(right)))
	y0 := boxed.draw(f, Pt{f.Area.X, f.Y}, left)
	y1 := sound.draw(f, Pt{f.Area.X + left + gap, f.Y}, right)
	f.Y = max(y0, y1)
	f.Gap(3)
}

func unitHead(s unit.System) string {
	if s == unit.Inch {
		return "inches"
	}
	return "metric"
}

// boxFigures are rows of name, own units, other units.
func boxFigures(r *design.Result, d *design.Design) [][3]string {
	sys := systems(r.Request.Units)
	both := func(name string, f func(unit.System) string) [3]string { return [3]string{name, f(sys[0]), f(sys[1])} }
	w, dp, h := outside(d.Box)
	rows := [][3]string{
		both("net air", func(s unit.System) string { return unit.FormatVolume(d.Box.NetVolume, s) }),
		both("outside, width × depth × height", func(s unit.System) string { return sizes(s, w, dp, h) }),
		both("from the left of the space", func(s unit.System) string { return unit.FormatLength(d.Box.Left, s) }),
		both("board", func(s unit.System) string { return unit.FormatLength(r.Request.Wood.Thickness, s) }),
		both("driver opening", func(s unit.System) string { return "Ø " + unit.FormatLength(d.Box.Drivers.Opening, s) }),
	}
	if d.Port != nil {
		name := "port, bore × length"
		if d.Port.Bore == 0 {
			name = "port, height × width × length"
		}
		rows = append(rows, both(name, func(s unit.System) string { return portText(d.Port, s) }))
	}
	return append(rows, both("weight with driver", func(s unit.System) string { return unit.FormatMass(d.Mass, s) }))
}

// soundFigures are rows of name and value.
func soundFigures(r *design.Result, d *design.Design) [][2]string {
	g := d.Figures
	var rows [][2]string
	add := func(name, v string) { rows = append(rows, [2]string{name, v}) }
	if d.Kind == design.Vented {
		add("port tuning", hertz(g.Fb))
	} else {
		add("Qtc, resonance in the box", number(g.Qtc, 2)+", "+hertz(g.Fc))
	}
	if finite(g.F3) {
		add("f3 / f10, no filters, no cabin", number(g.F3, 1)+" / "+hertz(g.F10))
	} else {
		add("f3", "none: "+g.Reason)
	}
	add("level, 1 m, half space", fmt.Sprintf("%s dB at %s V", number(g.Reference, 1), trim(r.DriveVolts)))
	for _, hz := range []float64{30, 50} {
		if p, ok := nearestPoint(d.Curves, hz); ok && finite(p.MaxLevel) {
			add(fmt.Sprintf("maximum at %.0f Hz, limited by", hz), number(p.MaxLevel, 1)+" dB, "+causeWord(p.LimitedBy.String()))
		}
	}
	for _, c := range d.Checks {
		if c.Status != panels.NotChecked && strings.Contains(c.Name, "at full power") {
			add(c.Name, quantity(c.Value, c.Unit, unit.Metric))
		}
	}
	if d.Fitting.LowestImpedance > 0 && finite(d.Fitting.LowestImpedance) {
		add("lowest impedance", fmt.Sprintf("%s Ω at %s", number(d.Fitting.LowestImpedance, 2), hertz(d.Fitting.LowestAt)))
	}
	return rows
}

// causeWord names a limit of the maximum level.
func causeWord(c string) string {
	switch c {
	case "voltage":
		return "amplifier"
	case "power":
		return "rated power"
	case "excursion":
		return "excursion"
	case "port":
		return "port speed"
	}
	return "nothing stated"
}

// warningsOf collects what must be known now, without repeats: failed and marginal checks first.
func warningsOf(r *design.Result, d *design.Design) []string {
	var out []string
	seen := map[string]bool{}
	add := func(s string) {
		if s = sentence(s); s != "" && !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	if d != nil {
		for _, want := range []panels.Status{panels.Fail, panels.Marginal} {
			for _, c := range d.Checks {
				if c.Status == want {
					add(checkLine(c))
				}
			}
		}
		for _, k := range r.Outcomes {
			if k.Kind == d.Kind && k.Status != "found" {
				add(k.Reason)
			}
		}
		for _, w := range d.Warnings {
			add(w)
		}
	}
	for _, w := range r.Warnings {
		add(w)
	}
	return out
}

func checkLine(c design.Check) string {
	s := fmt.Sprintf("%s (%s): %s", upperFirst(c.Name), strings.ToLower(statusWord(c.Status)), strings.TrimRight(c.Note, "."))
	if c.Setting != "" {
		s += ". To do: " + c.Setting
	}
	return s
}

// notices sets a list under a heading; nothing for an empty list.
func (f *flow) notices(heading string, items []string, size float64) {
	if len(items) == 0 {
		return
	}
	f.Heading(heading)
	f.bullets(items, size)
}
