package design

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/thielesmall"
)

// Extent of the search. Volumes and tunings are spaced evenly in their logarithm, then refined about the best.
const (
	volumeSteps  = 28
	tuningSteps  = 18
	sealedSteps  = 100  // of a sealed box, which is heard once a volume: between Qtc and excursion there may be a narrow band
	lowestTuning = 18.0 // Hz; lower tunings serve no programme in a vehicle (common practice)
	highTuning   = 62.0 // Hz
	smallest     = 0.08 // of the largest room: smaller boxes are never the answer to an aim
	refinements  = 9    // halvings of the step about the best: 1/512 of a grid step
	portAirShare = 0.25 // of the net volume, most that the air in the ports may be (common practice)
	ductFactor   = 2.5  // first duct resonance over low-pass
	ductMargin   = 1.01 // so that the box as built, a little smaller or larger than sought, still passes
	speedMargin  = 0.97 // likewise of the port speed: the search hears every port of a tuning as one of the same length
	ductFloor    = 200  // Hz, first duct resonance when no low-pass is stated
	soughtShare  = 0.4  // of the last figure to which a Qtc is stated: half would round to it, less what the saw's step adds
	compactLoss  = 1.5  // dB of M(20,40) that aim compact may give up
	shorterPort  = 0.98 // of the length sought: tried next when the wood, with its true end corrections, has no place for it
	mostAttempts = 60   // candidates of one kind that are tried in wood before the kind is given up
)

// A hunt is the search over one kind of box in the rooms of one space.
type hunt struct {
	*plant
	rooms     []room // those of the space's shapes, then those of the chain
	given     int    // number of the first
	chain     chain
	ducts     []duct
	mouths    []mouth
	lo, hi    float64     // m3, of the net volumes that may be chosen
	steps     [2]int      // of volume and tuning that the search begins with
	only      int         // how many ports matter, those whose best candidates score most; 0: all
	bar       float64     // a score that boxes heard later must reach on the grid; -Inf: any
	floor     float64     // a score below which nothing is wanted; -Inf: anything is
	beaten    float64     // the score at which building was given up for that; -Inf: it was not
	leastLow  float64     // aim compact
	skin      float64     // m, see leastGross
	longest   [][]float64 // by room and stock number: longest port that could be placed; +Inf not known
	audition  *thielesmall.Audition
	ceilings  thielesmall.Ceilings
	judgeFrom int     // first of searchGrid at which excursion and port speed are judged
	reference float64 // Pa^2 for one volt, see Figures.Reference
	ear       hearing
	shelf     shelf

	longestDuct float64   // m with its ends, whose first resonance is high enough
	narrow      []float64 // by stock number: least area of a slot as wide as the inside, m2; see narrowestFor
	narrowFor   float64
	slots       map[float64][]float64 // by height: tables of slotEnds, filled as they are wanted
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

// newHunt begins a search in the rooms. kept is what an earlier one by the same worker has left; nil: there was none.
func newHunt(p *plant, rooms []room, kept *hunt) *hunt {
	if p.stated == nil {
		p.stated = p.filterSquares(searchGrid)
	}
	h := &hunt{
		plant: p, given: len(rooms), leastLow: math.Inf(-1), bar: math.Inf(-1), floor: math.Inf(-1), beaten: math.Inf(-1), steps: [2]int{volumeSteps, tuningSteps},
		audition: thielesmall.NewAudition(p.set, p.air, p.source, nominalLength, searchGrid), ceilings: p.limits.Ceilings(),
		reference: thielesmall.LevelSquare(p.set.ReferenceLevel(p.air, 1, p.source)),
	}
	if kept != nil {
		h.shelf, h.ear, h.ducts, h.mouths, h.slots = kept.shelf, kept.ear, kept.ducts, kept.mouths, kept.slots
	} else {
		h.shelf, h.ear, h.ducts, h.slots = shelf{}, newHearing(), ductsFor(p.req.Units), map[float64][]float64{}
		for _, d := range h.ducts {
			if d.full {
				h.mouths = append(h.mouths, mouth{}) // it goes with the box: see fullWidth
				continue
			}
			e := d.ends(0)
			h.mouths = append(h.mouths, mouth{e[0] + e[1], float64(d.count) * d.area()})
		}
	}
	h.narrow = make([]float64, len(h.ducts))
	h.longestDuct = p.air.SoundSpeed / (2 * ductMargin * p.ductLimit())
	for h.judgeFrom < len(searchGrid) && searchGrid[h.judgeFrom] < p.pass.lowest*(1-slack) {
		h.judgeFrom++
	}
	for _, r := range rooms {
		h.add(r)
	}
	thinnest := p.req.Wood.Thickness
	for _, t := range p.req.Wood.Panels {
		thinnest = min(thinnest, t)
	}
	h.skin = math.Cbrt(4*math.Pi/3) * thinnest
	if len(rooms) > 0 {
		h.chain = p.chain(rooms[0])
	}
	h.lo, h.hi = h.volumeRange()
	return h
}

// add puts a room after those that there are. Nothing is known of the ports in it.
func (h *hunt) add(r room) {
	longest := make([]float64, len(h.ducts))
	for k := range longest {
		longest[k] = math.Inf(1)
	}
	h.rooms, h.longest = append(h.rooms, r), append(h.longest, longest)
}

// largest is the most net air that any room offers.
func (h *hunt) largest() float64 {
	most := 0.0
	for i := range h.given {
		most = max(most, h.rooms[i].netAtFull)
	}
	return most
}

// volumes are the net volumes that the search for a kind begins with: an even spread, and the most that each room gives.
func (h *hunt) volumes(kind Kind) []float64 {
	if h.lo > h.hi {
		return nil
	}
	n := h.steps[0]
	if kind == Sealed {
		n = sealedSteps
	}
	v := spread(h.lo, h.hi, n)
	for i := range h.given {
		if full := h.rooms[i].netAtFull; full > h.lo && full < h.hi {
			v = append(v, full)
		}
	}
	if q := h.wishedQtc(); q > 0 {
		if wished, err := thielesmall.SealedVolume(h.set, h.air, h.source, q); err == nil && wished > h.lo && wished < h.hi {
			v = append(v, wished)
		}
	}
	return v
}

// volumeRange is from the smallest to the largest net volume that may be chosen: what the rooms give, within the job's
// wish. The least is above the most when the space is too small for the wish. It is worked out once, for lo and hi.
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
func (h *hunt) within(c *candidate) bool {
	inside := func(v, lo, hi float64) bool { return v >= lo*(1-slack) && v <= hi*(1+slack) }
	if !inside(c.volume, h.lo, h.hi) {
		return false
	}
	if !c.vented() {
		q := h.wishedQtc()
		return q == 0 || math.Abs(c.sound.qtc-q) <= h.qtcWithin(q)
	}
	lo, hi := h.tuningRange()
	return inside(c.fb, lo, hi)
}

// roomFor gives the simplest room that holds the candidate with its ports; -1 when none does.
func (h *hunt) roomFor(c *candidate) int {
	need := c.volume + c.taken
	for i := 0; i < len(h.rooms) || need <= h.chain.last.netAtFull*(1+slack) && h.smaller(); i++ {
		if c.vented() && c.length > h.longest[i][c.stock] {
			continue
		}
		if r := &h.rooms[i]; need <= r.netAtFull*(1+slack) && r.takes(need) {
			return i
		}
	}
	return -1
}

// leastGross is less than any box with so much air inside is outside: what lies within a wall's thickness of the air has at
// least the volume that it has round a ball (Brunn-Minkowski inequality, from memory).
func (h *hunt) leastGross(air float64) float64 {
	side := math.Cbrt(air) + h.skin
	return side * side * side
}

// qtcWithin is how near to the one Qtc wished for a candidate has to come: so near that the box as built still shows it, or
// within the step where the space has no air for it exactly.
func (h *hunt) qtcWithin(q float64) float64 {
	if v, err := thielesmall.SealedVolume(h.set, h.air, h.source, q); err == nil && v >= h.lo && v <= h.hi {
		return soughtShare * qtcStep
	}
	return qtcStep
}

// A choice narrows which candidates may be chosen. nil: all that are feasible.
type choice struct {
	speed  float64         // m/s, most that the port's air may reach
	banned map[[2]int]bool // room and stock number: could not be built
}

func circleArea(diameter float64) float64 { return math.Pi * diameter * diameter / 4 }

// rate gives the candidate's score and its room; -Inf when it may not be chosen, or does not score more than floor.
func (h *hunt) rate(c *candidate, may *choice, floor float64) (float64, int) {
	worst := math.Inf(-1)
	if c.sound.beyond != nothing || may != nil && c.sound.portSpeed > may.speed || !h.within(c) {
		return worst, -1
	}
	score := worst
	if h.req.Aim != Compact { // the others do not look at the outside volume: most candidates need no room
		if score = h.req.Aim.score(c.sound, 0, h.leastLow); score <= floor {
			return worst, -1
		}
	} else if h.req.Aim.score(c.sound, h.leastGross(c.volume+c.taken), h.leastLow) <= floor {
		return worst, -1
	}
	i := h.roomFor(c)
	if i < 0 || may != nil && may.banned[[2]int{i, c.stock}] {
		return worst, -1
	}
	if h.req.Aim == Compact {
		score = h.req.Aim.score(c.sound, h.rooms[i].gross(c.volume+c.taken), h.leastLow)
	}
	if score <= floor {
		return worst, -1
	}
	return score, i
}

// best gives the index of the candidate with the highest score among those allowed; -1 when none may be chosen.
func (h *hunt) best(all []candidate, may *choice) int {
	found, top := -1, math.Inf(-1)
	for i := range all {
		if s, at := h.rate(&all[i], may, top); at >= 0 {
			found, top = i, s
		}
	}
	return found
}

// ranked gives the candidates that may be chosen as far as they have been heard, the highest score first, for [hunt.first];
// aim compact, whose score goes with the room, has them as they are.
func (h *hunt) ranked(all []candidate) []candidate {
	if h.req.Aim == Compact {
		return all
	}
	type entry struct {
		score float64
		at    int
	}
	var entries []entry
	for i := range all {
		if c := &all[i]; c.sound.beyond == nothing && h.within(c) {
			entries = append(entries, entry{h.req.Aim.score(c.sound, 0, h.leastLow), i})
		}
	}
	slices.SortFunc(entries, func(a, b entry) int { return cmp.Or(-cmp.Compare(a.score, b.score), cmp.Compare(a.at, b.at)) })
	ranked := make([]candidate, len(entries))
	for i, e := range entries {
		ranked[i] = all[e.at]
	}
	return ranked
}

// first is best among ranked candidates.
func (h *hunt) first(ranked []candidate, may *choice) int {
	if h.req.Aim == Compact {
		return h.best(ranked, may)
	}
	for i := range ranked {
		if _, at := h.rate(&ranked[i], may, math.Inf(-1)); at >= 0 {
			return i
		}
	}
	return -1
}

// refine moves a candidate to the best volume and tuning near it with the same port, then to the smallest volume that
// ties with it. It gives its score and its room too.
func (h *hunt) refine(c candidate, may *choice) (candidate, float64, int) {
	top, room := h.rate(&c, may, math.Inf(-1))
	stepV := math.Pow(1/smallest, 1/float64(h.steps[0]-1))
	stepF := math.Pow(highTuning/lowestTuning, 1/float64(h.steps[1]-1))
	for range refinements {
		stepV, stepF = math.Sqrt(stepV), math.Sqrt(stepF)
		moves := [...][2]float64{{stepV, 1}, {1 / stepV, 1}, {1, stepF}, {1, 1 / stepF}}
		if c.vented() && room >= 0 && !math.IsInf(h.longest[room][c.stock], 1) {
			along := math.Sqrt(stepV) // another volume and tuning for a port of the same length
			moves[0], moves[1] = [2]float64{stepV, 1 / along}, [2]float64{1 / stepV, along}
		}
		for _, m := range moves[:h.freedoms(c)] {
			if q, ok := h.like(&c, c.volume*m[0], c.fb*m[1]); ok {
				if s, at := h.rate(&q, may, top); at >= 0 {
					c, top, room = q, s, at
				}
			}
		}
	}
	return h.shrink(c, may, top, room)
}

// freedoms is the number of ways in which a candidate can be moved.
func (h *hunt) freedoms(c candidate) int {
	if c.vented() {
		return 4
	}
	return 2
}

// like listens to a candidate of the same kind and with the same port, of another volume and tuning; false when that port
// cannot tune it.
func (h *hunt) like(c *candidate, v, fb float64) (candidate, bool) {
	if !c.vented() {
		return h.sealed(v), true
	}
	var one [1]candidate
	q := h.ventedAt(one[:0], v, fb, c.stock, c.stock+1, math.Inf(-1))
	if len(q) == 0 {
		return candidate{}, false
	}
	return q[0], true
}

// shrink gives the smallest box, same tuning and port, whose score ties with that of c.
func (h *hunt) shrink(c candidate, may *choice, top float64, room int) (candidate, float64, int) {
	enough := top - h.req.Aim.tie(top)
	less := math.Nextafter(enough, math.Inf(-1))
	lo, hi := h.lo, c.volume
	for range 12 {
		mid := math.Sqrt(lo * hi)
		q, ok := h.like(&c, mid, c.fb)
		s, at := math.Inf(-1), -1
		if ok {
			s, at = h.rate(&q, may, less)
		}
		if s >= enough {
			c, top, room, hi = q, s, at, mid
		} else {
			lo = mid
		}
	}
	return c, top, room
}
