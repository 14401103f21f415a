package cavity

import (
	"fmt"
	"slices"
	"strings"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// A room is one way to stay clear of the blocks: a stretch of the width, with the blocks in it and beside it.
type room struct {
	left, right float64
	around      []int // blocks that stand in the stretch, kept clear by the section
	beside      []int // blocks that the stretch avoids
}

func (r room) width() float64 { return r.right - r.left }

// Bounds of the search when many blocks are in the way: the widest rooms are looked at, and in each the largest pieces of
// section. A block that hangs free can be passed on four sides, so the pieces of three blocks are all kept only if few
// hang free.
const (
	mostRooms    = 16
	mostSections = 4
)

// rooms lists all ways to stay clear of the blocks. In the best of them each end of the width is held by a side of the
// space or by a block, so every pair of these is taken.
func (s Space) rooms(pieces []plane.Polygon) []room {
	lefts, rights := []float64{s.InsetLeft}, []float64{s.Width - s.InsetRight}
	inWay := s.inWay(pieces)
	for _, i := range inWay {
		b := s.Blocks[i]
		lefts = append(lefts, b.Left+b.Width+s.Gap)
		rights = append(rights, b.Left-s.Gap)
	}
	var list []room
	for _, l := range lefts {
		for _, r := range rights {
			if l < s.InsetLeft || r > s.Width-s.InsetRight || r-l < s.LeastWall {
				continue
			}
			list = append(list, s.room(l, r, inWay))
		}
	}
	slices.SortStableFunc(list, func(a, b room) int { return cmp(b.width(), a.width()) })
	return list[:min(len(list), mostRooms)]
}

// inWay lists the blocks that, with the gap round them, touch a piece of section.
func (s Space) inWay(pieces []plane.Polygon) []int {
	var list []int
	for i, b := range s.Blocks {
		if b.Left+b.Width+s.Gap <= s.InsetLeft || b.Left-s.Gap >= s.Width-s.InsetRight {
			continue
		}
		for _, g := range pieces {
			if g.IntersectArea(s.keepOut(b).Polygon()) > 0 {
				list = append(list, i)
				break
			}
		}
	}
	return list
}

// keepOut is the section of a block with the gap round it.
func (s Space) keepOut(b Block) plane.Rect {
	return plane.Rect{
		Min: plane.Point{X: b.Front - s.Gap, Y: b.Floor - s.Gap},
		Max: plane.Point{X: b.Front + b.Depth + s.Gap, Y: b.Floor + b.Height + s.Gap},
	}
}

func (s Space) room(left, right float64, inWay []int) room {
	r := room{left: left, right: right}
	for _, i := range inWay {
		b := s.Blocks[i]
		if b.Left+b.Width+s.Gap <= left || b.Left-s.Gap >= right {
			r.beside = append(r.beside, i)
		} else {
			r.around = append(r.around, i)
		}
	}
	return r
}

// sections returns what the blocks in the room leave of the pieces.
func (s Space) sections(r room, pieces []plane.Polygon) []plane.Polygon {
	for _, i := range r.around {
		pieces = without(pieces, s.keepOut(s.Blocks[i]))
	}
	return pieces
}

// without takes a rectangle out of every section. One that would leave a hole is joined to the outside in each of the
// four directions, which gives four sections.
func without(sections []plane.Polygon, r plane.Rect) []plane.Polygon {
	var list []plane.Polygon
	for _, g := range sections {
		b := g.Bounds()
		if !hangsFree(g, r) {
			list = append(list, g.Subtract(r)...)
			continue
		}
		far := b.Diagonal()
		for _, d := range [4]plane.Rect{
			{Min: plane.Point{X: r.Min.X, Y: b.Min.Y - far}, Max: r.Max},
			{Min: r.Min, Max: plane.Point{X: r.Max.X, Y: b.Max.Y + far}},
			{Min: plane.Point{X: b.Min.X - far, Y: r.Min.Y}, Max: r.Max},
			{Min: r.Min, Max: plane.Point{X: b.Max.X + far, Y: r.Max.Y}},
		} {
			list = append(list, g.Subtract(d)...)
		}
	}
	slices.SortStableFunc(list, func(g, h plane.Polygon) int { return cmp(h.Area(), g.Area()) })
	return list[:min(len(list), mostSections)]
}

// hangsFree reports whether r lies inside g without touching its outline.
func hangsFree(g plane.Polygon, r plane.Rect) bool {
	if !g.ContainsPolygon(r.Polygon()) {
		return false
	}
	for _, p := range r.Polygon() {
		if g.Distance(p) <= nearCorner {
			return false
		}
	}
	for i := range g {
		if p := g[i]; p.X >= r.Min.X-nearCorner && p.X <= r.Max.X+nearCorner && p.Y >= r.Min.Y-nearCorner && p.Y <= r.Max.Y+nearCorner {
			return false
		}
	}
	return true
}

// blockNotes says how the box keeps clear of the blocks and what that costs against a space without them.
func (s Space) blockNotes(r room, section plane.Polygon, cost float64) []string {
	if cost*1000 < 0.05 { // would print as 0.0 l
		return nil
	}
	var parts []string
	var kept []string
	for _, i := range r.beside {
		b := s.Blocks[i]
		side := "right"
		if b.Left >= r.right {
			side = "left"
		}
		kept = append(kept, fmt.Sprintf("%s of the %s", side, blockName(b, i)))
	}
	if len(kept) > 0 {
		parts = append(parts, fmt.Sprintf("the width is shortened to %s so that the box stands %s",
			s.length(r.width()), strings.Join(kept, " and ")))
	}
	for _, i := range r.around {
		if how := s.passes(section, s.Blocks[i]); how != "" {
			parts = append(parts, how+" the "+blockName(s.Blocks[i], i)+" along the whole width")
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s: costs %s of the largest box that the space could take", strings.Join(parts, "; "), unit.FormatVolume(cost, s.Units))}
}

func blockName(b Block, i int) string {
	if b.Name == "" {
		return fmt.Sprintf("block %d", i+1)
	}
	return b.Name
}

// passes says on which side of a block the section lies, "" when it lies nowhere near.
func (s Space) passes(section plane.Polygon, b Block) string {
	k, o := s.keepOut(b), section.Bounds()
	switch {
	case o.Min.Y >= k.Max.Y-nearCorner:
		return "the box stays above"
	case o.Max.Y <= k.Min.Y+nearCorner:
		return "the box stays below"
	case o.Min.X >= k.Max.X-nearCorner:
		return "the box stays behind"
	case o.Max.X <= k.Min.X+nearCorner:
		return "the box stays in front of"
	}
	return "the section is notched round"
}
