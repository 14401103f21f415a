package design

import (
	"math"
	"sort"

	"cubby/internal/panels"
	"cubby/internal/plane"
)

// Shrink is the dimension of the box that gives way when the space has more air than is wanted.
type Shrink string

// The dimensions. A box of less depth moves its back to the front, or its front to the back when the driver faces the back;
// one of less height still stands on the floor.
const (
	ShrinkWidth  Shrink = "width"
	ShrinkDepth  Shrink = "depth"
	ShrinkHeight Shrink = "height"
)

// shrinkSteps is how finely the air of a box is tabled over its depth or height, whose section need not be a rectangle.
// Between two steps it is taken as linear, within a thousandth of the air; the exact figure comes with the wood.
const shrinkSteps = 48

// A sizing tells how much air a room's box holds, and how much it is outside, at every size of the dimension that gives way.
type sizing struct {
	by         Shrink
	face       string    // of the driver
	full       float64   // m, of the room
	size       []float64 // m, rising
	net, outer []float64 // m3 at these sizes
}

// newSizing makes the table of a room's box at its full size.
func newSizing(by Shrink, face string, box *panels.Box) sizing {
	z := sizing{by: by, face: face}
	bounds := box.Section.Bounds()
	switch by {
	case ShrinkDepth:
		z.full = bounds.Width()
	case ShrinkHeight:
		z.full = bounds.Height()
	default: // the air goes with the width exactly
		z.by, z.full = ShrinkWidth, box.Width
		z.size = []float64{0, box.Width}
		z.net = []float64{box.NetVolume - box.Inside.Area()*box.Width, box.NetVolume}
		z.outer = []float64{0, box.OuterVolume}
		return z
	}
	board, inside := box.Spec.Wood.Thickness, box.Inside.Area()
	for k := range shrinkSteps + 1 {
		size := z.full * float64(k) / shrinkSteps
		lost := inside - z.area(box.Inside, bounds, size-board)
		if k == shrinkSteps {
			lost = 0
		}
		z.size = append(z.size, size)
		z.net = append(z.net, box.NetVolume-lost*box.InsideWidth)
		z.outer = append(z.outer, z.area(box.Section, bounds, size)*box.Width)
	}
	return z
}

// area is the area of what a cut at the given size, measured from the outside that stays, leaves of a section.
func (z sizing) area(g plane.Polygon, bounds plane.Rect, size float64) float64 {
	if size <= 0 {
		return 0
	}
	return z.cut(g, bounds, size).Area()
}

// cut is what a cut at the given size leaves of a section; the largest piece where there are several.
func (z sizing) cut(g plane.Polygon, bounds plane.Rect, size float64) plane.Polygon {
	var pieces []plane.Polygon
	switch {
	case z.by == ShrinkHeight:
		pieces = cutAt(g, "top", bounds.Min.Y+size)
	case z.face == "back":
		pieces = cutAt(g, "front", bounds.Max.X-size)
	default:
		pieces = cutAt(g, "back", bounds.Min.X+size)
	}
	if len(pieces) == 0 {
		return nil
	}
	return pieces[0]
}

// sizeFor is the size that holds so much net air.
func (z sizing) sizeFor(net float64) float64 { return between(z.net, z.size, net) }

// perSize is the net air gained per metre at a size, m2.
func (z sizing) perSize(size float64) float64 {
	i := segment(z.size, size)
	return (z.net[i+1] - z.net[i]) / (z.size[i+1] - z.size[i])
}

// segment is the stretch of rising values that v lies in, the first or last one when it lies outside.
func segment(values []float64, v float64) int {
	i := sort.SearchFloat64s(values, v) - 1
	return max(0, min(i, len(values)-2))
}

// between reads a table of rising x, linear between its rows and beyond them.
func between(x, y []float64, at float64) float64 {
	i := segment(x, at)
	if x[i+1] == x[i] {
		return y[i]
	}
	return y[i] + (y[i+1]-y[i])*(at-x[i])/(x[i+1]-x[i])
}

// sizeFor gives the size that holds so much net air, before rounding.
func (r *room) sizeFor(net float64) float64 { return r.sizing.sizeFor(net) }

// widthFor gives the outside width of the box that holds so much net air, before rounding.
func (r *room) widthFor(net float64) float64 {
	if r.sizing.by == ShrinkWidth {
		return r.sizing.sizeFor(net)
	}
	return r.width
}

// gross is the outside volume of the box in this room that holds so much net air and port.
func (r *room) gross(net float64) float64 {
	return between(r.sizing.size, r.sizing.outer, r.sizing.sizeFor(net))
}

// sized is the room's box of another size, without a port.
func (r *room) sized(size float64) panels.Spec {
	spec := r.spec
	if size >= r.sizing.full {
		return spec
	}
	o := r.outside
	if r.sizing.by == ShrinkWidth {
		o.width = size
		o.left += (r.width - size) / 2
	} else {
		o.section, _ = roundSection(r.sizing.cut(o.section, o.section.Bounds(), math.Max(size, 0)), spec.RoundTo)
	}
	spec.Outside = o.solid()
	return spec
}
