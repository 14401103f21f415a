package render

import (
	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/plane"
)

// drawnSpace is the measured space as the drawings have it: the section of the stretch that holds most, over the whole width, and
// the boxes round its blocks.
type drawnSpace struct {
	Width   float64
	Section plane.Polygon
	Blocks  []drawnBlock
}

// drawnBlock is the box round a block, m.
type drawnBlock struct {
	Name                                     string
	Left, Width, Front, Depth, Floor, Height float64
}

// drawn makes a space ready to be drawn; nil where there is none.
func drawn(sp *design.Space) *drawnSpace {
	if sp == nil || sp.Space == nil {
		return nil
	}
	room, err := sp.Settle()
	if err != nil {
		return nil
	}
	extent := room.Extent()
	_, _, section := room.Widest(plane.MaxCorners)
	if len(section) < plane.MinCorners {
		return nil
	}
	d := &drawnSpace{Width: extent.Max.X, Section: section}
	for _, b := range sp.Blocks {
		d.Blocks = append(d.Blocks, boxRound(&b, extent))
	}
	return d
}

// boxRound is the box round a block, as far as it lies in the space.
func boxRound(b *cavity.Block, extent cavity.Box) drawnBlock {
	o := b.Outline.Bounds()
	lo, hi := b.Axis.At(o.Min, b.Lo), b.Axis.At(o.Max, b.Hi)
	lo.X, lo.Y, lo.Z = max(lo.X, extent.Min.X), max(lo.Y, extent.Min.Y), max(lo.Z, extent.Min.Z)
	hi.X, hi.Y, hi.Z = min(hi.X, extent.Max.X), min(hi.Y, extent.Max.Y), min(hi.Z, extent.Max.Z)
	return drawnBlock{b.Name, lo.X, hi.X - lo.X, lo.Y, hi.Y - lo.Y, lo.Z, hi.Z - lo.Z}
}
