package render

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// frontPage is page 1: the answer in a customer's words, the box where it stands, how loud and how low, what to dial in, key figures.
func frontPage(b *book, r *design.Result) *flow {
	f := b.flow(partA, "The answer", portrait)
	f.titleBlock(r)
	d := &r.Designs[0]
	f.verdict(headline(r, d), customerWords(r, d))
	figures := keyFigures(r, d)
	const gap, side = 6.0, 58.0
	low := max(figures[0].height((f.Area.W-gap)/2), figures[1].height((f.Area.W-gap)/2)) + 11
	const least = 120.0 // mm for drawing and graph
	if f.Left() < least {
		f.Page()
	}
	alone := f.Left()-low-3 < least
	if alone { // long words above: the figures go on to a page of their own
		low = 0
	}
	top, free := f.Y, f.Left()-low-3
	left := Rect{f.Area.X, top, f.Area.W - side - gap, free}
	right := Rect{left.Right() + gap, top, side, free}
	f.frontDrawings(r, d, left)
	y := dialIn(f, right, r, d)
	readIt(f, Rect{right.X, y + 2, right.W, right.Bottom() - y - 2}, r, d)
	f.Y = top + free + 3
	if alone {
		f.Page()
	}
	y = blockHead(f, f.Area.X, f.Y, f.Area.W, "Key figures")
	cols := Rect{f.Area.X, y, f.Area.W, 0}.Columns(2, gap)
	f.Y = max(figures[0].draw(f, Pt{cols[0].X, y}, cols[0].W), figures[1].draw(f, Pt{cols[1].X, y}, cols[1].W))
	return f
}

// frontDrawings are the box in its space above the graph of level.
func (f *flow) frontDrawings(r *design.Result, d *design.Design, at Rect) {
	const note = 5.0
	tall := at.H * 0.5
	y := blockHead(f, at.X, at.Y, at.W, "Where it stands")
	m := modelOf(r.Request.Space)
	words := drawStanding(f, Rect{at.X, y, at.W, at.Y + tall - y - note}, r, m, d)
	f.Text(Pt{at.X, at.Y + tall - 1.5}, words, TextStyle{Size: sizeSmall, Grey: 0.25})
	head := "How loud, how low, at 1 m in the open"
	if r.Request.Vehicle != nil {
		head = "How loud, how low, in the closed vehicle"
	}
	y = blockHead(f, at.X, at.Y+tall+2, at.W, head)
	customerGraph(r, d).draw(f, Rect{at.X, y, at.W, at.Bottom() - y})
}

// drawStanding draws the box in its space, with the names of what stands there, and says from where it is seen.
func drawStanding(c Canvas, r Rect, res *design.Result, m *spaceModel, d *design.Design) string {
	const margin = 25.0
	look, fromRight := bestGaze(m, d.Box)
	s := standingScene(look, m, d.Box, false)
	inner := Rect{r.X + margin, r.Y + 2, r.W - 2*margin, r.H - 4}
	f := fitInto(inner, s.extent)
	s.draw(c, f)
	var names []callout
	name := func(text string, at vec) { names = append(names, callout{text: text, target: f.at(s.flat(at))}) }
	name(driverPlace(res, s, d))
	if at, ok := radiatorPlace(s, d); ok {
		name("passive radiator: keep it free", at)
	}
	if at, ok := portPlace(s, d); ok {
		name("port: keep its mouth free", at)
	}
	if m != nil {
		for i := range m.Blocks {
			if at, hidden, ok := s.shownOf(m, i); ok {
				text := m.Blocks[i].Name
				if text == "" {
					text = "kept clear"
				}
				if hidden {
					text += ", out of sight"
				}
				name(text, at)
			}
		}
	}
	left := callouts(c, r, margin, names)
	words := "Seen from the front, a little from the left."
	if fromRight {
		words = "Seen from the front, a little from the right."
	}
	if m != nil && len(m.Blocks) > 0 {
		words += " Hatched: what else stands there"
		if left > 0 {
			words += fmt.Sprintf(", %d without names", left)
		}
		words += "."
	}
	return words
}

// driverPlace names the driver and points to it.
func driverPlace(r *design.Result, s *standView, d *design.Design) (text string, at vec) {
	text = "the driver"
	if r.Request.Mount.Count > 1 {
		text = fmt.Sprintf("%d drivers", r.Request.Mount.Count)
	}
	away := true
	for _, p := range d.Box.Panels {
		n := toVec(p.Place.N)
		for _, h := range p.Holes {
			if h.Kind == panels.HoleDriver && h.Use != panels.UseRadiator && away {
				at = onPanel(p.Place, plane.Point{X: h.X, Y: h.Y})
				away = n.dot(s.eye) <= 1e-6
			}
		}
	}
	if away {
		text += " on the side turned away"
	}
	if air := r.Request.Mount.AirInFront; air > 0 {
		text += fmt.Sprintf(": %s must stay free before it", unit.FormatLength(air, r.Request.Units))
	}
	return text, at
}

// portPlace is the middle of a mouth that is seen, radiatorPlace of a radiator.
func portPlace(s *standView, d *design.Design) (vec, bool) {
	return seenHole(s, d, func(h panels.Hole) bool {
		return (h.Kind == panels.HolePort || h.Kind == panels.HoleSlot) && h.From != "inner"
	})
}

func radiatorPlace(s *standView, d *design.Design) (vec, bool) {
	return seenHole(s, d, func(h panels.Hole) bool { return h.Kind == panels.HoleDriver && h.Use == panels.UseRadiator })
}

func seenHole(s *standView, d *design.Design, wanted func(panels.Hole) bool) (vec, bool) {
	for _, p := range d.Box.Panels {
		n := toVec(p.Place.N)
		for _, h := range p.Holes {
			if wanted(h) && n.dot(s.eye) > 1e-6 {
				return onPanel(p.Place, plane.Point{X: h.X, Y: h.Y}), true
			}
		}
	}
	return vec{}, false
}

// shownOf is a point of a block that is seen, else one that is not.
func (s *standView) shownOf(m *spaceModel, i int) (at vec, hidden, ok bool) {
	body := m.blockBody(&m.Blocks[i])
	if body == nil {
		return vec{}, false, false
	}
	for _, f := range body.Faces {
		n := toVec(f.N)
		if n.dot(s.eye) <= 1e-6 || len(f.Loops) == 0 {
			continue
		}
		var mid vec
		ring := vecs(f.Loops[0].At)
		for _, p := range ring {
			mid = mid.add(p.mul(1 / float64(len(ring))))
		}
		for _, share := range []float64{0, 0.5, 0.85} {
			for _, p := range ring {
				q := mid.add(p.sub(mid).mul(share))
				if !s.hides(q.add(n.mul(1e-4)), false) {
					return q, false, true
				}
			}
		}
	}
	return toVec(body.Centroid()), true, true
}

// answerWord is a verdict as a customer is told.
func answerWord(v design.Verdict, d *design.Design) string {
	switch v {
	case design.Suits:
		return "Yes"
	case design.SuitsWithCautions:
		return "Yes, with care"
	case design.SuitsAsChecked:
		return "Yes, as far as it could be checked"
	case design.DoesNotSuit:
		return "No"
	}
	return "Only at up to " + watts(d.Evaluation.Settings.Allowed)
}

// headline is the answer in one line.
func headline(r *design.Result, d *design.Design) string {
	s := answerWord(d.Verdict, d) + "."
	if r.Room != nil {
		s += " It stands " + r.Request.StandingText(d)
		if l := r.Loudest(d); len(l) > 0 && d.Verdict != design.DoesNotSuit {
			k := l[min(1, len(l)-1)]
			s += fmt.Sprintf(", and reaches about %s dB at %s Hz", number(k.Cold, 0), trim(k.Frequency))
		}
		s += "."
	}
	return s
}

// customerWords says in plain words what is built, what it does, what needs care and why no other kind.
func customerWords(r *design.Result, d *design.Design) string {
	name := driversNamed(cmp.Or(r.DriverSingle.Name, r.Request.Frame.Name), "driver", r.Request.Mount.Count)
	if r.Request.Mount.Count <= 1 {
		name = "One " + name
	}
	what := name
	if w := facing(r.Request.Mount.Face); w != "" {
		what += " facing " + w
	}
	switch d.Kind {
	case design.Sealed:
		what += " in a closed box"
	case design.Vented:
		what += " in a box with a port"
	default:
		what += " in a box with a passive radiator"
	}
	own := systems(r.Request.Units)[0]
	what += fmt.Sprintf(" of %s inside.", unit.FormatVolume(d.Box.NetVolume, own))
	if a, s := r.Request.Amplifier, d.Evaluation.Settings; a != nil && a.Power > 0 && s.Allowed > 0 {
		if s.Allowed < s.Full*0.995 {
			what += fmt.Sprintf(" It takes %s of the %s that amplifier and driver allow.", search.Watts(s.Allowed), watts(s.Full))
		} else {
			what += fmt.Sprintf(" It takes the full %s that amplifier and driver allow.", watts(s.Full))
		}
	}
	var care []string
	for _, want := range []panels.Status{panels.Fail, panels.Marginal} {
		for _, c := range d.Checks {
			if c.Status == want {
				care = append(care, c.Name)
			}
		}
	}
	if len(care) > 0 {
		what += " Needs care: " + strings.Join(care, ", ") + " (see page 2)."
	}
	for _, k := range r.Outcomes {
		if k.Kind != d.Kind && k.Reason != "" {
			what += " " + otherKind(r, k)
		}
	}
	return what
}

// otherKind says of a kind that was not chosen what its box among the offers would do, else why there is none.
func otherKind(r *design.Result, k design.Outcome) string {
	name := upperFirst(kindWords(k.Kind))
	_, outside, _, most := r.Brief(&r.Designs[0])
	for i := range r.Designs {
		if r.Designs[i].Kind == k.Kind {
			u := r.Request.Units
			_, out, _, m := r.Brief(&r.Designs[i])
			return fmt.Sprintf("%s, number %d on page 2, would give %s instead of %s from %s, and be %s outside instead of %s.",
				name, i+1, m.Text(u), most.Text(u), strings.TrimPrefix(m.Name, "most, "), out.Text(u), outside.Text(u))
		}
	}
	return fmt.Sprintf("%s was tried: %s.", name, strings.TrimRight(k.Reason, "."))
}

func kindWords(k design.Kind) string {
	switch k {
	case design.Sealed:
		return "a closed box"
	case design.Vented:
		return "a box with a port"
	}
	return "a box with a passive radiator"
}

// driversNamed is a driver by its name, or by another where it has none, and how many there are.
func driversNamed(name, none string, count int) string {
	if name = cmp.Or(name, none); count > 1 {
		return fmt.Sprintf("%d × %s", count, name)
	}
	return name
}

func facing(face string) string {
	return map[string]string{"front": "the front", "back": "the back", "top": "up", "bottom": "down", "left": "left", "right": "right"}[face]
}

// customerGraph is the level at the drive of the curves under the band of the greatest level, cold coil to warm.
func customerGraph(r *design.Result, d *design.Design) graph {
	from, to := band(d)
	from, to = math.Max(from, 15), math.Min(to, 100)
	if from >= to {
		from, to = band(d)
	}
	at := func(level func(design.CurvePoint) float64) func(design.CurvePoint) float64 {
		return func(p design.CurvePoint) float64 {
			if r.Request.Vehicle != nil {
				return level(p) + p.CabinLevel - p.Level
			}
			return level(p)
		}
	}
	cold := over("most it can do, coil cold", lookThin, d.Curves, at(func(p design.CurvePoint) float64 { return p.MaxLevel }))
	warm := over("after minutes of hard use", lookDash, d.Curves, at(func(p design.CurvePoint) float64 { return p.MaxWarm }))
	level := over(fmt.Sprintf("at %s V", trim(r.DriveVolts)), lookHeavy, d.Curves, at(func(p design.CurvePoint) float64 { return p.Level }))
	return graph{YLabel: "dB re 20 µPa", From: from, To: to, Floor: 60, Lines: []curve{cold, warm, level},
		Bands: []bandFill{{X: cold.X, Low: warm.Y, High: cold.Y, Grey: 0.86}}}
}

// dialIn lists what is set before the box plays, and returns the Y below.
func dialIn(c Canvas, at Rect, r *design.Result, d *design.Design) float64 {
	const label = 18.5
	y := blockHead(c, at.X, at.Y, at.W, "Dial in")
	row := func(name, value, words string) {
		small := TextStyle{Size: sizeSmall}
		big := TextStyle{Size: 14, Bold: true}
		for big.Size > 9 && textWidth(value, big) > at.W-label {
			big.Size--
		}
		c.Text(Pt{at.X, y + rise(14)}, name, small)
		c.Text(Pt{at.X + label, y + rise(14)}, value, big)
		y += lineHeight(14) - 0.6
		y = paragraph(c, Pt{at.X + label, y}, at.W-label, words, small) + 0.9
	}
	for _, s := range r.Settings(d) {
		row(knobName(s), strings.Replace(s.Figure(), "-", "−", 1), s.Words)
	}
	if coils, load := coilWords(r); coils != "" {
		row("Coils", coils, load)
	}
	row("Polarity", "try both", "and keep the louder")
	fuse := "450 mm"
	if r.Request.Units == unit.Inch {
		fuse = "18 in"
	}
	row("Fuse", fuse, "or less from the battery")
	return y
}

// knobName is what a knob is called beside its value.
func knobName(s design.Setting) string {
	if s.Knob == design.BoostKnob && s.Value < 0 {
		return "Cut"
	}
	return map[design.Knob]string{design.HighPassKnob: "High-pass", design.LowPassKnob: "Low-pass", design.BoostKnob: "Boost",
		design.GainKnob: "Gain down", design.VoltageKnob: "Gain", design.DelayKnob: "Delay"}[s.Knob]
}

// coilWords tell how coils or drivers are joined, and what an ohmmeter shows; empty for one driver with one coil.
func coilWords(r *design.Result) (how, load string) {
	if wiringText(r) == "" {
		return "", ""
	}
	how = "see page 4"
	w := r.Request.Mount.Wiring
	switch {
	case w.Coils == thielesmall.Series:
		how = "in series"
	case w.Coils == thielesmall.Parallel:
		how = "in parallel"
	}
	if r.Driver.Impedance > 0 {
		load = trim(r.Driver.Impedance) + " Ω; "
	}
	return how, load + fmt.Sprintf("%s Ω by ohmmeter", number(r.Driver.Re, 1))
}

// readIt tells how the graph is read, with the greatest levels as figures.
func readIt(c Canvas, at Rect, r *design.Result, d *design.Design) {
	small := TextStyle{Size: sizeSmall}
	y := blockHead(c, at.X, at.Y, at.W, "Read it so")
	words := fmt.Sprintf("Left is lower. The grey band is the loudest it plays: upper edge at first, lower edge with a hot coil. The thick line is at %s V.", trim(r.DriveVolts))
	y = paragraph(c, Pt{at.X, y}, at.W, words, small) + 1.5
	for _, l := range r.Loudest(d) {
		if y+lineHeight(13) > at.Bottom() {
			return
		}
		big := TextStyle{Size: 13, Bold: true, Align: AlignRight}
		c.Text(Pt{at.X + 14, y + rise(13)}, number(l.Cold, 0), big)
		c.Text(Pt{at.X + 16, y + rise(13)}, fmt.Sprintf("dB at %s Hz, hot %s", trim(l.Frequency), number(l.Warm, 0)), small)
		y += lineHeight(13) - 0.5
	}
	for _, s := range []string{graphEnd(r), "A meter set to A hides such levels: about 35 dB at 40 Hz. Keep sessions short."} {
		if h := paragraphHeight(at.W, s, small); s != "" && y+1+h <= at.Bottom() {
			y = paragraph(c, Pt{at.X, y + 1}, at.W, s, small)
		}
	}
}

// graphEnd says what the levels are worth.
func graphEnd(r *design.Result) string {
	v := r.Request.Vehicle
	switch {
	case v == nil:
		return "Calculated at 1 m in the open, floor below; a cabin adds to it."
	case len(v.Measured) > 0:
		return "With the measured curve of the cabin."
	}
	return "Calculated: the model of the cabin is good to ±6 dB at best."
}

// keyFigures are the two tables of figures: the box in both systems, sound and electrics.
func keyFigures(r *design.Result, d *design.Design) [2]table {
	sys := systems(r.Request.Units)
	boxed := table{Size: sizeSmall, Columns: []column{{Head: "the box"}, {Head: unitHead(sys[0]), Width: 31}, {Head: unitHead(sys[1]), Width: 31, Align: AlignRight}}}
	sound := table{Size: sizeSmall, Columns: []column{{Head: "sound, in the open"}, {Head: "(10 to 90 % of builds)", Width: 43, Align: AlignRight}}}
	for _, k := range r.Facts(d) {
		if k.Place == design.OfTheBox {
			boxed.Rows = append(boxed.Rows, []cell{{Text: k.Name}, {Text: k.Text(sys[0]), Bold: true}, {Text: k.Text(sys[1])}})
		} else {
			sound.Rows = append(sound.Rows, []cell{{Text: k.Name}, {Text: k.Text(sys[0]), Bold: true}})
		}
	}
	return [2]table{boxed, sound}
}

func unitHead(s unit.System) string {
	if s == unit.Inch {
		return "inch"
	}
	return "metric"
}

// verdict sets the answer beside a bar.
func (f *flow) verdict(head, text string) {
	const bar, pad = 2.4, 5.0
	big := TextStyle{Size: 15, Bold: true}
	w := f.Area.W - pad
	for big.Size > 11 && len(wrap(head, big, w)) > 1 {
		big.Size -= 0.5
	}
	body := TextStyle{Size: sizeBody}
	h := paragraphHeight(w, head, big) + 0.6 + paragraphHeight(w, text, body)
	r := f.Box(h)
	shade(f, Rect{r.X, r.Y, bar, r.H}, 0)
	y := paragraph(f, Pt{r.X + pad, r.Y + 0.3}, w, head, big)
	paragraph(f, Pt{r.X + pad, y + 0.6}, w, text, body)
	f.Gap(4)
}

// titleBlock sets the job's name with what and where beneath it.
func (f *flow) titleBlock(r *design.Result) {
	f.Name(r.Request.Title, "Loudspeaker box")
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
	f.Gap(3)
}

// trim prints a plain number without needless zeros.
func trim(v float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", v), "0"), ".")
}
