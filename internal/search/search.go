package search

import (
	"cmp"
	"container/heap"
	"context"
	"math"

	"cubby/internal/grade"
	"cubby/internal/thielesmall"
)

// Builder makes boxes in places: all that the search has to know of wood. B is the box that it makes.
type Builder[B any] interface {
	// Build makes the box of a place that comes nearest to a candidate, or refuses and says what it can make instead. The
	// error is for what has nothing to do with the candidate; it ends the search.
	Build(ctx context.Context, p *Place, c Candidate) (Built[B], error)
}

// Built is what a builder made.
type Built[B any] struct {
	Candidate Candidate            // as built: net volume, tuning, effective length, outside volume, minutes
	Circuit   *thielesmall.Circuit // of the finished box, without filters; nil: its ports are lumps
	Taken     float64              // m3 of the place's air that the ports took with their walls; 0: not known
	Box       B
	Refused   *Refusal // instead of all that
}

// Refusal is why a candidate cannot be built, and what can be in its place. A range whose Most is 0 says nothing.
type Refusal struct {
	Why    error
	Known  bool  // without building: it does not count
	Length Range // effective lengths that a port of this area may have here; larger ports may be no longer
	Volume Range // net volumes that may be had here
}

// Found is a box that was built.
type Found[B any] struct {
	Candidate  Candidate
	Evaluation Evaluation
	Circuit    *thielesmall.Circuit
	Place      int // its ID
	Box        B
}

// Status is how a search ended.
type Status int8

// The ends of a search.
const (
	Proved    Status = iota // no bound is above what is built by more than the tolerance
	OutOfWork               // the budget of builds ended it: not proved best
)

// KindResult is what is known of a kind.
type KindResult[B any] struct {
	Found   *Found[B] // the best that was built; nil: none was
	Bound   float64   // upper bound of what else this kind could score; -Inf: nothing is feasible
	Refused error     // why the most promising that came to nothing did; nil: none did
	Out     Reason    // the same, where it was built; Feasible: it was not
}

// refuse keeps why a box comes to nothing: the first is the most promising.
func (k *KindResult[B]) refuse(why error, out Reason) {
	if k.Refused == nil {
		k.Refused, k.Out = why, out
	}
}

// Result is what a search found.
type Result[B any] struct {
	Best   *Found[B] // nil: nothing is feasible
	Kinds  [Kinds]KindResult[B]
	Status Status
	Builds int
	Bound  float64 // upper bound of what was not built
	Kept   float64 // compact: the least M(20,40) that was kept, dB; -Inf none

	Built  []*Found[B] // all that were built, feasible or not
	Places []Place     // what is left of the places, with what was learned of them
}

// Options bound a search.
type Options struct {
	Builds    int      // most calls of Build; 0: 60
	Tolerance float64  // dB of score, or as much size for aim compact, that is not worth another build; 0: 0.1
	Beat      *float64 // a score that a box must be able to reach to be worth building; nil: any
}

const (
	mostBuilds = 60
	tolerance  = 0.1  // dB
	notch      = 0.05 // share of an area or volume that is left out round what could not be built
)

// node is a place in the queue.
type node struct {
	place     Place
	bound     float64
	candidate Candidate // that is to be built, where tight
	tight     bool
}

type queue []node

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return cmp.Or(-cmp.Compare(q[i].bound, q[j].bound), cmp.Compare(q[i].place.Kind, q[j].place.Kind), cmp.Compare(q[i].place.ID, q[j].place.ID)) < 0
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(node)) }
func (q *queue) Pop() any {
	old := *q
	n := old[len(old)-1]
	*q = old[:len(old)-1]
	return n
}

// Search builds best first: it takes the place with the highest bound, bounds it more closely, builds the candidate that
// promises most in it, and splits the place about a candidate that could not be built. It ends when no bound is above what
// is built, or when the budget is spent. The error is the context's or the builder's.
func Search[B any](ctx context.Context, m *Model, places []Place, b Builder[B], o Options) (Result[B], error) {
	return searchFrom(ctx, m, places, b, o, nil)
}

// searchFrom is Search where boxes were built already.
func searchFrom[B any](ctx context.Context, m *Model, places []Place, b Builder[B], o Options, built []*Found[B]) (Result[B], error) {
	kept := m.wish.least
	if m.Aim == Compact && m.wish.goal == serve && math.IsInf(kept, -1) {
		m, kept = m.keeping(places)
	}
	s := &searching[B]{m: m, builder: b, options: o, result: Result[B]{Kept: kept}}
	if s.options.Builds == 0 {
		s.options.Builds = mostBuilds
	}
	if s.options.Tolerance == 0 {
		s.options.Tolerance = tolerance
	}
	for k := range s.result.Kinds {
		s.result.Kinds[k].Bound = math.Inf(-1)
	}
	if o.Beat != nil {
		if s.result.Bound = m.boundOf(places, *o.Beat); s.result.Bound < *o.Beat && !math.IsInf(s.result.Bound, -1) {
			return s.result, nil
		}
	}
	for _, f := range built {
		own := *f
		s.take(&own)
	}
	for _, p := range places {
		if err := ctx.Err(); err != nil {
			return s.result, err
		}
		s.push(node{place: p, bound: m.Bound(&p)})
	}
	err := s.run(ctx)
	s.result.Bound = math.Inf(-1)
	for _, n := range append(s.queue, s.aside...) {
		s.result.Bound, s.result.Places = math.Max(s.result.Bound, n.bound), append(s.result.Places, n.place)
		k := &s.result.Kinds[n.place.Kind]
		k.Bound = math.Max(k.Bound, n.bound)
	}
	return s.result, err
}

// keeping is the model that keeps the level that aim compact keeps, and that level.
func (m *Model) keeping(places []Place) (*Model, float64) {
	w := m.wish
	if most, ok := m.sealedMost(places); ok {
		w.least = most - m.grades[grade.CompactLoss].Value()
	}
	return m.wishing(w), w.least
}

// searching is a search under way.
type searching[B any] struct {
	m       *Model
	builder Builder[B]
	options Options
	queue   queue
	aside   queue // of kinds that spent the budget
	result  Result[B]
}

// push queues a node; a place that holds nothing feasible is kept for other wishes only where this one wants some level.
func (s *searching[B]) push(n node) {
	if !math.IsInf(n.bound, -1) && n.bound > missed {
		heap.Push(&s.queue, n)
	} else if !math.IsInf(s.m.wish.least, -1) {
		s.result.Places = append(s.result.Places, n.place)
	}
}

// enough is the score that a bound must reach to be worth a build.
func (s *searching[B]) enough() float64 {
	least := math.Inf(-1)
	if s.options.Beat != nil {
		least = *s.options.Beat
	}
	if s.result.Best == nil {
		return least
	}
	best := s.result.Best.Evaluation.Score
	return math.Max(least, best+s.m.slack(best, s.options.Tolerance))
}

func (s *searching[B]) run(ctx context.Context) error {
	for len(s.queue) > 0 && s.queue[0].bound > s.enough() {
		if err := ctx.Err(); err != nil {
			return err
		}
		if s.queue[0].tight && s.result.Builds >= s.options.Builds {
			s.result.Status = OutOfWork
			if s.result.Best != nil || !s.setAside(s.queue[0].place.Kind) {
				return nil
			}
			continue
		}
		n := heap.Pop(&s.queue).(node)
		if !n.tight {
			n.candidate, n.bound = s.m.Tight(&n.place)
			n.tight = true
			s.push(n)
			continue
		}
		if err := s.build(ctx, &n); err != nil {
			return err
		}
	}
	return nil
}

// setAside leaves a kind that spent the budget to no avail and gives the others a budget of their own; false where there is
// none.
func (s *searching[B]) setAside(k Kind) bool {
	rest := queue{}
	for _, n := range s.queue {
		if n.place.Kind != k {
			rest = append(rest, n)
			continue
		}
		s.aside = append(s.aside, n)
	}
	s.queue = rest
	heap.Init(&s.queue)
	s.options.Builds += s.options.Builds
	return len(rest) > 0
}

// build makes the candidate of a node and queues what is left of its place.
func (s *searching[B]) build(ctx context.Context, n *node) error {
	made, err := s.builder.Build(ctx, &n.place, n.candidate)
	if err != nil {
		return err
	}
	if made.Refused == nil || !made.Refused.Known {
		s.result.Builds++
	}
	k := &s.result.Kinds[n.place.Kind]
	if made.Refused != nil {
		k.refuse(made.Refused.Why, Feasible)
		s.split(n, made.Refused.Length, made.Refused.Volume)
		return nil
	}
	f := &Found[B]{Candidate: made.Candidate, Circuit: made.Circuit, Place: n.place.ID, Box: made.Box}
	s.result.Built = append(s.result.Built, f)
	out := s.take(f)
	if out == Feasible && n.bound <= f.Evaluation.Score+s.m.slack(f.Evaluation.Score, tightSlack+s.options.Tolerance) {
		s.result.Places = append(s.result.Places, n.place)
		return nil
	}
	// What was built is not all that the place promised.
	if n.place.learn(&made.Candidate, made.Taken) {
		if c, bound := s.m.Tight(&n.place); !near(c.Volume, n.candidate.Volume) || !near(c.Port.Area, n.candidate.Port.Area) {
			s.push(node{place: n.place, bound: math.Min(n.bound, bound), candidate: c, tight: true})
			return nil
		}
	}
	switch length := n.candidate.Port.Length; {
	case made.Candidate.Volume < n.candidate.Volume*(1-notch/2):
		s.splitVolume(n, made.Candidate.Volume)
	case out == OfDuct: // built too long for its resonance
		s.split(n, Range{0, length * (1 - notch/3)}, Range{})
	default:
		s.split(n, Range{}, Range{})
	}
	return nil
}

// near reports whether two sizes are one to a build.
func near(a, b float64) bool { return math.Abs(a-b) <= notch/3*b }

// evaluate judges a box that was built by a model's wish.
func (f *Found[B]) evaluate(m *Model) {
	if f.Circuit != nil {
		f.Evaluation = m.EvaluateCircuit(f.Candidate, f.Circuit)
	} else {
		f.Evaluation = m.Evaluate(f.Candidate)
	}
}

// take evaluates a box that was built, and keeps it where it is the best.
func (s *searching[B]) take(f *Found[B]) Reason {
	k := &s.result.Kinds[f.Candidate.Kind]
	f.evaluate(s.m)
	if f.Evaluation.Out != Feasible {
		k.refuse(f.Evaluation.Out, f.Evaluation.Out)
		return f.Evaluation.Out
	}
	if k.Found == nil || f.Evaluation.Score > k.Found.Evaluation.Score {
		k.Found = f
	}
	if s.result.Best == nil || f.Evaluation.Score > s.result.Best.Evaluation.Score {
		s.result.Best = f
	}
	return Feasible
}

// learn takes in what the ports of a box in the place took of its air, and reports whether that is new.
func (p *Place) learn(c *Candidate, taken float64) bool {
	const known = 0.97 // of the walls: those of other ports may take so much less
	length := physical(c.Port.Length, c.Port.Area)
	if taken <= 0 || c.Port.Count == 0 || length <= 0 {
		return false
	}
	walls := known * (taken/(float64(c.Port.Count)*length) - c.Port.Area) / math.Sqrt(c.Port.Area)
	if walls <= p.Walls*(1+notch) {
		return false
	}
	p.Walls = walls
	return true
}

// splitVolume queues what is left of a place in which a candidate came out with no more than so much air: ports at least as
// large leave no more; smaller ones may.
func (s *searching[B]) splitVolume(n *node, most float64) {
	again := func(p Place) { s.push(node{place: p, bound: math.Min(n.bound, s.m.Bound(&p))}) }
	p, c := n.place, n.candidate
	if p.Kind == Vented && bounded(p.Area).Most > bounded(p.Area).Least*(1+notch) {
		smaller := p
		if smaller.Area = bounded(p.Area).Within(Range{0, c.Port.Area * (1 - notch)}); !smaller.Area.Empty() {
			again(smaller)
		}
		p.Area = bounded(p.Area).Within(Range{c.Port.Area * (1 - notch), math.Inf(1)})
	}
	if p.Volume = p.Volume.Within(Range{0, most * (1 + notch/6)}); !p.Volume.Empty() && p.Volume.Most > 0 {
		again(p)
	}
}

// split queues what is left of a place when its best candidate was not built as it was wished: other lengths or volumes
// where those are known, else other areas or volumes than the candidate's.
func (s *searching[B]) split(n *node, length, volume Range) {
	again := func(p Place) { s.push(node{place: p, bound: math.Min(n.bound, s.m.Bound(&p))}) }
	p, c := n.place, n.candidate
	switch {
	case volume.Most > 0:
		if p.Volume = p.Volume.Within(volume); !p.Volume.Empty() && !p.Volume.Holds(c.Volume) {
			again(p)
		}
	case p.Kind == Vented && length.Most > 0 && !length.Holds(c.Port.Length):
		larger := p
		if larger.Length = bounded(p.Length).Within(length); !larger.Length.Empty() {
			larger.Area = bounded(p.Area).Within(Range{c.Port.Area * (1 - notch/3), math.Inf(1)})
			again(larger)
		}
		p.Area = bounded(p.Area).Within(Range{0, c.Port.Area * (1 - notch/3)})
		if !p.Area.Empty() && p.Area.Most > 0 {
			again(p)
		}
	case p.Kind == Vented && bounded(p.Area).Most > bounded(p.Area).Least*(1+notch):
		for _, r := range [...]Range{{0, c.Port.Area * (1 - notch)}, {c.Port.Area * (1 + notch), math.Inf(1)}} {
			other := p
			if other.Area = bounded(p.Area).Within(r); !other.Area.Empty() {
				again(other)
			}
		}
	default:
		for _, r := range [...]Range{{0, c.Volume * (1 - notch)}, {c.Volume * (1 + notch), math.Inf(1)}} {
			other := p
			if other.Volume = p.Volume.Within(r); !other.Volume.Empty() && other.Volume.Most > 0 {
				again(other)
			}
		}
	}
}

// bounded is a range whose Most of 0 means that it is free.
func bounded(r Range) Range {
	if r.Most == 0 {
		r.Most = math.Inf(1)
	}
	return r
}
