package nest

import (
	"cmp"
	"slices"
)

// planner counts what a set of bins asks of the saw.
type planner struct {
	p         *problem
	saw       Saw
	sheet     func(typ int) Sheet // the true sheet, uncut
	cuts      []Cut               // cuts, sets and all are written on again and again
	sets, all []setting
	quarry    quarry
}

// plan lists the settings of one bin's cuts, and counts cuts and safety marks.
func (pl *planner) plan(b *bin) (p binPlan) {
	all := pl.sets[:0]
	sh := pl.sheet(b.typ)
	sh.root, sh.Cuts = b.slabs(pl.quarry.clear(len(b.nodes)), 0, pl.p, [2]Um{sh.trim, sh.trim}), pl.cuts[:0]
	c := cutter{saw: pl.saw, sheet: &sh, plan: true}
	c.cutSheet()
	pl.cuts = sh.Cuts
	for i := range sh.Cuts {
		cut := &sh.Cuts[i]
		all = append(all, cut.set())
		if cut.Safety != "" && cut.Safety != MarkPushStick {
			p.marks++
		}
		if cut.blind() {
			p.blind++
		}
		if cut.sliver {
			p.slivers++
		}
	}
	pl.sets = all
	slices.SortFunc(all, setting.compare)
	p.settings, p.cuts = slices.Clone(slices.Compact(all)), len(sh.Cuts)
	return p
}

// A burden is what a layout asks of the saw. What must not be comes first: cuts of less than a kerf and parts whose
// size is what is left over (blind), then waste strips under 10 mm; then settings, and coming back to one as another;
// then cuts and marks.
type burden struct {
	blind, slivers        int
	settings, marks, cuts int
	again                 int // times that a setting is come back to
}

// faults is what a layout should not have at all.
func (a burden) faults() [2]int { return [2]int{a.blind, a.slivers} }

func (a burden) less(b burden) bool {
	return cmp.Or(cmp.Compare(a.blind, b.blind), cmp.Compare(a.slivers, b.slivers), cmp.Compare(a.settings+a.again, b.settings+b.again),
		cmp.Compare(a.marks+a.cuts, b.marks+b.cuts)) < 0
}

func (pl *planner) burden(bins []*bin) burden {
	var r burden
	all := pl.all[:0]
	for _, b := range bins {
		if b.plan == nil {
			plan := pl.plan(b)
			b.plan = &plan
		}
		all = append(all, b.plan.settings...)
		r.cuts += b.plan.cuts
		r.marks += b.plan.marks
		r.blind += b.plan.blind
		r.slivers += b.plan.slivers
	}
	pl.all = all
	slices.SortFunc(all, setting.compare)
	var last setting
	for i, s := range all {
		if i == 0 || s.tool != last.tool || s.at-last.at > settingSlack {
			last = s
			r.settings++
		}
	}
	return r
}

// binPlan remembers the plan of a bin until the bin changes.
type binPlan struct {
	settings       []setting
	cuts, marks    int
	blind, slivers int
}

// planWork is the work of planning one node of a bin, in places looked at.
const planWork = 60

// fewerFences looks for layouts of the same cost that ask less of the saw, first among those that keep the largest
// offcut. Where none of them is without cuts of less than a kerf, parts that are left over and waste strips, it looks
// among all.
func (p *problem) fewerFences(sol *solution, pl *planner, work int) {
	hold := p.largestFree(sol.bins)
	left := p.ease(sol, pl, hold, work)
	if hold.w > 0 && left != [2]int{} {
		p.ease(sol, pl, reserve{}, work/2)
	}
}

// ease looks for layouts that keep a rectangle free; without a size: none. It returns the faults that are left.
func (p *problem) ease(sol *solution, pl *planner, r reserve, work int) [2]int {
	q := p
	hold := r.w > 0
	if hold {
		q = p.withReserve(r)
	}
	s := newSearch(q, 99, work)
	s.goal = sol.cost
	s.goal.area++
	s.adopt(sol)
	if hold {
		s.begin()
		s.out = append(s.out, int32(len(p.items)))
		s.recreate(0)
		s.keep()
	}
	now := pl.burden(s.bins)
	best := now
	s.snug = true
	for step := 0; s.work > 0; step++ {
		s.begin()
		s.ruin()
		s.closeEmpty()
		s.recreate(40)
		s.consolidate()
		s.work -= 50
		if len(s.out) > 0 {
			s.undo()
			continue
		}
		for _, b := range s.bins {
			if b.plan == nil {
				s.work -= planWork * len(b.nodes)
			}
		}
		b := pl.burden(s.bins)
		s.work -= len(pl.all)
		if now.less(b) {
			s.undo()
			continue
		}
		s.keep()
		now = b
		if now.less(best) {
			best = now
			sol.take(s)
		}
	}
	if hold {
		p.release(sol)
	}
	return best.faults()
}

// release frees the reserved rectangle in a solution. When it had a bin to itself, the parts go into fewer bins than
// was known: that bin is given back.
func (p *problem) release(sol *solution) {
	for i, b := range sol.bins {
		for j := range b.nodes {
			n := &b.nodes[j]
			if n.kind != filled || int(n.item) != len(p.items) {
				continue
			}
			b.clear(int32(j), func(int32) {})
			if b.count == 0 {
				sol.bins = slices.Delete(sol.bins, i, i+1)
				sol.cost = p.costOf(sol.bins)
				sol.done()
			}
			return
		}
	}
}

// adopt starts from a complete solution.
func (s *search) adopt(sol *solution) {
	for _, b := range sol.bins {
		c := s.fresh()
		c.copyFrom(b)
		s.bins = append(s.bins, c)
		s.used[b.typ]++
		s.cost = s.p.add(s.cost, b.typ)
	}
}
