package search

import (
	"math"

	"cubby/internal/grade"
)

// bestPort gives the score of a response in a place with the best port, and its area; -Inf where it is out or does not
// reach more than the bar. What is out by up to relax counts as feasible. Where about is stated the best area is looked for there alone, closely.
func (m *Model) bestPort(r *response, p *Place, bar float64, about Range, relax float64, sections int) (score, area float64) {
	none := math.Inf(-1)
	if r.excess > hopeless || !m.allows(p.Kind, r.tuning) || p.Tuning.Most > 0 && !p.Tuning.Holds(r.tuning) {
		return none, 0
	}
	if m.levels() {
		m.play(r, p.Kind)
	}
	if p.Kind != Vented {
		score = m.score(m.terms(r, p, r.load.share, r.mean, m.lengthOf(p.Kind, 0), r.volume))
		if excess := m.beyond(r, r.load.share, r.mean); excess > relax && score > bar {
			score = missed * (1 + excess)
		}
		return score, 0
	}
	a, steps := m.areas(r, p), areaSteps
	if about.Most > 0 {
		a, steps = a.Within(about), areaSteps/2
	}
	if a.Empty() || a.Most <= 0 {
		return none, 0
	}
	perArea := float64(p.Count) * m.perArea(r.volume, r.tuning)
	least := m.score(m.terms(r, p, r.load.share, r.mean, perArea*a.Least, r.volume))
	if m.wish.goal == serve && least <= bar {
		return none, 0
	}
	return m.searchArea(a, steps, sections, func(area float64) float64 {
		port := Port{Count: p.Count, Area: area, Length: perArea * area, Edge: p.Edge}
		t := m.throughPort(r, Vented, port)
		if t.out != Feasible && t.out != OfPortSpeed {
			return none
		}
		mean := r.mean
		if m.levels() && t.drive < r.carried {
			mean = m.meanThrough(r, m.band(), t.drive)
		}
		if excess := m.beyond(r, t.share, mean); excess > relax {
			return missed * (1 + excess)
		}
		terms := m.terms(r, p, t.share, mean, port.Length, r.volume+p.Taken(area, port.Length))
		terms.speed = t.over()
		return m.score(terms)
	})
}

// missed is below any score: what is out scores that and less, the less the further out it is, so that the way to what is
// feasible goes upward.
const missed = -1e9

// beyond is how far a candidate is out, all reasons together, where so much of P0 is allowed and its mean level is so high.
func (m *Model) beyond(r *response, share, mean float64) float64 {
	excess := r.excess
	if least := m.grades[grade.LeastShare].Value(); r.load.share < least { // counted already
		share = math.Min(1, share/r.load.share*least)
	}
	if least := m.wish.share * (1 + m.keep.share); share < least && share < 1 {
		excess += 10 * math.Log10(least/share)
	}
	if least := m.wish.least + m.keep.mean; mean < least {
		excess += least - mean
	}
	return excess
}

// terms of the score of a response in a place.
func (m *Model) terms(r *response, p *Place, share, mean, length, air float64) terms {
	return terms{
		mean: mean, sigma: r.figures.Sigma, f10: r.figures.F10, penalty: r.shape - m.grades[grade.GainWeight].Value()*10*math.Log10(share),
		ported: p.Kind != Sealed, length: length, litres: p.Outside(air) * 1000, minutes: p.Minutes,
	}
}

// areas is the range of areas of one port that tune a response within a place and the rules.
func (m *Model) areas(r *response, p *Place) Range {
	n := float64(p.Count)
	k := m.perArea(r.volume, r.tuning) * n // effective length over area
	a := Range{0, m.longest * (1 - m.keep.share) / k}
	if p.Area.Most > 0 {
		a = a.Within(p.Area)
	}
	if p.Length.Most > 0 {
		a = a.Within(Range{p.Length.Least / k, p.Length.Most / k})
	}
	// A duct of no length is all ends.
	ends := bothEnds / math.Sqrt(math.Pi)
	a.Least = math.Max(a.Least, ends/k*(ends/k))
	// The port of side x = sqrt(S) takes n (x^2 + walls x) (k x^2 - ends x), no more than there may be: by Newton from above.
	within := func(air, walls float64) {
		if air <= 0 {
			a.Most = -1
			return
		}
		x := math.Min(math.Sqrt(math.Max(a.Most, 0)), math.Sqrt(math.Sqrt(air/(n*k)))+ends/k) // never less
		over := func() float64 { return n*x*x*(x+walls)*(k*x-ends) - air }
		for y := over(); y > 0; y = over() {
			x -= y/(n*x*(k*x*(4*x+3*walls)-ends*(3*x+2*walls))) + 1e-8*x
		}
		a.Most = math.Min(a.Most, x*x)
	}
	within(m.grades[grade.PortAirShare].Value()*r.volume*(1-m.keep.share), 0)
	if p.Air > 0 {
		within(p.Air-r.volume, p.Walls)
	}
	return a
}

// The search for the best area: evenly spaced ones, then a section about the best.
const (
	areaSteps = 5 // over the whole range; half as many close to an area
	coarse    = 2 // sections
	fine      = 5
	beside    = 1.3
	golden    = 0.3819660112501051
)

// searchArea gives the largest value over a range of areas, and where.
func (m *Model) searchArea(a Range, steps, sections int, value func(area float64) float64) (best, area float64) {
	if a.Most <= a.Least*(1+1e-6) {
		return value(a.Most), a.Most
	}
	low, high := math.Log(math.Max(a.Least, a.Most*1e-2)), math.Log(a.Most)
	best = math.Inf(-1)
	at := 0
	step := (high - low) / float64(steps)
	for i := range steps + 1 {
		x := a.Most
		if i < steps {
			x = math.Exp(low + step*float64(i))
		}
		if y := value(x); y > best {
			best, area, at = y, x, i
		}
	}
	if math.IsInf(best, -1) {
		return best, 0
	}
	from, to := low+step*float64(max(0, at-1)), low+step*float64(min(steps, at+1))
	x1, x2 := from+golden*(to-from), to-golden*(to-from)
	y1, y2 := value(math.Exp(x1)), value(math.Exp(x2))
	for range sections {
		if y1 > best {
			best, area = y1, math.Exp(x1)
		}
		if y2 > best {
			best, area = y2, math.Exp(x2)
		}
		if y1 >= y2 && !math.IsInf(y1, -1) {
			to, x2, y2 = x2, x1, y1
			x1 = from + golden*(to-from)
			y1 = value(math.Exp(x1))
		} else {
			from, x1, y1 = x1, x2, y2
			x2 = to - golden*(to-from)
			y2 = value(math.Exp(x2))
		}
	}
	return best, area
}
