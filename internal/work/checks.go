package work

import (
	"math"

	"cubby/internal/panels"
)

// checks are what the shop writes into its part of the form that goes back: sizes, air, openings, port, tightness.
func checks(b *panels.Box, f Fill) []Measure {
	w, d, h := Outside(b)
	out := []Measure{{OutsideWidth, -1, w, 0}, {OutsideDepth, -1, d, 0}, {OutsideHeight, -1, h, 0}}
	seen := map[float64]bool{}
	for i := range b.Panels {
		if t := b.Panels[i].Thickness / float64(max(1, b.Panels[i].Layers)); !seen[t] && !inside(&b.Panels[i]) {
			seen[t] = true
			out = append(out, Measure{BoardThickness, i, t, boardSlack})
		}
	}
	up, down := diagonals(b)
	out = append(out, Measure{DiagonalUp, -1, up, diagonalSlack}, Measure{DiagonalDown, -1, down, diagonalSlack}, Measure{FillVolume, -1, f.Volume, f.Share * f.Volume})
	for i := range b.Panels {
		if p := &b.Panels[i]; !inside(p) {
			for _, h := range p.Holes {
				switch {
				case h.Kind != panels.HoleDriver:
				case h.Use == panels.UseRadiator:
					out = append(out, Measure{RadiatorOpening, i, h.Diameter, openingSlack})
				default:
					out = append(out, Measure{OpeningDiameter, i, h.Diameter, openingSlack})
				}
			}
		}
	}
	for _, s := range b.Ports {
		size := s.Height
		if size == 0 && b.Spec.Port != nil {
			size = b.Spec.Port.Bore
		}
		i := index(b, s.Panel)
		out = append(out, Measure{PortLength, i, s.Length, openingSlack}, Measure{PortSize, i, size, openingSlack})
	}
	return append(out, Measure{Kind: Tight, Panel: -1})
}

// What measures may differ by, m (common practice; the board: the mill tolerance of fibreboard and a tenth for the caliper).
const (
	boardSlack    = 0.3e-3
	diagonalSlack = 1e-3
	openingSlack  = 1e-3
)

// diagonals are those of the mouth of the wrap, between the outer arrises that are furthest apart: up from the front bottom, and down
// from the front top.
func diagonals(b *panels.Box) (up, down float64) {
	r := b.Section.Bounds()
	pick := func(x, y float64) (best int) {
		far := math.Inf(-1)
		for i, p := range b.Section {
			if v := (p.X-r.Min.X)*x/r.Width() + (p.Y-r.Min.Y)*y/r.Height(); v > far+1e-9 {
				far, best = v, i
			}
		}
		return best
	}
	s := b.Section
	return s[pick(-1, -1)].Sub(s[pick(1, 1)]).Norm(), s[pick(-1, 1)].Sub(s[pick(1, -1)]).Norm()
}
