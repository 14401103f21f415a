package nest

import "math"

// Two right trapezoids lie head to tail in one rectangle: the second is the first turned by half a turn, so that the
// slanted edges face each other with the kerf between them.
//
//	length = a1 + a2 + d + k/cos(atan(d/H)),  width = H
//
// a: short parallel side, d: long side less short side (the same for both), H: distance between the parallel sides,
// k: kerf. A part that is the mirror image of its partner is turned over, and its outer face is the back of the board.

// wedge is a right trapezoid in its part's rectangle: the rectangle less the triangle at one corner.
type wedge struct {
	alongY   bool // the parallel sides run along y (Width)
	a, b, h  Um   // short side, long side, distance between them
	far      bool // the missing corner is at the far end of the parallel sides
	highSide bool // the missing corner is on the side of larger cross coordinate (the short side is there)
}

// asWedge recognises a right trapezoid or right triangle that fills its rectangle.
func asWedge(p Part) (wedge, bool) {
	corners := tidy(p.Outline)
	if len(corners) != 3 && len(corners) != 4 {
		return wedge{}, false
	}
	var has [2][2]bool
	var odd [2]Um
	odds := 0
	for _, q := range corners {
		ix, okx := end(q[0], p.Length)
		iy, oky := end(q[1], p.Width)
		if okx && oky {
			has[ix][iy] = true
		} else {
			odd, odds = q, odds+1
		}
	}
	missing, mx, my := 0, 0, 0
	for ix := range 2 {
		for iy := range 2 {
			if !has[ix][iy] {
				missing, mx, my = missing+1, ix, iy
			}
		}
	}
	if missing != 1 || odds != len(corners)-3 {
		return wedge{}, false
	}
	c := [2]Um{Um(mx) * p.Length, Um(my) * p.Width}
	switch {
	case odds == 0:
		return wedge{a: 0, b: p.Length, h: p.Width, far: mx == 1, highSide: my == 1}, true
	case odd[1] == c[1]:
		return wedge{a: abs(p.Length - c[0] - odd[0]), b: p.Length, h: p.Width, far: mx == 1, highSide: my == 1}, true
	case odd[0] == c[0]:
		return wedge{alongY: true, a: abs(p.Width - c[1] - odd[1]), b: p.Width, h: p.Length, far: my == 1, highSide: mx == 1}, true
	}
	return wedge{}, false
}

func end(x, size Um) (int, bool) {
	switch x {
	case 0:
		return 0, true
	case size:
		return 1, true
	}
	return 0, false
}

func abs(x Um) Um { return max(x, -x) }

// tidy drops corners that repeat or lie on a straight line.
func tidy(o [][2]Um) [][2]Um {
	var out [][2]Um
	for i, q := range o {
		if q != o[(i+len(o)-1)%len(o)] || len(o) == 1 {
			out = append(out, q)
		}
	}
	var bent [][2]Um
	for i, q := range out {
		a, b := out[(i+len(out)-1)%len(out)], out[(i+1)%len(out)]
		if (q[0]-a[0])*(b[1]-q[1]) != (q[1]-a[1])*(b[0]-q[0]) {
			bent = append(bent, q)
		}
	}
	return bent
}

// outline returns the trapezoid's corners with its rectangle's origin at (u, 0) along the parallel sides.
func (w wedge) outline(u Um) [][2]Um {
	at := func(far, high bool) [2]Um {
		x, y := u, Um(0)
		if far {
			x += w.b
		}
		if high {
			y = w.h
		}
		if far == w.far && high == w.highSide {
			if far {
				x = u + w.a
			} else {
				x = u + w.b - w.a
			}
		}
		if w.alongY {
			x, y = y, x
		}
		return [2]Um{x, y}
	}
	o := [][2]Um{at(false, false), at(true, false), at(true, true), at(false, true)}
	if w.alongY { // keep the corners counter-clockwise
		o[1], o[3] = o[3], o[1]
	}
	return tidy(o)
}

// pair is two parts in one rectangle, in the frame of the first part.
type pair struct {
	length, width Um
	outlines      [2][][2]Um
	flipped       bool     // the second is turned over
	line          [2][2]Um // the near side of the kerf: the slanted edge of the first part
	beyond        bool     // the second part lies at larger coordinates than the first
	alongY        bool
}

// whole keeps rounding from making a micrometre out of nothing where a length is rounded up to whole ones.
const whole = 1e-6

// headToTail pairs two parts, if they are right trapezoids of the same slope and height and board is saved by it.
func headToTail(p, q Part, kerf Um) (pair, bool) {
	a, okA := asWedge(p)
	b, okB := asWedge(q)
	if !okA || !okB || a.alongY != b.alongY || a.h != b.h || a.b-a.a != b.b-b.a || p.Grain != q.Grain {
		return pair{}, false
	}
	slope := float64(a.b - a.a)
	gap := Um(math.Ceil(float64(kerf)*math.Hypot(slope, float64(a.h))/float64(a.h) - whole))
	long := a.a + b.b + gap
	if (long+kerf)*(a.h+kerf) >= (a.b+kerf)*(a.h+kerf)+(b.b+kerf)*(b.h+kerf) {
		return pair{}, false
	}
	same := a.far == b.far && a.highSide == b.highSide
	opposite := a.far != b.far && a.highSide != b.highSide
	second := wedge{alongY: a.alongY, a: b.a, b: b.b, h: b.h, far: !a.far, highSide: !a.highSide}
	r := pair{length: long, width: a.h, flipped: !same && !opposite, beyond: a.far, alongY: a.alongY}
	if a.alongY {
		r.length, r.width = a.h, long
	}
	at := Um(0)
	if a.far {
		r.outlines = [2][][2]Um{a.outline(0), second.outline(long - b.b)}
	} else {
		at = long - a.b
		r.outlines = [2][][2]Um{a.outline(at), second.outline(0)}
	}
	r.line = a.slant(at)
	return r, true
}

// slant returns the ends of the slanted edge, the one at the smaller cross coordinate first.
func (w wedge) slant(u Um) [2][2]Um {
	short, long := u+w.a, u+w.b
	if !w.far {
		short, long = u+w.b-w.a, u
	}
	low, high := long, short
	if !w.highSide {
		low, high = short, long
	}
	if w.alongY {
		return [2][2]Um{{0, low}, {w.h, high}}
	}
	return [2][2]Um{{low, 0}, {high, w.h}}
}
