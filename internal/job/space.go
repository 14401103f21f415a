package job

import (
	"maps"
	"math"
	"regexp"
	"slices"

	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// Most entries of the lists of a space. A section has 3 to 12 corners; blocks are what a person would measure.
const (
	mostCorners = 12
	mostCones   = 8
)

// sameCorner is the distance, in metres, within which two corners of a profile are one: a tenth of the least that
// anyone can measure with a tape.
const sameCorner = 1e-5

func (j *jobReader) cavity(n *yaml.Node, path string) {
	space := &design.Space{}
	var width, depth, height, gap float64
	var section plane.Polygon
	fields := tapeFields()
	maps.Copy(fields, map[string]field{
		"width":   j.quantity(&width, unit.Length, anyLength),
		"profile": func(n *yaml.Node, path string) { section = j.profile(n, path) },
		"depth":   j.quantity(&depth, unit.Length, anyLength),
		"height":  j.quantity(&height, unit.Length, anyLength),
		"gap":     j.quantity(&gap, unit.Length, lengthOrZero),
		"passage": func(n *yaml.Node, path string) { space.Passage = j.passage(n, path) },
		"shrink": choice(&j.reader, &space.Shrink, "width|depth|height",
			design.ShrinkWidth, design.ShrinkDepth, design.ShrinkHeight),
	})
	var needs []need
	if valueOf(n, "stations") == nil {
		needs = []need{{"width", "a length, from left to right, or stations"}}
	}
	m := j.object(n, path, fields, needs...)
	if m.node == nil {
		return
	}
	space.Space = &cavity.Space{Gap: gap}
	j.request.Space = space
	t := &tape{mapping: m}
	if t.isStations() {
		j.byStations(t, space)
		return
	}
	isDepth, isHeight, isProfile := m.has("depth"), m.has("height"), m.has("profile")
	if isProfile && (isDepth || isHeight) {
		j.note(m.values["profile"], path, "has a profile and a depth or height: give profile alone, or depth and height")
	}
	m.refuseAll(!isProfile && isDepth != isHeight, "a rectangle needs both depth and height; other sections need profile")
	m.refuseAll(!isProfile && !isDepth && !isHeight, "missing: profile (corners as [depth, height]), or depth and height, or stations")
	if !isProfile && depth > 0 && height > 0 {
		section = rectangle(depth, height)
	}
	m.refuse("gap", width > 0 && 2*gap >= width, "on both sides this leaves nothing of the width")
	t.read("depths", func(n *yaml.Node, path string) {
		j.note(n, path, "belongs to stations: the marks of the board at which each gives its heights")
	})
	var uniform *cavity.Space
	if len(section) >= 3 && width > 0 {
		uniform, _ = cavity.Uniform(width, section, gap) // a fault is told above
	}
	if settled := j.furnish(t, uniform); settled != nil {
		space.Space = settled
	}
}

// byStations reads a space that is given by stations.
func (j *jobReader) byStations(t *tape, space *design.Space) {
	for _, k := range []string{"width", "profile", "depth", "height"} {
		t.remark(k, true, "the stations say this already: leave it out")
	}
	settled := j.furnish(t, j.surveyed(t, space.Gap))
	if settled == nil {
		return
	}
	space.Space = settled
	room, err := settled.Settle()
	t.remark("stations", err == nil && room.Empty(), "nothing is free between these heights")
}

// profile reads a section as corners [depth, height] and gives it counter-clockwise; nil when it is at fault.
func (j *jobReader) profile(n *yaml.Node, path string) plane.Polygon {
	if c := n.Content; n.Kind == yaml.SequenceNode && len(c) >= 4 && c[0].Kind == yaml.ScalarNode && c[1].Kind == yaml.ScalarNode {
		j.note(n, path, "each corner stands in brackets of its own: [[%s, %s], [%s, %s], ...]", shown(c[0].Value), shown(c[1].Value), shown(c[2].Value), shown(c[3].Value))
		return nil
	}
	section := j.corners(n, path, "corners, each [depth from the front, height]", "a section")
	for i, p := range section {
		next := (i + 1) % len(section)
		if q := section[next]; math.Hypot(p.X-q.X, p.Y-q.Y) < sameCorner {
			j.note(n.Content[max(i, next)], path, "corners %d and %d are the same point: leave one out (the section closes by itself)", i+1, next+1)
			return nil
		}
	}
	if why := crossing(section); why != "" {
		j.fault(n, path, "%s", why)
		return nil
	}
	if section = section.CCW(); section != nil {
		if err := section.Validate(); err != nil {
			j.fault(n, path, "%v", err)
			return nil
		}
	}
	return section
}

// corners reads the corners of an outline, three at least; nil when they are at fault.
func (j *jobReader) corners(n *yaml.Node, path, of, outline string) (g plane.Polygon) {
	before := len(j.faults)
	count := j.list(n, path, of, mostCorners, func(n *yaml.Node, path string) {
		if p, ok := j.corner(n, path); ok {
			g = append(g, p)
		}
	})
	switch {
	case count < 0 || len(j.faults) > before || j.unsure():
		return nil
	case count < 3:
		j.fault(n, path, "%d corners are too few: %s has 3 to %d", count, outline, mostCorners)
		return nil
	}
	return g
}

// corner reads one [depth, height].
func (j *jobReader) corner(n *yaml.Node, path string) (plane.Point, bool) {
	const want = "a corner [depth from the front, height], with a comma between"
	if n.Kind != yaml.SequenceNode || len(n.Content) != 2 {
		j.wrongKind(n, path, want)
		return plane.Point{}, false
	}
	before := len(j.faults)
	var p plane.Point
	j.quantity(&p.X, unit.Length, anyPosition)(n.Content[0], path)
	j.quantity(&p.Y, unit.Length, anyPosition)(n.Content[1], path)
	return p, len(j.faults) == before
}

func (j *jobReader) passage(n *yaml.Node, path string) *cavity.Opening {
	o := &cavity.Opening{}
	j.object(n, path, map[string]field{
		"width":  j.quantity(&o.Width, unit.Length, anyLength),
		"height": j.quantity(&o.Height, unit.Length, anyLength),
	}, need{"width", "a length"}, need{"height", "a length"})
	return o
}

// wallName is what a wall of a section that is not one of the four sides may be called.
var wallName = regexp.MustCompile(`^(?:slope|tread|riser|soffit)(?: [1-9]\d?)?$`)

// sideNames are the walls that every job can name; nose is a low upright wall under a slope.
var sideNames = []string{"front", "back", "top", "bottom", "nose"}

// isWall reports whether name is one that a wall of the wrap can have.
func isWall(name string) bool {
	return slices.Contains(sideNames, name) || wallName.MatchString(name)
}

func (j *jobReader) face(dst *string) field {
	return func(n *yaml.Node, path string) {
		if !j.scalar(n, path, "a face: front, back, top, bottom, left or right") {
			return
		}
		if isWall(n.Value) {
			*dst = n.Value
			return
		}
		choice(&j.reader, dst, "front|back|top|bottom|left|right", "front", "back", "top", "bottom", "left", "right")(n, path)
	}
}

func (j *jobReader) mount(n *yaml.Node, path string) {
	w := &j.request.Mount
	m := j.object(n, path, map[string]field{
		"face":         j.face(&w.Face),
		"count":        j.whole(&w.Count, 1, mostCones),
		"wiring":       j.wiring,
		"air_in_front": j.quantity(&w.AirInFront, unit.Length, anyLength),
		"surround":     j.quantity(&w.Surround, unit.Length, lengthOrZero),
		"removable":    j.truth(&w.Removable),
		"outside":      j.truth(&w.Outside),
		"at":           j.spot(&w.At),
		"recess":       j.quantity(&w.Recess, unit.Length, positive(0.05, "50 mm (is the unit right?)")),
		"chamfer":      j.quantity(&w.Chamfer, unit.Length, positive(0.05, "50 mm (is the unit right?)")),
		"fastening":    choice(&j.reader, &w.Fastening, "t-nut|insert|screw", panels.TNut, panels.Insert, panels.WoodScrew),
	})
	m.refuseAll(w.Chamfer > 0 && w.Fastening == panels.TNut, "chamfer and fastening: t-nut exclude each other: "+
		"the chamfer takes the wood that a T-nut's flange lies on; leave one out, or say fastening: insert")
}

// spot reads a place on a face of the box by two measures of the space, from its left side, its front and its floor
// board as blocks are measured, or by one.
func (j *jobReader) spot(dst **panels.Spot) field {
	return func(n *yaml.Node, path string) {
		var s panels.Spot
		settleSpot(j.object(n, path, j.spotFields(&s)), s, dst)
	}
}

// spotKeys are the measures of a spot, by axis.
var spotKeys = [3]string{"from_left", "from_front", "from_floor"}

func (j *jobReader) spotFields(s *panels.Spot) map[string]field {
	return map[string]field{
		spotKeys[0]: j.quantity(&s.At.X, unit.Length, anyPosition), spotKeys[1]: j.quantity(&s.At.Y, unit.Length, anyPosition),
		spotKeys[2]: j.quantity(&s.At.Z, unit.Length, anyPosition),
	}
}

// settleSpot notes which measures of a spot were given: one or two.
func settleSpot(m mapping, s panels.Spot, dst **panels.Spot) {
	given := 0
	for k, key := range spotKeys {
		if s.Known[k] = m.has(key); s.Known[k] {
			given++
		}
	}
	m.refuseAll(given == 0, "say where, as measured in the space: from_left, and from_front or from_floor")
	m.refuseAll(given == 3, "two of from_left, from_front and from_floor are enough: the face of the box gives the third")
	*dst = &s
}

// wiring reads one word for coils or drivers, or a word for each.
func (j *jobReader) wiring(n *yaml.Node, path string) {
	w := &j.request.Mount.Wiring
	if n.Kind == yaml.ScalarNode {
		var c thielesmall.Connection
		j.connection(&c)(n, path)
		w.Coils, w.Drivers = c, c
		return
	}
	j.object(n, path, map[string]field{"coils": j.connection(&w.Coils), "drivers": j.connection(&w.Drivers)})
}

func (r *reader) connection(dst *thielesmall.Connection) field {
	return choice(r, dst, "series|parallel", thielesmall.Series, thielesmall.Parallel)
}
