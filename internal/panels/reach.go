package panels

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// PortReach gives which ports the box of a spec allows: the least and the longest length that acts, whatever length the spec asks
// for, and what ends it. The port's bore, or its height and width, its count and its face count; so do the driver and all that
// stands in the box before the port. Between the two there may be lengths that are too long to be straight and too short to bend.
// Most is 0 where no such port goes in. The error says why there is no box.
func PortReach(s Spec) (Reach, error) {
	if s.Port == nil {
		return Reach{}, nil
	}
	p := *s.Port
	p.Length = 1e-3 // any that passes for one
	s.Port = nil
	if err := s.validate(); err != nil {
		return Reach{}, err
	}
	s.Count = max(s.Count, 1)
	sh, err := newShell(&s)
	if err != nil {
		return Reach{}, err
	}
	sc := &scene{spec: &s, shell: sh}
	if err := sc.furnish(); err != nil {
		return Reach{}, err
	}
	bare := &scene{spec: sc.spec, shell: sh, faces: sc.faces, cleats: sc.cleats}
	for i := range sc.pieces {
		if k := sc.pieces[i].role; k == Doubler || k == Cleat {
			bare.pieces = append(bare.pieces, sc.pieces[i])
		}
	}
	for i := range sc.bodies {
		switch sc.bodies[i].kind {
		case driverBody, cleatBody, layerBody, nutBody:
			if p.Bore > 0 || sc.bodies[i].kind != driverBody {
				bare.bodies = append(bare.bodies, sc.bodies[i])
			}
		}
	}
	bare.fitted.fixings = sc.fitted.fixings
	s.Port = &p
	if p.Bore <= 0 {
		return bare.slotReach(), nil
	}
	bare.fitted.drivers = sc.fitted.drivers
	p.Length = math.Inf(1)
	_, reach := bare.longest()
	return reach, nil
}

// longest gives what all places allow, and the places by which it grew. The longest leaves air in the box.
func (s *scene) longest() (all []candidate, reach Reach) {
	p := s.spec.Port
	_, half := p.mouthAir()
	od := p.outside()
	air := s.airLeft() / (float64(max(p.Count, 1)) * math.Pi / 4 * od * od)
	reach.Why = say("no face has room for its hole and the air behind it; the hole's edge wants %s of wood to every joint and %s to a driver's frame",
		Length(p.margin()-od/2), Length(tubeFrame))
	reach.Least = math.Inf(1)
	ways := slices.Collect(s.layouts)
	slices.SortStableFunc(ways, func(a, b layout) int { return cmp.Compare(s.longestIn(b), s.longestIn(a)) })
	for _, l := range ways {
		bar := math.Inf(-1)
		if n := len(all); n > 0 {
			bar = all[n-1].acts + half + p.cut(l.elbows) + rounding
		}
		was := s.shift(l.drivers)
		if c := s.tryLayout(l, math.Inf(1), bar); !math.IsInf(c.value, -1) {
			c.acts = c.value - half - p.cut(l.elbows)
			reach.Least = math.Min(reach.Least, l.f.t-p.cut(0))
			reach.Why = say("on the %s its inner end keeps %s to the %s", l.f.name, Length(half), s.name(s.endOf(&c)))
			if most := air + l.f.t - p.cut(l.elbows); c.acts > most {
				c.acts = most
				reach.Why = say("the air that is left")
			}
			if n := len(all); n == 0 || c.acts > all[n-1].acts {
				all = append(all, c)
			}
		}
		s.shift(was)
	}
	if n := len(all); n > 0 {
		reach.Most = math.Max(all[n-1].acts, 0)
	}
	if reach.Most == 0 {
		reach.Least = 0
	}
	return all, reach
}

// endOf is what the longest tube of a candidate looks at.
func (s *scene) endOf(c *candidate) obstacle {
	ways, ok := s.bestWays(c.layout, c.at, math.Inf(1), math.Inf(-1))
	if !ok {
		return obstacle{face: -1}
	}
	least := ways[0]
	for _, w := range ways {
		if w.most < least.most {
			least = w
		}
	}
	return least.facing
}

// longestIn is what no centre line of a layout exceeds: how far the air reaches behind the face, from its outer face, and for
// each elbow how far it reaches that way.
func (s *scene) longestIn(l layout) float64 {
	lo, _ := s.shell.reaching(l.f.n)
	long := r3.Dot(l.f.o, l.f.n) - lo
	if l.elbows > 0 {
		p := s.spec.Port
		lost := p.outside() + 2*tubeSide + p.elbowRadius()*(2-math.Pi/2) // beside both legs, and round the bend
		along, up, through := s.extents(l.f)
		long += math.Max(along, up) - lost
		if l.elbows > 1 {
			long += math.Max(math.Max(along, up), through) - lost
		}
	}
	return math.Max(long, 0)
}

// bound is what no centre line of a tube with elbows at p exceeds: as deep as the walls let it go, and then as far as the air goes.
func (s *scene) bound(l layout, p plane.Point) float64 {
	port := s.spec.Port
	r, beside := port.elbowRadius(), port.outside()/2+tubeSide
	deep, _ := s.shell.ahead(l.f.at(p, l.f.t), l.f.in(), port.outside()/2)
	from := l.f.at(p, 0)
	var far [2]float64 // along the face and up it
	for k, dir := range [...]r3.Vec{l.f.x, l.f.y} {
		far[k] = math.Max(s.far(from, dir), s.far(from, r3.Scale(-1, dir)))
	}
	most := deep + l.f.t - beside + math.Max(far[0], far[1]) + r*(math.Pi/2-2)
	if l.elbows > 1 {
		_, _, through := s.extents(l.f)
		third := math.Max(far[0]+math.Max(far[1], through), far[1]+math.Max(far[0], through)) - math.Max(far[0], far[1])
		most += third + r*(math.Pi/2-2) - beside
	}
	return most
}

// far is how far the air goes from p along a unit vector, at most.
func (s *scene) far(p, dir r3.Vec) float64 {
	_, hi := s.shell.reaching(dir)
	return hi - r3.Dot(p, dir)
}

// extents are how far the air reaches along a face, up it and square to it.
func (s *scene) extents(f *face) (along, up, through float64) {
	x0, x1 := s.shell.reaching(f.x)
	y0, y1 := s.shell.reaching(f.y)
	n0, n1 := s.shell.reaching(f.n)
	return x1 - x0, y1 - y0, n1 - n0
}

// reaching is the stretch of the air along a unit vector.
func (sh *shell) reaching(dir r3.Vec) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range sh.air.Faces {
		for _, p := range sh.air.Faces[i].Loops[0].At {
			d := r3.Dot(p, dir)
			lo, hi = math.Min(lo, d), math.Max(hi, d)
		}
	}
	return lo, hi
}
