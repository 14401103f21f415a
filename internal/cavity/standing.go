package cavity

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// onFloor is how much higher than the gap a base may be and still stand on the floor, on pads: 15 mm (common practice).
const onFloor = 0.015

// Support is what a box stands on.
type Support int8

// The supports. OnStep is a floor that carries only a part of the base.
const (
	OnFloor Support = iota
	OnStep
	OnBlock
	OnStand
)

// String names the support as machine output writes it; that of a block is the block's own name.
func (s Support) String() string { return [...]string{"floor", "step", "block", "stand"}[s] }

// Standing tells how a box stands; metres.
type Standing struct {
	On      Support
	Block   string  // the block that it stands on
	Perched float64 // share of the bottom, 0 to 1, that is more than the gap and 15 mm above the floor
	Carried float64 // share of the bottom that is carried by the floor or the block
	Base    float64 // height of the base over the floor board
	Over    float64 // height of the base over the lowest floor of the space and the gap, not negative
	Pads    float64 // thickness of the pads between base and what carries it
	Legs    float64 // length of the legs, or height of the stand, that it needs beside what carries it, see legs
}

// a footing is a small part of a bottom: its place, its height, its area in plan, and whether it is level, to stand on a block.
type footing struct {
	x, y, z, area float64
	level         bool
}

// footings cuts the bottom of a region, its faces that look down by 45 degrees or less, into small parts.
func (r *Region) footings() []footing {
	const n = 8
	list := make([]footing, 0, 4*n*n)
	if r.Axis == Up {
		o := r.Section.Bounds()
		for i := range 2 * n {
			for k := range 2 * n {
				p := plane.Point{X: o.Min.X + o.Width()*(float64(i)+0.5)/(2*n), Y: o.Min.Y + o.Height()*(float64(k)+0.5)/(2*n)}
				if r.Section.Contains(p) {
					list = append(list, footing{p.X, p.Y, r.Lo, o.Area() / (4 * n * n), true})
				}
			}
		}
		return r.outsidePockets(list)
	}
	for i := range r.Section {
		a, b := r.Section.Edge(i)
		d := b.Sub(a)
		if d.X <= 0 || math.Abs(d.Y) > d.X {
			continue
		}
		for k := range n {
			q := a.Add(d.Mul((float64(k) + 0.5) / n))
			lo, hi := r.ends(q)
			for m := range n {
				p := r.Axis.At(q, lo+(hi-lo)*(float64(m)+0.5)/n)
				list = append(list, footing{p.X, p.Y, p.Z, d.X * (hi - lo) / (n * n), math.Abs(d.Y) < 0.01*d.X})
			}
		}
	}
	return r.outsidePockets(list)
}

// outsidePockets leaves out parts of a bottom that pockets take.
func (r *Region) outsidePockets(list []footing) []footing {
	k := 0
	for _, f := range list {
		in := false
		for _, p := range r.Pockets {
			in = in || f.x > p.Min.X && f.x < p.Max.X && f.y > p.Min.Y && f.y < p.Max.Y && f.z < p.Max.Z && f.z > p.Min.Z-tiny
		}
		if !in {
			list[k] = f
			k++
		}
	}
	return list[:k]
}

// Standing tells on what a region stands.
func (m *Room) Standing(r *Region) Standing {
	s, legs := m.standing(r)
	s.Legs = legs()
	return s
}

// standing is Standing without the legs, and those.
func (m *Room) standing(r *Region) (s Standing, long func() float64) {
	b := r.Bounds()
	s = Standing{Base: b.Min.Z, Over: math.Max(0, b.Min.Z-m.low-m.space.Gap)}
	limit := m.space.Gap + onFloor + 1e-9
	carried := make([]float64, len(m.raw.blocks)+1) // area by what carries it, the floor last
	pads := make([]float64, len(carried))
	for i := range pads {
		pads[i] = math.Inf(1)
	}
	var all, up float64
	var middle plane.Point
	tops, bottom := m.tops(r), r.footings()
	on := make(plane.Polygon, 0, len(bottom))
	free := make([]footing, 0, len(bottom)) // over nothing that carries, its height for z
	for _, f := range bottom {
		at := plane.Point{X: f.x, Y: f.y}
		all, middle = all+f.area, middle.Add(at.Mul(f.area))
		over, by := f.z-m.raw.floor.at(f.x, f.y), len(tops)
		if over > limit {
			up += f.area
		}
		for i, top := range tops {
			if d := f.z - top(f.x, f.y); d > -1e-6 && d < over {
				over, by = d, i
			}
		}
		if over > limit || by < len(tops) && !f.level {
			f.z = over
			free = append(free, f)
			continue
		}
		carried[by] += f.area
		pads[by] = math.Min(pads[by], over)
		on = append(on, at)
	}
	if all == 0 {
		s.On, s.Perched = OnStand, 1
		return s, func() float64 { return s.Over }
	}
	s.Perched = up / all
	most := len(tops) // the floor, where it carries as much
	for i, a := range carried {
		if a > carried[most] {
			most = i
		}
	}
	s.Carried, s.Pads = carried[most]/all, pads[most]
	switch {
	case len(on) == 0:
		s.On, s.Pads = OnStand, 0
	case most < len(tops):
		s.On, s.Block = OnBlock, m.raw.blocks[most].Name
	case up > 0:
		s.On = OnStep
	}
	return s, func() float64 { return legs(on, free, middle.Mul(1/all)) }
}

// legs is how long legs must be so that a box whose middle is given stands: under the lowest of its free parts that, with
// what is carried, have the middle between them; 0 where what is carried has.
func legs(on plane.Polygon, free []footing, middle plane.Point) float64 {
	slices.SortStableFunc(free, func(a, b footing) int { return cmp.Compare(a.z, b.z) })
	stands := func(n int) bool {
		all := slices.Clone(on)
		for _, f := range free[:n] {
			all = append(all, plane.Point{X: f.x, Y: f.y})
		}
		hull := all.ConvexHull()
		return len(hull) >= 3 && hull.Contains(middle)
	}
	if n := sort.Search(len(free), stands); n > 0 {
		return free[n-1].z
	}
	return 0
}

// tops gives for every block its height at a place of the plan; minus infinity beside it, and where a pocket goes round it.
func (m *Room) tops(r *Region) []func(x, y float64) float64 {
	list := make([]func(x, y float64) float64, len(m.raw.blocks))
	for i := range m.raw.blocks {
		b := &m.raw.blocks[i]
		top := topOf(b.Outline)
		list[i] = func(x, y float64) float64 {
			along, at := y, x
			if b.Axis == Across {
				along, at = x, y
			}
			switch {
			case r.around.has(i) || b.Axis == Up && !b.Outline.Contains(plane.Point{X: x, Y: y}):
			case b.Axis == Up:
				return b.Hi
			case along > b.Lo && along < b.Hi:
				return top.at(at)
			}
			return math.Inf(-1)
		}
	}
	return list
}

// Reach is how far the nearest face of a region lies behind the front of the space and the gap; metres, not negative.
func (m *Room) Reach(r *Region) float64 {
	return math.Max(0, r.Bounds().Min.Y-m.nearest-m.space.Gap)
}

// Beside tells what stands at the left or the right side of a region, nearer than the gap and 3 mm; points are looked at.
func (m *Room) Beside(r *Region, side Side) Obstacle {
	const points, near = 9, 0.003
	b := r.Bounds()
	x := b.Min.X - m.space.Gap - near
	if side == Right {
		x = b.Max.X + m.space.Gap + near
	}
	size := r3.Sub(b.Max, b.Min)
	for i := range points {
		for k := range points {
			q := r3.Vec{X: x, Y: b.Min.Y + size.Y*(float64(i)+0.5)/points, Z: b.Min.Z + size.Z*(float64(k)+0.5)/points}
			if o := m.at(&m.raw, q); o.Blocked {
				return o
			}
		}
	}
	return Obstacle{}
}
