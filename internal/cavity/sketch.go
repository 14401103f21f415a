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
	v := Views{Legend: []string{string(sketchBox) + " box", string(sketchFree) + " free"}}
	v.Plan = framed(nx, ny, func(right, down float64) rune {
		return m.see(r, r3.Vec{X: e.Min.X + right*size.X, Y: e.Max.Y - down*size.Y, Z: e.Max.Z}, r3.Vec{Z: -size.Z})
	})
	v.Front = framed(nx, nz, func(right, down float64) rune {
		return m.see(r, r3.Vec{X: e.Min.X + right*size.X, Y: e.Min.Y, Z: e.Max.Z - down*size.Z}, r3.Vec{Y: size.Y})
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

// framed draws a grid of characters with a border; at is told the shares of width and height.
func framed(nx, ny int, at func(right, down float64) rune) []string {
	edge := "+" + strings.Repeat("-", nx) + "+"
	lines := []string{edge}
	for k := range ny {
		line := make([]rune, nx)
		for i := range line {
			line[i] = at((float64(i)+0.5)/float64(nx), (float64(k)+0.5)/float64(ny))
		}
		lines = append(lines, "|"+string(line)+"|")
	}
	return append(lines, edge)
}

// looks is the number of points along a line of sight.
const looks = 32

// see goes along a line of sight and says what comes first: the box, else a block, else free room or nothing.
func (m *Room) see(r *Region, from, along r3.Vec) rune {
	seen := sketchNone
	for k := range looks {
		p := r3.Add(from, r3.Scale((float64(k)+0.5)/looks, along))
		if r.holds(p) {
			return sketchBox
		}
		if _, out := m.raw.beyond(p, m.xs, 0); out || seen != sketchNone && seen != sketchFree {
			continue
		}
		if hit := m.raw.block(p, 0); hit >= 0 {
			seen = letter(hit)
		} else {
			seen = sketchFree
		}
	}
	return seen
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
