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
		c.sound = h.through(h.mouths[c.stock].area)
		h.penalise(&c.sound, Vented)
	}
	return found
}

// fitDuct sets the length that tunes the candidate and reports whether such a port is sensible at all.
func (h *hunt) fitDuct(c *candidate) bool {
	m := h.mouths[c.stock]
	length, ok := thielesmall.PortLength(h.air, c.volume, c.fb, m.area, 1, m.ends)
	if !ok || length < h.rooms[0].spec.Wood.Thickness {
		return false
	}
	c.length, c.taken = length, c.duct.displacement(length, h.req.Wood.Thickness)
	resonance := h.air.SoundSpeed / (2 * (length + m.ends))
	return resonance >= ductMargin*h.ductLimit() && m.area*length <= portAirShare*c.volume
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
