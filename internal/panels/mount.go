package panels

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/plane"
)

// Distances of drivers (common practice).
const (
	frameGap     = 10e-3 // of wood between the frames of two drivers
	frameWood    = 5e-3  // between a frame and a joint
	basketShare  = 0.6   // of a driver's depth is its basket, taken as wide as the cut-out: the wide side
	basketAir    = 5e-3  // beside it
	recessPlay   = 1e-3  // of the recess over the frame, in diameter
	recessFloor  = 6e-3  // of wood that a recess leaves at least
	chamferFloor = 2e-3  // of the opening's wall that a chamfer leaves at least
)

// cutout is the opening to cut; when it is not stated, what the frame lets one suppose for clearances, and false.
func (d Driver) cutout() (float64, bool) {
	switch {
	case d.Cutout > 0:
		return d.Cutout, true
	case d.Frame > 0:
		return 0.92 * d.Frame, false // common practice: the flange overlaps by 8 to 12 mm a side
	case d.Sd > 0:
		return 2 * math.Sqrt(d.Sd/math.Pi), false
	}
	return 0, false
}

// frame is the outside diameter of the flange, at least the cut-out.
func (d Driver) frame() float64 {
	c, _ := d.cutout()
	return math.Max(d.Frame, c)
}

// magnet is the diameter over which the depth behind is taken: the cut-out's where it is not known.
func (d Driver) magnet() float64 {
	if d.Magnet > 0 {
		return d.Magnet
	}
	c, _ := d.cutout()
	return c
}

// mount is a number of like drivers, or of passive radiators, which are drivers without a motor.
type mount struct {
	*Driver
	*Mounting
	count   int
	passive bool
}

// mounted is a mount as it stands on a face; without centres it is none.
type mounted struct {
	mount
	on      int
	centres []plane.Point
	fix     Fixing
	slot    *slot // settled together with the drivers
}

// drivers are the drivers to be mounted.
func (s *Spec) drivers() mount {
	return mount{Driver: &s.Driver, Mounting: &s.Mounting, count: max(s.Count, 1)}
}

// mounts are the drivers and, where there are any, the radiators.
func (s *Spec) mounts() []mount {
	out := []mount{s.drivers()}
	if r := s.Radiators; r != nil {
		out = append(out, mount{Driver: &r.Driver, Mounting: &r.Mounting, count: max(r.Count, 1), passive: true})
	}
	return out
}

// cones are the drivers and, where there are any, the radiators, as they stand.
func (s *scene) cones() []*mounted {
	if s.fitted.radiators.centres == nil {
		return []*mounted{&s.fitted.drivers}
	}
	return []*mounted{&s.fitted.drivers, &s.fitted.radiators}
}

// word is what is mounted, in words.
func (m mount) word() string {
	if m.passive {
		return "passive radiator"
	}
	return "driver"
}

// use is what its holes are for, besides a driver.
func (m mount) use() HoleUse {
	if m.passive {
		return UseRadiator
	}
	return ""
}

// kind is what stands behind the face.
func (m mount) kind() bodyKind {
	if m.passive {
		return radiatorBody
	}
	return driverBody
}

// air is what is wanted behind it; a radiator's mass moves as its cone does.
func (m mount) air() float64 {
	switch {
	case m.passive:
		return grade.Of(grade.DepthBehind).Pass + m.Excursion
	case m.Vent:
		return grade.Of(grade.DepthBehindVent).Pass
	}
	return grade.Of(grade.DepthBehind).Pass
}

// takes is the air that each takes; of a radiator of which it is not stated a third of the basket, as of a cone.
func (m mount) takes() float64 {
	cut, _ := m.cutout()
	switch {
	case m.Outside:
		return 0
	case m.passive && m.Displacement <= 0:
		return math.Pi / 4 * cut * cut * m.Depth / 3
	}
	return m.Displacement
}

// opened is the area of all their openings.
func (m mount) opened() float64 {
	cut, _ := m.cutout()
	return float64(m.count) * math.Pi / 4 * cut * cut
}

// gives is the air that they give where their magnets stand outside a face so thick: their openings and what their cones hold, a third
// of the basket.
func (m mount) gives(t float64) float64 {
	return m.opened() * (t + basketShare*m.Depth/3)
}

// sunk is how deep it goes, from the outer face: its depth, and the recess of its flange.
func (m mount) sunk() float64 {
	if m.Depth <= 0 || m.Outside {
		return 0
	}
	return m.Depth + m.Recess
}

// neck is how deep the basket goes, from the outer face, before only the magnet is left.
func (m mount) neck() float64 { return basketShare*m.Depth + m.Recess }

// flange is the diameter that it needs on its face: its frame, or the recess for it.
func (m mount) flange() float64 {
	if m.Recess > 0 {
		return m.frame() + recessPlay
	}
	return m.frame()
}

// opening is what one of them covers of its face.
func (m mount) opening(f *face, p plane.Point, number int) opening {
	r := m.flange() / 2
	o := opening{kind: driverOpening, number: number, face: f.i, at: p, round: true, hx: r, hy: r, circle: m.Circle / 2}
	if m.passive {
		o.kind = radiatorOpening
	}
	return o
}

// sinks refuses a recess or a chamfer that the face does not have the wood for.
func (s *scene) sinks(mo mount, f *face) error {
	bad := func(value, limit float64, form string, args ...any) error {
		return &BuildError{Reason: BadInput, Panel: f.name, Value: value, Limit: limit, Say: say(form, args...)}
	}
	under := s.underFlange(mo, f)
	switch {
	case mo.Recess > 0 && mo.Frame <= 0:
		return bad(mo.Recess, 0, "the %s's frame is not stated: a recess for its flange cannot be drawn", mo.word())
	case mo.Recess > 0 && under < recessFloor-rounding:
		return bad(mo.Recess, mo.Recess+under-recessFloor, "a recess of %s leaves only %s of the %s, and %s has to stay: %s or less, or a thicker face, would do",
			Length(mo.Recess), Length(math.Max(under, 0)), f.name, Length(recessFloor), Length(math.Max(mo.Recess+under-recessFloor, 0)))
	case mo.Chamfer > 0 && mo.Chamfer > under-chamferFloor+rounding:
		return bad(mo.Chamfer, under-chamferFloor, "a chamfer of %s is too deep for the %s of wood under the %s's flange: %s or less would do",
			Length(mo.Chamfer), Length(under), mo.word(), Length(math.Max(under-chamferFloor, 0)))
	}
	return nil
}

// underFlange is the wood behind a flange: the face with its inner doublers, less the recess.
func (s *scene) underFlange(m mount, f *face) float64 {
	t := f.t - m.Recess
	for i := range s.pieces {
		if s.pieces[i].role == Doubler && f.i == s.shell.driver {
			t += s.pieces[i].board.Thickness
		}
	}
	return t
}
