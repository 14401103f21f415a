package plane

// Point is a point or a vector of the plane, in metres unless the caller says otherwise.
type Point struct{ X, Y float64 }

// Polygon is a closed polygon, its last corner joined to its first, without a repeated corner.
// Functions that need an orientation take counter-clockwise polygons (positive Area).
type Polygon []Point

// Rect is an axis-parallel rectangle; Min is the lower left corner.
type Rect struct{ Min, Max Point }

// Slack is how far, relative to the diagonal of a figure, a point may lie off a line and still count as on it. Corners
// are found by meeting two lines, which costs up to about 1e-12 of the figure for lines that meet under half a degree;
// a thousand times that is still a millionth of a millimetre for a figure of one metre.
const Slack = 1e-9

// probe is how far, relative to the diagonal of the figure, the two sides of a line are looked at to decide whether the
// line is an outline. It is a hundred times Slack so that a side is never decided by rounding, and it is the width of
// the thinnest sliver that is kept: a ten-thousandth of a millimetre for a figure of one metre.
const probe = 1e-7

// Width returns the extent of the rectangle along x.
func (r Rect) Width() float64 { return r.Max.X - r.Min.X }

// Height returns the extent of the rectangle along y.
func (r Rect) Height() float64 { return r.Max.Y - r.Min.Y }

// Area returns the area of the rectangle; an empty rectangle has none.
func (r Rect) Area() float64 {
	if r.Width() <= 0 || r.Height() <= 0 {
		return 0
	}
	return r.Width() * r.Height()
}

// Polygon returns the four corners of the rectangle, counter-clockwise from Min.
func (r Rect) Polygon() Polygon {
	return Polygon{r.Min, {r.Max.X, r.Min.Y}, r.Max, {r.Min.X, r.Max.Y}}
}

// Diagonal returns the length of the diagonal of the rectangle.
func (r Rect) Diagonal() float64 { return r.Max.Sub(r.Min).Norm() }
