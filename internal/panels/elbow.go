package panels

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// arcPieces is into how many convex pieces the bend of an elbow is cut.
const arcPieces = 4

// elbowRadius is the radius of the elbow's centre line.
func (p *Port) elbowRadius() float64 {
	if p.ElbowRadius > 0 {
		return math.Max(p.ElbowRadius, p.outside()/2)
	}
	return p.outside()
}

// depths are the depths of the axis after the first elbow that are tried: as shallow as it goes, behind the drivers, half way, as
// deep as it goes.
func (s *scene) depths(l layout, deepest float64) []float64 {
	p := s.spec.Port
	od := p.outside()
	first := l.f.t + tubeStraight + p.elbowRadius()
	last := deepest - od/2 - tubeSide
	if last < first-rounding {
		return nil
	}
	out := []float64{first}
	if behind := s.fitted.drivers.sunk() + od/2 + math.Max(s.fitted.drivers.air(), tubeSide) + sweepStep; l.f.i == s.shell.driver && behind > first && behind < last {
		out = append(out, behind)
	}
	if last > first+rounding {
		out = append(out, (first+last)/2, last)
	}
	return out
}

// turns are the directions that a tube off a face can turn to.
func (f *face) turns() [4]r3.Vec {
	return [...]r3.Vec{f.x, r3.Scale(-1, f.x), f.y, r3.Scale(-1, f.y)}
}

// bent gives tubes that all turn one way, or two that turn away from each other, behind one another where they stand in a row
// along it.
func (s *scene) bent(l layout, straight []way, need, bar float64) ([]way, bool) {
	deepest := math.Inf(1)
	for _, w := range straight {
		deepest = math.Min(deepest, w.most)
	}
	var best []way
	longest := bar
	take := func(ways []way) {
		least := math.Inf(1)
		for _, w := range ways {
			if w.least > need+rounding {
				return
			}
			least = math.Min(least, w.most)
		}
		if least > longest {
			best, longest = ways, least
		}
	}
	step := s.spec.Port.outside() + tubeSide
	for _, e := range l.f.turns() {
		behind := make([]int, len(straight)) // how many stand before each in its way
		for i := range straight {
			for k := range straight {
				if d := r3.Sub(l.f.at(straight[k].at, 0), l.f.at(straight[i].at, 0)); r3.Dot(d, e) > step/2 && r3.Norm(r3.Sub(d, r3.Scale(r3.Dot(d, e), e))) < step {
					behind[i]++
				}
			}
		}
		most := 0
		for _, b := range behind {
			most = max(most, b)
		}
		for _, d := range s.depths(l, deepest-float64(most)*step) {
			ways := make([]way, 0, len(straight))
			for i, w := range straight {
				w, ok := s.turned(l.f, w, d+float64(behind[i])*step, e, longest)
				if !ok {
					break
				}
				ways = append(ways, w)
			}
			if len(ways) == len(straight) {
				take(ways)
			}
			if len(straight) == 2 && most > 0 { // away from each other
				ways = ways[:0:0]
				for i, w := range straight {
					dir := e
					if behind[i] > 0 {
						dir = r3.Scale(-1, e)
					}
					if w, ok := s.turned(l.f, w, d, dir, longest); ok {
						ways = append(ways, w)
					}
				}
				if len(ways) == 2 {
					take(ways)
				}
			}
		}
	}
	return best, best != nil
}

// turned gives a tube that turns to e with its axis at a depth; ok is false where the elbow does not go, or goes no further than
// bar.
func (s *scene) turned(f *face, w way, depth float64, e r3.Vec, bar float64) (way, bool) {
	r := s.spec.Port.elbowRadius()
	w.first, w.turn = depth-r, e
	w.least = w.first + r*math.Pi/2
	return w, s.goesOn(f, &w, 1, r3.Add(f.at(w.at, depth), r3.Scale(r, e)), e, bar)
}

// goesOn finds how far a tube goes from the end of its last elbow, and what it meets there; false where the elbow does not go, or
// where that is no further than bar.
func (s *scene) goesOn(f *face, w *way, elbows int, from, dir r3.Vec, bar float64) bool {
	_, half := s.spec.Port.mouthAir()
	if d, _ := s.shell.ahead(from, dir, s.spec.Port.outside()/2+tubeSide); w.least+d <= bar || math.IsInf(d, 1) ||
		s.stopped(f, from, dir, math.Max(bar-w.least, half-rounding)) {
		return false
	}
	done := (elbows - 1) * (1 + arcPieces) // up to the end of the elbow before it is clear
	if !s.clear(f, s.tubeBodies(f, *w, elbows, w.least)[done:]) {
		return false
	}
	run, facing := s.run(f, from, dir)
	w.most, w.facing = w.least+run, facing
	return run >= half && w.most > bar
}

// stopped reports whether a body ends such a run before far.
func (s *scene) stopped(f *face, p, dir r3.Vec, far float64) bool {
	return s.blocked(p, dir, s.spec.Port.outside()/2, far, true, func(b *body) bool { return s.own(f, b) })
}

// run is how far a tube inside the box can go from p in a direction, and what it meets; it keeps air to what is beside it.
func (s *scene) run(f *face, p, dir r3.Vec) (float64, obstacle) {
	r := s.spec.Port.outside() / 2
	d, wall := s.shell.ahead(p, dir, r+tubeSide)
	if t, b := s.bodyAhead(p, dir, r, d, true, func(b *body) bool { return s.own(f, b) }); b != nil {
		return t, obstacle{face: -1, body: b}
	}
	return d, obstacle{face: wall}
}

// twiceBent gives tubes with two elbows, which all turn alike, the second leg as long as it goes or half of that.
func (s *scene) twiceBent(l layout, straight []way, need, bar float64) (best []way, ok bool) {
	beside := s.spec.Port.outside()/2 + tubeSide
	deepest := math.Inf(1)
	for _, w := range straight {
		deepest = math.Min(deepest, w.most)
	}
	for _, e := range l.f.turns() {
		side := r3.Cross(e, l.f.n)
		for _, d := range s.depths(l, deepest) {
			run := math.Inf(1) // for the second leg, when it turns before what it looks at
			once := make([]way, 0, len(straight))
			for _, w := range straight {
				third := math.Inf(-1) // at most, less what a bend takes
				for _, again := range [...]r3.Vec{side, r3.Scale(-1, side), l.f.n, l.f.in()} {
					third = math.Max(third, l.f.far(l.f.at(w.at, d), again)+s.spec.Port.elbowRadius()*(math.Pi/2-2)-beside)
				}
				w, can := s.turned(l.f, w, d, e, bar-third)
				if !can {
					break
				}
				once = append(once, w)
				run = math.Min(run, w.most-w.least-s.spec.Port.elbowRadius()-beside)
			}
			if len(once) < len(straight) {
				continue
			}
			for _, again := range [...]r3.Vec{side, r3.Scale(-1, side), l.f.in(), l.f.n} {
				for _, second := range [...]float64{run, run / 2} {
					if ways, most := s.turnedAgain(l, once, second, again, need, bar); most > bar {
						best, bar, ok = ways, most, true
					}
				}
			}
		}
	}
	return best, ok
}

// turnedAgain gives tubes that turn once more after a second leg so long, and how far the shortest goes; nil where one does not go,
// goes no further than bar or meets another.
func (s *scene) turnedAgain(l layout, once []way, second float64, again r3.Vec, need, bar float64) ([]way, float64) {
	r, least := s.spec.Port.elbowRadius(), math.Inf(1)
	if second < 0 {
		return nil, bar
	}
	ways := make([]way, 0, len(once))
	var stand []body
	for _, u := range once {
		u.second, u.again = second, again
		u.least = u.first + second + 2*r*math.Pi/2
		from := r3.Add(l.f.at(u.at, u.first+r), r3.Add(r3.Scale(2*r+second, u.turn), r3.Scale(r, again)))
		if u.least > need+rounding || !s.goesOn(l.f, &u, 2, from, again, bar) {
			return nil, bar
		}
		if len(once) > 1 {
			bodies := s.tubeBodies(l.f, u, 2, u.most)
			for i := range bodies {
				if slices.ContainsFunc(stand, func(o body) bool { return bodies[i].meets(&o, tubeSide) }) {
					return nil, bar
				}
			}
			stand = append(stand, bodies...)
		}
		ways, least = append(ways, u), math.Min(least, u.most)
	}
	return ways, least
}

// clear reports whether bodies of a tube off a face keep their air to the walls and to what stands in the box.
func (s *scene) clear(f *face, bodies []body) bool {
	for i := range bodies {
		b := &bodies[i]
		if room, _ := s.shell.within(b, f.i, tubeSide); room < tubeSide-rounding {
			return false
		}
		for k := range s.bodies {
			if o := &s.bodies[k]; !s.own(f, o) && b.meets(o, o.air) {
				return false
			}
		}
	}
	return true
}

// legs are the directions and lengths of the straight legs of a tube with a centre line so long.
func (s *scene) legs(f *face, w way, elbows int, long float64) (dirs []r3.Vec, lengths []float64) {
	dirs = [...][]r3.Vec{{f.in()}, {f.in(), w.turn}, {f.in(), w.turn, w.again}}[elbows]
	lengths = []float64{w.first, w.second, 0}[:elbows+1]
	rest := long - float64(elbows)*s.spec.Port.elbowRadius()*math.Pi/2
	for _, l := range lengths[:elbows] {
		rest -= l
	}
	lengths[elbows] = math.Max(rest, 0)
	return dirs, lengths
}

// line is the centre line of a tube so long, bends as sharp corners, and its straight legs.
func (s *scene) line(f *face, w way, elbows int, long float64) (at, dirs []r3.Vec, legs []float64) {
	dirs, legs = s.legs(f, w, elbows, long)
	at = []r3.Vec{f.at(w.at, 0)}
	for k, l := range legs { // to the corner where the legs beside a bend would meet
		if k > 0 {
			l += s.spec.Port.elbowRadius()
		}
		if k < elbows {
			l += s.spec.Port.elbowRadius()
		}
		at = append(at, r3.Add(at[k], r3.Scale(l, dirs[k])))
	}
	return at, dirs, legs
}

// tubeBodies are what a tube so long takes inside the box: straight pieces and the pieces of its bends, which hold them.
func (s *scene) tubeBodies(f *face, w way, elbows int, long float64) []body {
	r, bend := s.spec.Port.outside()/2, s.spec.Port.elbowRadius()
	out := make([]body, 0, 1+elbows*(1+arcPieces))
	dirs, legs := s.legs(f, w, elbows, long)
	from := f.at(w.at, f.t)
	legs[0] -= f.t
	for k, l := range legs {
		end := r3.Add(from, r3.Scale(l, dirs[k]))
		if l > rounding {
			b := cone(portBody, from, dirs[k], l, r, r)
			b.tube = &roundTube{from: from, to: end, radius: r}
			out = append(out, b)
		}
		if k < elbows {
			out, from = arc(out, end, dirs[k], dirs[k+1], r, bend)
		}
	}
	for k := range out {
		out[k].air = tubeSide
	}
	return out
}

// arc adds the pieces of a bend that goes from one direction into another, and gives where it ends.
func arc(out []body, from, dir, to r3.Vec, r, bend float64) ([]body, r3.Vec) {
	half := math.Pi / 4 / arcPieces
	wide := r + (bend+r)*(1/math.Cos(half)-1) // so that the hull of two discs holds the bend between them
	hub := r3.Add(from, r3.Scale(bend, to))
	var last disc
	for k := range arcPieces + 1 {
		a := float64(k) / arcPieces * math.Pi / 2
		spoke := r3.Add(r3.Scale(-math.Cos(a), to), r3.Scale(math.Sin(a), dir))
		next := disc{at: r3.Add(hub, r3.Scale(bend, spoke)), n: r3.Add(r3.Scale(math.Cos(a), dir), r3.Scale(math.Sin(a), to)), radius: wide}
		if k > 0 {
			out = append(out, body{kind: portBody, discs: []disc{last, next}}.bounded())
		}
		last = next
	}
	return out, last.at
}
