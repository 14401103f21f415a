package nest

// consolidate gathers free board that lies apart: where every piece of a row has free board beyond it, the least of
// these depths is one free strip along the whole row. It works from the leaves up.
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
			return f.size[n.kind.axis()], k
		}
	}
	return 0, none
}

// gather takes the common slack out of the row at node i.
func (b *bin) gather(i int32) {
	n := b.nodes[i]
	least := int64(-1)
	var open int32 = none // the row's own free child
	for c := n.first; c != none; c = b.nodes[c].next {
		d, _ := b.slack(c, n.kind)
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
	if open != none { // unless the strip is worth more without the part beside the row's own free child
		along, across, f := n.kind.axis(), n.kind.other().axis(), b.nodes[open].size
		over := square(n.size[along], least) + square(f[along], f[across]-least)
		if over <= square(n.size[along]-f[along], least)+square(f[along], f[across]) {
			return
		}
	}
	b.shrinkRow(i, n.kind, least)
	b.insertStrip(i, n.kind.other(), least)
}

// shrinkRow takes depth off every child of the row.
func (b *bin) shrinkRow(i int32, axis kind, depth int64) {
	across := axis.other().axis()
	for c := b.nodes[i].first; c != none; c = b.nodes[c].next {
		_, f := b.slack(c, axis)
		b.nodes[c].size[across] -= depth
		if f != none {
			if b.nodes[f].size[across] -= depth; b.nodes[f].void() {
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

// adopt makes i the parent of its children.
func (b *bin) adopt(i int32) {
	for k := b.nodes[i].first; k != none; k = b.nodes[k].next {
		b.nodes[k].parent = i
	}
}

// collapse replaces a cut node with a single child by that child.
func (b *bin) collapse(i int32) {
	n := &b.nodes[i]
	child := b.nodes[n.first]
	b.nodes[n.first].first = none
	b.drop(n.first)
	n.kind, n.item, n.turned, n.first = child.kind, child.item, child.turned, child.first
	b.adopt(i)
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
	b.mergeFree(p, none)
}

// insertStrip puts a free strip of the given depth beside the row at node i, which is shallower by it already.
func (b *bin) insertStrip(i int32, across kind, depth int64) {
	n := b.nodes[i]
	axis, strip := across.axis(), n.size
	strip[axis] = depth
	if p := n.parent; p != none && b.nodes[p].kind == across {
		b.nodes[i].size[axis] -= depth
		b.add(p, strip)
		b.mergeFree(p, none)
		return
	}
	// i becomes a node across, with the row below it.
	b.nodes[i].first, b.nodes[i].kind = none, across
	row := b.add(i, n.less(axis, depth))
	b.nodes[row].kind, b.nodes[row].first = n.kind, n.first
	b.adopt(row)
	b.add(i, strip)
}
