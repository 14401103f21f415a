package design

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"cubby/internal/thielesmall"
)

// find gives the best design of a kind that can be built, and how the search ended. sealed is the design that a vented one has
// to be better than; nil: none.
func (h *hunt) find(ctx context.Context, kind Kind, sealed *Design) (*Design, Outcome, error) {
	all, err := h.listenAll(ctx, kind)
	if err != nil {
		return nil, Outcome{Kind: kind}, err
	}
	h.setFloor(all)
	d, outcome := h.build(ctx, kind, all, func(*Design) *Design { return sealed })
	return d, outcome, ctx.Err()
}

// build makes the best of the candidates of a kind that can be built, and says how that ended. Where no vented box that keeps
// the pass figure of the port's air is of use, the marginal figure is allowed. rival gives the sealed design, if there is one
// that might be better than a vented one.
func (h *hunt) build(ctx context.Context, kind Kind, all []candidate, rival func(*Design) *Design) (*Design, Outcome) {
	outcome := Outcome{Kind: kind, Status: "found"}
	ranked := h.ranked(all)
	d, faulty, reason := h.realiseBest(ctx, ranked, speedMargin*h.pass.portSpeed)
	if kind == Vented && ctx.Err() == nil && math.IsInf(h.beaten, -1) && (d == nil || faulty || h.outdone(d, rival(d))) {
		quiet, whyNot := d, "no box keeps the port's air under %.3g m/s"
		if d != nil && !faulty {
			whyNot = "no box that keeps the port's air under %.3g m/s does better than the sealed one"
		}
		louder, faultyToo, refusal := h.realiseBest(ctx, ranked, math.Inf(1))
		switch {
		case quiet == nil:
			d, reason = louder, refusal
		case louder != nil && !faultyToo && (faulty || better(*louder, *quiet, h.req.Aim)):
			d = louder
		}
		if d != quiet {
			outcome.Status = "limited"
			reason = fmt.Sprintf(whyNot+", so the marginal figure was allowed", h.pass.portSpeed)
			if d.beyond != nothing {
				reason = fmt.Sprintf("every %s box that can be built goes beyond the limit of %s", kind, limitNames[d.beyond])
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
	return d, outcome
}

// outdone reports whether the sealed design is the better one.
func (h *hunt) outdone(vented, sealed *Design) bool {
	return sealed != nil && better(*sealed, *vented, h.req.Aim)
}

// setFloor sets, for aim compact, the deep output that a box must keep: that of the sealed box that aim low would choose,
// less compactLoss, or of the best box of all where no sealed one is feasible. The first kind that has a feasible box sets
// it; sealed comes first.
func (h *hunt) setFloor(all []candidate) {
	if h.req.Aim != Compact || !math.IsInf(h.leastLow, -1) {
		return
	}
	var deep []*candidate
	for i := range all {
		if c := &all[i]; c.sound.beyond == nothing {
			deep = append(deep, c)
		}
	}
	slices.SortStableFunc(deep, func(a, b *candidate) int { return -cmp.Compare(Low.score(a.sound, 0, 0), Low.score(b.sound, 0, 0)) })
	for _, c := range deep { // from the deepest, so that rooms are looked at only where it matters
		if h.roomFor(c) >= 0 {
			h.leastLow = c.sound.meanLow - compactLoss
			return
		}
	}
}

// realiseBest builds the best candidate whose port's air stays under a speed; when wood or port do not fit it takes the
// next best. A box whose port stands in the way of the driver or of a fixing, or that passes a limit as built, is only for
// want of a better one: faulty. A slot that comes out narrower than it was sought is sought shorter, and its box kept for as
// long as no other can score more.
func (h *hunt) realiseBest(ctx context.Context, ranked []candidate, speed float64) (d *Design, faulty bool, refusal string) {
	reason := ""
	var last candidate
	var blocked, narrow *Design
	room := -1
	may := &choice{speed: speed, banned: map[[2]int]bool{}}
	for range mostAttempts {
		i := h.first(ranked, may)
		if i < 0 || ctx.Err() != nil {
			break
		}
		c, score, at := h.refine(ranked[i], may)
		if narrow != nil && narrow.Score >= score {
			return narrow, false, ""
		}
		if h.gaveUp(ranked, score) {
			return nil, false, "" // neither this candidate nor those after it are wanted
		}
		d, err := h.realise(c, at)
		if err == nil {
			fits := h.asSought(d, at, speed)
			spoilt := h.cameNarrow(d, c, score)
			switch {
			case fits && !spoilt:
				return d, false, ""
			case fits && (narrow == nil || d.Score > narrow.Score):
				narrow = d
			case !fits && blocked == nil && (math.IsInf(speed, 1) || d.keeps(speed)):
				blocked = d
			}
			if spoilt && d.widePort > 0 {
				h.longest[at][c.stock] = min(d.widePort, shorterPort*c.length)
			} else {
				may.banned[[2]int{at, c.stock}] = true
			}
			continue
		}
		reason, last, room = err.Error(), c, at
		if most, ok := longestPort(err); ok {
			h.longest[at][c.stock] = min(most, shorterPort*c.length)
			continue
		}
		may.banned[[2]int{at, c.stock}] = true
	}
	if narrow != nil {
		return narrow, false, ""
	}
	if blocked != nil {
		return blocked, true, ""
	}
	if h.brief && room >= 0 {
		reason = h.refusal(last, room)
	}
	return nil, false, reason
}

// cameNarrow reports whether a slot came out of the wood so much narrower than it was sought that the box serves the aim less.
func (h *hunt) cameNarrow(d *Design, c candidate, score float64) bool {
	return d.Port != nil && d.Port.Width < c.duct.width*(1-slack) && d.Score < score-h.req.Aim.tie(score)
}

// asSought reports whether a design came out of the wood as it was sought in a room: the driver as well seated as there, and
// within the limits.
func (h *hunt) asSought(d *Design, at int, speed float64) bool {
	return (shortfall(d.Box) < failedCheck || h.rooms[at].shortfall >= failedCheck) && d.keeps(speed)
}

// keeps reports whether a box as built passes no limit, and its port's air not the speed that it was sought for. A slot that
// finds its only place across an end is narrower than the one across the whole width that was sought.
func (d *Design) keeps(speed float64) bool {
	return d.beyond == nothing && (d.Port == nil || !(d.Port.SpeedAtLimit > speed/speedMargin*(1+slack)))
}

// gaveUp reports whether neither the score of the best candidate left nor what louder ports would give is wanted.
func (h *hunt) gaveUp(ranked []candidate, score float64) bool {
	beyond := h.req.Aim.beyond(score)
	if score+beyond >= h.floor {
		return false
	}
	if i := h.first(ranked, nil); i >= 0 {
		_, loud, _ := h.refine(ranked[i], nil)
		score = math.Max(score, loud)
	}
	if score+beyond >= h.floor {
		return false
	}
	h.beaten = math.Max(h.beaten, score)
	return true
}

// refusal is why a candidate cannot be made in wood, which a brief search hears without words.
func (h *hunt) refusal(c candidate, at int) string {
	if _, err := h.realise(c, at); err != nil {
		return h.inUnits(err).Error()
	}
	return ""
}

// whyNone says what ruled out most candidates of a kind.
func (h *hunt) whyNone(all []candidate, kind Kind) string {
	if h.lo > h.hi {
		return fmt.Sprintf("the space gives at most %s of net air, less than the %s wished for", h.volume(h.hi), h.volume(h.lo))
	}
	if q := h.wishedQtc(); q > 0 && kind == Sealed {
		if v, err := thielesmall.SealedVolume(h.set, h.air, h.source, q); err != nil {
			return fmt.Sprintf("no box gives this driver a Qtc of %.3g", q)
		} else if wish := h.req.Limits.Volume; (v < h.lo || v > h.hi) && wish[0] > 0 && wish[0] == wish[1] {
			return fmt.Sprintf("a Qtc of %.3g takes %s of net air; %s are wished for", q, h.volume(v), h.volume(h.hi))
		} else if v < h.lo || v > h.hi {
			return fmt.Sprintf("a Qtc of %.3g takes %s of net air; boxes in this space have %s to %s", q, h.volume(v), h.volume(h.lo), h.volume(h.hi))
		}
	}
	if len(all) == 0 {
		return fmt.Sprintf("no stock port tunes a %s box in this space: the port would be too long for the box, or swallow more than a quarter of its air", kind)
	}
	var counts [len(limitNames)]int
	for i := range all {
		counts[all[i].sound.beyond]++
	}
	most := slices.Max(counts[:])
	worst := ""
	for l, n := range counts {
		if name := limitNames[l]; n == most && (worst == "" || name < worst) {
			worst = name
		}
	}
	if worst == "space" {
		if least := h.leastRoom(); h.hi < least {
			return fmt.Sprintf("a box that takes the driver and its fittings as well as the whole space does holds at least about %s of net air", h.volume(least))
		}
		return fmt.Sprintf("no %s box within the limits fits the air that the space gives", kind)
	}
	text := fmt.Sprintf("every %s box in this space goes beyond the limit of %s", kind, worst)
	if most := h.powerWithin(all); worst == "excursion" && most > 0 {
		text += fmt.Sprintf("; limit the amplifier to about %.0f W, or state a high-pass", most)
	}
	return text
}

// leastRoom is the net air of the smallest box that takes the driver as well as the largest does, m3.
func (h *hunt) leastRoom() float64 {
	for h.smaller() { // until there are no more
	}
	least := math.Inf(1)
	for i := range h.rooms {
		least = min(least, h.rooms[i].least())
	}
	return least
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
