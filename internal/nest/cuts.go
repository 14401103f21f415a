package nest

import (
	"fmt"
	"slices"
)

// Workshop sizes. Common practice unless a source is named.
const (
	handleLength = 1200 * mm // a piece one person can hold
	handleWidth  = 800 * mm
	handleMass   = 20.0     // kg
	fenceEdge    = 300 * mm // the edge along the fence is at least this long, and 2/3 of the size across
	pushStick    = 150 * mm // narrower between blade and fence than this (6 in, as a table-saw maker's manual has it): push stick
	pushBlock    = 50 * mm  // narrower than this: a push block that carries both sides
	neverBetween = 20 * mm  // narrower than this never runs between blade and fence
	smallPiece   = 150 * mm // both sides under this: held down on the sled
	wasteStrip   = 10 * mm  // a leftover narrower than this is marked
)

// Safety marks.
const (
	MarkPushStick = "push stick"
	MarkPushBlock = "push block over both sides"
	MarkFreeSide  = "narrow piece comes off on the free side"
	MarkNarrow    = "too narrow for the fence: track saw or leave on wider board"
	MarkSled      = "sled"
	MarkHoldDown  = "sled with hold-down"
	MarkStrip     = "waste strip"
)

const waste = "waste" // thrown away at once

// cutter writes the cut sequence of one sheet.
type cutter struct {
	saw   Saw
	sheet *Sheet
	no    int  // of the sheet in the layout, from 1
	named int  // pieces named so far
	plan  bool // only the settings matter: pieces get no names of their own
}

// rect is a rectangle of the sheet.
type rect struct{ x, y, w, h Um }

func (c *cutter) newName() string {
	if c.plan {
		return "piece"
	}
	c.named++
	return fmt.Sprintf("piece %d.%d", c.no, c.named)
}

func (c *cutter) nameOf(s *slab) string {
	switch {
	case s.void():
		return ""
	case s.leaf() && !c.plan:
		return s.name
	}
	return c.newName()
}

// cutSheet writes every cut of the sheet.
func (c *cutter) cutSheet() {
	sh := c.sheet
	if sh.trim > 0 {
		sh.root = sh.root.mergeTrim()
	}
	root := sh.root
	name := sh.startName()
	if t := sh.trim; t > 0 {
		all := rect{0, 0, sh.Width, sh.Height}
		far := [2]Um{root.w, root.h}
		edges := []struct {
			dir, ref string
			setting  Um
			keep     int
		}{
			{"x", "bottom", t - c.saw.Kerf, 1}, {"y", "left", t - c.saw.Kerf, 1},
			{"x", "bottom", far[1], 0}, {"y", "left", far[0], 0},
		}
		for i, e := range edges {
			next := c.newName
			if i == len(edges)-1 {
				next = func() string { return c.nameOf(root) }
			}
			makes := [2]string{waste, waste}
			makes[e.keep] = next()
			cut := Cut{Tool: Track, Piece: name, Direction: e.dir, Reference: e.ref, Setting: e.setting, Makes: makes, Keep: makes[e.keep]}
			parts := c.add(cut, all)
			name, all = makes[e.keep], parts[e.keep]
		}
	}
	c.cutSlab(root, name)
}

// add numbers the cut, fills in its line and returns the two rectangles it makes.
func (c *cutter) add(cut Cut, r rect) [2]rect {
	cut.No = len(c.sheet.Cuts) + 1
	cut.Kerf = c.saw.Kerf
	cut.Shown = toStep(cut.Setting, c.saw.Step)
	made := cut.split(r)
	near := made[0]
	switch cut.Reference {
	case "left":
		cut.At = [2][2]Um{{near.x + near.w, near.y}, {near.x + near.w, near.y + near.h}}
	case "right":
		cut.At = [2][2]Um{{near.x, near.y}, {near.x, near.y + near.h}}
	case "bottom":
		cut.At = [2][2]Um{{near.x, near.y + near.h}, {near.x + near.w, near.y + near.h}}
	case "top":
		cut.At = [2][2]Um{{near.x, near.y}, {near.x + near.w, near.y}}
	}
	c.sheet.Cuts = append(c.sheet.Cuts, cut)
	return made
}

func toStep(u, step Um) Um {
	if step <= 0 {
		return u
	}
	return (u + step/2) / step * step
}

// split gives the piece at the reference edge and the piece beyond the kerf, which may have no size.
func (cut Cut) split(r rect) [2]rect {
	s, beyond := cut.Setting, cut.Setting+cut.Kerf
	switch cut.Reference {
	case "left":
		return [2]rect{{r.x, r.y, s, r.h}, {r.x + beyond, r.y, r.w - beyond, r.h}}
	case "right":
		return [2]rect{{r.x + r.w - s, r.y, s, r.h}, {r.x, r.y, r.w - beyond, r.h}}
	case "bottom":
		return [2]rect{{r.x, r.y, r.w, s}, {r.x, r.y + beyond, r.w, r.h - beyond}}
	}
	return [2]rect{{r.x, r.y + r.h - s, r.w, s}, {r.x, r.y, r.w, r.h - beyond}}
}

// cutSlab cuts the piece of the given name into what the slab holds.
func (c *cutter) cutSlab(s *slab, name string) {
	if s.leaf() {
		c.slant(s, name)
		return
	}
	c.cutKids(s, s.kids, name)
}

// span is the rectangle that the kids fill, less a void at the end.
func span(s *slab, kids []*slab) rect {
	first, last := kids[0], kids[len(kids)-1]
	if s.axis == cutX {
		return rect{first.x, s.y, last.x + last.w - first.x, s.h}
	}
	return rect{s.x, first.y, s.w, last.y + last.h - first.y}
}

// cutKids separates the kids, which lie in a row in the piece of the given name.
func (c *cutter) cutKids(s *slab, kids []*slab, name string) {
	if len(kids) == 1 {
		c.cutSlab(kids[0], name)
		return
	}
	r := span(s, kids)
	at := c.splitAt(s, kids, r)
	head, tail := kids[:at], kids[at:]
	headName, tailName := c.groupName(head), c.groupName(tail)
	c.cutBetween(s, head, tail, r, name, headName, tailName)
	c.cutKids(s, head, headName)
	if tailName != "" {
		c.cutKids(s, tail, tailName)
	}
}

func (c *cutter) groupName(kids []*slab) string {
	if len(kids) == 1 {
		return c.nameOf(kids[0])
	}
	return c.newName()
}

// handles reports whether one person can hold the piece.
func (c *cutter) handles(r rect) bool {
	area := float64(r.w) * float64(r.h) / (1e6 * 1e6) // m2
	return max(r.w, r.h) <= c.saw.HandleLength && min(r.w, r.h) <= c.saw.HandleWidth && area*c.sheet.mass <= c.saw.HandleMass
}

// splitAt says after how many of the kids to cut first: after one, unless another cut brings an oversize piece down
// to two that one person can hold.
func (c *cutter) splitAt(s *slab, kids []*slab, r rect) int {
	if c.handles(r) {
		return 1
	}
	for at := 1; at < len(kids); at++ {
		if kids[at].void() {
			break
		}
		if c.handles(span(s, kids[:at])) && c.handles(span(s, kids[at:])) {
			return at
		}
	}
	return 1
}

// cutBetween writes the cut between head and tail of a row.
func (c *cutter) cutBetween(s *slab, head, tail []*slab, r rect, name, headName, tailName string) {
	h := span(s, head)
	cut := Cut{Piece: name, Direction: "y", Reference: "left", Setting: h.w, Makes: [2]string{headName, tailName}, Keep: headName}
	edge, across := r.h, r.w
	if s.axis == cutY {
		cut.Direction, cut.Reference, cut.Setting = "x", "bottom", h.h
		edge, across = r.w, r.h
	}
	switch {
	case !c.handles(r):
		cut.Tool = Track
	case edge >= fenceEdge && 3*edge >= 2*across:
		cut.Tool = Rip
		c.markRip(&cut, across)
	default:
		cut.Tool = Stop
		if across < smallPiece || cut.Setting < smallPiece && edge < smallPiece {
			cut.Safety = MarkHoldDown
		} else if max(edge, across) < fenceEdge {
			cut.Safety = MarkSled
		}
	}
	if rest := across - cut.Setting - c.saw.Kerf; rest > 0 && rest < wasteStrip && cut.Makes[0] == headName && len(tail) == 1 && tail[0].piece < 0 {
		cut.Safety = join(cut.Safety, MarkStrip)
	}
	c.add(cut, r)
}

// markRip marks a narrow rip, or turns it round so that the narrow piece is on the free side of the blade.
func (c *cutter) markRip(cut *Cut, across Um) {
	switch {
	case cut.Setting >= pushStick:
	case cut.Setting >= pushBlock:
		cut.Safety = MarkPushStick
	case cut.Setting >= neverBetween:
		cut.Safety = MarkPushBlock
	default:
		other := across - cut.Setting - c.saw.Kerf
		if other < neverBetween {
			cut.Safety = MarkNarrow
			return
		}
		cut.Setting = other
		cut.Makes[0], cut.Makes[1] = cut.Makes[1], cut.Makes[0]
		if cut.Reference == "left" {
			cut.Reference = "right"
		} else {
			cut.Reference = "top"
		}
		cut.Safety = MarkFreeSide
	}
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// slant writes the slanted cut of a head-to-tail pair, the last on its rectangle.
func (c *cutter) slant(s *slab, name string) {
	sl, ok := c.sheet.slants[name]
	if !ok {
		return
	}
	cut := Cut{No: len(c.sheet.Cuts) + 1, Tool: Taper, Piece: name, Direction: "slant", Reference: sl.reference, Setting: sl.setting,
		Shown: toStep(sl.setting, c.saw.Step), Far: sl.far, At: sl.line, Kerf: c.saw.Kerf, Makes: sl.names, Keep: sl.names[0]}
	if max(s.w, s.h) < fenceEdge {
		cut.Safety = MarkHoldDown
	}
	c.sheet.Cuts = append(c.sheet.Cuts, cut)
}

// slant is the slanted cut of one pair, in the sheet's frame.
type slant struct {
	names     [2]string
	line      [2][2]Um
	reference string
	setting   Um // at the start of the line
	far       Um // at its end
}

// slantOf gives the cut of the pair laid as pl.
func (p piece) slantOf(pl Placement) slant {
	line := p.onSheet(pl, p.pair.line[:])
	sl := slant{names: p.names, line: [2][2]Um{line[0], line[1]}}
	r := rect{pl.X, pl.Y, pl.Width, pl.Height}
	first := pl.Parts[0].Outline
	if p.pair.alongY != pl.Turned { // the parallel sides run along y
		sl.reference, sl.setting, sl.far = "bottom", line[0][1]-r.y, line[1][1]-r.y
		if slices.MinFunc(first, func(a, b [2]Um) int { return int(a[1] - b[1]) })[1] > r.y {
			sl.reference, sl.setting, sl.far = "top", r.y+r.h-line[0][1], r.y+r.h-line[1][1]
		}
		return sl
	}
	sl.reference, sl.setting, sl.far = "left", line[0][0]-r.x, line[1][0]-r.x
	if slices.MinFunc(first, func(a, b [2]Um) int { return int(a[0] - b[0]) })[0] > r.x {
		sl.reference, sl.setting, sl.far = "right", r.x+r.w-line[0][0], r.x+r.w-line[1][0]
	}
	return sl
}

// startName is what the sheet is called before the first cut: its own name, or that of the one piece it is already.
func (sh *Sheet) startName() string {
	if len(sh.Placements) == 1 && len(sh.Offcuts) == 0 {
		if p := sh.Placements[0]; p.Width == sh.Width && p.Height == sh.Height {
			return p.Panel
		}
	}
	return sh.Name
}
