package panels

import (
	"math"
	"slices"

	"cubby/internal/grade"
	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// Window braces.
var (
	bracePlay   = grade.Of(grade.BraceClearance).Value() // per side, so that the brace slides in
	braceRail   = grade.Of(grade.BraceRail).Pass         // least width of a rail, or twice the board
	braceOpen   = grade.Of(grade.BraceOpening).Pass      // share of the section that the window should open
	braceClear  = grade.Of(grade.BraceToMagnet).Pass     // air kept to a magnet, a vented pole, a port's body
	braceRadius = grade.Of(grade.BraceCorner).Pass       // inside corners of the window
)

// Of braces (common practice).
const (
	braceUneven = 0.16  // how unlike the spans are made: one brace stands at 0.42 of the width
	braceHole   = 3e-3  // play of a tube that passes through
	braceLip    = 10e-3 // least wood between that tube's hole and the brace's edge; else the brace is notched
	mostBraces  = 12
)

// braced is where braces stand: the windows' lower faces along the axis, and what is left of each face between them.
type braced struct {
	spots []float64
	spans map[int][2]float64 // of the faces that strips divide: the widest sides that are left
}

// addBraces adds window braces until no board's first plate resonance is below the lowest wished for, or no more go in; then
// strips where it still is.
func (sc *scene) addBraces() {
	if sc.spec.Brace.Lowest <= 0 {
		return
	}
	var spots []float64
	for n := 0; n <= mostBraces; n++ {
		next, ok := sc.braceSpots(n)
		if !ok {
			break
		}
		spots = next
		if sc.lowestResonance(spots) >= sc.spec.Brace.Lowest {
			break
		}
	}
	var windows []piece
	for i, x := range spots {
		p, open := sc.window(x)
		if open < braceOpen {
			windows, spots = nil, nil // in so small a section strips serve
			break
		}
		p.name = numbered("brace", i, len(spots))
		windows = append(windows, p)
	}
	sc.braced.spots = spots
	for _, p := range windows {
		sc.put(p, braceBody)
	}
	sc.addStrips()
}

// along is where the air begins and ends along the axis.
func (sc *scene) along() (lo, hi float64) {
	a, b := sc.shell.air.Bounds()
	return sc.shell.axis.Of(a), sc.shell.axis.Of(b)
}

// plateOf is a face as a plate: its inner face's sides along the axis (0) and round the section (1); of an end the sides of
// the rectangle round it. o is where both begin.
type plateOf struct {
	face  int
	o     r3.Vec
	e     [2]r3.Vec
	sides [2]float64
}

func (sc *scene) plateOf(i int) plateOf {
	sh := sc.shell
	f := &sh.air.Faces[i]
	p := plateOf{face: i}
	switch {
	case f.Kind == solid.Low || f.Kind == solid.High:
		at := func(x, y float64) r3.Vec { return sh.axis.At(plane.Point{X: x, Y: y}, 0) }
		p.e = [2]r3.Vec{at(1, 0), at(0, 1)}
	default:
		p.e[0] = sh.axis.Unit()
		p.e[1] = r3.Cross(p.e[0], f.N)
		if sh.axis == solid.Depth {
			p.e[1] = r3.Scale(-1, p.e[1])
		}
		if f.Kind == solid.InPocket && math.Abs(sh.axis.Of(f.N)) > rounding {
			p.e[0], p.e[1] = solid.Axes(f.N)
		}
	}
	lo := [2]float64{math.Inf(1), math.Inf(1)}
	hi := [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, q := range f.Loops[0].At {
		for k := range lo {
			s := r3.Dot(q, p.e[k])
			lo[k], hi[k] = math.Min(lo[k], s), math.Max(hi[k], s)
		}
	}
	p.sides = [2]float64{hi[0] - lo[0], hi[1] - lo[1]}
	o := f.Loops[0].At[0]
	for k := range lo {
		o = r3.Add(o, r3.Scale((lo[k]-r3.Dot(o, p.e[k]))/r3.Norm2(p.e[k]), p.e[k]))
	}
	p.o = o
	return p
}

// resonance is the first plate resonance of face i with window braces at the given spots, over its widest free span.
func (sc *scene) resonance(i int, spots []float64) float64 {
	p, sh := sc.plateOf(i), sc.shell
	if i != sh.loose && sh.air.Faces[i].Kind == solid.Side {
		_, p.sides[0], _ = sc.between(&p, spots)
	}
	return sc.plateResonance(p.sides[0], p.sides[1], sh.parts[i].t)
}

// between is the widest stretch of a plate along the axis that braces at the given spots leave, and where it begins; other is the
// next.
func (sc *scene) between(p *plateOf, spots []float64) (begin, widest, other float64) {
	from := sc.shell.axis.Of(p.o)
	end := from + p.sides[0]
	for _, x := range append(spots[:len(spots):len(spots)], end) {
		if x <= from || x > end {
			continue
		}
		if w := x - from; w > widest {
			begin, widest, other = from, w, widest
		} else {
			other = math.Max(other, w)
		}
		from = x + sc.spec.Wood.Thickness
	}
	return begin, widest, other
}

// plateResonance is PlateResonance for the box's own board.
func (sc *scene) plateResonance(a, b, t float64) float64 {
	return PlateResonance(a, b, t, boardOf(sc.spec.Wood.Board).modulus, sc.spec.Wood.density())
}

// lowestResonance is that of the faces that window braces hold.
func (sc *scene) lowestResonance(spots []float64) float64 {
	low := math.Inf(1)
	for i, f := range sc.shell.air.Faces {
		if f.Kind == solid.Side && i != sc.shell.loose {
			low = math.Min(low, sc.resonance(i, spots))
		}
	}
	return low
}

// braceSpots places n braces at unequal spans, moved clear of what stands in the box; ok is false when they do not fit.
func (sc *scene) braceSpots(n int) (spots []float64, ok bool) {
	if n == 0 {
		return nil, true
	}
	t := sc.spec.Wood.Thickness
	lo, hi := sc.along()
	clear := hi - lo - float64(n)*t
	if clear/float64(n+1) < 2*t+braceRail {
		return nil, false
	}
	keep := sc.keepOut(t)
	x := lo
	for i := range n {
		x += clear / float64(n+1) * (1 + braceUneven*(2*float64(i)/float64(n)-1))
		at, found := nearestFree(x, lo+braceRail, hi-braceRail-t, keep)
		if !found || len(spots) > 0 && at < spots[len(spots)-1]+t+braceRail {
			return nil, false
		}
		spots = append(spots, at)
		x += t
	}
	return spots, true
}

// keepOut lists the stretches of the axis in which no brace's lower face may lie.
func (sc *scene) keepOut(t float64) [][2]float64 {
	var out [][2]float64
	axis := sc.shell.axis.Unit()
	for i := range sc.bodies {
		b := &sc.bodies[i]
		lo, hi := b.span(axis)
		switch {
		case b.kind == slotBody: // not half on the slot
			out = append(out, [2]float64{lo - t, lo}, [2]float64{hi - t, hi})
			continue
		case b.kind == cleatBody && sc.shell.parts[sc.shell.loose].role != End:
			continue
		}
		if b.tube != nil && sc.passes(b.tube) {
			continue
		}
		out = append(out, [2]float64{lo - braceClear - t, hi + braceClear})
	}
	for _, m := range sc.mouths() {
		lo, hi := m.span(axis)
		out = append(out, [2]float64{lo - t, hi})
	}
	return out
}

// passes reports whether a tube runs along the axis, so that a brace lets it through.
func (sc *scene) passes(t *roundTube) bool {
	d := r3.Sub(t.to, t.from)
	return math.Abs(sc.shell.axis.Of(d)) > r3.Norm(d)*(1-rounding)
}

// nearestFree is the spot nearest to x between lo and hi that is clear of every stretch.
func nearestFree(x, lo, hi float64, keep [][2]float64) (float64, bool) {
	free := func(x float64) bool {
		if x < lo-rounding || x > hi+rounding {
			return false
		}
		for _, k := range keep {
			if x > k[0]+rounding && x < k[1]-rounding {
				return false
			}
		}
		return true
	}
	if free(x) {
		return x, true
	}
	best, found := math.Inf(1), false
	for _, k := range keep {
		for _, c := range k {
			if free(c) && math.Abs(c-x) < math.Abs(best-x) {
				best, found = c, true
			}
		}
	}
	return best, found
}

// window shapes the brace at the spot x: the inside less play, beside a slot and off the cleats, with windows and holes for the
// tubes that pass. open is the share of it that is open.
func (sc *scene) window(x float64) (p piece, open float64) {
	sh, t := sc.shell, sc.spec.Wood.Thickness
	n := sh.axis.Unit()
	outer, inner := solid.Plane{N: n, D: x + t}, solid.Plane{N: n, D: x}
	slab, err := slab(sh.air, outer, inner, nil, 0, true)
	if err != nil {
		return p, 0
	}
	f := frameOf(outer, slab.Outer)
	whole := largest(sc.besideSlot(f, inner, f.Flat(slab.Outer)).Inset(bracePlay))
	outline, holes := sc.letThrough(f, inner, whole)
	if len(outline) == 0 { // the tube takes the whole section
		return p, 0
	}
	at := make([]r3.Vec, len(outline))
	for i, q := range outline {
		at[i] = f.At(q, 0)
	}
	p = piece{role: Window, board: plate(outer, at, t), on: -1}
	lo, _ := sc.along()
	p.notes = []Message{say("%s from the %s's inner face; goes in before the last wall", Length(x-lo), sh.parts[sh.end(solid.Low)].name)}
	if sh.axis == solid.Across {
		p.notes = []Message{say("left face %s from the left end's inner face; goes in before the last wall", Length(x-lo))}
	}
	if outline.Area() < whole.Area()-rounding*rounding {
		p.notes = append(p.notes, say("the notch lets the port's tube pass, with %s of play", Length(braceHole)))
	}
	for i := range p.board.Edges {
		e := &p.board.Edges[i]
		e.With, e.Piece = sc.standsOn(f, outline, i, slab)
	}
	windows := windowsFor(outline, holes, math.Max(braceRail, 2*t))
	origin := frameOf(outer, at)
	shift := origin.To(f.At(plane.Point{}, 0))
	area := 0.0
	for _, w := range windows {
		c, s := w.Min.Add(w.Max).Mul(0.5).Add(shift), w.Max.Sub(w.Min)
		h := Hole{Kind: HoleWindow, X: c.X, Y: c.Y, Length: s.X, Width: s.Y, Radius: windowRadius(w), From: "outer"}
		p.holes, area = append(p.holes, h), area+h.area()
	}
	for _, h := range holes {
		if !slices.ContainsFunc(windows, h.within) {
			h.X, h.Y = h.X+shift.X, h.Y+shift.Y
			p.holes, area = append(p.holes, h), area+h.area()
		}
	}
	p.air = math.Max(p.board.Volume-area*t, 0)
	return p, area / outline.Area()
}

// standsOn is what side i of a brace's outline stands at: the wall, or a slot's wall by name; neither: a notch, or the gap behind a
// removable face.
func (sc *scene) standsOn(f solid.Frame, outline plane.Polygon, i int, slab Board) (wall int, piece string) {
	a, b := outline.Edge(i)
	mid := f.At(a.Add(b).Mul(0.5), 0)
	for k, e := range slab.Edges {
		u := r3.Unit(r3.Sub(f.At(b, 0), f.At(a, 0)))
		if e.With >= 0 && slab.Sides[k].Depth(mid) < 2*bracePlay && math.Abs(r3.Dot(u, slab.Sides[k].N)) < sameSize {
			return e.With, ""
		}
	}
	for i := range sc.pieces {
		b := &sc.pieces[i].board
		for _, p := range [...]r3.Vec{b.Outer[0], b.Inner[0]} {
			if sc.pieces[i].role.OfPort() && math.Abs(r3.Dot(b.Out, r3.Sub(mid, p))) < 2*bracePlay {
				return -1, sc.pieces[i].name
			}
		}
	}
	return -1, ""
}

// besideSlot is the outline without what a slot takes of it, and off the cleats of a removable face: a brace stands on the slot's
// walls, and nothing is glued to a removable face.
func (sc *scene) besideSlot(f solid.Frame, at solid.Plane, g plane.Polygon) plane.Polygon {
	sh := sc.shell
	if sh.loose >= 0 && sh.parts[sh.loose].role != End {
		p := sh.air.Faces[sh.loose].Offset(-sc.cleats.depth)
		o := f.To(r3.Scale(p.D, p.N))
		out := f.To(r3.Add(f.O, p.N))
		g = largest(g.ClipHalfPlane(plane.Line{N: out.Mul(-1), C: -out.Dot(o)}))
	}
	for i := range sc.bodies {
		if b := &sc.bodies[i]; b.kind == slotBody {
			if q := b.slice(at.Offset(sc.spec.Wood.Thickness/2), f); len(q) >= 3 {
				g = without(g, q)
			}
		}
	}
	return g
}

// without is the largest piece of an outline without a convex figure that lies along its edge: without more than that where the
// figure is no rectangle.
func without(g, q plane.Polygon) plane.Polygon {
	box, all := q.Bounds(), g.Bounds()
	if q.Area() > box.Area()*(1-sameSize) {
		const into = 1e-3 // past the edge, so that no sliver stays
		grow := func(v *float64, edge, by float64) {
			if math.Abs(*v-edge) < into {
				*v = edge + by
			}
		}
		grow(&box.Min.X, all.Min.X, -into)
		grow(&box.Min.Y, all.Min.Y, -into)
		grow(&box.Max.X, all.Max.X, into)
		grow(&box.Max.Y, all.Max.Y, into)
		return largest(g.Subtract(box))
	}
	var best plane.Polygon
	for k := range q {
		a, c := q.Edge(k)
		if rest := largest(g.ClipHalfPlane(plane.LineThrough(c, a))); rest.Area() > best.Area() {
			best = rest
		}
	}
	return best
}

// slice is where a plane goes through the hull of points, in a frame square to it, counter-clockwise; empty where it passes by.
func (b *body) slice(p solid.Plane, f solid.Frame) plane.Polygon {
	var cut plane.Polygon
	for i, a := range b.discs {
		for _, c := range b.discs[:i] {
			da, dc := p.Depth(a.at), p.Depth(c.at)
			if (da > 0) != (dc > 0) {
				cut = append(cut, f.To(r3.Add(a.at, r3.Scale(da/(da-dc), r3.Sub(c.at, a.at)))))
			}
		}
	}
	if len(cut) < 3 {
		return nil
	}
	return cut.ConvexHull()
}

// letThrough gives the holes for the tubes that pass a brace, and its outline, notched where a hole would leave too little wood.
func (sc *scene) letThrough(f solid.Frame, at solid.Plane, outline plane.Polygon) (plane.Polygon, []Hole) {
	var holes []Hole
	x := sc.shell.axis
	for i := range sc.bodies {
		t := sc.bodies[i].tube
		if t == nil || !sc.passes(t) {
			continue
		}
		lo, hi := math.Min(x.Of(t.from), x.Of(t.to)), math.Max(x.Of(t.from), x.Of(t.to))
		if lo >= at.D+sc.spec.Wood.Thickness || hi <= at.D {
			continue
		}
		c := f.To(t.from)
		holes = append(holes, Hole{Kind: HolePort, X: c.X, Y: c.Y, Diameter: 2 * (t.radius + braceHole), From: "outer"})
	}
	near := func(h Hole) bool {
		c := plane.Point{X: h.X, Y: h.Y}
		return !outline.Contains(c) || outline.Distance(c) < h.Diameter/2+braceLip
	}
	for k := 0; k < len(holes) && len(outline) > 0; k++ {
		if near(holes[k]) {
			outline = notched(outline, holes[k].square(0))
			holes = slices.Delete(holes, k, k+1)
			k = -1 // which may have brought the edge near another
		}
	}
	return outline, holes
}
