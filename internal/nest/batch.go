package nest

import (
	"cmp"
	"math/big"
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
	no    int // in order of work, from 0
	open  int // cuts whose piece is made at another setting, and not yet
	ready int // cuts that can be made now
}

// A workbench is all cuts with their stages, those in the order of the work.
type workbench struct {
	sheets []Sheet
	next   [][][]int  // of each cut: the cuts of what it makes
	can    [][]bool   // of each cut: it can be made now
	at     [][]*stage // of each cut
	stages []*stage
}

func newWorkbench(sheets []Sheet, of map[CutRef]setting) *workbench {
	b := &workbench{sheets, make([][][]int, len(sheets)), make([][]bool, len(sheets)), make([][]*stage, len(sheets)), nil}
	stages := make(map[setting]*stage)
	for i, sh := range sheets {
		n := len(sh.Cuts)
		b.next[i], b.can[i], b.at[i] = make([][]int, n+1), make([]bool, n), make([]*stage, n)
		for k, c := range sh.Cuts {
			ref := CutRef{i, c.No}
			s := stages[of[ref]]
			if s == nil {
				s = &stage{setting: of[ref]}
				stages[of[ref]], b.stages = s, append(b.stages, s)
			}
			s.cuts, b.at[i][k] = append(s.cuts, ref), s
			b.next[i][c.maker] = append(b.next[i][c.maker], k)
			if c.maker == 0 {
				b.can[i][k] = true
				s.ready++
			} else if b.at[i][c.maker-1] != s {
				s.open++
			}
		}
	}
	slices.SortFunc(b.stages, func(x, y *stage) int { return cmp.Or(cmp.Compare(x.tool, y.tool), cmp.Compare(y.at, x.at)) })
	for i, s := range b.stages {
		s.no = i
	}
	return b
}

// batches puts all cuts in an order of work that gathers equal settings: a batch holds every cut that can be made at
// its setting by then. Batches that need not be come back to go first, among those tools go in order, wide before
// narrow; the saw comes back to a setting only where its cuts come both before and after those of another. No batch
// needs a piece that is not made yet.
func batches(sheets []Sheet, stop stopper) ([]Batch, int) {
	of, distinct := settings(sheets)
	b := newWorkbench(sheets, of)
	var whole, some big.Int // stages as bits, by their number: of which all, and of which some cuts can be made
	mark := func(set *big.Int, s *stage, in bool) {
		bit := uint(0)
		if in {
			bit = 1
		}
		set.SetBit(set, s.no, bit)
	}
	note := func(s *stage) {
		mark(&whole, s, s.open == 0 && len(s.cuts) > 0)
		mark(&some, s, s.ready > 0)
	}
	for _, s := range b.stages {
		note(s)
	}
	var bs []Batch
	for {
		stop.ask()
		set := &whole
		if whole.Sign() == 0 {
			set = &some
		}
		if set.Sign() == 0 {
			return bs, distinct
		}
		s := b.stages[set.TrailingZeroBits()]
		if s.open > 0 {
			s = b.inCircle(s)
		}
		bs = append(bs, Batch{Tool: tools[s.tool], Setting: s.at, Cuts: b.make(s, note)})
		s.ready = 0
		note(s)
	}
}

// inCircle gives a stage that must be come back to, where no stage can be made whole: it goes from a cut that waits to
// the one that can be made now and that it waits for, until it meets a stage again. Cuts of that stage come before and
// after cuts of others.
func (b *workbench) inCircle(s *stage) *stage {
	met := make(map[*stage]bool)
	for !met[s] {
		met[s] = true
		for _, ref := range s.cuts {
			cuts, can, at, k := b.sheets[ref.Sheet].Cuts, b.can[ref.Sheet], b.at[ref.Sheet], ref.No-1
			if can[k] || at[cuts[k].maker-1] == s {
				continue
			}
			for !can[k] {
				k = cuts[k].maker - 1
			}
			s = at[k]
			break
		}
	}
	return s
}

// make makes what can be made at a setting, where a cut may use what an earlier one of them makes; note is called for
// each other stage that has more to make then.
func (b *workbench) make(s *stage, note func(*stage)) (made []CutRef) {
	for left := s.cuts; ; {
		var later []CutRef
		for _, ref := range left {
			if !b.can[ref.Sheet][ref.No-1] {
				later = append(later, ref)
				continue
			}
			made = append(made, ref)
			for _, k := range b.next[ref.Sheet][ref.No] {
				b.can[ref.Sheet][k] = true
				if t := b.at[ref.Sheet][k]; t != s {
					t.open--
					t.ready++
					note(t)
				}
			}
		}
		if s.cuts = later; len(later) == 0 || len(later) == len(left) {
			return made
		}
		left = later
	}
}
