package nest

import (
	"cmp"
	"fmt"
	"slices"
)

// finish names the offcuts, writes the cuts and gathers them into batches; as laid, their order is the first one.
func (l *Layout) finish(parts []Part, saw Saw, asLaid bool, stop stopper) {
	l.nameOffcuts()
	shared := sharedLengths(parts)
	write := func() { l.sequence(saw, stop, shared) }
	write()
	if !asLaid && l.comeBackLess(write) { // an offcut may have lost a factory edge
		write()
		for i := range l.Sheets {
			l.Sheets[i].listOffcuts()
		}
		l.nameOffcuts()
		write()
	}
	for i := range l.Sheets {
		sh := &l.Sheets[i]
		used := Um(0)
		for _, p := range sh.Placements {
			used += p.Width * p.Height
		}
		for _, o := range sh.Offcuts {
			if o.Reusable {
				used += o.Width * o.Height
			}
		}
		sh.Waste = 1 - float64(used)/float64(sh.Width*sh.Height)
	}
}

// mostOrders is how many slabs get another order of their cuts in turn: with more, all have the same.
const mostOrders = 60

// An orderer looks for the ways to cut slabs that come back to fewest settings.
type orderer struct {
	l     *Layout
	write func() // writes the sequence
	slabs []*slab
	best  burden
	kept  Layout // the sequence that is as good as best
}

// comeBackLess takes other ways to cut slabs where the sequence comes back to a setting: from each way for all of them,
// each slab in turn. It reports whether any was taken.
func (l *Layout) comeBackLess(write func()) (changed bool) {
	o := orderer{l: l, write: write}
	for i := range l.Sheets {
		l.Sheets[i].root.walk(func(s *slab) {
			if !s.free() {
				o.slabs = append(o.slabs, s)
			}
		})
	}
	first, kept, ways := l.toil(), l.kept(), o.ways()
	for w := range allWays {
		if first.again == 0 {
			break
		}
		if o.from(w); o.best.less(first) {
			first, kept, ways, changed = o.best, o.kept, o.ways(), true
		}
	}
	for i, s := range o.slabs {
		s.way = ways[i]
	}
	l.restore(kept)
	return changed
}

func (o *orderer) ways() []way {
	ways := make([]way, len(o.slabs))
	for i, s := range o.slabs {
		ways[i] = s.way
	}
	return ways
}

// from begins with one way for all and goes on with each slab in turn while that helps.
func (o *orderer) from(w way) {
	for _, s := range o.slabs {
		s.way = w & (s.ways() - 1)
	}
	o.write()
	o.best, o.kept = o.l.toil(), o.l.kept()
	for more := len(o.slabs) <= mostOrders; more; {
		more = false
		for _, s := range o.slabs {
			for w := range s.ways() {
				more = o.try(s, w) || more
			}
		}
	}
}

// try cuts one slab another way and keeps it where that is better.
func (o *orderer) try(s *slab, w way) bool {
	was := s.way
	if w == was || o.best.again == 0 {
		return false
	}
	s.way = w
	o.write()
	if now := o.l.toil(); now.less(o.best) {
		o.best, o.kept = now, o.l.kept()
		return true
	}
	s.way = was
	return false
}

// toil is what a sequence asks of the saw, with each batch as a setting.
func (l *Layout) toil() burden {
	n := burden{again: len(l.Batches) - l.Settings, settings: len(l.Batches)}
	for _, sh := range l.Sheets {
		n.cuts += len(sh.Cuts)
		for _, c := range sh.Cuts {
			if c.blind() {
				n.blind++
			}
			if c.sliver {
				n.slivers++
			}
		}
	}
	return n
}

// sequence writes the cuts of all sheets and puts them in order.
func (l *Layout) sequence(saw Saw, stop stopper, shared func(Um) bool) {
	for i := range l.Sheets {
		stop.ask()
		c := cutter{saw: saw, sheet: &l.Sheets[i], no: i + 1}
		c.sheet.Cuts = nil
		c.cutSheet()
	}
	oneTool(l.Sheets, saw.Step)
	l.Batches, l.Settings = batches(l.Sheets, stop)
	if otherTool(l, saw.Step, shared) {
		l.Batches, l.Settings = batches(l.Sheets, stop)
	}
}

// kept is the sequence as it stands, restore takes it back.
func (l *Layout) kept() Layout {
	k := *l
	k.Sheets = slices.Clone(l.Sheets)
	return k
}

func (l *Layout) restore(k Layout) {
	for i := range l.Sheets {
		l.Sheets[i].Cuts = k.Sheets[i].Cuts
	}
	l.Batches, l.Settings = k.Batches, k.Settings
}

// nameOffcuts numbers the offcuts over the whole job: reusable ones first, then by size.
func (l *Layout) nameOffcuts() {
	var all []*Offcut
	for i := range l.Sheets {
		sh := &l.Sheets[i]
		for j := range sh.Offcuts {
			all = append(all, &sh.Offcuts[j])
		}
	}
	slices.SortStableFunc(all, func(a, b *Offcut) int {
		if a.Reusable != b.Reusable {
			if a.Reusable {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.Width*b.Height, a.Width*a.Height)
	})
	for i, a := range all {
		a.Name = fmt.Sprintf("offcut %d", i+1)
	}
	for i := range l.Sheets {
		sh := &l.Sheets[i]
		named := make(map[[2]Um]string)
		for _, o := range sh.Offcuts {
			named[[2]Um{o.X, o.Y}] = o.Name
		}
		sh.root.walk(func(s *slab) {
			if s.lies.size[0] > 0 {
				s.name = named[s.lies.at]
			}
		})
		slices.SortStableFunc(sh.Offcuts, func(a, b Offcut) int { return cmp.Compare(b.Width*b.Height, a.Width*a.Height) })
	}
}

// sharedBy is how many pieces of one length are cut at one stop on one tool, whatever else that asks: the walls of a
// box.
const sharedBy = 3

// sharedLengths tells which lengths so many pieces share.
func sharedLengths(parts []Part) func(Um) bool {
	var all []Um
	for _, p := range parts {
		for range p.Count {
			all = append(all, p.Length)
		}
	}
	slices.Sort(all)
	return func(u Um) bool {
		i, _ := slices.BinarySearch(all, u-settingSlack)
		j, _ := slices.BinarySearch(all, u+settingSlack+1)
		return j-i >= sharedBy
	}
}
