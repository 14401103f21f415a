package panels

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Outlet is a thing on the outside of a box that wants room before it; metres, in the coordinates of the space.
type Outlet struct {
	Kind        HoleKind // HoleDriver, HolePort, HoleSlot, HoleTerminal or HoleCable
	At, Out     r3.Vec   // its middle on the outer face, and the unit vector that points out of the box
	Along       r3.Vec   // unit vector along its longer side
	Long, Short float64  // half of its size, the flange of a driver or a tube included; equal where it is round
}

// outlets lists what wants room before it.
func (s *scene) outlets() []Outlet {
	var out []Outlet
	for _, o := range s.openings() {
		kind := openingKinds[o.kind].outlet
		if kind == "" {
			continue
		}
		f := &s.faces[o.face]
		l := Outlet{Kind: kind, At: f.at(o.at, 0), Out: f.N, Along: f.X, Long: math.Max(o.hx, o.hy), Short: math.Min(o.hx, o.hy)}
		if o.hy > o.hx {
			l.Along = f.Y
		}
		out = append(out, l)
	}
	return out
}
