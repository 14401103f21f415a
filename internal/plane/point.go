package plane

import "math"

// Add returns the sum of two vectors.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns the vector from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Mul returns the vector k times as long.
func (p Point) Mul(k float64) Point { return Point{k * p.X, k * p.Y} }

// Dot returns the scalar product.
func (p Point) Dot(q Point) float64 { return p.X*q.X + p.Y*q.Y }

// Cross returns the area of the parallelogram of p and q, positive when q lies to the left of p.
func (p Point) Cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

// Norm returns the length of the vector.
func (p Point) Norm() float64 { return math.Sqrt(p.Dot(p)) }

// Unit returns the vector of length one with the direction of p, and zero for the zero vector.
func (p Point) Unit() Point {
	n := p.Norm()
	if n == 0 {
		return Point{}
	}
	return Point{p.X / n, p.Y / n}
}

// Left returns the vector turned by +90 degrees.
func (p Point) Left() Point { return Point{0 - p.Y, p.X} }

// Rotate returns the vector turned counter-clockwise by rad radians.
func (p Point) Rotate(rad float64) Point {
	s, c := math.Sincos(rad)
	return Point{c*p.X - s*p.Y, s*p.X + c*p.Y}
}

// IsFinite reports whether neither coordinate is infinite or not a number.
func (p Point) IsFinite() bool {
	s := p.X - p.X + p.Y - p.Y
	return s == 0
}

// Line is the set of points p with N.p = C; N is a unit normal.
type Line struct {
	N Point
	C float64
}

// LineThrough returns the line from p to q; its normal points to the left of that direction. The normal is zero when p
// and q are the same point.
func LineThrough(p, q Point) Line {
	n := q.Sub(p).Unit().Left()
	return Line{n, n.Dot(p)}
}

// Offset returns the parallel line that lies d along the normal.
func (l Line) Offset(d float64) Line { return Line{l.N, l.C + d} }

// Distance returns how far p lies on the side to which the normal points; negative on the other side.
func (l Line) Distance(p Point) float64 { return l.N.Dot(p) - l.C }

// parallelSine is the sine of the angle under which two lines are taken to be parallel. Cleaned outlines turn by half a
// degree or more (a sine of 9e-3); below 1e-12 the point of meeting is nothing but rounding.
const parallelSine = 1e-12

// Meet returns the point where two lines meet; ok is false when they are parallel.
func (l Line) Meet(m Line) (p Point, ok bool) {
	det := l.N.Cross(m.N)
	if math.Abs(det) < parallelSine {
		return Point{}, false
	}
	return Point{
		(l.C*m.N.Y-m.C*l.N.Y)/det + 0,
		(m.C*l.N.X-l.C*m.N.X)/det + 0,
	}, true
}

// footOn returns the point of the segment ab nearest to p.
func footOn(a, b, p Point) Point {
	d := b.Sub(a)
	n := d.Dot(d)
	if n == 0 {
		return a
	}
	return a.Add(d.Mul(max(0, min(1, p.Sub(a).Dot(d)/n))))
}
