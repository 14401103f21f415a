package nest

import (
	"cmp"
	"math"
)

// A problem is one board's items and bins in grown sizes, divided by their common measure.
type problem struct {
	items []item
	types []binType
	unit  int64 // micrometres of one unit of length
	kerf  Um
	stop  stopper
}

type binType struct {
	w, h   int64
	cost   int64 // in minor units of money; without prices 1 for a sheet and 0 for an offcut
	offcut bool
	limit  int // how many there are
}

// Unlimited is more bins than there can be parts.
const unlimited = math.MaxInt32

// cost of a solution, compared field by field.
type cost struct {
	money  int64
	sheets int   // whole sheets, offcuts not counted
	area   int64 // of all bins used
}

func (a cost) less(b cost) bool {
	return cmp.Or(cmp.Compare(a.money, b.money), cmp.Compare(a.sheets, b.sheets), cmp.Compare(a.area, b.area)) < 0
}

func (p *problem) add(c cost, typ int) cost {
	t := p.types[typ].price()
	return cost{c.money + t.money, c.sheets + t.sheets, c.area + t.area}
}

func (p *problem) sub(c cost, typ int) cost {
	t := p.types[typ].price()
	return cost{c.money - t.money, c.sheets - t.sheets, c.area - t.area}
}

// price is the cost of one bin.
func (t binType) price() cost {
	c := cost{money: t.cost, area: t.w * t.h}
	if !t.offcut {
		c.sheets = 1
	}
	return c
}

func (p *problem) costOf(bins []*bin) cost {
	var c cost
	for _, b := range bins {
		if b.count > 0 {
			c = p.add(c, b.typ)
		}
	}
	return c
}

// fits reports whether the item goes into a bin of type t by itself.
func (it item) fits(t binType) bool {
	return it.w <= t.w && it.h <= t.h || it.turn && it.h <= t.w && it.w <= t.h
}

// rng is a small deterministic generator (splitmix64, Steele, Lea and Flood, Fast splittable pseudorandom number
// generators, 2014), so that the same job gives the same layout on every machine and with every release of Go.
type rng uint64

func (r *rng) next() uint64 {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below returns a number from 0 to n-1. n is far below 2^32, so the bias is of no account.
func (r *rng) below(n int) int { return int((r.next() >> 32) * uint64(n) >> 32) }
