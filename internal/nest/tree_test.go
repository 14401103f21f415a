package nest

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

// sound reports a fault in the links or sizes of the tree.
func (b *bin) sound() error {
	room, count := int64(0), 0
	seen := make(map[int32]bool)
	var visit func(i int32) error
	visit = func(i int32) error {
		n := b.nodes[i]
		if seen[i] {
			return fmt.Errorf("node %d is reached twice", i)
		}
		seen[i] = true
		if n.void() {
			return fmt.Errorf("node %d is %v", i, n.size)
		}
		switch n.kind {
		case free:
			room += n.area()
		case filled:
			count++
		}
		if (n.kind == free || n.kind == filled) != (n.first == none) {
			return fmt.Errorf("node %d of kind %d: first child %d", i, n.kind, n.first)
		}
		sum, frees, kids, prev := int64(0), 0, 0, none
		for c := n.first; c != none; c = b.nodes[c].next {
			k := b.nodes[c]
			if k.parent != i || k.prev != prev || k.kind == n.kind {
				return fmt.Errorf("node %d is linked wrongly below %d", c, i)
			}
			if k.kind == free {
				frees++
			}
			kids++
			if across := n.kind.other().axis(); k.size[across] != n.size[across] {
				return fmt.Errorf("node %d does not span its parent", c)
			}
			sum += k.size[n.kind.axis()]
			prev = c
			if err := visit(c); err != nil {
				return err
			}
		}
		if n.first != none && sum != n.size[n.kind.axis()] {
			return fmt.Errorf("the children of node %d do not fill it", i)
		}
		if frees > 1 || kids == 1 {
			return fmt.Errorf("node %d has %d free of %d children", i, frees, kids)
		}
		return nil
	}
	if err := visit(0); err != nil {
		return err
	}
	if room != b.room || count != b.count {
		return fmt.Errorf("room %d count %d, kept %d %d", room, count, b.room, b.count)
	}
	return nil
}

// TestTreeStaysSound puts, clears and consolidates at random.
func TestTreeStaysSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := &problem{types: []binType{{w: 20, h: 14, cost: 1, limit: 1}}}
		for range 30 {
			w, h := rapid.Int64Range(1, 8).Draw(t, "w"), rapid.Int64Range(1, 8).Draw(t, "h")
			p.items = append(p.items, item{w: w, h: h, turn: true, area: w * h})
		}
		s := newSearch(p, rapid.Uint64().Draw(t, "seed"), 1<<30)
		s.goal = cost{money: 99}
		for i := range p.items {
			s.out = append(s.out, int32(i))
		}
		for range 20 {
			s.begin()
			s.ruin()
			s.closeEmpty()
			s.recreate(5)
			if rapid.Bool().Draw(t, "consolidate") {
				for i := range s.bins {
					s.touch(i).consolidate(0)
				}
			}
			for _, b := range s.bins {
				if err := b.sound(); err != nil {
					t.Fatal(err)
				}
			}
			if rapid.Bool().Draw(t, "keep") {
				s.keep()
			} else {
				s.undo()
			}
		}
	})
}

// TestLargestFree holds that the largest of the free pieces is that of the most board, the kerf off.
func TestLargestFree(t *testing.T) {
	p := &problem{unit: 1000, kerf: 3000}
	bins := []*bin{{nodes: []node{{size: size{900, 100}, kind: free}, {size: size{400, 400}, kind: free}, {size: size{2000, 3}, kind: free}}},
		{nodes: []node{{size: size{500, 300}, kind: free}, {size: size{900, 900}, kind: filled}}}}
	if got := p.largestFree(bins); got != (reserve{400, 400}) {
		t.Errorf("largest free piece %v, want 400 x 400", got)
	}
}
