package design

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/cavity"
	"cubby/internal/grade"
	"cubby/internal/panels"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
	"cubby/internal/word"
)

// ExcursionCheck names the check that advice on a high-pass follows.
const ExcursionCheck = "excursion at full power"

// PeakCheck and DipCheck name the checks of the shape of the response of a box that is not closed.
const (
	PeakCheck = "response peak"
	DipCheck  = "response dip"
)

// CarryCheck names the check of the way in, whose value is a share of the opening.
const CarryCheck = "carry-in"

func row(name string, s panels.Status, value, limit float64, unit, note string) Check {
	return Check{Name: name, Status: s, Value: value, Limit: limit, Unit: unit, Note: note}
}

func notChecked(name, why string) Check {
	return row(name, panels.NotChecked, 0, 0, "", why)
}

// told is a row that informs: there was nothing to check.
func told(name, what string) Check {
	c := notChecked(name, what)
	c.Told = true
	return c
}

// A lack is a thing that a check needs, and whether it is lacking.
type lack struct {
	lacking bool
	what    string
}

// needs names what is lacking, as the reason why a check was not made; empty when nothing is.
func needs(all ...lack) string {
	var words []string
	for _, l := range all {
		if l.lacking {
			words = append(words, l.what)
		}
	}
	if len(words) == 0 {
		return ""
	}
	return "needs " + word.List(words)
}

// A performance is what the acoustic rows of the grade table look at: a box that is designed, or a ready-made one.
type performance struct {
	Sound
	built  search.Candidate
	inside float64 // m, the longest size of a ready-made box inside; 0: not known
}

// lower says by what a tuning is made lower.
func (f performance) lower() string {
	if f.Radiator != nil {
		return "more mass on the radiator"
	}
	return "longer port"
}

// volume is the net volume, m3.
func (f performance) volume() float64 { return f.Circuit.System.Box.Volume }

// judge fills a design's checks, in the order of the grade table.
func (h *rig) judge(d *Design) {
	for _, c := range d.Box.Checks {
		row := boxCheck(c)
		if !h.brief {
			row.Note = c.Note.Text(h.req.Units)
		}
		if row.Name == depthCheck && row.Status == panels.Marginal {
			row.Setting = h.moreDepth(row.Limit - row.Value)
		}
		d.Checks = append(d.Checks, row)
	}
	d.Checks = append(d.Checks, h.checkAirInFront(h.travel(d.Evaluation.Excursion)))
	d.Checks = append(d.Checks, h.soundRows(d.performance())...)
	d.Checks = h.doubt(append(d.Checks, h.checkPower(d.performance()), h.checkLoad(), h.checkCarry(d.Carry)))
	h.sumUp(d)
}

// performance is what the acoustic rows look at.
func (d *Design) performance() performance { return performance{d.Sound, d.candidate, 0} }

// sumUp gives a design its verdict.
func (h *rig) sumUp(d *Design) {
	what := fmt.Sprintf("A %s box of %s net", d.Kind, h.volume(d.Box.NetVolume))
	if d.Kind != Sealed {
		what += fmt.Sprintf(", tuned to %.1f Hz,", d.Figures.Fb)
	}
	d.Verdict, d.VerdictText = h.conclude(what, d.Checks, d.performance())
}

// travel is how far the cone comes, m: Xmax, or more at full power, as far as it may.
func (h *rig) travel(excursion float64) float64 {
	return math.Max(h.set.Xmax, math.Min(excursion, 2*h.set.Xmax))
}

// boxCheck is a check that the wood made of itself. A panel that resonates low is a caution with a cure, never a reason
// against a box.
func boxCheck(c panels.Check) Check {
	row := Check{Name: c.Name, Status: c.Status, Value: c.Value, Limit: c.Limit, Unit: c.Unit, wood: &c.Note}
	if c.Name == "first panel resonance" && (c.Status == panels.Fail || c.Status == panels.Marginal) {
		row.Status = panels.Marginal
		row.Setting = "glue a stiff brace across that panel's middle, or double it (common practice)"
	}
	return row
}

// ring is a spacer ring as thick as what is lacking, rounded up: with what is printed nothing is lacking.
func (h *rig) ring(short float64) string {
	step := h.step(finestMetric, finestInch)
	return fmt.Sprintf("a spacer ring of %s under the frame", h.length(math.Ceil(short/step-stepSlack)*step))
}

// moreDepth says how a driver that stands close to what is behind it gets the air that it lacks.
func (h *rig) moreDepth(short float64) string {
	text := h.ring(short) + ", if there is air in front of the cone for it, or a box that much larger there"
	if least := short - (h.grades[grade.DepthBehindVent].Pass - h.grades[grade.DepthBehindVentLeast].Value()); h.req.Frame.Vent && least > tapeStep {
		text += fmt.Sprintf("; %s at the least, so that the pole can breathe", h.length(least))
	}
	return text
}

// tapeStep is the least length that is worth a word, m: a tape measure shows no less.
const tapeStep = 0.5e-3

// soundRows are the acoustic rows of the grade table. They also set the port's speed.
func (h *rig) soundRows(f performance) []Check {
	var rows []Check
	switch f.Kind {
	case Sealed:
		rows = append(rows, h.checkQtc(f))
	case BandPass:
		rows = append(rows, h.bandRows(f)...)
	default:
		rows = append(rows, h.checkPeak(f), h.checkDip(f))
	}
	rows = append(rows, h.checkExcursion(f))
	if !upright(h.req.Mount.Face) && h.set.Xmax > 0 {
		rows = append(rows, h.checkSag())
	}
	if f.Port != nil {
		f.Port.SpeedAtLimit = f.Evaluation.Speed
		rows = append(rows, h.checkPortSpeed(f), h.checkDuct(f))
	}
	if f.Radiator != nil {
		rows = append(rows, h.radiatorRows(f)...)
	}
	if f.Kind != Sealed {
		rows = append(rows, told("group delay at the tuning",
			fmt.Sprintf("%.0f ms at %.1f Hz, filters left out: for information, never graded", f.Figures.DelayAtTuning*1000, f.Figures.Fb)))
	}
	return rows
}

// checkSag is the row on how far a cone that lies flat hangs from its rest position.
func (h *rig) checkSag() Check {
	sag, rule := h.set.Sag(), h.grades[grade.Sag]
	c := row("cone sag", rule.Scaled(sag, h.set.Xmax), sag, rule.Pass*h.set.Xmax, "m",
		fmt.Sprintf("facing up or down the cone hangs %.1f mm by its own weight, %.0f %% of its Xmax", sag*1000, 100*sag/h.set.Xmax))
	if c.Status != panels.Pass {
		c.Setting = "mount it on an upright face"
	}
	return c
}

// step is one of two steps by the job's units, m.
func (p *rig) step(metric, inches float64) float64 {
	if p.req.Units == unit.Inch {
		return inches
	}
	return metric
}

// length and volume write a quantity in the job's own units.
func (p *rig) length(m float64) string  { return unit.FormatLength(m, p.req.Units) }
func (p *rig) volume(m3 float64) string { return unit.FormatVolume(m3, p.req.Units) }

func (h *rig) checkAirInFront(travel float64) Check {
	const name = "air in front of the cone"
	m := h.req.Mount
	if h.set.Xmax == 0 {
		return notChecked(name, "the driver's xmax is not stated")
	}
	pass := travel + h.grades[grade.AirInFront].Pass + m.Surround
	if m.AirInFront == 0 {
		return notChecked(name, fmt.Sprintf("state mount.air_in_front, the clear air before the driver's face: it needs %s", h.length(pass)))
	}
	air := m.AirInFront + m.Recess
	s := grade.NoLess(air, pass, h.set.Xmax)
	sunk := ""
	if m.Recess > 0 {
		sunk = fmt.Sprintf(" and %s of recess", h.length(m.Recess))
	}
	c := row(name, s, air, pass, "m", fmt.Sprintf("%s of air before the driver's face%s; the cone's travel and a margin need %s",
		h.length(m.AirInFront), sunk, h.length(pass)))
	if s != panels.Pass {
		c.Setting = fmt.Sprintf("give it %s more air, or sink the driver by that much", h.length(pass-air))
	}
	return c
}

func (h *rig) checkQtc(p performance) Check {
	c := h.gradeQtc(p)(p.Figures)
	switch {
	case h.brief:
		return c
	case c.Status == panels.Pass:
	case c.Value < h.grades[grade.QtcLow].Pass:
		c.Setting = h.filler(p)
	default:
		c.Setting = h.lowerQtc(p)
	}
	return h.spread(p, c, h.gradeQtc(p))
}

func (h *rig) gradeQtc(p performance) func(thielesmall.Figures) Check {
	return func(f thielesmall.Figures) Check {
		q, low, high := f.Qtc, h.grades[grade.QtcLow], h.grades[grade.QtcHigh]
		c := row("sealed Qtc", grade.Between(low, high, q), q, high.Pass, "",
			fmt.Sprintf("Qtc %.2f in %s; %.2f to %.2f is wanted", q, h.volume(p.volume()), low.Pass, high.Pass))
		if low.Grade(q) != panels.Pass {
			c.Limit = low.Pass
		}
		return c
	}
}

func (h *rig) checkPeak(p performance) Check {
	c := h.gradePeak(p.Figures)
	if h.brief {
		return c
	}
	if c.Status != panels.Pass {
		if c.Setting = h.retune(p, true, h.gradePeak); c.Setting == "" {
			c.Setting = "a lower tuning (" + p.lower() + ") lowers the peak; so does another driver with a lower Qts"
		}
	}
	return h.spread(p, c, h.gradePeak)
}

func (h *rig) gradePeak(f thielesmall.Figures) Check {
	return row(PeakCheck, h.grades.Grade(grade.Peak, f.Peak), f.Peak, h.grades[grade.Peak].Pass, "dB",
		fmt.Sprintf("%.1f dB over the reference at %.0f Hz", f.Peak, f.PeakAt))
}

func (h *rig) checkDip(p performance) Check {
	c := h.gradeDip(p.Figures)
	if h.brief {
		return c
	}
	if c.Status != panels.Pass {
		if c.Setting = h.retune(p, false, h.gradeDip); c.Setting == "" {
			c.Setting = "a higher tuning fills the dip"
		}
	}
	return h.spread(p, c, h.gradeDip)
}

func (h *rig) gradeDip(f thielesmall.Figures) Check {
	return row(DipCheck, h.grades.Grade(grade.Dip, f.Dip), f.Dip, h.grades[grade.Dip].Pass, "dB",
		fmt.Sprintf("the level falls %.1f dB between two rises", f.Dip))
}

// limitTo advises a power.
func limitTo(watts float64) string { return "limit the power to " + search.Watts(watts) }

// checkExcursion is the row on the cone's travel at P0, behind the filters and the high-pass that is part of the answer.
func (h *rig) checkExcursion(p performance) Check {
	const name = ExcursionCheck
	xmax, x := h.set.Xmax, p.Evaluation.Excursion
	if xmax == 0 {
		return notChecked(name, "the driver's xmax is not stated")
	}
	full := p.Evaluation.Settings.Full
	if full == 0 {
		return notChecked(name, "the amplifier's power and load are not stated")
	}
	c := row(name, h.grades[grade.Excursion].Scaled(x, xmax), x, xmax, "m",
		fmt.Sprintf("%.1f mm peak with a full sine of %.0f W%s; Xmax is %.1f mm", x*1000, full, behind(&p.Evaluation), xmax*1000))
	if c.Status != panels.Pass {
		c.Setting = limitTo(full * xmax * xmax / (x * x))
	}
	if bare, watts, ok := h.withoutHighPass(p); ok {
		c.Status = max(c.Status, panels.Marginal)
		c.Note += fmt.Sprintf("; without it %.1f mm, and %s at most", bare*1000, search.Watts(watts))
		set := fmt.Sprintf("set the high-pass to %.0f Hz", p.Evaluation.Settings.HighPass)
		if c.Setting != "" {
			set += " and "
		}
		c.Setting = set + c.Setting
	}
	if m := h.set.Xmech; m > 0 && x > m {
		c.Note += fmt.Sprintf("; more than %.0f W breaks it", full*m*m/(x*x))
	}
	return c
}

// withoutHighPass is the excursion of a ready-made box and the power that it may play at where the high-pass that is part of
// the answer is not set; ok is false where none is part of it.
func (h *rig) withoutHighPass(p performance) (excursion, watts float64, ok bool) {
	if len(h.req.Boxes) == 0 || p.Evaluation.Settings.HighPass == 0 {
		return 0, 0, false
	}
	t := h.task()
	t.Amplifier.NoHighPass = true
	m, err := search.New(t)
	if err != nil {
		return 0, 0, false
	}
	e := m.EvaluateCircuit(p.built, p.Circuit.Without())
	return e.Excursion, e.Settings.Allowed, true
}

// behind names the high-pass that is part of the answer; empty when there is none.
func behind(e *search.Evaluation) string {
	if e.Settings.HighPass == 0 {
		return ""
	}
	return fmt.Sprintf(" behind a high-pass of %.0f Hz, 24 dB an octave", e.Settings.HighPass)
}

// checkCarry is the row on the way in.
func (h *rig) checkCarry(c cavity.Carry) Check {
	const name = CarryCheck
	text := h.carryText(c)
	switch c.Answer {
	case cavity.Passes:
		return row(name, panels.Pass, c.Slide, 1, "", text)
	case cavity.PerhapsTilting:
		r := row(name, panels.Marginal, c.Slide, 1, "", text)
		r.Setting = "try a cardboard dummy of the outside size before the wood is cut"
		if len(h.req.Boxes) > 0 {
			r.Setting = "try a cardboard dummy of its outside size before it is bought"
		}
		return r
	case cavity.Cannot:
		return row(name, panels.Fail, c.Section, 1, "", text)
	}
	if s := h.req.Space; s == nil || s.Passage == nil {
		return notChecked(name, "needs cavity.passage, the opening that the box has to go through")
	}
	return notChecked(name, "needs the box's outside size")
}

// carryText says how a box goes in; empty when that was not asked.
func (p *rig) carryText(c cavity.Carry) string {
	switch c.Answer {
	case cavity.Passes:
		return fmt.Sprintf("goes through %s, with %s and %s to spare after hand room; it needs a straight run of %s before and behind the opening",
			CarryAttitude(c), p.length(c.Clearance[0]), p.length(c.Clearance[1]), p.length(c.Run))
	case cavity.PerhapsTilting:
		if c.Slide <= 1+slack {
			return fmt.Sprintf("goes through only without the %s of room for hands: try a cardboard dummy", p.length(cavity.HandRoom))
		}
		return fmt.Sprintf("perhaps by tilting: straight it is %.2f times the opening; try a cardboard dummy", c.Slide)
	case cavity.Cannot:
		return fmt.Sprintf("cannot go through by any motion: every cut through its middle is at least %.2f times the opening", c.Section)
	}
	return ""
}

// CarryAttitude says which way a box slides through; empty when it was not asked or does not slide.
func CarryAttitude(c cavity.Carry) string {
	if c.Answer != cavity.Passes {
		return ""
	}
	switch a := c.Along; {
	case math.Abs(a.X) > straight:
		return "one end first"
	case math.Abs(a.Y) > straight:
		return "front or back first"
	case math.Abs(a.Z) > straight:
		return "top or bottom first"
	}
	return "on the slant"
}

// straight is the cosine from which a way counts as along an axis.
const straight = 0.999

// byPower reports whether the power that is allowed takes care of a check.
func byPower(c *Check) bool {
	return c.Name == ExcursionCheck || c.Name == SpeedCheck || c.Name == RadiatorCheck
}

// conclude sums the checks up: a verdict, and a sentence about what is judged.
func (h *rig) conclude(what string, checks []Check, f performance) (Verdict, string) {
	var fails, cautions, open []string
	sum := search.Checks{Worst: grade.Pass, Share: 1}
	if len(h.req.Boxes) > 0 && f.Evaluation.Settings.HighPass > 0 { // nobody has said that there is one
		sum.Worst = grade.Marginal
	}
	for i := range checks {
		c := &checks[i]
		switch c.Status {
		case panels.NotChecked:
			if !c.Told {
				open = append(open, c.Name)
			}
		case panels.Fail:
			fails = append(fails, c.Name)
		case panels.Marginal:
			cautions = append(cautions, c.Name)
		}
		if !byPower(c) {
			sum.Worst = max(sum.Worst, c.Status)
		}
	}
	for _, name := range [...]string{ExcursionCheck, SpeedCheck, RadiatorCheck, PeakCheck, "delivered power", "load as wired"} {
		sum.Unchecked = sum.Unchecked || slices.Contains(open, name)
	}
	s := f.Evaluation.Settings
	if s.Full > 0 {
		sum.Share = s.Allowed / s.Full
	}
	rest := "."
	if len(open) > 0 {
		rest = "; not checked: " + word.List(open) + "."
	}
	v := Verdict(h.model.Decide(sum).Words(s.Allowed))
	text := what + " " + string(v)
	plays := mayPlay(s)
	switch {
	case v == DoesNotSuit && len(fails) > 0:
		text += ": " + word.List(fails)
	case v == DoesNotSuit:
		text += ": " + plays
	case v == Suits:
		text += "; every check passes"
	case sum.Share < 1-slack:
		text += ": " + plays
		if len(cautions) > 0 {
			text += "; with care for " + word.List(cautions)
		}
	case len(cautions) > 0:
		text += ": " + word.List(cautions)
	}
	return v, text + rest
}
