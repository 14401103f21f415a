package render

import (
	"math"
	"slices"
	"strings"

	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/word"
	"cubby/internal/work"
)

// shop lays out part B: everything that the workshop needs and nothing else. It draws and words what the plan of work says.
type shop struct {
	book *book
	r    *design.Result
	d    *design.Design
	box  *panels.Box
	plan *work.Plan
	o    Options
	m    measure
	list table // of panels
	cuts table
}

// newShop makes the shop's view of the first design.
func newShop(b *book, r *design.Result, o Options) *shop {
	sys := r.Request.Units
	if o.ShopUnits != nil {
		sys = *o.ShopUnits
	}
	s := &shop{book: b, r: r, d: &r.Designs[0], box: r.Designs[0].Box, plan: r.Designs[0].Work, o: o, m: newMeasure(sys, r.Request.Saw.RoundTo)}
	if s.plan == nil {
		s.plan = work.Make(s.box, s.d.Sheets)
	}
	wide := b.paper.W - 2*sideMargin
	s.list, s.cuts = s.panelList().fitted(wide), s.cutTable().fitted(wide)
	return s
}

// shopPages lays out part B.
func shopPages(b *book, r *design.Result, o Options) {
	s := newShop(b, r, o)
	var end *flow
	for _, c := range []struct {
		sizes []float64 // of its drawings, largest first
		lay   func(s *shop, size float64) *flow
	}{
		{[]float64{92, 78, 68, 58, 50, 43, 37}, (*shop).frontPage}, {sheetHeights, (*shop).cutPages}, {[]float64{1, 0.85, 0.7, 0.6, 0.5}, (*shop).partPages},
		{[]float64{190, 170, 150, 125, 100, 90, 80, 70, 60, 50}, (*shop).assemblyPages}, {asItIs, (*shop).checkPages},
	} {
		end = b.runOn(end, c.sizes, func(b *book, size float64) *flow {
			own := *s
			own.book = b
			return c.lay(&own, size)
		})
	}
	s.templatePages()
}

// asItIs is the one size of pages that have no drawing to shrink.
var asItIs = []float64{1}

// place is a panel's name as it is pencilled: FRONT, LEFT END.
func place(name string) string { return strings.ToUpper(name) }

// byMark is the order of the printed list: A, B ... Z, AA.
func (s *shop) byMark() []panels.Panel {
	out := make([]panels.Panel, len(s.plan.List))
	for k, i := range s.plan.List {
		out[k] = s.box.Panels[i]
	}
	return out
}

// withRole gives the panels of the given roles, in the order of the printed list.
func (s *shop) withRole(roles ...panels.Role) []panels.Panel {
	var out []panels.Panel
	for _, p := range s.byMark() {
		if slices.Contains(roles, p.Role) {
			out = append(out, p)
		}
	}
	return out
}

// named gives the panel that a reference means, or false.
func (s *shop) named(name string) (panels.Panel, bool) {
	for _, p := range s.box.Panels {
		if p.Name == name {
			return p, true
		}
	}
	return panels.Panel{}, false
}

// markOf is the mark of the panel that a reference means.
func (s *shop) markOf(name string) string {
	if p, ok := s.named(name); ok {
		return p.Mark
	}
	return name
}

// markAt is the mark of a panel of the plan, and empty for none.
func (s *shop) markAt(i int) string {
	if i < 0 || i >= len(s.box.Panels) {
		return ""
	}
	return s.box.Panels[i].Mark
}

// marksAt lists the marks of panels of the plan, each once.
func (s *shop) marksAt(all []int) string {
	var out []string
	for _, i := range all {
		if m := s.markAt(i); m != "" && !slices.Contains(out, m) {
			out = append(out, m)
		}
	}
	return strings.Join(out, ", ")
}

func (s *shop) markedName(name string) string {
	if p, ok := s.named(name); ok {
		return p.Mark + " " + name
	}
	return name
}

// boardOf describes a panel's board: "MDF 18.0 mm".
func (s *shop) boardOf(p panels.Panel) string {
	t := p.Board + " " + s.m.thick(p.Thickness) + " " + s.m.mark()
	if p.Layers > 1 {
		t += " (" + word.Count(p.Layers, "layer") + " of " + s.m.thick(p.Thickness/float64(p.Layers)) + ")"
	}
	return t
}

// edgeNamed gives an edge of a panel by its key, or false.
func edgeNamed(p panels.Panel, key string) (panels.Edge, bool) {
	for _, e := range p.Edges {
		if e.Edge == key || sideOf(p, e.Edge) == key {
			return e, true
		}
	}
	return panels.Edge{}, false
}

// leastTilt is the tilt, in radians, under which an edge is printed as square: half of the last printed digit, 0.05 degrees.
const leastTilt = 0.05 * math.Pi / 180

// sameFace is the difference of two faces that no rule shows, m.
const sameFace = 5e-5

func bevelled(e panels.Edge) bool { return math.Abs(e.Tilt) > leastTilt }

// reach is how far a panel's outer face reaches along its y: the outer width of walls, the overall width of all others.
func reach(p panels.Panel) float64 {
	if p.Role == panels.Wall && p.OuterWidth > 0 {
		return p.OuterWidth
	}
	if rectangular(p) {
		return p.Outline.Bounds().Height()
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

// onPanel is a point of a panel's outer face in space.
func onPanel(f panels.Frame, c plane.Point) vec {
	return toVec(f.At(c, 0))
}

// baseName is the name of the panel that a piece of the layout is.
func baseName(piece string) string {
	part, _ := nest.PartOf(piece)
	return part
}

// litres is a volume for the bench.
func (s *shop) litres(v float64) string { return litresIn(v, s.m.sys) }
