package design

import (
	"fmt"
	"math"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// ExcursionCheck names the check that advice on a high-pass follows.
const ExcursionCheck = "excursion at full power"

// CarryCheck names the check of the way in, whose value is a share of the opening.
const CarryCheck = "carry-in"

// slack makes every comparison with a limit inclusive: 238 mm passes for 238 mm however the two were computed.
const slack = 1e-9

// atMost grades a value that must stay below limits.
func atMost(value, pass, marginal float64) panels.Status {
	switch {
	case value <= pass*(1+slack):
		return panels.Pass
	case value <= marginal*(1+slack):
		return panels.Marginal
	}
	return panels.Fail
}

// atLeast grades a value that must stay above limits.
func atLeast(value, pass, marginal float64) panels.Status {
	switch {
	case value >= pass*(1-slack):
		return panels.Pass
	case value >= marginal*(1-slack):
		return panels.Marginal
	}
	return panels.Fail
}

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
	return "needs " + list(words)
}

// A performance is what the acoustic rows of the grade table look at: a box that is designed, or a ready-made one.
type performance struct {
	kind    Kind
	circuit *thielesmall.Circuit
	figures thielesmall.Figures
	port    *PortDesign
	answers []thielesmall.Answer // on the plant's judgeGrid
	assumed float64              // Hz of a high-pass of order 4 that the design plays its port through; 0: none
	inside  float64              // m, the longest size of a ready-made box inside; 0: not known
}

// volume is the net volume, m3.
func (f performance) volume() float64 { return f.circuit.System.Box.Volume }

// judge fills a design's checks, in the order of the grade table.
func (h *hunt) judge(d *Design) {
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
	answers := h.answers(d.Circuit)
	d.Checks = append(d.Checks, h.checkAirInFront(h.travel(answers)))
	d.Checks = append(d.Checks, h.soundRows(performance{d.Kind, d.Circuit, d.Figures, d.Port, answers, h.assumed(d), 0})...)
	d.Checks = append(d.Checks, h.checkPower(), h.checkLoad(), h.checkCarry(d.Carry))
	d.what = fmt.Sprintf("A %s box of %s net", d.Kind, h.volume(d.Box.NetVolume))
	if d.Kind == Vented {
		d.what += fmt.Sprintf(", tuned to %.1f Hz,", d.Figures.Fb)
	}
	d.Verdict, d.VerdictText = sentence(d.what, d.Checks)
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

// moreDepth says how a driver that stands close to what is behind it gets the air that it lacks.
func (h *hunt) moreDepth(short float64) string {
	text := fmt.Sprintf("a spacer ring of %s under the frame, if there is air in front of the cone for it, or a box that much larger there", h.length(short))
	if least := short - (ventAir - ventLeast); h.req.Frame.Vent && least > tapeStep {
		text += fmt.Sprintf("; %s at the least, so that the pole can breathe", h.length(least))
	}
	return text
}

// tapeStep is the least length that is worth a word, m: a tape measure shows no less.
const tapeStep = 0.5e-3

// assumed is the high-pass that the search assumes for a design, Hz; 0 when it assumes none.
func (h *hunt) assumed(d *Design) float64 {
	if h.highPass || d.Kind == Sealed {
		return 0
	}
	return assumedHighPass * d.Figures.Fb
}

// soundRows are the acoustic rows of the grade table. They also set the port's speed.
func (h *hunt) soundRows(f performance) []Check {
	var rows []Check
	if f.kind == Sealed {
		rows = append(rows, h.checkQtc(f))
	} else {
		rows = append(rows, h.checkPeak(f), h.checkDip(f))
	}
	excursion, at := h.farthest(f.answers, 0)
	rows = append(rows, h.checkExcursion(f, excursion, at))
	if f.port != nil {
		speed, speedAt := h.fastest(f.answers, float64(f.port.Count)*f.port.Area, f.assumed)
		f.port.SpeedAtLimit, f.port.SpeedAt = speed, speedAt
		row := h.checkPortSpeed(f.port, speed, speedAt)
		if f.assumed > 0 && row.Status != panels.NotChecked {
			row.Note += fmt.Sprintf("; behind a high-pass of %.0f Hz, 24 dB an octave, which the job does not state", f.assumed)
		}
		rows = append(rows, row, h.checkDuct(f))
	}
	if f.kind == Vented {
		rows = append(rows, told("group delay at the tuning",
			fmt.Sprintf("%.0f ms at %.1f Hz, filters left out: for information, never graded", f.figures.DelayAtTuning*1000, f.figures.Fb)))
	}
	return rows
}

// length and volume write a quantity in the job's own units.
func (p *plant) length(m float64) string  { return unit.FormatLength(m, p.req.Units) }
func (p *plant) volume(m3 float64) string { return unit.FormatVolume(m3, p.req.Units) }

func (h *hunt) checkAirInFront(travel float64) Check {
	const name, margin = "air in front of the cone", 0.006 // m over the excursion (common practice)
	m := h.req.Mount
	if h.set.Xmax == 0 {
		return notChecked(name, "the driver's xmax is not stated")
	}
	pass := travel + margin + m.Surround
	if m.AirInFront == 0 {
		return notChecked(name, fmt.Sprintf("state mount.air_in_front, the clear air before the driver's face: it needs %s", h.length(pass)))
	}
	air := m.AirInFront + m.Recess
	s := atLeast(air, pass, h.set.Xmax)
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

func (h *hunt) checkQtc(p performance) Check {
	c := h.gradeQtc(p)(p.figures)
	switch {
	case h.brief:
		return c
	case c.Status == panels.Pass:
	case c.Value < h.pass.qtcLow:
		c.Setting = h.filler(p)
	default:
		c.Setting = h.lowerQtc(p)
	}
	return h.spread(p, c, h.gradeQtc(p))
}

func (h *hunt) gradeQtc(p performance) func(thielesmall.Figures) Check {
	return func(f thielesmall.Figures) Check {
		q := f.Qtc
		c := row("sealed Qtc", atMost(q, h.pass.qtcHigh, h.pass.qtcFail), q, h.pass.qtcHigh, "",
			fmt.Sprintf("Qtc %.2f in %s; %.2f to %.2f is wanted", q, h.volume(p.volume()), h.pass.qtcLow, h.pass.qtcHigh))
		if q < h.pass.qtcLow*(1-slack) {
			c.Status, c.Limit = panels.Marginal, h.pass.qtcLow
		}
		return c
	}
}

func (h *hunt) checkPeak(p performance) Check {
	c := h.gradePeak(p.figures)
	if h.brief {
		return c
	}
	if c.Status != panels.Pass {
		if c.Setting = h.retune(p, true, h.gradePeak); c.Setting == "" {
			c.Setting = "a lower tuning (longer port) lowers the peak; so does another driver with a lower Qts"
		}
	}
	return h.spread(p, c, h.gradePeak)
}

func (h *hunt) gradePeak(f thielesmall.Figures) Check {
	return row("vented response peak", atMost(f.Peak, h.pass.peak, h.pass.peakFail), f.Peak, h.pass.peak, "dB",
		fmt.Sprintf("%.1f dB over the reference at %.0f Hz", f.Peak, f.PeakAt))
}

func (h *hunt) checkDip(p performance) Check {
	c := h.gradeDip(p.figures)
	if h.brief {
		return c
	}
	if c.Status != panels.Pass {
		if c.Setting = h.retune(p, false, h.gradeDip); c.Setting == "" {
			c.Setting = "a higher tuning (shorter port) fills the dip"
		}
	}
	return h.spread(p, c, h.gradeDip)
}

func (h *hunt) gradeDip(f thielesmall.Figures) Check {
	return row("vented response dip", atMost(f.Dip, h.pass.dip, h.pass.dipFail), f.Dip, h.pass.dip, "dB",
		fmt.Sprintf("the level falls %.1f dB between two rises", f.Dip))
}

func (h *hunt) checkExcursion(p performance, x, at float64) Check {
	const name = ExcursionCheck
	xmax := h.set.Xmax
	if xmax == 0 {
		return notChecked(name, "the driver's xmax is not stated")
	}
	if math.IsNaN(x) {
		return notChecked(name, "the amplifier's power and load are not stated")
	}
	fail := h.excursionFail()
	c := row(name, atMost(x, xmax, fail), x, xmax, "m",
		fmt.Sprintf("%.1f mm peak at %.0f Hz with a full sine; Xmax is %.1f mm", x*1000, at, xmax*1000))
	if c.Status != panels.Pass {
		c.Setting = fmt.Sprintf("limit the power to %.0f W", h.req.Amplifier.Power*xmax*xmax/(x*x))
	}
	if h.highPass || c.Status == panels.Pass {
		return c
	}
	guard := guardFrequency
	if p.kind == Vented {
		guard = ventedGuard * p.figures.Fb
	}
	if y, _ := h.farthest(p.answers, guard); y <= guardedShare*xmax*(1+slack) {
		c.Status = panels.Marginal
		then := ""
		if y > xmax*(1+slack) {
			then = fmt.Sprintf("; Xmax at %.0f W", h.req.Amplifier.Power*xmax*xmax/(y*y))
		}
		c.Setting = fmt.Sprintf("set a high-pass of %.0f Hz, 24 dB an octave (then %.1f mm%s), or %s", guard, y*1000, then, c.Setting)
	}
	return c
}

// ventedGuard is where a fitter sets the high-pass of a vented box when the job states none, of its tuning: below it the port
// no longer holds the cone. A sealed one gets guardFrequency (common practice).
const ventedGuard = 0.9

func (h *hunt) checkPortSpeed(p *PortDesign, v, at float64) Check {
	const name = "port air speed at full power"
	if h.volts == 0 {
		return notChecked(name, "the amplifier's power and load are not stated")
	}
	c := row(name, atMost(v, h.pass.portSpeed, h.pass.portSpeedFail), v, h.pass.portSpeed, "m/s",
		fmt.Sprintf("%.1f m/s peak at %.0f Hz with a full sine", v, at))
	s := h.pass.portSpeed / v
	power := fmt.Sprintf("limit the power to %.0f W", h.req.Amplifier.Power*s*s)
	switch c.Status {
	case panels.Marginal:
		c.Setting = power + ", or round both mouths generously and accept some noise at full power"
	case panels.Fail:
		c.Setting = fmt.Sprintf("%s; or %s of port in place of %s, and longer to keep the tuning", power,
			unit.FormatArea(float64(p.Count)*p.Area/s, h.req.Units), unit.FormatArea(float64(p.Count)*p.Area, h.req.Units))
	}
	if v > defaultPortSpeed {
		c.Note += "; above 20 m/s (common practice, no published limit) it is heard, and the level at the tuning comes out lower than computed"
	}
	if p.Implied && c.Status == panels.Fail { // what is not stated is no reason against a box
		c.Status = panels.Marginal
		c.Setting = "ask for the port's size and length, and check again; else " + power
	}
	if p.Implied {
		c.Note += fmt.Sprintf("; by a tube of %s, the largest that goes in straight, for the port is not stated", h.length(p.Bore))
	}
	return c
}

func (h *hunt) checkDuct(p performance) Check {
	base, what := h.lowPass, "the low-pass"
	if base == 0 {
		base, what = ductFloor/ductFactor, "the usual low-pass (none is stated)"
	}
	f := p.figures.DuctResonance
	c := row("first duct resonance", atLeast(f, ductFactor*base, 1.5*base), f, ductFactor*base, "Hz",
		fmt.Sprintf("the port sings at %.0f Hz, %.1f times %s", f, f/base, what))
	if c.Status != panels.Pass {
		c.Setting = fmt.Sprintf("set the low-pass to %.0f Hz or lower", f/ductFactor)
	}
	return c
}

func (h *hunt) checkPower() Check {
	const name = "delivered power"
	rated, z := h.set.Power, h.set.Impedance
	if h.volts == 0 || rated == 0 || z == 0 {
		return notChecked(name, needs(lack{h.volts == 0, "the amplifier's power and load"}, lack{rated == 0, "the driver's power"}, lack{z == 0, "the driver's impedance"}))
	}
	w := h.volts * h.volts / z
	c := row(name, atMost(w, rated, 2*rated), w, rated, "W",
		fmt.Sprintf("%.0f W into %.3g ohm as wired; the driver is rated for %.0f W", w, z, rated))
	if c.Status != panels.Pass {
		c.Setting = fmt.Sprintf("set the gain for at most %.1f V at the terminals", math.Sqrt(rated*z))
	}
	return c
}

func (h *hunt) checkLoad() Check {
	const name = "load as wired"
	a := h.req.Amplifier
	if a == nil || a.Into == 0 || h.set.Impedance == 0 {
		return notChecked(name, needs(lack{a == nil || a.Into == 0, "amplifier.into, the load on the amplifier"}, lack{h.set.Impedance == 0, "the driver's impedance"}))
	}
	least := a.MinimumLoad
	if least == 0 {
		least = a.Into
	}
	z := h.set.Impedance
	s := panels.Pass
	if z < least*(1-slack) {
		s = panels.Fail
	}
	c := row(name, s, z, least, "ohm", fmt.Sprintf("%.3g ohm as wired; the amplifier takes %.3g ohm or more", z, least))
	if s != panels.Pass {
		c.Setting = "wire coils or drivers in series, or use an amplifier that takes the load"
	}
	return c
}

func (h *hunt) checkCarry(c cavity.Carry) Check {
	const name = CarryCheck
	switch c.Answer {
	case cavity.Passes:
		return row(name, panels.Pass, c.Scale, 1, "", c.Text)
	case cavity.OnlyTilting:
		r := row(name, panels.Marginal, c.Scale, 1, "", c.Text)
		r.Setting = "try a cardboard dummy of the outside size before the wood is cut"
		if len(h.req.Boxes) > 0 {
			r.Setting = "try a cardboard dummy of its outside size before it is bought"
		}
		return r
	case cavity.Cannot:
		return row(name, panels.Fail, c.Scale, 1, "", c.Text)
	}
	if s := h.req.Space; s == nil || s.Passage == nil {
		return notChecked(name, "needs cavity.passage, the opening that the box has to go through")
	}
	return notChecked(name, "needs the box's outside size")
}

// sentence sums the checks up: a verdict, and a sentence about what is judged.
func sentence(what string, checks []Check) (Verdict, string) {
	var fails, cautions, open []string
	for _, c := range checks {
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
	}
	rest := "."
	if len(open) > 0 {
		rest = "; not checked: " + list(open) + "."
	}
	switch {
	case len(fails) > 0:
		return DoesNotSuit, what + " does not suit: " + list(fails) + rest
	case len(cautions) > 0:
		return SuitsWithCautions, what + " suits, with care for: " + list(cautions) + rest
	}
	return Suits, what + " suits; every check passes" + rest
}

// failed names the checks that fail.
func failed(checks []Check) []string {
	var names []string
	for _, c := range checks {
		if c.Status == panels.Fail {
			names = append(names, c.Name)
		}
	}
	return names
}

// list joins words as a sentence does.
func list(words []string) string {
	s := ""
	for i, w := range words {
		switch {
		case i == 0:
		case i == len(words)-1:
			s += " and "
		default:
			s += ", "
		}
		s += w
	}
	return s
}
