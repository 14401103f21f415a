package cavity

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// NoRoomError says that no box can stand in the space, and what takes the room. Lengths are metres.
type NoRoomError struct {
	Direction string  // "wide", "deep", "high", or "" when no single direction is to blame
	Size      float64 // of the space in that direction, at its largest
	At        float64 // height (deep) or depth (high) at which it was measured
	Taken     float64 // by the air kept on both sides
	Least     float64 // narrowest wall that can be built
	text      string
}

// Error says it in the user's terms, in inches and millimetres.
func (e *NoRoomError) Error() string { return e.text }

// length prints a length as 3/8 in (9.5 mm).
func length(m float64) string {
	return fmt.Sprintf("%s in (%s mm)", unit.Fraction(m, 16), unit.Millimetres(m, 1))
}

// litres prints a volume with one decimal.
func litres(m3 float64) string { return fmt.Sprintf("%.1f l", m3*1000) }

// gapText names the air that is kept on two sides.
func gapText(a, b float64) string {
	if a == b {
		return fmt.Sprintf("the gap of %s on both sides", length(a))
	}
	return fmt.Sprintf("the gaps of %s and %s", length(a), length(b))
}

// noWidth reports that the space is too narrow; left and right are the air kept there.
func noWidth(width, left, right, least float64) *NoRoomError {
	e := &NoRoomError{Direction: "wide", Size: width, Taken: left + right, Least: least}
	if e.Taken >= width {
		e.text = fmt.Sprintf("%s leaves no room: the space is %s wide", gapText(left, right), length(width))
		return e
	}
	e.text = fmt.Sprintf("%s leaves %s of the %s that the space is wide: the narrowest wall that can be built is %s",
		gapText(left, right), length(width-e.Taken), length(width), length(least))
	return e
}

// A chord is the longest straight way through a section in one direction.
type chord struct {
	length, at float64
	from, to   int // the sides of the section at its ends
}

// longestChord returns the longest level (or, upright, the longest upright) line inside g. The length is a linear
// function of the place between corners, so it is greatest beside one of them.
func longestChord(g plane.Polygon, upright bool) chord {
	flat := slices.Clone(g)
	if upright {
		for i, p := range flat {
			flat[i] = plane.Point{X: p.Y, Y: p.X}
		}
	}
	b := flat.Bounds()
	const beside = 1e-6 // of the size: clear of the corner itself, where sides begin and end
	var best chord
	var heights []float64
	for _, p := range flat {
		heights = append(heights, p.Y-beside*b.Height(), p.Y+beside*b.Height())
	}
	slices.Sort(heights)
	for k := len(heights) - 1; k > 0; k-- {
		heights = append(heights, (heights[k]+heights[k-1])/2)
	}
	for _, y := range heights {
		type hit struct {
			x    float64
			side int
		}
		var hits []hit
		for i := range flat {
			p, q := flat.Edge(i)
			if (p.Y > y) != (q.Y > y) {
				hits = append(hits, hit{p.X + (y-p.Y)/(q.Y-p.Y)*(q.X-p.X), i})
			}
		}
		slices.SortFunc(hits, func(a, b hit) int { return cmp(a.x, b.x) })
		for k := 0; k+1 < len(hits); k += 2 {
			if l := hits[k+1].x - hits[k].x; l > best.length*(1+10*beside) || (l > best.length*(1-beside) && middling(y, best.at, b)) {
				best = chord{math.Max(l, best.length), y, hits[k].side, hits[k+1].side}
			}
		}
	}
	return best
}

// middling prefers, of equally long chords, the one nearest to the middle: that is where one measures.
func middling(y, than float64, b plane.Rect) bool {
	m := (b.Min.Y + b.Max.Y) / 2
	return math.Abs(y-m) < math.Abs(than-m)
}

func cmp(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// noSection reports that the air kept at the sides of the section, and round blocks, leaves nothing to build.
func (s Space) noSection(blocks bool) *NoRoomError {
	deep, high := longestChord(s.Section, false), longestChord(s.Section, true)
	tightest := &NoRoomError{Least: s.LeastWall}
	for _, c := range []struct {
		chord
		word, where string
	}{{deep, "deep", "height"}, {high, "high", "depth"}} {
		a, b := s.Insets[c.from], s.Insets[c.to]
		left := c.length - a - b
		if left >= s.LeastWall || (tightest.Direction != "" && left >= tightest.Size-tightest.Taken) {
			continue
		}
		*tightest = NoRoomError{Direction: c.word, Size: c.length, At: c.at, Taken: a + b, Least: s.LeastWall}
		tightest.text = fmt.Sprintf("%s leaves no room: the space is %s %s at %s %s",
			gapText(a, b), length(c.length), c.word, c.where, length(c.at))
		if left > 0 {
			tightest.text = fmt.Sprintf("%s leaves %s: the space is %s %s at %s %s, and the narrowest wall that can be built is %s",
				gapText(a, b), length(left), length(c.length), c.word, c.where, length(c.at), length(s.LeastWall))
		}
	}
	switch {
	case tightest.Direction != "":
	case blocks:
		tightest.text = fmt.Sprintf("the things in the space, with the gap round them, leave no room for a box with walls of at least %s",
			length(s.LeastWall))
	default:
		tightest.text = fmt.Sprintf("the gaps leave no room for a box with walls of at least %s anywhere in the section of the space",
			length(s.LeastWall))
	}
	return tightest
}
