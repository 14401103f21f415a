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
	"cubby/internal/grade"
	"cubby/internal/panels"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
)

// A ranker is a job made ready for its drivers: what does not depend on them.
type ranker struct {
	*rig
	space    *prepared
	generous []search.Place
	widest   float64 // m, no larger frame goes on the face of any stand
	noRoom   error
}

func newRanker(ctx context.Context, req Request) (*ranker, error) {
	if req.Space == nil {
		return nil, &ConfigError{Field: "cavity", Want: noSpace}
	}
	r := &ranker{rig: &rig{req: &req, supply: supply{drive: defaultVolts}, haste: haste{brief: true}}}
	if err := r.prepare(); err != nil {
		return nil, err
	}
	r.settle()
	var err error
	if r.space, err = r.prepareSpace(ctx); errors.Is(err, cavity.ErrNoRoom) {
		r.noRoom = err
	} else if err != nil {
		return nil, err
	} else {
		r.generous, r.widest = r.generousPlaces(r.space), r.widestFrame()
	}
	return r, nil
}

// widestFrame is a diameter, m, that no frame on the face of any stand may exceed: the lesser size of the largest face, +Inf
// where a stand is no plain block.
func (r *ranker) widestFrame() float64 {
	most := 0.0
	for i := range r.space.stands {
		g := &r.space.stands[i].region
		if !g.Rectangle || g.Leans != [2]float64{} {
			return math.Inf(1)
		}
		b := g.Bounds()
		x, y, z := b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, b.Max.Z-b.Min.Z
		switch r.req.Mount.Face {
		case "front", "back":
			y = math.Inf(1)
		case "left", "right":
			x = math.Inf(1)
		case "top":
			z = math.Inf(1)
		}
		most = math.Max(most, min(x, y, z))
	}
	return most
}

// answer is what came of one driver.
type answer struct {
	placing Placing
	err     error
	bound   float64 // of the score of any box for it
}

// each calls do for the numbers from 0 to before n on all processors, each worker with memory of its own, until ctx is done.
// progress is told how many calls have been made.
func each(ctx context.Context, n int, progress func(int), do func(i int, memory *search.Memory)) {
	var next, done atomic.Int64
	var telling sync.Mutex
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		workers.Go(func() {
			memory := &search.Memory{}
			for i := next.Add(1) - 1; i < int64(n) && ctx.Err() == nil; i = next.Add(1) - 1 {
				do(int(i), memory)
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
	each(ctx, len(entrants), progress, func(i int, memory *search.Memory) {
		if a := r.answer(ctx, entrants[i], nil, memory); ctx.Err() == nil {
			answers[i] = a
		}
	})
	return answers
}

// fitted is the job with one driver wired, and quick to be searched where that is wished.
func (r *ranker) fitted(e Entrant, quick bool, memory *search.Memory) (*rig, error) {
	req, own := *r.req, *r.rig
	req.Driver, req.Frame = e.Spec, e.Frame
	p := &own
	p.req, p.quick, p.memory = &req, quick, memory
	p.assumptions = slices.Clip(r.assumptions)
	return p, p.fit()
}

// answer designs for one driver; nil where no box for it can score what is to be beaten.
func (r *ranker) answer(ctx context.Context, e Entrant, beat *float64, memory *search.Memory) *answer {
	f, d, outcomes, err := r.design(ctx, e, beat, memory)
	if errors.Is(err, errBeaten) {
		return nil
	}
	a := &answer{err: err}
	if err == nil {
		a.placing = placing(f, d, outcomes)
		a.placing.Entrant = e
	}
	return a
}

// errBeaten is that no box for a driver can score what is to be beaten: none was built.
var errBeaten = errors.New("no box can score as much")

// design finds the box that Run would choose for one driver, without advice and panels. A score to be beaten ends the search
// where no box can reach it.
func (r *ranker) design(ctx context.Context, e Entrant, beat *float64, memory *search.Memory) (*finder, *Design, []Outcome, error) {
	p, err := r.fitted(e, false, memory)
	if err != nil {
		return nil, nil, nil, err
	}
	if r.noRoom != nil {
		return nil, nil, impossible(p.req.Kinds, r.noRoom), nil
	}
	if beat != nil && !p.model.Beats(p.holding(r.generous), *beat) {
		return nil, nil, nil, errBeaten
	}
	f := p.finder(r.space)
	if len(f.stands) == 0 {
		return f, nil, impossible(p.req.Kinds, f.refused...), nil
	}
	found, err := search.Search(ctx, f.model, f.places, f, search.Options{Tolerance: searchTolerance, Beat: beat})
	if err != nil {
		return f, nil, nil, err
	}
	if beat != nil && (found.Best == nil && found.Bound > math.Inf(-1) || found.Best != nil && found.Best.Evaluation.Score < *beat) {
		return f, nil, nil, errBeaten
	}
	outcomes := f.outcomes(&found)
	if found.Best == nil {
		return f, nil, outcomes, nil
	}
	d, err := f.finish(found.Best)
	return f, d, outcomes, err
}

// estimate is what the air of the space would give for one driver if it and its port found their place: a bound of its score.
// One whose frame goes nowhere is told why.
func (r *ranker) estimate(ctx context.Context, e Entrant, memory *search.Memory) *answer {
	if r.noRoom == nil && e.Frame.Frame > r.widest {
		a := r.answer(ctx, e, nil, memory)
		a.bound = math.Inf(-1)
		return a
	}
	p, err := r.fitted(e, true, memory)
	if err != nil {
		return &answer{err: err, bound: math.Inf(-1)}
	}
	a := &answer{bound: math.Inf(-1)}
	a.placing = Placing{Entrant: e, F3: math.NaN(), Estimated: true}
	if r.noRoom != nil {
		a.placing.Reason = r.noRoom.Error()
		return a
	}
	var best search.Candidate
	best, a.bound = p.model.BestOf(p.holding(r.generous))
	if math.IsInf(a.bound, -1) {
		a.placing.Reason = "no volume and tuning that the space allows serves this driver"
		return a
	}
	p.fillEstimate(&a.placing, best, a.bound)
	return a
}

// fillEstimate fills in what a candidate of the model does.
func (p *rig) fillEstimate(row *Placing, c search.Candidate, score float64) {
	row.Kind, row.NetVolume, row.Score = Kind(c.Kind.String()), c.Volume, score
	ports := slices.Repeat([]thielesmall.Port{{Area: c.Port.Area, Length: c.Port.Length}}, c.Port.Count)
	m := p.model
	e := m.Evaluate(c)
	row.Verdict = Verdict(m.Decide(m.GradeOf(c, e).Checks(c, e, grade.Pass)).Words(e.Settings.Allowed))
	row.Aimed = p.req.Aim.figure(&e, c.Outside)
	var r thielesmall.Radiator
	if c.Kind == search.Passive {
		r = p.loaded(c.Volume, c.Tuning)
	}
	if circuit, err := p.circuit(p.box(c.Volume, ports, r), p.filters); err == nil {
		row.sound(p, circuit, circuit.Figures(p.drive), e.SpeedAllowed)
	}
}

// generousPlaces are places for every kind of box with the air of the space and the least of wood round it: no box that can
// be built is better than the best in them, but for what stated boards of other thickness make.
func (p *rig) generousPlaces(space *prepared) []search.Place {
	var all []search.Place
	for i := range space.stands {
		s := &space.stands[i]
		for _, k := range p.kinds() {
			place := search.Place{ID: len(all), Kind: k.search(), Volume: search.Range{Most: s.region.Air}, Air: s.region.Air, Minutes: s.minutes, Outside: p.outsideOf(&s.region, 0)}
			if k == Vented {
				place.Count, place.Edge = 1, slotEdge
			}
			all = append(all, place)
		}
	}
	return search.Uncovered(all)
}

// holding are such places with the drivers in them.
func (p *rig) holding(places []search.Place) []search.Place {
	taken := p.displaced()
	var all []search.Place
	for _, q := range places {
		free := q.Outside
		q.Air -= taken
		q.Volume.Most, q.Outside = q.Air, func(air float64) float64 { return free(air + taken) }
		if q.Air > 0 {
			all = append(all, q)
		}
	}
	return all
}

// best designs drivers in the order of their estimates until none of the rest can come before the last of the proven ones.
func (r *ranker) best(ctx context.Context, entrants []Entrant, proven int, progress func(int)) []*answer {
	answers := make([]*answer, len(entrants))
	each(ctx, len(entrants), progress, func(i int, memory *search.Memory) {
		if a := r.estimate(ctx, entrants[i], memory); ctx.Err() == nil {
			answers[i] = a
		}
	})
	order := make([]int, 0, len(entrants))
	for i, a := range answers {
		if a != nil && a.err == nil && !math.IsInf(a.bound, -1) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return -cmp.Compare(answers[a].bound, answers[b].bound) })
	var scores []float64 // of those that suit, best first
	aim := r.req.Aim.search()
	for total := len(order); len(order) > 0 && ctx.Err() == nil; {
		var beat *float64
		if len(scores) >= proven {
			beat = &scores[proven-1]
		}
		n := slices.IndexFunc(order, func(i int) bool { return beat != nil && answers[i].bound+aim.QuickLoses(*beat) < *beat })
		if n < 0 {
			n = len(order)
		}
		if n = min(n, max(firstBatch, (total-len(order))/8)); n == 0 {
			break
		}
		each(ctx, n, nil, func(i int, memory *search.Memory) {
			was := answers[order[i]]
			switch a := r.answer(ctx, entrants[order[i]], beat, memory); {
			case ctx.Err() != nil:
			case a == nil: // its estimate is too high
				was.placing.Score = math.Min(was.placing.Score, math.Nextafter(*beat, math.Inf(-1)))
			default:
				a.bound = was.bound
				answers[order[i]] = a
			}
		})
		for _, i := range order[:n] {
			if p := &answers[i].placing; !p.Estimated && group(p) == 0 {
				scores = append(scores, p.Score)
			}
		}
		slices.SortFunc(scores, func(a, b float64) int { return -cmp.Compare(a, b) })
		order = order[n:]
	}
	return answers
}

// firstBatch is how many drivers are designed before the first look at what they score, an eighth of those that were from then
// on: the same for any number of processors, so that the answer is.
const firstBatch = 8

// placing is the row of a design.
func placing(f *finder, d *Design, outcomes []Outcome) Placing {
	p := Placing{F3: math.NaN()}
	if d == nil {
		p.Reason = reasons(outcomes)
		return p
	}
	p.Kind, p.NetVolume, p.Score, p.Verdict = d.Kind, d.Box.NetVolume, d.Score, d.Verdict
	p.Aimed = f.req.Aim.figure(&d.Evaluation, d.Box.OuterVolume)
	p.sound(f.rig, d.Circuit, d.Figures, d.Evaluation.SpeedAllowed)
	for _, c := range d.Checks {
		switch {
		case c.Status == panels.Marginal:
			p.Cautions = append(p.Cautions, c.Name)
		case c.Status == panels.Fail && p.Reason == "":
			p.Reason = c.Name + ": " + f.noteOf(c)
		}
	}
	switch {
	case p.Verdict.Accepts() || p.Reason != "":
	case p.Verdict == DoesNotSuit:
		s := d.Evaluation.Settings
		p.Reason = mayPlay(s)
	default:
		p.Cautions = append([]string{string(p.Verdict)}, p.Cautions...)
	}
	return p
}

// noteOf is a check's note; that of a check of the wood is written now.
func (p *rig) noteOf(c Check) string {
	if c.Note != "" {
		return c.Note
	}
	if c.wood != nil {
		return c.wood.Text(p.req.Units)
	}
	return c.Name
}

// sound fills in what a circuit plays whose port may have that air speed.
func (p *Placing) sound(r *rig, c *thielesmall.Circuit, f thielesmall.Figures, speed float64) {
	p.F3, p.Tuning = f.F3, math.Max(f.Fb, f.Fc)
	for i, hz := range RankedAt {
		m := &p.Maximum[i]
		m.CabinLevel = math.NaN()
		m.Level, m.LimitedBy = c.MaxLevel(hz, r.limitsOf(c, speed))
		if r.cabin != nil {
			m.CabinLevel = m.Level + r.cabin(hz)
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
	f, d, _, err := r.design(context.Background(), p.Entrant, nil, nil)
	if err != nil || d == nil { // it was found before
		panic(fmt.Sprintf("design: %s was ranked and cannot be designed: %v", p.Spec.Name, err))
	}
	d.Rank = p.Rank
	d.Curves = f.curves(d.Circuit, d.Figures, f.limitsOf(d.Circuit, d.Evaluation.SpeedAllowed))
	return Ranked{p, *d}
}
