package design

import (
	"context"
	"math"

	"cubby/internal/thielesmall"
)

// sealed listens to a sealed box.
func (h *hunt) sealed(v float64) candidate {
	c := candidate{kind: Sealed, volume: v, stock: none}
	h.audition.Hear(v, 0, 0, h.ear.answers)
	h.listen(0)
	c.sound = h.through(1)
	c.sound.qtc = h.set.QtsWith(h.source) * math.Sqrt(1+h.set.Vas(h.air)/v)
	h.penalise(&c.sound, Sealed)
	return c
}

// ventedAt listens to a vented box once and adds to found a candidate for each of the ducts, by their stock numbers from
// first to before last, that can tune it.
func (h *hunt) ventedAt(found []candidate, v, fb float64, first, last int) []candidate {
	before := len(found)
	for k := first; k < last; k++ {
		c := candidate{kind: Vented, volume: v, fb: fb, duct: h.ducts[k], stock: k}
		if h.fitDuct(&c) {
			found = append(found, c)
		}
	}
	if len(found) == before {
		return found
	}
	h.audition.Hear(v, fb, ventedLeakQ, h.ear.answers)
	h.listen(fb)
	for i := before; i < len(found); i++ {
		c := &found[i]
		c.sound = h.through(float64(c.duct.count) * c.duct.area())
		h.penalise(&c.sound, Vented)
	}
	return found
}

// fitDuct sets the length that tunes the candidate and reports whether such a port is sensible at all.
func (h *hunt) fitDuct(c *candidate) bool {
	m := h.mouths[c.stock]
	if c.duct.full {
		if m = h.fullWidth(c); m.area <= 0 {
			return false
		}
	}
	length, ok := thielesmall.PortLength(h.air, c.volume, c.fb, m.area, 1, m.ends)
	if !ok || length < h.rooms[0].spec.Wood.Thickness {
		return false
	}
	c.length, c.taken = length, c.duct.displacement(length, h.req.Wood.Thickness)
	resonance := h.air.SoundSpeed / (2 * (length + m.ends))
	return resonance >= ductMargin*h.ductLimit() && m.area*length <= portAirShare*c.volume
}

// widenings is how often the width of a full-width slot and of the box that holds it too are worked out in turn: each time
// the error falls to the share of the air that a slot takes, a quarter or so.
const widenings = 4

// fullWidth gives a slot as wide as the inside its width: that of the simplest room's box that holds the candidate's air and
// the slot itself. The exact width comes with the wood.
func (h *hunt) fullWidth(c *candidate) mouth {
	m, taken := mouth{}, 0.0
	for range widenings {
		r := h.simplest(c.volume + taken)
		if r == nil {
			return mouth{}
		}
		board := r.spec.Wood.Thickness
		c.duct = c.duct.within(r.widthFor(c.volume+taken)-2*board, board)
		if c.duct.width < c.duct.height {
			return mouth{}
		}
		e := c.duct.ends(0)
		m = mouth{e[0] + e[1], c.duct.area()}
		length, ok := thielesmall.PortLength(h.air, c.volume, c.fb, m.area, 1, m.ends)
		if !ok {
			return mouth{}
		}
		taken = c.duct.displacement(length, board)
	}
	return m
}

// simplest is the simplest room that holds so much air; nil when none does.
func (h *hunt) simplest(air float64) *room {
	for i := range h.rooms {
		if air <= h.rooms[i].netAtFull {
			return &h.rooms[i]
		}
	}
	return nil
}

// ductLimit is the pass figure of the first duct resonance, Hz.
func (p *plant) ductLimit() float64 {
	if p.lowPass > 0 {
		return ductFactor * p.lowPass
	}
	return ductFloor
}

// listenAll gives the candidates of a kind that the search starts from.
func (h *hunt) listenAll(ctx context.Context, kind Kind) ([]candidate, error) {
	var all []candidate
	tuneLo, tuneHi := h.tuningRange()
	for _, v := range h.volumes() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if kind == Sealed {
			all = append(all, h.sealed(v))
			continue
		}
		for _, fb := range spread(tuneLo, tuneHi, tuningSteps) {
			all = h.ventedAt(all, v, fb, 0, len(h.ducts))
		}
	}
	return all, nil
}
