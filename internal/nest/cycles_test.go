package nest

import (
	"fmt"
	"slices"
	"testing"
)

// A shop is the cuts of a layout as a graph, made anew from the names of the pieces: who makes what a cut takes, and at which setting.
type shop struct {
	stage []int    // of each cut: its setting
	after []int    // of each cut: the cut that makes its piece, -1 none
	names []string // of the settings
}

func newShop(l *Layout) shop {
	var s shop
	number := make(map[string]int)
	maker := make(map[string]int)
	for _, b := range l.Batches { // a piece is made before it is taken, as the replay sees
		name := b.Tool + " " + showMM(b.Setting)
		if _, ok := number[name]; !ok {
			number[name] = len(s.names)
			s.names = append(s.names, name)
		}
		for _, ref := range b.Cuts {
			c := l.Sheets[ref.Sheet].Cuts[ref.No-1]
			from := -1
			if k, ok := maker[fmt.Sprint(ref.Sheet, c.Piece)]; ok {
				from = k
			}
			for _, m := range c.Makes {
				maker[fmt.Sprint(ref.Sheet, m)] = len(s.stage)
			}
			s.stage, s.after = append(s.stage, number[name]), append(s.after, from)
		}
	}
	return s
}

// inCycle reports whether cuts of a setting must come both before and after those of another one, on the same piece or on several: it
// follows every chain of settings that leads away from it.
func (s shop) inCycle(stage int) bool {
	seen := make([]bool, len(s.names))
	var leads func(from int) bool
	leads = func(from int) bool {
		for k, at := range s.stage {
			if s.after[k] < 0 || s.stage[s.after[k]] != from || at == from {
				continue
			}
			if at == stage {
				return true
			}
			if !seen[at] {
				seen[at] = true
				if leads(at) {
					return true
				}
			}
		}
		return false
	}
	return leads(stage)
}

// honest sees that a set-up comes twice only where the order of the cuts goes round in a circle.
func honest(l *Layout) error {
	s := newShop(l)
	seen := make(map[string]bool)
	for i, b := range l.Batches {
		name := b.Tool + " " + showMM(b.Setting)
		if seen[name] && !s.inCycle(slices.Index(s.names, name)) {
			return fmt.Errorf("batch %d comes back to %s for nothing", i+1, name)
		}
		seen[name] = true
	}
	return nil
}

// TestCircleFirst: where no setting can be made whole, the one that is come back to is of the circle, not one that only waits for it.
func TestCircleFirst(t *testing.T) {
	var cuts []Cut
	for i, c := range []struct {
		tool  string
		at    Um
		maker int
	}{{Rip, 100, 0}, {Cross, 50, 1}, {Cross, 50, 0}, {Rip, 100, 3}, {Track, 900, 0}, {Track, 900, 2}} {
		var cut Cut
		cut.No, cut.Tool, cut.Setting, cut.maker = i+1, c.tool, c.at*mm, c.maker
		cuts = append(cuts, cut)
	}
	bs, distinct := batches([]Sheet{{Cuts: cuts}}, nil)
	if len(bs) != 4 || distinct != 3 { // the bench saw comes back, the guided one does not
		t.Errorf("%d settings in %d batches: %+v", distinct, len(bs), bs)
	}
}
