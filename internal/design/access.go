package design

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
)

// Room before the openings of a box in its place, m (common practice).
const (
	plugRoom   = 0.060 // before a terminal or a cable hole
	plugRadius = 0.020
)

// Access tells what can be reached with the box in its place; metres.
type Access struct {
	DriverRoom, DriverNeeds float64 // before the driver's face
	Terminal                bool    // a hand comes to it
	TerminalWay             float64 // from the open side, where it does
	DriverText              string
	TerminalText            string
}

// DriverOut reports whether the driver can be taken out.
func (a Access) DriverOut() bool { return a.DriverRoom >= a.DriverNeeds-slack }

// Text says both; empty where nothing is known.
func (a Access) Text() string {
	var parts []string
	for _, s := range [2]string{a.DriverText, a.TerminalText} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, "; ")
}

// plugFits tells whether a plug finds room before a place on a box's outside.
func (f *finder) plugFits(at, out r3.Vec) bool {
	return !f.room.Before(at, out, plugRadius, plugRoom).Blocked
}

// obstructed says what stands before the cone or a mouth of a box in its place, nearer than it may; nil: nothing.
func (f *finder) obstructed(b *panels.Box) error {
	for _, o := range b.Outlets {
		length, what := f.req.Mount.AirInFront, "the cone"
		switch o.Kind {
		case panels.HolePort:
			length, what = 2*o.Short, "the port"
		case panels.HoleSlot:
			length, what = 2*o.Short, "the slot"
		case panels.HoleTerminal, panels.HoleCable:
			continue
		}
		if length <= 0 {
			continue
		}
		steps := 0
		if o.Long > o.Short {
			steps = 1 + int((o.Long-o.Short)/o.Short)
		}
		for k := -steps; k <= steps; k++ {
			at := o.At
			if k != 0 {
				at = r3.Add(at, r3.Scale((o.Long-o.Short)*float64(k)/float64(steps), o.Along))
			}
			if meets := f.room.Before(at, o.Out, o.Short, length); meets.Blocked {
				return fmt.Errorf("%s is in the way, within %s before %s", thing(meets), f.length(length), what)
			}
		}
	}
	return nil
}

// thing names what stands in the way.
func thing(o cavity.Obstacle) string {
	switch {
	case o.Block != "":
		return o.Block
	case o.Side == cavity.Left || o.Side == cavity.Right:
		return "the " + o.Side.String() + " side"
	}
	return "the " + o.Side.String()
}

// access looks at a box in its place.
func (f *finder) access(m *made, box *panels.Box) Access {
	var a Access
	for _, o := range box.Outlets {
		switch o.Kind {
		case panels.HoleDriver:
			needs := f.req.Frame.Depth + f.req.Mount.Surround
			if needs <= 0 || a.DriverText != "" && !a.DriverOut() {
				continue
			}
			room, meets := f.room.Ahead(o.At, o.Out, o.Short, needs)
			a.DriverRoom, a.DriverNeeds = room, needs
			a.DriverText = "the driver comes out"
			if !a.DriverOut() {
				a.DriverText = fmt.Sprintf("the driver does not come out: it needs %s, %s leaves %s",
					f.length(needs), thing(meets), f.length(room))
			}
		case panels.HoleTerminal, panels.HoleCable:
			var from cavity.Side
			a.TerminalWay, from, a.Terminal = f.room.Hand(&m.region, o.At, o.Out)
			name := "the terminal"
			if o.Kind == panels.HoleCable {
				name = "the cable hole"
			}
			switch {
			case a.Terminal && a.TerminalWay < plugRoom:
				a.TerminalText = fmt.Sprintf("%s is at hand from the %s", name, from)
			case a.Terminal:
				a.TerminalText = fmt.Sprintf("a hand reaches %s from the %s, %s in", name, from, f.length(f.rough(a.TerminalWay)))
			case f.plugFits(o.At, o.Out):
				a.TerminalText = fmt.Sprintf("no hand reaches %s: connect it first", name)
			default:
				a.TerminalText = fmt.Sprintf("%s looks at %s: connect it first",
					name, thing(f.room.Before(o.At, o.Out, plugRadius, plugRoom)))
			}
		}
	}
	return a
}

// rough is a length as it is told where it is only known from places some way apart: whole centimetres or half inches.
func (f *finder) rough(m float64) float64 {
	step := 0.01
	if f.req.Units == unit.Inch {
		step = inch / 2
	}
	return math.Ceil(m/step) * step
}
