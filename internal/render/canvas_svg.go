package render

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"
)

// arcPiece is one piece of a curve on the page: y down, angles clockwise from the right as the page's axes run; sweep 0 is straight.
type arcPiece struct {
	to, centre      Pt
	r, start, sweep float64
}

// pieces is how many pieces a curve has.
func (o op) pieces() int {
	if o.closed {
		return len(o.pts)
	}
	return len(o.pts) - 1
}

// arc is piece i of a curve.
func (o op) arc(i int) arcPiece {
	a, b := o.pts[i], o.pts[(i+1)%len(o.pts)]
	bulge := o.bulges[i]
	p := arcPiece{to: b}
	if bulge == 0 || a == b {
		return p
	}
	h := (1 - bulge*bulge) / (4 * bulge) // from the chord's middle to the centre, in chords, to the left as seen on the page
	dx, dy := b.X-a.X, b.Y-a.Y
	p.centre = Pt{(a.X+b.X)/2 + dy*h, (a.Y+b.Y)/2 - dx*h}
	p.r = math.Hypot(a.X-p.centre.X, a.Y-p.centre.Y)
	p.start = math.Atan2(a.Y-p.centre.Y, a.X-p.centre.X)
	p.sweep = -4 * math.Atan(bulge)
	return p
}

// svgFonts are what texts are set in, the first that the reader has.
const svgFonts = "Liberation Sans, Arial, Helvetica, sans-serif"

// SVG writes what was recorded as one SVG picture of true size: width x height millimetres (W3C, Scalable Vector Graphics 1.1,
// 2011). Texts are set as texts. The same drawing gives the same bytes.
func SVG(w io.Writer, width, height float64, title string, c *Recorder) error {
	if len(c.bad) > 0 {
		return fmt.Errorf("%s", c.bad[0])
	}
	s := &svgWriter{b: bufio.NewWriter(w), ids: map[string]bool{}}
	fmt.Fprintf(s.b, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" "+
		"width=\"%smm\" height=\"%smm\" viewBox=\"0 0 %s %s\">\n<title>%s</title>\n",
		svgNumber(width), svgNumber(height), svgNumber(width), svgNumber(height), xmlText(title))
	for _, o := range c.ops {
		s.op(o)
	}
	s.b.WriteString("</svg>\n")
	return s.b.Flush()
}

type svgWriter struct {
	b     *bufio.Writer
	ids   map[string]bool
	clips int
}

// svgNumber is a length or angle to a tenth of a micrometre.
func svgNumber(v float64) string { return decimal(v, 4) }

func (s *svgWriter) op(o op) {
	switch o.kind {
	case opPath:
		s.path(o, func(int) string { return "L" })
	case opCurve:
		s.path(o, func(i int) string { return s.piece(o.arc(i)) })
	case opCircle:
		fmt.Fprintf(s.b, "<circle cx=\"%s\" cy=\"%s\" r=\"%s\"%s/>\n", svgNumber(o.pts[0].X), svgNumber(o.pts[0].Y), svgNumber(o.radius), svgPaint(o))
	case opText:
		s.text(o)
	case opClip:
		s.clips++
		fmt.Fprintf(s.b, "<clipPath id=\"clip-%d\"><rect x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/></clipPath>\n<g clip-path=\"url(#clip-%d)\">\n",
			s.clips, svgNumber(o.clip.X), svgNumber(o.clip.Y), svgNumber(o.clip.W), svgNumber(o.clip.H), s.clips)
	case opGroup:
		id, title, _ := strings.Cut(o.text, "\n")
		fmt.Fprintf(s.b, "<g id=\"%s\"><title>%s</title>\n", s.id(id), xmlText(title))
	case opUnclip, opUngroup:
		s.b.WriteString("</g>\n")
	}
}

// id makes an id that XML takes and that no other group has.
func (s *svgWriter) id(want string) string {
	base := fileMark(want)
	if base == "" || base[0] >= '0' && base[0] <= '9' {
		base = "g-" + base
	}
	id := base
	for n := 2; s.ids[id]; n++ {
		id = fmt.Sprintf("%s-%d", base, n)
	}
	s.ids[id] = true
	return id
}

// piece is an arc up to its end point; a straight piece is a line. Arcs of half a circle and more are cut in two.
func (s *svgWriter) piece(a arcPiece) string {
	if a.sweep == 0 {
		return "L"
	}
	flag := 0
	if a.sweep > 0 {
		flag = 1
	}
	half := ""
	if math.Abs(a.sweep) > math.Pi-1e-9 {
		sin, cos := math.Sincos(a.start + a.sweep/2)
		half = fmt.Sprintf("A%[1]s %[1]s 0 0 %[2]d %[3]s %[4]s", svgNumber(a.r), flag, svgNumber(a.centre.X+a.r*cos), svgNumber(a.centre.Y+a.r*sin))
	}
	return half + fmt.Sprintf("A%[1]s %[1]s 0 0 %[2]d ", svgNumber(a.r), flag)
}

func (s *svgWriter) path(o op, to func(i int) string) {
	if o.stroke == nil && o.fill == nil {
		return
	}
	fmt.Fprintf(s.b, "<path d=\"M%s %s", svgNumber(o.pts[0].X), svgNumber(o.pts[0].Y))
	last := len(o.pts) - 1
	for i := range last {
		fmt.Fprintf(s.b, "%s%s %s", to(i), svgNumber(o.pts[i+1].X), svgNumber(o.pts[i+1].Y))
	}
	if o.closed {
		if o.kind == opCurve && o.bulges[last] != 0 {
			fmt.Fprintf(s.b, "%s%s %s", to(last), svgNumber(o.pts[0].X), svgNumber(o.pts[0].Y))
		}
		s.b.WriteString("Z")
	}
	fmt.Fprintf(s.b, "\"%s/>\n", svgPaint(o))
}

func svgPaint(o op) string {
	var b strings.Builder
	b.WriteString(` fill="none"`)
	if o.fill != nil {
		b.Reset()
		fmt.Fprintf(&b, ` fill="%s"`, svgGrey(o.fill.Grey))
	}
	if o.stroke != nil {
		fmt.Fprintf(&b, ` stroke="%s" stroke-width="%s"`, svgGrey(o.stroke.Grey), svgNumber(math.Max(o.stroke.Width, thinnest)))
		if d := dashes(o.stroke.Dash); len(d) > 0 {
			var t []string
			for _, v := range d {
				t = append(t, svgNumber(v))
			}
			fmt.Fprintf(&b, ` stroke-dasharray="%s"`, strings.Join(t, " "))
		}
	}
	return b.String()
}

func svgGrey(g float64) string {
	v := grey(g)
	return fmt.Sprintf("#%02x%02x%02x", v, v, v)
}

func (s *svgWriter) text(o op) {
	t, at := o.style, o.pts[0]
	fmt.Fprintf(s.b, "<text x=\"%s\" y=\"%s\" font-family=\"%s\" font-size=\"%s\"", svgNumber(at.X), svgNumber(at.Y), svgFonts, svgNumber(t.Size*pointMM))
	if t.Bold {
		s.b.WriteString(` font-weight="bold"`)
	}
	switch t.Align {
	case AlignCentre:
		s.b.WriteString(` text-anchor="middle"`)
	case AlignRight:
		s.b.WriteString(` text-anchor="end"`)
	}
	if t.Grey > 0 {
		fmt.Fprintf(s.b, ` fill="%s"`, svgGrey(t.Grey))
	}
	if t.Angle != 0 {
		fmt.Fprintf(s.b, " transform=\"rotate(%s %s %s)\"", svgNumber(-t.Angle), svgNumber(at.X), svgNumber(at.Y))
	}
	fmt.Fprintf(s.b, ">%s</text>\n", xmlText(o.text))
}
