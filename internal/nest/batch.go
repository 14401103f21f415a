package nest

import (
	"cmp"
	"slices"
)

// settingSlack is how far two settings may differ and still be one: 0.05 mm, under what a fence can be set to.
const settingSlack = mm / 20

// setting is what the saw is set to for a cut.
type setting struct {
	tool uint8 // index into tools
	at   Um
}

func (c *Cut) set() setting { return setting{uint8(slices.Index(tools[:], c.Tool)), c.Setting} }

// compare orders settings as the work goes: by tool, then by size.
func (s setting) compare(t setting) int {
	return cmp.Or(cmp.Compare(s.tool, t.tool), cmp.Compare(s.at, t.at))
}

// settings gives every cut its setting; those within the slack share the smallest of them. Slanted cuts are set to
// their line, each by itself.
func settings(sheets []Sheet) (of map[CutRef]setting, distinct int) {
	type one struct {
		setting
		ref CutRef
	}
	var all []one
	for i, sh := range sheets {
		for _, c := range sh.Cuts {
			all = append(all, one{c.set(), CutRef{i, c.No}})
		}
	}
	slices.SortStableFunc(all, func(a, b one) int { return a.compare(b.setting) })
	of = make(map[CutRef]setting, len(all))
	var last setting
	for i, c := range all {
		if i == 0 || c.tool != last.tool || c.at-last.at > settingSlack {
			last = c.setting
			distinct++
		}
		of[c.ref] = last
	}
	return of, distinct
}

// tools in the order of the work: break down, rip, cross-cut, slant.
var tools = [...]string{Track, Rip, Stop, Taper}

// batches puts all cuts in an order of work that gathers equal settings: a batch holds every cut that can be made at
// its setting by then. Batches that need not be come back to go first; among those tools go in order, wide before
// narrow. No batch needs a piece that is not made yet.
func batches(sheets []Sheet, stop stopper) ([]Batch, int) {
	of, distinct := settings(sheets)
	maker := make(map[string]CutRef) // the cut that makes a piece
	for i, sh := range sheets {
		for _, c := range sh.Cuts {
			for _, m := range c.Makes {
				if m != "" && m != waste {
					maker[m] = CutRef{i, c.No}
				}
			}
		}
	}
	todo := make(map[setting][]CutRef)
	var order []setting
	for i, sh := range sheets {
		for _, c := range sh.Cuts {
			ref := CutRef{i, c.No}
			s := of[ref]
			if len(todo[s]) == 0 {
				order = append(order, s)
			}
			todo[s] = append(todo[s], ref)
		}
	}
	slices.SortFunc(order, func(a, b setting) int {
		return cmp.Or(cmp.Compare(a.tool, b.tool), cmp.Compare(b.at, a.at))
	})
	done := make(map[CutRef]bool)
	pieceOf := func(r CutRef) string { return sheets[r.Sheet].Cuts[r.No-1].Piece }
	var bs []Batch
	for len(order) > 0 {
		stop.ask()
		pick, whole, most := -1, false, 0
		for i, s := range order {
			n := ready(todo[s], maker, done, pieceOf)
			all := n == len(todo[s])
			if n > 0 && (pick < 0 || all && !whole || !whole && n > most) {
				pick, whole, most = i, all, n
			}
		}
		s := order[pick]
		b := Batch{Tool: tools[s.tool], Setting: s.at}
		var later []CutRef
		for _, ref := range todo[s] {
			m, made := maker[pieceOf(ref)]
			if made && !done[m] {
				later = append(later, ref)
				continue
			}
			done[ref] = true
			b.Cuts = append(b.Cuts, ref)
		}
		bs = append(bs, b)
		if todo[s] = later; len(later) == 0 {
			order = slices.Delete(order, pick, pick+1)
		}
	}
	return bs, distinct
}

// ready counts the cuts that can be made in one go, where a cut may use what an earlier one of them makes.
func ready(cuts []CutRef, maker map[string]CutRef, done map[CutRef]bool, pieceOf func(CutRef) string) int {
	n := 0
	var now map[CutRef]bool
	for _, ref := range cuts {
		m, made := maker[pieceOf(ref)]
		if made && !done[m] && !now[m] {
			continue
		}
		if now == nil {
			now = make(map[CutRef]bool)
		}
		now[ref] = true
		n++
	}
	return n
}
