package panels

import (
	"fmt"
	"math"

	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

const degree = math.Pi / 180

// A wall counts as the front, back, top or bottom when its outward direction is within mainTurn of that side's; one that
// is within squareTurn of upright or level is a step, not a slope.
const (
	mainTurn   = 30 * degree
	squareTurn = 5 * degree
)

// noseShare is the share of the section's height below which an upright wall under a slope is a nose and not the back.
const noseShare = 1.0 / 3

// wallKind is what a face is called after. The order is that of who runs through: ends over all, bottom and top over other
// walls, a tread over its riser (so that glue squeezes down and the tread's edge is closed), slopes from low to high; the
// shell is notched and a pocket goes into it, its top before its sides.
type wallKind int8

const (
	endKind wallKind = iota
	bottomKind
	topKind
	treadKind
	soffitKind
	backKind
	noseKind
	rightKind
	leftKind
	slopeKind
	obliqueKind // upright, but square to nothing: walls of a prism that stands
	riserKind
	frontKind
	insideEndKind
	pocketTop
	pocketWall
	noKind
)

// word is the name of a wall of a kind.
func (k wallKind) word() string {
	return [...]string{"end", "bottom", "top", "tread", "soffit", "back", "nose", "right", "left", "slope", "oblique side", "riser", "front", "end", "top", "side", ""}[k]
}

// looks is a direction in a section and the walls that look that way.
type looks struct {
	kind wallKind
	side side
	out  plane.Point
}

// sidesOf lists the four sides of a section square to an axis, round it from the lowest.
func sidesOf(axis solid.Axis) (all [4]looks) {
	u, v := solid.Across, solid.Up // the section's own axes
	switch axis {
	case solid.Across:
		u = solid.Depth
	case solid.Up:
		v = solid.Depth
	}
	out := [...]plane.Point{{Y: -1}, {X: 1}, {Y: 1}, {X: -1}}
	kinds := [...]wallKind{leftSide: leftKind, rightSide: rightKind, frontSide: frontKind, backSide: backKind, bottomSide: bottomKind, topSide: topKind}
	for k, s := range [...]side{sideOn(v, false), sideOn(u, true), sideOn(v, true), sideOn(u, false)} {
		all[k] = looks{kinds[s], s, out[k]}
	}
	return all
}

// outward gives the outward unit normal of wall i of a counter-clockwise section.
func outward(section plane.Polygon, i int) plane.Point {
	a, b := section.Edge(i)
	u := b.Sub(a).Unit()
	return plane.Point{X: u.Y, Y: -u.X}
}

func nearest(section plane.Polygon, axis solid.Axis, i int) looks {
	n := outward(section, i)
	best, found := math.Inf(-1), looks{}
	for _, s := range sidesOf(axis) {
		if d := n.Dot(s.out); d > best {
			best, found = d, s
		}
	}
	return found
}

// called is a wall's kind and its number among several of it, 0 where it is the only one.
type called struct {
	kind   wallKind
	number int
}

func (c called) word() string {
	if c.number == 0 {
		return c.kind.word()
	}
	return fmt.Sprintf("%s %d", c.kind.word(), c.number)
}

// callWalls names each wall of a counter-clockwise section of a prism. The outermost wall that faces within 30 degrees of a side
// bears that side's name: bottom back top front. A low upright back that a slope stands on is the nose. Of the others, level ones
// that look up are treads, level ones that look down soffits, upright ones risers, and the rest slopes; several of a kind are
// numbered in the order of the section, which is from low to high at the back.
func callWalls(section plane.Polygon, axis solid.Axis) []called {
	all := make([]called, len(section))
	for i := range all {
		all[i].kind = noKind
	}
	start := 0
	for k, s := range sidesOf(axis) {
		if i := outermost(section, all, s.out); i >= 0 {
			all[i].kind = s.kind
			if k == 0 {
				start = i
			}
		}
	}
	var rest []int
	var count, number [noKind + 1]int
	for k := range section {
		i := (start + k) % len(section)
		if all[i].kind == backKind && axis == solid.Across && isNose(section, i) {
			all[i].kind = noseKind
		}
		if all[i].kind == noKind {
			all[i].kind = kindOf(outward(section, i), axis)
			count[all[i].kind]++
			rest = append(rest, i)
		}
	}
	for _, i := range rest {
		if k := all[i].kind; count[k] > 1 {
			number[k]++
			all[i].number = number[k]
		}
	}
	return all
}

// outermost gives the unnamed wall furthest out of those that face the direction out, or -1.
func outermost(section plane.Polygon, named []called, out plane.Point) int {
	best, at := math.Inf(-1), -1
	for i := range section {
		if named[i].kind != noKind || outward(section, i).Dot(out) < math.Cos(mainTurn) {
			continue
		}
		a, b := section.Edge(i)
		if d := a.Add(b).Dot(out) / 2; d > best {
			best, at = d, i
		}
	}
	return at
}

func isNose(section plane.Polygon, i int) bool {
	a, b := section.Edge(i)
	box := section.Bounds()
	if math.Abs(b.Y-a.Y) >= noseShare*(box.Max.Y-box.Min.Y) {
		return false
	}
	return kindOf(outward(section, (i+1)%len(section)), solid.Across) == slopeKind
}

func kindOf(n plane.Point, axis solid.Axis) wallKind {
	square := math.Cos(squareTurn)
	switch {
	case axis == solid.Up:
		return obliqueKind
	case n.Y >= square:
		return treadKind
	case n.Y <= -square:
		return soffitKind
	case math.Abs(n.X) >= square:
		return riserKind
	}
	return slopeKind
}

// sectionOf is the section of a prism with or without pockets, from the planes of its sides: of each the first face on it.
func sectionOf(s *solid.Solid, axis solid.Axis) (section plane.Polygon, walls []int) {
	for i, f := range s.Faces {
		if f.Kind == solid.Side && wallOf(s, walls, f.Plane) < 0 {
			walls = append(walls, i)
		}
	}
	line := func(k int) plane.Line {
		f := s.Faces[walls[k]]
		return plane.Line{N: axis.Section(f.N).Mul(-1), C: -f.D}
	}
	n := len(walls)
	section = make(plane.Polygon, n)
	for i := range walls {
		section[i], _ = line((i + n - 1) % n).Meet(line(i))
	}
	return section, walls
}

// wallOf is the wall in a plane; -1: none.
func wallOf(s *solid.Solid, walls []int, p solid.Plane) int {
	for k, i := range walls {
		if q := s.Faces[i].Plane; math.Abs(q.D-p.D) < rounding && r3.Norm(r3.Sub(q.N, p.N)) < rounding {
			return k
		}
	}
	return -1
}

// partsOf names the faces of a solid, which is a prism along an axis with or without pockets; thickness is left open.
func partsOf(s *solid.Solid, axis solid.Axis, section plane.Polygon, walls []int) []part {
	parts := make([]part, len(s.Faces))
	calls := callWalls(section, axis)
	for i := range s.Faces {
		f := &s.Faces[i]
		switch f.Kind {
		case solid.Side: // one that a pocket cut in two is named alike
			k := wallOf(s, walls, f.Plane)
			parts[i] = part{name: calls[k].word(), call: calls[k], side: nearest(section, axis, k).side}
		case solid.Low, solid.High:
			parts[i] = endPart(axis, f.Kind)
		default:
			parts[i] = pocketPart(f)
		}
	}
	names := make([]*string, len(parts))
	for i := range names {
		names[i] = &parts[i].name
	}
	numberAlike(names)
	return parts
}

// endPart is the part of an end of a prism.
func endPart(axis solid.Axis, kind solid.Kind) part {
	s := sideOn(axis, kind == solid.High)
	p := part{name: s.word(), call: called{kind: endKind}, role: End, side: s}
	if axis == solid.Across {
		p.name += " end"
	}
	return p
}

// pocketPart is the part of a pocket's face, called by where it stands about what the pocket goes round.
func pocketPart(f *solid.Face) part {
	axis := solid.Up
	for axis > solid.Across && math.Abs(axis.Of(f.N)) <= 0.5 {
		axis--
	}
	up := axis.Of(f.N) > 0
	p := part{role: Pocket, side: sideOn(axis, up), call: called{kind: pocketWall}}
	if p.side == bottomSide {
		p.call.kind = pocketTop
	}
	from := f.From
	if from == "" {
		from = "pocket"
	}
	p.name = from + " " + sideOn(axis, !up).word()
	return p
}

// numberAlike numbers names that are the same.
func numberAlike(names []*string) {
	of := map[string][]*string{}
	for _, name := range names {
		of[*name] = append(of[*name], name)
	}
	for name, all := range of {
		for i, p := range all {
			*p = numbered(name, i, len(all))
		}
	}
}
