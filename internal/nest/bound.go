package nest

import (
	"cmp"
	"math/bits"
	"slices"
)

// Lower bounds by dual-feasible functions: if f and g never give the parts of a row more than f(W) and those of a
// column more than g(H), then the areas f(w) g(h) of the parts in one bin sum to at most f(W) g(H). The functions
// are the integer forms of Carlier, Clautiaux and Moukrim, New reduction procedures and lower bounds for the
// two-dimensional bin packing problem with fixed orientation, 2007 (f0 and f2), and u(k) of Fekete and Schepers,
// New classes of fast lower bounds for bin packing problems, 2001. All are superadditive, so a smaller bin of the
// same board has the capacity f(w) g(h) of its own size.

// maxThresholds limits how many part sizes are tried as the parameter of a function, per axis.
const maxThresholds = 40

// A dff maps sizes on a bin axis of length c to weights.
type dff func(x int64) int64

// functions lists the dual-feasible functions on an axis of length c for the given sizes of parts.
func functions(c int64, sizes []int64) []dff {
	fs := []dff{func(x int64) int64 { return x }}
	var ks []int64
	for _, x := range sizes {
		if x > c {
			continue
		}
		if 2*x <= c {
			ks = append(ks, x)
		} else {
			ks = append(ks, c-x+1)
		}
	}
	slices.Sort(ks)
	ks = slices.DeleteFunc(slices.Compact(ks), func(k int64) bool { return k < 1 || 2*k > c })
	for len(ks) > maxThresholds { // thin out evenly, keeping the ends
		kept := ks[:0]
		for i, k := range ks {
			if i%2 == 0 || i == len(ks)-1 {
				kept = append(kept, k)
			}
		}
		ks = kept
	}
	for _, k := range ks {
		fs = append(fs, f0(c, k), f2(c, k))
	}
	for k := int64(2); k <= 5; k++ {
		fs = append(fs, uk(c, k))
	}
	return append(fs, f2(c, c/2+1))
}

// f0 drops parts under k and gives a part over c - k the whole axis.
func f0(c, k int64) dff {
	return func(x int64) int64 {
		switch {
		case x > c-k:
			return c
		case x < k:
			return 0
		}
		return x
	}
}

// f2 counts how many k go into a part, rounding large parts up and small ones down.
func f2(c, k int64) dff {
	if k > c/2 { // only parts over half the axis count
		return func(x int64) int64 {
			switch {
			case 2*x > c:
				return 2
			case 2*x == c:
				return 1
			}
			return 0
		}
	}
	return func(x int64) int64 {
		switch {
		case 2*x > c:
			return 2 * (c/k - (c-x)/k)
		case 2*x == c:
			return c / k
		}
		return 2 * (x / k)
	}
}

// uk keeps the sizes that are whole multiples of c/(k+1) and rounds the others down to multiples of c/k.
func uk(c, k int64) dff {
	return func(x int64) int64 {
		if (k+1)*x%c == 0 {
			return x * k
		}
		return (k + 1) * x / c * c
	}
}

// weights are the demand of all items and the capacity of each bin type under one pair of functions.
type weights struct {
	demand   int64
	capacity []int64
}

// eachWeights calls visit with the weights under every pair of functions.
func (p *problem) eachWeights(visit func(weights)) {
	var w, h int64
	for _, t := range p.types {
		w, h = max(w, t.w), max(h, t.h)
	}
	all := slices.Clone(p.items) // and the two parts of every pair behind them
	for _, it := range p.items {
		if it.apart != nil {
			all = append(all, it.apart[:]...)
		}
	}
	ws, hs := sizesOf(all)
	fw := p.columns(all, functions(w, ws), w, true)
	fh := p.columns(all, functions(h, hs), h, false)
	for i := range fw {
		for j := range fh {
			if x, ok := p.weigh(all, &fw[i], &fh[j], w, h); ok {
				visit(x)
			}
		}
	}
}

// sizesOf lists the sizes that items may have along x and along y.
func sizesOf(items []item) (ws, hs []int64) {
	for _, it := range items {
		ws, hs = append(ws, it.w), append(hs, it.h)
		if it.turn {
			ws, hs = append(ws, it.h), append(hs, it.w)
		}
	}
	return ws, hs
}

// column holds a function's values for every item upright and turned, and for every bin type.
type column struct {
	up, turned, bin []int64
	most            int64
}

func (p *problem) columns(all []item, fs []dff, c int64, alongW bool) []column {
	cols := make([]column, 0, len(fs))
	for _, f := range fs {
		var col column
		for _, it := range all {
			a, b := it.w, it.h
			if !alongW {
				a, b = b, a
			}
			col.up = append(col.up, at(f, a, c))
			col.turned = append(col.turned, at(f, b, c))
		}
		for _, t := range p.types {
			x := t.w
			if !alongW {
				x = t.h
			}
			col.bin = append(col.bin, f(x))
		}
		col.most = f(c)
		cols = append(cols, col)
	}
	return cols
}

func at(f dff, x, c int64) int64 {
	if x > c {
		return 0 // cannot lie this way; weigh never uses it
	}
	return f(x)
}

func (p *problem) weigh(all []item, fw, fh *column, w, h int64) (weights, bool) {
	if hi, lo := bits.Mul64(uint64(fw.most), uint64(fh.most)); hi != 0 || lo > (1<<62)/uint64(max(1, len(all))) {
		return weights{}, false // would not fit in 64 bits; other pairs will do
	}
	weight := func(i int) int64 {
		it := &all[i]
		up := fw.up[i] * fh.up[i]
		if it.turn && it.w != it.h {
			t := fw.turned[i] * fh.turned[i]
			if it.w > w || it.h > h {
				return t
			} else if it.h <= w && it.w <= h {
				return min(up, t)
			}
		}
		return up
	}
	var x weights
	next := len(p.items)
	for i := range p.items {
		own := weight(i)
		if p.items[i].apart != nil {
			own = min(own, weight(next)+weight(next+1))
			next += 2
		}
		x.demand += own
	}
	for t := range p.types {
		x.capacity = append(x.capacity, fw.bin[t]*fh.bin[t])
	}
	return x, true
}

// bounds returns the least number of bins and the least money that any layout of all items needs.
func (p *problem) bounds() (bins int, money int64) {
	if len(p.items) == 0 {
		return 0, 0
	}
	bins = 1
	money = p.leastMoney(weights{demand: 1, capacity: slices.Repeat([]int64{1}, len(p.types))})
	p.eachWeights(func(x weights) {
		bins = max(bins, p.leastBins(x))
		money = max(money, p.leastMoney(x))
	})
	return bins, money
}

// leastBins takes the largest capacities first.
func (p *problem) leastBins(x weights) int {
	order := make([]int, len(p.types))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(x.capacity[b], x.capacity[a]) })
	n, left := 0, x.demand
	for _, t := range order {
		c := x.capacity[t]
		if c == 0 || left <= 0 {
			break
		}
		k := min(int64(p.types[t].limit), (left+c-1)/c)
		n += int(k)
		left -= k * c
	}
	return n
}

// leastMoney is the cheapest set of bins whose capacities cover the demand: by branching over the types in order of
// price for capacity, with the fractional cover as the bound.
func (p *problem) leastMoney(x weights) int64 {
	var order []int
	left := x.demand
	for t, bt := range p.types {
		switch c := x.capacity[t]; {
		case c == 0:
		case bt.cost == 0:
			if int64(bt.limit) >= (left+c-1)/c {
				return 0
			}
			left -= int64(bt.limit) * c
		default:
			order = append(order, t)
		}
	}
	if left <= 0 {
		return 0
	}
	rate := func(t int) float64 { return float64(p.types[t].cost) / float64(x.capacity[t]) }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(rate(a), rate(b)) })
	c := cover{p: p, x: x, order: order, best: -1, steps: coverSteps}
	c.branch(0, left, 0)
	if c.steps <= 0 { // too many combinations: the fractional cover is a bound as well
		return c.fraction(0, left)
	}
	return max(c.best, 0)
}

// coverSteps limits the branching over bin sets; two or three prices need a handful.
const coverSteps = 2000

type cover struct {
	p     *problem
	x     weights
	order []int
	best  int64
	steps int
}

// fraction is the cost of covering with parts of bins, rounded down.
func (c *cover) fraction(i int, left int64) int64 {
	sum := int64(0)
	for ; i < len(c.order) && left > 0; i++ {
		t := c.order[i]
		cap, bt := c.x.capacity[t], c.p.types[t]
		if whole := left / cap; whole < int64(bt.limit) {
			hi, lo := bits.Mul64(uint64(left-whole*cap), uint64(bt.cost))
			q, _ := bits.Div64(hi, lo, uint64(cap))
			return sum + whole*bt.cost + int64(q)
		}
		sum += int64(bt.limit) * bt.cost
		left -= int64(bt.limit) * cap
	}
	return sum
}

func (c *cover) branch(i int, left, paid int64) {
	if left <= 0 {
		if c.best < 0 || paid < c.best {
			c.best = paid
		}
		return
	}
	if c.steps--; i == len(c.order) || c.steps < 0 {
		return
	}
	if c.best >= 0 && paid+c.fraction(i, left) >= c.best {
		return
	}
	t := c.order[i]
	cap, bt := c.x.capacity[t], c.p.types[t]
	for k := min(int64(bt.limit), (left+cap-1)/cap); k >= 0; k-- {
		c.branch(i+1, left-k*cap, paid+k*bt.cost)
	}
}
