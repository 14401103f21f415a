package cavity

import (
	"math"
	"slices"
)

// steep is the slope over depth above which a part of a line of heights is a step: 60 degrees.
var steep = math.Tan(math.Pi / 3)

// A sheet is a measured surface, the floor or the roof upside down, so that what is free lies above it: profiles over
// depth at the stations, straight between stations at the same depth.
type sheet struct {
	xs    []float64
	lines []profile
	steps [][]span // per cell: depths between which the higher of the two lines counts over the whole cell
}

// A span is a stretch of one coordinate.
type span struct{ lo, hi float64 }

// newSheet makes a sheet from lines of readings, moved up by the gap square to each face, corners sharp.
func newSheet(xs []float64, lines [][]Height, front, back []float64, gap float64) *sheet {
	s := &sheet{xs: xs, steps: make([][]span, len(xs)-1)}
	near, far := slices.Min(front)-1, slices.Max(back)+1
	raw := make([]profile, len(xs))
	for i := range xs {
		raw[i] = levelled(lines[i], near, far)
	}
	for i := range xs {
		s.lines = append(s.lines, raised(i, xs, raw, gap))
	}
	for c := range s.steps {
		s.steps[c] = slantedSteps(raw[c], raw[c+1])
		if len(s.steps[c]) == 0 || gap == 0 {
			continue
		}
		// the moved surfaces shift in depth by no more than the gap square to the steepest face in plan
		dx := xs[c+1] - xs[c]
		for k, t := range s.steps[c] {
			most := max(raw[c].most(t.lo, t.hi), raw[c+1].most(t.lo, t.hi)) - min(-raw[c].negated().most(t.lo, t.hi), -raw[c+1].negated().most(t.lo, t.hi))
			r := gap * math.Hypot(1, most/dx)
			s.steps[c][k] = span{t.lo - r, t.hi + r}
		}
	}
	return s
}

// levelled is a line of readings as a profile from near to far, level beyond its ends.
func levelled(line []Height, near, far float64) profile {
	n := len(line)
	f := profile{{near, line[0].Depth, line[0].Height, line[0].Height}}
	for k := 1; k < n; k++ {
		p, q := line[k-1], line[k]
		f = append(f, piece{p.Depth, q.Depth, p.Height, q.Height})
	}
	return append(f, piece{line[n-1].Depth, far, line[n-1].Height, line[n-1].Height})
}

// raised moves the line of station i up by the gap: each part by gap sqrt(1 + p^2 + q^2), p its slope over depth and q its
// largest slope across at its ends to the neighbouring stations, which is the gap square to the plane.
func raised(i int, xs []float64, raw []profile, gap float64) profile {
	line := raw[i]
	if gap == 0 {
		return line
	}
	parts := make([]piece, len(line)) // moved, over the depths on which their feet stand
	for k, p := range line {
		q := 0.0
		for _, j := range [2]int{i - 1, i + 1} {
			if j < 0 || j >= len(xs) {
				continue
			}
			for _, y := range [2]float64{p.a, p.b} {
				q = max(q, math.Abs((raw[j].at(y)-line.at(y))/(xs[j]-xs[i])))
			}
		}
		m := p.slope()
		up := gap * math.Sqrt(1+m*m+q*q)
		shift := -m * up / (1 + m*m)
		moved := piece{p.a, p.b, p.va + up, p.vb + up}
		parts[k] = piece{p.a + shift, p.b + shift, moved.at(p.a + shift), moved.at(p.b + shift)}
	}
	for k := 1; k < len(parts); k++ {
		l, r := &parts[k-1], &parts[k]
		if r.a <= l.b { // a valley: the larger one counts where both stand
			continue
		}
		from, to := l.b, r.a
		meet := math.Inf(1)
		if d := l.slope() - r.slope(); d > 1e-12 {
			meet = (r.at(0) - l.at(0)) / d
		}
		if meet >= from && meet <= to {
			l.vb, l.b = l.at(meet), meet
			r.va, r.a = r.at(meet), meet
			continue
		}
		a, b := l.clip(l.a, to), r.clip(from, r.b)
		*l, *r = a, b
	}
	parts[0] = parts[0].clip(min(parts[0].a, line[0].a), parts[0].b)
	parts[len(parts)-1] = parts[len(parts)-1].clip(parts[len(parts)-1].a, max(parts[len(parts)-1].b, line[len(line)-1].b))
	var f profile
	for _, p := range parts {
		if p.b-p.a > tiny {
			f = upper(f, profile{p})
		}
	}
	return f.part(line[0].a, line[len(line)-1].b)
}

// stretches of steep parts, those that follow each other in one direction joined.
func risers(f profile) (list []span, up []bool) {
	for _, p := range f {
		m := p.slope()
		if math.Abs(m) <= steep {
			continue
		}
		if n := len(list); n > 0 && up[n-1] == (m > 0) && math.Abs(list[n-1].hi-p.a) <= tiny {
			list[n-1].hi = p.b
			continue
		}
		list, up = append(list, span{p.a, p.b}), append(up, m > 0)
	}
	return list, up
}

// slantedSteps pairs the steps of two stations in order and gives the depths from the first to the last of those that do
// not lie at the same depth.
func slantedSteps(f, g profile) []span {
	var list []span
	a, upA := risers(f)
	b, upB := risers(g)
	j := 0
	for i := range a {
		k := j
		for k < len(b) && upB[k] != upA[i] {
			k++
		}
		if k == len(b) {
			continue
		}
		j = k + 1
		if math.Abs(a[i].lo-b[k].lo) > 1e-6 || math.Abs(a[i].hi-b[k].hi) > 1e-6 {
			list = append(list, span{min(a[i].lo, b[k].lo), max(a[i].hi, b[k].hi)})
		}
	}
	return list
}

// cell is the index of the cell that x lies in, the one to the left on a station, and how far along it.
func cellOf(xs []float64, x float64) (int, float64) {
	c := 0
	for c < len(xs)-2 && x > xs[c+1] {
		c++
	}
	return c, max(0, min(1, (x-xs[c])/(xs[c+1]-xs[c])))
}

// inCell is the profile over depth at x, which lies in cell c.
func (s *sheet) inCell(c int, x float64) profile {
	t := (x - s.xs[c]) / (s.xs[c+1] - s.xs[c])
	var f profile
	switch {
	case t <= 0:
		f = s.lines[c]
	case t >= 1:
		f = s.lines[c+1]
	default:
		f = blend(s.lines[c], s.lines[c+1], t)
	}
	for _, d := range s.steps[c] {
		f = upper(f, upper(s.lines[c].part(d.lo, d.hi), s.lines[c+1].part(d.lo, d.hi)))
	}
	return f
}

// over is the largest of the profiles over the stretch [a, b] across.
func (s *sheet) over(a, b float64) profile {
	var f profile
	for c := range s.steps {
		lo, hi := max(a, s.xs[c]), min(b, s.xs[c+1])
		if hi-lo <= tiny && !(b-a <= tiny && a >= s.xs[c] && a <= s.xs[c+1]) {
			continue
		}
		f = upper(f, s.inCell(c, lo))
		f = upper(f, s.inCell(c, hi))
	}
	return f
}

// at is the height at a place; on a station between two cells the larger.
func (s *sheet) at(x, y float64) float64 {
	v := math.Inf(-1)
	for c := range s.steps {
		if x < s.xs[c]-tiny && c > 0 || x > s.xs[c+1]+tiny && c < len(s.steps)-1 {
			continue
		}
		t := (x - s.xs[c]) / (s.xs[c+1] - s.xs[c])
		t = max(0, min(1, t))
		a, b := s.lines[c].at(y), s.lines[c+1].at(y)
		w := (1-t)*a + t*b
		for _, d := range s.steps[c] {
			if y >= d.lo && y <= d.hi {
				w = max(a, b)
			}
		}
		v = max(v, w)
	}
	return v
}

// crossing is the largest height of the sheet over the depths [a, b] as a profile over across.
func (s *sheet) crossing(a, b float64) profile {
	var out profile
	for c := range s.steps {
		f, g := s.lines[c], s.lines[c+1]
		ys := []float64{a, b}
		ys = g.breaks(f.breaks(ys, a, b), a, b)
		for _, d := range s.steps[c] {
			for _, y := range [2]float64{d.lo, d.hi} {
				if y > a && y < b {
					ys = append(ys, y)
				}
			}
		}
		var ends [][2]float64
		for _, y := range ys {
			v, w := f.at(y), g.at(y)
			for _, d := range s.steps[c] {
				if y >= d.lo && y <= d.hi {
					v = max(v, w)
					w = v
				}
			}
			ends = appendLine(ends, v, w)
		}
		var top profile
		for _, e := range ends {
			top = upper(top, profile{{s.xs[c], s.xs[c+1], e[0], e[1]}})
		}
		out = append(out, top...)
	}
	return out
}

// appendLine keeps the lines of a cell that no other one lies over.
func appendLine(list [][2]float64, v, w float64) [][2]float64 {
	for _, l := range list {
		if l[0] >= v && l[1] >= w {
			return list
		}
	}
	k := 0
	for _, l := range list {
		if l[0] > v || l[1] > w {
			list[k] = l
			k++
		}
	}
	return append(list[:k], [2]float64{v, w})
}
