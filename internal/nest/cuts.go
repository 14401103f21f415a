package nest

import (
	"fmt"
	"slices"
)

// waste is what is thrown away at once.
const waste = "waste"

// cutter writes the cut sequence of one sheet.
//
// Every piece on the bench has up to four edges that are not yet what they must become: a factory edge, or one with a
// strip beyond the part. All others are sawn. A cut is measured from a sawn edge, so that the piece at the reference
// edge comes out at what is set; where a piece has no sawn edge across the cut the first one is rough: it is measured
// from the factory edge, decides no size, and both of its sides are sawn edges from then on. A factory edge is cut off
// only where a part touches it.
type cutter struct {
	saw   Saw
	sheet *Sheet
	no    int  // of the sheet in the layout, from 1
	named int  // pieces named so far
	plan  bool // pieces get no names of their own
}

// sideNames are the sides of a piece. Opposite sides differ by one bit, those across an axis by their higher bit.
var sideNames = [...]string{"left", "right", "bottom", "top"}

// side is the index of the reference edge.
func (cut *Cut) side() int { return slices.Index(sideNames[:], cut.Reference) }

// lowSide is the side at which a row along an axis starts; the one at which it ends is the next.
func lowSide(axis kind) int { return 2 * axis.axis() }

// bit is a piece on the bench: its rectangle, and how far it reaches beyond what is to become of it at each side.
type bit struct {
	r     rect
	extra [4]Um   // 0: a sawn edge
	raw   [4]bool // a factory edge
	name  string
	maker int // number of the cut that made it, 0 none
}

func (c *cutter) newName() string {
	if c.plan {
		return "piece"
	}
	c.named++
	return fmt.Sprintf("piece %d.%d", c.no, c.named)
}

// free reports a slab that is left over.
func (s *slab) free() bool { return s.leaf() && s.piece < 0 }

// nameOf is the name of a piece that holds these kids: its own when nothing is to be cut any more.
func (c *cutter) nameOf(kids []*slab, extra [4]Um) string {
	if len(kids) == 1 && kids[0].leaf() && (kids[0].piece < 0 || extra == [4]Um{}) {
		return kids[0].name
	}
	return c.newName()
}

// blind reports a cut that nobody should have to make: it takes less than a kerf, or a part is what it leaves.
func (cut *Cut) blind() bool { return cut.shave || cut.leftover }

// cutSheet writes every cut of the sheet.
func (c *cutter) cutSheet() {
	sh := c.sheet
	sh.Cuts = sh.Cuts[:0]
	t := sh.trim
	p := bit{r: sh.rect(), extra: [4]Um{t, t, t, t}, raw: [4]bool{true, true, true, true}, name: sh.startName()}
	c.cut(p, sh.root, cutY)
	c.equip()
}

// cut cuts a piece, which lay in a row along an axis, into what the slab holds.
func (c *cutter) cut(p bit, s *slab, along kind) {
	switch {
	case s.free():
		s.lies = p.r
	case s.leaf():
		p = c.square(p, s, along)
		c.slant(p, s)
	default:
		c.row(p, s, along)
	}
}

// square cuts off what a part does not need: first along its row, at the setting of the piece before it as a rule.
func (c *cutter) square(p bit, s *slab, along kind) bit {
	if s.way == otherWay {
		along = along.other()
	}
	return c.trims(c.trims(p, s, along), s, along.other())
}

// trims cuts off what a piece has beyond its two sides across an axis.
func (c *cutter) trims(p bit, s *slab, axis kind) bit {
	lo := lowSide(axis)
	if p.extra[lo] > 0 && p.extra[lo+1] > 0 {
		p = c.trim(p, s, lo+1)
	}
	for _, side := range [...]int{lo, lo + 1} {
		if p.extra[side] > 0 {
			p = c.trim(p, s, side)
		}
	}
	return p
}

// trim cuts off what a piece has beyond a side, measured from the opposite edge.
func (c *cutter) trim(p bit, s *slab, side int) bit {
	from := side ^ 1
	q := p
	q.extra[side], q.raw[side] = 0, false
	axis := cutX + kind(side/2)
	size := p.r.size[side/2] - p.extra[side]
	q.name = c.nameOf([]*slab{s}, q.extra)
	cut := Cut{Piece: p.name, Fence: Fence{Reference: sideNames[from], Setting: size}, Makes: [2]string{q.name, waste}, Keep: q.name, Rough: p.extra[from] > 0}
	if p.extra[side] <= c.saw.Kerf {
		cut.Makes[1] = ""
	}
	cut.shave = p.extra[side] < c.saw.Kerf
	cut.sliver = !p.raw[side] && p.extra[side] > c.saw.Kerf && p.extra[side] < c.saw.Kerf+wasteStrip
	cut.maker = p.maker
	q.r = c.add(cut, axis, p.r)[0]
	q.maker = len(c.sheet.Cuts)
	return q
}

// row cuts apart what lies side by side in a piece.
func (c *cutter) row(p bit, s *slab, along kind) {
	kids, axis := s.kids, s.axis
	drop := func(far *slab) { // what is under a kerf, or not worth keeping, goes with the next cut beside it
		kids = kids[:len(kids)-1]
		p.extra[lowSide(axis)+1] += far.end()[axis.axis()] - kids[len(kids)-1].end()[axis.axis()]
	}
	if kids[len(kids)-1].void() {
		drop(s)
	}
	if last := kids[len(kids)-1]; len(kids) > 1 && last.free() && !last.reusable() {
		drop(last)
	}
	if len(kids) > 1 {
		along = axis
		p, kids = c.ripRow(p, s, kids)
	}
	for len(kids) > 1 {
		n := len(kids)
		at, fromHigh := c.splitAt(p, s, kids)
		head, tail := c.split(p, s, kids, at, fromHigh)
		switch {
		case at == 1:
			c.cut(head, kids[0], axis)
			p, kids = tail, kids[1:]
		case at == n-1:
			c.cut(tail, kids[n-1], axis)
			p, kids = head, kids[:n-1]
		default:
			both := *s
			both.kids = kids[:at:at]
			c.rest(head, &both)
			p, kids = tail, kids[at:]
		}
	}
	c.cut(p, kids[0], along)
}

// ripRow cuts a row to size along its whole length before it is cut apart, where its way asks for that.
func (c *cutter) ripRow(p bit, s *slab, kids []*slab) (bit, []*slab) {
	across := s.axis.other()
	lo, n := lowSide(across), len(kids)
	if s.way&ripFirst == 0 || p.extra[lo] == 0 && p.extra[lo+1] == 0 {
		return p, kids
	}
	if s.way&offcutFirst != 0 && kids[n-1].free() {
		head, tail := c.split(p, s, kids, n-1, false)
		c.cut(tail, kids[n-1], s.axis)
		p, kids = head, kids[:n-1]
	}
	if len(kids) > 1 && !slices.ContainsFunc(kids, func(k *slab) bool { return k.fills(across) }) {
		p = c.trims(p, s, across)
	}
	return p, kids
}

// fills reports whether parts lie in a slab from its one end along an axis to the other: the last of them gets its size
// from a cut only while the slab reaches beyond them.
func (s *slab) fills(axis kind) bool {
	if s.axis != axis || s.leaf() {
		return slices.ContainsFunc(s.kids, func(k *slab) bool { return k.fills(axis) })
	}
	last := s.kids[len(s.kids)-1]
	return !last.void() && !last.free()
}

// rest goes on with a part of a row.
func (c *cutter) rest(p bit, s *slab) {
	k := s.axis.axis()
	s.size[k] = s.kids[len(s.kids)-1].end()[k] - s.at[k]
	c.row(p, s, s.axis)
}

// splitAt says after how many of the kids to cut first, and whether the cut is measured from the high edge.
func (c *cutter) splitAt(p bit, s *slab, kids []*slab) (at int, fromHigh bool) {
	n, lo := len(kids), lowSide(s.axis)
	free, other := kids[n-1].free(), s.way&otherEnd != 0
	switch {
	case p.extra[lo] == 0 && (p.extra[lo+1] > 0 || free || !other):
		return 1, false
	case p.extra[lo+1] == 0:
		return n - 1, true
	case other:
		return 1, false
	case free || c.handles(p.r):
		return n - 1, false
	}
	for at := n - 1; at > 0; at-- { // neither edge is sawn: a rough cut, into two pieces that one person can hold
		head, tail, k := p.r, p.r, s.axis.axis()
		head.size[k], tail.size[k] = kids[at-1].end()[k]-p.r.at[k], p.r.end()[k]-kids[at].at[k]
		if c.handles(head) && c.handles(tail) {
			return at, false
		}
	}
	return n - 1, false
}

// split writes the cut between the first kids of a row and the others.
func (c *cutter) split(p bit, s *slab, kids []*slab, at int, fromHigh bool) (head, tail bit) {
	axis, k := s.axis, s.axis.axis()
	lo, hi := lowSide(axis), lowSide(axis)+1
	head, tail = p, p
	head.extra[hi], head.raw[hi] = 0, false
	tail.extra[lo], tail.raw[lo] = 0, false
	head.name, tail.name = c.nameOf(kids[:at], head.extra), c.nameOf(kids[at:], tail.extra)
	cut := Cut{Piece: p.name, Fence: Fence{Reference: sideNames[lo], Setting: p.extra[lo] + kids[at-1].end()[k] - kids[0].at[k]},
		Makes: [2]string{head.name, tail.name}, Keep: head.name, Rough: p.extra[lo] > 0}
	last := kids[len(kids)-1]
	if fromHigh {
		cut.Reference, cut.Setting = sideNames[hi], last.end()[k]-kids[at].at[k]
		cut.Makes[0], cut.Makes[1], cut.Keep, cut.Rough = tail.name, head.name, tail.name, false
	}
	free := kids[at].free()
	if cut.Rough && !free {
		cut.Keep = ""
	}
	cut.leftover = p.extra[lo] == 0 && p.extra[hi] == 0 && at == 1 && len(kids) == 2 && !free
	cut.maker = p.maker
	made := c.add(cut, axis, p.r)
	head.maker, tail.maker = len(c.sheet.Cuts), len(c.sheet.Cuts)
	head.r, tail.r = made[0], made[1]
	if fromHigh {
		head.r, tail.r = made[1], made[0]
	}
	return head, tail
}

// add numbers the cut, fills in its line and returns the two rectangles it makes, that at the reference edge first.
func (c *cutter) add(cut Cut, axis kind, r rect) [2]rect {
	cut.No = len(c.sheet.Cuts) + 1
	cut.Kerf = c.saw.Kerf
	cut.Direction = "y"
	if axis == cutY {
		cut.Direction = "x"
	}
	cut.from, cut.handy = r, c.handles(r)
	cut.draw(c.saw.Step)
	c.sheet.Cuts = append(c.sheet.Cuts, cut)
	return cut.split(r)
}

// draw fills in the line of the cut and the setting to the step of the saw.
func (cut *Cut) draw(step Um) {
	cut.Shown = toStep(cut.Setting, step)
	near, side := cut.split(cut.from)[0], cut.side()
	cut.At = [2][2]Um{near.at, near.end()}
	far := side % 2 // the end that lies at the kerf: the upper right corner where the reference edge is a low one
	cut.At[far][side/2] = cut.At[1-far][side/2]
}

func toStep(u, step Um) Um {
	if step <= 0 {
		return u
	}
	return (u + step/2) / step * step
}

// split gives the piece at the reference edge and the piece beyond the kerf, which may have no size.
func (cut *Cut) split(r rect) [2]rect {
	k, isHigh, beyond := cut.side()/2, cut.side()%2 == 1, cut.Setting+cut.Kerf
	near, far := r, rect{r.at, r.less(k, beyond)}
	near.size[k] = cut.Setting
	if isHigh {
		near.at[k] = r.end()[k] - cut.Setting
	} else {
		far.at[k] += beyond
	}
	return [2]rect{near, far}
}

// handles reports whether one person can hold the piece.
func (c *cutter) handles(r rect) bool {
	area := float64(r.size[0]) * float64(r.size[1]) / (1e6 * 1e6) // m2
	return max(r.size[0], r.size[1]) <= c.saw.HandleLength && min(r.size[0], r.size[1]) <= c.saw.HandleWidth && area*c.sheet.mass <= c.saw.HandleMass
}

// slant writes the slanted cut of a head-to-tail pair, the last on its rectangle.
func (c *cutter) slant(p bit, s *slab) {
	sl, ok := c.sheet.slants[s.name]
	if !ok {
		return
	}
	fence := Fence{Reference: sl.reference, Setting: sl.setting, Shown: toStep(sl.setting, c.saw.Step), Far: sl.far}
	cut := Cut{No: len(c.sheet.Cuts) + 1, Tool: Taper, Piece: s.name, Direction: "slant", Fence: fence, At: sl.line, Kerf: c.saw.Kerf,
		Makes: sl.names, Keep: sl.names[0], onBench: onBench{maker: p.maker}}
	if max(s.size[0], s.size[1]) < fenceEdge {
		cut.Safety = MarkHoldDown
	}
	c.sheet.Cuts = append(c.sheet.Cuts, cut)
}
