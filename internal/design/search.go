package design

import (
	"context"
	"fmt"
	"math"

	"cubby/internal/thielesmall"
)

// Extent of the search. Volumes and tunings are spaced evenly in their logarithm, then refined about the best.
const (
	volumeSteps  = 28
	tuningSteps  = 18
	lowestTuning = 18.0 // Hz; lower tunings serve no programme in a vehicle (common practice)
	highTuning   = 62.0 // Hz
	smallest     = 0.08 // of the largest room: smaller boxes are never the answer to an aim
	refinements  = 9    // halvings of the step about the best: 1/512 of a grid step
	portAirShare = 0.25 // of the net volume, most that the air in the ports may be (common practice)
	ductFactor   = 2.5  // first duct resonance over low-pass
	ductMargin   = 1.01 // so that the box as built, a little smaller or larger than sought, still passes
	speedMargin  = 0.97 // likewise of the port speed: the search hears every port of a tuning as one of the same length
	ductFloor    = 200  // Hz, first duct resonance when no low-pass is stated
	compactLoss  = 1.5  // dB of M(20,40) that aim compact may give up
	shorterPort  = 0.98 // of the length sought: tried next when the wood, with its true end corrections, has no place for it
	mostAttempts = 60   // candidates of one kind that are tried in wood before the kind is given up
)

// A hunt is the search over one kind of box in the rooms of one space.
type hunt struct {
	*plant
	rooms     []room
	ducts     []duct
	mouths    []mouth
	leastLow  float64     // aim compact
	longest   [][]float64 // by room and stock number: longest port that could be placed; +Inf not known
	audition  *thielesmall.Audition
	ceilings  thielesmall.Ceilings
	stated    []float64 // square on searchGrid of the magnitude of the job's filters
	reference float64   // Pa^2 for one volt, see Figures.Reference
	ear       hearing
}

// A mouth is what the search needs again and again of a duct.
type mouth struct {
	ends float64 // m, both corrections together, in a large box
	area float64 // m2, of all
}

// none is the stock number of a sealed box, beside those of the ducts.
const none = -1

// nominalLength is the length of the plain duct that stands for all ports of one volume and tuning while the search
// looks round; only the port's speed depends on its area, and that scales.
const nominalLength = 0.3

func newHunt(p *plant, rooms []room) *hunt {
	h := &hunt{
		plant: p, rooms: rooms, ducts: ductsFor(p.req.Units), leastLow: math.Inf(-1), ear: newHearing(),
		audition: thielesmall.NewAudition(p.set, p.air, p.source, nominalLength, searchGrid), ceilings: p.limits.Ceilings(),
		stated: p.statedFilters(), reference: thielesmall.LevelSquare(p.set.ReferenceLevel(p.air, 1, p.source)),
	}
	for _, d := range h.ducts {
		e := d.ends(0)
		h.mouths = append(h.mouths, mouth{e[0] + e[1], float64(d.count) * d.area()})
	}
	h.longest = make([][]float64, len(rooms))
	for i := range rooms {
		h.longest[i] = make([]float64, len(h.ducts))
		for k := range h.longest[i] {
			h.longest[i][k] = math.Inf(1)
		}
	}
	return h
}

// largest is the most net air that any room offers.
func (h *hunt) largest() float64 {
	most := 0.0
	for _, r := range h.rooms {
		most = max(most, r.netAtFull)
	}
	return most
}

// volumes are the net volumes that the search begins with: an even spread, and the most that each room gives.
func (h *hunt) volumes() []float64 {
	lo, hi := h.volumeRange()
	if lo > hi {
		return nil
	}
	v := spread(lo, hi, volumeSteps)
	for _, r := range h.rooms {
		if r.netAtFull > lo && r.netAtFull < hi {
			v = append(v, r.netAtFull)
		}
	}
	return v
}

// volumeRange is from the smallest to the largest net volume that may be chosen: what the rooms give, within the job's
// wish. The least is above the most when the space is too small for the wish.
func (h *hunt) volumeRange() (lo, hi float64) {
	hi = h.largest()
	lo = h.leastUseful(hi)
	wish := h.req.Limits.Volume
	if wish[0] > 0 {
		lo = wish[0]
	}
	if wish[1] > 0 {
		hi = min(hi, wish[1])
		lo = min(lo, wish[1])
	}
	return lo, hi
}

// leastUseful is the smallest net volume that is of any use: in which a sealed box would just fail on its Qtc, or a share
// of the largest room when that is less.
func (p *plant) leastUseful(largest float64) float64 {
	least := smallest * largest
	if tight, err := thielesmall.SealedVolume(p.set, p.air, p.source, p.pass.qtcFail); err == nil {
		least = min(least, tight)
	}
	return least
}

// tuningRange is from the lowest to the highest tuning that may be chosen.
func (h *hunt) tuningRange() (lo, hi float64) {
	lo, hi = lowestTuning, highTuning
	if w := h.req.Limits.Tuning; w[0] > 0 {
		lo, hi = w[0], max(w[0], w[1])
	}
	return lo, hi
}

// spread is a logGrid, or the one value when the ends meet.
func spread(lo, hi float64, n int) []float64 {
	if hi <= lo*(1+slack) {
		return []float64{lo}
	}
	return logGrid(lo, hi, n)
}

// within reports whether a candidate is what the job asks for.
func (h *hunt) within(c candidate) bool {
	inside := func(v, lo, hi float64) bool { return v >= lo*(1-slack) && v <= hi*(1+slack) }
	lo, hi := h.volumeRange()
	if !inside(c.volume, lo, hi) {
		return false
	}
	lo, hi = h.tuningRange()
	return c.kind == Sealed || inside(c.fb, lo, hi)
}

// roomFor gives the simplest room that holds the candidate with its ports; -1 when none does.
func (h *hunt) roomFor(c candidate) int {
	for i, r := range h.rooms {
		if c.kind == Vented && c.length > h.longest[i][c.stock] {
			continue
		}
		if need := c.volume + c.taken; need <= r.netAtFull*(1+slack) && need >= r.netAtLeast*(1-slack) {
			return i
		}
	}
	return -1
}

func circleArea(diameter float64) float64 { return math.Pi * diameter * diameter / 4 }

// rate gives the candidate's score and its room; -Inf when it may not be chosen.
func (h *hunt) rate(c candidate) (float64, int) {
	worst := math.Inf(-1)
	if c.sound.infeasible != "" || !h.within(c) {
		return worst, -1
	}
	i := h.roomFor(c)
	if i < 0 {
		return worst, -1
	}
	gross := h.rooms[i].gross(c.volume + c.taken)
	return h.req.Aim.score(c.sound, gross, h.leastLow), i
}

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

// best gives the index of the candidate with the highest score among those allowed; -1 when none may be chosen.
func (h *hunt) best(all []candidate, allowed func(candidate) bool) int {
	found, top := -1, math.Inf(-1)
	for i, c := range all {
		if allowed != nil && !allowed(c) {
			continue
		}
		if s, _ := h.rate(c); s > top {
			found, top = i, s
		}
	}
	return found
}

// refine moves a candidate to the best volume and tuning near it with the same port, then to the smallest volume that
// ties with it.
func (h *hunt) refine(c candidate, allowed func(candidate) bool) candidate {
	rate := func(q candidate) float64 {
		if allowed != nil && !allowed(q) {
			return math.Inf(-1)
		}
		s, _ := h.rate(q)
		return s
	}
	one := make([]candidate, 1)
	at := func(v, fb float64) candidate {
		if c.kind == Sealed {
			return h.sealed(v)
		}
		if q := h.ventedAt(one[:0], v, fb, c.stock, c.stock+1); len(q) == 1 {
			return q[0]
		}
		return candidate{kind: Vented, stock: c.stock, sound: sound{infeasible: "no length"}}
	}
	top := rate(c)
	stepV := math.Pow(1/smallest, 1/float64(volumeSteps-1))
	stepF := math.Pow(highTuning/lowestTuning, 1/float64(tuningSteps-1))
	for range refinements {
		stepV, stepF = math.Sqrt(stepV), math.Sqrt(stepF)
		moves := [][2]float64{{stepV, 1}, {1 / stepV, 1}}
		if c.kind == Vented {
			moves = append(moves, [2]float64{1, stepF}, [2]float64{1, 1 / stepF})
		}
		for _, m := range moves {
			q := at(c.volume*m[0], c.fb*m[1])
			if s := rate(q); s > top {
				c, top = q, s
			}
		}
	}
	return h.shrink(c, top, at, rate)
}

// shrink gives the smallest box, same tuning and port, whose score ties with that of c.
func (h *hunt) shrink(c candidate, top float64, at func(v, fb float64) candidate, rate func(candidate) float64) candidate {
	tie := h.req.Aim.tie(top)
	lo, _ := h.volumeRange()
	hi := c.volume
	for range 12 {
		mid := math.Sqrt(lo * hi)
		if q := at(mid, c.fb); rate(q) >= top-tie {
			c, hi = q, mid
		} else {
			lo = mid
		}
	}
	return c
}

// find gives the best design of a kind that can be built, and how the search ended.
func (h *hunt) find(ctx context.Context, kind Kind) (*Design, Outcome, error) {
	outcome := Outcome{Kind: kind}
	all, err := h.listenAll(ctx, kind)
	if err != nil {
		return nil, outcome, err
	}
	h.setFloor(all)
	quiet := func(c candidate) bool { return c.sound.portSpeed <= speedMargin*h.pass.portSpeed }
	d, reason := h.realiseBest(ctx, all, quiet)
	outcome.Status = "found"
	if d == nil && kind == Vented && ctx.Err() == nil {
		refusal := reason
		if d, reason = h.realiseBest(ctx, all, nil); d != nil {
			outcome.Status = "limited"
			reason = fmt.Sprintf("no box keeps the port's air under %.3g m/s, so the marginal figure was allowed", h.pass.portSpeed)
			if refusal != "" {
				reason += "; the last one tried: " + refusal
			}
		}
	}
	if d == nil {
		outcome.Status = "impossible"
	}
	if reason == "" && d == nil {
		reason = h.whyNone(all, kind)
	}
	outcome.Reason = reason
	return d, outcome, ctx.Err()
}

// setFloor sets, for aim compact, the deep output that a box must keep: that of the sealed box that aim low would choose,
// less compactLoss, or of the best box of all where no sealed one is feasible. The first kind that has a feasible box sets
// it; sealed comes first.
func (h *hunt) setFloor(all []candidate) {
	if h.req.Aim != Compact || !math.IsInf(h.leastLow, -1) {
		return
	}
	top := math.Inf(-1)
	for _, c := range all {
		if c.sound.infeasible != "" || h.roomFor(c) < 0 {
			continue
		}
		if s := Low.score(c.sound, 0, 0); s > top {
			top, h.leastLow = s, c.sound.meanLow-compactLoss
		}
	}
}

// realiseBest builds the best allowed candidate; when wood or port do not fit it takes the next best.
func (h *hunt) realiseBest(ctx context.Context, all []candidate, allowed func(candidate) bool) (*Design, string) {
	reason := ""
	banned := map[[2]int]bool{}
	may := func(c candidate) bool {
		if allowed != nil && !allowed(c) {
			return false
		}
		return !banned[[2]int{h.roomFor(c), c.stock}]
	}
	for range mostAttempts {
		i := h.best(all, may)
		if i < 0 || ctx.Err() != nil {
			break
		}
		c := h.refine(all[i], may)
		_, at := h.rate(c)
		d, err := h.realise(c, at)
		if err == nil {
			return d, ""
		}
		reason = err.Error()
		if most, ok := longestPort(err); ok {
			h.longest[at][c.stock] = min(most, shorterPort*c.length)
			continue
		}
		banned[[2]int{at, c.stock}] = true
	}
	return nil, reason
}

// whyNone says what ruled out most candidates of a kind.
func (h *hunt) whyNone(all []candidate, kind Kind) string {
	if lo, hi := h.volumeRange(); lo > hi {
		return fmt.Sprintf("the space gives at most %s of net air, less than the %s wished for", h.volume(hi), h.volume(lo))
	}
	if len(all) == 0 {
		return fmt.Sprintf("no stock port tunes a %s box in this space: the port would be too long for the box, or swallow more than a quarter of its air", kind)
	}
	counts := map[string]int{}
	worst := ""
	for _, c := range all {
		why := c.sound.infeasible
		if why == "" {
			why = "space"
		}
		counts[why]++
		if counts[why] > counts[worst] || counts[why] == counts[worst] && why < worst {
			worst = why
		}
	}
	if worst == "space" {
		return fmt.Sprintf("no %s box within the limits fits the air that the space gives", kind)
	}
	text := fmt.Sprintf("every %s box in this space goes beyond the limit of %s", kind, worst)
	if most := h.powerWithin(all); worst == "excursion" && most > 0 {
		text += fmt.Sprintf("; limit the amplifier to about %.0f W, or state a high-pass", most)
	}
	return text
}

// powerWithin is the amplifier's power at which the best of the candidates would just not fail on excursion, W; 0 when it
// cannot be said.
func (h *hunt) powerWithin(all []candidate) float64 {
	if h.set.Xmax == 0 || h.volts == 0 {
		return 0
	}
	least := math.Inf(1)
	for _, c := range all {
		least = math.Min(least, c.sound.excursion)
	}
	share := h.excursionFail() / least
	most := h.req.Amplifier.Power * share * share
	if rated := h.set.Power; rated > 0 {
		most = math.Min(most, rated) // more would hold the cone but burn the coil
	}
	return most
}
