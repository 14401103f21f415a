package cavity

import (
	"container/heap"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// A hand with a plug, and an arm (common practice), m.
const (
	handRadius = 0.040 // of the ball that must find its way
	armLength  = 0.650
	handStep   = 0.025 // between the places that are looked at
)

// Ahead tells how far a cylinder that begins at p and runs along the unit vector dir gets, up to most, and what it meets
// first; metres.
func (m *Room) Ahead(p, dir r3.Vec, radius, most float64) (float64, Obstacle) {
	meets := m.Before(p, dir, radius, most)
	if !meets.Blocked {
		return most, meets
	}
	lo, hi := 0.0, most
	for hi-lo > 5e-4 {
		mid := (lo + hi) / 2
		if o := m.Before(p, dir, radius, mid); o.Blocked {
			hi, meets = mid, o
		} else {
			lo = mid
		}
	}
	return lo, meets
}

// Hand looks for a way of a hand from an open side to a place on a region's outside, past the region and all that stands in
// the space; out points out of the region there. It gives the length of the way and the side that it begins at; false when
// there is none within an arm's length. The way is looked for over places 25 mm apart: a narrower one may be missed.
func (m *Room) Hand(r *Region, at, out r3.Vec) (way float64, from Side, ok bool) {
	s := *m.space
	s.Gap = handRadius
	narrow, err := s.Settle()
	if err != nil {
		return 0, 0, false
	}
	h := hand{narrow, narrow.opened(narrow.free), r, m.Extent(), r3.Add(at, r3.Scale(handRadius*1.3, out))}
	seen := map[[3]int]bool{}
	todo := &places{{}}
	for todo.Len() > 0 {
		p := heap.Pop(todo).(place)
		if seen[p.cell] || p.way > armLength {
			continue
		}
		seen[p.cell] = true
		if !h.clear(h.at(p.cell)) {
			continue
		}
		if side, out := h.outside(h.at(p.cell)); out {
			return p.way, side, true
		}
		for k := range 27 {
			d := [3]int{k%3 - 1, k/3%3 - 1, k/9 - 1}
			step := handStep * math.Sqrt(float64(d[0]*d[0]+d[1]*d[1]+d[2]*d[2]))
			heap.Push(todo, place{[3]int{p.cell[0] + d[0], p.cell[1] + d[1], p.cell[2] + d[2]}, p.way + step})
		}
	}
	return 0, 0, false
}

// hand looks for a way.
type hand struct {
	*Room
	walls  walls
	region *Region
	extent Box
	from   r3.Vec
}

func (h *hand) at(c [3]int) r3.Vec {
	return r3.Add(h.from, r3.Scale(handStep, r3.Vec{X: float64(c[0]), Y: float64(c[1]), Z: float64(c[2])}))
}

// clear tells whether a hand has room at a point.
func (h *hand) clear(p r3.Vec) bool {
	if h.Room.at(&h.walls, p).Blocked {
		return false
	}
	const near = handRadius * 0.9
	for k := range 27 {
		d := r3.Vec{X: float64(k%3 - 1), Y: float64(k/3%3 - 1), Z: float64(k/9 - 1)}
		if n := r3.Norm(d); h.region.holds(r3.Add(p, r3.Scale(near/math.Max(n, 1), d))) {
			return false
		}
	}
	return true
}

// outside tells whether a point lies beyond an open side.
func (h *hand) outside(p r3.Vec) (Side, bool) {
	for side, beyond := range [6]bool{p.Y < h.extent.Min.Y, p.Y > h.extent.Max.Y, p.X < h.extent.Min.X, p.X > h.extent.Max.X,
		p.Z < h.extent.Min.Z, p.Z > h.extent.Max.Z} {
		if beyond && h.isOpen(Side(side)) {
			return Side(side), true
		}
	}
	return 0, false
}

// A place is one of those that a hand may come to, with its way from where it must get.
type place struct {
	cell [3]int
	way  float64
}

// places is a heap of places, the shortest way first.
type places []place

func (p places) Len() int           { return len(p) }
func (p places) Less(i, j int) bool { return p[i].way < p[j].way }
func (p places) Swap(i, j int)      { p[i], p[j] = p[j], p[i] }
func (p *places) Push(v any)        { *p = append(*p, v.(place)) }
func (p *places) Pop() any {
	last := (*p)[len(*p)-1]
	*p = (*p)[:len(*p)-1]
	return last
}
