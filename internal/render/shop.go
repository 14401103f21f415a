package render

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
)

// shop lays out part B: everything that the workshop needs and nothing else.
type shop struct {
	book *book
	r    *design.Result
	d    *design.Design
	box  *panels.Box
	o    Options
	m    measure
}

// shopPages lays out part B.
func shopPages(b *book, r *design.Result, o Options) {
	s := &shop{
		book: b, r: r, d: &r.Designs[0], box: r.Designs[0].Box, o: o,
		m: newMeasure(r.Request.Units, r.Request.Saw.RoundTo),
	}
	s.fewest(asItIs, func(s *shop, _ float64) { s.summaryPages() })
	s.fewest(asItIs, func(s *shop, _ float64) { s.listPages() })
	s.fewest([]float64{118, 105, 92, 80}, (*shop).screwPages)
	s.panelPages()
	s.fewest(sheetHeights, (*shop).sheetPages)
	s.fewest([]float64{112, 100, 88, 76, 66}, (*shop).assemblyPages)
	s.templatePages()
}

// asItIs is the one size of pages that have no drawing to shrink.
var asItIs = []float64{1}

// fewest lays shop pages out at the first of the sizes, largest first, that takes the fewest pages.
func (s *shop) fewest(sizes []float64, lay func(s *shop, size float64)) {
	s.book.fewest(sizes, func(b *book, size float64) *flow {
		own := *s
		own.book = b
		lay(&own, size)
		return nil
	})
}

// place is a panel's name as it is printed: FRONT, LEFT END.
func place(name string) string { return strings.ToUpper(name) }

// withRole gives the panels of the given roles, in the order of the printed list.
func (s *shop) withRole(roles ...panels.Role) []panels.Panel {
	var out []panels.Panel
	for _, p := range s.byMark() {
		for _, r := range roles {
			if p.Role == r {
				out = append(out, p)
			}
		}
	}
	return out
}

// named gives the panel of a name, or false.
func (s *shop) named(name string) (panels.Panel, bool) {
	for _, p := range s.box.Panels {
		if p.Name == name {
			return p, true
		}
	}
	return panels.Panel{}, false
}

// boardOf describes a panel's board: "MDF 18.0 mm".
func (s *shop) boardOf(p panels.Panel) string {
	t := fmt.Sprintf("%s %s %s", p.Board, s.m.sloped(p.Thickness), s.m.mark())
	if p.Layers > 1 {
		t += fmt.Sprintf(" (%d layers of %s)", p.Layers, s.m.sloped(p.Thickness/float64(p.Layers)))
	}
	return t
}

// plural gives "1 panel", "2 panels".
func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	if strings.HasSuffix(one, "ch") || strings.HasSuffix(one, "s") {
		return fmt.Sprintf("%d %ses", n, one)
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// listed joins names: a, b and c.
func listed(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// edgeNamed gives an edge of a panel by its key, or false.
func edgeNamed(p panels.Panel, key string) (panels.Edge, bool) {
	for _, e := range p.Edges {
		if e.Edge == key {
			return e, true
		}
	}
	return panels.Edge{}, false
}

// leastTilt is the tilt, in radians, under which an edge is printed as square: half of the last printed digit, 0.05 degrees.
const leastTilt = 0.05 * math.Pi / 180

func bevelled(e panels.Edge) bool { return math.Abs(e.Tilt) > leastTilt }

// reach is how far a panel's outer face reaches along its y: the outer width of walls, the overall width of all others.
func reach(p panels.Panel) float64 {
	if p.Role == panels.Wall && p.OuterWidth > 0 {
		return p.OuterWidth
	}
	return p.Width
}

// bounds of a polygon.
func bounds(g plane.Polygon) (lo, hi plane.Point) {
	lo, hi = plane.Point{X: math.Inf(1), Y: math.Inf(1)}, plane.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range g {
		lo = plane.Point{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
		hi = plane.Point{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
	}
	return lo, hi
}
