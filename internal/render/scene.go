package render

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"cubby/internal/plane"
)

// gaze is a way to look at things in space from far away: unit vectors to the right and up in the view, and to the eye.
type gaze struct{ right, up, eye vec }

// gazeFrom looks from the front, turned by an azimuth (positive: from the right) and raised by an elevation, rad.
func gazeFrom(azimuth, elevation float64) gaze {
	sa, ca := math.Sincos(azimuth)
	se, ce := math.Sincos(elevation)
	return gaze{right: vec{ca, sa, 0}, up: vec{-sa * se, ca * se, ce}, eye: vec{sa * ce, -ca * ce, se}}
}

// The plane views of a thing that stands before its observer.
var (
	gazeIso   = gaze{vec{1, 1, 0}.mul(1 / math.Sqrt2), vec{-1, 1, 2}.mul(1 / math.Sqrt(6)), toViewer.mul(1 / math.Sqrt(3))} // all axes shortened alike
	gazeFront = gaze{vec{1, 0, 0}, vec{0, 0, 1}, vec{0, -1, 0}}
	gazeAbove = gaze{vec{1, 0, 0}, vec{0, 1, 0}, vec{0, 0, 1}}
)

func (g gaze) flat(p vec) plane.Point { return plane.Point{X: p.dot(g.right), Y: p.dot(g.up)} }

// standView is what is looked at: faces that are filled and that hide, and lines.
type standView struct {
	gaze
	tris    []sceneTri
	lines   []sceneLine
	hatches []sceneFace
	extent  []plane.Point // all that must find room
}

// sceneFace is a plane face: its outer loop counter-clockwise as seen from outside, then its holes.
type sceneFace struct {
	loops  [][]vec
	normal vec // unit
}

// faceStyle is how a face is drawn. The lines of a face that is a body's hide those that run behind bodies.
type faceStyle struct {
	grey   float64
	body   bool
	edge   *Stroke // nil: not drawn
	hidden *Stroke // of the parts of its edges that something hides; nil: not drawn
	back   bool    // edges run behind bodies, wherever they lie
	bare   bool    // not filled, and hides nothing
	hatch  bool
}

// sceneTri is a piece of a face that looks at the eye.
type sceneTri struct {
	at     []vec
	normal vec
	grey   float64
	body   bool
}

// sceneLine is a straight line with the styles of its visible and its hidden parts; nil: not drawn.
type sceneLine struct {
	a, b         vec
	seen, hidden *Stroke
	back         bool // runs behind bodies, wherever it lies
}

func toVec(v r3.Vec) vec { return vec{v.X, v.Y, v.Z} }
func ofVec(v vec) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }
func vecs(l []r3.Vec) []vec {
	out := make([]vec, len(l))
	for i, v := range l {
		out[i] = toVec(v)
	}
	return out
}

// add puts a face into the scene. One that looks away is left out, but for the lines of its edges if they have a style for what is hidden.
func (s *standView) add(f sceneFace, st faceStyle) {
	const edgeOn = 1e-6
	facing := f.normal.dot(s.eye) > edgeOn
	for _, l := range f.loops {
		for i, a := range l {
			s.extent = append(s.extent, s.flat(a))
			if st.edge != nil && (facing || st.bare) {
				s.lines = append(s.lines, sceneLine{a, l[(i+1)%len(l)], st.edge, st.hidden, st.back})
			}
		}
	}
	if !facing || st.bare {
		return
	}
	if st.hatch {
		s.hatches = append(s.hatches, f)
	}
	var m mesh
	var loops [][]r3.Vec
	for _, l := range f.loops {
		var k []r3.Vec
		for _, v := range l {
			k = append(k, ofVec(v))
		}
		loops = append(loops, k)
	}
	m.face(ofVec(f.normal), loops...)
	for _, t := range m.tri {
		s.tris = append(s.tris, sceneTri{[]vec{toVec(m.at[t[0]]), toVec(m.at[t[1]]), toVec(m.at[t[2]])}, f.normal, st.grey, st.body})
	}
}

// sceneTouch is how far a thing must lie before another to hide it, m: things that touch do not.
const sceneTouch = 1e-5

// draw paints the scene through a fit: fills from the back, then lines, cut where what hides them begins and ends.
func (s *standView) draw(c Canvas, f fit) {
	for _, t := range s.fromBack() {
		pts := make([]Pt, len(t.at))
		for i, p := range t.at {
			pts[i] = f.at(s.flat(p))
		}
		c.Path(pts, true, &Stroke{Width: 0.05, Grey: t.grey}, &Fill{t.grey})
	}
	for _, h := range s.hatches {
		s.hatch(h, f)
	}
	for _, l := range s.lines {
		s.line(c, f, l)
	}
}

// line draws one line in pieces that are each wholly seen or wholly hidden.
func (s *standView) line(c Canvas, f fit, l sceneLine) {
	cuts := []float64{0, 1}
	a2, b2 := s.flat(l.a), s.flat(l.b)
	for _, t := range s.tris {
		for i, p := range t.at {
			if k, ok := crossing(a2, b2, s.flat(p), s.flat(t.at[(i+1)%len(t.at)])); ok {
				cuts = append(cuts, k)
			}
		}
	}
	sort.Float64s(cuts)
	at := func(k float64) vec { return l.a.add(l.b.sub(l.a).mul(k)) }
	start, was := 0.0, s.hides(at(nextMiddle(cuts, 0)), l.back)
	flush := func(end float64) {
		st := l.seen
		if was {
			st = l.hidden
		}
		if st != nil && end-start > 1e-9 {
			line(c, f.at(s.flat(at(start))), f.at(s.flat(at(end))), *st)
		}
		start = end
	}
	for i := 1; i < len(cuts); i++ {
		if cuts[i]-cuts[i-1] < 1e-7 {
			continue
		}
		if h := s.hides(at((cuts[i-1]+cuts[i])/2), l.back); h != was {
			flush(cuts[i-1])
			was = h
		}
	}
	flush(1)
}

// nextMiddle is the middle of the first piece between cuts that has a length.
func nextMiddle(cuts []float64, from float64) float64 {
	for _, k := range cuts {
		if k-from >= 1e-7 {
			return (from + k) / 2
		}
	}
	return 0.5
}

// hides reports whether something lies between p and the eye; of a line that runs behind bodies, whether a body is there at all.
func (s *standView) hides(p vec, back bool) bool {
	q := s.flat(p)
	for _, t := range s.tris {
		if back && !t.body {
			continue
		}
		if !back && t.normal.dot(t.at[0].sub(p))/t.normal.dot(s.eye) <= sceneTouch {
			continue
		}
		var g [3]plane.Point
		for i, v := range t.at {
			g[i] = s.flat(v)
		}
		if inOutline(q, g[:]) {
			return true
		}
	}
	return false
}

// hatch adds slanted lines over a face; those of faces that meet go on from one to the other.
func (s *standView) hatch(face sceneFace, f fit) {
	st := &Stroke{Width: 0.1, Grey: 0.35}
	at := func(p Pt) vec { // the point of the face's plane that is seen there
		q := f.back(p)
		base := s.right.mul(q.X).add(s.up.mul(q.Y))
		return base.add(s.eye.mul(face.normal.dot(face.loops[0][0].sub(base)) / face.normal.dot(s.eye)))
	}
	var pts []Pt
	for _, v := range face.loops[0] {
		pts = append(pts, f.at(s.flat(v)))
	}
	hatched(pts, 2.2*math.Sqrt2, f.x0+f.y0, func(a, b Pt) { s.lines = append(s.lines, sceneLine{at(a), at(b), st, nil, false}) })
}

// fromBack puts the pieces in an order in which each may be painted over those before it: a tree of the planes in which they lie
// (Fuchs, Kedem and Naylor, "On visible surface generation by a priori tree structures", 1980; from memory), with pieces cut where
// they cross a plane.
func (s *standView) fromBack() []sceneTri {
	var out []sceneTri
	var sorted func(all []sceneTri)
	sorted = func(all []sceneTri) {
		if len(all) == 0 {
			return
		}
		n, at := all[0].normal, all[0].at[0]
		var behind, same, before []sceneTri
		for _, t := range all {
			b, f, flat := cutBy(t, n, at)
			if flat {
				same = append(same, t)
				continue
			}
			if b != nil {
				behind = append(behind, *b)
			}
			if f != nil {
				before = append(before, *f)
			}
		}
		sorted(behind) // every piece looks at the eye: what is behind its plane is farther away
		out = append(out, same...)
		sorted(before)
	}
	sorted(s.tris)
	return out
}

// cutBy parts a convex piece at a plane.
func cutBy(t sceneTri, n, at vec) (behind, before *sceneTri, flat bool) {
	const near = 1e-7
	var b, f []vec
	lo, hi := 0.0, 0.0
	k := len(t.at)
	for i, p := range t.at {
		q := t.at[(i+1)%k]
		dp, dq := n.dot(p.sub(at)), n.dot(q.sub(at))
		lo, hi = math.Min(lo, dp), math.Max(hi, dp)
		if dp <= near {
			b = append(b, p)
		}
		if dp >= -near {
			f = append(f, p)
		}
		if dp < -near && dq > near || dp > near && dq < -near {
			m := p.add(q.sub(p).mul(dp / (dp - dq)))
			b, f = append(b, m), append(f, m)
		}
	}
	switch {
	case lo >= -near && hi <= near:
		return nil, nil, true
	case hi <= near:
		return &t, nil, false
	case lo >= -near:
		return nil, &t, false
	}
	x, y := t, t
	x.at, y.at = b, f
	return &x, &y, false
}

// inOutline reports whether p lies in a simple outline (crossings of a ray).
func inOutline(p plane.Point, g []plane.Point) bool {
	in := false
	for i, a := range g {
		b := g[(i+1)%len(g)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// crossing is where on a-b, as a share of its length, the line c-d crosses it.
func crossing(a, b, c, d plane.Point) (float64, bool) {
	rx, ry, sx, sy := b.X-a.X, b.Y-a.Y, d.X-c.X, d.Y-c.Y
	den := rx*sy - ry*sx
	if math.Abs(den) < 1e-12 {
		return 0, false
	}
	t := ((c.X-a.X)*sy - (c.Y-a.Y)*sx) / den
	u := ((c.X-a.X)*ry - (c.Y-a.Y)*rx) / den
	return t, t > 0 && t < 1 && u >= -1e-9 && u <= 1+1e-9
}
