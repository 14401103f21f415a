package panels

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// A removable face (common practice).
const (
	// GasketFoam is the thickness of the foam under a removable face as sold, GasketSqueezed what is left of it, both in m.
	// The squeezed gasket stands between the face and the box, so it adds to the outside.
	GasketFoam     = 5e-3
	GasketSqueezed = 2.5e-3

	cleatFace    = 25e-3 // landing of the face on its cleats, all round
	cleatDepth   = 20e-3 // least depth of a cleat
	screwApart   = 130e-3
	screwCorner  = 80e-3
	screwLeast   = 45e-3 // from a corner, so that the screw is clear of the cleats' own joint
	screwWood    = 12e-3 // of wood outside a screw's hole
	leastApart   = 40e-3
	cleatJoint   = 15e-3 // from a screw to the end of its cleat
	heavyFace    = 22e-3 // a face this thick takes the larger screw
	screwSpacing = 115e-3
)

// cleatFace is the landing that cleats take from the inside of the driver's face; 0 where the face is glued.
func (m *maker) cleatFace() float64 {
	if !m.Mounting.Removable {
		return 0
	}
	return cleatFace
}

// looseWishes notes which wall is removable and adds the joints that it needs, or refuses a face with a bevelled joint.
func (m *maker) looseWishes(wishes []CornerWish, wall int) ([]CornerWish, error) {
	if !m.Mounting.Removable {
		return wishes, nil
	}
	if wall < 0 {
		_, m.looseEnd, _ = m.resolve(m.Face, m.Section, m.wrap.names)
		if m.Wood.Ends != EndsOver {
			return nil, &BuildError{Reason: NoLoose, Panel: m.endName(m.looseEnd),
				Text: fmt.Sprintf("the %s cannot be removable: it has to cover the edges of all the walls; ends: over would do", m.endName(m.looseEnd))}
		}
		return wishes, nil
	}
	names, n := m.wrap.names, len(m.wrap.names)
	if m.Wood.Ends == EndsRabbeted {
		return nil, &BuildError{Reason: NoLoose, Panel: names[wall],
			Text: fmt.Sprintf("the %s cannot be removable between rabbeted ends: their rabbet would hold it; ends: over or ends: inside would do", names[wall])}
	}
	loose := names[wall]
	wishes = slices.DeleteFunc(slices.Clone(wishes), func(w CornerWish) bool { return w.Between[0] == loose || w.Between[1] == loose })
	for _, c := range []int{wall, (wall + 1) % n} {
		a := m.Section.InteriorAngle(c)
		other := names[(wall+1)%n]
		if c == wall {
			other = names[(wall+n-1)%n]
		}
		if math.Abs(a-math.Pi/2) > squareSlack {
			return nil, &BuildError{Reason: NoLoose, Panel: names[wall], Value: a, Limit: math.Pi / 2,
				Text: fmt.Sprintf("the %s cannot be removable: it meets the %s at %.1f degrees, and a removable face has square edges and a flat frame under it%s",
					names[wall], other, a/degree, m.looseInstead())}
		}
		wishes = append(wishes, CornerWish{Between: [2]string{names[wall], other}, Joint: Butt, Through: names[wall]})
	}
	m.loose = wall
	return wishes, nil
}

// looseInstead names the faces that could be removable.
func (m *maker) looseInstead() string {
	var can []string
	n := len(m.wrap.names)
	for i, name := range m.wrap.names {
		square := func(c int) bool { return math.Abs(m.Section.InteriorAngle(c)-math.Pi/2) <= squareSlack }
		if square(i) && square((i+1)%n) {
			can = append(can, "the "+name)
		}
	}
	return "; " + unit.Either(append(can, "an end")) + " would do"
}

func (m *maker) endName(end int) string {
	if end == 1 {
		return rightEnd
	}
	return leftEnd
}

// looseFace is the removable face, nil when there is none.
func (m *maker) looseFace() *face {
	switch {
	case m.loose >= 0:
		return m.faceOf(m.loose, -1)
	case m.looseEnd >= 0:
		return m.faceOf(-1, m.looseEnd)
	}
	return nil
}

// rim gives the removable face's outer and inner outline in its own frame, counter-clockwise and corner by corner alike.
func (m *maker) rim(f *face) (outer, inner plane.Polygon) {
	if f.shape != nil {
		return m.toEnd(m.endOutline(), f.end), f.shape
	}
	left, right := m.wallSpan(f.wall)
	size := plane.Rect{Max: plane.Point{X: right - left, Y: m.wrap.walls[f.wall].outer}}
	return size.Polygon(), f.inner.Polygon()
}

// planCleats makes the ring of cleats behind a removable face, and its screws.
func (m *maker) planCleats() error {
	f := m.looseFace()
	if f == nil {
		return nil
	}
	outer, inner := m.rim(f)
	layers := max(1, int(math.Ceil(cleatDepth/m.Wood.Thickness-rounding)))
	depth := float64(layers) * m.Wood.Thickness
	free, roomy := within(inner, cleatFace)
	roomy = roomy && depth < m.box.InsideWidth/2
	if f.wall >= 0 {
		r := f.square(f.t, f.t+depth, 0)
		roomy = roomy && math.Abs(r.Min.Y-f.inner.Min.Y) < sameSize && math.Abs(r.Max.Y-f.inner.Max.Y) < sameSize
	}
	if !roomy {
		return &BuildError{Reason: NoLoose, Panel: f.name, Value: depth,
			Text: fmt.Sprintf("the %s cannot be removable: there is no room behind it for cleats %s wide and %s deep on all its sides", f.name, m.wrap.length(cleatFace), m.wrap.length(depth))}
	}
	thread := m.faceThread(f.t)
	for k, g := range ringOf(inner, free) {
		c := cleat{side: k, outline: g, depth: depth, layers: layers}
		a, b := inner.Edge(k)
		c.dir, c.along = b.Sub(a).Unit(), plane.LineThrough(a, b)
		c.screw(outer)
		m.cleats = append(m.cleats, c)
	}
	m.describeFace(f, outer, thread)
	return nil
}

// faceThread is the machine screw that a face takes: the larger one for a thick face (common practice).
func (m *maker) faceThread(t float64) thread {
	list := threadsOf(m.Units)
	if t >= heavyFace {
		return list[2]
	}
	return list[1]
}

func (m *maker) describeFace(f *face, outer plane.Polygon, th thread) {
	r := &RemovableFace{Panel: f.name, Foam: GasketFoam, Gasket: GasketSqueezed, Thread: th.name, Hole: th.clear, Barrel: th.barrel}
	for i := range outer {
		a, b := outer.Edge(i)
		r.Tape += b.Sub(a).Norm()
	}
	for _, c := range m.cleats {
		r.Screws += len(c.screws)
		r.Corner = math.Max(r.Corner, math.Max(c.from, c.to))
		for i := 1; i < len(c.screws); i++ {
			r.Spacing = math.Max(r.Spacing, c.screws[i].Sub(c.screws[i-1]).Norm())
		}
	}
	m.box.Removable = r
}

// withinCleats keeps the driver and what else goes on the face clear of the cleats behind it.
func (m *maker) withinCleats(f *face) {
	if len(m.cleats) == 0 {
		return
	}
	if f.shape != nil {
		f.shape, _ = within(f.shape, cleatFace) // planCleats has found room for it
		f.free = f.shape.Bounds()
		return
	}
	in := plane.Point{X: cleatFace, Y: cleatFace}
	lo, hi := f.inner.Min.Add(in), f.inner.Max.Sub(in)
	f.free.Min = plane.Point{X: math.Max(f.free.Min.X, lo.X), Y: math.Max(f.free.Min.Y, lo.Y)}
	f.free.Max = plane.Point{X: math.Min(f.free.Max.X, hi.X), Y: math.Min(f.free.Max.Y, hi.Y)}
}

// faceScrews are the holes for its screws in the removable face.
func (m *maker) faceScrews() []Hole {
	var holes []Hole
	for _, c := range m.cleats {
		for _, s := range c.screws {
			holes = append(holes, Hole{Kind: "fixing", X: s.X, Y: s.Y, Diameter: m.box.Removable.Hole, Use: UseFaceScrew, From: "outer"})
		}
	}
	return holes
}

// checkLoose states how the removable face is held.
func (m *maker) checkLoose() {
	r := m.box.Removable
	if r == nil {
		return
	}
	l := m.wrap.length
	f := m.looseFace()
	outer, _ := m.rim(f)
	wood := math.Inf(1)
	for _, c := range m.cleats {
		for _, s := range c.screws {
			wood = math.Min(wood, outer.Distance(s)-r.Hole/2)
		}
	}
	m.add("wood outside the face's screws", grade(wood, screwWood, screwWood/2), wood, screwWood, "m",
		"%s of wood between the screws of the removable %s and its edges; %s is wanted", l(wood), f.name, l(screwWood))
	status := Pass
	if r.Spacing > screwApart+rounding || r.Corner > screwCorner+rounding {
		status = Marginal
	}
	m.add("screws of the removable face", status, r.Spacing, screwApart, "m",
		"%d screws %s, at most %s apart and %s from a corner; %s and %s are the most wanted", r.Screws, r.Thread, l(r.Spacing), l(r.Corner), l(screwApart), l(screwCorner))
	m.box.Notes = append(m.box.Notes, fmt.Sprintf("the gasket under the removable %s adds %s to the outside there", f.name, l(r.Gasket)))
}
