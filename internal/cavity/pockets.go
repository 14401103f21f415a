package cavity

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// pocketed puts the pockets of the blocks in ignore into a region, and tells whether there is one; not ok when one cannot be built.
func (m *Room) pocketed(r *Region, ignore mask, by shop) (is, ok bool) {
	r.Pockets = nil
	for i := range m.free.blocks {
		if !ignore.has(i) {
			continue
		}
		p, touches, ok := r.pocket(&m.free.blocks[i], by)
		if !ok {
			return false, false
		}
		if touches {
			r.Pockets = append(r.Pockets, p)
		}
	}
	return len(r.Pockets) > 0, true
}

// mostWanted is the number of corners up to which pockets are weighed against the same number without them.
const mostWanted = 6

// mostPocketed is the number of blocks that are tried again after the first pocket.
const mostPocketed = 5

// byCorners is the most air of the regions with at most so many corners and ends that do not lean.
type byCorners [mostWanted + 1]float64

func (b *byCorners) take(list []Region) {
	for i := range list {
		if list[i].Leans != [2]float64{} {
			continue
		}
		for k := len(list[i].Section); k <= mostWanted; k++ {
			b[k] = math.Max(b[k], list[i].Air)
		}
	}
}

// withPockets goes on from the regions without pockets: each step puts a pocket round the block that gives most air per
// board, or round two when one alone gives nothing.
func (f *finder) withPockets(bare []Region) []Region {
	var all []Region
	var best byCorners
	best.take(bare)
	var ignore mask
	n := len(f.free.blocks)
	look := quick
	if n > mostPocketed { // many blocks: a rougher look at each
		look.events, look.sections = 8, 2
	}
	rate := func(more mask) float64 {
		rate := 0.0
		for _, r := range f.under(ignore|more, look) {
			k := len(r.Section)
			if k > mostWanted || r.Air < 1.02*best[k] {
				continue
			}
			rate = math.Max(rate, (r.Air-best[k])/float64(max(1, r.InPockets)))
		}
		return rate
	}
	open := make([]int, n)
	for i := range open {
		open[i] = i
	}
	for used := 0; used < f.limits.Pockets && used < n; {
		next, most := mask(0), 0.0
		rates := make(map[int]float64, len(open))
		for _, i := range open {
			if f.ctx.Err() != nil {
				break
			}
			rates[i] = rate(1 << i)
			if rates[i] > most {
				next, most = 1<<i, rates[i]
			}
		}
		// of many blocks those that gave most go on
		slices.SortStableFunc(open, func(a, b int) int { return cmp.Compare(rates[b], rates[a]) })
		open = open[:min(len(open), mostPocketed)]
		if next == 0 && len(open) <= 4 && used+2 <= f.limits.Pockets {
			for a, i := range open {
				for _, j := range open[a+1:] {
					if v := rate(1<<i | 1<<j); v > most {
						next, most = 1<<i|1<<j, v
					}
				}
			}
		}
		if next == 0 {
			break
		}
		ignore |= next
		open = slices.DeleteFunc(open, func(i int) bool { return ignore.has(i) })
		used += bits.OnesCount32(uint32(next))
		list := f.under(ignore, f.effort(after, afterOfMany))
		all = append(all, list...)
		best.take(list)
	}
	return all
}
