package design

import (
	"context"
	"slices"

	"cubby/internal/search"
)

// An eager finder tells of the first box that serves as soon as it is built. Aim compact measures by what all the kinds of box
// reach: there it waits for the best.
type eager struct {
	*finder
	res    Result              // as it is before the search
	tell   func(*Result) error // nil: nobody is to be told, or somebody was
	design *Design             // the last that was completed
	of     *made               // its box
}

// Build is that of the finder.
func (e *eager) Build(ctx context.Context, p *search.Place, c search.Candidate) (search.Built[*made], error) {
	b, err := e.finder.Build(ctx, p, c)
	if err != nil || b.Refused != nil || e.tell == nil || e.req.Aim == Compact {
		return b, err
	}
	found := search.Found[*made]{Candidate: b.Candidate, Circuit: b.Circuit, Place: p.ID, Box: b.Box}
	if found.Evaluation = e.model.EvaluateCircuit(b.Candidate, b.Circuit); found.Evaluation.Out != search.Feasible {
		return b, nil
	}
	d, err := e.best(&found)
	if err != nil {
		return b, err
	}
	return b, e.first(ctx, d, []Outcome{{d.Kind, "found", "the first that was built; better ones are still looked for"}})
}

// best completes a design as the first of the answer.
func (e *eager) best(found *search.Found[*made]) (*Design, error) {
	if e.of == found.Box {
		return e.design, nil
	}
	d, err := e.complete(search.Best, found, &e.res)
	if err != nil {
		return nil, err
	}
	e.tellIdleWishes(d)
	e.design, e.of = d, found.Box
	return d, nil
}

// first tells of an answer with one design alone, laid out on sheets in haste.
func (e *eager) first(ctx context.Context, d *Design, outcomes []Outcome) error {
	res, own := e.res, *d
	own.Curves, own.Checks = slices.Clone(d.Curves), slices.Clone(d.Checks)
	if err := e.lay(ctx, &own, true); err != nil {
		return err
	}
	e.tellLostWishes(&own, outcomes)
	res.Assumptions, res.Designs, res.Outcomes = e.assumptions, []Design{own}, outcomes
	tell := e.tell
	e.tell = nil
	return tell(&res)
}
