package design

import (
	"fmt"
	"math"

	"cubby/internal/panels"
)

// Walls between which a ready-made box of unstated wall is taken to lie, m (common practice: boxes as sold are of 12 to
// 25 mm board).
const thinWall, thickWall = 0.012, 0.025

// byWalls gives a box of which only the outside is known as two, with thin and with thick walls; any other box as it is.
func (p *rig) byWalls(b ReadyBox) []ReadyBox {
	if b.NetVolume > 0 || b.Section == nil || b.Wall > 0 {
		return []ReadyBox{b}
	}
	p.assume("%s: its wall is not stated: judged with %s and with %s, between which walls of ready-made boxes lie", title(b), p.length(thinWall), p.length(thickWall))
	var both []ReadyBox
	for _, wall := range []float64{thinWall, thickWall} {
		x := b
		x.Wall, x.Name = wall, fmt.Sprintf("%s, %s walls", title(b), p.length(wall))
		both = append(both, x)
	}
	return both
}

// otherWays gives what else a judged box is when a claimed figure differs from the described one: with the tuning as claimed
// instead of the port's length, and with the volume by its outside instead of the claim.
func (p *rig) otherWays(b ReadyBox, j Judged) []ReadyBox {
	const share = claimTolerance / 100.0
	var others []ReadyBox
	if claim := b.Port.Tuning; claim > 0 && b.Port.Length > 0 && j.Figures.Fb > 0 && math.Abs(j.Figures.Fb/claim-1) > share*(1+slack) {
		x := b
		x.Port.Length, x.Name = 0, title(b)+", tuned as claimed"
		others = append(others, x)
	}
	if b.NetVolume > 0 && b.Rear == 0 && b.Section != nil && b.Wall > 0 {
		if a, err := p.airOf(b); err == nil && a.fromOutside > 0 && math.Abs(b.NetVolume/a.fromOutside-1) > share*(1+slack) {
			x := b
			x.NetVolume, x.Name = 0, title(b)+", volume by its outside"
			others = append(others, x)
		}
	}
	return others
}

// claimByWalls compares a claimed net volume with what the outside leaves between thin and thick walls.
func (h *rig) claimByWalls(b ReadyBox) Check {
	const name = "net volume"
	var air [2]float64 // with thick walls and with thin ones
	for i, wall := range []float64{thickWall, thinWall} {
		x := b
		x.Wall = wall
		a, err := h.airOf(x)
		if err != nil {
			return notChecked(name, "needs the box's wall, to compare the claim with its outside")
		}
		air[i] = math.Max(0, a.fromOutside)
	}
	c := row(name, panels.Pass, b.claimed(), air[1], "m3", fmt.Sprintf("%s net is claimed; the outside gives %s with walls of %s and %s with walls of %s, after driver and port",
		h.volume(b.claimed()), h.volume(air[1]), h.length(thinWall), h.volume(air[0]), h.length(thickWall)))
	const share = claimTolerance / 100.0
	if b.claimed() > air[1]*(1+share) || b.claimed() < air[0]*(1-share) {
		c.Status = panels.Marginal
		c.Setting = "measure the wall and state it; the claim is what is used here"
	}
	return c
}
