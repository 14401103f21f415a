package design

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/search"
)

// task is what the search has to know of a job.
func (p *rig) task() search.Task {
	l := p.req.Limits
	t := search.Task{Air: p.air, Driver: p.set, Aim: p.req.Aim.search(), Cabin: p.cabin, Grades: p.table(), Limits: search.Limits{
		Volume: search.Range{Least: l.Volume[0], Most: l.Volume[1]}, Tuning: search.Range{Least: l.Tuning[0], Most: l.Tuning[1]}, PortSpeed: l.PortSpeed,
	}}
	t.Amplifier.Source, t.Amplifier.Filters = p.source, p.filters
	if a := p.req.Amplifier; a != nil {
		t.Amplifier.Power, t.Amplifier.Into = a.Power, a.Into
	}
	return t
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
