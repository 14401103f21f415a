package design

import "cubby/internal/plane"

// Steps by which a section is made smaller when so little air is wanted that the width alone cannot shrink to it.
const (
	smallerBy   = 0.8  // the largest step
	smallestBy  = 0.95 // and the smallest
	finestBy    = 0.99 // where a step goes too far for the driver, shorter ones are tried up to this
	overlap     = 0.8  // of what the narrowing before it covers: wood and driver do not shrink with the section
	mostSmaller = 20
	nextWithin  = 0.04 // how closely a room's narrowest box is known for that, of its size
)

// next is the share of the room's section that is left in the next smaller room, so that its largest box holds about what
// this room's narrowest does.
func (r *room) next() float64 {
	for r.narrowest.hi-r.narrowest.lo > nextWithin*r.sizing.full {
		r.halve()
	}
	narrow := 1 - r.narrowest.net/r.netAtFull
	return min(max(1-overlap*narrow, smallerBy), smallestBy)
}

// A chain is the rooms that come after all the others: the simplest shape cut down step by step, the longer side of the
// section first, as long as the driver sits in it as well as in the whole. A box shrinks in width first; each of these takes
// over where the one before it is at its narrowest. They are made when they are asked for.
type chain struct {
	whole, last room
	least       float64 // m3, less air is of no use
	left        int     // rooms that may still be made
}

// chain begins at the simplest room.
func (p *plant) chain(simplest room) chain {
	return chain{whole: simplest, last: simplest, least: p.leastUseful(simplest.netAtFull), left: mostSmaller}
}

// smaller makes the next smaller room and reports whether there is one.
func (h *hunt) smaller() bool {
	c := &h.chain
	if c.left == 0 {
		return false
	}
	c.left--
	if c.last.takes(c.least) {
		c.left = 0
		return false
	}
	size := c.last.section.Bounds()
	cuts := []func(plane.Polygon, float64) []plane.Polygon{h.shallower, h.lower}
	if size.Height() > size.Width() {
		cuts[0], cuts[1] = cuts[1], cuts[0]
	}
	for share := c.last.next(); share < finestBy; share = (1 + share) / 2 {
		for _, cut := range cuts {
			if next, found := h.cutRoom(c.whole, cut(c.last.section, share)); found {
				c.last = next
				h.add(next)
				return true
			}
		}
	}
	c.left = 0
	return false
}

// cutRoom makes a room of the first of the pieces that takes the driver as well as the whole does.
func (p *plant) cutRoom(whole room, pieces []plane.Polygon) (room, bool) {
	for _, g := range pieces {
		if r, err := p.newRoom(whole.index, g); err == nil && r.shortfall <= whole.shortfall {
			return r, true
		}
	}
	return room{}, false
}

// shallower leaves a share of a section's depth: cut away at the back, or from the front when the driver faces the back.
func (p *plant) shallower(g plane.Polygon, share float64) []plane.Polygon {
	b := g.Bounds()
	depth := b.Width() * share
	if p.req.Mount.Face == "back" {
		return cutAt(g, "front", b.Max.X-depth)
	}
	return cutAt(g, "back", b.Min.X+depth)
}

// lower leaves a share of a section's height: cut away at the top, so that the box still stands on the floor.
func (p *plant) lower(g plane.Polygon, share float64) []plane.Polygon {
	b := g.Bounds()
	return cutAt(g, "top", b.Min.Y+b.Height()*share)
}
