package nest

// A bin is one sheet under construction: a tree of rectangles in which every inner node is cut from edge to edge
// into its children, alternately side by side along x and stacked along y. The order of the children of a node does
// not matter to the search, so each node keeps at most one free child, which holds all its free length together.

type kind uint8

const (
	free kind = iota
	filled
	cutX // children side by side along x
	cutY // children stacked along y
)

const none = int32(-1)

// axis is the direction in which the children of a cut lie: 0 along x, 1 along y.
func (k kind) axis() int { return int(k - cutX) }

// other is the axis across.
func (k kind) other() kind { return cutX + cutY - k }

// A size is an extent along x and along y.
type size [2]int64

// less is the size less so much along an axis.
func (s size) less(axis int, by int64) size {
	s[axis] -= by
	return s
}

func (s size) area() int64 { return s[0] * s[1] }

// void reports that nothing is left of it.
func (s size) void() bool { return s[0] <= 0 || s[1] <= 0 }

type node struct {
	size
	parent, first, next, prev int32
	item                      int32
	kind                      kind
	turned                    bool
	visited                   bool // seen by consolidate in this pass
}

type bin struct {
	typ     int
	nodes   []node
	spare   int32    // unused nodes, chained through next
	room    int64    // free area
	count   int      // items in it
	private bool     // changed in this step of the search, not yet kept
	plan    *binPlan // what its cuts ask of the saw; nil: not known
}

// An item is one rectangle to lay, in grown sizes.
type item struct {
	w, h  int64
	turn  bool // may be turned
	area  int64
	apart *[2]item // a head-to-tail pair: its two parts, which might lie apart instead
}

func (b *bin) reset(typ int, w, h int64) {
	b.private, b.plan = false, nil
	b.typ, b.spare, b.room, b.count = typ, none, w*h, 0
	b.nodes = append(b.nodes[:0], node{size: size{w, h}, parent: none, first: none, next: none, prev: none, item: none})
}

func (b *bin) copyFrom(o *bin) {
	b.private, b.plan = false, nil
	b.typ, b.spare, b.room, b.count = o.typ, o.spare, o.room, o.count
	b.nodes = append(b.nodes[:0], o.nodes...)
}

// add makes a child of parent.
func (b *bin) add(parent int32, s size) int32 {
	i := b.spare
	if i == none {
		i = int32(len(b.nodes))
		b.nodes = append(b.nodes, node{})
	} else {
		b.spare = b.nodes[i].next
	}
	p := &b.nodes[parent]
	b.nodes[i] = node{size: s, parent: parent, first: none, next: p.first, prev: none, item: none}
	if p.first != none {
		b.nodes[p.first].prev = i
	}
	p.first = i
	return i
}

// drop unlinks a childless node.
func (b *bin) drop(i int32) {
	n := &b.nodes[i]
	if n.prev != none {
		b.nodes[n.prev].next = n.next
	} else {
		b.nodes[n.parent].first = n.next
	}
	if n.next != none {
		b.nodes[n.next].prev = n.prev
	}
	n.kind, n.parent = free, none
	n.size = size{} // never fits anything
	n.next = b.spare
	b.spare = i
}

// put lays an item of w x h in the free node i; alongX says that the first cut across the node is the vertical one,
// which leaves a free rectangle of the node's full height at its side.
func (b *bin) put(i int32, it int32, w, h int64, turned, alongX bool) {
	b.room -= w * h
	b.count++
	if alongX {
		i = b.slice(i, cutX, w)
		i = b.slice(i, cutY, h)
	} else {
		i = b.slice(i, cutY, h)
		i = b.slice(i, cutX, w)
	}
	n := &b.nodes[i]
	n.kind, n.item, n.turned = filled, it, turned
}

// slice cuts size off the free node i along the axis and returns the node of that size; the rest stays free.
func (b *bin) slice(i int32, axis kind, size int64) int32 {
	n := b.nodes[i]
	rest := n.less(axis.axis(), size)
	if rest.void() {
		return i
	}
	parent := n.parent
	if parent == none || b.nodes[parent].kind != axis {
		b.nodes[i].kind = axis
		parent = i
		i = b.add(parent, n.size)
	}
	b.add(parent, rest)
	b.nodes[i].size[axis.axis()] = size
	return i
}

// clear takes out everything below node i and calls out for each item.
func (b *bin) clear(i int32, out func(item int32)) {
	b.empty(i, out)
	b.join(i)
}

func (b *bin) empty(i int32, out func(item int32)) {
	n := &b.nodes[i]
	if n.kind == filled {
		b.room += n.area()
		b.count--
		out(n.item)
	}
	for n.first != none {
		c := n.first
		b.empty(c, out)
		b.drop(c)
	}
	n.kind, n.item = free, none
}

// mergeFree joins the free children of p, into child i where that is one of them.
func (b *bin) mergeFree(p, i int32) {
	for c := b.nodes[p].first; c != none; {
		next := b.nodes[c].next
		switch axis := b.nodes[p].kind.axis(); {
		case b.nodes[c].kind != free || c == i:
		case i == none:
			i = c
		default:
			b.nodes[i].size[axis] += b.nodes[c].size[axis]
			b.drop(c)
		}
		c = next
	}
}

// join merges the free node i with a free sibling, and with its parent when nothing else is left there.
func (b *bin) join(i int32) {
	for {
		p := b.nodes[i].parent
		if p == none {
			return
		}
		b.mergeFree(p, i)
		if b.nodes[p].first != i || b.nodes[i].next != none {
			return
		}
		b.drop(i)
		b.nodes[p].kind = free
		i = p
	}
}
