package render

import "math"

// grid draws a light line at every tick, and the frame.
func (k chart) grid() {
	light := Stroke{Width: 0.3 * pointMM, Grey: 200.0 / 255}
	r := k.frame
	for _, t := range k.xs {
		line(k.c, Pt{k.x(t.value), r.Bottom()}, Pt{k.x(t.value), r.Y}, light)
	}
	for _, t := range k.ys {
		line(k.c, Pt{r.X, k.y(t.value)}, Pt{r.Right(), k.y(t.value)}, light)
	}
	box(k.c, r, axisLine)
}

// runs gives the stretches of points, two at least, that lie on the X axis and can be shown.
func (k chart) runs(x []float64, shown func(int) bool, draw func(from, to int)) {
	from := 0
	for i := range len(x) + 1 {
		if i < len(x) && shown(i) && x[i] > 0 && x[i] >= k.From*(1-1e-9) && x[i] <= k.To*(1+1e-9) {
			continue
		}
		if i-from > 1 {
			draw(from, i)
		}
		from = i + 1
	}
}

// place is where a value lies on the page.
func (k chart) place(x, y float64) Pt { return Pt{k.x(x), k.y(clampFar(y, k.lo, k.hi))} }

// band fills between two curves, cut at the frame.
func (k chart) band(b bandFill) {
	shown := func(i int) bool { return plottable(b.Low[i]) && plottable(b.High[i]) }
	k.runs(b.X, shown, func(from, to int) {
		var ring []Pt
		for i := from; i < to; i++ {
			ring = append(ring, k.place(b.X[i], b.High[i]))
		}
		for i := to - 1; i >= from; i-- {
			ring = append(ring, k.place(b.X[i], b.Low[i]))
		}
		for _, part := range k.inFrame(ring, true) {
			k.c.Path(part, true, nil, &Fill{b.Grey})
		}
	})
}

// curve draws a curve, cut at the frame, with no more points than paper shows.
func (k chart) curve(l curve) {
	stroke := l.Look.stroke()
	k.runs(l.X, func(i int) bool { return plottable(l.Y[i]) }, func(from, to int) {
		var run []Pt
		for i := from; i < to; i++ {
			run = append(run, k.place(l.X[i], l.Y[i]))
		}
		for _, part := range k.inFrame(thinned(run), false) {
			k.c.Path(part, false, &stroke, nil)
		}
	})
}

// inFrame cuts a line, or the outline of an area, at the upper and lower side of the frame.
func (k chart) inFrame(pts []Pt, closed bool) (parts [][]Pt) {
	for _, part := range cutOff(pts, closed, func(p Pt) float64 { return p.Y - k.frame.Y }) {
		parts = append(parts, cutOff(part, closed, func(p Pt) float64 { return k.frame.Bottom() - p.Y })...)
	}
	return parts
}

// cutOff gives what of a line or an outline lies where inside is not negative, mm: pieces of two points at least.
func cutOff(pts []Pt, closed bool, inside func(Pt) float64) (parts [][]Pt) {
	const slack = 1e-8 // mm
	var part []Pt
	end := func() {
		if len(part) > 1 {
			parts = append(parts, part)
		}
		part = nil
	}
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		d, e := inside(p), inside(q)
		if d >= -slack {
			part = append(part, p)
		}
		if (d >= -slack) == (e >= -slack) || i == len(pts)-1 && !closed {
			continue
		}
		t := d / (d - e)
		part = append(part, Pt{p.X + t*(q.X-p.X), p.Y + t*(q.Y-p.Y)})
		if d >= -slack && !closed {
			end()
		}
	}
	end()
	return parts
}

// clampFar keeps values far outside the axis from making coordinates that no reader can handle; a span above or below
// the axis is outside the frame and cut off anyway.
func clampFar(v, lo, hi float64) float64 {
	return math.Max(lo-100*(hi-lo), math.Min(hi+100*(hi-lo), v))
}

// paperStep is the distance below which two points of a curve cannot be told apart in print, mm: a twelfth of a millimetre.
const paperStep = 0.25 * pointMM

// thinned drops points that lie closer than paperStep to the straight line between their kept neighbours (Douglas and
// Peucker, "Algorithms for the reduction of the number of points required to represent a digitized line", 1973).
func thinned(pts []Pt) []Pt {
	keep := make([]bool, len(pts))
	keep[0], keep[len(pts)-1] = true, true
	var split func(a, b int)
	split = func(a, b int) {
		worst, at := 0.0, 0
		for i := a + 1; i < b; i++ {
			if d := offLine(pts[a], pts[b], pts[i]); d > worst {
				worst, at = d, i
			}
		}
		if worst > paperStep/4 {
			keep[at] = true
			split(a, at)
			split(at, b)
		}
	}
	split(0, len(pts)-1)
	var out []Pt
	for i, k := range keep {
		if k {
			out = append(out, pts[i])
		}
	}
	return out
}

// offLine is the distance of p from the straight line through a and b.
func offLine(a, b, p Pt) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	l := math.Hypot(dx, dy)
	if l == 0 {
		return math.Hypot(p.X-a.X, p.Y-a.Y)
	}
	return math.Abs(dx*(p.Y-a.Y)-dy*(p.X-a.X)) / l
}

// limitNames names the limits at their lines, where no curve passes if there is such a place.
func (k chart) limitNames() {
	var taken []Rect
	for _, l := range k.Limits {
		if !k.shows(l.Value) {
			continue
		}
		r := k.placeName(k.c.TextWidth(l.Name, tickType), rise(tickType.Size), k.y(l.Value), taken)
		taken = append(taken, r)
		shade(k.c, r, 1)
		k.c.Text(Pt{r.X + namePad, r.Bottom() - namePad}, l.Name, tickType)
	}
}

// namePad is the white kept round a limit's name, mm.
const namePad = 1.2 * pointMM

// placeName finds a rectangle for a name of width w and height h at the line at: right, left or middle, above or below the line.
func (k chart) placeName(w, h, at float64, taken []Rect) Rect {
	const side, off = pointMM, 0.8 * pointMM // from the frame's side and from the line
	w, h = w+2*namePad, h+2*namePad
	best, least := Rect{k.frame.Right() - w - side, k.frame.Y, w, h}, -1 // for a line on the frame with no room on either side
	for _, x := range []float64{k.frame.Right() - w - side, k.frame.X + side, k.frame.Centre().X - w/2} {
		for _, y := range []float64{at - off - h, at + off} {
			r := Rect{x, y, w, h}
			if r.Y < k.frame.Y || r.Bottom() > k.frame.Bottom() {
				continue
			}
			if n := k.trouble(r, taken); least < 0 || n < least {
				best, least = r, n
			}
		}
	}
	return best
}

// trouble counts what a name in r would cover: other names above all, other limits' lines, points of curves.
func (k chart) trouble(r Rect, taken []Rect) int {
	const aName, aLine = 10000, 100
	n := 0
	for _, t := range taken {
		if rectsMeet(r, t) {
			n += aName
		}
	}
	for _, l := range k.Limits {
		if v := k.y(l.Value); v > r.Y && v < r.Bottom() {
			n += aLine
		}
	}
	for _, l := range k.Lines {
		for i, v := range l.Y {
			if f := l.X[i]; plottable(v) && f > 0 && finite(f) {
				if q := (Pt{k.x(f), k.y(v)}); q.X > r.X && q.X < r.Right() && q.Y > r.Y && q.Y < r.Bottom() {
					n++
				}
			}
		}
	}
	return n
}
