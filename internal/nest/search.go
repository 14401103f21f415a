package nest

import (
	"slices"
)

// The search takes some items out of the bins and lays them again, over and over (ruin and recreate: Schrimpf,
// Schneider, Stamm-Wilbrandt and Dueck 2000), with a goal that only counts: every bin set that costs less than the
// best complete layout so far is open to it, and it works on the area that is still left over until that is nothing;
// then the goal is lowered (for guillotine bins of several sizes: Gardeyn and Wauters, A goal-driven ruin and
// recreate heuristic, 2022). A worse state is accepted if it beats the one that stood some steps ago (late
// acceptance: Burke and Bykov 2017).

type search struct {
	p    *problem
	r    rng
	work int // work units left

	laid
	before laid // this step

	pool     []*bin // bins to reuse
	replaced []*bin // bins that stood before this step touched them
	keys     []int64

	snug bool // prefer places that fit without a leftover at one side
	goal cost // a complete layout must cost less than this
}

// laid is what lies where.
type laid struct {
	bins []*bin
	out  []int32 // items not laid
	cost cost
	used []int // bins of each type in use
}

// copyFrom makes l the same as from, in memory of its own.
func (l *laid) copyFrom(from *laid) {
	l.bins, l.out, l.used = append(l.bins[:0], from.bins...), append(l.out[:0], from.out...), append(l.used[:0], from.used...)
	l.cost = from.cost
}

func newSearch(p *problem, seed uint64, work int) *search {
	return &search{p: p, r: rng(seed), work: work, laid: laid{used: make([]int, len(p.types))}}
}

func (s *search) fresh() *bin {
	if n := len(s.pool); n > 0 {
		b := s.pool[n-1]
		s.pool = s.pool[:n-1]
		return b
	}
	return &bin{}
}

// touch makes bin i private to this step.
func (s *search) touch(i int) *bin {
	b := s.bins[i]
	if b.private {
		return b
	}
	c := s.fresh()
	c.copyFrom(b)
	c.private = true
	s.replaced = append(s.replaced, b)
	s.bins[i] = c
	return c
}

func (s *search) begin() {
	s.replaced = s.replaced[:0]
	s.before.copyFrom(&s.laid)
}

// undo takes back everything since begin.
func (s *search) undo() {
	for _, b := range s.bins {
		if b.private {
			s.pool = append(s.pool, b)
		}
	}
	s.laid.copyFrom(&s.before)
}

// keep makes everything since begin lasting.
func (s *search) keep() {
	s.pool = append(s.pool, s.replaced...)
	for _, b := range s.bins {
		b.private = false
	}
	s.closeEmpty()
}

// closeEmpty gives back bins with nothing in them; all such bins must be private or the step over.
func (s *search) closeEmpty() {
	n := 0
	for _, b := range s.bins {
		if b.count == 0 {
			s.used[b.typ]--
			s.cost = s.p.sub(s.cost, b.typ)
			s.pool = append(s.pool, b)
			continue
		}
		s.bins[n] = b
		n++
	}
	s.bins = s.bins[:n]
}

// place is somewhere that an item could go.
type place struct {
	bin    int
	node   int32
	loss   float64
	turned bool
	alongX bool
	ok     bool
}

// square is the value of a free rectangle: one large one is worth more than two small ones of the same area.
func square(w, h int64) float64 {
	a := float64(w) * float64(h)
	return float64(a * a)
}

// try looks at laying w x h in the free node.
func (best *place) try(b int, i int32, nw, nh, w, h int64, turned, snug bool) {
	if w > nw || h > nh {
		return
	}
	whole := square(nw, nh)
	x := whole - square(nw-w, nh) - square(w, nh-h)
	y := whole - square(nw, nh-h) - square(nw-w, h)
	alongX := x <= y
	if !alongX {
		x = y
	}
	if snug {
		x = float64(min(nw-w, nh-h))
	}
	if !best.ok || x < best.loss {
		*best = place{b, i, x, turned, alongX, true}
	}
}

// find looks for the place where the item wastes least. One place in blink is overlooked, so that the search does
// not always build the same layout; 0 overlooks none.
func (s *search) find(it item, from int, blink int) place {
	s.p.stop.ask()
	var best place
	both := it.turn && it.w != it.h
	snug := s.snug && s.r.below(2) == 0
	for i := from; i < len(s.bins); i++ {
		b := s.bins[i]
		if b.room < it.area {
			continue
		}
		s.work -= len(b.nodes)
		for j := range b.nodes {
			n := &b.nodes[j]
			if n.kind != free || n.area() < it.area {
				continue
			}
			if blink > 0 && s.r.below(blink) == 0 {
				continue
			}
			best.try(i, int32(j), n.size[0], n.size[1], it.w, it.h, false, snug)
			if both {
				best.try(i, int32(j), n.size[0], n.size[1], it.h, it.w, true, snug)
			}
		}
	}
	return best
}

// open adds an empty bin that keeps the cost below the goal and holds the item, offcuts first; random says that any
// other suitable type may be taken instead.
func (s *search) open(it item, random bool) bool {
	pick, seen := -1, 0
	for t, bt := range s.p.types {
		if s.used[t] >= bt.limit || !it.fits(bt) || !s.p.add(s.cost, t).less(s.goal) {
			continue
		}
		seen++
		if pick < 0 || random && !(bt.offcut && bt.cost == 0) && s.r.below(seen) == 0 {
			pick = t
		}
	}
	if pick < 0 {
		return false
	}
	b := s.fresh()
	b.reset(pick, s.p.types[pick].w, s.p.types[pick].h)
	b.private = true
	s.bins = append(s.bins, b)
	s.used[pick]++
	s.cost = s.p.add(s.cost, pick)
	return true
}

// recreate lays the items that are out, in an order of its own choosing; those that find no place stay out.
func (s *search) recreate(blink int) {
	s.order(blink > 0)
	left := s.out[:0]
	for _, k := range s.out {
		it := s.p.items[k]
		pl := s.find(it, 0, blink)
		if !pl.ok && s.open(it, blink > 0) {
			pl = s.find(it, len(s.bins)-1, 0)
		}
		if !pl.ok {
			left = append(left, k)
			continue
		}
		w, h := it.w, it.h
		if pl.turned {
			w, h = h, w
		}
		s.touch(pl.bin).put(pl.node, k, w, h, pl.turned, pl.alongX)
	}
	s.out = left
}

// order sorts the items that are out: by area, by the longer side, by width, by height, or by area with noise.
func (s *search) order(random bool) {
	how := 0
	if random {
		how = s.r.below(8)
	}
	key := func(k int32) int64 {
		it := s.p.items[k]
		switch how {
		case 1:
			return max(it.w, it.h)
		case 2:
			return it.w
		case 3:
			return it.h
		case 4, 5:
			return it.area / 8 * int64(4+s.r.below(8))
		}
		return it.area
	}
	if cap(s.keys) < len(s.p.items) {
		s.keys = make([]int64, len(s.p.items))
	}
	s.keys = s.keys[:len(s.p.items)]
	for _, k := range s.out {
		s.keys[k] = key(k)
	}
	slices.SortFunc(s.out, func(a, b int32) int {
		if c := s.keys[b] - s.keys[a]; c != 0 {
			if c > 0 {
				return 1
			}
			return -1
		}
		if c := s.p.items[b].area - s.p.items[a].area; c != 0 {
			if c > 0 {
				return 1
			}
			return -1
		}
		return int(a - b)
	})
}

// ruin takes items out: whole bins, or branches of some of them.
func (s *search) ruin() {
	out := func(k int32) { s.out = append(s.out, k) }
	if len(s.bins) == 0 {
		return
	}
	if s.r.below(4) == 0 {
		for range 1 + s.r.below(2) {
			s.touch(s.r.below(len(s.bins))).clear(0, out)
		}
		return
	}
	want := len(s.out) + 1 + s.r.below(10)
	near := 1 + s.r.below(3)
	for range near {
		b := s.touch(s.r.below(len(s.bins)))
		for tries := 0; tries < 8 && b.count > 0 && len(s.out) < want; tries++ {
			i := int32(s.r.below(len(b.nodes)))
			n := &b.nodes[i]
			if n.kind == free || (n.parent == none && b.count > 3) {
				continue
			}
			b.clear(i, out)
		}
	}
}

// consolidate gathers the free board of the bins that this step changed.
func (s *search) consolidate() {
	for _, b := range s.bins {
		if b.private {
			b.consolidate(0)
		}
	}
}

// value is what the search makes small: the area left out, less a little for free area that hangs together.
func (s *search) value() float64 {
	left := 0.0
	for _, k := range s.out {
		left += float64(s.p.items[k].area)
	}
	return left - float64(compactShare*s.compact())
}

// compactShare weighs compactness against the area left out.
const compactShare = 0.03

func (s *search) compact() float64 {
	sum := 0.0
	for _, b := range s.bins {
		t := s.p.types[b.typ]
		sq := 0.0
		for i := range b.nodes {
			if n := &b.nodes[i]; n.kind == free && n.size[0] > 0 {
				sq += square(n.size[0], n.size[1])
			}
		}
		sum += sq / float64(t.w*t.h)
	}
	return sum
}

// run works until everything is laid for less than the goal (true) or the work is used up.
func (s *search) run() bool {
	const memory = 60
	var past [memory]float64
	now := s.value()
	for i := range past {
		past[i] = now
	}
	for step := 0; len(s.out) > 0; step++ {
		if s.work <= 0 {
			return false
		}
		s.work -= 20
		s.begin()
		s.ruin()
		s.closeEmpty()
		s.recreate(60)
		s.consolidate()
		v := s.value()
		if len(s.out) == 0 {
			s.keep()
			return true
		}
		if h := &past[step%memory]; v <= *h || v <= now {
			s.keep()
			now = v
			*h = min(*h, v)
		} else {
			s.undo()
			*h = min(*h, now)
		}
	}
	return true
}
