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

// MostEntrants is the largest number of drivers in one ranking. At some 2 ms a driver it is a few minutes' work.
const MostEntrants = 100_000

// An Entrant is a driver to be ranked.
type Entrant struct {
	Source string // the file, and the line of a list, as messages name it
	Spec   thielesmall.Spec
	Frame  panels.Driver
}

// RankedAt is where the maximum level is stated, Hz.
var RankedAt = [3]float64{30, 40, 50}

// A Placing is one row of the table: the box that [Run] would choose for that driver.
type Placing struct {
	Entrant
	Rank      int        // from 1 among those that suit; 0: does not
	Kind      Kind       // empty: no box can be built
	NetVolume float64    // m3
	Tuning    float64    // Hz, fb of a vented box and fc of a sealed one
	F3        float64    // Hz; NaN when there is none, see Figures.Reason
	Score     float64    // by the job's aim: the more the better
	Maximum   [3]Maximum // at RankedAt
	Verdict   Verdict    // empty: no box can be built
	Cautions  []string   // the checks that are marginal
	Reason    string     // why it does not suit; empty when it does
}

// Maximum is the loudest level at one frequency and what limits it.
type Maximum struct {
	Level, CabinLevel float64 // dB, free field and in the vehicle; NaN without a vehicle
	LimitedBy         thielesmall.Cause
}

// A Refusal is a driver whose data do not suffice.
type Refusal struct {
	Entrant
	Err error
}

// A Ranking is the same space designed for many drivers.
type Ranking struct {
	Request    Request // of the job, whose own driver is not used
	Air        thielesmall.Air
	DriveVolts float64   // of the curves
	Placings   []Placing // best first: those that suit, those that do not, those without a box
	Refused    []Refusal // in the order given
	Total      int       // drivers given
	Stopped    bool      // before all of them were designed: the table holds those that were
	Best       []Ranked  // up to three that suit, with their curves
	// Assumptions are those made for the job, whatever the driver.
	Assumptions []string
}

// Ranked is one of the best, designed in full.
type Ranked struct {
	Placing
	Design Design
}

// curvesOf is for how many of the best the curves are worked out.
const curvesOf = 3

// Rank designs the job's space for each driver on all processors and sorts the answers by the job's aim: those that suit
// first, then the score, then the smaller box, then the name, then the order given. progress, if not nil, is told how many
// are done, by one caller at a time. Cancelling ctx leaves out the drivers that are not done by then and is no error. The
// error is for a job that cannot be worked on, whatever the driver.
func Rank(ctx context.Context, req Request, entrants []Entrant, progress func(done int)) (*Ranking, error) {
	if len(entrants) > MostEntrants {
		return nil, fmt.Errorf("%d drivers: at most %d at once", len(entrants), MostEntrants)
	}
	r, err := newRanker(req)
	if err != nil {
		return nil, err
	}
	answers := r.all(ctx, entrants, progress)
	rank := &Ranking{Request: *r.req, Air: r.air, DriveVolts: r.drive, Total: len(entrants), Assumptions: r.assumptions}
	for i, a := range answers {
		switch {
		case a == nil:
			rank.Stopped = true
		case a.err != nil:
			rank.Refused = append(rank.Refused, Refusal{entrants[i], a.err})
		default:
			rank.Placings = append(rank.Placings, a.placing)
		}
	}
	slices.SortStableFunc(rank.Placings, before)
	for i := range rank.Placings {
		if p := &rank.Placings[i]; group(p) == 0 {
			p.Rank = i + 1
		}
	}
	for _, p := range rank.Placings[:min(curvesOf, len(rank.Placings))] {
		if p.Rank > 0 {
			rank.Best = append(rank.Best, r.full(p))
		}
	}
	return rank, nil
}

// group is 0 for a driver that suits, 1 for one whose box fails a check, 2 for one without a box.
func group(p *Placing) int {
	switch {
	case p.Kind == "":
		return 2
	case p.Verdict == DoesNotSuit:
		return 1
	}
	return 0
}

// before orders two placings.
func before(a, b Placing) int {
	return cmp.Or(
		cmp.Compare(group(&a), group(&b)), -cmp.Compare(a.Score, b.Score), cmp.Compare(a.NetVolume, b.NetVolume),
		strings.Compare(a.Spec.Name, b.Spec.Name),
	)
}

// A ranker is a job made ready for its drivers: what does not depend on them.
type ranker struct {
	*plant
	noRoom error
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
	r.judgedAt() // here, before the workers share it
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
}

// all designs for every driver, on all processors. The answer of one that was not reached is nil.
func (r *ranker) all(ctx context.Context, entrants []Entrant, progress func(int)) []*answer {
	answers := make([]*answer, len(entrants))
	var next, done atomic.Int64
	var telling sync.Mutex
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(entrants)) {
		workers.Go(func() {
			var kept *hunt
			for i := next.Add(1) - 1; i < int64(len(entrants)) && ctx.Err() == nil; i = next.Add(1) - 1 {
				h, d, outcomes, err := r.design(ctx, entrants[i], kept)
				if ctx.Err() != nil {
					return
				}
				if h != nil {
					kept = h
				}
				a := &answer{err: err}
				if err == nil {
					a.placing = placing(h, d, outcomes)
					a.placing.Entrant = entrants[i]
				}
				answers[i] = a
				if n := done.Add(1); progress != nil {
					telling.Lock()
					progress(int(n))
					telling.Unlock()
				}
			}
		})
	}
	workers.Wait()
	return answers
}

// design finds the box that Run would choose for one driver, without advice. The hunt is nil when there is no room at all.
func (r *ranker) design(ctx context.Context, e Entrant, kept *hunt) (*hunt, *Design, []Outcome, error) {
	req, own := *r.req, *r.plant
	req.Driver, req.Frame = e.Spec, e.Frame
	p := &own
	p.req = &req
	if err := p.fit(); err != nil {
		return nil, nil, nil, err
	}
	if r.noRoom != nil {
		return nil, nil, impossible(req.Kinds, r.noRoom), nil
	}
	p.shapes, p.assumptions = slices.Clip(r.shapes), slices.Clip(r.assumptions)
	rooms, _ := p.rooms()
	if len(rooms) == 0 {
		return nil, nil, impossible(req.Kinds, p.inWords()), nil
	}
	h := newHunt(p, rooms, kept)
	d, outcomes, err := h.winner(ctx)
	return h, d, outcomes, err
}

// Score differences beyond which the best box of one kind, as built, cannot lose to one of the other kind that has only
// been listened to: what rounding to the saw's step and the true port move a score by, and to spare.
const (
	beyondLevel = 0.5  // dB, aims flat, low and loud
	beyondShare = 0.03 // of the outside volume, aim compact
)

// winner finds the design that runAll would rank first. The other kind of box is built only when it might be better.
func (h *hunt) winner(ctx context.Context) (*Design, []Outcome, error) {
	type side struct {
		kind Kind
		all  []candidate
		at   int // the best of all
		top  float64
	}
	var sides []side
	for _, k := range h.kinds() {
		all, err := h.listenAll(ctx, k)
		if err != nil {
			return nil, nil, err
		}
		h.setFloor(all)
		s := side{k, all, h.best(all, nil), math.Inf(-1)}
		if s.at >= 0 {
			s.top, _ = h.rate(&all[s.at], nil, math.Inf(-1))
		}
		sides = append(sides, s)
	}
	slices.SortStableFunc(sides, func(a, b side) int { return -cmp.Compare(a.top, b.top) })
	var best *Design
	var outcomes []Outcome
	for _, s := range sides {
		if best != nil && best.Verdict != DoesNotSuit && s.at >= 0 {
			beyond := beyondLevel
			if h.req.Aim == Compact {
				beyond = beyondShare * math.Abs(best.Score)
			}
			if _, top, _ := h.refine(s.all[s.at], nil); best.Score > top+beyond {
				continue
			}
		}
		d, outcome := h.build(ctx, s.kind, s.all)
		outcomes = append(outcomes, outcome)
		if d != nil && (best == nil || better(*d, *best, h.req.Aim)) {
			best = d
		}
	}
	return best, outcomes, ctx.Err()
}

// placing is the row of a design.
func placing(h *hunt, d *Design, outcomes []Outcome) Placing {
	p := Placing{F3: math.NaN()}
	if d == nil {
		p.Reason = reasons(outcomes)
		return p
	}
	p.Kind, p.NetVolume, p.F3, p.Score, p.Verdict = d.Kind, d.Box.NetVolume, d.Figures.F3, d.Score, d.Verdict
	p.Tuning = math.Max(d.Figures.Fb, d.Figures.Fc)
	for i, f := range RankedAt {
		m := &p.Maximum[i]
		m.CabinLevel = math.NaN()
		m.Level, m.LimitedBy = d.Circuit.MaxLevel(f, h.limits)
		if h.cabin != nil {
			m.CabinLevel = m.Level + h.cabin(f)
		}
	}
	for _, c := range d.Checks {
		switch {
		case c.Status == panels.Marginal:
			p.Cautions = append(p.Cautions, c.Name)
		case c.Status == panels.Fail && p.Reason == "":
			p.Reason = c.Name + ": " + h.noteOf(d, c)
		}
	}
	return p
}

// inWords gives in words the wood's refusal of the space's simplest shape, which a search hears without.
func (p *plant) inWords() error {
	p.brief = false
	_, err := p.newRoom(0, p.shapes[0].Section)
	return err
}

// noteOf is a check's note; that of a check of the wood is written now.
func (h *hunt) noteOf(d *Design, c Check) string {
	if c.Note != "" {
		return c.Note
	}
	spec := d.Box.Spec
	spec.Mute = false
	if box, err := panels.Build(spec); err == nil {
		for _, w := range box.Checks {
			if w.Name == c.Name {
				return w.Note
			}
		}
	}
	return c.Name
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
	h, d, _, err := r.design(context.Background(), p.Entrant, nil)
	if err != nil || d == nil { // it was found before
		panic(fmt.Sprintf("design: %s was ranked and cannot be designed: %v", p.Spec.Name, err))
	}
	d.Rank = p.Rank
	d.Curves = h.curves(d.Circuit, d.Figures, h.grid())
	return Ranked{p, *d}
}
