package render

import (
	"math"

	"cubby/internal/design"
)

// projection is the arrangement of views that the job asks for, else the one that is usual where its paper is: third angle with
// Letter, first angle with A4.
func (o Options) projection(r *design.Result) design.Projection {
	switch {
	case r.Request.Projection != "":
		return r.Request.Projection
	case o.paper(r) == "letter":
		return design.ThirdAngle
	}
	return design.FirstAngle
}

// threeViews are the places of three views of one thing, all at one scale and in line: from the front, from above and from the right
// end. In third angle the view from above stands above the front view and that from the right at its right; in first angle below
// and at the left (Technical drawing manuals call both equally acceptable and never mix them on one drawing).
type threeViews struct {
	front, plan, right fit
	cells              [3]Rect // front, plan, right with their margins
	free               Rect    // the fourth place
	height             float64
}

// viewSize is the extent of the thing that is drawn, m.
type viewSize struct{ left, w, front, d, floor, h float64 }

// leastCell is the least width of a view's place, mm: its title goes into it.
const leastCell = 40.0

// arrangeViews puts the three views at the top of an area at k mm per metre.
func arrangeViews(p design.Projection, area Rect, z viewSize, k, margin float64) threeViews {
	wide, deep := math.Max(z.w*k+2*margin, leastCell), math.Max(z.d*k+2*margin, leastCell)
	planTall, tall := z.d*k+2*margin, z.h*k+2*margin
	t := threeViews{height: planTall + tall}
	x := area.X + math.Max(0, (area.W-wide-deep)/2)
	y := area.Y
	if p == design.FirstAngle {
		t.cells = [3]Rect{{x + deep, y, wide, tall}, {x + deep, y + tall, wide, planTall}, {x, y, deep, tall}}
		t.free = Rect{x, y + tall, deep, planTall}
	} else {
		t.cells = [3]Rect{{x, y + planTall, wide, tall}, {x, y, wide, planTall}, {x + wide, y + planTall, deep, tall}}
		t.free = Rect{x + wide, y, deep, planTall}
	}
	in := func(r Rect, size, x0, y0 float64) fit {
		return fit{scale: k, x0: r.X + (r.W-size*k)/2 - x0*k, y0: r.Bottom() - margin + y0*k}
	}
	t.front = in(t.cells[0], z.w, z.left, z.floor)
	t.plan = in(t.cells[1], z.w, z.left, z.front)
	t.right = in(t.cells[2], z.d, z.front, z.floor)
	return t
}

// viewScale is the largest scale, mm per metre, at which three views with their margins go into an area.
func viewScale(area Rect, z viewSize, margin float64) float64 {
	return math.Max(0, math.Min((area.W-4*margin)/(z.w+z.d), (area.H-4*margin)/(z.d+z.h)))
}

// title names the three views at the top of their places.
func (t threeViews) title(d *drawing, names ...string) {
	st := TextStyle{Size: sizeSmall, Bold: true}
	for i, n := range names {
		d.text(Pt{t.cells[i].X, t.cells[i].Y + rise(st.Size)}, clipText(n, st, t.cells[i].W-2), st)
	}
}

// symbol draws the symbol of the projection with its name in the fourth place.
func (t threeViews) symbol(d *drawing, p design.Projection, more string) {
	const tall = 8.0
	c := Pt{t.free.Centre().X, t.free.Centre().Y - 3}
	d.projectionSymbol(c, tall, p)
	st := TextStyle{Size: sizeSmall, Align: AlignCentre}
	word := "third-angle projection"
	if p == design.FirstAngle {
		word = "first-angle projection"
	}
	d.text(Pt{c.X, c.Y + tall/2 + 3.5 + rise(st.Size)}, word, st)
	if more != "" {
		d.text(Pt{c.X, c.Y + tall/2 + 3.5 + lineHeight(st.Size) + rise(st.Size)}, more, st)
	}
}

// projectionSymbol draws a truncated cone from the side and from its small end, where both circles are seen: in third angle that view
// stands beside the small end, in first angle on the far side.
func (d *drawing) projectionSymbol(c Pt, tall float64, p design.Projection) {
	const gap = 3.0
	long, small := 1.2*tall, 0.5*tall
	whole := long + gap + tall
	cone, ring := c.X-whole/2, c.X+whole/2-tall/2
	if p != design.FirstAngle {
		ring, cone = c.X-whole/2+tall/2, c.X+whole/2-long
	}
	st := &Stroke{Width: medium}
	d.shape([]Pt{{cone, c.Y - small/2}, {cone, c.Y + small/2}, {cone + long, c.Y + tall/2}, {cone + long, c.Y - tall/2}}, st, nil)
	d.ring(Pt{ring, c.Y}, tall/2, st, nil)
	d.ring(Pt{ring, c.Y}, small/2, st, nil)
	d.line(Pt{c.X - whole/2 - 2, c.Y}, Pt{c.X + whole/2 + 2, c.Y}, hairline, 4, 0.8, 0.8, 0.8)
	d.line(Pt{ring, c.Y - tall/2 - 2}, Pt{ring, c.Y + tall/2 + 2}, hairline, 4, 0.8, 0.8, 0.8)
}
