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
	size := whole.spec.Section.Bounds()
	depth := size.Height()
	if f := p.req.Mount.Face; f == "front" || f == "back" {
		depth = size.Width()
	}
	if p.hopeless(whole.spec.Section) == tooShallow {
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
	g := whole.spec.Section
	b := g.Bounds()
	var l plane.Line // its normal points into what is kept
	switch p.req.Mount.Face {
	case "top":
		l = plane.LineThrough(plane.Point{X: 1, Y: b.Max.Y - cut}, plane.Point{X: 0, Y: b.Max.Y - cut})
	case "bottom":
		l = plane.LineThrough(plane.Point{X: 0, Y: b.Min.Y + cut}, plane.Point{X: 1, Y: b.Min.Y + cut})
	case "front":
		l = plane.LineThrough(plane.Point{X: b.Min.X + cut, Y: 1}, plane.Point{X: b.Min.X + cut, Y: 0})
	case "back":
		l = plane.LineThrough(plane.Point{X: b.Max.X - cut, Y: 0}, plane.Point{X: b.Max.X - cut, Y: 1})
	default: // an end is the whole section
		return room{}, false
	}
	pieces := g.ClipHalfPlane(l)
	if len(pieces) == 0 || p.hopeless(pieces[0]) != perhaps {
		return room{}, false
	}
	r, err := p.newRoom(whole.index, pieces[0])
	return r, err == nil
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
