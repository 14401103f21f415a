package render

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/unit"
)

// MachineOptions are what the drawings for machines are made for.
type MachineOptions struct {
	Units unit.System
	Bit   float64 // diameter of the router's bit, m; 0: not known, corners are drawn as they are wanted
}

// leastFlatText is the least height of capitals that is worth writing on board, m.
const leastFlatText = 1e-3

// drillKinds are the holes that a drill makes.
var drillKinds = map[panels.HoleKind]bool{panels.HoleBolt: true, panels.HoleFixing: true, panels.HoleCable: true}

// PanelFlat draws a panel as it is cut, its outer face up. At a bevelled edge the outline is that of the longer face: the
// machine cuts square, and the strip that the bevel takes is on a layer of its own.
func PanelFlat(p *panels.Panel, o MachineOptions) Flat {
	f := flatOf(p)
	d := Flat{Name: panelFile(p), Title: p.Mark + " " + p.Name}
	who, finished := d.Title, f.longest()
	f.grow(p.Flush)
	long := f.longest()
	d.tracks = append(d.tracks, polyTrack(layer{op: opCut}, long, d.Title+": outline"))
	if p.Flush > 0 {
		d.tracks = append(d.tracks, polyTrack(layer{op: opMark}, finished, d.Title+": finished edge"))
		d.byHand(who, "trim %s flush all round after it is glued", figureLength(p.Flush, o))
	}
	d.bevels(p, f, long, o)
	d.addSteps(f, o)
	for _, r := range f.rims {
		d.rim(r, f.thickness)
	}
	for _, h := range f.holes {
		d.hole(h, f.thickness, who, o)
	}
	for i, q := range long {
		a, b := long[(i+len(long)-1)%len(long)], long[(i+1)%len(long)]
		if q.Sub(a).Cross(b.Sub(q)) < 0 {
			d.byHand(who, "the inside corner of the outline keeps the bit's radius: clean it with a chisel where square is wanted")
			break
		}
	}
	d.name(p.Mark, p.Name, long)
	lo, hi := bounds(long)
	out := d.moved(move{by: lo.Mul(-1)})
	out.size = hi.Sub(lo)
	return out
}

func (d *Flat) byHand(who, format string, args ...any) {
	d.ByHand = append(d.ByHand, who+": "+fmt.Sprintf(format, args...)+".")
}

// figureLength is a length for the list of work by hand.
func figureLength(m float64, o MachineOptions) string { return flatLength(m, o.Units) }

// grow moves every edge of both faces out; its rabbet stays where it is.
func (f *flatBoard) grow(by float64) {
	if by <= 0 {
		return
	}
	outer, inner := outset(f.outer(), by), outset(f.inner(), by)
	for i := range f.sides {
		f.sides[i].outer, f.sides[i].inner = outer[i], inner[i]
		if f.sides[i].step.Width > 0 {
			f.sides[i].step.Width += by
		}
	}
}

func outset(g plane.Polygon, by float64) plane.Polygon {
	return meeting(g, func(i int) plane.Line { return plane.LineThrough(g.Edge(i)).Offset(-by) })
}

// meeting is an outline by the lines of its edges; a corner of g stays where the lines of its two edges do not meet.
func meeting(g plane.Polygon, line func(i int) plane.Line) plane.Polygon {
	out := make(plane.Polygon, len(g))
	for i := range out {
		p, ok := line((i + len(g) - 1) % len(g)).Meet(line(i))
		if !ok {
			p = g[i]
		}
		out[i] = p
	}
	return out
}

// longest is the outline of the longer face at every edge.
func (f *flatBoard) longest() plane.Polygon {
	outer, inner := f.outer(), f.inner()
	return meeting(outer, func(i int) plane.Line {
		l := plane.LineThrough(outer.Edge(i))
		return l.Offset(math.Min(0, l.Distance(inner[i])))
	})
}

// bevels draws the strip that every bevel takes off.
func (d *Flat) bevels(p *panels.Panel, f flatBoard, long plane.Polygon, o MachineOptions) {
	outer, inner := f.outer(), f.inner()
	for i := range outer {
		a, b := outer.Edge(i)
		l := plane.LineThrough(a, b)
		run := l.Distance(inner[i]) // + the outer face is long
		if math.Abs(run) < machineTouch {
			continue
		}
		short := l.Offset(math.Max(0, run))
		v, w := long.Edge(i)
		n := len(long)
		prev, _ := long.Edge((i + n - 1) % n)
		_, next := long.Edge((i + 1) % n)
		s, ok1 := plane.LineThrough(prev, v).Meet(short)
		e, ok2 := plane.LineThrough(w, next).Meet(short)
		if !ok1 || !ok2 {
			continue
		}
		lay := layer{op: opBevel, tilt: math.Atan(run / f.thickness)}
		meets := meetsAt(p, f.sides[i].edge, v, w, long)
		d.tracks = append(d.tracks, polyTrack(lay, plane.Polygon{v, w, e, s}, d.Title+": bevel"+meets))
		along := w.Sub(v)
		text := fmt.Sprintf("%s deg%s", decimal(math.Abs(lay.tilt)*180/math.Pi, 1), meets)
		high := math.Min(6e-3, along.Norm()/30)
		at := v.Add(w).Mul(0.5).Add(along.Unit().Left().Mul(math.Abs(run) + 1.5*high))
		if high >= leastFlatText {
			d.texts = append(d.texts, flatText{lay, at, text, high, readable(math.Atan2(along.Y, along.X)*180/math.Pi) * math.Pi / 180})
		}
		face := "outer"
		if run < 0 {
			face = "inner"
		}
		d.byHand(d.Title, "bevel the edge%s to %s deg from square, %s face long, %s off the other face", meets,
			decimal(math.Abs(lay.tilt)*180/math.Pi, 1), face, figureLength(math.Abs(run), o))
	}
}

// rim draws an inner outline as the longer face has it: cut through from the outer face where it is the smaller there.
func (d *Flat) rim(r []side, thickness float64) {
	f := flatBoard{sides: r, thickness: thickness}
	d.tracks = append(d.tracks, polyTrack(layer{op: opThrough}, f.longest(), d.Title+": opening"))
	for i := range r {
		a, b := f.outer().Edge(i)
		if run := plane.LineThrough(a, b).Distance(r[i].inner); math.Abs(run) > machineTouch {
			d.byHand(d.Title, "the opening in its middle has edges bevelled to %s deg", decimal(math.Atan(math.Abs(run)/thickness)*180/math.Pi, 1))
		}
	}
}

// meetsAt says what edge number i of the board, from v to w, meets: " to TOP".
func meetsAt(p *panels.Panel, i int, v, w plane.Point, long plane.Polygon) string {
	for _, e := range p.Edges {
		if e.Meets != "" && named(e.Edge, i, v, w, long.Bounds()) {
			return " to " + e.Meets
		}
	}
	return ""
}

// addSteps draws the rabbets: each strip along its edge.
func (d *Flat) addSteps(f flatBoard, o MachineOptions) {
	s, plain := f.steps()
	if !plain || s.depth == 0 {
		return
	}
	n := len(f.sides)
	for i, e := range f.sides {
		if e.step.Depth == 0 {
			continue
		}
		j := (i + 1) % n
		lay := layer{op: opStep, depth: s.depth, inside: true}
		strip := plane.Polygon{s.level[i], s.level[j], s.field[j], s.field[i]}
		t := polyTrack(lay, strip.CCW(), d.Title+": rabbet").reversed()
		d.tracks = append(d.tracks, t)
	}
	d.byHand(d.Title, "rabbet on the inner face, %s deep: turn the panel over, or use a saw or router table", figureLength(s.depth, o))
}

// hole draws one hole.
func (d *Flat) hole(h panels.Hole, thickness float64, who string, o MachineOptions) {
	at, title := plane.Point{X: h.X, Y: h.Y}, d.Title+": "+holeWords(h)
	l := layer{op: opThrough, depth: h.Depth, inside: h.From == "inner" && h.Depth > 0}
	if h.Depth >= thickness-machineTouch {
		l.depth, l.inside = 0, false
	}
	if l.depth > 0 {
		l.op = opPocket
	}
	if l.inside {
		d.byHand(who, "%s, %s deep, is worked from the inner face", holeWords(h), figureLength(h.Depth, o))
	}
	switch {
	case h.Diameter > 0 && drillKinds[h.Kind]:
		l.op = opDrill
		d.drills = append(d.drills, drilled{l, at, h.Diameter / 2, title})
	case h.Diameter > 0:
		d.tracks = append(d.tracks, circleTrack(l, at, h.Diameter/2, title))
	default:
		d.tracks = append(d.tracks, rectTrack(l, rectOf(h), h.Radius, o.Bit/2, title))
		noRoom := h.Radius < o.Bit/2-machineTouch && o.Bit*math.Sqrt2 > math.Min(h.Length, h.Width)
		if o.Bit == 0 && h.Radius == 0 || noRoom {
			d.byHand(who, "the corners of the %s keep the radius of the bit: clean them with a file or chisel", holeWords(h))
		}
	}
}

// name writes mark and name where the panel has room for it.
func (d *Flat) name(mark, name string, long plane.Polygon) {
	lo, hi := bounds(long)
	size := hi.Sub(lo)
	const cells = 24
	best, room := lo.Add(hi).Mul(0.5), 0.0
	for i := range cells {
		for j := range cells {
			q := lo.Add(plane.Point{X: size.X * (float64(i) + 0.5) / cells, Y: size.Y * (float64(j) + 0.5) / cells})
			if !long.Contains(q) {
				continue
			}
			r := math.Inf(1)
			for _, t := range d.tracks {
				if t.op != opMark {
					r = math.Min(r, t.distance(q))
				}
			}
			for _, h := range d.drills {
				r = math.Min(r, math.Max(0, h.at.Sub(q).Norm()-h.r))
			}
			if r > room+1e-9 {
				best, room = q, r
			}
		}
	}
	text := mark + "  " + name
	high := math.Min(15e-3, 1.8*room/math.Max(0.75*float64(len([]rune(text))), 2))
	if high >= leastFlatText {
		d.texts = append(d.texts, flatText{layer{op: opMark}, best, text, high, 0})
	}
}

// distance is how far a point lies from a track's line; inside an opening it is 0.
func (t track) distance(q plane.Point) float64 {
	g := t.ring()
	if t.op != opCut && g.Contains(q) {
		return 0
	}
	return g.Distance(q)
}

// ring is a track with straight pieces for its arcs.
func (t track) ring() plane.Polygon {
	var g plane.Polygon
	for i, b := range t.bends {
		g = append(g, b.Point)
		g = append(g, arcPoints(b, t.bends[(i+1)%len(t.bends)].Point, 12)...)
	}
	return g
}

// arcPoints are n-1 points on the arc from b to the next corner; none where it is straight.
func arcPoints(b bend, to plane.Point, n int) []plane.Point {
	if b.bulge == 0 {
		return nil
	}
	c, _, from, sweep := arcOf(b, to)
	var out []plane.Point
	for k := 1; k < n; k++ {
		out = append(out, c.Add(from.Rotate(sweep*float64(k)/float64(n))))
	}
	return out
}

// arcOf gives the arc from b to the next corner: centre, radius, the arm to its start, and the angle that it sweeps.
func arcOf(b bend, to plane.Point) (c plane.Point, r float64, from plane.Point, sweep float64) {
	sweep = 4 * math.Atan(b.bulge)
	chord := to.Sub(b.Point)
	h := (1 - b.bulge*b.bulge) / (4 * b.bulge)
	c = b.Point.Add(chord.Mul(0.5)).Add(chord.Left().Mul(h))
	from = b.Point.Sub(c)
	return c, from.Norm(), from, sweep
}

// narrowest is the least width of what the bit has to go into, and what it is; drilled holes are not counted.
func narrowest(b []panels.Panel) (width float64, what string) {
	width = math.Inf(1)
	for i := range b {
		p := &b[i]
		f := flatOf(p)
		for _, h := range f.holes {
			w := h.Diameter
			if w == 0 {
				w = math.Min(h.Length, h.Width)
			}
			if !drillKinds[h.Kind] && w < width {
				width, what = w, fmt.Sprintf("%s of panel %s (%s)", holeWords(h), p.Mark, p.Name)
			}
		}
	}
	return width, what
}

// layers are the layers that a flat uses, in order.
func (f *Flat) layers() []layer {
	var all []layer
	add := func(l layer) {
		if !slices.Contains(all, l) {
			all = append(all, l)
		}
	}
	for _, t := range f.tracks {
		add(t.layer)
	}
	for _, d := range f.drills {
		add(d.layer)
	}
	for _, t := range f.texts {
		add(t.layer)
	}
	slices.SortStableFunc(all, func(a, b layer) int {
		return cmp.Or(cmp.Compare(a.op, b.op), cmp.Compare(a.depth, b.depth), cmp.Compare(a.tilt, b.tilt))
	})
	return all
}
