package render

// Pt is a place on a page: millimetres from the upper left corner, y down.
type Pt struct{ X, Y float64 }

// Rect is an upright rectangle on a page, from its upper left corner; millimetres.
type Rect struct{ X, Y, W, H float64 }

// Right is the X of the right side.
func (r Rect) Right() float64 { return r.X + r.W }

// Bottom is the Y of the lower side.
func (r Rect) Bottom() float64 { return r.Y + r.H }

// Centre is the middle of the rectangle.
func (r Rect) Centre() Pt { return Pt{r.X + r.W/2, r.Y + r.H/2} }

// Shrink is the rectangle with d taken off on all four sides.
func (r Rect) Shrink(d float64) Rect { return Rect{r.X + d, r.Y + d, r.W - 2*d, r.H - 2*d} }

// Columns cuts the rectangle into n columns of equal width with gap between them.
func (r Rect) Columns(n int, gap float64) []Rect {
	w := (r.W - float64(n-1)*gap) / float64(n)
	out := make([]Rect, n)
	for i := range out {
		out[i] = Rect{r.X + float64(i)*(w+gap), r.Y, w, r.H}
	}
	return out
}

// Corners gives the four corners, clockwise on the page from the upper left.
func (r Rect) Corners() []Pt {
	return []Pt{{r.X, r.Y}, {r.Right(), r.Y}, {r.Right(), r.Bottom()}, {r.X, r.Bottom()}}
}

// Stroke is how a line is drawn: width in mm, dash lengths in mm (on, off, ...; nil is solid), grey 0 (black) to 1 (white).
type Stroke struct {
	Width float64
	Dash  []float64
	Grey  float64
}

// Fill fills a shape with a grey of 0 (black) to 1 (white).
type Fill struct{ Grey float64 }

// Align is where the anchor of a text lies.
type Align int

// The places of a text's anchor.
const (
	AlignLeft Align = iota
	AlignCentre
	AlignRight
)

// share is how much of a text's width lies left of its anchor.
func (a Align) share() float64 { return float64(a) / 2 }

// TextStyle is how a text is set: size in points, angle in degrees counter-clockwise about the anchor (on the baseline).
type TextStyle struct {
	Size  float64
	Bold  bool
	Angle float64
	Align Align
	Grey  float64
	Label bool // stands in a drawing: it may be smaller than running text
}

// Node is a corner of a curve and how the piece to the next corner bends: the tangent of a quarter of the arc's angle, +
// counter-clockwise as seen on the page, 0 straight.
type Node struct {
	Pt
	Bulge float64
}

// Canvas is what every drawing is drawn on. A [Recorder] keeps what is drawn; a page of the PDF and [SVG] are made from that.
type Canvas interface {
	// Path draws straight lines through pts, back to the first one if closed; a nil stroke or fill leaves that out.
	Path(pts []Pt, closed bool, s *Stroke, f *Fill)
	// Curve draws straight lines and arcs of circles through nodes, back to the first one if closed.
	Curve(nodes []Node, closed bool, s *Stroke, f *Fill)
	// Circle draws a full circle of radius r in mm.
	Circle(c Pt, r float64, s *Stroke, f *Fill)
	// Text sets one line of text.
	Text(at Pt, s string, t TextStyle)
	// TextWidth is the width of s as Text sets it, in mm.
	TextWidth(s string, t TextStyle) float64
	// Clip shows only what lies inside r of all that draw draws. Clips may be nested.
	Clip(r Rect, draw func())
}

// line draws one straight line.
func line(c Canvas, a, b Pt, s Stroke) { c.Path([]Pt{a, b}, false, &s, nil) }

// box draws the outline of a rectangle.
func box(c Canvas, r Rect, s Stroke) { c.Path(r.Corners(), true, &s, nil) }

// shade fills a rectangle without an outline.
func shade(c Canvas, r Rect, grey float64) { c.Path(r.Corners(), true, nil, &Fill{grey}) }
