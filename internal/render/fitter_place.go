package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
	solids "cubby/internal/solid"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
)

// viewMargin is the room round a view for its dimensions, mm.
const viewMargin = 12.0

// Distances of the dimension lines from what they measure, mm: the space above, the box below, the gaps beside it below that.
const (
	spaceRow = 4.5
	boxRow   = -4.5
	gapRow   = -9.5
)

// leastGap is the smallest distance between box and space that gets a dimension of its own: half a millimetre, below which it prints
// as nothing at the precision of the sheet.
const leastGap = 0.0005 // m

// place sets the space and the box in it in views of a height in mm, how it stands, what to try before wood is cut, and what is set
// and known on site, in type of a size.
func (f *flow) place(r *design.Result, o Options, tall, size float64) {
	d := &r.Designs[0]
	f.views(r, d, o, tall)
	f.Heading("How it stands")
	f.labelled(placeRows(r, d), size)
	f.tryFirst(r, d)
	f.Heading("Fitting and setting up")
	f.labelled(fittingRows(r, d), size)
}

// views draws where the box stands: from the front, in plan, and a section through the driver as seen from the right end.
func (f *flow) views(r *design.Result, d *design.Design, o Options, most float64) {
	m := modelOf(r.Request.Space)
	if m == nil {
		return
	}
	z := modelSize(m, d)
	p := o.projection(r)
	t, isRow := rowOfViews(f.Area, z, most)
	if !isRow {
		t = arrangeViews(p, f.Area, z, viewScale(Rect{W: f.Area.W, H: most}, z, viewMargin), viewMargin)
	}
	f.Need(t.height + 20)
	f.Heading("The space, and the box in it, cut through the driver")
	area := f.Box(t.height)
	if isRow {
		t, _ = rowOfViews(area, z, most)
	} else {
		t = arrangeViews(p, area, z, viewScale(Rect{W: f.Area.W, H: most}, z, viewMargin), viewMargin)
	}
	g := onPaper(f, area)
	at := cutAt(d)
	t.title(g, "from the front", "from above", "section, from the right")
	if !isRow {
		t.symbol(g, p, "not to scale")
	}
	lo, hi := d.Box.Spec.Outside.Bounds()
	in, out := cavity.Box{Min: lo, Max: hi}, m.extent
	v := spaceView{g, t.front, r.Request.Units}
	standingScene(gazeFront, m, d.Box, true).draw(g, v.fit)
	v.measure(stretch{plane.Point{X: out.Min.X, Y: out.Min.Z}, plane.Point{X: out.Min.X, Y: out.Max.Z}, -boxRow})
	v.fit = t.plan
	standingScene(gazeAbove, m, d.Box, true).draw(g, v.fit)
	front := math.Min(out.Min.Y, in.Min.Y)
	v.measure(
		stretch{plane.Point{X: in.Min.X, Y: front}, plane.Point{X: in.Max.X, Y: front}, boxRow},
		stretch{plane.Point{X: out.Min.X, Y: front}, plane.Point{X: in.Min.X, Y: front}, gapRow},
		stretch{plane.Point{X: in.Max.X, Y: front}, plane.Point{X: out.Max.X, Y: front}, gapRow},
		stretch{plane.Point{X: out.Min.X, Y: out.Max.Y}, plane.Point{X: out.Max.X, Y: out.Max.Y}, spaceRow})
	v.fit = t.right
	v.section(m, d, at)
	low, right := math.Min(in.Min.Z, out.Min.Z), math.Max(in.Max.Y, out.Max.Y)
	v.measure(
		stretch{plane.Point{X: in.Min.Y, Y: low}, plane.Point{X: in.Max.Y, Y: low}, boxRow},
		stretch{plane.Point{X: out.Min.Y, Y: low}, plane.Point{X: in.Min.Y, Y: low}, gapRow},
		stretch{plane.Point{X: right, Y: in.Min.Z}, plane.Point{X: right, Y: in.Max.Z}, boxRow},
		stretch{plane.Point{X: out.Min.Y, Y: out.Max.Z}, plane.Point{X: out.Max.Y, Y: out.Max.Z}, spaceRow})
	f.Styled("Thin lines: the space as measured, at its stations and straight between them. Hatched: what stands there. Dashed: openings out of sight.", TextStyle{Size: sizeSmall, Grey: 0.3})
	f.Gap(1)
}

// rowOfViews puts the three views side by side at the top of an area; false where one above the other they come out larger.
func rowOfViews(area Rect, z viewSize, most float64) (t threeViews, isRow bool) {
	k := math.Min((area.W-6*viewMargin)/(2*z.w+z.d), (most-2*viewMargin)/math.Max(z.d, z.h))
	if k <= viewScale(Rect{W: area.W, H: most}, z, viewMargin) {
		return t, false
	}
	t.height = math.Max(z.d, z.h)*k + 2*viewMargin
	x := area.X + (area.W-6*viewMargin-(2*z.w+z.d)*k)/2
	place := func(i int, size, tall, x0, y0 float64) fit {
		r := Rect{x, area.Y + t.height - tall*k - 2*viewMargin, size*k + 2*viewMargin, tall*k + 2*viewMargin}
		t.cells[i] = Rect{r.X, area.Y, r.W, t.height}
		x += r.W
		return fit{scale: k, x0: r.X + viewMargin - x0*k, y0: r.Bottom() - viewMargin + y0*k}
	}
	t.plan = place(1, z.w, z.d, z.left, z.front)
	t.front = place(0, z.w, z.h, z.left, z.floor)
	t.right = place(2, z.d, z.h, z.front, z.floor)
	return t, true
}

// modelSize is the extent of space and box together.
func modelSize(m *spaceModel, d *design.Design) viewSize {
	lo, hi := d.Box.Spec.Outside.Bounds()
	a := r3.Vec{X: math.Min(lo.X, m.extent.Min.X), Y: math.Min(lo.Y, m.extent.Min.Y), Z: math.Min(lo.Z, m.extent.Min.Z)}
	b := r3.Vec{X: math.Max(hi.X, m.extent.Max.X), Y: math.Max(hi.Y, m.extent.Max.Y), Z: math.Max(hi.Z, m.extent.Max.Z)}
	return viewSize{left: a.X, w: b.X - a.X, front: a.Y, d: b.Y - a.Y, floor: a.Z, h: b.Z - a.Z}
}

// cutAt is where across the space the section is taken: through the first driver, off the middle of an end that it sits in.
func cutAt(d *design.Design) float64 {
	lo, hi := d.Box.Spec.Outside.Bounds()
	for _, p := range d.Box.Panels {
		for _, h := range p.Holes {
			if h.Kind == panels.HoleDriver && h.Use != panels.UseRadiator {
				at := onPanel(p.Place, plane.Point{X: h.X, Y: h.Y})
				return math.Min(math.Max(at[0], lo.X+0.3*(hi.X-lo.X)), hi.X-0.3*(hi.X-lo.X))
			}
		}
	}
	return (lo.X + hi.X) / 2
}

// section draws the space, what stands in it and the box cut across.
func (v spaceView) section(m *spaceModel, d *design.Design, at float64) {
	plain := solids.Plane{N: r3.Vec{X: 1}, D: at}
	v.outline(m.sectionAt(at), spaceLine, &Fill{wallGrey})
	cut := func(b *solids.Solid, st Stroke, fill *Fill, hatched bool) {
		parts, err := b.Slice(plain)
		if err != nil {
			return
		}
		for _, s := range parts {
			g := make([]plane.Point, len(s.At))
			for i, p := range s.At {
				g[i] = plane.Point{X: p.Y, Y: p.Z}
			}
			v.outline(g, st, fill)
			if hatched {
				v.hatch(v.fit.path(g), 2.2)
			}
		}
	}
	for i := range m.Blocks {
		if b := m.blockBody(&m.Blocks[i]); b != nil {
			cut(b, blockLine, &Fill{1}, true)
		}
	}
	cut(d.Box.Spec.Outside, boxLine, &Fill{0.82}, false)
	if d.Box.Air != nil {
		cut(d.Box.Air, Stroke{Width: thin}, &Fill{1}, false)
	}
}

// spaceView is a plane drawing in metres with dimensions.
type spaceView struct {
	*drawing
	fit fit
	sys unit.System
}

func (v spaceView) outline(g []plane.Point, s Stroke, fill *Fill) { v.shape(v.fit.path(g), &s, fill) }

// stretch is a distance to dimension, on a line off mm above (or below, negative) its ends.
type stretch struct {
	a, b plane.Point
	off  float64
}

// measure dimensions distances, the lines of all before the texts of all; gaps that print as nothing are left out.
func (v spaceView) measure(all ...stretch) {
	var shown []distance
	for _, z := range all {
		if l := z.b.Sub(z.a).Norm(); l >= leastGap && z.b.X >= z.a.X {
			shown = append(shown, distance{v.fit.at(z.a), v.fit.at(z.b), z.off, unit.FormatLength(l, v.sys), TextStyle{Size: sizeLabel}})
		}
	}
	v.dimensions(shown...)
}

// placeRows say where the box stands, why there, and how it gets in.
func placeRows(r *design.Result, d *design.Design) [][2]string {
	var rows [][2]string
	add := func(label, text string) {
		if text != "" {
			rows = append(rows, [2]string{label, sentence(text)})
		}
	}
	add("Place", placeText(r, d))
	if r.Room != nil {
		stands := "It stands " + r.Request.StandingText(d)
		if d.Beside != "" {
			stands += "; " + d.Beside
		}
		add("Standing", stands)
	}
	add("Other places", d.RunnerUp)
	add("Carrying in", d.CarryText)
	add("In its place", d.Access.Text())
	add("Fixing to the vehicle", fixingPoints(d))
	return rows
}

// tryFirst lists where to put a stick before wood is cut, beside the boards of a cardboard dummy.
func (f *flow) tryFirst(r *design.Result, d *design.Design) {
	const gap, left, words = 8.0, 62.0, 10.0
	sticks, dummy := stickTable(r, d), dummyTable(r, d)
	area := f.Area
	right := area.W - left - gap
	f.Need(max(sticks.height(left), dummy.height(right)) + words + 14)
	f.Heading("Before wood is cut")
	area = f.Area
	top := f.Y
	small := TextStyle{Size: sizeSmall}
	f.Area.W = left
	if len(sticks.Rows) > 0 {
		f.Styled("Try a stick: it must reach as high as here.", small)
		f.Gap(1)
		f.Table(sticks)
	} else {
		f.Styled("The box stands where the space was measured: no stick need be tried.", small)
	}
	low := f.Y
	f.Area, f.Y = Rect{area.X + left + gap, area.Y, right, area.H}, top
	f.Styled("Carry a cardboard dummy in: its faces, covering included.", small)
	f.Gap(1)
	f.Table(dummy)
	f.Area, f.Y = area, max(low, f.Y)
}

func stickTable(r *design.Result, d *design.Design) table {
	t := table{Size: sizeSmall, Columns: []column{{Head: "from left", Align: AlignRight}, {Head: "depth", Align: AlignRight}, {Head: "height", Align: AlignRight},
		{Head: "surface", Width: 13}}}
	l := func(m float64) string { return unit.FormatLength(m, r.Request.Units) }
	const most = 4
	for _, s := range d.StickTests[:min(most, len(d.StickTests))] {
		t.Rows = append(t.Rows, cells(l(s.X), l(s.Y), l(s.Z), s.Surface.String()))
	}
	return t
}

// dummyTable lists the outer faces of the finished box by size, equal ones together.
func dummyTable(r *design.Result, d *design.Design) table {
	t := table{Size: sizeSmall, Columns: []column{{Head: "face", Width: 20}, {Head: "size"}}}
	body := d.Box.Covered()
	if body == nil {
		body = d.Box.Spec.Outside
	}
	type piece struct{ name, size string }
	var all []piece
	for _, f := range body.Faces {
		if len(f.Loops) == 0 {
			continue
		}
		name, size := faceName(f), faceSize(f, r.Request.Units)
		if n := len(all); f.Kind == solids.InPocket && n > 0 && all[n-1].name == name {
			all[n-1].size += "; " + size
			continue
		}
		all = append(all, piece{name, size})
	}
	for i, p := range all {
		if slices.ContainsFunc(all[:i], func(q piece) bool { return q.size == p.size }) {
			continue
		}
		var names []string
		for _, q := range all[i:] {
			if q.size == p.size {
				names = append(names, q.name)
			}
		}
		t.Rows = append(t.Rows, cells(strings.Join(names, ", "), p.size))
	}
	return t
}

// faceName names a face by where it looks.
func faceName(f solids.Face) string {
	const square = 0.999
	n := toVec(f.N)
	if f.Kind == solids.InPocket {
		return "in the pocket"
	}
	for i, names := range [3][2]string{{"left", "right"}, {"front", "back"}, {"bottom", "top"}} {
		if n[i] < -square {
			return names[0]
		}
		if n[i] > square {
			return names[1]
		}
	}
	return "slope"
}

// faceSize is the size of a rectangle, else the lengths of the edges of a face, going round.
func faceSize(f solids.Face, sys unit.System) string {
	ring := vecs(f.Loops[0].At)
	n := len(ring)
	var edges []float64
	isSquare := n == 4
	for i, p := range ring {
		a, b := p.sub(ring[(i+n-1)%n]), ring[(i+1)%n].sub(p)
		edges = append(edges, b.norm())
		if math.Abs(a.dot(b)) > 1e-3*a.norm()*b.norm() {
			isSquare = false
		}
	}
	if isSquare {
		return unit.FormatSize(sys, math.Max(edges[0], edges[1]), math.Min(edges[0], edges[1]))
	}
	s := fmt.Sprintf("%d corners, edges in turn %s", n, strings.ReplaceAll(unit.FormatSize(sys, edges...), " ×", ","))
	if len(f.Loops) > 1 {
		s += ", with an opening"
	}
	return s
}
