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

// Error says it in the user's terms and units.
func (e *NoRoomError) Error() string { return e.text }

// length prints a length as 3/8 in or 9.5 mm.
func length(m float64, u unit.System) string {
	if u == unit.Inch {
		return unit.Fraction(m, tape) + " in"
	}
	return unit.FormatLength(m, u)
}

// tape is the finest division of a common tape measure: 1/32 in.
const tape = 32

// leaves says of the air that is kept on two sides that it leaves something.
func leaves(a, b float64, u unit.System) string {
	if a == b {
		return fmt.Sprintf("the gap of %s on both sides leaves", length(a, u))
	}
	return fmt.Sprintf("the gaps of %s and %s leave", length(a, u), length(b, u))
}

// noWidth reports that the space is too narrow.
func (s Space) noWidth() *NoRoomError {
	width, left, right, least, u := s.Width, s.InsetLeft, s.InsetRight, s.LeastWall, s.Units
	e := &NoRoomError{Direction: "wide", Size: width, Taken: left + right, Least: least}
	if e.Taken >= width {
		e.text = fmt.Sprintf("%s no room: the space is %s wide", leaves(left, right, u), length(width, u))
		return e
	}
	e.text = fmt.Sprintf("%s %s of the %s that the space is wide: the narrowest wall that can be built is %s",
		leaves(left, right, u), length(width-e.Taken, u), length(width, u), length(least, u))
	return e
}

func (s Space) length(m float64) string { return length(m, s.Units) }

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
		tightest.text = fmt.Sprintf("%s no room: the space is %s %s at %s %s",
			leaves(a, b, s.Units), s.length(c.length), c.word, c.where, s.length(c.at))
		if left > 0 {
			tightest.text = fmt.Sprintf("%s %s: the space is %s %s at %s %s, and the narrowest wall that can be built is %s",
				leaves(a, b, s.Units), s.length(left), s.length(c.length), c.word, c.where, s.length(c.at), s.length(s.LeastWall))
		}
	}
	switch {
	case tightest.Direction != "":
	case blocks:
		tightest.text = fmt.Sprintf("the things in the space, with the gap round them, leave no room for a box with walls of at least %s",
			s.length(s.LeastWall))
	default:
		tightest.text = fmt.Sprintf("the gaps leave no room for a box with walls of at least %s anywhere in the section of the space",
			s.length(s.LeastWall))
	}
	return tightest
}
