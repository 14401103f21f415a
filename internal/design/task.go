package design

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/search"
)

// task is what the search has to know of a job.
func (p *rig) task() search.Task {
	l := p.req.Limits
	t := search.Task{Built: !p.quick, Quick: p.quick, Memory: p.memory, Air: p.air, Driver: p.set, Aim: p.req.Aim.search(), Cabin: p.cabin, Grades: p.pinned(), Radiator: p.onHand, Limits: search.Limits{
		Volume: search.Range{Least: l.Volume[0], Most: l.Volume[1]}, Tuning: about(l.Tuning, tuningWithin), PortSpeed: l.PortSpeed,
	}}
	t.Amplifier.Source, t.Amplifier.Filters = p.source, p.filters
	if a := p.req.Amplifier; a != nil {
		t.Amplifier.Power, t.Amplifier.Into, t.Amplifier.LeastLoad, t.Amplifier.NoHighPass = a.Power, a.Into, a.LeastLoad(), a.NoHighPass
	}
	return t
}

// tuningWithin is how near to a single tuning wished for a box comes, Hz: the last figure to which it is stated.
const tuningWithin = 0.05

// about is a wished range, and what counts as one value where only one is wished for.
func about(wished [2]float64, within float64) search.Range {
	if wished[0] > 0 && wished[0] == wished[1] {
		return search.Range{Least: wished[0] - within, Most: wished[1] + within}
	}
	return search.Range{Least: wished[0], Most: wished[1]}
}

// search is the aim as the search knows it; an aim that is not stated is low.
func (a Aim) search() search.Aim {
	switch a {
	case Flat:
		return search.Flat
	case Loud:
		return search.Loud
	case Compact:
		return search.Compact
	}
	return search.Low
}

// pinned is the table of the search, which a wished Qtc pins.
func (p *rig) pinned() *grade.Table {
	g := *p.grades
	if high := g[grade.QtcHigh].Pass; p.req.Limits.Qtc[1] > 0 {
		g[grade.QtcHigh].Marginal = high
	}
	return &g
}

// table is the grade table with the figures that the job sets for itself. A job that allows more than the table's marginal
// figure has said so on purpose: its own figure is the limit.
func (p *rig) table() *grade.Table {
	g := grade.Standard()
	l := p.req.Limits
	most := func(id grade.ID, value float64) {
		if value > 0 {
			g[id].Pass, g[id].Marginal = value, math.Max(g[id].Marginal, value)
		}
	}
	most(grade.Peak, l.Peak)
	most(grade.Dip, l.Dip)
	low, high := l.Qtc[0], l.Qtc[1]
	if q := p.wishedQtc(); q > 0 {
		low, high = q-qtcStep, q+qtcStep
	}
	most(grade.QtcHigh, high)
	if low > 0 {
		g[grade.QtcLow].Pass = low
	}
	if r := p.req.Placing; r != nil && r.Minute > 0 {
		g[grade.CompactMinute].Pass *= r.Minute / g[grade.MinuteWeight].Pass
		g[grade.MinuteWeight].Pass = r.Minute
	}
	if l.Lowest > 0 {
		g[grade.LowestJudged].Pass = l.Lowest
	}
	return &g
}
