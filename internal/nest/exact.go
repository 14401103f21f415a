package nest

import (
	"cmp"
	"math/bits"
	"slices"
)

// The exact search fills one bin after another. The largest part that is left goes into the next bin, together with
// a set of others to which none of the rest can be added: some cheapest layout has that form, since a part may always
// move to an earlier bin that has room for it (bin completion: Korf, An improved algorithm for optimal bin packing,
// 2003). Which sets one bin holds is found exactly: the smallest rectangles from which a set can be cut edge to edge
// are built from those of its subsets (after Wang, Two algorithms for constrained two-dimensional cutting stock
// problems, 1983). Dual-feasible functions bound what the rest will cost.

// maxExact is the most parts that the exact search takes: sets of them are bits of one word.
const maxExact = 40

// maxFunctions is how many pairs of dual-feasible functions bound the exact search.
const maxFunctions = 8

// A box is a smallest rectangle for a set of items, and how it is cut.
type box struct {
	w, h   int64
	left   uint64 // the set of the first part; 0: a single item
	li, ri int32  // which boxes of the two sets
	axis   kind
	turned bool
}

type verdict int

const (
	unknown verdict = iota
	proved          // no cheaper layout exists
	found           // a cheaper layout is in solution
)

type exact struct {
	p      *problem
	order  []int32 // item of each bit, largest first
	same   []bool  // bit i is an item like bit i-1
	w, h   int64   // largest bin
	fronts map[uint64][]box
	pairs  []exactPair
	left   []int // bins of each type still to be had
	spent  int64
	best   int64 // money to beat
	work   int
	dead   map[string]bool // states from which nothing cheaper comes
	chosen []choice
	key    []byte
}

type exactPair struct {
	weight   []int64 // by bit
	capacity []int64
}

// choice is one filled bin.
type choice struct {
	typ int
	set uint64
	box int32
}

// improve looks for a layout that costs less money than sol, or proves that there is none.
func (p *problem) improve(sol *solution, work int) (verdict, int) {
	if len(p.items) > maxExact || work <= 0 {
		return unknown, work
	}
	x := &exact{p: p, work: work, best: sol.cost.money, fronts: make(map[uint64][]box), dead: make(map[string]bool)}
	x.prepare()
	ok := x.fill(uint64(1)<<len(x.order) - 1)
	switch {
	case ok:
		x.build(sol)
		return found, x.work
	case x.work > 0:
		return proved, x.work
	}
	return unknown, 0
}

func (x *exact) prepare() {
	p := x.p
	for i := range p.items {
		x.order = append(x.order, int32(i))
	}
	slices.SortFunc(x.order, func(a, b int32) int {
		ia, ib := p.items[a], p.items[b]
		return cmp.Or(cmp.Compare(ib.area, ia.area), cmp.Compare(ib.w, ia.w), cmp.Compare(a, b))
	})
	for i, k := range x.order {
		like := false
		if i > 0 {
			a, b := p.items[x.order[i-1]], p.items[k]
			like = a.w == b.w && a.h == b.h && a.turn == b.turn
		}
		x.same = append(x.same, like)
	}
	for _, t := range p.types {
		x.w, x.h = max(x.w, t.w), max(x.h, t.h)
		x.left = append(x.left, t.limit)
	}
	x.choosePairs()
}

// choosePairs keeps the function pairs under which the items fill the most of the largest bin.
func (x *exact) choosePairs() {
	type rated struct {
		fill float64
		pair exactPair
	}
	var all []rated
	x.p.eachWeights(func(w weights) {
		most := slices.Max(w.capacity)
		if most > 0 && w.demand > 0 {
			all = append(all, rated{float64(w.demand) / float64(most), exactPair{w.each, w.capacity}})
		}
	})
	slices.SortStableFunc(all, func(a, b rated) int { return cmp.Compare(b.fill, a.fill) })
	for _, r := range all {
		if len(x.pairs) == maxFunctions {
			break
		}
		byBit := make([]int64, len(x.order))
		for i, k := range x.order {
			byBit[i] = r.pair.weight[k]
		}
		x.pairs = append(x.pairs, exactPair{byBit, r.pair.capacity})
	}
}

// rest is a bound on the money for the items of the set.
func (x *exact) rest(set uint64) int64 {
	most := int64(0)
	for i := range x.pairs {
		pr := &x.pairs[i]
		need := int64(0)
		for s := set; s != 0; s &= s - 1 {
			need += pr.weight[bits.TrailingZeros64(s)]
		}
		for t, bt := range x.p.types { // what costs nothing
			if need > 0 && bt.cost == 0 && pr.capacity[t] > 0 {
				need -= pr.capacity[t] * min(int64(x.left[t]), need/pr.capacity[t]+1)
			}
		}
		if need > 0 {
			most = max(most, x.price(pr, need))
		}
	}
	return most
}

// price is the least money for the capacity needed, at the best rate of all types that are left.
func (x *exact) price(pr *exactPair, need int64) int64 {
	best := int64(-1)
	for t, bt := range x.p.types {
		c := pr.capacity[t]
		if bt.cost == 0 || c == 0 || x.left[t] == 0 {
			continue
		}
		var m int64
		if len(x.p.types) == 1 {
			m = (need + c - 1) / c * bt.cost
		} else {
			hi, lo := bits.Mul64(uint64(need), uint64(bt.cost))
			if hi >= uint64(c) {
				continue // beyond any price
			}
			q, r := bits.Div64(hi, lo, uint64(c))
			if m = int64(q); r > 0 {
				m++
			}
		}
		if best < 0 || m < best {
			best = m
		}
	}
	if best < 0 {
		return x.best // nothing is left to cut from
	}
	return best
}

// fill lays the set of items in further bins for less than the money to beat.
func (x *exact) fill(set uint64) bool {
	if set == 0 {
		return x.spent < x.best
	}
	x.p.stop.ask()
	if x.work -= 50; x.work <= 0 {
		return false
	}
	if x.spent+x.rest(set) >= x.best {
		return false
	}
	state := x.state(set)
	if x.dead[state] {
		return false
	}
	first := uint64(1) << bits.TrailingZeros64(set)
	for t, bt := range x.p.types {
		if x.left[t] == 0 || x.spent+bt.cost >= x.best || x.fits(first, t) < 0 {
			continue
		}
		x.left[t]--
		x.spent += bt.cost
		ok := x.complete(set, first, set&^first, t)
		x.left[t]++
		x.spent -= bt.cost
		if ok {
			return true
		}
		if x.work <= 0 {
			return false
		}
	}
	x.dead[state] = true
	return false
}

func (x *exact) state(set uint64) string {
	x.key = x.key[:0]
	for i := range 8 {
		x.key = append(x.key, byte(set>>(8*i)))
	}
	if len(x.left) > 1 { // with one type the set says how many bins are gone only through what was spent
		for _, n := range x.left {
			x.key = append(x.key, byte(n), byte(n>>8), byte(n>>16))
		}
	} else {
		x.key = append(x.key, byte(x.left[0]), byte(x.left[0]>>8), byte(x.left[0]>>16))
	}
	return string(x.key)
}

// complete extends the set in a bin of type t by items of open, and goes on with the rest once nothing more fits.
func (x *exact) complete(all, in, open uint64, t int) bool {
	if x.work--; x.work <= 0 {
		return false
	}
	if open == 0 {
		if !x.maximal(all, in, t) {
			return false
		}
		x.chosen = append(x.chosen, choice{t, in, int32(x.fits(in, t))})
		if x.fill(all &^ in) {
			return true
		}
		x.chosen = x.chosen[:len(x.chosen)-1]
		return false
	}
	i := bits.TrailingZeros64(open)
	bit := uint64(1) << i
	if x.fits(in|bit, t) >= 0 && x.complete(all, in|bit, open&^bit, t) {
		return true
	}
	if x.work <= 0 {
		return false
	}
	open &^= bit
	for j := i + 1; j < len(x.order) && x.same[j]; j++ { // without one of several like items, without all of them
		open &^= uint64(1) << j
	}
	if x.spent+x.rest(all&^(in|open)) >= x.best { // what is refused already costs too much
		return false
	}
	return x.complete(all, in, open, t)
}

// maximal reports whether no item of all could be added to the set.
func (x *exact) maximal(all, in uint64, t int) bool {
	for s := all &^ in; s != 0; s &= s - 1 {
		if x.fits(in|s&-s, t) >= 0 {
			return false
		}
	}
	return true
}

// fits returns which box of the set goes into a bin of type t, or -1.
func (x *exact) fits(set uint64, t int) int {
	bt := x.p.types[t]
	for i := range x.pairs {
		need := int64(0)
		for s := set; s != 0; s &= s - 1 {
			need += x.pairs[i].weight[bits.TrailingZeros64(s)]
		}
		if need > x.pairs[i].capacity[t] {
			return -1
		}
	}
	for i, b := range x.front(set) {
		if b.w <= bt.w && b.h <= bt.h {
			return i
		}
	}
	return -1
}

// front lists the smallest rectangles, none within another, from which the set can be cut edge to edge and which a
// bin can hold.
func (x *exact) front(set uint64) []box {
	if f, ok := x.fronts[set]; ok {
		return f
	}
	var f []box
	low := set & -set
	if low == set {
		it := x.p.items[x.order[bits.TrailingZeros64(set)]]
		f = x.offer(f, box{w: it.w, h: it.h})
		if it.turn {
			f = x.offer(f, box{w: it.h, h: it.w, turned: true})
		}
		x.fronts[set] = f
		return f
	}
	x.p.stop.ask()
	others := set &^ low
	for sub := (others - 1) & others; ; sub = (sub - 1) & others { // every way to part the set, low in the first
		a, b := sub|low, set&^(sub|low)
		fa := x.front(a)
		if len(fa) > 0 {
			fb := x.front(b)
			x.work -= 1 + len(fa)*len(fb)
			for i, p := range fa {
				for j, q := range fb {
					f = x.offer(f, box{w: p.w + q.w, h: max(p.h, q.h), left: a, li: int32(i), ri: int32(j), axis: cutX})
					f = x.offer(f, box{w: max(p.w, q.w), h: p.h + q.h, left: a, li: int32(i), ri: int32(j), axis: cutY})
				}
			}
		}
		if x.work <= 0 {
			return nil // not remembered: the answer is not known
		}
		if sub == 0 {
			break
		}
	}
	x.fronts[set] = f
	return f
}

// offer adds the box unless a bin cannot hold it or another is no larger.
func (x *exact) offer(f []box, b box) []box {
	if b.w > x.w || b.h > x.h {
		return f
	}
	for _, o := range f {
		if o.w <= b.w && o.h <= b.h {
			return f
		}
	}
	f = slices.DeleteFunc(f, func(o box) bool { return b.w <= o.w && b.h <= o.h })
	return append(f, b)
}

// build turns the chosen sets into bins.
func (x *exact) build(sol *solution) {
	sol.bins = nil
	for _, c := range x.chosen {
		b := &bin{}
		t := x.p.types[c.typ]
		b.reset(c.typ, t.w, t.h)
		x.lay(b, 0, c.set, c.box)
		sol.bins = append(sol.bins, b)
	}
	sol.cost = x.p.costOf(sol.bins)
}

// lay cuts the box of the set out of the free node i.
func (x *exact) lay(b *bin, i int32, set uint64, which int32) {
	bx := x.fronts[set][which]
	if bx.left == 0 {
		b.put(i, x.order[bits.TrailingZeros64(set)], bx.w, bx.h, bx.turned, true)
		return
	}
	size := func(s uint64, k int32) int64 {
		if bx.axis == cutX {
			return x.fronts[s][k].w
		}
		return x.fronts[s][k].h
	}
	i = b.slice(b.slice(i, cutX, bx.w), cutY, bx.h)
	first := b.slice(i, bx.axis, size(bx.left, bx.li))
	second := b.nodes[b.nodes[first].parent].first // what slice left free
	x.lay(b, first, bx.left, bx.li)
	x.lay(b, second, set&^bx.left, bx.ri)
}
