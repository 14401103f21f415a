package design

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/cavity"
	"cubby/internal/panels"

	"gonum.org/v1/gonum/spatial/r3"
)

// Room before the openings of a box in its place, m (common practice).
const (
	plugRoom   = 0.060 // before a terminal or a cable hole
	plugRadius = 0.020
)

// Access tells what can be reached with the box in its place; metres.
type Access struct {
	Driver, Radiator Exit
	Terminal         bool    // a hand comes to it
	TerminalWay      float64 // from the open side, where it does
	TerminalText     string
}

// Exit is the room before the worst placed of the drivers or the radiators, against what one needs to be taken out; nothing
// needed is not known. Metres.
type Exit struct {
	Room, Needs float64
	Text        string
}

// Free reports whether each can be taken out.
func (e Exit) Free() bool { return e.Room >= e.Needs-slack }

// Text says all; empty where nothing is known.
func (a Access) Text() string {
	var parts []string
	for _, s := range [3]string{a.Driver.Text, a.Radiator.Text, a.TerminalText} {
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

// exit looks whether what sits deep in a face comes out of it; name is what one is called, radius that of its flange.
func (f *finder) exit(name string, p *panels.DriverPlace, radius, needs float64) Exit {
	if needs <= 0 {
		return Exit{}
	}
	e := Exit{Room: needs, Needs: needs, Text: "the " + name + " comes out"}
	for _, at := range p.Middles {
		room, meets := f.room.Ahead(at, p.Out, radius, needs)
		if room >= e.Room {
			continue
		}
		if e.Room = room; !e.Free() {
			e.Text = fmt.Sprintf("the %s does not come out: it needs %s, %s leaves %s", name, f.length(needs), thing(meets), f.length(room))
		}
	}
	return e
}

// access looks at a box in its place.
func (f *finder) access(m *made, box *panels.Box) Access {
	a := Access{Driver: f.exit("driver", &box.Drivers, f.req.Frame.Frame/2, f.req.Frame.Depth+f.req.Mount.Surround)}
	if p := box.Radiators; p != nil {
		a.Radiator = f.exit("passive radiator", p, f.req.Passive.Frame.Frame/2, f.req.Passive.Frame.Depth)
	}
	for _, o := range box.Outlets {
		switch o.Kind {
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
	step := f.step(0.01, inch/2)
	return math.Ceil(m/step) * step
}
