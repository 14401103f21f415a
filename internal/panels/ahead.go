package panels

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// obstacle is what ends a way: a face of the air or a body.
type obstacle struct {
	face int // -1: none
	body *body
}

// name is the obstacle in words.
func (s *scene) name(o obstacle) string {
	switch {
	case o.body != nil:
		return o.body.name
	case o.face >= 0:
		return s.faces[o.face].name
	}
	return "air"
}

// bodyAhead is how far a disc of radius r can go along dir from p, at most far, before it meets a body that is not passed over, and
// which; nil where there is none. A tube keeps beside it the air that bodies want.
func (s *scene) bodyAhead(p, dir r3.Vec, r, far float64, isTube bool, pass func(*body) bool) (t float64, what *body) {
	t = far
	for i := range s.bodies {
		b := &s.bodies[i]
		if pass(b) {
			continue
		}
		if d, ok := sweep(b, p, dir, r+b.kept(isTube), t); ok {
			t, what = d, b
		}
	}
	return t, what
}

// blocked reports whether bodyAhead finds a body before far.
func (s *scene) blocked(p, dir r3.Vec, r, far float64, isTube bool, pass func(*body) bool) bool {
	for i := range s.bodies {
		if b := &s.bodies[i]; !pass(b) && reaches(b, p, dir, r+b.kept(isTube), far) {
			return true
		}
	}
	return false
}

// kept is the air that is kept to a body.
func (b *body) kept(byTube bool) float64 {
	if byTube {
		return b.air
	}
	return 0
}

// sweepStep is how closely it is found where a disc meets a body, m.
const sweepStep = 20e-6

// reaches reports whether a disc of radius r meets the body before it has gone far.
func reaches(b *body, p, dir r3.Vec, r, far float64) bool {
	if far <= 0 {
		return false
	}
	off := r3.Sub(b.centre, p)
	along := r3.Dot(off, dir)
	if along <= rounding-b.radius || along-b.radius >= far-rounding {
		return false
	}
	if away := r + b.radius; r3.Norm2(off)-along*along >= away*away {
		return false
	}
	lo, hi := b.span(dir)
	start := r3.Dot(p, dir)
	if hi <= start+rounding || lo >= start+far-rounding {
		return false
	}
	c := cone(portBody, p, dir, math.Min(far, hi-start), r, r)
	return c.meets(b, 0)
}

// sweep is how far a disc of radius r can go before it meets the body; ok is false where it can go far.
func sweep(b *body, p, dir r3.Vec, r, far float64) (t float64, ok bool) {
	if !reaches(b, p, dir, r, far) {
		return far, false
	}
	lo, hi := b.span(dir)
	start := r3.Dot(p, dir)
	if math.IsInf(far, 1) {
		far = hi - start
	}
	over := func(t float64) bool {
		c := cone(portBody, p, dir, t, r, r)
		return c.meets(b, 0)
	}
	if !over(far) { // it only touches
		return far, false
	}
	low, high := math.Max(lo-start, 0), far
	if low > 0 && !over(low+2*sweepStep) || low == 0 {
		for high-low > sweepStep {
			if mid := (low + high) / 2; over(mid) {
				high = mid
			} else {
				low = mid
			}
		}
	}
	return low, true
}
