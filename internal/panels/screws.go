package panels

import (
	"math"
	"slices"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Layout of the screws that hold a glued joint while it sets.
const (
	// ScrewFromEnd is the distance of the first screw from the end of an edge (mdf-info.eu, on screws in MDF, author and year
	// not stated: screws into an edge).
	ScrewFromEnd = 0.070
	// ScrewPitch is the widest distance between two screws of a joint (common practice: 125 to 150 mm).
	ScrewPitch = 0.150
	// ScrewClear is what stays between a screw and an opening, or the feather of a bevel (the same page's least distance
	// from an edge, for the face of MDF).
	ScrewClear = 0.012
	// screwPair is the distance below which one screw does for two (common practice).
	screwPair = 0.060
	// screwHold is how far a screw goes into the second panel at least (from memory).
	screwHold = 0.010
)

// NoScrews is why a joint has no screws.
type NoScrews string

// The reasons.
const (
	TooShort    NoScrews = "too short"
	InnerCorner NoScrews = "inner corner"
	NearFeather NoScrews = "feather too near"
	NearOpening NoScrews = "openings too near"
	RabbetLip   NoScrews = "lip of a rabbet"
)

// ScrewRow is a straight row of screws through the outer face of one panel into the edge of another.
type ScrewRow struct {
	Through, Into string
	From, To      plane.Point // the joint's edge as it shows on the outer face of Through, panel frame; metres
	At            []float64   // of the screws, from From towards To, m; none where there is no room for one
	Inset         float64     // of the row from the edge of the outer face that runs along it, m
	Lean          float64     // of the screw from square to the outer face, in line with the panel that it goes into, rad
	Why           NoScrews    // why there are no screws; empty where there are some
}

// Place gives the place of screw k on the outer face, panel frame.
func (r ScrewRow) Place(k int) plane.Point {
	return r.From.Add(r.To.Sub(r.From).Unit().Mul(r.At[k]))
}

// ScrewRows lists the rows of screws of all butt joints of the boards of the faces: of every wall those into other walls, then
// those between it and the ends. Mitres and rabbets between walls have none: they are clamped, as the lip of a rabbeted end is,
// and a removable face has its own. Nor has an edge with a feather nearer than ScrewClear, and screws keep ScrewClear from openings.
func (b *Box) ScrewRows() []ScrewRow {
	var out []ScrewRow
	for i := range b.Panels {
		p := &b.Panels[i]
		if !p.Role.Shell() || p.Role == End {
			continue
		}
		for _, ends := range [...]bool{false, true} {
			for _, e := range p.Edges {
				if e.Other < 0 || (b.Panels[e.Other].Role == End) != ends {
					continue
				}
				through, into := i, e.Other
				if e.Joint == ButtStop || e.Joint == RabbetEdge {
					through, into = into, through
				}
				switch {
				case !ends && e.Joint != ButtThrough, e.Joint == MitreEdge, b.loose(through) || b.loose(into), b.Panels[into].mouthAt(b.Panels[through].Name):
				case ends && e.Joint == RabbetEdge:
					r := b.screwRow(through, into)
					r.At, r.Why = nil, RabbetLip
					out = append(out, r)
				default:
					out = append(out, b.screwRow(through, into))
				}
			}
		}
	}
	return out
}

func (b *Box) loose(i int) bool { return b.Removable != nil && b.Removable.Panel == b.Panels[i].Name }

// screwRow is the row through a panel into another that stops on it.
func (b *Box) screwRow(through, into int) ScrewRow {
	t, s := &b.Panels[through], &b.Panels[into]
	r := ScrewRow{Through: t.Name, Into: s.Name, Why: TooShort}
	k := slices.IndexFunc(s.Edges, func(e Edge) bool { return e.Other == through && (e.Joint == ButtStop || e.Joint == RabbetEdge) })
	if k < 0 {
		return r
	}
	c := s.Edges[k].side
	if c >= len(s.Outer) {
		return r
	}
	next := (c + 1) % len(s.Outer)
	mid := func(i int) r3.Vec { return r3.Scale(0.5, r3.Add(s.Outer[i], s.Inner[i])) }
	along := r3.Unit(r3.Sub(s.Outer[next], s.Outer[c]))
	out := r3.Cross(along, s.Place.N) // in the board that is screwed into, out of its edge
	normal := t.Place.N
	square := r3.Dot(out, normal)
	if square < rounding {
		r.Why = InnerCorner
		if square > -rounding {
			return r
		}
	}
	onFace := func(p r3.Vec) plane.Point {
		d := r3.Dot(normal, r3.Sub(t.Place.O, p))
		return t.Place.To(r3.Add(p, r3.Scale(d/square, out)))
	}
	r.From, r.To = onFace(mid(c)), onFace(mid(next))
	if r.From.X+r.From.Y > r.To.X+r.To.Y {
		r.From, r.To = r.To, r.From
	}
	r.Lean = math.Atan2(r3.Norm(r3.Cross(out, normal)), math.Abs(square))
	r.Inset = t.inset(r.From.Add(r.To).Mul(0.5), into)
	if square < 0 {
		return r
	}
	tilt := 0.0
	for _, e := range t.Edges {
		if e.Other == into {
			tilt = math.Max(tilt, e.Tilt)
		}
	}
	hold := Board{Rim: Rim{Outer: s.Outer, Inner: s.Inner}, Out: s.Place.N, Thickness: s.Thickness}
	switch {
	case r.Inset <= 0 || tilt > feather && r.Inset < ScrewClear:
		r.Why = NearFeather
	case !hold.Contains(r3.Sub(r3.Scale(0.5, r3.Add(mid(c), mid(next))), r3.Scale(screwHold, out))):
	default:
		r.At = screwsAlong(r.To.Sub(r.From).Norm())
		if len(r.At) == 0 {
			break
		}
		r.Why = ""
		if r.At = t.clearOfHoles(r); len(r.At) == 0 {
			r.Why = NearOpening
		}
	}
	return r
}

// inset is how far a place on the outer face lies from the panel's edge to another panel; negative outside it.
func (p *Panel) inset(q plane.Point, other int) float64 {
	best := math.Inf(1)
	for k, e := range p.Edges {
		if e.Other == other {
			a, b := p.side(k)
			if d := plane.LineThrough(a, b).Distance(q); math.Abs(d) < math.Abs(best) {
				best = d
			}
		}
	}
	return best
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

// mouthAt reports whether the slot's mouth takes the edge that a wall has to another.
func (p *Panel) mouthAt(other string) bool {
	if p.CutWidth <= 0 {
		return false
	}
	for _, h := range p.Holes {
		for _, e := range p.Edges {
			if h.Kind == HoleSlot && e.Meets == other && (e.Edge == "y0") == (h.Y < p.Width/2) {
				return true
			}
		}
	}
	return false
}

// clearOfHoles keeps the screws of a row that do not come too near to an opening of the panel that they go through.
func (p *Panel) clearOfHoles(r ScrewRow) []float64 {
	var at []float64
	for k, a := range r.At {
		q, free := r.Place(k), true
		for _, h := range p.Holes {
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
