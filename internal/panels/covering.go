package panels

import (
	"math"
	"slices"

	"cubby/internal/plane"
)

// Covering is cloth, carpet or film glued over the outside of the box. Sections, panels and openings stay those of the wood.
type Covering struct {
	Kind      string   // "carpet"; may be empty
	Thickness float64  // m
	Faces     []string // the sides that are covered: front back top bottom left right; empty: all
}

// Cloth to buy (common practice).
const (
	coverWaste = 1.10  // times the covered area
	coverWrap  = 50e-3 // turned over at an edge, and overlapped at the seam
)

// On is the thickness of the covering on a side of the box, 0 where there is none. A nil covering is none.
func (c *Covering) On(side string) float64 {
	if c == nil || len(c.Faces) > 0 && !slices.Contains(c.Faces, side) {
		return 0
	}
	return c.Thickness
}

// Covers is the thickness that a covering and the squeezed gasket of a removable face add to the wood of a panel, outward.
func (b *Box) Covers(panel string) float64 {
	add := 0.0
	if b.Removable != nil && b.Removable.Panel == panel {
		add = b.Removable.Gasket
	}
	switch panel {
	case leftEnd:
		return add + b.Spec.Wood.Covering.On("left")
	case rightEnd:
		return add + b.Spec.Wood.Covering.On("right")
	}
	for i, n := range Names(b.Section) {
		if n == panel {
			return add + b.Spec.Wood.Covering.On(SideOf(b.Section, i))
		}
	}
	return add
}

// Finished is the outside with its covering and gasket: width, depth and height in m.
func (b *Box) Finished() [3]float64 {
	names := Names(b.Section)
	n := len(names)
	outer := make(plane.Polygon, n)
	side := func(i int) plane.Line {
		p, q := ends(b.Section, i)
		return plane.LineThrough(p, q).Offset(-b.Covers(names[i]))
	}
	for i := range outer {
		p, ok := side((i + n - 1) % n).Meet(side(i))
		if !ok {
			p = b.Section[i]
		}
		outer[i] = p
	}
	size := outer.Bounds()
	return [3]float64{b.Width + b.Covers(leftEnd) + b.Covers(rightEnd), size.Width(), size.Height()}
}

// CoverArea is the cloth to buy in m2: the covered outside with 10 % for waste, 50 mm turned over every edge where a strip
// round the walls ends, and one seam of 50 mm (common practice). It is 0 without a covering.
func (b *Box) CoverArea() float64 {
	c := b.Spec.Wood.Covering
	if c == nil {
		return 0
	}
	round, area := 0.0, 0.0
	for i := range b.Section {
		if p, q := ends(b.Section, i); c.On(SideOf(b.Section, i)) > 0 {
			round += q.Sub(p).Norm()
		}
	}
	area = round * b.Width
	for _, side := range []string{"left", "right"} {
		if c.On(side) > 0 {
			area += math.Abs(b.Section.Area())
		}
	}
	wraps := 2 * round
	if round > 0 {
		wraps += b.Width
	}
	return area*coverWaste + wraps*coverWrap
}
