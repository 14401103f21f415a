package panels

import (
	"slices"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// Covering is cloth, carpet or film glued over the outside of the box. Sections, panels and openings stay those of the wood.
type Covering struct {
	Kind      string   // "carpet"; may be empty
	Thickness float64  // m
	Faces     []string // the sides that are covered: front back top bottom left right; empty: all
}

// On is the thickness of the covering on a side of the box, 0 where there is none. A nil covering is none.
func (c *Covering) On(side string) float64 {
	if c == nil || len(c.Faces) > 0 && !slices.Contains(c.Faces, side) {
		return 0
	}
	return c.Thickness
}

// Cloth to buy (common practice).
const (
	coverWaste = 1.10  // times the covered area
	coverWrap  = 50e-3 // turned over at an edge, and overlapped at the seam
)

func (b *Box) parts() []part {
	section, walls := sectionOf(b.Spec.Outside, b.Spec.Axis)
	return partsOf(b.Spec.Outside, b.Spec.Axis, section, walls)
}

// covers is the thickness that a covering and the squeezed gasket of a removable face add to the wood of a face, outward.
func (b *Box) covers(i int, p *part) float64 {
	add := 0.0
	if b.Removable != nil && b.Removable.Panel == p.name {
		add = b.Removable.Gasket
	}
	if b.Spec.Outside.Faces[i].Kind == solid.InPocket {
		return add
	}
	return add + b.Spec.Wood.Covering.On(p.side.word())
}

// Covered is the outside with its covering and gasket.
func (b *Box) Covered() *solid.Solid {
	parts := b.parts()
	by := make([]float64, len(parts))
	for i := range parts {
		by[i] = b.covers(i, &parts[i])
	}
	s, err := b.Spec.Outside.Moved(by)
	if err != nil { // a face thinner than the cloth
		return b.Spec.Outside
	}
	return s
}

// Finished is the outside with its covering and gasket: width, depth and height in m.
func (b *Box) Finished() [3]float64 {
	lo, hi := b.Covered().Bounds()
	size := r3.Sub(hi, lo)
	return [3]float64{size.X, size.Y, size.Z}
}

// CoverArea is the cloth to buy in m2: the covered outside with 10 % for waste, 50 mm turned over every edge where a strip
// round the walls ends, and one seam of 50 mm (common practice). It is 0 without a covering.
func (b *Box) CoverArea() float64 {
	c := b.Spec.Wood.Covering
	if c == nil {
		return 0
	}
	area, wraps, round := 0.0, 0.0, false
	s := b.Spec.Outside
	for i, p := range b.parts() {
		if c.On(p.side.word()) <= 0 || p.role == Pocket {
			continue
		}
		area += s.Area(i)
		if p.role != Wall {
			continue
		}
		round = true
		loop := s.Faces[i].Loops[0]
		for k, j := range loop.With { // where it turns over an end
			if kind := s.Faces[j].Kind; kind == solid.Low || kind == solid.High {
				wraps += r3.Norm(r3.Sub(loop.At[(k+1)%len(loop.At)], loop.At[k]))
			}
		}
	}
	if round {
		wraps += b.Width
	}
	return area*coverWaste + wraps*coverWrap
}
