package cavity

import (
	"encoding/binary"
	"math"
	"slices"

	"cubby/internal/plane"
)

// A form is a section whichever way it lies in its space, with what a search found in it. Sections that
// are turned by quarters or mirrored share one, so that what is found in them is the same, and found once.
type form struct {
	whole    plane.Polygon // at most mostReduced corners
	steps    ladder
	start    int // of the search that gave steps; 0: none yet
	width    int
	polished [plane.MaxCorners + 1]plane.Polygon
}

// A view is how a section lies in its space.
type view struct {
	swapped, right, high bool // x and y exchanged, then mirrored
	box                  plane.Rect
	of                   plane.Polygon
}

// gridOfForms is what the corners of a form are rounded to, so that rounding in its making tells no two apart: a ten
// thousandth of a micrometre, less than any slack.
const gridOfForms = 1e-10

// viewOf lays a section down with its longer side level and its middle to the left and low.
func viewOf(g plane.Polygon) view {
	o, c := g.Bounds(), g.Centroid()
	v := view{swapped: o.Height() > o.Width()+1e-9, box: o, of: g}
	if v.swapped {
		o, c = swappedRect(o), plane.Point{X: c.Y, Y: c.X}
		v.box = o
	}
	v.right = c.X > (o.Min.X+o.Max.X)/2+1e-9
	v.high = c.Y > (o.Min.Y+o.Max.Y)/2+1e-9
	return v
}

func swappedRect(r plane.Rect) plane.Rect {
	return plane.Rect{Min: plane.Point{X: r.Min.Y, Y: r.Min.X}, Max: plane.Point{X: r.Max.Y, Y: r.Max.X}}
}

// odd tells whether the view is that of a mirror.
func (v view) odd() bool { return v.swapped != (v.right != v.high) }

// lay gives a polygon of the section as it lies in the form, from its corner farthest left on.
func (v view) lay(g plane.Polygon) plane.Polygon {
	h := make(plane.Polygon, len(g))
	first := 0
	for i, p := range g {
		if v.swapped {
			p.X, p.Y = p.Y, p.X
		}
		p = v.mirrored(p).Sub(v.mirrored(v.corner()))
		h[i] = plane.Point{X: math.Round(p.X/gridOfForms) * gridOfForms, Y: math.Round(p.Y/gridOfForms) * gridOfForms}
	}
	if v.odd() {
		slices.Reverse(h)
	}
	for i, p := range h {
		if p.X < h[first].X || p.X == h[first].X && p.Y < h[first].Y {
			first = i
		}
	}
	return append(h[first:len(h):len(h)], h[:first]...)
}

// raise gives a polygon of the form as it lies in the space, what lies at a corner of the section exactly there.
func (v view) raise(h plane.Polygon) plane.Polygon {
	g := make(plane.Polygon, len(h))
	for i, p := range h {
		p = v.mirrored(p).Add(v.corner())
		if v.swapped {
			p.X, p.Y = p.Y, p.X
		}
		for _, q := range v.of {
			if math.Abs(p.X-q.X) < 2*gridOfForms {
				p.X = q.X
			}
			if math.Abs(p.Y-q.Y) < 2*gridOfForms {
				p.Y = q.Y
			}
		}
		g[i] = p
	}
	if v.odd() {
		slices.Reverse(g)
	}
	return g
}

// corner is the one that becomes the origin.
func (v view) corner() plane.Point {
	p := v.box.Min
	if v.right {
		p.X = v.box.Max.X
	}
	if v.high {
		p.Y = v.box.Max.Y
	}
	return p
}

func (v view) mirrored(p plane.Point) plane.Point {
	if v.right {
		p.X = -p.X
	}
	if v.high {
		p.Y = -p.Y
	}
	return p
}

// formOf gives the form of a section and the view of it.
func (f *finder) formOf(g plane.Polygon) (*form, view) {
	v := viewOf(g)
	h := v.lay(g)
	key := make([]byte, 0, 16*len(h))
	for _, p := range h {
		key = binary.LittleEndian.AppendUint64(key, uint64(math.Round(p.X/gridOfForms)))
		key = binary.LittleEndian.AppendUint64(key, uint64(math.Round(p.Y/gridOfForms)))
	}
	o, ok := f.forms[string(key)]
	if !ok {
		o = &form{whole: thinned(h, mostReduced)}
		f.forms[string(key)] = o
	}
	return o, v
}

// reduced gives the form with few corners, see descend.
func (f *finder) reduced(o *form, start, width int) *ladder {
	if start > o.start || width > o.width {
		o.start, o.width = max(start, o.start), max(width, o.width)
		o.steps = f.shop.descend(o.whole, o.start, o.width)
		clear(o.polished[:])
	}
	return &o.steps
}

// polished gives the best of a section and those of its form with as many corners, polished.
func (f *finder) polished(c *cutOut) plane.Polygon {
	o, k := c.in, len(c.g)
	if !c.own && o.polished[k] != nil {
		return o.polished[k]
	}
	list := o.steps[k]
	if c.own {
		list = append([]candidate{{g: c.g}}, list...)
	}
	var g plane.Polygon
	if f.thorough {
		g = f.shop.best(list, o.whole)
	} else {
		g = f.shop.polish(list[0].g, o.whole, 2)
	}
	if !c.own {
		o.polished[k] = g
	}
	return g
}
