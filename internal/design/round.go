package design

import (
	"math"

	"cubby/internal/plane"
)

// floorTo rounds down to a step; a step of 0 leaves the value.
func floorTo(v, step float64) float64 {
	if step <= 0 {
		return v
	}
	return math.Floor(v/step+stepSlack) * step
}

// stepSlack is how near to a whole number of steps a size counts as that number, in steps: 864 mm is 864 steps of 1 mm
// however it was computed.
const stepSlack = 1e-6

// roundSection moves the corners of an outside section inward onto the saw's step, measured from its front and floor,
// so that every level and upright size is one that a fence can be set to; slopes follow. It gives the section back as
// it was where it is too slender, and where rounding would leave the space.
func roundSection(g plane.Polygon, step float64) plane.Polygon {
	origin := g.Bounds().Min
	rounded := make(plane.Polygon, len(g))
	for i, v := range g {
		d := v.Sub(origin)
		in, out := g[(i+len(g)-1)%len(g)], g[(i+1)%len(g)]
		best, found := plane.Point{}, false
		for _, x := range inwardSteps(d.X, step, v.X-in.X == 0, v.X-out.X == 0, v.Y-in.Y, out.Y-v.Y, -1) {
			for _, y := range inwardSteps(d.Y, step, v.Y-in.Y == 0, v.Y-out.Y == 0, v.X-in.X, out.X-v.X, 1) {
				q := origin.Add(plane.Point{X: x, Y: y})
				if g.Contains(q) && (!found || q.Sub(v).Norm() < best.Sub(v).Norm()) {
					best, found = q, true
				}
			}
		}
		if !found {
			return g
		}
		rounded[i] = best
	}
	if rounded.Validate() != nil || !g.ContainsPolygon(rounded) {
		return g
	}
	return rounded
}

// inwardSteps are the steps that one coordinate of a corner may be moved to. When the wall before or after the corner
// lies square to that coordinate (before, after), it moves inward only, so that both ends of the wall move alike; runIn
// and runOut say which way those walls run along the other coordinate, and inward is the sign of the inside for a wall
// that runs in the positive direction.
func inwardSteps(v, step float64, before, after bool, runIn, runOut, inward float64) []float64 {
	n := v / step
	if math.Abs(n-math.Round(n)) < stepSlack {
		return []float64{math.Round(n) * step}
	}
	down, up := math.Floor(n)*step, math.Ceil(n)*step
	run := 0.0
	switch {
	case before:
		run = runIn
	case after:
		run = runOut
	default:
		return []float64{down, up}
	}
	if run*inward > 0 {
		return []float64{up}
	}
	return []float64{down}
}
