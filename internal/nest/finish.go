package nest

import (
	"cmp"
	"fmt"
	"slices"
)

// finish names the offcuts, writes the cuts and gathers them into batches.
func (l *Layout) finish(parts []Part, saw Saw, stop stopper) {
	l.nameOffcuts()
	shared := sharedLengths(parts)
	l.sequence(saw, stop, shared)
	l.comeBackLess(saw, stop, shared)
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

// mostOrders is how many pieces get another order of their cuts in turn: with more, all have the same.
const mostOrders = 60

// comeBackLess cuts pieces to size across their rows first where that spares coming back to a setting: all of them, then each in turn.
func (l *Layout) comeBackLess(saw Saw, stop stopper, shared func(Um) bool) {
	var all []*slab
	for i := range l.Sheets {
		l.Sheets[i].root.walk(func(s *slab) {
			if !s.free() {
				all = append(all, s)
			}
		})
	}
	try := func(of []*slab) bool {
		if len(l.Batches) == l.Settings {
			return false
		}
		kept := l.kept()
		for _, s := range of {
			s.across = !s.across
		}
		if l.sequence(saw, stop, shared); len(l.Batches)-l.Settings < len(kept.Batches)-kept.Settings && len(l.Batches) <= len(kept.Batches) {
			return true
		}
		for _, s := range of {
			s.across = !s.across
		}
		l.restore(kept)
		return false
	}
	for more := try(all) || len(all) <= mostOrders; more && len(all) <= mostOrders; {
		more = false
		for i := range all {
			more = try(all[i:i+1]) || more
		}
	}
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
	type one struct {
		o *Offcut
	}
	var all []one
	for i := range l.Sheets {
		sh := &l.Sheets[i]
		for j := range sh.Offcuts {
			all = append(all, one{&sh.Offcuts[j]})
		}
	}
	slices.SortStableFunc(all, func(a, b one) int {
		if a.o.Reusable != b.o.Reusable {
			if a.o.Reusable {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.o.Width*b.o.Height, a.o.Width*a.o.Height)
	})
	for i, a := range all {
		a.o.Name = fmt.Sprintf("offcut %d", i+1)
	}
	for i := range l.Sheets {
		sh := &l.Sheets[i]
		named := make(map[[2]Um]string)
		for _, o := range sh.Offcuts {
			named[[2]Um{o.X, o.Y}] = o.Name
		}
		sh.root.walk(func(s *slab) {
			if s.lies.w > 0 {
				s.name = named[[2]Um{s.lies.x, s.lies.y}]
			}
		})
		slices.SortStableFunc(sh.Offcuts, func(a, b Offcut) int { return cmp.Compare(b.Width*b.Height, a.Width*a.Height) })
	}
}

// sharedBy is how many pieces of one length are cut at one stop on one tool, whatever else that asks: the walls of a box.
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
