package panels

import (
	"math"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// leg is a straight piece of a slot along a wall, and its own frame: v runs away from the wall that it starts at, w along the joint
// of the two, n from the wall into the box. The origin is on the joint of their inner faces.
type leg struct {
	floor, start int // faces; a floor may be a board of the slot, then it is -1 less its number
	o, v, w, n   r3.Vec
	lean         float64    // of the starting wall: v = lean n on its inner face
	over         int        // -1 less the number of the board over its air
	board        [2]float64 // levels of its own board's two faces, that at the air first; equal: it has none
}

func (s *scene) newLeg(floor, start int, w, near r3.Vec) (leg, bool) {
	f, g := &s.shell.air.Faces[floor], &s.shell.air.Faces[start]
	l := leg{floor: floor, start: start, w: w, n: r3.Scale(-1, f.N)}
	l.v = r3.Unit(r3.Cross(w, f.N))
	if r3.Dot(l.v, g.N) > 0 {
		l.v = r3.Scale(-1, l.v)
	}
	var ok bool
	l.o, ok = solid.Meet(f.Plane, g.Plane, solid.Through(near, w))
	if !ok {
		return l, false
	}
	l.lean = -r3.Dot(g.N, l.n) / r3.Dot(g.N, l.v)
	return l, true
}

// at gives a place of the leg's frame in the space, to the other way round.
func (l *leg) at(v, w, n float64) r3.Vec {
	return r3.Add(l.o, r3.Add(r3.Scale(v, l.v), r3.Add(r3.Scale(w, l.w), r3.Scale(n, l.n))))
}

func (l *leg) to(p r3.Vec) [3]float64 {
	d := r3.Sub(p, l.o)
	return [3]float64{r3.Dot(d, l.v), r3.Dot(d, l.w), r3.Dot(d, l.n)}
}

// block is a box in the frame of a leg.
type block struct{ lo, hi [3]float64 }

// clip gives the block round the part of a face that is in a block; what stands in a hole of the face has faces of its own there.
func (l *leg) clip(f *solid.Face, in block) (out block, ok bool) {
	var room [2][20][3]float64
	g := l.outline(f.Loops[0].At, in, room[0][:0], room[1][:0])
	if len(g) == 0 {
		return out, false
	}
	out = block{g[0], g[0]}
	for _, p := range g {
		for k := range 3 {
			out.lo[k], out.hi[k] = math.Min(out.lo[k], p[k]), math.Max(out.hi[k], p[k])
		}
	}
	return out, true
}

// covers reports whether a face fills the rectangle of a block along two of the leg's directions.
func (l *leg) covers(f *solid.Face, a, b int, in block) bool {
	want := (in.hi[a] - in.lo[a]) * (in.hi[b] - in.lo[b])
	for k := range 3 {
		if k != a && k != b {
			in.lo[k], in.hi[k] = math.Inf(-1), math.Inf(1)
		}
	}
	area := 0.0
	for _, loop := range f.Loops {
		g := l.outline(loop.At, in, nil, nil)
		for i := range g {
			p, q := g[i], g[(i+1)%len(g)]
			area += (p[a]*q[b] - q[a]*p[b]) / 2
		}
	}
	return math.Abs(area) >= want*(1-1e-6)
}

// floorEnd is where the leg's floor ends between x0 and x1: at a joint with a wall or at an edge.
func (s *scene) floorEnd(l *leg, x0, x1 float64) float64 {
	end := math.Inf(1)
	for _, loop := range s.shell.air.Faces[l.floor].Loops {
		for k, p := range loop.At {
			a, b := l.to(p), l.to(loop.At[(k+1)%len(loop.At)])
			t0, t1 := 0.0, 1.0
			switch d := b[1] - a[1]; {
			case math.Abs(d) > edgeOff:
				u, v := (x0+edgeOff-a[1])/d, (x1-edgeOff-a[1])/d
				t0, t1 = math.Max(0, math.Min(u, v)), math.Min(1, math.Max(u, v))
			case a[1] < x0+edgeOff || a[1] > x1-edgeOff:
				continue
			}
			if t0 >= t1 {
				continue
			}
			for _, t := range [...]float64{t0, t1} {
				if v := a[0] + t*(b[0]-a[0]); v > edgeOff {
					end = math.Min(end, v)
				}
			}
		}
	}
	return end
}

// outline is the part of an outline in a block; the two buffers are worked in.
func (l *leg) outline(at []r3.Vec, in block, g, spare [][3]float64) [][3]float64 {
	for _, p := range at {
		g = append(g, l.to(p))
	}
	for k := range 3 {
		for _, end := range [...]struct{ at, sign float64 }{{in.lo[k], -1}, {in.hi[k], 1}} {
			if math.IsInf(end.at, 0) {
				continue
			}
			next := spare[:0]
			for i, a := range g {
				b := g[(i+1)%len(g)]
				da, db := end.sign*(end.at-a[k]), end.sign*(end.at-b[k])
				if da >= 0 {
					next = append(next, a)
				}
				if (da >= 0) != (db >= 0) {
					t := da / (da - db)
					var c [3]float64
					for m := range 3 {
						c[m] = a[m] + t*(b[m]-a[m])
					}
					next = append(next, c)
				}
			}
			if g, spare = next, g; len(g) == 0 {
				return nil
			}
		}
	}
	return g
}

// edgeOff keeps looks clear of the faces that a slot lies against, m.
const edgeOff = 1e-7
