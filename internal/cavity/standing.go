package cavity

import (
	"math"

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
	Legs    float64 // length of the legs or height of the stand under the parts that are not carried; 0 when none are needed
}

// a footing is a small part of a bottom: its place, its height and its area in plan.
type footing struct{ x, y, z, area float64 }

// footings cuts the bottom of a region, its faces that look down by 45 degrees or less, into small parts.
func (r *Region) footings() []footing {
	const n = 8
	var list []footing
	if r.Axis == Up {
		o := r.Section.Bounds()
		for i := range 2 * n {
			for k := range 2 * n {
				p := plane.Point{X: o.Min.X + o.Width()*(float64(i)+0.5)/(2*n), Y: o.Min.Y + o.Height()*(float64(k)+0.5)/(2*n)}
				if r.Section.Contains(p) {
					list = append(list, footing{p.X, p.Y, r.Lo, o.Area() / (4 * n * n)})
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
				list = append(list, footing{p.X, p.Y, p.Z, d.X * (hi - lo) / (n * n)})
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
	b := r.Bounds()
	s := Standing{Base: b.Min.Z, Over: math.Max(0, b.Min.Z-m.low-m.space.Gap)}
	limit := m.space.Gap + onFloor + 1e-9
	var all, up float64
	lift, pads := 0.0, math.Inf(1)
	feet := r.footings()
	for _, f := range feet {
		over := f.z - m.raw.floor.at(f.x, f.y)
		all += f.area
		if over > limit {
			up += f.area
			lift = math.Max(lift, over)
		} else {
			pads = math.Min(pads, over)
		}
	}
	if all == 0 {
		s.On, s.Perched, s.Legs = OnStand, 1, s.Over
		return s
	}
	s.Perched = up / all
	switch {
	case up == 0:
		s.On, s.Carried, s.Pads = OnFloor, 1, pads
		return s
	case up < all:
		s.On, s.Carried, s.Pads, s.Legs = OnStep, 1-s.Perched, pads, lift
	default:
		s.On, s.Legs = OnStand, lift
	}
	m.onBlock(r, &s, feet, all, limit)
	return s
}

// onBlock looks for a block under the bottom that carries more of it than the floor does.
func (m *Room) onBlock(r *Region, s *Standing, feet []footing, all, limit float64) {
	for i := range m.raw.blocks {
		if r.around.has(i) {
			continue
		}
		lo, hi := m.raw.blocks[i].bounds()
		top := math.Min(hi.Z, beyond)
		area, pads := 0.0, math.Inf(1)
		for _, f := range feet {
			if f.x < lo.X || f.x > hi.X || f.y < lo.Y || f.y > hi.Y {
				continue
			}
			if d := f.z - top; d > -1e-6 && d <= limit {
				area += f.area
				pads = math.Min(pads, d)
			}
		}
		if area/all > s.Carried {
			s.On, s.Block, s.Carried, s.Pads = OnBlock, m.raw.blocks[i].Name, area/all, pads
		}
	}
	if s.On == OnBlock && s.Carried >= 0.98 {
		s.Legs = 0
	}
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
