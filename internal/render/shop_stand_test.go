package render

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"cubby/internal/plane"
	solids "cubby/internal/solid"
)

// The functions of this file put the boards of the pages together.

// readJoints reads the table of the section's corners.
func (p *pageBox) readJoints(all []pageWord) error {
	for _, r := range tablesWith(all, 300, []string{"Panel", "Mark"}, "Corner", "Joint", "Side", "out", "in") {
		if _, err := strconv.Atoi(r["Corner"]); err != nil {
			continue
		}
		m, long := joinPattern.FindStringSubmatch(r["Joint"]), lengthsIn(r["out"], p.units)
		if m == nil || len(long) == 0 {
			return fmt.Errorf("no joint or side in %v", r)
		}
		p.sides = append(p.sides, long[0])
		if m[1] != "" {
			p.joints = append(p.joints, pageJoint{[2]string{m[1], m[3]}, m[1], m[3], m[2] == "rabbeted for", false})
		} else {
			p.joints = append(p.joints, pageJoint{both: [2]string{m[4], m[5]}, apart: m[6] == ""})
		}
	}
	return nil
}

// wallAt is the wall along a side of the section: the one that both its corners name.
func (p *pageBox) wallAt(i int) pageBoard {
	n := len(p.joints)
	i = (i + n) % n
	next := p.joints[(i+1)%n].both
	for _, m := range p.joints[i].both {
		if m == next[0] || m == next[1] {
			return p.boards[m]
		}
	}
	return pageBoard{}
}

// sectionOf is the section that an end shows: its sides without those of notches, drawn on to where they meet, in the order of the
// section's. An end that is seen from behind has it upside down. nil: it has no outline, or not the section's walls.
func (p *pageBox) sectionOf(end pageBoard) plane.Polygon {
	type side struct {
		mark string
		a, b plane.Point
	}
	var all []side
	for i, mark := range end.along {
		a, b := end.corners.Edge(i)
		if p.inNotch(mark) {
			continue
		}
		if k := len(all) - 1; k >= 0 && all[k].mark == mark { // a notch in the middle of it
			all[k].b = b
			continue
		}
		all = append(all, side{mark, a, b})
	}
	if k := len(all) - 1; k > 0 && all[k].mark == all[0].mark {
		all[0].a, all = all[k].a, all[:k]
	}
	n := len(p.joints)
	if len(all) != n {
		return nil
	}
	for range 2 {
		for turn := range n {
			fits := true
			for i := range n {
				fits = fits && all[(i+turn)%n].mark == p.wallAt(i).mark
			}
			if !fits {
				continue
			}
			g := make(plane.Polygon, n)
			for i := range n {
				before, s := all[(i+turn+n-1)%n], all[(i+turn)%n]
				if g[i] = s.a; before.b.Sub(s.a).Norm() > 1e-9 {
					g[i], _ = plane.LineThrough(before.a, before.b).Meet(plane.LineThrough(s.a, s.b))
				}
			}
			if g.Area() < 0 {
				for i := range g {
					g[i].Y = -g[i].Y
				}
			}
			return drawnIn(g, func(int) float64 { return end.flush })
		}
		slices.Reverse(all)
		for i := range all {
			all[i].a, all[i].b = all[i].b, all[i].a
		}
	}
	return nil
}

// section is the outline of the section: that of an end, over the walls or between them, whichever has sides as long as the table of
// the section's corners says; else sides of those lengths in the directions that the end's have. Where no end has an outline it is a
// rectangle, as it is drawn.
func (p *pageBox) section() plane.Polygon {
	var ends []pageBoard
	for _, m := range p.ends {
		ends = append(ends, p.boards[m])
	}
	slices.SortStableFunc(ends, func(a, b pageBoard) int { return cmp.Compare(len(a.along), len(b.along)) }) // without a notch first
	var g plane.Polygon
	for _, e := range ends {
		g = p.sectionOf(e)
		if g != nil {
			break
		}
	}
	n := len(p.joints)
	if g == nil && n == 4 {
		g = rectOutline(p.sides[0], p.sides[1])
	}
	if g == nil {
		return nil
	}
	for _, over := range []bool{true, false} {
		out := g
		if !over {
			out = drawnIn(g, func(i int) float64 { return -p.wallAt(i).t })
		}
		fits := true
		for i, side := range p.sides {
			a, c := out.Edge(i)
			fits = fits && math.Abs(c.Sub(a).Norm()-side) < 2*nearEnough
		}
		if fits {
			return out.Translate(out.Bounds().Min.Mul(-1))
		}
	}
	out := make(plane.Polygon, n)
	var at plane.Point
	for i := range n {
		out[i] = at
		a, c := g.Edge(i)
		at = at.Add(c.Sub(a).Unit().Mul(p.sides[i]))
	}
	for i := range n { // rounded sides do not close: the gap is shared among the corners
		out[i] = out[i].Sub(at.Mul(float64(i) / float64(n)))
	}
	return out.Translate(out.Bounds().Min.Mul(-1))
}

// endOf is where the outer face of wall i ends at a corner of the section, against the wall k beyond it; false: it ends before, at a
// notch.
func (p *pageBox) endOf(corner, i, k int) (plane.Point, bool) {
	n := len(p.joints)
	j, w := p.joints[corner%n], p.wallAt(i)
	line := func(i int, in float64) plane.Line {
		a, b := p.outside.Edge((i + n) % n)
		return plane.LineThrough(a, b).Offset(in)
	}
	other, reflex := 0.0, p.outside.InteriorAngle(corner%n) > math.Pi // on which line of the other wall it ends, from its outer face inward
	switch {
	case j.apart:
		return plane.Point{}, false
	case j.stops == w.mark && !reflex:
		if other = p.wallAt(k).t; j.rabbet {
			other -= p.boards[j.through].steps[1]
		}
	case j.through == w.mark && reflex:
		other = p.wallAt(k).t
	}
	if other == 0 { // the corner itself, which lines at a small angle give badly
		return p.outside[corner%n], true
	}
	return line(k, other).Meet(line(i, 0))
}

// standWalls places the sections of the walls round the box, in the coordinates of the section: each between the places where it ends,
// with what it is too long or too short shared.
func (p *pageBox) standWalls() error {
	if p.outside = p.section(); p.outside == nil {
		return fmt.Errorf("no end shows the section")
	}
	n := len(p.joints)
	p.walls = map[string]plane.Polygon{}
	for i := range n {
		w := p.wallAt(i)
		a, b := p.outside.Edge(i)
		d := b.Sub(a).Unit()
		o0, begins := p.endOf(i, i, i-1)
		o1, ends := p.endOf(i+1, i, i+1)
		size, long, room := w.w, w.l[0], o1.Sub(o0).Dot(d)
		if turned := w.faced == "l" || w.faced == "" && begins && ends && math.Abs(w.l[0]-room) < math.Abs(w.w[0]-room); turned {
			size, long = w.l, w.w[0]
		}
		switch gap := room - size[0]; {
		case !begins && !ends:
			return fmt.Errorf("%s has no end", w.mark)
		case !begins:
			o0 = o1.Sub(d.Mul(size[0]))
		case !ends:
		case math.Abs(gap) > 2*nearEnough:
			return fmt.Errorf("%s is %.2f mm wide where there is room for %.2f", w.mark, size[0]*1000, room*1000)
		default:
			o0 = o0.Add(d.Mul(gap / 2))
		}
		o1 = o0.Add(d.Mul(size[0]))
		in := d.Left().Mul(w.t)
		start, stop := w.runs[p.wallAt(i-1).mark], w.runs[p.wallAt(i+1).mark]
		p.walls[w.mark] = plane.Polygon{o0, o1, o1.Add(in).Sub(d.Mul(stop)), o0.Add(in).Add(d.Mul(start))}
		w.long = long
		for _, j := range p.joints {
			if j.rabbet && j.through == w.mark {
				w.rabbet += w.steps[1] * p.boards[j.stops].t * w.sideTo(j.stops)
			}
		}
		p.boards[w.mark] = w
	}
	return nil
}

// sideTo is how long a board's side to a neighbour is.
func (b pageBoard) sideTo(mark string) float64 {
	if b.corners == nil {
		return b.long
	}
	sum := 0.0
	for i, to := range b.along {
		if to == mark {
			sum += b.next[i]
		}
	}
	return sum
}

// pocketed is what the notches take of the outside, m3.
func (p *pageBox) pocketed() float64 {
	v := 0.0
	for _, n := range p.notches {
		k := [3][2]int{solids.Across: {1, 2}, solids.Depth: {0, 2}, solids.Up: {0, 1}}[p.axis]
		r := plane.Polygon{{X: n.lo[k[0]], Y: n.lo[k[1]]}, {X: n.hi[k[0]], Y: n.lo[k[1]]}, {X: n.hi[k[0]], Y: n.hi[k[1]]}, {X: n.lo[k[0]], Y: n.hi[k[1]]}}
		v += p.outside.IntersectArea(r) * (n.hi[p.axis] - n.lo[p.axis])
	}
	return v
}

// air is what the dry fill measures, m3: what the wood, the notches and the tubes leave of the outside, and the openings that are taped.
func (p *pageBox) air(all []pageWord) float64 {
	v := p.outside.Area()*p.long - p.pocketed() - tubesInside(all, p.boards, p.units)
	hollow := drawnIn(p.outside, func(i int) float64 { return p.wallAt(i).t })
	for m, b := range p.boards {
		section, isWall := p.walls[m]
		shell := isWall || p.inNotch(m) || slices.Contains(p.ends, m)
		switch {
		case isWall && b.corners == nil:
			v -= section.Area()*b.long - b.rabbet
		case slices.Contains(p.ends, m):
			g, field := rectOutline(b.l[0], b.w[0]), hollow
			if b.corners != nil {
				g = drawnIn(b.corners, func(int) float64 { return b.flush })
				field = drawnIn(g, func(i int) float64 { return p.boards[b.along[i]].t })
			}
			if v -= g.Area() * b.t; len(b.steps) > 0 {
				v += (g.Area() - field.Area()) * b.steps[1]
			}
		default:
			v -= b.wood()
		}
		if !shell {
			v += b.bored * b.t
		} else if m != p.closes && m != p.loose {
			v += b.holes * b.t
		}
	}
	return v
}
