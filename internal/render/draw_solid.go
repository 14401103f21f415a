package render

import (
	"math"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// vec is a point or a direction in the space's frame: across (to the right), depth (away), height (up), metres.
type vec [3]float64

func (a vec) add(b vec) vec     { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) mul(k float64) vec { return vec{a[0] * k, a[1] * k, a[2] * k} }
func (a vec) dot(b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func (a vec) sub(b vec) vec               { return a.add(b.mul(-1)) }
func (a vec) norm() float64               { return math.Sqrt(a.dot(a)) }
func across(x float64, p plane.Point) vec { return vec{x, p.X, p.Y} }

// toViewer points from the box to the eye of the isometric view: in front, to the right and above.
var toViewer = vec{1, -1, 1}

// iso is the isometric view, all three axes shortened alike, on the page: x to the right, y up, metres.
func iso(v vec) plane.Point { return gazeIso.flat(v) }

// solid is a prism: a plane outline, counter-clockwise as seen along its outward normal, with a thickness behind it.
type solid struct {
	Cap    []vec
	Normal vec // unit
	Thick  float64
	Mark   string
	Out    vec // where it moves when the drawing is pulled apart
}

func (s solid) moved(d vec) solid {
	m := s
	m.Cap = make([]vec, len(s.Cap))
	for i, p := range s.Cap {
		m.Cap[i] = p.add(d)
	}
	return m
}

func (s solid) centre() vec {
	var c vec
	for _, p := range s.Cap {
		c = c.add(p)
	}
	return c.mul(1 / float64(len(s.Cap))).add(s.Normal.mul(-s.Thick / 2))
}

// panelSolids are the solids of a panel at all its places.
func panelSolids(p panels.Panel) []solid {
	if len(p.Section) > 0 {
		return []solid{wallSolid(p)}
	}
	places := p.Places
	if len(places) == 0 {
		places = []panels.Frame{p.Place}
	}
	var all []solid
	for _, f := range places {
		all = append(all, plateSolid(p, f))
	}
	return all
}

func wallSolid(p panels.Panel) solid {
	right := p.Place.O.X + p.Length
	s := solid{Normal: vec{1, 0, 0}, Thick: p.Length, Mark: p.Mark, Out: toVec(p.Place.N)}
	for _, c := range p.Section {
		s.Cap = append(s.Cap, across(right, c))
	}
	return s
}

func plateSolid(p panels.Panel, f panels.Frame) solid {
	outline := p.Outline
	if len(outline) == 0 {
		outline = rectOutline(p.Length, p.Width)
	}
	n := toVec(f.N)
	s := solid{Normal: n, Thick: p.Thickness, Mark: p.Mark, Out: n}
	for _, c := range outline.CCW() {
		s.Cap = append(s.Cap, onPanel(f, c))
	}
	return s
}

// facet is one visible face of a solid on the page.
type facet struct {
	Corners []plane.Point
	Normal  vec
}

// faces gives the visible faces of a prism, far ones first. The cap that looks at the eye lies before all sides; sides are put in
// order by comparing each two where they lie behind one another, which has no cycles for the sides of a prism.
func (s solid) faces() []facet {
	type side struct {
		facet
		a, b vec
	}
	var sides []side
	back := s.Normal.mul(-s.Thick)
	for i := range s.Cap {
		a, b := s.Cap[i], s.Cap[(i+1)%len(s.Cap)]
		n := b.sub(a).cross(s.Normal)
		if l := n.norm(); l < 1e-12 || n.dot(toViewer) <= 1e-9*l {
			continue
		}
		sides = append(sides, side{facet{flat(a, b, b.add(back), a.add(back)), n.mul(1 / n.norm())}, a, b})
	}
	var out []facet
	for len(sides) > 0 {
		pick := 0
		for i := range sides {
			free := true
			for j := range sides {
				if i != j && hides(s.Normal, sides[i].a, sides[i].b, sides[j].a, sides[j].b) {
					free = false
				}
			}
			if free {
				pick = i
				break
			}
		}
		out = append(out, sides[pick].facet)
		sides = append(sides[:pick], sides[pick+1:]...)
	}
	facing := s.Normal.dot(toViewer)
	if math.Abs(facing) > 1e-9 {
		c := facet{Normal: s.Normal}
		for _, p := range s.Cap {
			if facing < 0 {
				p = p.add(back)
			}
			c.Corners = append(c.Corners, iso(p))
		}
		if facing < 0 {
			c.Normal = s.Normal.mul(-1)
		}
		out = append(out, c)
	}
	return out
}

// hides reports whether the side a-b of a prism lies before the side c-d where both are seen, looking square to the prism's axis.
func hides(axis, a, b, c, d vec) bool {
	eye := toViewer.sub(axis.mul(axis.dot(toViewer)))
	if eye.norm() < 1e-9 {
		return false
	}
	eye = eye.mul(1 / eye.norm())
	w := axis.cross(eye)
	a0, b0, c0, d0 := a.dot(w), b.dot(w), c.dot(w), d.dot(w)
	lo, hi := math.Max(math.Min(a0, b0), math.Min(c0, d0)), math.Min(math.Max(a0, b0), math.Max(c0, d0))
	if hi-lo < 1e-9 {
		return false
	}
	m := (lo + hi) / 2
	depth := func(p, q vec, p0, q0 float64) float64 {
		k := (m - p0) / (q0 - p0)
		return p.dot(eye)*(1-k) + q.dot(eye)*k
	}
	return depth(a, b, a0, b0) > depth(c, d, c0, d0)+1e-9
}

func flat(vs ...vec) []plane.Point {
	var out []plane.Point
	for _, v := range vs {
		out = append(out, iso(v))
	}
	return out
}

// farFirst puts solids in order of their centres along the view, far ones first; ties keep their order.
func farFirst(s []solid) []solid {
	out := append([]solid(nil), s...)
	for i := 1; i < len(out); i++ {
		for j := i; j > 0 && out[j].centre().dot(toViewer) < out[j-1].centre().dot(toViewer)-1e-12; j-- {
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out
}

// fit maps points of a view in metres (y up) into a pane, as large as it goes, in its middle.
type fit struct {
	scale float64 // mm of paper per metre
	x0    float64
	y0    float64
}

func fitInto(p Rect, pts []plane.Point) fit {
	lo, hi := plane.Point{X: math.Inf(1), Y: math.Inf(1)}, plane.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, q := range pts {
		lo = plane.Point{X: math.Min(lo.X, q.X), Y: math.Min(lo.Y, q.Y)}
		hi = plane.Point{X: math.Max(hi.X, q.X), Y: math.Max(hi.Y, q.Y)}
	}
	w, h := math.Max(hi.X-lo.X, 1e-6), math.Max(hi.Y-lo.Y, 1e-6)
	f := fit{scale: math.Min(p.W/w, p.H/h)}
	f.x0 = p.Centre().X - f.scale*(lo.X+hi.X)/2
	f.y0 = p.Centre().Y + f.scale*(lo.Y+hi.Y)/2
	return f
}

func (f fit) at(p plane.Point) Pt { return Pt{f.x0 + f.scale*p.X, f.y0 - f.scale*p.Y} }

// back is the point of the view at a place on the page.
func (f fit) back(p Pt) plane.Point {
	return plane.Point{X: (p.X - f.x0) / f.scale, Y: (f.y0 - p.Y) / f.scale}
}

func (f fit) path(pts []plane.Point) []Pt {
	out := make([]Pt, len(pts))
	for i, p := range pts {
		out[i] = f.at(p)
	}
	return out
}

// lit is the grey of a face by where it looks: the top lightest, the ends darkest, as if lit from above and in front.
func lit(n vec) float64 {
	return 0.9 + 0.08*n[2] - 0.07*math.Abs(n[0])
}

// paint draws the visible faces of a solid.
func (d *drawing) paint(s solid, f fit) {
	for _, fc := range s.faces() {
		d.shape(f.path(fc.Corners), &Stroke{Width: medium}, &Fill{Grey: lit(fc.Normal)})
	}
}
