package nest

import (
	"math"
	"slices"
)

// DefaultBudget is the work that the search for fewer sheets may use for each board where Options.Budget is 0,
// in places looked at per part. It is a count of work, not of time, so the answer does not depend on the machine.
const DefaultBudget = 60_000

// The work for a larger offcut and for fewer fence settings of each board. Twice as much of both finds offcuts 0.1 %
// larger and 1 % fewer settings, among forty invented lists of the panels of a box and some more.
const (
	offcutBudget = 3_000_000
	fenceBudget  = 2_000_000
)

// A solution is the best that was found for one problem.
type solution struct {
	bins   []*bin
	out    []int32 // items that no stock is left for
	cost   cost
	least  int   // lower bound, bins; bounds hold for head-to-tail pairs taken apart as well
	money  int64 // lower bound
	proved bool
}

// solve lays the items of p at the least cost found with the given work.
func (p *problem) solve(work int) *solution {
	sol := &solution{}
	sol.least, sol.money = p.bounds()
	s := newSearch(p, 1, work)
	s.goal = cost{money: math.MaxInt64}
	s.start()
	if len(s.out) > 0 && !s.run() {
		sol.take(s)
		sol.out = append(sol.out, s.out...)
		sol.least, sol.money = p.without(sol.out).bounds()
		return sol
	}
	sol.take(s)
	sol.lower(s)
	return sol
}

// lower goes on from the search's state until nothing cheaper is possible or its work is used up.
func (sol *solution) lower(s *search) {
	for !sol.done() && s.work > 0 {
		s.lower(sol.cost)
		if !s.run() {
			break
		}
		sol.take(s)
	}
}

// done reports whether nothing cheaper is possible.
func (sol *solution) done() bool {
	sol.proved = sol.cost.money <= sol.money
	return sol.proved
}

func (sol *solution) take(s *search) {
	sol.bins = sol.bins[:0]
	for _, b := range s.bins {
		if b.count > 0 {
			c := &bin{}
			c.copyFrom(b)
			sol.bins = append(sol.bins, c)
		}
	}
	sol.cost = s.p.costOf(sol.bins)
}

// start lays everything once in each fixed order and keeps the cheapest.
func (s *search) start() {
	for i := range s.p.items {
		s.out = append(s.out, int32(i))
	}
	s.begin()
	s.recreate(0)
	s.keep()
}

// lower sets the goal below c and takes out the worst filled bins until the rest costs less.
func (s *search) lower(c cost) {
	s.goal = c
	s.begin()
	for !s.cost.less(c) && len(s.bins) > 0 {
		worst, fill := 0, math.Inf(1)
		for i, b := range s.bins {
			t := s.p.types[b.typ]
			full := float64(t.w * t.h)
			if f := (full - float64(b.room)) / full; f < fill && !(t.offcut && t.cost == 0) {
				worst, fill = i, f
			}
		}
		s.touch(worst).clear(0, func(k int32) { s.out = append(s.out, k) })
		s.closeEmpty()
	}
	s.keep()
}

// without is the problem without some of its items.
func (p *problem) without(out []int32) *problem {
	q := *p
	q.items = nil
	for i, it := range p.items {
		if !slices.Contains(out, int32(i)) {
			q.items = append(q.items, it)
		}
	}
	return &q
}
