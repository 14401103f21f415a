package render

import (
	"fmt"
	"math"
	"regexp"
	"strconv"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// The tests of this file compare the box that is built from the pages with the design: where every corner of the walls comes to lie,
// and the air that is left, which is also compared with the measure of the dry fill on the page.

var fillPattern = regexp.MustCompile(`rim: ([\d.]+) l`)

// assembledFromPage compares the corners of the walls, that none goes into another, tubes, and the air of the dry fill.
func assembledFromPage(all []pageWord, p *pageBox, b *panels.Box) error {
	if err := tubesFromPage(all, b, p.boards, p.units); err != nil {
		return err
	}
	if want := pocketed(b); math.Abs(p.pocketed()-want) > 2e-3*want+1e-6 {
		return fmt.Errorf("notches of %.3f l, not %.3f", p.pocketed()*1000, want*1000)
	}
	lo := b.Section.Bounds().Min
	for i := range b.Panels {
		if q, ok := p.walls[b.Panels[i].Mark]; ok {
			if err := standsWhere(q, &b.Panels[i], func(k int) plane.Point { return cornerOf(b, &b.Panels[i], k).Sub(lo) }); err != nil {
				return err
			}
		}
	}
	for m, q := range p.walls {
		for k, r := range p.walls {
			if area := q.IntersectArea(r); m < k && area > nearEnough*p.boards[m].t && (b.Spec.Wood.Joints != panels.Rabbet || area > p.boards[m].t*p.boards[k].t) {
				return fmt.Errorf("%s and %s overlap by %.1f mm2", m, k, area*1e6)
			}
		}
	}
	m := fillPattern.FindStringSubmatch(joined(all))
	if m == nil {
		return fmt.Errorf("no figure of the dry fill")
	}
	want, _ := strconv.ParseFloat(m[1], 64)
	if v := p.air(all); math.Abs(v*1000-want) > 2e-3*want+0.05 {
		return fmt.Errorf("the boards leave %.2f l, the page says %.1f (%.1f mm long, design's %.2f l)", v*1000, want, p.long*1000, b.InsideVolume*1000)
	}
	return nil
}

// cornerOf is corner k of a panel in the section, of the outer face and then of the inner one.
func cornerOf(b *panels.Box, p *panels.Panel, k int) plane.Point {
	if n := len(p.Outer); k >= n {
		return b.Spec.Axis.Section(p.Inner[k-n])
	}
	return b.Spec.Axis.Section(p.Outer[k])
}

// standsWhere compares the corners of a wall with its section as it stands; the corners of a notch lie on the section's sides or in it.
func standsWhere(q plane.Polygon, p *panels.Panel, corner func(k int) plane.Point) error {
	for k := range len(p.Outer) + len(p.Inner) {
		c, near := corner(k), math.Inf(1)
		for i, v := range q {
			near = math.Min(near, v.Sub(c).Norm())
			if x, y := q.Edge(i); outlined(*p) {
				if d := c.Sub(x).Dot(y.Sub(x).Unit()); d > 0 && d < y.Sub(x).Norm() {
					near = math.Min(near, math.Abs(plane.LineThrough(x, y).Distance(c)))
				}
			}
		}
		if near > nearEnough {
			return fmt.Errorf("%s: no corner within %.3f mm of %.2f, %.2f: %v", p.Name, near*1000, c.X*1000, c.Y*1000, q)
		}
	}
	return nil
}
