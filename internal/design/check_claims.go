package design

import (
	"fmt"
	"math"

	"cubby/internal/panels"
)

// checkClaim compares a claimed net volume with what the outside can hold.
func (h *rig) checkClaim(b ReadyBox, a readyAir) Check {
	const name = "net volume"
	switch {
	case b.NetVolume == 0:
		return told(name, fmt.Sprintf("%s net, %s: none is claimed", h.volume(a.net), a.source))
	case math.IsNaN(a.inside) && b.Section != nil:
		return h.claimByWalls(b)
	case math.IsNaN(a.inside):
		return notChecked(name, "needs the box's outside and wall, to compare the claim with them")
	}
	off := 100 * (b.claimed()/a.fromOutside - 1)
	c := row(name, panels.Pass, b.claimed(), a.fromOutside, "m3", fmt.Sprintf("%s net is claimed; the outside and the wall give %s after driver and port (%+.0f %%)",
		h.volume(b.claimed()), h.volume(a.fromOutside), off))
	switch {
	case b.claimed() > a.inside*(1+slack):
		c.Status = panels.Fail
		c.Note = fmt.Sprintf("%s net is claimed, but the inside is only %s before driver and port: both cannot be true", h.volume(b.claimed()), h.volume(a.inside))
	case math.Abs(off) > claimTolerance:
		c.Status = panels.Marginal
		c.Setting = "measure the inside, or fill it with dry rice or beads and measure those; the claim is what is used here"
	}
	return c
}

// claimTolerance is how far a claim may be from what is computed before it is a caution, per cent. Braces and a thicker
// front take about that from a volume; ends that are not quite as stated move a tuning by about as much (common practice).
const claimTolerance = 10

// checkTuning compares a claimed tuning with that of the port as it is described; ok is false unless both are stated.
func (h *rig) checkTuning(b ReadyBox, fb float64) (c Check, ok bool) {
	claim := b.Port.Tuning
	if claim == 0 || b.Port.area() == 0 || b.Port.Length == 0 {
		return Check{}, false
	}
	off := 100 * (fb/claim - 1)
	c = row("claimed tuning", panels.Pass, fb, claim, "Hz", fmt.Sprintf("%.1f Hz is claimed; the port as described tunes the box to %.1f Hz (%+.0f %%)", claim, fb, off))
	if math.Abs(off) > claimTolerance*(1+slack) {
		c.Status = panels.Marginal
		c.Setting = "measure the port again, or sweep the box's impedance (cubby measured); the port as described is what is used here"
	}
	return c, true
}

// longestInside is the longest size of a box inside, m; 0 when it is not known.
func (b ReadyBox) longestInside() float64 {
	if b.Section == nil || b.Wall == 0 {
		return 0
	}
	s := b.Section.Bounds()
	return max(b.Width, s.Width(), s.Height()) - 2*b.Wall
}
