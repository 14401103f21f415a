package panels

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// A removable face (common practice).
const (
	// GasketFoam is the thickness of the foam under a removable face as sold, GasketSqueezed what is left of it, both in m.
	// The squeezed gasket stands between the face and the box, so it adds to the outside.
	GasketFoam     = 5e-3
	GasketSqueezed = 2.5e-3

	screwLeast   = 45e-3 // from a corner, so that the screw is clear of the cleats' own joint
	leastApart   = 40e-3
	cleatJoint   = 15e-3 // from a screw to the end of its cleat
	screwSpacing = 115e-3
	heavyFace    = 22e-3 // a face this thick takes the larger screw
)

var (
	cleatFace   = grade.Of(grade.CleatFace).Value()  // landing of the face on its cleats, all round
	cleatDepth  = grade.Of(grade.CleatDepth).Value() // least depth of a cleat
	screwApart  = grade.Of(grade.RemovableScrewSpacing).Pass
	screwCorner = grade.Of(grade.RemovableScrewCorner).Pass
	screwWood   = grade.Of(grade.RemovableScrewEdge).Pass // outside a screw's hole
)

// cleats are the strips behind a removable face with the screws in them, in the panel frame of the face.
type cleats struct {
	RemovableFace
	screws [][]plane.Point // by strip
	edge   plane.Polygon   // outline of the face
	depth  float64         // of the strips into the box
	open   float64         // area that the strips leave free, m2
}

// addCleats makes the ring of cleats behind the removable face, and its screws.
func (sc *scene) addCleats() error {
	sh := sc.shell
	p := &sh.parts[sh.loose]
	board := sc.spec.Wood.Thickness
	layers := max(1, int(math.Ceil(cleatDepth/board-rounding)))
	depth := float64(layers) * board
	loop := sh.air.Faces[sh.loose].Loops[0]
	inner := p.frame.Flat(loop.At)
	th := faceThread(p.t, sc.spec.InchThreads)
	c := &cleats{depth: depth, edge: p.frame.Flat(sh.boards[sh.loose].Outer), open: inner.Area(),
		RemovableFace: RemovableFace{Panel: p.name, Foam: GasketFoam, Gasket: GasketSqueezed, Thread: th.name, Hole: th.clear, Barrel: th.barrel}}
	for i := range c.edge {
		a, b := c.edge.Edge(i)
		c.Tape += b.Sub(a).Norm()
	}
	free, roomy := within(inner, cleatFace)
	roomy = roomy && len(sh.air.Faces[sh.loose].Loops) == 1
	var ring []plane.Polygon
	if roomy {
		ring = ringOf(inner, free)
	}
	outer := sh.outside.Faces[sh.loose].Offset(-p.t)
	for k, g := range ring {
		at := make([]r3.Vec, len(g))
		for i, q := range g {
			at[i] = p.frame.At(q, -p.t)
			deep, _ := sh.ahead(at[i], r3.Scale(-1, outer.N), 0)
			roomy = roomy && deep > depth-sameSize
		}
		screws, from, to := screwCleat(c.edge, inner, g, k)
		c.screws = append(c.screws, screws)
		c.Screws += len(screws)
		c.Corner = math.Max(c.Corner, math.Max(from, to))
		for i := 1; i < len(screws); i++ {
			c.Spacing = math.Max(c.Spacing, screws[i].Sub(screws[i-1]).Norm())
		}
		c.open -= g.Area()
		wall := sh.parts[loop.With[k]].name
		b := plate(outer, at, depth)
		b.Edges[0].With = loop.With[k]
		x := piece{name: "cleat", role: Cleat, board: b, layers: layers, on: loop.With[k]}
		f := barFrame(outer, b.Outer)
		for _, s := range screws {
			q := f.To(p.frame.At(s, -p.t))
			x.holes = append(x.holes, Hole{Kind: HoleFixing, X: q.X, Y: q.Y, Diameter: c.Barrel, Use: UseFaceInsert, From: "outer"})
		}
		x.air = b.Volume
		x.notes = []Message{say("goes along the %s", wall),
			say("glued and sealed all along inside, its outer face level with the edges that the %s lands on; %s screw-in inserts in its holes", p.name, c.Thread)}
		sc.put(x, cleatBody)
	}
	if deep := sh.reaching(outer.N); !roomy || depth >= (deep[1]-deep[0])/2 {
		return &BuildError{Reason: NoLoose, Panel: p.name, Value: depth,
			Say: say("the %s cannot be removable: there is no room behind it for cleats %s wide and %s deep on all its sides", p.name, Length(cleatFace), Length(depth))}
	}
	sc.cleats = c
	return nil
}

// bodyAir is the air that a tube keeps to boards beside it (common practice).
const bodyAir = 5e-3

// gasketAir is the air that the face gains by standing off on its gasket.
func (sc *scene) gasketAir() float64 {
	if sc.cleats == nil {
		return 0
	}
	return sc.cleats.open * GasketSqueezed
}

// removable describes the removable face; nil when there is none.
func (sc *scene) removable() *RemovableFace {
	if sc.cleats == nil {
		return nil
	}
	return &sc.cleats.RemovableFace
}

// faceScrews are the holes for its screws in the removable face.
func (sc *scene) faceScrews() []Hole {
	var holes []Hole
	for _, strip := range sc.cleats.screws {
		for _, s := range strip {
			holes = append(holes, Hole{Kind: HoleFixing, X: s.X, Y: s.Y, Diameter: sc.cleats.Hole, Use: UseFaceScrew, From: "outer"})
		}
	}
	return holes
}

// checkLoose states how the removable face is held.
func (sc *scene) checkLoose(b *Box) {
	r := b.Removable
	if r == nil {
		return
	}
	wood := math.Inf(1)
	for _, strip := range sc.cleats.screws {
		for _, s := range strip {
			wood = math.Min(wood, sc.cleats.edge.Distance(s)-r.Hole/2)
		}
	}
	b.least("wood outside the face's screws", wood, screwWood, screwWood/2,
		"%s of wood between the screws of the removable %s and its edges; %s is wanted", Length(wood), r.Panel, Length(screwWood))
	status := Pass
	if r.Spacing > screwApart+rounding || r.Corner > screwCorner+rounding {
		status = Marginal
	}
	b.add("screws of the removable face", status, r.Spacing, screwApart, "m",
		say("%d screws %s, at most %s apart and %s from a corner; %s and %s are the most wanted", r.Screws, r.Thread, Length(r.Spacing), Length(r.Corner), Length(screwApart), Length(screwCorner)))
	b.Notes = append(b.Notes, say("the gasket under the removable %s adds %s to the outside there", r.Panel, Length(r.Gasket)))
}

// within moves every side of a polygon inward by d, corner for corner; ok is false where a side would vanish.
func within(g plane.Polygon, d float64) (in plane.Polygon, ok bool) {
	in = g.Drawn(d)
	for i := range g {
		a, b := g.Edge(i)
		p, q := in.Edge(i)
		if b.Sub(a).Dot(q.Sub(p)) <= 0 {
			return nil, false
		}
	}
	return in, in.IsSimple() && g.ContainsPolygon(in)
}

// ringOf divides what lies between the inner rim and the opening into strips, one for each side. Each begins at the face of
// the strip before it and runs on to the wall after it; where the corners are too sharp for that all are mitred.
func ringOf(inner, free plane.Polygon) []plane.Polygon {
	n := len(inner)
	ring, mitred := make([]plane.Polygon, n), make([]plane.Polygon, n)
	for k := range inner {
		next := (k + 1) % n
		ring[k] = cleatOutline(inner, free, k)
		mitred[k] = plane.Polygon{inner[k], inner[next], free[next], free[k]}
	}
	const nothing = 1e-12 // m2, rounding of the arithmetic
	for i, g := range ring {
		if !g.IsSimple() || g.Area() <= 0 || g.Area()-g.IntersectArea(inner) > nothing {
			return mitred
		}
		for _, h := range ring[:i] {
			if g.IntersectArea(h) > nothing {
				return mitred
			}
		}
	}
	return ring
}

// cleatOutline is side k's strip, butted: at a corner that points inward both strips are mitred.
func cleatOutline(inner, free plane.Polygon, k int) plane.Polygon {
	n := len(inner)
	line := func(g plane.Polygon, i int) plane.Line {
		a, b := g.Edge((i + n) % n)
		return plane.LineThrough(a, b)
	}
	next := (k + 1) % n
	start, end := inner[k], free[next]
	if inner.InteriorAngle(k) < math.Pi {
		start, _ = line(free, k-1).Meet(line(inner, k))
	}
	if inner.InteriorAngle(next) < math.Pi {
		end, _ = line(inner, next).Meet(line(free, k))
	}
	return plane.Polygon{start, inner[next], end, free[k]}
}

// screwCleat spaces the screws along the cleat g of side k: at most 80 mm from the face's corners and 130 mm apart. from and to
// are the distances of the first and the last from the corners.
func screwCleat(outer, inner, g plane.Polygon, k int) (screws []plane.Point, from, to float64) {
	a, b := inner.Edge(k)
	dir, along := b.Sub(a).Unit(), plane.LineThrough(a, b)
	start, end := outer.Edge(k)
	at := func(p plane.Point) float64 { return p.Sub(start).Dot(dir) }
	length := at(end)
	lo, hi := math.Max(at(g[0]), at(g[3])), math.Min(at(g[1]), at(g[2]))
	least0, least1 := math.Max(screwLeast, lo+cleatJoint), math.Max(screwLeast, length-hi+cleatJoint)
	gaps := max(1, int(math.Ceil((length-2*screwCorner)/screwApart-rounding)))
	first := math.Min((length-float64(gaps)*screwSpacing)/2, screwCorner)
	from, to = math.Max(first, least0), math.Max(first, least1)
	if length-from-to < leastApart { // one screw in its middle, if it has a middle
		if hi-lo < 2*cleatJoint {
			return nil, 0, 0
		}
		from, gaps = (lo+hi)/2, 0
		to = length - from
	}
	for gaps > 0 && (length-from-to)/float64(gaps) > screwApart+rounding {
		gaps++
	}
	for i := range gaps + 1 {
		s := from
		if gaps > 0 {
			s += (length - from - to) * float64(i) / float64(gaps)
		}
		foot := start.Add(dir.Mul(s))
		screws = append(screws, foot.Add(along.N.Mul(cleatFace/2-along.Distance(foot))))
	}
	return screws, from, to
}
