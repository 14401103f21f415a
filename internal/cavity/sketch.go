package cavity

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// The characters of a sketch; blocks have a letter each.
const (
	sketchBox  = '#'
	sketchFree = '.'
	sketchNone = ' '
)

// Views are a plan with the back at the top and the view from the front, each framed and to the same scale, and what the
// characters mean.
type Views struct{ Plan, Front, Legend []string }

// leastAcross is how many characters a view is wide at least, its frame not counted.
const leastAcross = 8

// Views draws a region in its space in characters for a terminal: at most columns wide, 24 or more, and rows high, frames not
// counted in the rows. A space that is deep or high for its width is drawn narrower. The views are made of points: what is
// thinner than a character may be missed.
func (m *Room) Views(r *Region, columns, rows int) Views {
	e := m.Extent()
	size := r3.Sub(e.Max, e.Min)
	nx := max(leastAcross, columns-4)
	if rows < 24 {
		nx = max(leastAcross, min(nx, int(size.X*float64(2*rows)/math.Max(size.Y, size.Z))))
	}
	dx := size.X / float64(nx)
	ny, nz := min(rows, sketchRows(size.Y, dx)), min(rows, sketchRows(size.Z, dx))
	s := sketch{m, r, e}
	v := Views{Legend: []string{string(sketchBox) + " box", string(sketchFree) + " free"}}
	v.Plan = framed(nx, ny, func(i, k int) rune {
		return s.plan(e.Min.X+(float64(i)+0.5)*dx, e.Max.Y-(float64(k)+0.5)*size.Y/float64(ny))
	})
	v.Front = framed(nx, nz, func(i, k int) rune {
		return s.front(e.Min.X+(float64(i)+0.5)*dx, e.Max.Z-(float64(k)+0.5)*size.Z/float64(nz))
	})
	for i := range m.raw.blocks {
		v.Legend = append(v.Legend, fmt.Sprintf("%c %s", letter(i), m.raw.blocks[i].Name))
	}
	return v
}

// letter is that of a block.
func letter(i int) rune { return rune('a' + i%26) }

// sketchRows is the number of lines for a height: characters are about twice as high as wide.
func sketchRows(h, dx float64) int { return max(3, min(24, int(math.Round(h/(2*dx))))) }

// framed draws a grid of characters with a border.
func framed(nx, ny int, at func(i, k int) rune) []string {
	edge := "+" + strings.Repeat("-", nx) + "+"
	lines := []string{edge}
	for k := range ny {
		var b strings.Builder
		b.WriteByte('|')
		for i := range nx {
			b.WriteRune(at(i, k))
		}
		b.WriteByte('|')
		lines = append(lines, b.String())
	}
	return append(lines, edge)
}

type sketch struct {
	m *Room
	r *Region
	e Box
}

// looks is the number of points along a line of sight.
const looks = 32

// see goes along a line of sight and says what comes first: the box, a block, free room or nothing.
func (s *sketch) see(at func(t float64) r3.Vec) rune {
	free := false
	block := rune(0)
	for k := range looks {
		p := at((float64(k) + 0.5) / looks)
		if s.r.holds(p) {
			return sketchBox
		}
		if !s.m.within(p) {
			continue
		}
		hit := -1
		for i := range s.m.raw.blocks {
			if s.m.raw.blocks[i].inside(p, 0) {
				hit = i
			}
		}
		if hit < 0 {
			free = true
		} else if block == 0 {
			block = letter(hit)
		}
	}
	switch {
	case block != 0:
		return block
	case free:
		return sketchFree
	}
	return sketchNone
}

func (s *sketch) plan(x, y float64) rune {
	return s.see(func(t float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: s.e.Max.Z + t*(s.e.Min.Z-s.e.Max.Z)} })
}

func (s *sketch) front(x, z float64) rune {
	return s.see(func(t float64) r3.Vec { return r3.Vec{X: x, Y: s.e.Min.Y + t*(s.e.Max.Y-s.e.Min.Y), Z: z} })
}

// holds tells whether a point lies in a region, its pockets left out.
func (r *Region) holds(p r3.Vec) bool {
	q := r.Axis.Section(p)
	lo, hi := r.ends(q)
	if a := r.Axis.Of(p); a < lo || a > hi || !r.Section.Contains(q) {
		return false
	}
	for _, k := range r.Pockets {
		if p.X > k.Min.X && p.X < k.Max.X && p.Y > k.Min.Y && p.Y < k.Max.Y && p.Z > k.Min.Z && p.Z < k.Max.Z {
			return false
		}
	}
	return true
}

// within tells whether a point lies between the raw surfaces, the blocks not counted.
func (m *Room) within(p r3.Vec) bool {
	w := m.raw
	w.blocks = nil
	return w.holds(p, m.xs, 0)
}
