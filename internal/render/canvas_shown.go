package render

import "math"

// textBox is a text as set, in a box that is turned with it.
type textBox struct {
	text    string
	corners quad
}

// inkBox is the extent of a path, curve or circle as far as it shows.
type inkBox struct {
	what string
	r    Rect
}

// shown lists the texts and the ink of what is drawn, as far as they show.
func (c *Recorder) shown() (texts []textBox, ink []inkBox) {
	var clips []Rect
	for _, o := range c.ops {
		box := func(r Rect) (Rect, bool) {
			if n := len(clips); n > 0 {
				return intersect(r, clips[n-1]), rectsMeet(r, clips[n-1])
			}
			return r, true
		}
		mark := func(what string, r Rect) {
			if r, ok := box(r); ok {
				ink = append(ink, inkBox{what, r})
			}
		}
		switch o.kind {
		case opPath:
			mark("path", extent(o.pts))
		case opCurve:
			mark("curve", extent(o.outline()))
		case opCircle:
			mark("circle", Rect{o.pts[0].X - o.radius, o.pts[0].Y - o.radius, 2 * o.radius, 2 * o.radius})
		case opText:
			b := textBox{o.text, boxOf(o.pts[0], o.text, o.style)}
			if _, ok := box(extent(b.corners[:])); ok {
				texts = append(texts, b)
			}
		case opClip:
			clips = append(clips, o.clip)
		case opUnclip:
			clips = clips[:len(clips)-1]
		}
	}
	return texts, ink
}

// boxOf is the box of a text, turned with it.
func boxOf(at Pt, s string, t TextStyle) quad {
	w, em := textWidth(s, t), t.Size*pointMM
	return turnedBox(at, -w*t.Align.share(), w-w*t.Align.share(), textRise*em, textDrop*em, t.Angle)
}

// outline is a curve with straight pieces for its arcs.
func (o op) outline() []Pt {
	const parts = 24
	out := []Pt{o.pts[0]}
	for i := range o.pieces() {
		a := o.arc(i)
		for k := 1; a.sweep != 0 && k < parts; k++ {
			s, c := math.Sincos(a.start + a.sweep*float64(k)/parts)
			out = append(out, Pt{a.centre.X + a.r*c, a.centre.Y + a.r*s})
		}
		out = append(out, a.to)
	}
	return out
}
