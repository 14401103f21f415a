package nest

import (
	"cmp"
	"slices"
)

// A slab is a rectangle of a sheet in true sizes: a piece, an offcut, or something still to be cut.
type slab struct {
	rect
	axis   kind
	kids   []*slab // in order of position; the last may be a void of no size, eaten by the kerf
	piece  int     // index of the piece, -1 none
	turned bool    // against the item's own orientation
	name   string  // of a piece or offcut
	lies   rect    // of an offcut: where it really lies, up to the factory edges that nobody cut off
	way    way     // the order of its cuts
}

// A rect is a rectangle of the sheet, its lower left corner and its size.
type rect struct {
	at [2]Um
	size
}

// end is the upper right corner.
func (r rect) end() [2]Um { return [2]Um{r.at[0] + r.size[0], r.at[1] + r.size[1]} }

// A way is an order in which a slab is cut: of several that give the same parts, the one that comes back to fewest
// settings.
type way uint8

// The ways of a slab: a piece is cut to size along its row first, or across it. A row is cut apart as it is, from its
// low edge; or first cut to size along its whole length, with the offcut at its end or without; or from its other end.
const (
	otherWay    way = 1 // of a piece
	ripFirst    way = 1 // of a row, and so on
	offcutFirst way = 2
	otherEnd    way = 4
	allWays     way = 8
)

// ways is how many ways there are to cut a slab.
func (s *slab) ways() way {
	switch {
	case s.free():
		return 1
	case s.leaf():
		return 2
	}
	return allWays
}

func (s *slab) leaf() bool { return len(s.kids) == 0 }

// A quarry is memory for the slabs of one bin, used again and again by a planner.
type quarry struct {
	slabs []slab
	kids  []*slab
}

// clear makes room for the slabs of a bin of n nodes.
func (q *quarry) clear(n int) *quarry {
	if cap(q.slabs) < n {
		q.slabs, q.kids = make([]slab, n), make([]*slab, n)
	}
	q.slabs, q.kids = q.slabs[:0], q.kids[:0]
	return q
}

// slabs turns a node of a bin into true rectangles at a place; children lie largest first, free board last.
func (b *bin) slabs(q *quarry, i int32, p *problem, at [2]Um) *slab {
	n := &b.nodes[i]
	r := rect{at, size{n.size[0]*p.unit - p.kerf, n.size[1]*p.unit - p.kerf}}
	q.slabs = append(q.slabs, slab{rect: r, axis: n.kind, piece: -1, turned: n.turned})
	s := &q.slabs[len(q.slabs)-1]
	if n.kind == filled && int(n.item) < len(p.items) { // a reserved offcut is numbered behind the items
		s.piece = int(n.item)
	}
	var few [16]int32
	kids := few[:0]
	for c := n.first; c != none; c = b.nodes[c].next {
		kids = append(kids, c)
	}
	slices.SortStableFunc(kids, func(c, d int32) int {
		nc, nd := &b.nodes[c], &b.nodes[d]
		if (nc.kind == free) != (nd.kind == free) {
			return int(min(1, int64(nd.kind)-int64(nc.kind)))
		}
		return cmp.Compare(nd.size[n.kind.axis()], nc.size[n.kind.axis()])
	})
	from, to := len(q.kids), len(q.kids)+len(kids)
	q.kids = q.kids[:to]
	s.kids = q.kids[from:to:to]
	for k, c := range kids {
		s.kids[k] = b.slabs(q, c, p, at)
		at[n.kind.axis()] += b.nodes[c].size[n.kind.axis()] * p.unit
	}
	return s
}

// walk calls visit for the slab and all that is cut from it.
func (s *slab) walk(visit func(*slab)) {
	visit(s)
	for _, k := range s.kids {
		k.walk(visit)
	}
}
