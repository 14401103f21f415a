package render

import "fmt"

// overlapSlack is how far two text boxes may enter each other before it counts, mm: boxes hold a descender's depth that
// most lines do not use, and a tenth of a millimetre cannot be seen in print.
const overlapSlack = 0.1

// Faults lists what is wrong with the page: texts that overlap, things outside printable, coordinates that are no
// numbers.
func (c *Recorder) Faults(printable Rect) []string {
	out := append([]string(nil), c.bad...)
	for _, l := range c.gone {
		out = append(out, fmt.Sprintf("label %q found no place", l))
	}
	texts, ink := c.shown()
	for i, a := range texts {
		if !within(extent(a.corners[:]), printable) {
			out = append(out, fmt.Sprintf("text %q leaves the printable area", a.text))
		}
		for _, b := range texts[i+1:] {
			if rectsMeet(extent(a.corners[:]), extent(b.corners[:])) && a.corners.overlaps(b.corners, overlapSlack) {
				out = append(out, fmt.Sprintf("text %q overlaps %q near %.1f, %.1f", a.text, b.text, b.corners[3].X, b.corners[3].Y))
			}
		}
	}
	for _, k := range ink {
		if !within(k.r, printable) {
			out = append(out, fmt.Sprintf("%s %.1f,%.1f to %.1f,%.1f leaves the printable area", k.what, k.r.X, k.r.Y, k.r.Right(), k.r.Bottom()))
		}
	}
	return out
}

// printable is where ink may go.
func (s *sheet) printable() Rect { return Rect{0, 0, s.W, s.H}.Shrink(printMargin) }
