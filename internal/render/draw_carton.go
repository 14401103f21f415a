package render

import "math"

// carton draws the walls of the wrap stacked as they unfold, taller ones taller, with one triangle across all of
// them: any piece that is swapped or turned breaks the triangle.
func (d *drawing) carton(r Rect, names []string, heights []float64) {
	sum := 0.0
	for _, h := range heights {
		sum += h
	}
	if sum <= 0 {
		return
	}
	const gap, least = 1.2, 4.2 // mm between strips; height that any strip has, so that its name goes in
	n := float64(len(heights))
	k := math.Max((r.H-(gap+least)*n)/sum, 0)
	y := r.Y
	apex, left, right := Pt{r.X + r.W*0.62, r.Y + 1}, Pt{r.X + r.W*0.5, r.Bottom() - 1}, Pt{r.X + r.W*0.74, r.Bottom() - 1}
	side := func(to Pt, y float64) Pt {
		s := (y - apex.Y) / (to.Y - apex.Y)
		return Pt{apex.X + (to.X-apex.X)*s, y}
	}
	for i, h := range heights {
		strip := Rect{r.X, y, r.W, least + h*k}
		d.shape(strip.Corners(), &Stroke{Width: medium}, nil)
		top, bottom := math.Max(strip.Y, apex.Y), math.Min(strip.Bottom(), left.Y)
		for _, to := range []Pt{left, right} {
			if bottom > top {
				d.line(side(to, top), side(to, bottom), medium)
			}
		}
		y += strip.H + gap
		size := math.Min(8, strip.H/rise(1)*0.7)
		d.write(names[i], TextStyle{Size: size, Bold: true}, spot{At: Pt{strip.X + 2, strip.Centre().Y + rise(size)/2}})
	}
	d.line(left, right, medium)
}
