package search

import (
	"fmt"
	"math"

	"cubby/internal/grade"
)

// Verdict is what is said of a box as a whole, the better the larger.
type Verdict int8

// The verdicts.
const (
	DoesNotSuit Verdict = iota
	SuitsAtPower
	SuitsAsFarAsChecked
	SuitsWithCautions
	Suits
)

// Watts writes a power that is allowed, rounded down: at what is printed nothing is over its limit.
func Watts(w float64) string { return fmt.Sprintf("%.0f W", math.Floor(w*(1+grade.Slack))) }

// Words returns the verdict as it is printed; watts is the power that is allowed.
func (v Verdict) Words(watts float64) string {
	switch v {
	case SuitsAtPower:
		return "suits at " + Watts(watts)
	case SuitsAsFarAsChecked:
		return "suits as far as checked"
	case SuitsWithCautions:
		return "suits with cautions"
	case Suits:
		return "suits"
	}
	return "does not suit"
}

// Checks are what a verdict is made of.
type Checks struct {
	Worst     grade.Status // of all checks but those that the allowed power takes care of, excursion and port speed
	Share     float64      // of P0 that is allowed; 1 where it is not known
	Unchecked bool         // excursion, port speed, power or load was not checked for want of a datum
}

// Decide gives the verdict.
func (m *Model) Decide(c Checks) Verdict {
	switch {
	case c.Worst == grade.Fail || !grade.AtLeast(c.Share, m.grades[grade.LeastShare].Value()):
		return DoesNotSuit
	case !grade.AtLeast(c.Share, m.grades[grade.CautionShare].Value()):
		return SuitsAtPower
	case c.Unchecked:
		return SuitsAsFarAsChecked
	case c.Worst == grade.Marginal || !grade.AtLeast(c.Share, 1):
		return SuitsWithCautions
	}
	return Suits
}

// Grade is the grades of an evaluation that the sound alone decides.
type Grade struct {
	Qtc, Peak, Dip grade.Status
	Excursion      grade.Status // at P0; NotChecked without Xmax or an amplifier
	Speed          grade.Status // at P0; NotChecked without a port or an amplifier
	Duct           grade.Status // of a port
	Power, Load    grade.Status
}

// GradeOf grades an evaluation.
func (m *Model) GradeOf(c Candidate, e Evaluation) Grade {
	g := &m.grades
	var out Grade
	if c.Kind == Sealed {
		out.Qtc = grade.Between(g[grade.QtcLow], g[grade.QtcHigh], e.Figures.Qtc)
	} else {
		out.Peak, out.Dip = g[grade.Peak].Grade(e.Figures.Peak), g[grade.Dip].Grade(e.Figures.Dip)
	}
	driven := m.power.volts > 0
	if x := m.Driver.Xmax; x > 0 && driven {
		out.Excursion = g[grade.Excursion].Scaled(e.Excursion, x)
		if y := m.Radiator.Xmax; c.Kind == Passive && y > 0 {
			out.Excursion = max(out.Excursion, g[grade.Excursion].Scaled(e.Radiator, y))
		}
	}
	if c.Kind == Vented && c.Port.Count > 0 {
		base := m.filters.base
		if base == 0 {
			base = g[grade.DuctBase].Value()
		}
		out.Duct = g[grade.DuctResonance].Grade(m.Air.SoundSpeed / (2 * c.Port.Length) / base)
		if driven && e.SpeedAllowed > 0 {
			out.Speed = g[grade.PortSpeed].Scaled(e.Speed, e.SpeedAllowed)
		}
	}
	if rated := m.Driver.Power; rated > 0 && m.power.amp > 0 {
		out.Power = g[grade.DeliveredPower].Scaled(m.power.amp, rated)
	}
	if z, least := m.Driver.Impedance, m.Amplifier.LeastLoad; z > 0 && least > 0 {
		out.Load = g[grade.LoadAsWired].Scaled(z, least)
	}
	return out
}

// Checks sums the grades up with the worst of all others (wood, room, passage).
func (g Grade) Checks(c Candidate, e Evaluation, others grade.Status) Checks {
	out := Checks{Worst: max(others, g.Qtc, g.Peak, g.Dip, g.Duct, g.Power, g.Load), Share: 1}
	if e.Settings.Full > 0 {
		out.Share = e.Settings.Allowed / e.Settings.Full
	}
	out.Unchecked = min(g.Excursion, g.Power, g.Load) == grade.NotChecked || c.Kind == Vented && g.Speed == grade.NotChecked
	if e.Settings.HighPass > 0 {
		out.Worst = max(out.Worst, grade.Marginal)
	}
	return out
}
