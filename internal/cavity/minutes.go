package cavity

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Weights turn what a box asks of a shop and of the one who fits it into minutes (common practice; a job may change them).
type Weights struct {
	Board       float64 // min per board
	PocketBoard float64 // min per board of a pocket
	Corner      float64 // min per corner of a section that is not square
	Compound    float64 // min per edge that is cut at two angles
	Standing    float64 // min for a bottom that is all over the floor by more than the gap and 15 mm
	Height      float64 // min per m of base over the lowest floor and the gap
	Reach       float64 // min per m from the front and the gap to the nearest face
	Area        float64 // min per m2 of board
	Mass        float64 // min per kg over Light
	Light       float64 // kg that one person carries without a second thought
	Density     float64 // kg/m3 of the boards
}

// DefaultWeights are those that are taken when a job says nothing.
func DefaultWeights() Weights {
	return Weights{Board: 6, PocketBoard: 8, Corner: 3, Compound: 12, Standing: 40, Height: 50, Reach: 50, Area: 40, Mass: 6, Light: 15, Density: 750}
}

// Effort is what a region asks, in the terms that Weights weighs.
type Effort struct {
	Boards, PocketBoards int // Boards without those of the pockets
	Corners, Compound    int
	Perched              float64 // share of the bottom
	Height, Reach        float64 // m
	Area                 float64 // m2 of board, outer faces
	Mass                 float64 // kg
}

// Minutes weighs an effort.
func (w Weights) Minutes(e Effort) float64 {
	return w.Board*float64(e.Boards) + w.PocketBoard*float64(e.PocketBoards) + w.Corner*float64(e.Corners) + w.Compound*float64(e.Compound) +
		w.Standing*e.Perched + w.Height*e.Height + w.Reach*e.Reach + w.Area*e.Area + w.Mass*math.Max(0, e.Mass-w.Light)
}

// Effort is what a region asks, with boards of the given thickness and density.
func (m *Room) Effort(r *Region, board, density float64) Effort {
	s, _ := m.standing(r)
	return s.effort(m, r, board, density)
}

func (s *Standing) effort(m *Room, r *Region, board, density float64) Effort {
	a := r.Area()
	return Effort{Boards: r.Boards - r.InPockets, PocketBoards: r.InPockets, Corners: r.Bevels, Compound: r.Compound, Perched: s.Perched, Height: s.Over, Reach: m.Reach(r),
		Area: a, Mass: a * board * density}
}

// Area is the area of the outer faces of a region with its pockets, m2.
func (r *Region) Area() float64 {
	total := r.Section.Area() * (math.Hypot(1, r.Leans[0]) + math.Hypot(1, r.Leans[1]))
	for i := range r.Section {
		a, b := r.Section.Edge(i)
		total += b.Sub(a).Norm() * r.length(a.Add(b).Mul(0.5))
	}
	for _, p := range r.Pockets {
		open := r.opens(p)
		for i, is := range open {
			v := r.sideArea(p, i)
			if is {
				v = -v
			}
			total += v
		}
	}
	return total
}

// sideArea is the area of side i of a pocket's box within the section of the region.
func (r *Region) sideArea(p Box, i int) float64 {
	c, _ := common(p, r.Bounds())
	d := r3.Sub(c.Max, c.Min)
	switch axis := Axis(i / 2); axis {
	case r.Axis:
		return r.clipped(r.Section, c).Area()
	case Across:
		return d.Y * d.Z
	case Depth:
		return d.X * d.Z
	}
	return d.X * d.Y
}
