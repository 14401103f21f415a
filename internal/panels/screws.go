package panels

import (
	"math"
	"slices"

	"cubby/internal/plane"
)

// Layout of the screws that hold a glued joint while it sets.
const (
	// ScrewFromEnd is the distance of the first screw from the end of an edge (the European MDF trade body's figure for screws into
	// the edge of MDF).
	ScrewFromEnd = 0.070
	// ScrewPitch is the widest distance between two screws of a joint (common practice: 125 to 150 mm).
	ScrewPitch = 0.150
	// ScrewClear is what stays between a screw and an opening, or the feather of a bevel (the same trade body's least distance
	// from an edge, for the face of MDF).
	ScrewClear = 0.012
	// screwPair is the distance below which one screw does for two (common practice).
	screwPair = 0.060
	// screwHold is how far a screw goes into the second panel at least (from memory).
	screwHold = 0.010
	// feather is the tilt above which the sharp arris of a bevel is too thin to be screwed near (common practice).
	feather = 30 * degree
)

// ScrewRow is a straight row of screws through the outer face of one panel into the edge of another.
type ScrewRow struct {
	Through, Into string
	From, To      plane.Point // the joint's edge as it shows on the outer face of Through, panel frame; metres
	At            []float64   // of the screws, from From towards To, m; none where there is no room for one
	Inset         float64     // of the row from the edge of the outer face that runs along it, m
	Lean          float64     // of the screw from square to the outer face, in line with the panel that it goes into, rad
	Why           string      // why there are no screws; empty where there are some
}

// Place gives the place of screw k on the outer face, panel frame.
func (r ScrewRow) Place(k int) plane.Point {
	return r.From.Add(r.To.Sub(r.From).Unit().Mul(r.At[k]))
}

// ScrewRows lists the rows of screws of all butt joints of walls and ends. Mitres and rabbets between walls have none: they are
// clamped, as the lip of a rabbeted end is, and a removable face has its own. Nor has an edge with a feather nearer than ScrewClear, and screws keep ScrewClear from openings.
func (b *Box) ScrewRows() []ScrewRow {
	var out []ScrewRow
	for i := range b.Panels {
		p := &b.Panels[i]
		if p.Role != Wall {
			continue
		}
		out = append(out, b.wallScrews(p)...)
		for _, e := range p.Edges {
			if end := b.panel(e.Meets); end != nil && end.Role == End {
				out = append(out, b.endScrews(p, end, e))
			}
		}
	}
	if b.Removable != nil {
		out = slices.DeleteFunc(out, func(r ScrewRow) bool { return r.Through == b.Removable.Panel || r.Into == b.Removable.Panel })
	}
	for i := range out {
		if len(out[i].At) == 0 && out[i].Why == "" {
			out[i].Why = "too short"
		}
		if out[i].At = b.clearOfHoles(out[i]); len(out[i].At) == 0 && out[i].Why == "" {
			out[i].Why = "openings too near"
		}
	}
	return out
}

// screwsAlong places the screws along an edge of a length: the first and the last off its ends, the others evenly between.
func screwsAlong(l float64) []float64 {
	rest := l - 2*ScrewFromEnd
	switch {
	case l < ScrewFromEnd:
		return nil
	case rest < screwPair:
		return []float64{l / 2}
	}
	n := int(math.Ceil(rest/ScrewPitch - rounding))
	at := make([]float64, 0, n+1)
	for k := range n + 1 {
		at = append(at, ScrewFromEnd+rest*float64(k)/float64(n))
	}
	return at
}

// wallScrews are the rows through a wall into the walls that stop on it.
func (b *Box) wallScrews(p *Panel) []ScrewRow {
	var out []ScrewRow
	for _, e := range p.Edges {
		s := b.panel(e.Meets)
		if s == nil || s.Role != Wall || e.Joint != "butt-through" || s.mouthAt(p.Name) {
			continue
		}
		mid, dir, ok := stopEdge(s, p.Name)
		if !ok {
			continue
		}
		o0, o1 := p.Section[0], p.Section[1]
		u := o1.Sub(o0).Unit()
		at, ok := plane.LineThrough(o0, o1).Meet(plane.LineThrough(mid, mid.Add(dir)))
		if !ok {
			continue
		}
		y := o1.Sub(at).Dot(u)
		r := ScrewRow{Through: p.Name, Into: s.Name, From: plane.Point{Y: y}, To: plane.Point{X: p.Length, Y: y}, Inset: y}
		if e.Edge == "y1" {
			r.Inset = o1.Sub(o0).Norm() - y
		}
		r.Lean = math.Asin(math.Min(1, math.Abs(dir.Dot(u))))
		switch {
		case dir.Dot(u.Left()) > 0:
			r.Why = "inner corner"
		case r.Inset <= 0 || e.Tilt > feather && r.Inset < ScrewClear:
			r.Why = "feather too near"
		case !s.Section.CCW().Contains(mid.Sub(dir.Mul(screwHold))):
			r.Why = "too short" // the wall that it goes into
		default:
			r.At = screwsAlong(p.Length)
		}
		out = append(out, r)
	}
	return out
}

// mouthAt reports whether the slot's mouth takes the edge that a wall has to another.
func (p *Panel) mouthAt(other string) bool {
	if p.CutWidth <= 0 {
		return false
	}
	for _, h := range p.Holes {
		for _, e := range p.Edges {
			if h.Kind == "slot" && e.Meets == other && (e.Edge == "y0") == (h.Y < p.Width/2) {
				return true
			}
		}
	}
	return false
}

// stopEdge gives the middle of the cut edge with which a wall stops on another, and the direction along the wall out of it.
func stopEdge(s *Panel, on string) (mid, dir plane.Point, ok bool) {
	if len(s.Section) != 4 {
		return mid, dir, false
	}
	u := s.Section[1].Sub(s.Section[0]).Unit()
	for _, e := range s.Edges {
		if e.Meets != on || e.Joint != "butt-stop" {
			continue
		}
		if e.Edge == "y0" {
			return s.Section[1].Add(s.Section[2]).Mul(0.5), u, true
		}
		return s.Section[0].Add(s.Section[3]).Mul(0.5), u.Mul(-1), true
	}
	return mid, dir, false
}

// endScrews is the row between a wall and an end: through the end where it covers the wall's edge, else through the wall. The screws
// run along the middle of the edge that they go into.
func (b *Box) endScrews(w, end *Panel, e Edge) ScrewRow {
	o0, o1 := w.Section[0], w.Section[1]
	u := o1.Sub(o0).Unit()
	m := u.Left()
	lo, hi := middleOf(w)
	if e.Joint == "butt-through" { // the wall runs past the end
		x := end.Thickness / 2
		if e.Edge == "x1" {
			x = w.Length - x
		}
		reach := o1.Sub(o0).Norm()
		r := ScrewRow{Through: w.Name, Into: end.Name, From: plane.Point{X: x, Y: reach - lo}, To: plane.Point{X: x, Y: reach - hi}, Inset: end.Thickness / 2}
		r.At = screwsAlong(hi - lo)
		return r
	}
	place := func(along float64) plane.Point {
		p := o0.Add(u.Mul(along)).Add(m.Mul(w.Thickness / 2))
		var d [3]float64
		for k, c := range [3]float64{end.Place.Origin[0], p.X, p.Y} {
			d[k] = c - end.Place.Origin[k]
		}
		dot := func(v [3]float64) float64 { return d[0]*v[0] + d[1]*v[1] + d[2]*v[2] }
		return plane.Point{X: dot(end.Place.X), Y: dot(end.Place.Y)}
	}
	r := ScrewRow{Through: end.Name, Into: w.Name, From: place(lo), To: place(hi), Inset: w.Thickness / 2}
	if end.Rabbet != nil {
		r.Why = "lip of a rabbet"
		return r
	}
	r.At = screwsAlong(hi - lo)
	return r
}

// middleOf is where the line through the middle of a wall's thickness starts and ends in its wood, along the wall from its outer arris.
func middleOf(w *Panel) (lo, hi float64) {
	o0 := w.Section[0]
	u := w.Section[1].Sub(o0).Unit()
	var cuts []float64
	for i := range w.Section {
		a, b := w.Section.Edge(i)
		da, db := a.Sub(o0).Dot(u.Left())-w.Thickness/2, b.Sub(o0).Dot(u.Left())-w.Thickness/2
		if (da < 0) != (db < 0) {
			cuts = append(cuts, a.Add(b.Sub(a).Mul(da/(da-db))).Sub(o0).Dot(u))
		}
	}
	slices.Sort(cuts)
	for i := 0; i+1 < len(cuts); i += 2 {
		if cuts[i+1]-cuts[i] > hi-lo {
			lo, hi = cuts[i], cuts[i+1]
		}
	}
	return lo, hi
}

// clearOfHoles keeps the screws of a row that do not come too near to an opening of the panel that they go through.
func (b *Box) clearOfHoles(r ScrewRow) []float64 {
	var at []float64
	for k, a := range r.At {
		q, free := r.Place(k), true
		for _, h := range b.panel(r.Through).Holes {
			dx, dy := math.Abs(q.X-h.X), math.Abs(q.Y-h.Y)
			if h.Diameter > 0 {
				free = free && math.Hypot(dx, dy) >= h.Diameter/2+ScrewClear
			} else {
				free = free && (dx >= h.Length/2+ScrewClear || dy >= h.Width/2+ScrewClear)
			}
		}
		if free {
			at = append(at, a)
		}
	}
	return at
}
