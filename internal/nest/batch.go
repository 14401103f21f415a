package nest

import (
	"cmp"
	"container/heap"
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
var tools = [...]string{Track, Rip, Cross, Taper}

// The tools as indices into tools.
const (
	toolTrack = iota
	toolRip
	toolCross
	toolTaper
)

// A stage is all cuts at one setting while they are put in order.
type stage struct {
	setting
	cuts  []CutRef
	open  int    // cuts whose piece is made at another setting, and not yet
	ready int    // cuts that can be made now
	slot  [2]int // place in the two heaps, -1 none
}

// batches puts all cuts in an order of work that gathers equal settings: a batch holds every cut that can be made at
// its setting by then. Batches that need not be come back to go first, among those tools go in order, wide before
// narrow; the saw comes back to a setting only where its cuts come both before and after those of another. No batch
// needs a piece that is not made yet. The work grows with the cuts and the logarithm of the settings.
func batches(sheets []Sheet, stop stopper) ([]Batch, int) {
	of, distinct := settings(sheets)
	stages := make(map[setting]*stage)
	next := make([][][]int, len(sheets)) // of each cut: the cuts of what it makes
	can := make([][]bool, len(sheets))
	at := make([][]*stage, len(sheets))
	var all []*stage
	for i, sh := range sheets {
		n := len(sh.Cuts)
		next[i], can[i], at[i] = make([][]int, n+1), make([]bool, n), make([]*stage, n)
		for k, c := range sh.Cuts {
			ref := CutRef{i, c.No}
			s := stages[of[ref]]
			if s == nil {
				s = &stage{setting: of[ref], slot: [2]int{-1, -1}}
				stages[of[ref]] = s
				all = append(all, s)
			}
			s.cuts = append(s.cuts, ref)
			at[i][k] = s
			next[i][c.maker] = append(next[i][c.maker], k)
			if c.maker == 0 {
				can[i][k] = true
				s.ready++
			} else if at[i][c.maker-1] != s {
				s.open++
			}
		}
	}
	whole, some := &stageHeap{which: 0}, &stageHeap{which: 1}
	for _, s := range all {
		whole.set(s, s.open == 0)
		some.set(s, s.ready > 0)
	}
	var bs []Batch
	for {
		stop.ask()
		s := whole.first()
		if s == nil {
			s = some.first()
		}
		if s == nil {
			return bs, distinct
		}
		if s.open > 0 {
			s = s.inCircle(sheets, can, at)
		}
		b := Batch{Tool: tools[s.tool], Setting: s.at}
		b.Cuts = s.make(func(ref CutRef) bool { return can[ref.Sheet][ref.No-1] }, func(ref CutRef) {
			for _, k := range next[ref.Sheet][ref.No] {
				can[ref.Sheet][k] = true
				if t := at[ref.Sheet][k]; t != s {
					t.open--
					t.ready++
					whole.set(t, t.open == 0)
					some.set(t, true)
				}
			}
		})
		s.ready = 0
		some.set(s, false)
		whole.set(s, false)
		bs = append(bs, b)
	}
}

// inCircle gives a stage that must be come back to, where no stage can be made whole: it goes from a cut that waits to the one that can
// be made now and that it waits for, until it meets a stage again. Cuts of that stage come before and after cuts of others.
func (s *stage) inCircle(sheets []Sheet, can [][]bool, at [][]*stage) *stage {
	met := make(map[*stage]bool)
	for !met[s] {
		met[s] = true
		for _, ref := range s.cuts {
			cuts, k := sheets[ref.Sheet].Cuts, ref.No-1
			if can[ref.Sheet][k] || at[ref.Sheet][cuts[k].maker-1] == s {
				continue
			}
			for !can[ref.Sheet][k] {
				k = cuts[k].maker - 1
			}
			s = at[ref.Sheet][k]
			break
		}
	}
	return s
}

// make makes what can be made at a setting, where a cut may use what an earlier one of them makes.
func (s *stage) make(can func(CutRef) bool, made func(CutRef)) []CutRef {
	var out []CutRef
	for left := s.cuts; ; {
		var later []CutRef
		for _, ref := range left {
			if !can(ref) {
				later = append(later, ref)
				continue
			}
			out = append(out, ref)
			made(ref)
		}
		if s.cuts = later; len(later) == 0 || len(later) == len(left) {
			return out
		}
		left = later
	}
}

// stageHeap gives the first stage of those in it, in order of work.
type stageHeap struct {
	which int
	all   []*stage
}

func (h *stageHeap) Len() int { return len(h.all) }
func (h *stageHeap) Less(i, j int) bool {
	a, b := h.all[i].setting, h.all[j].setting
	return cmp.Or(cmp.Compare(a.tool, b.tool), cmp.Compare(b.at, a.at)) < 0
}
func (h *stageHeap) Swap(i, j int) {
	h.all[i], h.all[j] = h.all[j], h.all[i]
	h.all[i].slot[h.which], h.all[j].slot[h.which] = i, j
}

// Push and Pop are for package heap.
func (h *stageHeap) Push(x any) {
	s := x.(*stage)
	s.slot[h.which] = len(h.all)
	h.all = append(h.all, s)
}

// Pop takes the last one off.
func (h *stageHeap) Pop() any {
	s := h.all[len(h.all)-1]
	h.all = h.all[:len(h.all)-1]
	s.slot[h.which] = -1
	return s
}

// set puts a stage in or takes it out.
func (h *stageHeap) set(s *stage, in bool) {
	switch i := s.slot[h.which]; {
	case in && i < 0 && len(s.cuts) > 0:
		heap.Push(h, s)
	case !in && i >= 0:
		heap.Remove(h, i)
	}
}

func (h *stageHeap) first() *stage {
	if len(h.all) == 0 {
		return nil
	}
	return h.all[0]
}
