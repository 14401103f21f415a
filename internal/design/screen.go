package design

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"cubby/internal/panels"
)

// chunk is how many drivers are built between two looks at whether enough of the best are proven. It does not depend on the
// machine, so that the same drivers are built everywhere.
const chunk = 32

// screenSteps are the steps of volume and tuning that an estimate begins with: ports that fit lie in narrow bands of tuning.
var screenSteps = [2]int{20, tuningSteps}

// screenStarts is how many candidates of a kind an estimate refines, each with another port.
const screenStarts = 2

// canScreen makes the space's shapes ready without a driver, and reports whether estimates can be made in them.
func (r *ranker) canScreen() bool {
	if r.noRoom != nil {
		return false
	}
	bare := *r.plant
	req := *r.req
	req.Frame, req.Mount.Recess, req.Mount.Chamfer = panels.Driver{}, 0, 0
	bare.req = &req
	for i := range r.shapes {
		if room, err := bare.newRoom(i, r.shapes[i].Section); err == nil {
			r.empty = append(r.empty, room)
			r.longest = append(r.longest, longestPorts(room.spec, ductsFor(req.Units)))
		}
	}
	return len(r.empty) > 0
}

// tooLong is a port that goes into no box, m.
const tooLong = 15

// longestPorts gives how long each port could be in an empty box, m: no longer one goes in with a driver, or when the box is
// narrower.
func longestPorts(spec panels.Spec, ducts []duct) []float64 {
	most := make([]float64, len(ducts))
	for i, d := range ducts {
		spec.Port = d.wood(tooLong)
		var why *panels.BuildError
		switch _, err := panels.Plan(spec); {
		case err == nil:
			most[i] = math.Inf(1)
		case errors.As(err, &why) && why.Reason == panels.NoPort:
			most[i] = why.Reach.Most
		}
	}
	return most
}

// best estimates every driver and builds the most promising until the given number that suit is proven. The outside volume,
// which aim compact looks at, has no useful bound: there the estimates only tell which drivers cannot suit, and every other
// one is built.
func (r *ranker) best(ctx context.Context, entrants []Entrant, proven int, progress func(int)) []*answer {
	answers := make([]*answer, len(entrants))
	each(ctx, len(entrants), progress, func(i int, kept *hunt) *hunt {
		a, h := r.estimate(ctx, entrants[i], kept)
		if ctx.Err() == nil {
			answers[i] = a
		}
		return h
	})
	var order []int // that might suit, the most promising first
	for i, a := range answers {
		if a != nil && a.err == nil && group(&a.placing) == 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return -cmp.Compare(answers[i].placing.Score, answers[j].placing.Score) })
	if r.req.Aim == Compact {
		proven = len(order) + 1
	}
	var scores []float64 // of those that suit, the best first, as many as are wanted
	for len(order) > 0 && ctx.Err() == nil {
		if len(scores) == proven && answers[order[0]].placing.Score+r.req.Aim.beyond(scores[proven-1]) < scores[proven-1] {
			break
		}
		floor := math.Inf(-1)
		if len(scores) == proven {
			floor = scores[proven-1]
		}
		now := order[:min(chunk, len(order))]
		order = order[len(now):]
		built := make([]*answer, len(now))
		each(ctx, len(now), nil, func(i int, kept *hunt) *hunt {
			a, h := r.answer(ctx, entrants[now[i]], kept, floor)
			if ctx.Err() == nil {
				built[i] = a
			}
			return h
		})
		for i, a := range built {
			switch was := answers[now[i]]; {
			case a == nil:
				continue
			case !math.IsInf(a.beaten, -1):
				was.placing.Score = math.Min(was.placing.Score, a.beaten)
				continue
			}
			answers[now[i]] = a
			if a.err == nil && group(&a.placing) == 0 {
				scores = append(scores, a.placing.Score)
			}
		}
		slices.SortFunc(scores, func(a, b float64) int { return -cmp.Compare(a, b) })
		scores = scores[:min(len(scores), proven)]
	}
	return answers
}

// estimate hears one driver in all the air that the space gives. What is beyond doubt without any wood is said: data that do
// not suffice, limits that no box keeps, checks that do not depend on the box.
func (r *ranker) estimate(ctx context.Context, e Entrant, kept *hunt) (*answer, *hunt) {
	p, err := r.fitted(e)
	if err != nil {
		return &answer{err: err}, nil
	}
	var rooms []room
	var longest [][]float64
	for i, empty := range r.empty {
		empty.netAtFull -= float64(max(1, p.req.Mount.Count)) * e.Frame.Displacement
		empty.narrowest = &narrowing{} // however narrow it is
		if empty.netAtFull > 0 {
			rooms, longest = append(rooms, empty), append(longest, r.longest[i])
		}
	}
	a := &answer{placing: Placing{Entrant: e, F3: math.NaN(), Estimated: true}}
	if len(rooms) == 0 {
		a.placing.Reason = "the driver takes all the air inside"
		return a, nil
	}
	h := newHunt(p, rooms, kept)
	h.steps, h.longest = screenSteps, longest
	if h.req.Aim != Compact {
		h.only = screenStarts
	}
	sides, err := h.sides(ctx)
	if err != nil {
		return &answer{err: err}, h
	}
	var best candidate
	top := math.Inf(-1)
	var outcomes []Outcome
	for _, s := range sides {
		if s.at < 0 {
			outcomes = append(outcomes, Outcome{Kind: s.kind, Status: "impossible", Reason: h.whyNone(s.all, s.kind)})
			continue
		}
		for _, i := range h.starts(s.all, screenStarts) {
			if c, score, _ := h.refine(s.all[i], nil); score > top {
				best, top = c, score
			}
		}
	}
	if math.IsInf(top, -1) {
		a.placing.Reason = reasons(outcomes)
		return a, h
	}
	a.placing.heard(h, best, top)
	return a, h
}

// starts are the best candidates of each of the most promising ports, at most n.
func (h *hunt) starts(all []candidate, n int) []int {
	type start struct {
		at    int
		score float64
	}
	best := make([]start, len(h.ducts)+1) // by stock number, the sealed box first
	for k := range best {
		best[k].score = math.Inf(-1)
	}
	for i := range all {
		b := &best[all[i].stock-none]
		if s, at := h.rate(&all[i], nil, b.score); at >= 0 {
			*b = start{i, s}
		}
	}
	slices.SortStableFunc(best, func(a, b start) int { return -cmp.Compare(a.score, b.score) })
	var found []int
	for _, b := range best[:min(n, len(best))] {
		if !math.IsInf(b.score, -1) {
			found = append(found, b.at)
		}
	}
	return found
}

// heard fills in what is known of a candidate that was heard and not built.
func (p *Placing) heard(h *hunt, c candidate, score float64) {
	p.Kind, p.NetVolume, p.Score, p.Verdict = c.kind(), c.volume, score, Suits
	air := h.box(c.volume, nil)
	if c.vented() {
		air = h.box(c.volume, c.duct.ports(c.length, c.duct.ends(0)))
	}
	if circuit, err := h.circuit(air, h.filters); err == nil {
		p.sound(h, circuit, circuit.Figures(h.drive))
	}
	if c.sound.penalty > 0 {
		p.Verdict = SuitsWithCautions
	}
	for _, c := range []Check{h.checkAirInFront(h.set.Xmax), h.checkPower(), h.checkLoad()} {
		if c.Status == panels.Fail {
			p.fail(c.Name + ": " + c.Note)
		}
	}
	if why := h.tooLarge(); why != "" {
		p.fail(why)
	}
}

// fail says that the driver does not suit.
func (p *Placing) fail(why string) {
	p.Verdict = DoesNotSuit
	if p.Reason == "" {
		p.Reason = why
	}
}

// tooLarge says why the driver cannot sit in any shape of the space, however it is cut; empty when it might.
func (h *hunt) tooLarge() string {
	if len(h.req.Space.Blocks) > 0 {
		return "" // beside a block there may be more depth
	}
	short := false
	for i := range h.given {
		g := h.rooms[i].section
		switch h.hopeless(g) {
		case perhaps:
			return ""
		case tooShort:
			if bevels(g) > 0 {
				return "" // a slope may be cut back
			}
			short = true
		}
	}
	if short {
		return fmt.Sprintf("driver on its face: its frame of %s is larger than the space's %s", h.length(h.req.Frame.Frame), h.req.Mount.Face)
	}
	return fmt.Sprintf("depth behind the driver: it is %s deep, more than the space", h.length(h.req.Frame.Depth))
}
