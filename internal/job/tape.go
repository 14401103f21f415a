package job

import (
	"math"

	"cubby/internal/cavity"
	"cubby/internal/plane"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
	"gopkg.in/yaml.v3"
)

// anyLean is how far a wall may lean into the space.
var anyLean = span{0, cavity.MostLean - 1e-9, true, "must be greater than 0 deg: a wall that leans away gives its room by heights up to where it ends",
	"must be less than 60 deg: measure it as a roof or a floor"}

// tape is a space that is being read, with the marks of its board.
type tape struct {
	mapping
	marks []float64
}

// tapeFields are the keys of a space that is measured by stations, and of what stands in it: they wait for each other.
func tapeFields() map[string]field {
	return map[string]field{"stations": later, "depths": later, "walls": later, "blocks": later, "open": later, "stick": later}
}

// isStations reports whether stations are written.
func (t *tape) isStations() bool { return valueOf(t.node, "stations") != nil }

// isMarks reports whether the marks of the board are written.
func (t *tape) isMarks() bool { return valueOf(t.node, "depths") != nil }

// surveyed reads stations and gives the space without its blocks; nil when it is at fault.
func (j *jobReader) surveyed(t *tape, gap float64) *cavity.Space {
	before := len(j.faults)
	t.read("depths", j.entries("depths of the marks on the board, such as [0, 120, 430]", cavity.MostHeights, func(n *yaml.Node, path string) {
		var v float64
		j.quantity(&v, unit.Length, anyPosition)(n, path)
		t.marks = append(t.marks, v)
	}))
	s := &cavity.Space{Gap: gap}
	t.read("stations", j.entries("stations from left to right, each {from_left, roof: [[depth, height], ...]}", cavity.MostStations,
		func(n *yaml.Node, path string) { s.Stations = append(s.Stations, j.station(n, path, t, s.Stations)) }))
	if len(j.faults) > before || j.unsure() {
		return nil
	}
	return s
}

// station reads one station; earlier are those before it.
func (j *jobReader) station(n *yaml.Node, path string, t *tape, earlier []cavity.Station) cavity.Station {
	var s cavity.Station
	var like int
	m := j.object(n, path, map[string]field{
		"from_left": j.quantity(&s.FromLeft, unit.Length, anyPosition),
		"like":      j.whole(&like, 1, cavity.MostStations),
		"roof":      later, "floor": later, "front": later, "back": later,
	}, need{"from_left", "a length, from the left side of the space to the station"})
	m.refuse("like", like > len(earlier), "must be the number of a station before this one, counted from 1")
	switch isRoof := valueOf(m.node, "roof") != nil; {
	case like > 0 && like <= len(earlier):
		from := s.FromLeft
		s = earlier[like-1]
		s.FromLeft = from
	case !m.has("like") && !isRoof:
		if m.node != nil {
			j.note(n, join(path, "roof"), "missing; want heights over the floor board, each [depth, height], or like: the number of an equal station")
		}
		return s
	}
	written := false
	heights := func(line *[]cavity.Height) field {
		return func(n *yaml.Node, path string) { *line, written = j.heights(n, path, t), true }
	}
	m.read("roof", heights(&s.Roof))
	m.read("floor", heights(&s.Floor))
	if !m.has("like") || written {
		s.Front, s.Back = reach(s)
	}
	m.read("front", j.quantity(&s.Front, unit.Length, anyPosition))
	m.read("back", j.quantity(&s.Back, unit.Length, anyPosition))
	return s
}

// reach is the least and the greatest depth of a station's readings.
func reach(s cavity.Station) (front, back float64) {
	front, back = math.Inf(1), math.Inf(-1)
	for _, l := range [2][]cavity.Height{s.Roof, s.Floor} {
		for _, p := range l {
			front, back = math.Min(front, p.Depth), math.Max(back, p.Depth)
		}
	}
	if front > back {
		return 0, 0
	}
	return front, back
}

// heights reads a line of readings: [depth, height], [depth, ?], [depth, height, sure], or heights alone at the marks.
func (j *jobReader) heights(n *yaml.Node, path string, t *tape) []cavity.Height {
	const want = "heights, each [depth, height], or a height for each of cavity.depths"
	var line []cavity.Height
	count := j.list(n, path, want, cavity.MostHeights, func(n *yaml.Node, path string) {
		line = append(line, j.height(n, path, t, len(line)))
	})
	bare := false
	for _, c := range n.Content {
		bare = bare || c.Kind == yaml.ScalarNode
	}
	switch {
	case count > 0 && bare && !t.isMarks():
		j.note(n, path, "heights alone stand at marks: write cavity.depths, or [depth, height] for each")
	case count > 0 && bare && count != len(t.marks):
		j.note(n, path, "%d heights for the %d marks of cavity.depths: write ? where nothing is measured yet", count, len(t.marks))
	}
	return line
}

// height reads one reading, the k-th of its line from 0.
func (j *jobReader) height(n *yaml.Node, path string, t *tape, k int) cavity.Height {
	var p cavity.Height
	c := n.Content
	if n.Kind == yaml.ScalarNode {
		c = []*yaml.Node{n}
	} else if n.Kind != yaml.SequenceNode {
		j.wrongKind(n, path, "[depth, height]")
		return p
	}
	if m := len(c); m > 0 && c[m-1].Value == "sure" {
		p.Sure = true
		c = c[:m-1]
	}
	switch {
	case len(c) == 1 && t.isMarks():
		if k < len(t.marks) {
			p.Depth = t.marks[k]
		}
	case len(c) == 2:
		j.quantity(&p.Depth, unit.Length, anyPosition)(c[0], path)
		c = c[1:]
	default:
		if n.Kind == yaml.SequenceNode {
			j.note(n, path, "want [depth, height], [depth, height, sure] or, not measured yet, [depth, ?]")
		}
		return p
	}
	if c[0].Kind == yaml.ScalarNode && c[0].Value == "?" {
		p.Unknown = true
		return p
	}
	j.quantity(&p.Height, unit.Length, anyPosition)(c[0], path)
	return p
}

// furnish reads what stands in the space and what else is known of it, and gives it settled: every fault names its
// line. With no space, for it is at fault itself, the keys are only looked through. It gives nil when something is at
// fault.
func (j *jobReader) furnish(t *tape, s *cavity.Space) *cavity.Space {
	before := len(j.faults)
	var bare *cavity.Room
	if s == nil {
		s = &cavity.Space{}
	} else if room, err := s.Settle(); err == nil {
		bare = room
	} else if t.isStations() {
		settleFaults(t.mapping, err)
	}
	j.leans(t, s)
	j.openSides(t, s)
	j.sticks(t, s)
	t.read("blocks", j.entries("things in the space, each {name, from_left, width, height}", cavity.MostBlocks, func(n *yaml.Node, path string) {
		if b, ok := j.block(n, path, bare); ok {
			s.Blocks = append(s.Blocks, b)
		}
	}))
	if len(j.faults) > before || j.unsure() || bare == nil {
		return nil
	}
	if _, err := s.Settle(); err != nil {
		settleFaults(t.mapping, err)
		return nil
	}
	return s
}

// settleFaults gives the faults of a space the lines of their parts.
func settleFaults(m mapping, err error) {
	for _, e := range leaves(err) {
		f, ok := e.(*cavity.FaultError)
		if !ok {
			m.refuseAll(true, "%v", e)
			continue
		}
		m.fault(partAt(m.node, f.Where), join(m.path, f.Where), "%s", f.Reason)
	}
}

// partAt follows a path such as stations[2].roof[3] as far as it is written.
func partAt(n *yaml.Node, where string) *yaml.Node {
	steps, err := parsePath(where)
	for _, step := range steps {
		next, _ := child(n, step)
		if err != nil || next == nil {
			return n
		}
		n = next
	}
	return n
}

func (j *jobReader) leans(t *tape, s *cavity.Space) {
	t.read("walls", j.entries("walls that lean, each {side, lean}", 4, func(n *yaml.Node, path string) {
		var l cavity.Lean
		j.object(n, path, map[string]field{
			"side": choice(&j.reader, &l.Side, "front|back|left|right", cavity.Front, cavity.Back, cavity.Left, cavity.Right),
			"lean": j.quantity(&l.Angle, unit.Angle, anyLean),
		}, need{"side", "front, back, left or right"}, need{"lean", "an angle, into the space at its top"})
		s.Leans = append(s.Leans, l)
	}))
}

func (j *jobReader) openSides(t *tape, s *cavity.Space) {
	t.read("open", j.entries("sides through which air comes, such as [front]", 6, func(n *yaml.Node, path string) {
		var side cavity.Side
		choice(&j.reader, &side, "front|back|left|right|floor|roof",
			cavity.Front, cavity.Back, cavity.Left, cavity.Right, cavity.Floor, cavity.Roof)(n, path)
		s.Open = append(s.Open, side)
	}))
}

func (j *jobReader) sticks(t *tape, s *cavity.Space) {
	const of = "answers to stick tests, each {from_left, depth, roof} or {from_left, depth, floor}"
	t.read("stick", j.entries(of, 40, func(n *yaml.Node, path string) {
		k := cavity.Stick{Surface: cavity.Roof}
		m := j.object(n, path, map[string]field{
			"from_left": j.quantity(&k.FromLeft, unit.Length, anyPosition),
			"depth":     j.quantity(&k.Depth, unit.Length, anyPosition),
			"roof":      j.quantity(&k.Height, unit.Length, anyPosition),
			"floor":     j.quantity(&k.Height, unit.Length, anyPosition),
		}, need{"from_left", "a length"}, need{"depth", "a length"})
		m.refuseAll(m.has("roof") == m.has("floor"), "want roof: or floor:, the height that the stick found there")
		if m.has("floor") {
			k.Surface = cavity.Floor
		}
		s.Sticks = append(s.Sticks, k)
	}))
}

// measures are the numbers of a block as written.
type measures struct {
	mapping
	left, width, front, depth, floor, height, hangs, round float64
}

// block reads one thing in the space; bare is the space without any.
func (j *jobReader) block(n *yaml.Node, path string, bare *cavity.Room) (cavity.Block, bool) {
	before := len(j.faults)
	var v measures
	var name string
	axis := cavity.Depth
	var outline plane.Polygon
	var centre plane.Point
	v.mapping = j.object(n, path, map[string]field{
		"name":       j.text(&name, nameLength),
		"from_left":  j.quantity(&v.left, unit.Length, anyPosition),
		"width":      j.quantity(&v.width, unit.Length, anyLength),
		"from_front": j.quantity(&v.front, unit.Length, anyPosition),
		"depth":      j.quantity(&v.depth, unit.Length, anyLength),
		"from_floor": j.quantity(&v.floor, unit.Length, anyPosition),
		"height":     j.quantity(&v.height, unit.Length, anyLength),
		"hangs":      j.quantity(&v.hangs, unit.Length, anyLength),
		"along":      choice(&j.reader, &axis, "across|depth|up", cavity.Across, cavity.Depth, cavity.Up),
		"outline":    func(n *yaml.Node, path string) { outline = j.outline(n, path) },
		"round":      j.quantity(&v.round, unit.Length, anyLength),
		"at":         func(n *yaml.Node, path string) { centre, _ = j.corner(n, path) },
	}, need{"name", "what it is"})
	if len(j.faults) > before || j.unsure() {
		return cavity.Block{}, false
	}
	why := v.conflict()
	v.refuseAll(why != "", "%s", why)
	if why != "" || bare == nil || v.node == nil {
		return cavity.Block{}, false
	}
	b := v.extent(bare)
	block := cavity.BoxBlock(name, b.Min, b.Max)
	switch {
	case outline != nil:
		block = cavity.Block{Name: name, Axis: axis, Outline: outline, Lo: axis.Of(b.Min), Hi: axis.Of(b.Max)}
	case v.has("round"):
		block = cavity.Block{Name: name, Axis: axis, Lo: axis.Of(b.Min), Hi: axis.Of(b.Max), Outline: roundOutline(axis, centre, v.round, axis.Section(b.Min).Y)}
	}
	block.Hangs = v.hangs
	return block, v.standsInside(block, bare)
}

// roundOutline is that of a hump, or of a post when it runs up.
func roundOutline(axis cavity.Axis, centre plane.Point, radius, bottom float64) plane.Polygon {
	if axis != cavity.Up {
		return cavity.RoundOutline(centre, radius, bottom)
	}
	const sides = 20
	var g plane.Polygon
	for k := range sides {
		s, c := math.Sincos((float64(k) + 0.5) * 2 * math.Pi / sides)
		g = append(g, plane.Point{X: centre.X + radius/math.Cos(math.Pi/sides)*c, Y: centre.Y + radius/math.Cos(math.Pi/sides)*s})
	}
	return g
}

// conflict says what does not go together, "" when all does.
func (v *measures) conflict() string {
	has := v.has
	any := false
	for _, k := range []string{"from_left", "width", "from_front", "depth", "from_floor", "height", "outline", "round", "hangs"} {
		any = any || has(k)
	}
	switch {
	case !any:
		return "says neither where it is nor how large: write at least one of from_left, width, from_front, depth, from_floor, height, outline, round or hangs"
	case has("outline") && has("round"):
		return "has an outline and is round: give one of them"
	case has("round") != has("at"):
		return "a round thing needs both round, its radius, and at, its centre"
	case (has("outline") || has("round")) && !has("along"):
		return "say along which way the outline runs: along: across, depth or up"
	case has("along") && !has("outline") && !has("round"):
		return "along belongs to an outline or a round thing"
	case has("hangs") && (has("height") || has("from_floor") || has("outline") || has("round")):
		return "a thing that hangs from the roof has no height, from_floor, outline or round: hangs says how far down it comes"
	}
	return ""
}

// extent is the box of a block: a side that is not written goes on past the space; the floor side goes down from height
// 0.
func (v *measures) extent(bare *cavity.Room) cavity.Box {
	e := bare.Extent()
	b := cavity.Box{Min: r3.Sub(e.Min, r3.Vec{X: 1, Y: 1, Z: 1}), Max: r3.Add(e.Max, r3.Vec{X: 1, Y: 1, Z: 1})}
	along := func(at, size string, from, length, start float64, lo, hi *float64) {
		switch a, s := v.has(at), v.has(size); {
		case a && s:
			*lo, *hi = from, from+length
		case a:
			*lo = from
		case s:
			*hi = start + length
		}
	}
	along("from_left", "width", v.left, v.width, e.Min.X, &b.Min.X, &b.Max.X)
	along("from_front", "depth", v.front, v.depth, e.Min.Y, &b.Min.Y, &b.Max.Y)
	along("from_floor", "height", v.floor, v.height, 0, &b.Min.Z, &b.Max.Z)
	return b
}

// standsInside faults a block that reaches nowhere into the space: it was measured from somewhere else.
func (v *measures) standsInside(b cavity.Block, bare *cavity.Room) bool {
	e, o := bare.Extent(), b.Outline.Bounds()
	lo, hi := b.Axis.At(o.Min, b.Lo), b.Axis.At(o.Max, b.Hi)
	out := lo.X >= e.Max.X || hi.X <= e.Min.X || lo.Y >= e.Max.Y || hi.Y <= e.Min.Y || lo.Z >= e.Max.Z || hi.Z <= e.Min.Z && v.has("from_floor")
	v.refuseAll(out, "%q lies outside the space: measure from its left side, its front and its floor", shown(b.Name))
	under := !out && !v.has("hangs") && !v.has("from_floor") && hi.Z <= bare.LowestFloor(lo.X, hi.X, lo.Y, hi.Y)
	v.refuseAll(under, "%q is nowhere over the floor: height is over the floor board; write from_floor where it begins higher", shown(b.Name))
	return !out && !under
}

// outline reads the corners of a convex outline.
func (j *jobReader) outline(n *yaml.Node, path string) plane.Polygon {
	const of = "corners, each [from left, height] along depth, [depth, height] along across, [from left, depth] along up"
	g := j.corners(n, path, of, "an outline")
	if g = g.CCW(); g != nil && (g.Validate() != nil || !g.IsConvex()) {
		j.note(n, path, "an outline has to be convex: write two blocks where it has an inward corner")
		return nil
	}
	return g
}
