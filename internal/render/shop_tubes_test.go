package render

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/unit"
	"cubby/internal/work"
)

// pocketed is the volume of the pockets of the space, which the job gives.
func pocketed(b *panels.Box) float64 {
	wide, deep, high := work.Outside(b)
	return b.Section.Area()*[3]float64{wide, deep, high}[b.Spec.Axis] - b.Spec.Outside.Volume()
}

// toPocket reports whether an edge to a neighbour goes along a board of a pocket.
func toPocket(b *panels.Box, neighbour string) bool {
	_, ok := panelOf(b, func(p *panels.Panel) bool { return p.Role == panels.Pocket && place(p.Name) == neighbour })
	return ok
}

var (
	legPattern    = regexp.MustCompile(`then ([\d./ ·-]+?) towards ([A-Z][A-Z0-9 ]*[A-Z0-9])`)
	radiusPattern = regexp.MustCompile(`elbow radius ([\d./ ·-]+)`)
	freePattern   = regexp.MustCompile(`^([\d./-]+) of air to the ([a-z0-9 ]+?)(;|$)`)
)

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
