package design

import (
	"fmt"
	"math"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// Extent of the cuts that make a shape's face wide enough for its driver.
const (
	mostSeatCut  = 0.6 // of the section's size square to the face: beyond it the depth behind the driver is gone as well
	seatCuts     = 40  // that are tried
	seatHalvings = 8   // then the least one is found to 1/256 of the step between two
	worthwhile   = 0.005
)

// seatByCut cuts a shape in which the driver does not sit down on the side of the driver's face, where that wall is too
// short, until it sits there: a slope beside the face then makes way for a wider face. It gives the least cut that leaves
// the fewest checks wanting, and false when none seats the driver.
func (p *plant) seatByCut(whole room) (room, bool) {
	size := whole.section.Bounds()
	depth := size.Height()
	if f := p.req.Mount.Face; f == "front" || f == "back" {
		depth = size.Width()
	}
	if p.hopeless(whole.section) == tooShallow {
		return room{}, false
	}
	best, least := room{shortfall: math.MaxInt}, 0.0
	step := depth * mostSeatCut / seatCuts
	for n := 1; n <= seatCuts && best.shortfall > 0; n++ {
		if r, ok := p.faceCut(whole, float64(n)*step); ok && r.shortfall < best.shortfall {
			best, least = r, float64(n)*step
		}
	}
	if best.shortfall >= failedCheck {
		return room{}, false
	}
	for lo, n := least-step, 0; n < seatHalvings; n++ {
		step /= 2
		if r, ok := p.faceCut(whole, lo+step); ok && r.shortfall <= best.shortfall {
			best, least = r, lo+step
		} else {
			lo += step
		}
	}
	best.notes = append(best.notes[:len(best.notes):len(best.notes)],
		fmt.Sprintf("the %s is moved %s into the box so that it is wide enough for the driver", p.req.Mount.Face, p.length(least)))
	return best, true
}

// faceCut is the room with the driver's face moved inward by a cut, in metres.
func (p *plant) faceCut(whole room, cut float64) (room, bool) {
	g := whole.section
	b, at := g.Bounds(), 0.0
	switch p.req.Mount.Face {
	case "top":
		at = b.Max.Y - cut
	case "bottom":
		at = b.Min.Y + cut
	case "front":
		at = b.Min.X + cut
	case "back":
		at = b.Max.X - cut
	default: // an end is the whole section
		return room{}, false
	}
	pieces := cutAt(g, p.req.Mount.Face, at)
	if len(pieces) == 0 || p.hopeless(pieces[0]) != perhaps {
		return room{}, false
	}
	r, err := p.newRoom(whole.index, pieces[0])
	return r, err == nil
}

// cutAt gives what is left of a section when one of its sides - front, back, top or bottom - is cut away to a depth or height,
// in metres; the largest piece first.
func cutAt(g plane.Polygon, side string, at float64) []plane.Polygon {
	var a, b plane.Point // what lies to the left of the way from a to b stays
	switch side {
	case "top":
		a, b = plane.Point{X: 1, Y: at}, plane.Point{X: 0, Y: at}
	case "bottom":
		a, b = plane.Point{X: 0, Y: at}, plane.Point{X: 1, Y: at}
	case "front":
		a, b = plane.Point{X: at, Y: 1}, plane.Point{X: at, Y: 0}
	default:
		a, b = plane.Point{X: at, Y: 0}, plane.Point{X: at, Y: 1}
	}
	return g.ClipHalfPlane(plane.LineThrough(a, b))
}

// What can be told of a driver in a section without any wood.
type prospect int

const (
	perhaps    prospect = iota
	tooShort            // every wall on the side of its face is shorter than its frame
	tooShallow          // from one side of the section to the other is less than its depth
)

// hopeless says why the driver cannot sit on a wall of an outside section, when that is plain.
func (p *plant) hopeless(g plane.Polygon) prospect {
	size, face := g.Bounds(), p.req.Mount.Face
	depth, longest := size.Height(), 0.0
	switch face {
	case "left", "right":
		return perhaps
	case "front", "back":
		depth = size.Width()
	}
	if depth < p.req.Frame.Depth {
		return tooShallow
	}
	for i, a := range g {
		if panels.SideOf(g, i) == face {
			longest = math.Max(longest, g[(i+1)%len(g)].Sub(a).Norm())
		}
	}
	if longest < p.req.Frame.Frame {
		return tooShort
	}
	return perhaps
}
