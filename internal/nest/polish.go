package nest

import (
	"cmp"
	"slices"
)

// Polishing starts from a layout whose cost stands and improves it in the order of the objective: first a larger
// single offcut, by reserving a rectangle for it and laying everything else around it; then fewer fence settings,
// keeping that rectangle.

// reserve is a rectangle to keep free, in grown sizes.
type reserve struct {
	w, h int64
}

func (r reserve) area() float64 { return float64(r.w) * float64(r.h) }

// withReserve is the problem with the rectangle as one more item, which keeps its direction.
func (p *problem) withReserve(r reserve) *problem {
	q := *p
	q.items = append(slices.Clone(p.items), item{w: r.w, h: r.h, area: r.w * r.h})
	return &q
}

// largestFree returns the largest free rectangle of the bins by true area.
func (p *problem) largestFree(bins []*bin) (best reserve) {
	most := 0.0
	for _, b := range bins {
		for i := range b.nodes {
			n := &b.nodes[i]
			w, h := n.size[0]*p.unit-p.kerf, n.size[1]*p.unit-p.kerf
			if a := float64(w) * float64(h); n.kind == free && w > 0 && h > 0 && a > most {
				most, best = a, reserve{n.size[0], n.size[1]}
			}
		}
	}
	return best
}

// polishTries is over how many reserved rectangles the work for the largest offcut is spread.
const polishTries = 24

// growOffcut looks for layouts of the same cost that leave a larger single rectangle.
func (p *problem) growOffcut(sol *solution, work int) {
	best := p.largestFree(sol.bins)
	tries := p.reserves(sol, best)
	total := work
	for try := 0; try < polishTries && len(tries) > 0 && total > 0; try++ {
		at := len(tries) * 2 / 5
		r := tries[at]
		s := newSearch(p.withReserve(r), uint64(2+try), work/polishTries)
		s.goal = sol.cost
		s.goal.area++
		s.start()
		done := len(s.out) == 0 || s.run()
		total -= work/polishTries - s.work
		if !done {
			tries = slices.DeleteFunc(tries, func(t reserve) bool { return t.w >= r.w && t.h >= r.h })
			continue
		}
		s.dissolve(int32(len(p.items)))
		found := p.largestFree(s.bins)
		if found.area() <= best.area() {
			tries = slices.Delete(tries, at, at+1)
			continue
		}
		best = found
		sol.take(s)
		tries = slices.DeleteFunc(tries, func(t reserve) bool { return t.area() <= best.area() })
	}
}

// dissolve takes an item out of whichever bin it is in and leaves its place free.
func (s *search) dissolve(k int32) {
	for i, b := range s.bins {
		for j := range b.nodes {
			if n := &b.nodes[j]; n.kind == filled && n.item == k {
				s.touch(i).clear(int32(j), func(int32) {})
				s.bins[i].consolidate(0)
				return
			}
		}
	}
}

// maxReserves limits how many rectangles are considered for the largest offcut.
const maxReserves = 4000

// reserves lists rectangles larger than the best offcut that a sheet could keep: what is left of it beside nothing,
// one part or two parts along each axis; by area.
func (p *problem) reserves(sol *solution, best reserve) []reserve {
	room := int64(0)
	used := make(map[int]bool)
	for _, b := range sol.bins {
		room += b.room
		used[b.typ] = true
	}
	ws, hs := sizesOf(p.items)
	ws, hs = thin(sums(ws), maxSizes), thin(sums(hs), maxSizes)
	var all []reserve
	for t, bt := range p.types {
		if !used[t] {
			continue
		}
		for _, w := range ws {
			p.stop.ask()
			for _, h := range hs {
				r := reserve{bt.w - w, bt.h - h}
				if r.w > 0 && r.h > 0 && r.w*r.h <= room && r.area() > best.area() {
					all = append(all, r)
				}
			}
		}
	}
	slices.SortFunc(all, func(a, b reserve) int { return cmp.Or(cmp.Compare(a.area(), b.area()), cmp.Compare(a.w, b.w)) })
	return slices.Compact(all)
}

// maxSizes limits how many widths and heights are looked at for the largest offcut.
const maxSizes = 160

// thin keeps at most n of some sizes, evenly, the first among them.
func thin(sizes []int64, n int) []int64 {
	if len(sizes) <= n {
		return sizes
	}
	kept := make([]int64, n)
	for i := range kept {
		kept[i] = sizes[i*len(sizes)/n]
	}
	return kept
}

// sums lists 0, the sizes, and the sums of two of them as long as there are not too many.
func sums(sizes []int64) []int64 {
	slices.Sort(sizes)
	one := slices.Compact(sizes)
	all := append([]int64{0}, one...)
	if len(one)*len(one) <= maxReserves/16 {
		for i, a := range one {
			for _, b := range one[i:] {
				all = append(all, a+b)
			}
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}
