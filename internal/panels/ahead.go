package panels

import (
	"math"
	"slices"

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

// bodyAhead is how far a disc of radius r can go along dir from p before it meets a body, and which; far and what where there is none
// nearer. The disc is of a thing of kind by: others of its kind are passed over, and a tube keeps beside it the air that bodies want.
func (s *scene) bodyAhead(by bodyKind, p, dir r3.Vec, r, far float64, what obstacle) (float64, obstacle) {
	for i := range s.bodies {
		b := &s.bodies[i]
		if b.kind == by {
			continue
		}
		if d, ok := sweep(b, p, dir, r+b.kept(by), far); ok {
			far, what = d, obstacle{face: -1, body: b}
		}
	}
	return far, what
}

// blocked reports whether bodyAhead finds a body before far.
func (s *scene) blocked(by bodyKind, p, dir r3.Vec, r, far float64) bool {
	return slices.ContainsFunc(s.bodies, func(b body) bool { return b.kind != by && reaches(&b, p, dir, r+b.kept(by), far) })
}

// kept is the air that a thing of a kind keeps to a body.
func (b *body) kept(by bodyKind) float64 {
	if by == portBody {
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
