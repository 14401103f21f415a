package cavity

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// toe is the angle under which a corner is too sharp for a saw, which tilts by 45 degrees (common practice); a hair less,
// so that corners of exactly 45 degrees stay.
const toe = math.Pi/4 - square

// lowTurn is the turn under which a corner is no corner for a woodworker.
const lowTurn = 0.5 * math.Pi / 180

// A change is something that was cut off a section so that it can be built.
type change struct {
	what func() string
	area float64 // lost, m2
}

// note says what was done and what it cost in a box of the given width.
func (c change) note(width float64, u unit.System) string {
	return fmt.Sprintf("%s, %s of the largest box lost", c.what(), unit.FormatVolume(c.area*width, u))
}

// A mender makes sections buildable: no wall shorter than least, no corner sharper than toe.
type mender struct {
	units    unit.System
	least    float64   // shortest wall, m
	nose     float64   // height of the nose of a blunted toe, m
	keepToes bool      // leave toes sharp
	most     ShapeKind // the result must not be of a later kind
}

func (m mender) length(l float64) string { return length(l, m.units) }

// A trial is a section on the way to being buildable.
type trial struct {
	g       plane.Polygon
	changes []change
}

// Limits of the search for the cheapest mending. Each trial cures one fault in about ten ways; sections that need more than
// a few cures are found early, as every cure costs air.
const (
	mostTrials  = 60
	mostChanges = 8
)

// made is how much shorter than the least, relatively, a wall may be that was lengthened to it: what the cutting of polygons
// leaves of an exact length.
const made = 1e-6

// mend returns the buildable section that costs the least air by cutting inward only; ok is false when none larger than
// atLeast was found.
func (m mender) mend(g plane.Polygon, atLeast float64) (plane.Polygon, []change, bool) {
	if g.Area() <= atLeast {
		return nil, nil, false
	}
	open := []trial{{g: straighten(g)}}
	for range mostTrials {
		if len(open) == 0 {
			break
		}
		t := open[0]
		open = open[1:]
		cures, ok := m.cures(t.g)
		if ok {
			return t.g, t.changes, true
		}
		if len(t.changes) >= mostChanges {
			continue
		}
		for _, c := range cures {
			if len(c.g) < 3 || c.g.Area() <= atLeast || kindOf(c.g) > m.most {
				continue
			}
			c.changes[0].area = t.g.Area() - c.g.Area()
			c.changes = append(slices.Clone(t.changes), c.changes...)
			open = append(open, c)
		}
		slices.SortStableFunc(open, func(a, b trial) int { return cmp(b.g.Area(), a.g.Area()) })
	}
	return nil, nil, false
}

// cures lists ways to remove the first fault of g; ok is true when there is none.
func (m mender) cures(g plane.Polygon) (list []trial, ok bool) {
	if len(g) < 3 {
		return nil, false
	}
	for i := range g {
		a, b := g.Edge(i)
		if l := b.Sub(a).Norm(); l < m.least*(1-made) {
			return m.lengthen(g, i, func() string {
				return fmt.Sprintf("the wall of %s at the %s (depth %s, height %s) is too short to build, the least is %s",
					m.length(l), facing(a, b), m.length((a.X+b.X)/2), m.length((a.Y+b.Y)/2), m.length(m.least))
			}), false
		}
	}
	if len(g) > plane.MaxCorners {
		return m.lengthen(g, shortest(g), func() string { return fmt.Sprintf("the section has more than %d corners", plane.MaxCorners) }), false
	}
	if m.keepToes {
		return nil, true
	}
	for i := range g {
		if a := g.InteriorAngle(i); a < toe {
			return m.blunt(g, i), false
		}
	}
	return nil, true
}

// shortest returns the shortest wall.
func shortest(g plane.Polygon) int {
	k := 0
	for i := range g {
		a, b := g.Edge(i)
		if c, d := g.Edge(k); b.Sub(a).Norm() < d.Sub(c).Norm() {
			k = i
		}
	}
	return k
}

// facing tells which way the wall from a to b looks.
func facing(a, b plane.Point) string {
	out := b.Sub(a).Left().Mul(-1)
	switch {
	case math.Abs(out.X) >= math.Abs(out.Y) && out.X > 0:
		return "back"
	case math.Abs(out.X) >= math.Abs(out.Y):
		return "front"
	case out.Y > 0:
		return "top"
	}
	return "bottom"
}

// lengthen lists ways to be rid of the short wall i.
func (m mender) lengthen(g plane.Polygon, i int, what func() string) []trial {
	n := len(g)
	a, b := g.Edge(i)
	l := b.Sub(a).Norm()
	alpha, beta := g.InteriorAngle(i), g.InteriorAngle((i+1)%n)
	var list []trial
	add := func(how string, pieces ...plane.Polygon) {
		for _, p := range pieces {
			list = append(list, trial{p, []change{{what: func() string { return what() + "; " + how }}}})
		}
	}
	const cutBack = "cut back along the walls"
	type move struct {
		side int
		by   float64
	}
	var sweeps []move // that do not give a simple outline at once
	shift := func(side int, by float64) {
		if side = ((side % n) + n) % n; !(by > 0) || by > g.Bounds().Diagonal() {
			return
		}
		if h, ok := moveIn(g, side, by); ok {
			add(cutBack, h)
		} else {
			sweeps = append(sweeps, move{side, by})
		}
	}
	if rate := 1/math.Tan(alpha) + 1/math.Tan(beta); rate < 0 {
		shift(i, (m.least-l)/-rate)
	} else if rate > 0 {
		shift(i, l/rate)
	}
	// A neighbour that moves inward makes the wall shorter at a convex corner, until it is gone, longer at a reflex one.
	for _, c := range []struct {
		side  int
		angle float64
	}{{i - 1, alpha}, {i + 1, beta}} {
		if s := math.Sin(c.angle); s > 0 {
			shift(c.side, l*s)
		} else {
			shift(c.side, (m.least-l)*-s)
		}
	}
	// The wall beyond a neighbour moves in until that neighbour is gone and the short wall runs on.
	for _, c := range []struct{ side, neighbour, corner int }{{i - 2, i - 1, i - 1}, {i + 2, i + 1, i + 2}} {
		p, q := g.Edge(c.neighbour)
		if s := math.Sin(g.InteriorAngle(((c.corner % n) + n) % n)); s > 0 {
			shift(c.side, q.Sub(p).Norm()*s)
		}
	}
	for _, k := range []int{i, (i + 1) % n} {
		if h, ok := dropCorner(g, k); ok {
			add("its corner cut off", straighten(h))
		}
	}
	for _, m := range sweeps {
		if len(list) == 0 {
			add(cutBack, sweep(g, m.side, m.by)...)
		}
	}
	return list
}

// moveIn moves wall i of g inward. Its neighbours run on or are cut off where they meet it; ok is false if that does not
// give a simple outline.
func moveIn(g plane.Polygon, i int, by float64) (h plane.Polygon, ok bool) {
	if len(g) <= 3 {
		return nil, false
	}
	z, a := g.Edge(i - 1)
	b, c := g.Edge(i + 1)
	off := plane.LineThrough(a, b).Offset(by)
	p, ok1 := plane.LineThrough(z, a).Meet(off)
	q, ok2 := off.Meet(plane.LineThrough(b, c))
	const turned = -nearCorner
	if !ok1 || !ok2 || p.Sub(z).Dot(a.Sub(z).Unit()) < turned || q.Sub(p).Dot(b.Sub(a).Unit()) < turned ||
		c.Sub(q).Dot(c.Sub(b).Unit()) < turned {
		return nil, false
	}
	h = slices.Clone(g)
	h[i], h[(i+1)%len(g)] = p, q
	if h = h.Clean(nearCorner, 0); !h.IsSimple() || h.Area() <= 0 {
		return nil, false
	}
	return straighten(h), true
}

// sweep takes away all that wall i sweeps when it moves inward.
func sweep(g plane.Polygon, i int, by float64) []plane.Polygon {
	d := make([]float64, len(g))
	d[i] = by
	pieces, err := g.Inset(d)
	if err != nil {
		return nil
	}
	return straightenAll(pieces)
}

// dropCorner leaves out a convex corner if the straight way between its neighbours lies inside.
func dropCorner(g plane.Polygon, k int) (plane.Polygon, bool) {
	if len(g) <= 3 || g.InteriorAngle(k) >= math.Pi {
		return nil, false
	}
	n := len(g)
	if z, w := (k+n-1)%n, (k+1)%n; !clearOf(g, g[z], g[k], g[w], z, k, w) {
		return nil, false
	}
	return slices.Delete(slices.Clone(g), k, k+1), true
}

// clearOf reports whether no corner of g but the given ones lies in the triangle abc, counter-clockwise. Where two of its sides
// lie in the outline, no wall crosses the third: it would have an end in the triangle.
func clearOf(g plane.Polygon, a, b, c plane.Point, but ...int) bool {
	const on = nearCorner / 10
	la, lb, lc := plane.LineThrough(a, b), plane.LineThrough(b, c), plane.LineThrough(c, a)
	for i, p := range g {
		if la.Distance(p) >= -on && lb.Distance(p) >= -on && lc.Distance(p) >= -on && !slices.Contains(but, i) {
			return false
		}
	}
	return true
}

// blunt lists ways to put a nose across the toe at corner k: upright if possible, else level or square to a wall.
func (m mender) blunt(g plane.Polygon, k int) []trial {
	v := g[k]
	z, _ := g.Edge(k - 1)
	_, w := g.Edge(k)
	e1, e2 := z.Sub(v), w.Sub(v)
	what := func() string {
		return fmt.Sprintf("the toe of %.1f degrees at depth %s, height %s is blunted by a nose of %s",
			g.InteriorAngle(k)*180/math.Pi, m.length(v.X), m.length(v.Y), m.length(m.nose))
	}
	var list []trial
	for _, d := range []plane.Point{{Y: 1}, {X: 1}, e1.Unit().Left(), e2.Unit().Left()} {
		// v + s e1 and v + t e2 lie nose apart along d.
		det := e1.Cross(e2)
		s, t := -d.Cross(e2)*m.nose/det, -d.Cross(e1)*m.nose/det
		if s < 0 {
			s, t = -s, -t
		}
		if s <= 0 || t <= 0 {
			continue
		}
		p, q := v.Add(e1.Mul(s)), v.Add(e2.Mul(t))
		l := plane.LineThrough(p, q)
		if l.Distance(v) > 0 {
			l = plane.Line{N: l.N.Mul(-1), C: -l.C}
		}
		for _, piece := range g.ClipHalfPlane(l) {
			list = append(list, trial{straighten(piece), []change{{what: what}}})
		}
	}
	return list
}

func straightenAll(pieces []plane.Polygon) []plane.Polygon {
	var list []plane.Polygon
	for _, g := range pieces {
		if h := straighten(g); len(h) >= 3 {
			list = append(list, h)
		}
	}
	return list
}

// straighten drops corners that turn by less than lowTurn or lie within nearCorner of another, never leaving g: a
// convex corner is left out, a reflex one becomes the end of the one wall run on into the inside.
func straighten(g plane.Polygon) plane.Polygon {
	for {
		k := -1
		for i := range g {
			a, b := g.Edge(i)
			if turn := math.Abs(g.InteriorAngle(i) - math.Pi); turn < lowTurn || b.Sub(a).Norm() <= nearCorner {
				k = i
				break
			}
		}
		if k < 0 || len(g) <= 3 {
			return g
		}
		h, ok := straightenAt(g, k)
		if !ok {
			return g
		}
		g = h
	}
}

func straightenAt(g plane.Polygon, k int) (plane.Polygon, bool) {
	n := len(g)
	var best plane.Polygon
	for _, i := range []int{k, (k + 1) % n} {
		if h, ok := dropCorner(g, i); ok && (best == nil || h.Area() > best.Area()) {
			best = h
		}
		if a := g.InteriorAngle(i); a < math.Pi {
			continue
		}
		y, z, v, w, x := g[(i+n-2)%n], g[(i+n-1)%n], g[i], g[(i+1)%n], g[(i+2)%n]
		for _, c := range [...]struct {
			l        plane.Line  // the wall that runs on
			from, to plane.Point // the wall that it then ends on
			at       int         // the corner between that wall and the one that goes
			a, b     plane.Point // the wall that goes
		}{{plane.LineThrough(z, v), w, x, (i + 1) % n, v, w}, {plane.LineThrough(v, w), z, y, (i + n - 1) % n, z, v}} {
			p, ok := c.l.Meet(plane.LineThrough(c.from, c.to))
			along := p.Sub(c.from).Dot(c.to.Sub(c.from).Unit())
			if !ok || along <= 0 || along >= c.to.Sub(c.from).Norm() || !clearOf(g, c.a, c.b, p, i, c.at) {
				continue
			}
			h := slices.Clone(g)
			h[c.at] = p
			h = slices.Delete(h, i, i+1)
			if best == nil || h.Area() > best.Area() {
				best = h
			}
		}
	}
	return best, best != nil
}
