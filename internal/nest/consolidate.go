package nest

// consolidate gathers free board that lies apart: where every piece of a row has free board beyond it, the least of these
// depths is one free strip along the whole row. It works from the leaves up.
func (b *bin) consolidate(i int32) {
	n := &b.nodes[i]
	if n.kind == free || n.kind == filled {
		return
	}
	for c := n.first; c != none; {
		if b.nodes[c].first != none && !b.nodes[c].visited {
			b.nodes[c].visited = true
			b.consolidate(c)
			c = b.nodes[i].first // the row may have changed
			continue
		}
		c = b.nodes[c].next
	}
	for c := b.nodes[i].first; c != none; c = b.nodes[c].next {
		b.nodes[c].visited = false
	}
	b.gather(i)
}

// slack is the free depth across the row at node c, whose parent's cuts run along axis; -1: all of it is free.
func (b *bin) slack(c int32, axis kind) (depth int64, freeChild int32) {
	n := &b.nodes[c]
	if n.kind == free {
		return -1, none
	}
	if n.kind == filled || n.kind == axis {
		return 0, none
	}
	for k := n.first; k != none; k = b.nodes[k].next {
		if f := &b.nodes[k]; f.kind == free {
			if axis == cutX {
				return f.h, k
			}
			return f.w, k
		}
	}
	return 0, none
}

// gather takes the common slack out of the row at node i.
func (b *bin) gather(i int32) {
	n := b.nodes[i]
	axis := n.kind
	least := int64(-1)
	var open int32 = none // the row's own free child
	for c := n.first; c != none; c = b.nodes[c].next {
		d, _ := b.slack(c, axis)
		if d == 0 {
			return
		}
		if d < 0 {
			open = c
		} else if least < 0 || d < least {
			least = d
		}
	}
	if least <= 0 {
		return
	}
	across := cutY
	if axis == cutY {
		across = cutX
	}
	whole := true // the strip runs over the row's own free child too
	if open != none {
		f := &b.nodes[open]
		if axis == cutX {
			whole = square(n.w, least)+square(f.w, f.h-least) > square(n.w-f.w, least)+square(f.w, f.h)
		} else {
			whole = square(least, n.h)+square(f.w-least, f.h) > square(least, n.h-f.h)+square(f.w, f.h)
		}
	}
	if !whole {
		return
	}
	b.shrinkRow(i, axis, least)
	b.insertStrip(i, across, least)
}

// shrinkRow takes depth off every child of the row.
func (b *bin) shrinkRow(i int32, axis kind, depth int64) {
	for c := b.nodes[i].first; c != none; c = b.nodes[c].next {
		_, f := b.slack(c, axis)
		b.reduce(c, axis, depth)
		if f != none {
			b.reduce(f, axis, depth)
			if b.nodes[f].w == 0 || b.nodes[f].h == 0 {
				b.drop(f)
			}
		}
	}
	for c := b.nodes[i].first; c != none; {
		if k := b.nodes[c].first; k != none && b.nodes[k].next == none {
			b.collapse(c)
			c = b.nodes[i].first // the row may have changed
			continue
		}
		c = b.nodes[c].next
	}
}

func (b *bin) reduce(c int32, axis kind, depth int64) {
	if axis == cutX {
		b.nodes[c].h -= depth
	} else {
		b.nodes[c].w -= depth
	}
}

// collapse replaces a cut node with a single child by that child.
func (b *bin) collapse(i int32) {
	c := b.nodes[i].first
	if c == none || b.nodes[c].next != none {
		return
	}
	child := b.nodes[c]
	n := &b.nodes[i]
	n.kind, n.item, n.turned, n.first = child.kind, child.item, child.turned, child.first
	for k := n.first; k != none; k = b.nodes[k].next {
		b.nodes[k].parent = i
	}
	b.nodes[c].first, b.nodes[c].prev, b.nodes[c].next = none, none, none
	n = &b.nodes[i]
	b.nodes[c].kind, b.nodes[c].w, b.nodes[c].h, b.nodes[c].parent = free, 0, 0, none
	b.nodes[c].next = b.spare
	b.spare = c
	// A child that cuts along the same axis as its grandparent joins it.
	if p := n.parent; p != none && (n.kind == cutX || n.kind == cutY) && b.nodes[p].kind == n.kind {
		b.splice(p, i)
	}
}

// splice moves the children of i up to its parent p, which cuts along the same axis.
func (b *bin) splice(p, i int32) {
	for c := b.nodes[i].first; c != none; {
		next := b.nodes[c].next
		n := &b.nodes[c]
		n.parent, n.prev, n.next = p, none, b.nodes[p].first
		if n.next != none {
			b.nodes[n.next].prev = c
		}
		b.nodes[p].first = c
		c = next
	}
	b.nodes[i].first = none
	b.drop(i)
	b.mergeFree(p)
}

// mergeFree joins the free children of p.
func (b *bin) mergeFree(p int32) {
	first := none
	for c := b.nodes[p].first; c != none; {
		next := b.nodes[c].next
		if b.nodes[c].kind == free {
			if first == none {
				first = c
			} else {
				if b.nodes[p].kind == cutX {
					b.nodes[first].w += b.nodes[c].w
				} else {
					b.nodes[first].h += b.nodes[c].h
				}
				b.drop(c)
			}
		}
		c = next
	}
}

// insertStrip puts a free strip of the given depth beside the row at node i, which is shallower by it already.
func (b *bin) insertStrip(i int32, across kind, depth int64) {
	n := b.nodes[i]
	p := n.parent
	strip := func(parent int32) {
		if across == cutY {
			b.add(parent, n.w, depth)
		} else {
			b.add(parent, depth, n.h)
		}
	}
	if p != none && b.nodes[p].kind == across {
		if across == cutY {
			b.nodes[i].h -= depth
		} else {
			b.nodes[i].w -= depth
		}
		strip(p)
		b.mergeFree(p)
		return
	}
	// i becomes a node across, with the row below it.
	row := b.add(i, n.w, n.h)
	r := &b.nodes[row]
	if across == cutY {
		r.h -= depth
	} else {
		r.w -= depth
	}
	r.kind, r.first = n.kind, n.first
	b.nodes[r.first].prev = none
	for k := r.first; k != none; k = b.nodes[k].next {
		b.nodes[k].parent = row
	}
	r.next = none
	b.nodes[row].prev = none
	b.nodes[i].first = row
	b.nodes[i].kind = across
	strip(i)
}
