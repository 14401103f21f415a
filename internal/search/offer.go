package search

import (
	"context"
	"math"
	"slices"

	"cubby/internal/grade"
)

// Because is why a design is offered.
type Because int8

// The reasons, in the order in which designs are offered.
const (
	Best Because = iota
	OtherKind
	QuietPort
	Smallest
	LowestCorner
)

// String returns "best", "other kind", "quiet port", "smallest" or "lowest".
func (b Because) String() string {
	return [...]string{"best", "other kind", "quiet port", "smallest", "lowest"}[b]
}

// Offer is a design that is offered, or one that is not with what it would be.
type Offer[B any] struct {
	Because Because
	Found   *Found[B] // nil: nothing of that sort is feasible
	Kept    bool      // it is offered; else it is a line with its reason
	Why     Skip      // why it is not
}

// Skip is why a design is not offered.
type Skip int8

// The reasons.
const (
	Offered   Skip = iota
	Same           // it is the same box as one that is offered
	TooWeak        // less than half of P0 is allowed
	NoneFound      // nothing of that sort is feasible
)

// Offers gives the winner of a search and up to four designs that differ from it in a way a person would care about: the
// best of another kind, the quietest port, the smallest and the lowest, each within 2 dB of the winner's mean level. Each
// is built. Where one of those that were built for them serves the aim better than the winner, it is the winner, and they are
// looked for again beside it.
func Offers[B any](ctx context.Context, m *Model, b Builder[B], r Result[B], o Options) ([]Offer[B], error) {
	if r.Best == nil {
		return nil, nil
	}
	r.Places = slices.Clone(r.Places)
	for {
		offers, err := offersBeside(ctx, m, b, &r, o)
		best := bestOf(m, &r)
		if err != nil || best == nil {
			return offers, err
		}
		r.Best = best
	}
}

// bestOf is the box that was built and serves the aim better than the winner of a search; nil: none does.
func bestOf[B any](m *Model, r *Result[B]) *Found[B] {
	w := m.wish
	w.least = max(w.least, r.Kept)
	m = m.wishing(w)
	best := r.Best
	for _, f := range r.Built {
		own := *f
		if own.evaluate(m); own.Evaluation.Out == Feasible && own.Evaluation.Score > best.Evaluation.Score {
			best = &own
		}
	}
	if best == r.Best {
		return nil
	}
	return best
}

// offersBeside is Offers beside one winner; what was built and learned is kept in the result.
func offersBeside[B any](ctx context.Context, m *Model, b Builder[B], r *Result[B], o Options) ([]Offer[B], error) {
	offers := []Offer[B]{{Because: Best, Found: r.Best, Kept: true}}
	add := func(why Because, f *Found[B]) {
		offer := Offer[B]{Because: why, Found: f, Why: NoneFound}
		if f != nil {
			offer.Why = worth(m, offers, f)
			offer.Kept = offer.Why == Offered
		}
		offers = append(offers, offer)
	}
	half := m.grades[grade.OfferShare].Value()
	mean := r.Best.Evaluation.MeanLow
	if m.Aim == Loud {
		mean = r.Best.Evaluation.Loud
	}
	within := mean - m.grades[grade.OfferWithin].Value()
	winner := r.Best.Candidate.Kind
	find := func(w wish, keep func(Kind) bool) (*Found[B], error) {
		// What was learned by building serves every search.
		some := slices.DeleteFunc(slices.Clone(r.Places), func(p Place) bool { return !keep(p.Kind) })
		has := slices.DeleteFunc(slices.Clone(r.Built), func(f *Found[B]) bool { return !keep(f.Candidate.Kind) })
		got, err := searchFrom(ctx, m.wishing(w), some, b, o, has)
		r.Places = append(slices.DeleteFunc(r.Places, func(p Place) bool { return keep(p.Kind) }), got.Places...)
		r.Built = append(r.Built, got.Built...)
		return got.Best, err
	}
	any := func(Kind) bool { return true }
	for _, try := range []struct {
		because Because
		wish    wish
		keep    func(Kind) bool
	}{
		{OtherKind, wish{least: math.Inf(-1), share: m.grades[grade.LeastShare].Value()}, func(k Kind) bool { return k != winner }},
		{QuietPort, wish{goal: quiet, least: within, share: half}, func(k Kind) bool { return k == Vented }},
		{Smallest, wish{goal: small, least: within, share: half}, any},
		{LowestCorner, wish{goal: deep, least: within, share: half}, any},
	} {
		if m.Aim == Compact && try.because == OtherKind {
			try.wish.least = r.Kept
		}
		f, err := find(try.wish, try.keep)
		if err != nil {
			return offers, err
		}
		add(try.because, f)
	}
	return offers, nil
}

// worth says whether a design is worth offering beside those that are.
func worth[B any](m *Model, offers []Offer[B], f *Found[B]) Skip {
	for _, o := range offers {
		if o.Kept && m.same(&o.Found.Candidate, &f.Candidate, o.Found.Evaluation.Speed, f.Evaluation.Speed) {
			return Same
		}
	}
	if s := f.Evaluation.Settings; s.Full > 0 && !grade.AtLeast(s.Allowed/s.Full, m.grades[grade.OfferShare].Value()) {
		return TooWeak
	}
	return Offered
}

// same reports whether two candidates are one to a person: of one kind, volume and port speed within 20 %, tuning within
// 10 %.
func (m *Model) same(a, b *Candidate, speedA, speedB float64) bool {
	near := func(x, y float64, id grade.ID) bool {
		return grade.AtMost(math.Abs(x-y), m.grades[id].Value()*max(math.Abs(x), math.Abs(y)))
	}
	return a.Kind == b.Kind && near(a.Volume, b.Volume, grade.SameSize) && near(speedA, speedB, grade.SameSize) &&
		near(a.Tuning, b.Tuning, grade.SameTuning)
}

// SizePoint is one point of the trade-off of size.
type SizePoint struct {
	Candidate  Candidate
	Evaluation Evaluation
}

// sizePoints is how many volumes a trade-off has at most.
const sizePoints = 12

// Tradeoff gives the best box of a kind by the aim at up to twelve net volumes from the least to the most that are
// feasible in the places, as models: ports are lumps.
func (m *Model) Tradeoff(places []Place, k Kind) []SizePoint {
	free := m.wishing(wish{least: math.Inf(-1), share: m.grades[grade.LeastShare].Value()})
	free.effort.starts, free.effort.halvings = 2, 4
	each := func(v float64, do func(p *Place)) {
		for _, p := range places {
			if p.Kind == k && v <= p.Volume.Most*(1+grade.Slack) {
				p.Volume = Range{v, v}
				do(&p)
			}
		}
	}
	most := 0.0
	for i := range places {
		if places[i].Kind == k {
			most = max(most, m.volumes(&places[i]).Most)
		}
	}
	if most == 0 {
		return nil
	}
	feasible := Range{math.Inf(1), 0}
	for _, v := range spaced(m.useful(most), 2*sizePoints) {
		each(v, func(p *Place) {
			if spots, _ := free.scan(p, 1, 0, math.Inf(-1), math.Inf(-1)); len(spots) > 0 && spots[0].score > missed {
				feasible = Range{min(feasible.Least, v), max(feasible.Most, v)}
			}
		})
	}
	if feasible.Empty() {
		return nil
	}
	var points []SizePoint
	for _, v := range spaced(feasible, sizePoints) {
		best := SizePoint{Evaluation: Evaluation{Score: math.Inf(-1)}}
		each(v, func(p *Place) {
			if c, score := free.Best(p); score > best.Evaluation.Score {
				best = SizePoint{c, free.Evaluate(c)}
			}
		})
		if !math.IsInf(best.Evaluation.Score, -1) {
			points = append(points, best)
		}
	}
	return points
}
