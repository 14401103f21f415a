package render

import (
	"math"
	"slices"
)

// Measures of a dimension line, mm: arrow length and half width, gap between the part and its extension line, and how far
// the extension runs past the dimension line.
const (
	arrowLong  = 2.2
	arrowHalf  = 0.45
	extendGap  = 0.8
	extendPast = 1.0
	dimSize    = sizeLabel
)

// arrow draws a filled arrowhead with its tip at a point, pointing along (ux, uy).
func (d *drawing) arrow(tip Pt, ux, uy float64) {
	bx, by := tip.X-ux*arrowLong, tip.Y-uy*arrowLong
	d.Canvas.Path([]Pt{tip, {bx - uy*arrowHalf, by + ux*arrowHalf}, {bx + uy*arrowHalf, by - ux*arrowHalf}}, true, nil, &Fill{Grey: 0})
}

// readable turns an angle in degrees so that a text along it reads from below or from the right.
func readable(deg float64) float64 {
	for deg > 90+1e-6 {
		deg -= 180
	}
	for deg <= -90+1e-6 {
		deg += 180
	}
	return deg
}

// distance is a dimension to draw: the distance between two points on a line set off by off to the left of a->b as seen on the
// page (y down, so a->b rightwards and off > 0 is above). The text stands above the line, outside when it does not fit between the
// arrows.
type distance struct {
	a, b Pt
	off  float64
	text string
	t    TextStyle
}

// dimensions draws dimensions, the lines of all before the texts of all, so that no line runs through the text of
// another.
func (d *drawing) dimensions(all ...distance) {
	type set struct {
		p, q Pt
		k    distance
	}
	var sets []set
	for _, k := range all {
		l := math.Hypot(k.b.X-k.a.X, k.b.Y-k.a.Y)
		if l < 1e-6 {
			continue
		}
		nx, ny := (k.b.Y-k.a.Y)/l, (k.a.X-k.b.X)/l
		p, q := Pt{k.a.X + nx*k.off, k.a.Y + ny*k.off}, Pt{k.b.X + nx*k.off, k.b.Y + ny*k.off}
		d.extension(k.a, nx, ny, k.off)
		d.extension(k.b, nx, ny, k.off)
		d.arrows(p, q)
		sets = append(sets, set{p, q, k})
	}
	for _, s := range sets {
		d.figure(s.p, s.q, s.k.text, s.k.t)
	}
}

func (d *drawing) extension(from Pt, nx, ny, off float64) {
	s := math.Copysign(1, off)
	if math.Abs(off) < extendGap {
		return
	}
	d.line(Pt{from.X + nx*s*extendGap, from.Y + ny*s*extendGap}, Pt{from.X + nx*(off+s*extendPast), from.Y + ny*(off+s*extendPast)}, hairline)
}

// arrows draws a dimension line from p to q, its arrows outside where they have no room between.
func (d *drawing) arrows(p, q Pt) {
	l := math.Hypot(q.X-p.X, q.Y-p.Y)
	ux, uy := (q.X-p.X)/l, (q.Y-p.Y)/l
	if l >= 2*arrowLong+1 {
		d.line(p, q, thin)
		d.arrow(p, -ux, -uy)
		d.arrow(q, ux, uy)
		return
	}
	d.line(Pt{p.X - ux*2*arrowLong, p.Y - uy*2*arrowLong}, Pt{q.X + ux*2*arrowLong, q.Y + uy*2*arrowLong}, thin)
	d.arrow(p, ux, uy)
	d.arrow(q, -ux, -uy)
}

// figure sets the text of a dimension line from p to q; false: it found no place.
func (d *drawing) figure(p, q Pt, text string, t TextStyle) bool {
	l := math.Hypot(q.X-p.X, q.Y-p.Y)
	ux, uy := (q.X-p.X)/l, (q.Y-p.Y)/l
	for _, less := range []float64{0, 0.75, 1.5} {
		u := t
		u.Size = math.Max(t.Size-less, sizeLeast)
		if own := d.TextWidth(text, u); own <= l-2 && d.write(text, u, dimensionSpots(p, q, ux, uy, own, l, u)[:insideSpots]...) {
			return true
		}
	}
	for _, size := range []float64{t.Size, sizeLeast} {
		t.Size = math.Min(t.Size, size)
		if w := d.TextWidth(text, t); d.write(text, t, dimensionSpots(p, q, ux, uy, w, l, t)...) {
			return true
		}
	}
	if !d.note(Pt{(p.X + q.X) / 2, (p.Y + q.Y) / 2}, text, t, 4) {
		d.lose(text)
		return false
	}
	return true
}

// insideSpots is how many of dimensionSpots lie between the arrows when the text fits there.
const insideSpots = 5

// dimensionSpots are the places of a dimension's text, best first: above the middle, below it, beyond either end, and then
// further off.
func dimensionSpots(p, q Pt, ux, uy, w, l float64, t TextStyle) []spot {
	angle := readable(math.Atan2(-uy, ux) * 180 / math.Pi)
	sin, cos := math.Sincos(angle * math.Pi / 180)
	rx, ry := cos, -sin // reading direction on the page
	upx, upy := -sin, -cos
	lift := descentShare*t.Size*pointMM + 0.5
	drop := ascentShare*t.Size*pointMM + 0.5
	line := (ascentShare+descentShare)*t.Size*pointMM + 0.5
	mid := Pt{(p.X + q.X) / 2, (p.Y + q.Y) / 2}
	place := func(c Pt, along, up float64) spot {
		return spot{At: Pt{c.X + rx*along + upx*up, c.Y + ry*along + upy*up}, Align: AlignCentre, Angle: angle}
	}
	var spots []spot
	if w <= l-2 {
		for _, along := range []float64{0, 0.25 * (l - w), -0.25 * (l - w), 0.48 * (l - w), -0.48 * (l - w)} {
			spots = append(spots, place(mid, along, lift))
		}
	}
	beyond := l/2 + w/2 + 2*arrowLong + 0.8
	half := -(ascentShare - descentShare) * t.Size * pointMM / 2
	spots = append(spots, place(mid, beyond, half), place(mid, -beyond, half))
	if w > l-2 {
		spots = append(spots, place(mid, 0, lift))
	}
	spots = append(spots, place(mid, 0, -drop))
	for k := 1.0; k <= 4; k++ {
		for _, along := range []float64{0, beyond, -beyond, w / 2, -w / 2} {
			spots = append(spots, place(mid, along, lift+k*line), place(mid, along, -drop-k*line))
		}
	}
	return spots
}

// hatch fills a convex or concave outline with lines at 45 degrees, pitch mm apart along the page.
func (d *drawing) hatch(pts []Pt, pitch float64) {
	lo := math.Inf(1)
	for _, p := range pts {
		lo = math.Min(lo, p.X+p.Y)
	}
	hatched(pts, pitch, lo, func(a, b Pt) { line(d.Canvas, a, b, Stroke{Width: hairline}) })
}

// hatched draws the lines x + y = from + pitch/2 and so on by pitch that cross an outline, clipped to it by even-odd crossings.
func hatched(pts []Pt, pitch, from float64, draw func(a, b Pt)) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range pts {
		lo, hi = math.Min(lo, p.X+p.Y), math.Max(hi, p.X+p.Y)
	}
	for c := from + (math.Floor((lo-from)/pitch)+0.5)*pitch; c < hi; c += pitch {
		xs := crossings(pts, c)
		for i := 0; i+1 < len(xs); i += 2 {
			draw(Pt{xs[i], c - xs[i]}, Pt{xs[i+1], c - xs[i+1]})
		}
	}
}

// crossings gives the sorted x at which the line x + y = c crosses an outline.
func crossings(pts []Pt, c float64) []float64 {
	var xs []float64
	for i := range pts {
		a, b := pts[i], pts[(i+1)%len(pts)]
		sa, sb := a.X+a.Y-c, b.X+b.Y-c
		if (sa < 0) == (sb < 0) {
			continue
		}
		xs = append(xs, a.X+(b.X-a.X)*sa/(sa-sb))
	}
	slices.Sort(xs)
	return xs
}
