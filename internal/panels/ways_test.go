package panels

import (
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/duct"

	"gonum.org/v1/gonum/spatial/r3"
)

// Every port in random boxes keeps the distances that it is said to, measured by shots and not by what placed it; its legs and bends
// add up to its length, and what they take off to the length that acts.
func TestWaysOfPorts(t *testing.T) {
	tubes, slots, bent := 0, 0, 0
	for seed := range uint64(120) {
		spec, ok := randomFitted(rand.New(rand.NewPCG(seed, 5)))
		if !ok || spec.Port == nil {
			continue
		}
		sc, box, err := plan(&spec)
		if err != nil {
			continue
		}
		for i, p := range box.Ports {
			end, dir := p.Line[len(p.Line)-1], p.Directions[len(p.Directions)-1]
			size, length, acts := spec.Port.outside()/2, 0.0, 0.0
			for _, l := range p.Legs {
				length += l
			}
			acts = length
			if p.Height > 0 {
				slots++
				size = p.Height / 2
				if k := sc.slot(); len(k.roofs) < len(k.legs) {
					acts -= duct.FoldCut(p.Height, spec.Wood.Thickness, p.Height)
				} else {
					for k := 1; k < len(p.Directions); k++ {
						acts -= duct.TurnCut(p.Height, math.Acos(math.Max(-1, math.Min(1, r3.Dot(p.Directions[k-1], p.Directions[k])))))
					}
				}
			} else {
				tubes++
				for range len(p.Legs) - 1 {
					length += p.Bend * math.Pi / 2
					acts += p.Bend*math.Pi/2 - duct.ElbowCut(spec.Port.Bore/2, p.Bend, math.Pi/2)
				}
			}
			if math.Abs(length-p.Length) > 1e-9 || math.Abs(acts-p.Effective) > 1e-9 || math.Abs(acts-spec.Port.Length) > 1e-9 {
				t.Errorf("seed %d: legs make %g acting as %g, said %g and %g, wanted %g", seed, length, acts, p.Length, p.Effective, spec.Port.Length)
			}
			if len(p.Legs) > 1 {
				bent++
			}
			sc.shootAhead(t, seed, end, dir, size*0.999, p.FreeEnd)
			if p.Height == 0 {
				sc.keepsAir(t, seed, &sc.fitted.ports[i])
			}
		}
	}
	t.Logf("%d tubes, %d slots, %d of both bent", tubes, slots, bent)
	if tubes == 0 || slots == 0 || bent == 0 {
		t.Error("some kind of port was never made")
	}
}

// shootAhead sends shots from the inner end along the way of the air: none is shorter than the free air, to walls.
func (s *scene) shootAhead(t *testing.T, seed uint64, end, dir r3.Vec, r, free float64) {
	t.Helper()
	u, v := perpendicular(dir)
	for k := range 24 {
		a := float64(k) * math.Pi / 12
		for _, share := range [...]float64{0, 0.5, 1} {
			p := r3.Add(end, r3.Add(r3.Scale(r*share*math.Cos(a), u), r3.Scale(r*share*math.Sin(a), v)))
			if !s.shell.air.Contains(p) {
				t.Errorf("seed %d: the inner end stands in a wall", seed)
				return
			}
			for face := range s.shell.air.Faces {
				f := &s.shell.air.Faces[face]
				if d := f.Depth(p) / r3.Dot(f.N, dir); d > 1e-9 && d < free-1e-6 && s.shell.air.OnFace(face, r3.Add(p, r3.Scale(d, dir))) {
					t.Errorf("seed %d: %g of air said before the inner end, a shot finds the %s at %g", seed, free, s.faces[face].name, d)
					return
				}
			}
		}
	}
}

func perpendicular(dir r3.Vec) (u, v r3.Vec) {
	u = r3.Vec{X: 1}
	if math.Abs(dir.X) > 0.9 {
		u = r3.Vec{Y: 1}
	}
	u = r3.Unit(r3.Cross(dir, u))
	return u, r3.Cross(dir, u)
}

// keepsAir samples the surface of a tube after its first bend for the air beside it, and of all of it for what stands in the box.
func (s *scene) keepsAir(t *testing.T, seed uint64, b *port) {
	t.Helper()
	r := s.spec.Port.outside() / 2
	at := s.faces[b.face].at(b.at, s.faces[b.face].t)
	bend := b.path.Bend
	for i, l := range b.path.Legs {
		dir := b.path.Directions[i]
		if i == 0 {
			l -= s.faces[b.face].t
		}
		s.sampleLeg(t, seed, at, dir, l, r, i > 0)
		at = r3.Add(at, r3.Scale(l, dir))
		if i+1 == len(b.path.Legs) {
			break
		}
		next := b.path.Directions[i+1]
		hub := r3.Add(at, r3.Scale(bend, next))
		for k := range 10 {
			a := (float64(k) + 0.5) * math.Pi / 20
			c := r3.Add(hub, r3.Add(r3.Scale(-bend*math.Cos(a), next), r3.Scale(bend*math.Sin(a), dir)))
			tangent := r3.Add(r3.Scale(math.Cos(a), dir), r3.Scale(math.Sin(a), next))
			s.sampleLeg(t, seed, c, tangent, 0, r, true)
		}
		at = r3.Add(hub, r3.Scale(bend, dir))
	}
}

func (s *scene) sampleLeg(t *testing.T, seed uint64, from, dir r3.Vec, l, r float64, beside bool) {
	t.Helper()
	u, v := perpendicular(dir)
	for k := range 8 {
		for m := range 16 {
			a := float64(m) * math.Pi / 8
			out := r3.Add(r3.Scale(math.Cos(a), u), r3.Scale(math.Sin(a), v))
			p := r3.Add(from, r3.Add(r3.Scale(l*(float64(k)+0.5)/8, dir), r3.Scale(r, out)))
			reach := 0.0
			if beside {
				reach = tubeSide - 1e-6
			}
			for _, d := range [...]float64{1e-6, reach} {
				if q := r3.Add(p, r3.Scale(d, out)); d > 0 && !s.shell.air.Contains(q) {
					t.Errorf("seed %d: %g outside the tube at %v is a wall", seed, d, p)
					return
				}
			}
			dot := newBody(portBody, "", []r3.Vec{p}, 0)
			for i := range s.bodies {
				if o := &s.bodies[i]; o.kind == driverBody && gap(&dot, o, o.air) < o.air-1e-6 {
					t.Errorf("seed %d: %g of air between the tube and a driver, wanted %g", seed, gap(&dot, o, 1), o.air)
					return
				}
			}
		}
	}
}
