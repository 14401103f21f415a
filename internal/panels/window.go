package panels

import (
	"math"
	"slices"

	"cubby/internal/plane"
)

// windowsFor cuts windows into a brace, a rail inside its outline, clear of the holes for tubes unless these lie wholly in one.
func windowsFor(outline plane.Polygon, holes []Hole, rail float64) []plane.Rect {
	opening := largest(outline.Inset(rail))
	windows := windowsIn([]plane.Polygon{opening}, rail, braceOpen*outline.Area())
	if !slices.ContainsFunc(holes, func(h Hole) bool { return slices.ContainsFunc(windows, h.cutsInto) }) {
		return windows
	}
	rest := []plane.Polygon{opening}
	for _, h := range holes {
		var next []plane.Polygon
		for _, g := range rest {
			next = append(next, g.Subtract(h.square(braceLip))...)
		}
		rest = next
	}
	return windowsIn(rest, rail, braceOpen*outline.Area())
}

// square is the square round a round hole, grown by a lip.
func (h Hole) square(lip float64) plane.Rect {
	r := h.Diameter/2 + lip
	return plane.Rect{Min: plane.Point{X: h.X - r, Y: h.Y - r}, Max: plane.Point{X: h.X + r, Y: h.Y + r}}
}

// cutsInto reports whether a round hole lies neither wholly in a window nor a lip away from it.
func (h Hole) cutsInto(w plane.Rect) bool {
	q := h.square(braceLip)
	return !h.within(w) && q.Min.X < w.Max.X && q.Max.X > w.Min.X && q.Min.Y < w.Max.Y && q.Max.Y > w.Min.Y
}

// within reports whether a round hole lies wholly in a window, whose corners are round.
func (h Hole) within(w plane.Rect) bool {
	q := h.square(math.Max(windowRadius(w)-h.Diameter/2, 0))
	return q.Min.X >= w.Min.X && q.Max.X <= w.Max.X && q.Min.Y >= w.Min.Y && q.Max.Y <= w.Max.Y
}

// notched is a brace's outline without a square, and without what lies between it and the edge on the side where that takes least.
func notched(g plane.Polygon, square plane.Rect) plane.Polygon {
	var best plane.Polygon
	for k := range 4 {
		n, box := square, g.Bounds()
		switch k {
		case 0:
			n.Min.X = math.Min(n.Min.X, box.Min.X)
		case 1:
			n.Min.Y = math.Min(n.Min.Y, box.Min.Y)
		case 2:
			n.Max.X = math.Max(n.Max.X, box.Max.X)
		case 3:
			n.Max.Y = math.Max(n.Max.Y, box.Max.Y)
		}
		if rest := largest(g.Subtract(n)); rest.Area() > best.Area() {
			best = rest
		}
	}
	return best
}

// windowsIn cuts the largest windows, a rail apart, until so much is open or what is left takes no more.
func windowsIn(left []plane.Polygon, rail, wanted float64) []plane.Rect {
	const most, least = 3, 60e-3 // windows, and the shortest side of one
	var all []plane.Rect
	open := 0.0
	for len(all) < most && open < wanted {
		var best plane.Rect
		for _, g := range left {
			if w := g.LargestRect(); w.Area() > best.Area() {
				best = w
			}
		}
		if best.Width() < least || best.Height() < least {
			break
		}
		all, open = append(all, best), open+windowArea(best)
		grown := plane.Rect{Min: best.Min.Sub(plane.Point{X: rail, Y: rail}), Max: best.Max.Add(plane.Point{X: rail, Y: rail})}
		var rest []plane.Polygon
		for _, g := range left {
			rest = append(rest, g.Subtract(grown)...)
		}
		left = rest
	}
	return all
}

// windowArea is what a window opens, its corners rounded.
func windowArea(w plane.Rect) float64 {
	r := windowRadius(w)
	return w.Area() - (4-math.Pi)*r*r
}

// windowRadius is the radius of a window's corners.
func windowRadius(w plane.Rect) float64 {
	return math.Min(braceRadius, math.Min(w.Max.X-w.Min.X, w.Max.Y-w.Min.Y)/2)
}

// largest is the first of the pieces of a polygon, which come by size; nil when there is none.
func largest(pieces []plane.Polygon) plane.Polygon {
	if len(pieces) == 0 {
		return nil
	}
	return pieces[0]
}
