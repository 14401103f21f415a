package render

import (
	"bytes"
	"math"
	"slices"

	"github.com/jung-kurt/gofpdf"
)

// fontFamily is the name under which the document knows its type family.
const fontFamily = "sans"

// thinnest is the thinnest line that is written, mm. The document's lengths have two decimals of a point; a thinner one would
// round towards zero, which means "as thin as the device can", not "thin".
const thinnest = 0.05

// pageCanvas draws a recorded page on the current page of a document. It sets every state that it depends on.
type pageCanvas struct {
	f          *gofpdf.Fpdf
	stroke     Stroke
	strokeSet  bool
	fill       float64
	fillSet    bool
	textGrey   float64
	textSet    bool
	style      TextStyle
	styleKnown bool
}

func (c *pageCanvas) replay(ops []op) {
	for _, o := range ops {
		switch o.kind {
		case opPath:
			c.path(o)
		case opCurve:
			c.curve(o)
		case opCircle:
			c.circle(o)
		case opText:
			c.text(o)
		case opClip:
			c.f.ClipRect(o.clip.X, o.clip.Y, o.clip.W, o.clip.H, false)
		case opUnclip:
			c.f.ClipEnd()
			*c = pageCanvas{f: c.f} // a restore has changed the document's state behind the library's back
		}
	}
}

func (c *pageCanvas) path(o op) {
	if !c.prepare(o) {
		return
	}
	c.f.MoveTo(o.pts[0].X, o.pts[0].Y)
	for _, p := range o.pts[1:] {
		c.f.LineTo(p.X, p.Y)
	}
	if o.closed {
		c.f.ClosePath()
	}
	c.f.DrawPath(paint(o))
}

// curve draws straight lines, and arcs as Bézier pieces of 45 degrees at most.
func (c *pageCanvas) curve(o op) {
	if !c.prepare(o) {
		return
	}
	c.f.MoveTo(o.pts[0].X, o.pts[0].Y)
	for i := range o.pieces() {
		a := o.arc(i)
		if a.sweep == 0 {
			c.f.LineTo(a.to.X, a.to.Y)
			continue
		}
		n := int(math.Ceil(math.Abs(a.sweep)/(math.Pi/4) - 1e-9))
		step := a.sweep / float64(n)
		arm := a.r * 4 / 3 * math.Tan(step/4)
		for k := range n {
			s0, c0 := math.Sincos(a.start + float64(k)*step)
			s1, c1 := math.Sincos(a.start + float64(k+1)*step)
			end := Pt{a.centre.X + a.r*c1, a.centre.Y + a.r*s1}
			if k == n-1 {
				end = c.written(a.to)
			}
			c.f.CurveBezierCubicTo(
				a.centre.X+a.r*c0-arm*s0, a.centre.Y+a.r*s0+arm*c0,
				a.centre.X+a.r*c1+arm*s1, a.centre.Y+a.r*s1-arm*c1,
				end.X, end.Y)
		}
	}
	if o.closed {
		c.f.ClosePath()
	}
	c.f.DrawPath(paint(o))
}

// written is a point as the library writes the ends of straight lines: in points with two decimals, where it writes curves with
// five. A closed outline whose ends lie apart by that much has a spike there.
func (c *pageCanvas) written(p Pt) Pt {
	_, h := c.f.GetPageSize()
	round := func(mm float64) float64 { return math.Round(mm/pointMM*100) / 100 * pointMM }
	return Pt{round(p.X), h - round(h-p.Y)}
}

// circle draws two half circles, whose Bézier pieces stay within 4 parts in a million of the radius.
func (c *pageCanvas) circle(o op) {
	at, r := o.pts[0], o.radius
	o.pts, o.bulges, o.closed = []Pt{{at.X + r, at.Y}, {at.X - r, at.Y}}, []float64{-1, -1}, true
	c.curve(o)
}

func paint(o op) string {
	switch {
	case o.stroke != nil && o.fill != nil:
		return "FD"
	case o.fill != nil:
		return "F"
	}
	return "D"
}

// prepare sets line and fill as the drawn thing wants them; false: it is invisible.
func (c *pageCanvas) prepare(o op) bool {
	if o.stroke == nil && o.fill == nil {
		return false
	}
	if s := o.stroke; s != nil && (!c.strokeSet || s.Width != c.stroke.Width || s.Grey != c.stroke.Grey || !slices.Equal(s.Dash, c.stroke.Dash)) {
		g := grey(s.Grey)
		c.f.SetDrawColor(g, g, g)
		c.f.SetLineWidth(math.Max(s.Width, thinnest))
		c.f.SetDashPattern(dashes(s.Dash), 0)
		c.stroke, c.strokeSet = *s, true
	}
	if f := o.fill; f != nil && (!c.fillSet || f.Grey != c.fill) {
		g := grey(f.Grey)
		c.f.SetFillColor(g, g, g)
		c.fill, c.fillSet = f.Grey, true
	}
	return true
}

// dashes keeps zero-length patterns, which the format forbids, out of the document.
func dashes(d []float64) []float64 {
	sum := 0.0
	for _, v := range d {
		sum += math.Max(v, 0)
	}
	if sum < thinnest {
		return []float64{}
	}
	return d
}

func grey(g float64) int { return int(math.Round(255 * math.Min(math.Max(g, 0), 1))) }

func (c *pageCanvas) text(o op) {
	t := o.style
	if !c.styleKnown || c.style.Size != t.Size || c.style.face() != t.face() {
		c.f.SetFont(fontFamily, t.face().pdfStyle(), t.Size)
		c.style, c.styleKnown = t, true
	}
	if !c.textSet || c.textGrey != t.Grey {
		g := grey(t.Grey)
		c.f.SetTextColor(g, g, g)
		c.textGrey, c.textSet = t.Grey, true
	}
	at := o.pts[0]
	left := -textWidth(o.text, t) * t.Align.share()
	if t.Angle == 0 {
		c.f.Text(at.X+left, at.Y, o.text)
		return
	}
	c.f.TransformBegin()
	c.f.TransformRotate(t.Angle, at.X, at.Y)
	c.f.Text(at.X+left, at.Y, o.text)
	c.f.TransformEnd()
}

// fontsFor registers the faces that the pages use. Every document gets its own copy: the library writes into the slice.
func fontsFor(f *gofpdf.Fpdf, pages []*sheet) {
	var used [faceCount]bool
	for _, p := range pages {
		for _, o := range p.ops {
			if o.kind == opText {
				used[o.style.face()] = true
			}
		}
	}
	for k, u := range used {
		if u || face(k) == regular {
			f.AddUTF8FontFromBytes(fontFamily, face(k).pdfStyle(), bytes.Clone(face(k).data()))
		}
	}
}
