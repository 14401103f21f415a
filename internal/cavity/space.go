package cavity

import (
	"errors"
	"fmt"
	"math"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Side is a side of the space, as it is seen by someone who stands before it.
type Side int8

// The sides.
const (
	Front Side = iota
	Back
	Left
	Right
	Floor
	Roof
)

// String names the side as a job writes it.
func (s Side) String() string {
	if s < Front || s > Roof {
		return fmt.Sprintf("side %d", int8(s))
	}
	return [...]string{"front", "back", "left", "right", "floor", "roof"}[s]
}

// axis is the one that a side of the space is square to, and whether the side lies at its low end, -1, or its high one, 1.
func (s Side) axis() (Axis, float64) {
	axis := [...]Axis{Front: Depth, Back: Depth, Left: Across, Right: Across, Floor: Up, Roof: Up}[s]
	if s == Front || s == Left || s == Floor {
		return axis, -1
	}
	return axis, 1
}

// Limits of a tape survey.
const (
	MostStations = 12
	MostHeights  = 40 // of one line of heights
	MostBlocks   = 20
	MostLean     = 60 * math.Pi / 180 // rad, not included
)

// Height is one reading: the height over the floor board at a depth; metres.
type Height struct {
	Depth, Height float64
	Unknown       bool // not measured yet: held straight between its neighbours
	Sure          bool // measured twice: never doubted
}

// Station is what was measured at one place from left to right. Roof and Floor hold 2 to 40 readings, depth strictly
// rising; an empty Floor is level at 0. Front and Back are the least and greatest depth of the free room there.
type Station struct {
	FromLeft    float64
	Roof, Floor []Height
	Front, Back float64
}

// Lean is a wall that leans into the space at its top, hinged on its line at height 0; Angle in rad, over 0 and under 60
// degrees. Floor and Roof cannot lean: their heights are measured.
type Lean struct {
	Side  Side
	Angle float64
}

// Block is a thing in the space to stay clear of: a convex outline, counter-clockwise, that runs along an axis from Lo to
// Hi. Outline coordinates are those of Axis.Section. With Hangs over 0 the thing hangs from the roof, that far down, over
// the plan of its outline's bounds.
type Block struct {
	Name    string
	Axis    Axis
	Outline plane.Polygon
	Lo, Hi  float64
	Hangs   float64
}

// BoxBlock is a block with six square sides.
func BoxBlock(name string, lo, hi r3.Vec) Block {
	return Block{Name: name, Axis: Depth, Lo: lo.Y, Hi: hi.Y,
		Outline: plane.Rect{Min: plane.Point{X: lo.X, Y: lo.Z}, Max: plane.Point{X: hi.X, Y: hi.Z}}.Polygon()}
}

// humpSides is the number of sides over the upper half of a round hump.
const humpSides = 10

// RoundOutline is the outline of a hump with the given radius whose sides drop plumb from the height of its centre to
// bottom: circumscribed about the circle, its corners at most 1.25 % of the radius outside it.
func RoundOutline(centre plane.Point, radius, bottom float64) plane.Polygon {
	g := plane.Polygon{{X: centre.X + radius, Y: math.Min(bottom, centre.Y)}}
	far := radius / math.Cos(math.Pi/(2*humpSides))
	for k := range humpSides {
		a := (float64(k) + 0.5) * math.Pi / humpSides
		g = append(g, plane.Point{X: centre.X + far*math.Cos(a), Y: centre.Y + far*math.Sin(a)})
	}
	return append(g, plane.Point{X: centre.X - radius, Y: math.Min(bottom, centre.Y)})
}

// Stick is the answer to a stick test: the height of the roof or of the floor at one place.
type Stick struct {
	FromLeft, Depth, Height float64
	Surface                 Side // Roof or Floor
}

// Space is a space as the tape gives it; lengths in metres, frame: across from the left side, depth away from the front,
// height over the floor board. Between readings along a station and between stations at the same depth all is straight.
type Space struct {
	Stations []Station // 2 to 12, FromLeft strictly rising; the first and the last are the left and the right side
	Leans    []Lean
	Blocks   []Block // at most 20
	Sticks   []Stick
	Open     []Side  // sides through which air and hands may come; empty: the front
	Gap      float64 // air kept between box and space, square to every face
}

// FaultError is something that no space has. Where is a path such as "stations[2].roof[3]", counted from 1.
type FaultError struct{ Where, Reason string }

// Error gives place and reason.
func (e *FaultError) Error() string { return e.Where + ": " + e.Reason }

func fault(reason, where string, args ...any) error {
	return &FaultError{fmt.Sprintf(where, args...), reason}
}

// Check returns nil for a space that can be used, else the joined *FaultErrors.
func (s *Space) Check() error {
	var errs []error
	add := func(reason, where string, args ...any) { errs = append(errs, fault(reason, where, args...)) }
	for i, k := range s.Sticks {
		if !finite(k.FromLeft, k.Depth, k.Height) || k.Surface != Roof && k.Surface != Floor {
			add("want a place in the space and the height of its roof or floor", "stick[%d]", i+1)
		}
	}
	if n := len(s.Stations); n < 2 || n > MostStations {
		add(fmt.Sprintf("%d stations: a space has 2 to %d, the first at its left side and the last at its right", n, MostStations), "stations")
	}
	if !finite(s.Gap) || s.Gap < 0 {
		add("must not be negative", "gap")
	}
	for i := range s.Stations {
		errs = append(errs, s.checkStation(i)...)
	}
	for i, l := range s.Leans {
		if !(l.Angle > 0 && l.Angle < MostLean) || l.Side > Right || l.Side < Front {
			add("front, back, left or right, leaning by more than 0 and less than 60 degrees", "walls[%d]", i+1)
		}
	}
	if len(s.Blocks) > MostBlocks {
		add(fmt.Sprintf("at most %d", MostBlocks), "blocks")
	}
	for i, b := range s.Blocks {
		if why := b.fault(); why != "" {
			add(why, "blocks[%d]", i+1)
		}
	}
	return errors.Join(errs...)
}

// largest is the greatest measure that is taken, m: no vehicle is larger.
const largest = 50

// finite tells whether all measures are numbers that a vehicle can have.
func finite(vs ...float64) bool {
	for _, v := range vs {
		if !(math.Abs(v) <= largest) {
			return false
		}
	}
	return true
}

// checkStation looks at one station and at its place after the one before.
func (s *Space) checkStation(i int) []error {
	var errs []error
	add := func(reason, where string, args ...any) { errs = append(errs, fault(reason, where, args...)) }
	t := s.Stations[i]
	if !finite(t.FromLeft, t.Front, t.Back) {
		add("must be within 50 m (is the unit right?)", "stations[%d]", i+1)
		return errs
	}
	if i > 0 && t.FromLeft <= s.Stations[i-1].FromLeft {
		add("stations are listed from left to right: from_left must be more than that of the one before", "stations[%d].from_left", i+1)
	}
	if t.Back-t.Front <= 0 {
		add("the back must lie behind the front", "stations[%d].back", i+1)
	}
	before := len(errs)
	errs = append(errs, checkLine(t.Roof, fmt.Sprintf("stations[%d].roof", i+1), 2)...)
	errs = append(errs, checkLine(t.Floor, fmt.Sprintf("stations[%d].floor", i+1), 0)...)
	if len(errs) > before {
		return errs
	}
	roof, floor := known(t.Roof), known(t.floor())
	over := false
	for _, p := range append(roof, floor...) {
		over = over || level(roof, p.Depth) > level(floor, p.Depth)
	}
	if !over {
		add("the roof is nowhere over the floor", "stations[%d].roof", i+1)
	}
	return errs
}

// checkLine looks at one line of readings, least of them at least.
func checkLine(line []Height, where string, least int) []error {
	var errs []error
	if n := len(line); n < least || n == 1 || n > MostHeights {
		return []error{fault(fmt.Sprintf("%d heights: a line has 2 to %d", n, MostHeights), "%s", where)}
	}
	for k, p := range line {
		if !finite(p.Depth) || !p.Unknown && !finite(p.Height) {
			errs = append(errs, fault("must be within 50 m (is the unit right?)", "%s[%d]", where, k+1))
		}
		if k > 0 && p.Depth <= line[k-1].Depth {
			errs = append(errs, fault("heights are listed from the front to the back: the depth must be more than that of the one before", "%s[%d]", where, k+1))
		}
		if p.Unknown && (k == 0 || k == len(line)-1) {
			errs = append(errs, fault("not measured yet, and there is no height beyond it to draw a line from: measure the first and the last", "%s[%d]", where, k+1))
		}
	}
	return errs
}

// floor is the station's floor, level at 0 when nothing is written.
func (t *Station) floor() []Height {
	if len(t.Floor) > 0 {
		return t.Floor
	}
	return []Height{{Depth: t.Front}, {Depth: t.Back}}
}

// known leaves out the readings that were not made.
func known(line []Height) []Height {
	var k []Height
	for _, p := range line {
		if !p.Unknown {
			k = append(k, p)
		}
	}
	return k
}

// level is the height of a line of readings at a depth: straight between, level beyond the first and the last.
func level(line []Height, depth float64) float64 {
	for k, p := range line {
		if depth <= p.Depth {
			if k == 0 {
				return p.Height
			}
			q := line[k-1]
			return q.Height + (p.Height-q.Height)*(depth-q.Depth)/(p.Depth-q.Depth)
		}
	}
	return line[len(line)-1].Height
}

// fault says what is wrong with a block, "" when nothing is.
func (b *Block) fault() string {
	if b.Axis < Across || b.Axis > Up || !finite(b.Lo, b.Hi, b.Hangs) || b.Hi <= b.Lo || b.Hangs < 0 {
		return "its far end must lie beyond its near end"
	}
	for _, p := range b.Outline {
		if !finite(p.X, p.Y) {
			return "its outline must be within 50 m (is the unit right?)"
		}
	}
	if len(b.Outline) < 3 || b.Outline.Area() <= 0 || !b.Outline.IsConvex() || !b.Outline.IsSimple() {
		return "its outline must be convex: split it into two blocks"
	}
	return ""
}
