package render

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/plane"
	solids "cubby/internal/solid"
	"cubby/internal/unit"
	"cubby/internal/work"
)

// outsideFromPage is the outside size along an axis; 0: none is printed.
func outsideFromPage(all []pageWord, axis solids.Axis, u unit.System) float64 {
	word := [...]string{"wide,", "deep,", "high"}[axis]
	for _, w := range all {
		if w.page > 1 || w.text != word {
			continue
		}
		var best pageWord
		for _, v := range all {
			if v.page == w.page && v.x < w.x && v.x > best.x && math.Abs(v.y-w.y) < 10 {
				best = v
			}
		}
		if l := lengthsIn(best.text, u); len(l) > 0 {
			return l[0]
		}
	}
	return 0
}

// exactOutside is the length of a box along its axis.
func exactOutside(b *panels.Box) float64 {
	wide, deep, high := work.Outside(b)
	return [3]float64{wide, deep, high}[b.Spec.Axis]
}

// pocketed is the volume of the pockets of the space, which the job gives.
func pocketed(b *panels.Box) float64 {
	return b.Section.Area()*exactOutside(b) - b.Spec.Outside.Volume()
}

// toPocket reports whether an edge to a neighbour goes along a board of a pocket.
func toPocket(b *panels.Box, neighbour string) bool {
	_, ok := panelOf(b, func(p *panels.Panel) bool { return p.Role == panels.Pocket && place(p.Name) == neighbour })
	return ok
}

// leansToPocket reports whether a wall is bevelled where the boards of a pocket meet it: the corners of its notch lie on no face of it.
func leansToPocket(b *panels.Box, p *panels.Panel) bool {
	return outlined(*p) && slices.ContainsFunc(p.Edges, func(e panels.Edge) bool {
		q, ok := panelOf(b, func(q *panels.Panel) bool { return q.Name == e.Meets })
		return ok && q.Role == panels.Pocket && bevelled(e)
	})
}

// sideBoard is the wall that lies along a side of the outside.
func sideBoard(outside plane.Polygon, i int, boards map[string]pageBoard, walls map[string]plane.Polygon) pageBoard {
	a, c := outside.Edge(i)
	on := plane.LineThrough(a, c)
	for m, q := range walls {
		if math.Abs(on.Distance(q[0])) < 1e-6 && math.Abs(on.Distance(q[1])) < 1e-6 && q[1].Sub(q[0]).Dot(c.Sub(a)) > 0 {
			return boards[m]
		}
	}
	return pageBoard{}
}

func removableOf(b *panels.Box) int {
	if b.Removable == nil {
		return -1
	}
	return slices.IndexFunc(b.Panels, func(p panels.Panel) bool { return p.Name == b.Removable.Panel })
}

var (
	legPattern    = regexp.MustCompile(`then ([\d./ ·-]+?) towards ([A-Z][A-Z0-9 ]*[A-Z0-9])`)
	radiusPattern = regexp.MustCompile(`elbow radius ([\d./ ·-]+)`)
	freePattern   = regexp.MustCompile(`^([\d./-]+) of air to the ([a-z0-9 ]+?)(;|$)`)
)

// tubeRows are the rows of the table of tubes.
func tubeRows(all []pageWord) grid {
	return tablesWith(all, pageWide, []string{"Elbow:", "Port"}, "Port", "In", "Bore", "Outside", "Centre", "Legs", "Inner")
}

// tubesInside is the room that the tubes take inside the box, as their rows say.
func tubesInside(all []pageWord, boards map[string]pageBoard, u unit.System) float64 {
	v := 0.0
	for _, r := range tubeRows(all) {
		outside, long := lengthsIn(r["Outside"], u), lengthsIn(r["Centre"], u)
		if mark, _, _ := strings.Cut(r["In"], " "); len(outside) > 0 && len(long) > 0 {
			v += math.Pi / 4 * outside[0] * outside[0] * math.Max(0, long[0]-boards[mark].t)
		}
	}
	return v
}

// tubesFromPage follows the legs of every tube from its mouth, towards the faces that the page names, and compares the length of its
// middle, where its inner mouth comes to lie, and the air in front of that.
func tubesFromPage(all []pageWord, b *panels.Box, boards map[string]pageBoard, u unit.System) error {
	rows := tubeRows(all)
	n := 0
	for _, s := range b.Ports {
		if s.Height > 0 {
			continue
		}
		if n >= len(rows) {
			return fmt.Errorf("tube %d has no row", n+1)
		}
		r := rows[n]
		n++
		mark, _, _ := strings.Cut(r["In"], " ")
		on, ok := panelOf(b, func(p *panels.Panel) bool { return p.Mark == mark })
		long := lengthsIn(r["Centre"], u)
		if !ok || on.Name != s.Panel || len(long) == 0 {
			return fmt.Errorf("no tube in %v", r)
		}
		if off(long[0], s.Length) {
			return fmt.Errorf("a tube of %.2f mm, not %.2f", long[0]*1000, s.Length*1000)
		}
		out := toVec(on.Place.N)
		at := onPanel(on.Place, s.Centre)
		if !strings.HasPrefix(r["Legs"], "straight") {
			first, radius := lengthsIn(r["Legs"], u), radiusPattern.FindStringSubmatch(r["Legs"])
			turns := legPattern.FindAllStringSubmatch(r["Legs"], -1)
			if len(first) == 0 || radius == nil || len(turns) != len(s.Legs)-1 {
				return fmt.Errorf("%d legs in %q, not %d", 1+len(turns), r["Legs"], len(s.Legs))
			}
			bend := lengthsIn(radius[1], u)[0]
			dir := out.mul(-1)
			at = at.add(dir.mul(first[0]))
			sum := first[0]
			for _, m := range turns {
				face, ok := panelOf(b, func(p *panels.Panel) bool { return place(p.Name) == m[2] })
				if !ok {
					return fmt.Errorf("no face called %s", m[2])
				}
				next := toVec(face.Place.N)
				next = next.sub(dir.mul(next.dot(dir)))
				next = next.mul(1 / next.norm())
				leg := lengthsIn(m[1], u)[0]
				at = at.add(dir.mul(bend)).add(next.mul(bend + leg))
				sum += math.Pi/2*bend + leg
				dir = next
			}
			if math.Abs(sum-long[0]) > 2e-3 {
				return fmt.Errorf("legs and elbows make %.2f mm of %.2f", sum*1000, long[0]*1000)
			}
		} else {
			at = at.sub(out.mul(long[0]))
		}
		if end := toVec(s.Line[len(s.Line)-1]); at.sub(end).norm() > 1e-3 {
			return fmt.Errorf("the inner mouth comes to %v, not %v", at, end)
		}
		free := freePattern.FindStringSubmatch(r["Inner"])
		if free == nil || free[2] != s.Facing || off(lengthsIn(free[1], u)[0], s.FreeEnd) && u == unit.Metric {
			return fmt.Errorf("%q before the inner mouth, not %.1f mm to the %s", r["Inner"], s.FreeEnd*1000, s.Facing)
		}
	}
	if n != len(rows) {
		return fmt.Errorf("%d rows for %d tubes", len(rows), n)
	}
	return nil
}

func panelOf(b *panels.Box, is func(*panels.Panel) bool) (*panels.Panel, bool) {
	for i := range b.Panels {
		if is(&b.Panels[i]) {
			return &b.Panels[i], true
		}
	}
	return nil, false
}
