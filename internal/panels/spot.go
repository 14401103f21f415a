package panels

import (
	"math"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// flatSine is below which a direction of the space counts as lying in a face, or square to one of its axes.
const flatSine = 1e-6

// hold keeps a thing at a spot of a face: in both directions of the face, or in the one that is known.
func (w *wanted) hold(f *face, s *Spot) {
	axes := [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	through, free := -1, -1 // the unknown direction that goes through the face most squarely, and the other one
	for k, known := range s.Known {
		if known {
			continue
		}
		if through < 0 || math.Abs(r3.Dot(f.N, axes[k])) > math.Abs(r3.Dot(f.N, axes[through])) {
			through, free = k, through
		} else {
			free = k
		}
	}
	p := s.At
	square := 0.0
	if through >= 0 {
		square = r3.Dot(f.N, axes[through])
	}
	if math.Abs(square) > flatSine {
		p = r3.Add(p, r3.Scale(r3.Dot(f.N, r3.Sub(f.O, p))/square, axes[through]))
	}
	at := f.To(p)
	if free < 0 {
		w.first, w.only = []plane.Point{at}, true
		return
	}
	way := axes[free]
	if math.Abs(square) > flatSine { // along the face
		way = r3.Sub(way, r3.Scale(r3.Dot(f.N, way)/square, axes[through]))
	}
	switch x, y := r3.Dot(way, f.X), r3.Dot(way, f.Y); {
	case math.Abs(x) < flatSine:
		w.in.Min.X, w.in.Max.X, w.like.X = at.X, at.X, at.X
		for i := range w.first {
			w.first[i].X = at.X
		}
	case math.Abs(y) < flatSine:
		w.in.Min.Y, w.in.Max.Y, w.like.Y = at.Y, at.Y, at.Y
		for i := range w.first {
			w.first[i].Y = at.Y
		}
	}
}
