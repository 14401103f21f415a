package solid

import (
	"errors"
	"math"
	"slices"

	"cubby/internal/plane"
)

// errTouch says that two outlines run along each other, so that it is not defined which side is kept.
var errTouch = errors.New("two outlines touch")

// figure is a plane figure of several outlines: outer ones counter-clockwise, holes clockwise.
type figure [][]plane.Point

// contains reports whether p is inside; undefined on the outline.
func (f figure) contains(p plane.Point) bool {
	in := false
	for _, loop := range f {
		for k, a := range loop {
			b := loop[(k+1)%len(loop)]
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
				in = !in
			}
		}
	}
	return in
}

type segment struct{ a, b plane.Point }

// combine gives f without the convex counter-clockwise figure q, or (keep) what they share. It is built of the pieces of both
// outlines: those of f outside q (keep: inside) and those of q inside f, turned round where q is taken away.
func (f figure) combine(q plane.Polygon, keep bool) (figure, error) {
	around := figure{q}
	var pieces []segment
	for _, loop := range f {
		for k, a := range loop {
			for _, s := range around.split(segment{a, loop[(k+1)%len(loop)]}) {
				in, err := insideConvex(mid(s), q)
				if err != nil {
					return nil, err
				}
				if in == keep {
					pieces = append(pieces, s)
				}
			}
		}
	}
	for k, a := range q {
		for _, s := range f.split(segment{a, q[(k+1)%len(q)]}) {
			if !f.contains(mid(s)) {
				continue
			}
			if !keep {
				s.a, s.b = s.b, s.a
			}
			pieces = append(pieces, s)
		}
	}
	return link(pieces)
}

func mid(s segment) plane.Point { return s.a.Add(s.b).Mul(0.5) }

// insideConvex reports whether p is inside the convex figure; on its outline that is an error.
func insideConvex(p plane.Point, q plane.Polygon) (bool, error) {
	least := math.Inf(1)
	for k := range q {
		a, b := q.Edge(k)
		least = math.Min(least, b.Sub(a).Unit().Cross(p.Sub(a)))
	}
	if math.Abs(least) < Near {
		return false, errTouch
	}
	return least > 0, nil
}

// split cuts a piece where the outlines of f cross it.
func (f figure) split(s segment) []segment {
	var cuts []float64
	for _, loop := range f {
		for k, a := range loop {
			if t, ok := crossing(s, segment{a, loop[(k+1)%len(loop)]}); ok {
				cuts = append(cuts, t)
			}
		}
	}
	slices.Sort(cuts)
	var out []segment
	a, last := s.a, 0.0
	length := s.b.Sub(s.a).Norm()
	for _, t := range cuts {
		if (t-last)*length < Near || (1-t)*length < Near {
			continue
		}
		b := s.a.Add(s.b.Sub(s.a).Mul(t))
		out = append(out, segment{a, b})
		a, last = b, t
	}
	return append(out, segment{a, s.b})
}

// crossing gives the share of s at which r crosses it.
func crossing(s, r segment) (t float64, ok bool) {
	d, e := s.b.Sub(s.a), r.b.Sub(r.a)
	det := d.Cross(e)
	if math.Abs(det) <= flat*flat*d.Norm()*e.Norm() {
		return 0, false
	}
	g := r.a.Sub(s.a)
	t, u := g.Cross(e)/det, g.Cross(d)/det
	return t, t > 0 && t < 1 && u >= 0 && u <= 1
}

// link joins pieces end to start into outlines, and drops corners on a straight line.
func link(pieces []segment) (figure, error) {
	var out figure
	used := make([]bool, len(pieces))
	for first := range pieces {
		if used[first] {
			continue
		}
		used[first] = true
		loop := []plane.Point{pieces[first].a}
		for end := pieces[first].b; !near(end, loop[0]); {
			next := -1
			for k, s := range pieces {
				if used[k] || !near(s.a, end) {
					continue
				}
				if next >= 0 {
					return nil, errTouch
				}
				next = k
			}
			if next < 0 {
				return nil, ErrNotClosed
			}
			used[next] = true
			loop = append(loop, pieces[next].a)
			end = pieces[next].b
		}
		if len(loop) >= 3 {
			out = append(out, loop)
		}
	}
	return out, nil
}

func near(a, b plane.Point) bool { return a.Sub(b).Norm() < 2*Near }

// areas gives the signed area of each outline.
func area(loop []plane.Point) float64 { return plane.Polygon(loop).Area() }

// parts sorts outlines into figures of one outer outline each, holes with the outer outline that they lie in.
func (f figure) parts() []figure {
	var out []figure
	for _, loop := range f {
		if area(loop) > 0 {
			out = append(out, figure{loop})
		}
	}
	for _, loop := range f {
		if area(loop) > 0 {
			continue
		}
		for i := range out {
			if out[i][:1].contains(loop[0]) {
				out[i] = append(out[i], loop)
				break
			}
		}
	}
	return out
}
