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
	return [...]r3.Vec{f.X, r3.Scale(-1, f.X), f.Y, r3.Scale(-1, f.Y)}
}

// turnAll turns every way, and gives how far the shortest then goes; nil where one does not go.
func turnAll(ways []way, turn func(i int, w way) (way, bool)) (out []way, most float64) {
	out, most = make([]way, 0, len(ways)), math.Inf(1)
	for i, w := range ways {
		w, ok := turn(i, w)
		if !ok {
			return nil, math.Inf(-1)
		}
		out, most = append(out, w), math.Min(most, w.most)
	}
	return out, most
}

// bent gives tubes that all turn one way, or two that turn away from each other, behind one another where they stand in a row
// along it.
func (s *scene) bent(l layout, straight []way, need, bar float64) (best []way, ok bool) {
	r, step := s.spec.Port.elbowRadius(), s.spec.Port.outside()+tubeSide
	for _, e := range l.f.turns() {
		behind := make([]float64, len(straight)) // how far those that stand before each in its way push it back
		for i := range straight {
			for k := range straight {
				if d := r3.Sub(l.f.at(straight[k].at, 0), l.f.at(straight[i].at, 0)); r3.Dot(d, e) > step/2 && r3.Norm(r3.Sub(d, r3.Scale(r3.Dot(d, e), e))) < step {
					behind[i] += step
				}
			}
		}
		most := slices.Max(behind)
		for _, d := range s.depths(l, deepest(straight)-most) {
			for _, apart := range [...]bool{false, true} { // two may turn away from each other
				if apart && (len(straight) != 2 || most == 0) {
					continue
				}
				ways, far := turnAll(straight, func(i int, w way) (way, bool) {
					switch {
					case !apart:
						return s.turned(l.f, w, d+behind[i]-r, e, need, bar)
					case behind[i] > 0:
						return s.turned(l.f, w, d-r, r3.Scale(-1, e), need, bar)
					}
					return s.turned(l.f, w, d-r, e, need, bar)
				})
				if far > bar {
					best, bar = ways, far
				}
			}
		}
	}
	return best, best != nil
}

// deepest is how far all of the ways go.
func deepest(ways []way) float64 {
	least := math.Inf(1)
	for _, w := range ways {
		least = math.Min(least, w.most)
	}
	return least
}

// turned gives a tube that goes on for a run and turns into dir; ok is false where the elbow does not go, takes more than need of
// the centre line, or goes no further than bar.
func (s *scene) turned(f *face, w way, run float64, dir r3.Vec, need, bar float64) (way, bool) {
	r, along := s.spec.Port.elbowRadius(), w.dirs[w.elbows]
	if w.elbows == 0 {
		w.least = 0
	}
	w.runs[w.elbows] = run
	w.elbows++
	w.dirs[w.elbows] = dir
	w.least += run + r*math.Pi/2
	w.from = r3.Add(w.from, r3.Add(r3.Scale(run+r, along), r3.Scale(r, dir)))
	return w, w.least <= need+rounding && s.goesOn(f, &w, bar)
}

// goesOn finds how far a tube goes from the end of its last elbow, and what it meets there; false where the elbow does not go, or
// where that is no further than bar.
func (s *scene) goesOn(f *face, w *way, bar float64) bool {
	_, half := s.spec.Port.mouthAir()
	r, dir := s.spec.Port.outside()/2, w.dirs[w.elbows]
	d, wall := s.shell.ahead(w.from, dir, r+tubeSide) // it keeps air to what is beside it
	if w.least+d <= bar || math.IsInf(d, 1) || s.blocked(portBody, w.from, dir, r, math.Max(bar-w.least, half-rounding)) {
		return false
	}
	done := (w.elbows - 1) * (1 + arcPieces) // up to the end of the elbow before it is clear
	if !s.clear(f, s.tubeBodies(f, *w, w.least)[done:]) {
		return false
	}
	d, w.facing = s.bodyAhead(portBody, w.from, dir, r, d, obstacle{face: wall})
	w.most = w.least + d
	return d >= half && w.most > bar
}

// twiceBent gives tubes with two elbows, which all turn alike, the second leg as long as it goes or half of that.
func (s *scene) twiceBent(l layout, straight []way, need, bar float64) (best []way, ok bool) {
	r, beside := s.spec.Port.elbowRadius(), s.spec.Port.outside()/2+tubeSide
	third := math.Max(s.shell.stretch(l.f.X), math.Max(s.shell.stretch(l.f.Y), s.shell.stretch(l.f.N))) // at most
	for _, e := range l.f.turns() {
		side := r3.Cross(e, l.f.N)
		on := [...]r3.Vec{side, r3.Scale(-1, side), l.f.in(), l.f.N}
		for _, d := range s.depths(l, deepest(straight)) {
			run := math.Inf(1) // for the second leg, when it turns before what it looks at
			once, _ := turnAll(straight, func(_ int, w way) (way, bool) {
				w, ok := s.turned(l.f, w, d-r, e, need, bar-third)
				run = math.Min(run, w.most-w.least-r-beside)
				return w, ok
			})
			if once == nil || run < 0 {
				continue
			}
			for _, again := range on {
				for _, second := range [...]float64{run, run / 2} {
					if ways, most := s.turnedAgain(l, once, second, again, need, bar); most > bar {
						best, bar = ways, most
					}
				}
			}
		}
	}
	return best, best != nil
}

// turnedAgain gives tubes that turn once more after a second leg so long, and how far the shortest goes; nil where one does not go,
// goes no further than bar or meets another.
func (s *scene) turnedAgain(l layout, once []way, second float64, again r3.Vec, need, bar float64) ([]way, float64) {
	var stand []body
	return turnAll(once, func(_ int, w way) (way, bool) {
		w, ok := s.turned(l.f, w, second, again, need, bar)
		if !ok || len(once) == 1 {
			return w, ok
		}
		bodies := s.tubeBodies(l.f, w, w.most)
		for i := range bodies {
			ok = ok && !slices.ContainsFunc(stand, func(o body) bool { return bodies[i].meets(&o, tubeSide) })
		}
		stand = append(stand, bodies...)
		return w, ok
	})
}

// clear reports whether bodies of a tube off a face keep their air to the walls and to what stands in the box.
func (s *scene) clear(f *face, bodies []body) bool {
	for i := range bodies {
		b := &bodies[i]
		if room, _ := s.shell.within(b, f.i, tubeSide); room < tubeSide-rounding {
			return false
		}
		for k := range s.bodies {
			if o := &s.bodies[k]; b.meets(o, o.air) {
				return false
			}
		}
	}
	return true
}

// legs are the lengths of the straight legs of a tube with a centre line so long.
func (s *scene) legs(w *way, long float64) []float64 {
	long -= float64(w.elbows) * s.spec.Port.elbowRadius() * math.Pi / 2
	out := make([]float64, 0, mostElbows+1)
	for _, l := range w.runs[:w.elbows] {
		out = append(out, l)
		long -= l
	}
	return append(out, math.Max(long, 0))
}

// line is the centre line of a tube with such legs, bends as sharp corners.
func (s *scene) line(f *face, w *way, legs []float64) []r3.Vec {
	at := []r3.Vec{f.at(w.at, 0)}
	for k, l := range legs { // to the corner where the legs beside a bend would meet
		if k > 0 {
			l += s.spec.Port.elbowRadius()
		}
		if k < w.elbows {
			l += s.spec.Port.elbowRadius()
		}
		at = append(at, r3.Add(at[k], r3.Scale(l, w.dirs[k])))
	}
	return at
}

// tubeBodies are what a tube so long takes inside the box: straight pieces and the pieces of its bends, which hold them.
func (s *scene) tubeBodies(f *face, w way, long float64) []body {
	r, bend := s.spec.Port.outside()/2, s.spec.Port.elbowRadius()
	out := make([]body, 0, 1+w.elbows*(1+arcPieces))
	legs := s.legs(&w, long)
	from := f.at(w.at, f.t)
	legs[0] -= f.t
	for k, l := range legs {
		end := r3.Add(from, r3.Scale(l, w.dirs[k]))
		if l > rounding {
			b := cone(portBody, from, w.dirs[k], l, r, r)
			b.tube = &roundTube{from: from, to: end, radius: r}
			out = append(out, b)
		}
		if k < w.elbows {
			out, from = arc(out, end, w.dirs[k], w.dirs[k+1], r, bend)
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
