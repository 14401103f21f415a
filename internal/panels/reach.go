package panels

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// PortReach gives which ports the box of a spec allows: the least and the longest length that acts, whatever length the spec asks
// for, and what ends it. The port's bore, or its height and width, its count and its face count; so do the driver and all that
// stands in the box before the port. Between the two there may be lengths that are too long to be straight and too short to bend.
// Most is 0 where no such port goes in; where the air that is left ends it (2 % of all of it is kept), somewhat more may go in. The
// error says why there is no box.
func PortReach(s Spec) (Reach, error) {
	if s.Port == nil {
		return Reach{}, nil
	}
	p := *s.Port
	p.Length = 1e-3 // any that passes for one
	s.Port = &p
	sc, err := begin(&s)
	if err != nil {
		return Reach{}, err
	}
	if p.isSlot() {
		return sc.slotReach(), nil
	}
	if sc.fitted.drivers, err = placeDriver(sc); err != nil {
		return Reach{}, err
	}
	_, reach := sc.longest()
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
			why := say("on the %s its inner end keeps %s to the %s", l.f.name, Length(half), s.name(s.endOf(&c)))
			if most := air + l.f.t - p.cut(l.elbows); c.acts > most {
				c.acts, why = most, say(airIsLeft)
			}
			if c.acts >= l.f.t-p.cut(0) && (len(all) == 0 || c.acts > all[len(all)-1].acts) && s.take(&c, c.acts, false) != nil {
				all, reach.Why = append(all, c), why
				reach.Least = math.Min(reach.Least, l.f.t-p.cut(0))
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
	ways, ok := s.bestWays(c.layout, c.at, math.Inf(1), c.value-rounding)
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
	long := r3.Dot(l.f.O, l.f.N) - s.shell.reaching(l.f.N)[0]
	if l.elbows > 0 {
		p := s.spec.Port
		along := math.Max(s.shell.stretch(l.f.X), s.shell.stretch(l.f.Y))
		lost := p.outside() + 2*tubeSide + p.elbowRadius()*(2-math.Pi/2) // beside both legs, and round the bend
		long += along - lost
		if l.elbows > 1 {
			long += math.Max(along, s.shell.stretch(l.f.N)) - lost
		}
	}
	return math.Max(long, 0)
}

// stretch is how far the air reaches along a unit vector.
func (sh *shell) stretch(dir r3.Vec) float64 {
	to := sh.reaching(dir)
	return to[1] - to[0]
}

// reaching is the stretch of the air along a unit vector.
func (sh *shell) reaching(dir r3.Vec) (to [2]float64) {
	to = [2]float64{math.Inf(1), math.Inf(-1)}
	for i := range sh.air.Faces {
		for _, p := range sh.air.Faces[i].Loops[0].At {
			d := r3.Dot(p, dir)
			to[0], to[1] = min(to[0], d), max(to[1], d)
		}
	}
	return to
}
