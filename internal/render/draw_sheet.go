package render

import "math"

// Ascent and descent of Liberation Sans capitals, figures and brackets as shares of the type size, a little generous so that
// boxes that do not touch mean ink that does not touch.
const (
	ascentShare  = 0.76
	descentShare = 0.22
)

// Line widths of the drawings, mm: the two widths of a technical drawing at a ratio of about two, and a hairline for hatching.
const (
	thick    = 0.5
	medium   = 0.35
	thin     = 0.18
	hairline = 0.1
)

// holds reports whether a box lies inside a rectangle.
func holds(r Rect, q quad) bool { return within(extent(q[:]), r) }

// quad is the box round a text, turned with it.
type quad [4]Pt

// overlaps reports whether two convex quadrilaterals enter each other by more than slack, mm (separating axes).
func (q quad) overlaps(r quad, slack float64) bool {
	for _, pair := range [2][2]quad{{q, r}, {r, q}} {
		for i := range pair[0] {
			a, b := pair[0][i], pair[0][(i+1)%4]
			l := math.Hypot(b.X-a.X, b.Y-a.Y)
			if l < 1e-9 {
				continue
			}
			nx, ny := (b.Y-a.Y)/l, (a.X-b.X)/l
			lo1, hi1 := pair[0].shadow(nx, ny)
			lo2, hi2 := pair[1].shadow(nx, ny)
			if hi1 <= lo2+slack || hi2 <= lo1+slack {
				return false
			}
		}
	}
	return true
}

func (q quad) shadow(nx, ny float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range q {
		s := p.X*nx + p.Y*ny
		lo, hi = math.Min(lo, s), math.Max(hi, s)
	}
	return lo, hi
}

// textQuad is the box of a text drawn at an anchor on its baseline, widened all round by gap.
func textQuad(c Canvas, at Pt, s string, t TextStyle, gap float64) quad {
	w := c.TextWidth(s, t)
	left := -w * t.Align.share()
	up, down := ascentShare*t.Size*pointMM+gap, descentShare*t.Size*pointMM+gap
	return turnedBox(at, left-gap, left+w+gap, up, down, t.Angle)
}

// turnedBox is a box about an anchor: from x0 to x1 along the baseline, up above it and down below, turned by deg
// counter-clockwise about the anchor.
func turnedBox(at Pt, x0, x1, up, down, deg float64) quad {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	corner := func(x, y float64) Pt { return Pt{at.X + x*cos + y*sin, at.Y - x*sin + y*cos} }
	return quad{corner(x0, down), corner(x1, down), corner(x1, -up), corner(x0, -up)}
}

// segmentQuad is a line of width w as a box.
func segmentQuad(a, b Pt, w float64) quad {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l < 1e-9 {
		return quad{{a.X - w/2, a.Y - w/2}, {a.X + w/2, a.Y - w/2}, {a.X + w/2, a.Y + w/2}, {a.X - w/2, a.Y + w/2}}
	}
	nx, ny := -(b.Y-a.Y)/l*w/2, (b.X-a.X)/l*w/2
	return quad{{a.X + nx, a.Y + ny}, {b.X + nx, b.Y + ny}, {b.X - nx, b.Y - ny}, {a.X - nx, a.Y - ny}}
}

// drawing is a canvas that remembers where its texts and its lines lie, so that later texts keep off them.
type drawing struct {
	Canvas
	area  Rect    // no text leaves it
	texts []taken // boxes of the texts so far: never to be covered
	ink   []taken // lines that texts keep off while there is another place

	knockOut bool // texts stand on white patches
}

// taken is a place on the paper that is in use, with the upright rectangle round it for a quick answer.
type taken struct {
	q quad
	r Rect
}

func take(q quad) taken { return taken{q, extent(q[:])} }

// touching is the rounding by which two places that touch may overlap, mm.
const touching = 1e-6

// meets reports whether one of the places overlaps a box.
func meets(places []taken, q quad) bool {
	r := extent(q[:])
	for _, o := range places {
		if rectsMeet(o.r, r) && q.overlaps(o.q, touching) {
			return true
		}
	}
	return false
}

// onPaper starts a drawing on a part of a page.
func onPaper(c Canvas, area Rect) *drawing { return &drawing{Canvas: c, area: area} }

// textGap is the least clear distance between two texts, mm.
const textGap = 0.35

// clear reports whether a text may stand here: inside the area and off all other texts; with strict, off the lines as well.
func (d *drawing) clear(at Pt, s string, t TextStyle, strict bool) bool {
	q := textQuad(d.Canvas, at, s, t, textGap)
	if !holds(d.area, textQuad(d.Canvas, at, s, t, 0)) {
		return false
	}
	return !meets(d.texts, q) && !(strict && meets(d.ink, q))
}

// spot is one place that a text may take.
type spot struct {
	At    Pt
	Align Align
	Angle float64
}

// write sets a text at the first spot that is clear of texts and lines, else at the first that is clear of texts, on a white patch.
// It reports false, and draws nothing, when there is none.
func (d *drawing) write(s string, t TextStyle, spots ...spot) bool {
	if d.writeClear(s, t, spots...) {
		return true
	}
	for _, sp := range spots {
		u := t
		u.Align, u.Angle = sp.Align, sp.Angle
		if d.clear(sp.At, s, u, false) {
			d.patched(sp.At, s, u)
			return true
		}
	}
	return false
}

// patched sets a text on a white patch, which breaks the lines behind it.
func (d *drawing) patched(at Pt, s string, t TextStyle) {
	was := d.knockOut
	d.knockOut = true
	d.text(at, s, t)
	d.knockOut = was
}

// text sets a text without asking and remembers it.
func (d *drawing) text(at Pt, s string, t TextStyle) {
	if s == "" {
		return
	}
	q := textQuad(d.Canvas, at, s, t, 0)
	if d.knockOut {
		patch := textQuad(d.Canvas, at, s, t, 0.5)
		d.Canvas.Path(patch[:], true, nil, &Fill{Grey: 1})
	}
	t.Label = true
	d.Canvas.Text(at, s, t)
	d.texts = append(d.texts, take(q))
}

// lose remembers a label that found no place: a drawing may not hide one, and tests ask for it.
func (d *drawing) lose(label string) {
	if r, ok := d.Canvas.(interface{ lost(string) }); ok {
		r.lost(label)
	}
}

// reserve keeps a place free of texts.
func (d *drawing) reserve(q quad) { d.texts = append(d.texts, take(q)) }

// line draws a line that texts keep off.
func (d *drawing) line(a, b Pt, width float64, dash ...float64) {
	d.Canvas.Path([]Pt{a, b}, false, &Stroke{Width: width, Dash: dash}, nil)
	d.ink = append(d.ink, take(segmentQuad(a, b, width)))
}

// shape draws a closed outline that texts keep off.
func (d *drawing) shape(pts []Pt, s *Stroke, f *Fill) {
	d.Canvas.Path(pts, true, s, f)
	for i := range pts {
		d.ink = append(d.ink, take(segmentQuad(pts[i], pts[(i+1)%len(pts)], thin)))
	}
}

// ring draws a circle that texts keep off its line.
func (d *drawing) ring(c Pt, r float64, s *Stroke, f *Fill) {
	d.Canvas.Circle(c, r, s, f)
	const sides = 24
	for i := range sides {
		a, b := 2*math.Pi*float64(i)/sides, 2*math.Pi*float64(i+1)/sides
		d.ink = append(d.ink, take(segmentQuad(Pt{c.X + r*math.Cos(a), c.Y + r*math.Sin(a)}, Pt{c.X + r*math.Cos(b), c.Y + r*math.Sin(b)}, thin)))
	}
}

// note sets a text beside a point at the nearest clear place found going round in widening rings, with a leader once it
// stands off. Where the drawing is crowded its leader may cross a text. It reports false when the whole area has no room.
func (d *drawing) note(target Pt, s string, t TextStyle, near float64) bool {
	return d.noteWhere(target, s, t, near, anywhere) || d.noteCaring(target, s, t, near, anywhere, care{})
}

func anywhere(Pt) bool { return true }

// care is what a note keeps off: lines with its text, texts with its leader.
type care struct{ lines, leader bool }

// noteWhere is note for a text all of whose corners must satisfy a condition, and whose leader crosses no text. The text keeps off
// lines while there is a place for that.
func (d *drawing) noteWhere(target Pt, s string, t TextStyle, near float64, fits func(Pt) bool) bool {
	return d.noteCaring(target, s, t, near, fits, care{true, true}) || d.noteCaring(target, s, t, near, fits, care{false, true})
}

func (d *drawing) noteCaring(target Pt, s string, t TextStyle, near float64, fits func(Pt) bool, c care) bool {
	up := ascentShare * t.Size * pointMM
	for r := near; r < near+90; r += 1.5 {
		for k := range 16 {
			a := 2 * math.Pi * (float64(k) + 0.5) / 16
			sp := Pt{target.X + r*math.Cos(a), target.Y - r*math.Sin(a)}
			u := t
			u.Align = AlignLeft
			if math.Cos(a) < 0 {
				u.Align = AlignRight
			}
			at := Pt{sp.X, sp.Y + up/2}
			if !d.clear(at, s, u, c.lines) || c.leader && r > leaderFrom && meets(d.texts, segmentQuad(sp, target, thin)) {
				continue
			}
			q := textQuad(d.Canvas, at, s, u, 0)
			if !fits(q[0]) || !fits(q[1]) || !fits(q[2]) || !fits(q[3]) {
				continue
			}
			if r > leaderFrom {
				d.leader(target, sp)
			}
			if c.lines {
				d.text(at, s, u)
			} else {
				d.patched(at, s, u)
			}
			return true
		}
	}
	return false
}

// leaderFrom is the distance from which a note has a leader, mm.
const leaderFrom = 3.5

// leader draws a thin line from a note to what it speaks of, broken at the texts that it crosses, ending in a dot there.
func (d *drawing) leader(target, from Pt) {
	l := math.Hypot(target.X-from.X, target.Y-from.Y)
	if l < 1 {
		return
	}
	const step, gap = 0.25, 0.5 // mm: of looking for texts, and kept to them
	at := func(r float64) Pt { return Pt{from.X + (target.X-from.X)*r/l, from.Y + (target.Y-from.Y)*r/l} }
	for r := 0.8; r < l; {
		end := r
		for end < l && !meets(d.texts, segmentQuad(at(end), at(math.Min(end+step, l)), thin+gap)) {
			end = math.Min(end+step, l)
		}
		if end > r {
			d.line(at(r), at(end), thin)
		}
		r = math.Max(end, r) + step
	}
	d.Canvas.Circle(target, 0.4, nil, &Fill{Grey: 0})
}

// writeClear is write for texts that must not lie on lines at all.
func (d *drawing) writeClear(s string, t TextStyle, spots ...spot) bool {
	for _, sp := range spots {
		u := t
		u.Align, u.Angle = sp.Align, sp.Angle
		if d.clear(sp.At, s, u, true) {
			d.text(sp.At, s, u)
			return true
		}
	}
	return false
}
