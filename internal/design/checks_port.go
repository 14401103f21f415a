package design

import (
	"fmt"

	"cubby/internal/grade"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// SpeedCheck names the check of the air in the ports.
const SpeedCheck = "port air speed at full power"

// checkPortSpeed is the row on the air in the ports at P0.
func (h *rig) checkPortSpeed(p performance) Check {
	v, most, full := p.Evaluation.Speed, p.Evaluation.SpeedAllowed, p.Evaluation.Settings.Full
	if full == 0 {
		return notChecked(SpeedCheck, "the amplifier's power and load are not stated")
	}
	if p.Port.Implied {
		return notChecked(SpeedCheck, "the port is claimed, not described: ask for its size and length")
	}
	c := row(SpeedCheck, h.grades[grade.PortSpeed].Scaled(v, most), v, most, "m/s",
		fmt.Sprintf("%.1f m/s peak with a full sine of %.0f W%s; %.1f m/s for this edge, tuning and size (common practice)", v, full, behind(&p.Evaluation), most))
	s := most / v
	if c.Status != panels.Pass {
		c.Setting = limitTo(full * s * s)
		if !h.brief {
			c.Setting = joinAlternatives(c.Setting, h.widen(p))
		}
	}
	if !h.brief && v > 0 {
		p.Port.SpeedAt, p.Port.OverOnset = h.jet(p.Port, p.Circuit)
		c.Note += fmt.Sprintf("; %.1f times what a sharp mouth bears before a jet leaves it, at %.0f Hz", p.Port.OverOnset, p.Port.SpeedAt)
	}
	if v > audible {
		c.Note += "; above 20 m/s it is heard, and the level at the tuning comes out lower than computed"
	}
	return c
}

// jet is where the air of a port is fastest, Hz, and how many times that speed is the one at which a jet begins to leave its mouth.
func (h *rig) jet(p *PortDesign, c *thielesmall.Circuit) (at, over float64) {
	top := 0.0
	for _, f := range logGrid(h.grades[grade.LowestJudged].Value(), 100, 200) {
		if v := c.At(f, 1).PortSpeed; v > top {
			top, at = v, f
		}
	}
	onset := h.grades.JetOnset(at, p.Bore)
	if p.Bore == 0 {
		onset = h.grades.JetOnsetSlot(at, p.Height)
	}
	return at, p.SpeedAtLimit / onset
}

// audible is the port air speed above which noise is heard whatever the edge, m/s (common practice, no published limit).
const audible = 20.0

func (h *rig) checkDuct(p performance) Check {
	rule := h.grades[grade.DuctResonance]
	base, what := h.lowPass, "the low-pass"
	if base == 0 {
		base, what = h.grades[grade.DuctBase].Value(), "the usual low-pass (none is stated)"
	}
	f := p.Figures.DuctResonance
	c := row("first duct resonance", rule.Grade(f/base), f, rule.Pass*base, "Hz",
		fmt.Sprintf("the port sings at %.0f Hz, %.1f times %s", f, f/base, what))
	if c.Status != panels.Pass {
		c.Setting = fmt.Sprintf("set the low-pass to %.0f Hz or lower", f/rule.Pass)
	}
	return c
}
