package cavity

import (
	"math"
	"slices"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// BodyOf is a solid as it is carried, with a covering of the given thickness in metres, 0 for none, on every face. Its
// real edges are kept, so that what is said of sections holds for bodies with steps and pockets too.
func BodyOf(s *solid.Solid, covering float64) (Body, error) {
	if covering > 0 {
		var err error
		if s, err = s.Moved(slices.Repeat([]float64{covering}, len(s.Faces))); err != nil {
			return Body{}, err
		}
	}
	var b Body
	index := map[[3]int64]int{}
	at := func(p r3.Vec) int {
		key := [3]int64{int64(math.Round(p.X * 1e7)), int64(math.Round(p.Y * 1e7)), int64(math.Round(p.Z * 1e7))}
		i, ok := index[key]
		if !ok {
			i = len(b.Corners)
			index[key] = i
			b.Corners = append(b.Corners, p)
		}
		return i
	}
	seen := map[[2]int]bool{}
	for _, f := range s.Faces {
		for _, l := range f.Loops {
			for k := range l.At {
				i, j := at(l.At[k]), at(l.At[(k+1)%len(l.At)])
				e := [2]int{min(i, j), max(i, j)}
				if i != j && !seen[e] {
					seen[e] = true
					b.Edges = append(b.Edges, e)
				}
			}
		}
	}
	return b, nil
}
