package render

import (
	"fmt"
	"math"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// operation is what is done along an outline of a flat.
type operation int8

// The operations, in the order in which a drawing lists its layers.
const (
	opSheet   operation = iota // edge of the board that the parts are cut from
	opCut                      // outline of a part: cut through, the tool outside
	opThrough                  // opening: cut through, the tool inside
	opPocket                   // sunk into the face that lies up
	opDrill                    // hole for a drill
	opStep                     // rabbet
	opBevel                    // strip between the long and the short face of a bevelled edge
	opMark                     // pencil: names, finished edges
	opWaste                    // left over
)

// layer is where an outline of a flat belongs: the operation and how deep, or how tilted. Depth 0 is through; metres, radians.
type layer struct {
	op     operation
	depth  float64
	tilt   float64 // bevels: from square, + the face that lies up is the long one
	inside bool    // worked from the face that lies down
}

// words names the layer in plain words. Characters that drawing programs refuse in a name do not occur.
func (l layer) words(sys unit.System) string {
	deep := func(what string) string {
		if l.depth == 0 {
			return what + " through"
		}
		return fmt.Sprintf("%s %s deep", what, flatLength(l.depth, sys))
	}
	s := ""
	switch l.op {
	case opSheet:
		s = "sheet"
	case opCut:
		s = "outline"
	case opThrough:
		s = "hole through"
	case opPocket:
		s = deep("pocket")
	case opDrill:
		s = deep("drill")
	case opStep:
		s = deep("rabbet")
	case opBevel:
		face := "outer face long"
		if l.tilt < 0 {
			face = "inner face long"
		}
		s = fmt.Sprintf("bevel edge %s deg %s", decimal(math.Abs(l.tilt)*180/math.Pi, 1), face)
	case opMark:
		s = "mark"
	case opWaste:
		s = "waste"
	}
	if l.inside {
		s = "from inside " + s
	}
	return s
}

// flatLength is a depth as a layer's name gives it: decimal, in the drawing's unit.
func flatLength(m float64, sys unit.System) string {
	if sys == unit.Inch {
		return decimal(m/metresPerInch, 4) + " in"
	}
	return decimal(m*mmPerMetre, 3) + " mm"
}

const metresPerInch = 0.0254

// bend is a corner of an outline and how the piece to the next corner bends: the tangent of a quarter of the arc's angle, +
// counter-clockwise, 0 straight.
type bend struct {
	plane.Point
	bulge float64
}

// track is a closed outline on a layer. Outlines of parts run counter-clockwise, openings and pockets clockwise.
type track struct {
	layer
	bends []bend
	title string
}

// drilled is a hole for a drill.
type drilled struct {
	layer
	at    plane.Point
	r     float64
	title string
}

// flatText is a line of text about its middle; angle counter-clockwise, rad.
type flatText struct {
	layer
	at    plane.Point
	text  string
	high  float64 // of capitals, m
	angle float64
}

// Flat is a drawing at true size for a machine: a panel or a sheet, x to the right, y up from its lower left corner, metres.
type Flat struct {
	Name   string // of its files, without ending
	Title  string
	size   plane.Point
	tracks []track
	drills []drilled
	texts  []flatText
	ByHand []string // what the machine leaves to be done, one sentence each
}

// baseline is the middle of the text's baseline.
func (t flatText) baseline() plane.Point {
	return t.at.Add(plane.Point{Y: -t.high / 2}.Rotate(t.angle))
}

// polyTrack is a straight-sided outline.
func polyTrack(l layer, g plane.Polygon, title string) track {
	t := track{layer: l, title: title}
	for _, p := range g {
		t.bends = append(t.bends, bend{Point: p})
	}
	return t
}

// reversed runs the other way round.
func (t track) reversed() track {
	n := len(t.bends)
	out := t
	out.bends = make([]bend, n)
	for i := range out.bends {
		b := t.bends[(n-i)%n]
		out.bends[i] = bend{b.Point, -t.bends[(2*n-i-1)%n].bulge}
	}
	return out
}

// move is a rigid motion of the plane: a mirror about the y axis first if asked for, then quarter turns counter-clockwise,
// then a shift.
type move struct {
	mirror bool
	turns  int
	by     plane.Point
}

func (m move) at(p plane.Point) plane.Point {
	if m.mirror {
		p.X = -p.X
	}
	for range m.turns {
		p = plane.Point{X: -p.Y, Y: p.X}
	}
	return p.Add(m.by)
}

// moved puts what is on a flat somewhere else. Mirrored, the face that lay up lies down.
func (f *Flat) moved(m move) Flat {
	out := *f
	out.tracks, out.drills, out.texts = nil, nil, nil
	turn := func(l layer) layer {
		if m.mirror {
			switch l.op {
			case opPocket, opStep:
				l.inside = !l.inside
			case opDrill:
				l.inside = l.inside != (l.depth > 0)
			case opBevel:
				l.tilt = -l.tilt
			}
		}
		return l
	}
	for _, t := range f.tracks {
		u := track{layer: turn(t.layer), title: t.title}
		for _, b := range t.bends {
			if m.mirror {
				b.bulge = -b.bulge
			}
			u.bends = append(u.bends, bend{m.at(b.Point), b.bulge})
		}
		if m.mirror {
			u = u.reversed()
		}
		out.tracks = append(out.tracks, u)
	}
	for _, d := range f.drills {
		d.layer, d.at = turn(d.layer), m.at(d.at)
		out.drills = append(out.drills, d)
	}
	for _, t := range f.texts {
		t.layer, t.at = turn(t.layer), m.at(t.at)
		t.angle = readable(t.angle*180/math.Pi+90*float64(m.turns)) * math.Pi / 180
		out.texts = append(out.texts, t)
	}
	return out
}

// circleTrack is a circle as two arcs, clockwise.
func circleTrack(l layer, at plane.Point, r float64, title string) track {
	return track{l, []bend{{at.Add(plane.Point{X: r}), -1}, {at.Add(plane.Point{X: -r}), -1}}, title}
}

// quarter is the bulge of a quarter circle.
var quarter = math.Tan(math.Pi / 8)

// rectTrack is an upright rectangle with rounded corners, clockwise. Corners that are sharper than a tool of the given
// radius are cut out by half a circle, so that what is square goes in.
func rectTrack(l layer, r plane.Rect, corner, tool float64, title string) track {
	t := track{layer: l, title: title}
	corner = math.Min(corner, math.Min(r.Width(), r.Height())/2)
	cut, bulge := corner, -quarter
	if corner < tool-machineTouch {
		cut, bulge = tool*math.Sqrt2, -1
		if 2*cut > math.Min(r.Width(), r.Height()) {
			cut = 0 // no room: the bit leaves its radius
		}
	}
	c := []plane.Point{{X: r.Min.X, Y: r.Min.Y}, {X: r.Min.X, Y: r.Max.Y}, {X: r.Max.X, Y: r.Max.Y}, {X: r.Max.X, Y: r.Min.Y}}
	for i, p := range c {
		if cut <= 0 {
			t.bends = append(t.bends, bend{Point: p})
			continue
		}
		in, out := c[(i+3)%4].Sub(p).Unit(), c[(i+1)%4].Sub(p).Unit()
		t.bends = append(t.bends, bend{p.Add(in.Mul(cut)), bulge}, bend{p.Add(out.Mul(cut)), 0})
	}
	return dropRepeats(t)
}

// dropRepeats leaves out straight pieces of no length.
func dropRepeats(t track) track {
	out := t
	out.bends = nil
	for i, b := range t.bends {
		if b.bulge == 0 && t.bends[(i+1)%len(t.bends)].Sub(b.Point).Norm() < machineTouch {
			continue
		}
		out.bends = append(out.bends, b)
	}
	return out
}
