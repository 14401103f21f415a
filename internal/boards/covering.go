package panels

import "slices"

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
