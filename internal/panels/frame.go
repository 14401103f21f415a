package panels

import (
	"math"

	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// Frame places a panel in the space, m: the origin is on its outer face, N points out of the box.
type Frame = solid.Frame

// acrossTurn is the share of its normal along the width from which a board counts as looking left or right.
const acrossTurn = 0.87

// frameOf is the panel frame of a board with the outer plane and the outline of its outer face: seen from outside, x to the
// right (along the width, where the board does not look that way), y up; the origin is the lower left of the rectangle round it.
func frameOf(outer solid.Plane, outline []r3.Vec) solid.Frame {
	z := outer.N
	if math.Abs(z.X) < acrossTurn {
		x := clean(r3.Unit(r3.Sub(r3.Vec{X: 1}, r3.Scale(z.X, z))))
		return frameAlong(outer, x, clean(r3.Cross(z, x)), outline)
	}
	y := clean(r3.Unit(r3.Sub(r3.Vec{Z: 1}, r3.Scale(z.Z, z))))
	return frameAlong(outer, clean(r3.Cross(y, z)), y, outline)
}

// barFrame is frameOf, with x along the side of a rectangle that lies nearest to it: the blank of a bar that lies askew is the bar.
func barFrame(outer solid.Plane, outline []r3.Vec) solid.Frame {
	f := frameOf(outer, outline)
	if len(outline) != 4 {
		return f
	}
	a, b := r3.Unit(r3.Sub(outline[1], outline[0])), r3.Unit(r3.Sub(outline[2], outline[1]))
	c := r3.Unit(r3.Sub(outline[3], outline[2]))
	if math.Abs(r3.Dot(a, b)) > sameSize || r3.Dot(a, c) > sameSize-1 {
		return f
	}
	x := a
	if math.Abs(r3.Dot(f.X, a)) < math.Abs(r3.Dot(f.X, b)) {
		x = b
	}
	if x = clean(r3.Scale(math.Copysign(1, r3.Dot(f.X, x)), x)); r3.Dot(x, f.X) > 1-sameSize*sameSize {
		return f
	}
	return frameAlong(outer, x, clean(r3.Cross(outer.N, x)), outline)
}

// frameAlong is the frame on an outer plane whose axes are given.
func frameAlong(outer solid.Plane, x, y r3.Vec, outline []r3.Vec) solid.Frame {
	z := outer.N
	lo := plane.Point{X: math.Inf(1), Y: math.Inf(1)}
	for _, p := range outline {
		lo = plane.Point{X: math.Min(lo.X, r3.Dot(p, x)), Y: math.Min(lo.Y, r3.Dot(p, y))}
	}
	o := r3.Scale(outer.D, z)
	o = r3.Add(o, r3.Scale(lo.X-r3.Dot(o, x), x))
	return solid.Frame{O: r3.Add(o, r3.Scale(lo.Y-r3.Dot(o, y), y)), X: x, Y: y, N: r3.Cross(x, y)}
}

// clean sets to 0 what arithmetic left of one.
func clean(v r3.Vec) r3.Vec {
	for _, c := range [...]*float64{&v.X, &v.Y, &v.Z} {
		if math.Abs(*c) < 1e-15 {
			*c = 0
		}
	}
	return v
}
