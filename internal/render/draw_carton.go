package render

import "math"

// carton draws the walls of the wrap stacked as they unfold, each to the height of its outer face, with one triangle across all of
// them: any piece that is swapped or turned breaks the triangle.
func (d *drawing) carton(r Rect, names []string, heights []float64) {
	sum := 0.0
	for _, h := range heights {
		sum += h
	}
	if sum <= 0 {
		return
	}
	const gap = 1.2
	n := float64(len(heights))
	k := (r.H - gap*(n-1)) / sum
	y := r.Y
	apex, left, right := Pt{r.X + r.W*0.62, r.Y + 1}, Pt{r.X + r.W*0.5, r.Bottom() - 1}, Pt{r.X + r.W*0.74, r.Bottom() - 1}
	side := func(to Pt, y float64) Pt {
		s := (y - apex.Y) / (to.Y - apex.Y)
		return Pt{apex.X + (to.X-apex.X)*s, y}
	}
	for i, h := range heights {
		strip := Rect{r.X, y, r.W, h * k}
		d.shape(strip.Corners(), &Stroke{Width: medium}, nil)
		top, bottom := math.Max(strip.Y, apex.Y), math.Min(strip.Bottom(), left.Y)
		for _, to := range []Pt{left, right} {
			if bottom > top {
				d.line(side(to, top), side(to, bottom), medium)
			}
		}
		y += strip.H + gap
		size := math.Min(8, strip.H/rise(1)*0.7)
		if size < 4 {
			d.note(Pt{strip.X + 1, strip.Centre().Y}, names[i], TextStyle{Size: 6}, 4)
			continue
		}
		st := TextStyle{Size: size, Bold: true}
		d.write(names[i], st, spot{At: Pt{strip.X + 2, strip.Centre().Y + rise(size)/2}})
	}
	d.line(left, right, medium)
}
