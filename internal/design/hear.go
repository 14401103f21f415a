package design

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// sealed listens to a sealed box.
func (h *hunt) sealed(v float64) candidate {
	c := candidate{volume: v, stock: none}
	h.audition.Hear(v, 0, 0, h.ear.answers)
	h.listen(0)
	h.ear.sound.qtc = h.set.QtsWith(h.source) * math.Sqrt(1+h.set.Vas(h.air)/v)
	c.sound = h.through(1, Sealed)
	return c
}

// ventedAt listens to a vented box once and adds to found a candidate for each of the ducts, by their stock numbers from
// first to before last, that can tune it and is sensible; none where no port would make it score as much as the bar.
func (h *hunt) ventedAt(found []candidate, v, fb float64, first, last int, bar float64) []candidate {
	before := len(found)
	h.narrowestFor(v)
	k := h.air.SoundSpeed / (2 * math.Pi * fb)
	perArea := k * k / v // of length with ends, m per m2, see thielesmall.PortLength
	heard := false
	for i := first; i < last; i++ {
		d, m := h.ducts[i], h.mouths[i]
		if d.full && h.narrow[i]*perArea > h.longestDuct {
			continue // plainly too long
		}
		if !d.full && h.unfit(m, perArea, v) {
			continue
		}
		if !heard && !math.IsInf(bar, -1) {
			if heard = h.reaches(v, fb, bar); !heard {
				return found
			}
		}
		if d.full {
			if d, m = h.fullWidth(d, v, perArea); m.area <= 0 || h.unfit(m, perArea, v) {
				continue
			}
		}
		length := m.area*perArea - m.ends
		found = append(found, candidate{
			volume: v, fb: fb, duct: d, stock: i, length: length, taken: d.displacement(length, h.req.Wood.Thickness),
		})
	}
	if len(found) == before {
		return found
	}
	if !heard {
		h.hearVented(v, fb)
	}
	for i := before; i < len(found); i++ {
		c := &found[i]
		c.sound = h.through(float64(c.duct.count)*c.duct.area(), Vented)
	}
	return found
}

// hearVented listens to a vented box, whatever its port.
func (h *hunt) hearVented(v, fb float64) {
	h.audition.Hear(v, fb, ventedLeakQ, h.ear.answers)
	h.listen(fb)
}

// reaches listens to a vented box, as far as it takes to tell whether it can score as much as the bar with some port.
func (h *hunt) reaches(v, fb, bar float64) bool {
	if h.glimpse(v, fb) < bar {
		return false
	}
	h.hearVented(v, fb)
	return h.hope() >= bar
}

// unfit reports whether a port is not sensible: shorter than the board, of too low a resonance, or too large for the box.
func (h *hunt) unfit(m mouth, perArea, v float64) bool {
	effective := m.area * perArea
	length := effective - m.ends
	return length < h.rooms[0].spec.Wood.Thickness || effective > h.longestDuct || m.area*length > portAirShare*v
}

// glimpse is more than a vented box can score, whatever its port: where the aim goes by a mean, that of its band alone.
func (h *hunt) glimpse(v, fb float64) float64 {
	var band [2]int
	switch h.req.Aim {
	case Low:
		band = lowBand
	case Loud:
		band = loudBand
	default:
		return math.Inf(1)
	}
	h.audition.HearFrom(band[0], v, fb, ventedLeakQ, h.ear.answers[band[0]:band[1]])
	h.driveIn(band, h.corner(fb))
	return h.meanMaximum(band, math.Inf(1))
}

// hope is the most that a vented box just listened to can score, whatever its port; -Inf when it may not be chosen.
func (h *hunt) hope() float64 {
	s := h.through(math.Inf(1), Vented)
	if s.beyond != nothing {
		return math.Inf(-1)
	}
	return h.req.Aim.score(s, 0, h.leastLow)
}

// widenings is how often the width of a full-width slot and of the box that holds it too are worked out in turn: each time
// the error falls to the share of the air that a slot takes, a quarter or so.
const widenings = 4

// finShare is more than a slot can become narrower by again when it gets one fin more.
const finShare = 1.1

// fullWidth gives a slot as wide as the inside its width: that of the simplest room's box that holds the air v and the slot
// itself. perArea is the length with ends that tunes it, m per m2. The exact width comes with the wood.
func (h *hunt) fullWidth(d duct, v, perArea float64) (duct, mouth) {
	m, taken := mouth{}, 0.0
	for range widenings {
		r := h.simplest(v + taken)
		if r == nil {
			return d, mouth{}
		}
		board := r.spec.Wood.Thickness
		d = d.within(r.widthFor(v+taken)-2*board, board)
		if d.width < d.height {
			return d, mouth{}
		}
		m = mouth{h.slotEnds(d), d.area()}
		length := m.area*perArea - m.ends
		if length < 0 || m.area*perArea > finShare*h.longestDuct || m.area*length > finShare*portAirShare*v {
			return d, mouth{} // too long or too large already, and each turn makes it wider
		}
		taken = d.displacement(length, board)
	}
	return d, m
}

// Spacing and extent of the table of end corrections of wide slots, m. Between two of its points a correction, which goes
// with the logarithm of the width, is straight to some micrometres from the width at which slots begin.
const (
	slotStep = 0.01
	slotMost = 3.0
)

// slotEnds is the sum of the end corrections of a slot in a large box, m, from a table.
func (h *hunt) slotEnds(d duct) float64 {
	exact := func(w float64) float64 {
		d.width = w
		e := d.ends(0)
		return e[0] + e[1]
	}
	x := d.width / slotStep
	i := int(x)
	if x < 5 || d.width >= slotMost {
		return exact(d.width)
	}
	table := h.slots[d.height]
	if table == nil {
		table = make([]float64, int(slotMost/slotStep)+2)
		h.slots[d.height] = table
	}
	for k := i; k <= i+1; k++ {
		if table[k] == 0 {
			table[k] = exact(float64(k) * slotStep)
		}
	}
	return table[i] + (x-float64(i))*(table[i+1]-table[i])
}

// narrowestFor works out how narrow a slot as wide as the inside can be in a box that holds the air v, for each stock number
// that is one: in the narrowest of the given rooms, with a fin more than there are.
func (h *hunt) narrowestFor(v float64) {
	if h.narrowFor == v {
		return
	}
	h.narrowFor = v
	for k, d := range h.ducts {
		if !d.full {
			continue
		}
		least := math.Inf(1)
		for i := range h.given {
			if r := &h.rooms[i]; v <= r.netAtFull {
				board := r.spec.Wood.Thickness
				least = min(least, d.within(r.widthFor(v)-2*board, board).width-board)
			}
		}
		h.narrow[k] = d.height * least
	}
}

// simplest is the simplest room that holds so much air; nil when none does.
func (h *hunt) simplest(air float64) *room {
	for i := range h.given {
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

// A shelf keeps the memory of a search's candidates for the next search by the same worker.
type shelf map[Kind][]candidate

func (s shelf) take(k Kind) []candidate {
	if all := s[k]; all != nil {
		return all[:0]
	}
	return make([]candidate, 0, 1<<12)
}

func (s shelf) keep(k Kind, all []candidate) { s[k] = all }

// listenAll gives the candidates of a kind that the search starts from; where only the best ports matter, without some that
// come after theirs.
func (h *hunt) listenAll(ctx context.Context, kind Kind) ([]candidate, error) {
	all := h.shelf.take(kind)
	defer func() { h.shelf.keep(kind, all) }()
	tuneLo, tuneHi := h.tuningRange()
	tunings := spread(tuneLo, tuneHi, h.steps[1])
	volumes := h.volumes(kind)
	if h.only > 0 { // the larger first, which mostly are the louder
		slices.SortFunc(volumes, func(a, b float64) int { return -cmp.Compare(a, b) })
	}
	bar := bar{height: h.bar}
	for _, v := range volumes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if kind == Sealed {
			all = append(all, h.sealed(v))
			continue
		}
		for _, fb := range tunings {
			first := len(all)
			all = h.ventedAt(all, v, fb, 0, len(h.ducts), bar.height)
			if h.only > 0 {
				bar.raise(h, all[first:])
			}
		}
	}
	return all, nil
}

// A bar is what a candidate must score to count among the best of the most promising ports.
type bar struct {
	height float64
	best   []float64 // by stock number
}

// raise takes account of new candidates.
func (b *bar) raise(h *hunt, more []candidate) {
	if b.best == nil {
		b.best = make([]float64, len(h.ducts))
		for i := range b.best {
			b.best[i] = math.Inf(-1)
		}
	}
	raised := false
	for i := range more {
		c := &more[i]
		if s, at := h.rate(c, nil, b.best[c.stock]); at >= 0 {
			b.best[c.stock], raised = s, true
		}
	}
	if !raised {
		return
	}
	sorted := slices.Sorted(slices.Values(b.best))
	b.height = math.Max(b.height, sorted[max(0, len(sorted)-h.only)])
}
