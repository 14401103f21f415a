package render

import (
	"image"
	"image/color"
	"math"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"

	xfont "golang.org/x/image/font"
)

// plotCanvas lets the plotting library draw on a Canvas. Its own space is points, y up, from the lower left corner of At; it
// keeps transforms and state itself, so nothing of them can leak to the page.
type plotCanvas struct {
	c     Canvas
	at    Rect
	state plotState
	stack []plotState
}

type plotState struct {
	// x' = a x + c y + e, y' = b x + d y + f
	a, b, c, d, e, f float64
	width            vg.Length
	dash             []vg.Length
	grey             float64
	hidden           bool
}

var _ vg.CanvasSizer = (*plotCanvas)(nil)

// newPlotCanvas is a drawing surface for the plotting library over a rectangle of a page.
func newPlotCanvas(c Canvas, at Rect) *plotCanvas {
	return &plotCanvas{c: c, at: at, state: plotState{a: 1, d: 1, width: 1}}
}

func (p *plotCanvas) Size() (x, y vg.Length) {
	return vg.Length(p.at.W / pointMM), vg.Length(p.at.H / pointMM)
}

func (p *plotCanvas) SetLineWidth(w vg.Length) { p.state.width = w }

func (p *plotCanvas) SetLineDash(pattern []vg.Length, _ vg.Length) {
	p.state.dash = append([]vg.Length(nil), pattern...)
}

// SetColor keeps the lightness of a colour over white paper.
func (p *plotCanvas) SetColor(k color.Color) {
	if k == nil {
		k = color.Black
	}
	n := color.NRGBAModel.Convert(k).(color.NRGBA)
	y := (0.299*float64(n.R) + 0.587*float64(n.G) + 0.114*float64(n.B)) / 255
	alpha := float64(n.A) / 255
	p.state.grey, p.state.hidden = y*alpha+1-alpha, n.A == 0
}

// then puts a transform before the current one, as the library expects: later calls act in the space that earlier ones made.
func (s *plotState) then(a, b, c, d, e, f float64) {
	t := *s
	s.a, s.b = t.a*a+t.c*b, t.b*a+t.d*b
	s.c, s.d = t.a*c+t.c*d, t.b*c+t.d*d
	s.e, s.f = t.a*e+t.c*f+t.e, t.b*e+t.d*f+t.f
}

func (p *plotCanvas) Rotate(rad float64) {
	sin, cos := math.Sincos(rad)
	p.state.then(cos, sin, -sin, cos, 0, 0)
}

func (p *plotCanvas) Translate(t vg.Point) { p.state.then(1, 0, 0, 1, float64(t.X), float64(t.Y)) }

func (p *plotCanvas) Scale(x, y float64) { p.state.then(x, 0, 0, y, 0, 0) }

func (p *plotCanvas) Push() { p.stack = append(p.stack, p.state) }

func (p *plotCanvas) Pop() {
	if n := len(p.stack); n > 0 {
		p.state, p.stack = p.stack[n-1], p.stack[:n-1]
	}
}

// place is a point on the page.
func (p *plotCanvas) place(x, y float64) Pt {
	s := &p.state
	return Pt{p.at.X + (s.a*x+s.c*y+s.e)*pointMM, p.at.Bottom() - (s.b*x+s.d*y+s.f)*pointMM}
}

func (p *plotCanvas) Stroke(path vg.Path) {
	if p.state.width <= 0 || p.state.hidden {
		return
	}
	s := Stroke{Width: float64(p.state.width) * pointMM, Grey: p.state.grey}
	for _, d := range p.state.dash {
		s.Dash = append(s.Dash, float64(d)*pointMM)
	}
	for _, sub := range p.flatten(path) {
		if len(sub.pts) > 1 {
			p.c.Path(sub.pts, sub.closed, &s, nil)
		}
	}
}

func (p *plotCanvas) Fill(path vg.Path) {
	if p.state.hidden {
		return
	}
	for _, sub := range p.flatten(path) {
		if len(sub.pts) > 2 {
			p.c.Path(sub.pts, true, nil, &Fill{p.state.grey})
		}
	}
}

// FillString sets a text with the left end of its baseline at pt.
func (p *plotCanvas) FillString(f font.Face, pt vg.Point, s string) {
	if f.Font.Size <= 0 || p.state.hidden {
		return
	}
	p.c.Text(p.place(float64(pt.X), float64(pt.Y)), s, TextStyle{
		Size:  float64(f.Font.Size),
		Bold:  f.Font.Weight >= xfont.WeightBold,
		Angle: math.Atan2(p.state.b, p.state.a) * 180 / math.Pi,
		Grey:  p.state.grey,
		Label: true,
	})
}

// DrawImage does nothing: graphs here are lines.
func (p *plotCanvas) DrawImage(vg.Rectangle, image.Image) {}

type subpath struct {
	pts    []Pt
	closed bool
}

// flatten turns a path into straight lines; arcs, in steps that cannot be seen at the size of a plot mark. No plot has
// other curves.
func (p *plotCanvas) flatten(path vg.Path) []subpath {
	var out []subpath
	var cur subpath
	end := func() {
		if len(cur.pts) > 0 {
			out = append(out, cur)
		}
		cur = subpath{}
	}
	to := func(q vg.Point) {
		cur.pts = append(cur.pts, p.place(float64(q.X), float64(q.Y)))
	}
	for _, k := range path {
		switch k.Type {
		case vg.MoveComp:
			end()
			to(k.Pos)
		case vg.LineComp:
			to(k.Pos)
		case vg.ArcComp:
			steps := max(2, int(math.Ceil(math.Abs(k.Angle)/(math.Pi/18))))
			for i := range steps + 1 {
				sin, cos := math.Sincos(k.Start + k.Angle*float64(i)/float64(steps))
				to(vg.Point{X: k.Pos.X + k.Radius*vg.Length(cos), Y: k.Pos.Y + k.Radius*vg.Length(sin)})
			}
		case vg.CloseComp:
			cur.closed = true
			end()
		}
	}
	end()
	return out
}

// plotText sets a plot's texts with the document's own widths, which do not kern.
type plotText struct{}

var _ text.Handler = plotText{}

func (plotText) Cache() *font.Cache { return font.DefaultCache }

func (plotText) Extents(f font.Font) font.Extents {
	return font.Extents{Ascent: f.Size * textRise, Descent: f.Size * textDrop, Height: f.Size * (textRise + textDrop)}
}

func (plotText) Lines(s string) []string { return strings.Split(strings.TrimRight(s, "\n"), "\n") }

func (plotText) Box(s string, f font.Font) (width, height, depth vg.Length) {
	t := TextStyle{Size: float64(f.Size), Bold: f.Weight >= xfont.WeightBold}
	return vg.Length(textWidth(printable(s, t.face()), t) / pointMM), f.Size * textRise, f.Size * textDrop
}

func (h plotText) Draw(c vg.Canvas, s string, sty text.Style, pt vg.Point) {
	lines := h.Lines(s)
	if s == "" {
		return
	}
	c.SetColor(sty.Color)
	c.Push()
	defer c.Pop()
	c.Rotate(sty.Rotation)
	sin, cos := math.Sincos(sty.Rotation)
	x := float64(pt.X)*cos + float64(pt.Y)*sin
	y := float64(pt.Y)*cos - float64(pt.X)*sin
	// The library's own convention: a bottom-aligned text has its last baseline, not its descenders, at pt.
	h0 := float64(sty.Height(s))
	y += h0*float64(sty.YAlign) + h0 - (textRise+textDrop)*float64(sty.Font.Size)
	for i, l := range lines {
		w, _, _ := h.Box(l, sty.Font)
		c.FillString(font.Face{Font: sty.Font}, vg.Point{
			X: vg.Length(x + float64(sty.XAlign)*float64(w)),
			Y: vg.Length(y) - vg.Length(i)*sty.Font.Size,
		}, l)
	}
}
