package panels

import (
	"math"
	"strconv"

	"cubby/internal/plane"
)

// A wall counts as the front, back, top or bottom when its outward direction is within mainTurn of that side's; one that
// is within squareTurn of upright or level is a step, not a slope.
const (
	mainTurn   = 30 * math.Pi / 180
	squareTurn = 5 * math.Pi / 180
)

// noseShare is the share of the section's height below which an upright wall under a slope is a nose and not the back.
const noseShare = 1.0 / 3

var sides = [4]struct {
	name string
	out  plane.Point
}{
	{"bottom", plane.Point{X: 0, Y: -1}},
	{"back", plane.Point{X: 1, Y: 0}},
	{"top", plane.Point{X: 0, Y: 1}},
	{"front", plane.Point{X: -1, Y: 0}},
}

// outward gives the outward unit normal of wall i of a counter-clockwise section.
func outward(section plane.Polygon, i int) plane.Point {
	a, b := ends(section, i)
	u := b.Sub(a).Unit()
	return plane.Point{X: u.Y, Y: -u.X}
}

// ends gives the corners between which wall i runs.
func ends(section plane.Polygon, i int) (a, b plane.Point) {
	return section[i], section[(i+1)%len(section)]
}

// SideOf gives front back top bottom for a wall's outward direction by the nearest of the four.
// section is counter-clockwise and i is in range.
func SideOf(section plane.Polygon, i int) string {
	n := outward(section, i)
	best, name := math.Inf(-1), ""
	for _, s := range sides {
		if d := n.Dot(s.out); d > best {
			best, name = d, s.name
		}
	}
	return name
}

// Names gives each wall of a counter-clockwise section its name. The outermost wall that faces within 30 degrees of a side
// bears that side's name: bottom back top front. A low upright back that a slope stands on is the nose. Of the others,
// level ones that look up are treads, level ones that look down soffits, upright ones risers, and the rest slopes; several
// of a kind are numbered in the order of the section, which is from low to high at the back.
func Names(section plane.Polygon) []string {
	names := make([]string, len(section))
	for _, s := range sides {
		if i := outermost(section, names, s.out); i >= 0 {
			names[i] = s.name
		}
	}
	var kinds, count = make([]string, len(section)), map[string]int{}
	for i := range section {
		if names[i] == "back" && isNose(section, i) {
			names[i] = "nose"
		}
		if names[i] == "" {
			kinds[i] = kindOf(outward(section, i))
			count[kinds[i]]++
		}
	}
	number := map[string]int{}
	for _, i := range fromBottom(section, names) {
		k := kinds[i]
		if k == "" {
			continue
		}
		names[i] = k
		if count[k] > 1 {
			number[k]++
			names[i] = k + " " + strconv.Itoa(number[k])
		}
	}
	return names
}

// outermost gives the unnamed wall furthest out of those that face the direction out, or -1.
func outermost(section plane.Polygon, names []string, out plane.Point) int {
	best, at := math.Inf(-1), -1
	for i := range section {
		if names[i] != "" || outward(section, i).Dot(out) < math.Cos(mainTurn) {
			continue
		}
		a, b := ends(section, i)
		if d := a.Add(b).Dot(out) / 2; d > best {
			best, at = d, i
		}
	}
	return at
}

func isNose(section plane.Polygon, i int) bool {
	a, b := ends(section, i)
	box := section.Bounds()
	if math.Abs(b.Y-a.Y) >= noseShare*(box.Max.Y-box.Min.Y) {
		return false
	}
	return kindOf(outward(section, (i+1)%len(section))) == "slope"
}

func kindOf(n plane.Point) string {
	square := math.Cos(squareTurn)
	switch {
	case n.Y >= square:
		return "tread"
	case n.Y <= -square:
		return "soffit"
	case math.Abs(n.X) >= square:
		return "riser"
	}
	return "slope"
}

// fromBottom lists the walls in the order of the section, the bottom first.
func fromBottom(section plane.Polygon, names []string) []int {
	start := 0
	for i, n := range names {
		if n == "bottom" {
			start = i
		}
	}
	order := make([]int, len(section))
	for k := range order {
		order[k] = (start + k) % len(section)
	}
	return order
}
