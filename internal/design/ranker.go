package design

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// A ranker is a job made ready for its drivers: what does not depend on them.
type ranker struct {
	*plant
	noRoom  error
	longest [][]float64 // of the empty rooms, see hunt; made by canScreen
	empty   []room      // of the space's shapes, without a driver; made by canScreen
}

func newRanker(req Request) (*ranker, error) {
	if req.Space == nil {
		return nil, &ConfigError{Field: "cavity", Want: "the space must be stated: width and profile, or width, depth and height"}
	}
	r := &ranker{plant: &plant{req: &req, drive: defaultVolts, brief: true}}
	if err := r.prepare(); err != nil {
		return nil, err
	}
	r.settle()
	r.judgedAt() // here, before the workers share it, as the next two
	r.besideShapes()
	r.stated = r.filterSquares(searchGrid)
	var none *cavity.NoRoomError
	var err error
	if r.shapes, err = r.space().Shapes(); errors.As(err, &none) {
		r.noRoom = none
	} else if err != nil {
		return nil, err
	}
	return r, nil
}

// answer is what came of one driver.
type answer struct {
	placing Placing
	err     error
	beaten  float64 // see hunt; the placing is not to be used unless it is -Inf
}

// each calls do for the numbers from 0 to before n on all processors, each time with what the call before by the same worker
// has left, until ctx is done. progress is told how many calls have been made.
func each(ctx context.Context, n int, progress func(int), do func(i int, kept *hunt) *hunt) {
	var next, done atomic.Int64
	var telling sync.Mutex
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		workers.Go(func() {
			var kept *hunt
			for i := next.Add(1) - 1; i < int64(n) && ctx.Err() == nil; i = next.Add(1) - 1 {
				if h := do(int(i), kept); h != nil {
					kept = h
				}
				if d := done.Add(1); progress != nil {
					telling.Lock()
					progress(int(d))
					telling.Unlock()
				}
			}
		})
	}
	workers.Wait()
}

// all designs for every driver. The answer of one that was not reached is nil.
func (r *ranker) all(ctx context.Context, entrants []Entrant, progress func(int)) []*answer {
	answers := make([]*answer, len(entrants))
	each(ctx, len(entrants), progress, func(i int, kept *hunt) *hunt {
		a, h := r.answer(ctx, entrants[i], kept, math.Inf(-1))
		if ctx.Err() == nil {
			answers[i] = a
		}
		return h
	})
	return answers
}

// answer designs for one driver, as long as it may score floor or more.
func (r *ranker) answer(ctx context.Context, e Entrant, kept *hunt, floor float64) (*answer, *hunt) {
	h, d, outcomes, err := r.design(ctx, e, kept, floor)
	a := &answer{err: err, beaten: math.Inf(-1)}
	if h != nil && (d == nil || d.Verdict == DoesNotSuit || d.Score < h.beaten+h.req.Aim.beyond(d.Score)) {
		a.beaten = h.beaten
	}
	if err == nil {
		a.placing = placing(h, d, outcomes)
		a.placing.Entrant = e
	}
	return a, h
}

// fitted is the job with one driver wired.
func (r *ranker) fitted(e Entrant) (*plant, error) {
	req, own := *r.req, *r.plant
	req.Driver, req.Frame = e.Spec, e.Frame
	p := &own
	p.req = &req
	p.shapes, p.assumptions = slices.Clip(r.shapes), slices.Clip(r.assumptions)
	return p, p.fit()
}

// design finds the box that Run would choose for one driver, without advice. The hunt is nil when there is no room at all.
func (r *ranker) design(ctx context.Context, e Entrant, kept *hunt, floor float64) (*hunt, *Design, []Outcome, error) {
	p, err := r.fitted(e)
	if err != nil {
		return nil, nil, nil, err
	}
	if r.noRoom != nil {
		return nil, nil, impossible(p.req.Kinds, r.noRoom), nil
	}
	rooms, _ := p.rooms()
	if len(rooms) == 0 {
		return nil, nil, impossible(p.req.Kinds, p.inWords()), nil
	}
	h := newHunt(p, rooms, kept)
	h.floor = floor
	d, outcomes, err := h.winner(ctx)
	return h, d, outcomes, err
}

// Score differences beyond which the best box as built cannot lose to one that has only been listened to: what rounding to
// the saw's step and the true port move a score by (up to 0.5 dB, 0.2 dB for aim flat, among some hundred invented drivers in
// two spaces) and to spare.
const (
	beyondLevel = 0.75 // dB, aims low and loud
	beyondFlat  = 0.3  // dB
	beyondShare = 0.03 // of the outside volume, aim compact
)

// beyond is that difference, beside a score.
func (a Aim) beyond(score float64) float64 {
	switch a {
	case Compact:
		return beyondShare * math.Abs(score)
	case Flat:
		return beyondFlat
	}
	return beyondLevel
}

// betweenSteps is more than the level of a box between the steps of volume and tuning of an estimate can be above that of the
// best box on them, dB: a step is a seventh of the volume or a thirteenth of the tuning.
const betweenSteps = 1.0

// A side is what was heard of one kind of box.
type side struct {
	kind Kind
	all  []candidate
	at   int     // the best of all; -1: none may be chosen
	top  float64 // its score
}

// sides are the kinds wished for, the more promising first.
func (h *hunt) sides(ctx context.Context) ([]side, error) {
	var sides []side
	for _, k := range h.kinds() {
		all, err := h.listenAll(ctx, k)
		if err != nil {
			return nil, err
		}
		h.setFloor(all)
		s := side{k, all, h.best(all, nil), math.Inf(-1)}
		if s.at >= 0 {
			s.top, _ = h.rate(&all[s.at], nil, math.Inf(-1))
		}
		if h.only > 0 && s.at >= 0 {
			h.bar = s.top - betweenSteps
		}
		sides = append(sides, s)
	}
	slices.SortStableFunc(sides, func(a, b side) int { return -cmp.Compare(a.top, b.top) })
	return sides, nil
}

// winner finds the design that runAll would rank first. The other kind of box is built only when it might be better.
func (h *hunt) winner(ctx context.Context) (*Design, []Outcome, error) {
	sides, err := h.sides(ctx)
	if err != nil {
		return nil, nil, err
	}
	built := map[Kind]*Design{}
	var outcomes []Outcome
	var build func(s side)
	build = func(s side) {
		built[s.kind] = nil
		d, outcome := h.build(ctx, s.kind, s.all, func(d *Design) *Design {
			for _, o := range sides {
				if _, done := built[o.kind]; !done && o.kind == Sealed && o.at >= 0 && h.mightBeat(o, d) {
					build(o)
				}
			}
			return built[Sealed]
		})
		built[s.kind], outcomes = d, append(outcomes, outcome)
	}
	var best *Design
	for _, s := range sides {
		if _, done := built[s.kind]; !done && (best == nil || best.Verdict == DoesNotSuit || s.at < 0 || h.mightBeat(s, best)) {
			build(s)
		}
		if d := built[s.kind]; d != nil && (best == nil || better(*d, *best, h.req.Aim)) {
			best = d
		}
	}
	return best, outcomes, ctx.Err()
}

// mightBeat reports whether the best that was heard of a kind might be better than a design of another.
func (h *hunt) mightBeat(s side, d *Design) bool {
	_, top, _ := h.refine(s.all[s.at], nil)
	return d.Score <= top+h.req.Aim.beyond(d.Score)
}

// placing is the row of a design.
func placing(h *hunt, d *Design, outcomes []Outcome) Placing {
	p := Placing{F3: math.NaN()}
	if d == nil {
		p.Reason = reasons(outcomes)
		return p
	}
	p.Kind, p.NetVolume, p.Score, p.Verdict = d.Kind, d.Box.NetVolume, d.Score, d.Verdict
	p.sound(h, d.Circuit, d.Figures)
	for _, c := range d.Checks {
		switch {
		case c.Status == panels.Marginal:
			p.Cautions = append(p.Cautions, c.Name)
		case c.Status == panels.Fail && p.Reason == "":
			p.Reason = c.Name + ": " + h.noteOf(c)
		}
	}
	return p
}

// inWords gives in words the wood's refusal of the space's simplest shape, which a search hears without.
func (p *plant) inWords() error {
	_, err := p.newRoom(0, p.shapes[0].Section)
	return err
}

// noteOf is a check's note; that of a check of the wood is written now.
func (h *hunt) noteOf(c Check) string {
	if c.Note != "" {
		return c.Note
	}
	if c.wood != nil {
		return c.wood.Text(h.req.Units)
	}
	return c.Name
}

// sound fills in what a circuit plays.
func (p *Placing) sound(h *hunt, c *thielesmall.Circuit, f thielesmall.Figures) {
	p.F3, p.Tuning = f.F3, math.Max(f.Fb, f.Fc)
	for i, hz := range RankedAt {
		m := &p.Maximum[i]
		m.CabinLevel = math.NaN()
		m.Level, m.LimitedBy = c.MaxLevel(hz, h.limits)
		if h.cabin != nil {
			m.CabinLevel = m.Level + h.cabin(hz)
		}
	}
}

// reasons says why no box of any kind can be built.
func reasons(outcomes []Outcome) string {
	var texts []string
	for i, o := range outcomes {
		if i > 0 && o.Reason == outcomes[0].Reason {
			continue
		}
		texts = append(texts, fmt.Sprintf("%s: %s", o.Kind, o.Reason))
	}
	if len(texts) == 1 && len(outcomes) > 1 {
		return outcomes[0].Reason
	}
	return strings.Join(texts, "; ")
}

// full is one of the best with its curves.
func (r *ranker) full(p Placing) Ranked {
	h, d, _, err := r.design(context.Background(), p.Entrant, nil, math.Inf(-1))
	if err != nil || d == nil { // it was found before
		panic(fmt.Sprintf("design: %s was ranked and cannot be designed: %v", p.Spec.Name, err))
	}
	d.Rank = p.Rank
	d.Curves = h.curves(d.Circuit, d.Figures, h.grid())
	return Ranked{p, *d}
}
