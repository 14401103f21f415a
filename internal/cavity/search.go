package cavity

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"cubby/internal/plane"
	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// DefaultLeastWall is the narrowest wall that a shop cuts unless a job says otherwise, outside, in metres: a narrower
// board is hard to hold at the saw (common practice).
const DefaultLeastWall = 0.060

// DefaultBoard is the thickness of the walls when nothing is said, in metres.
const DefaultBoard = 0.018

// Limits bounds the search for regions; zero fields have the defaults that are given.
type Limits struct {
	LeastWall float64 // m; DefaultLeastWall
	Board     float64 // m, thickness of the walls; DefaultBoard
	KeepToes  bool    // leave corners under 45 degrees sharp
	Corners   int     // most corners of a section, 4 to 12; 12
	Pockets   int     // most blocks that a pocket goes round; 3, negative: none
	LeastAir  float64 // m3: smaller regions are of no use; 0.5 l
	Budget    int     // stretches looked at; 20000
}

func (l *Limits) fill() {
	if l.LeastWall <= 0 {
		l.LeastWall = DefaultLeastWall
	}
	if l.Board <= 0 {
		l.Board = DefaultBoard
	}
	if l.Corners < 4 || l.Corners > plane.MaxCorners {
		l.Corners = plane.MaxCorners
	}
	if l.Pockets == 0 {
		l.Pockets = 3
	}
	if l.LeastAir <= 0 {
		l.LeastAir = 0.0005
	}
	if l.Budget <= 0 {
		l.Budget = 20000
	}
}

// Rung tells what a number of corners costs: the most air of a section along an axis with that many.
type Rung struct {
	Axis    Axis
	Corners int
	Air     float64
	Lost    float64 // against the most air of any number along that axis
}

// Result is what a search for regions found. Proved tells that no budget ran out and no stretch was left out; that no
// better section exists is not proved: sections are searched, not enumerated.
type Result struct {
	Regions []Region // most air first
	Ladder  []Rung
	Proved  bool
}

// ErrNoRoom says that no box can stand in the space.
var ErrNoRoom = errors.New("nothing is left in the space that a box could be built for: measure again, or lessen the gap")

// finder is one search.
type finder struct {
	*Room
	ctx      context.Context
	shop     shop
	limits   Limits
	heavy    bool // so many readings that a section costs much
	thorough bool // sections are polished from several starts
	forms    map[string]*form
	bare     map[stretch]band   // sections between the surfaces alone
	known    map[stretch][]spot // their pieces past blocks
	spent    int
	proved   bool
}

// Regions lists where a box may stand: on every axis over every stretch between measured lines and blocks the best
// rectangle and the best sections of few corners, and with pockets round blocks that stand in the way, one at a time, best
// litre per board first. The error is ErrNoRoom, or that of the context.
func (r *Room) Regions(ctx context.Context, l Limits) (Result, error) {
	l.fill()
	f := &finder{Room: r, ctx: ctx, limits: l, heavy: r.isHeavy(), proved: true, forms: map[string]*form{},
		bare: map[stretch]band{}, known: map[stretch][]spot{},
		shop: shop{least: l.LeastWall, board: l.Board, toes: l.KeepToes}}
	f.thorough = !f.heavy && len(r.free.blocks) <= many
	all := f.under(0, f.effort(full, fullOfMany))
	all = append(all, f.withPockets(all)...)
	if err := ctx.Err(); err != nil && len(all) == 0 {
		return Result{}, err
	}
	if len(all) == 0 {
		return Result{}, ErrNoRoom
	}
	slices.SortStableFunc(all, func(a, b Region) int { return cmp.Compare(b.Air, a.Air) })
	all = distinct(all)
	return Result{Regions: all, Ladder: rungs(all), Proved: f.proved && ctx.Err() == nil}, nil
}

// rungs gives the ladder of each axis over regions without pockets.
func rungs(all []Region) []Rung {
	var list []Rung
	for _, a := range axes {
		var best [plane.MaxCorners + 1]float64
		most := 0.0
		for i := range all {
			if r := &all[i]; r.Axis == a && len(r.Pockets) == 0 {
				best[len(r.Section)] = max(best[len(r.Section)], r.Air)
				most = max(most, r.Air)
			}
		}
		sofar := 0.0
		for k, v := range best {
			if v > sofar {
				sofar = v
				list = append(list, Rung{a, k, v, most - v})
			}
		}
	}
	return list
}

// distinct leaves out regions that are another one again, or a rectangle in a larger one with the same base, front and end.
func distinct(all []Region) []Region {
	var out []Region
	var bounds []Box
	for i := range all {
		r, o := &all[i], all[i].Bounds()
		again := false
		for k := range out {
			if again = r.again(&out[k], o, bounds[k]); again {
				break
			}
		}
		if !again {
			out, bounds = append(out, *r), append(bounds, o)
		}
	}
	return out
}

// again tells whether a region adds nothing to one with at least as much air; o and p are their bounds.
func (r *Region) again(q *Region, o, p Box) bool {
	low, high := r3.Sub(o.Min, p.Min), r3.Sub(p.Max, o.Max) // by how much it stays inside
	if r.Rectangle && q.Rectangle {
		const near, flush = 1e-4, 1e-3
		return min(min(low.X, high.X), min(high.Y, high.Z)) > -near && math.Abs(low.Z) < near && math.Abs(low.Y) < flush &&
			min(low.X, high.X) < flush
	}
	return q.Axis == r.Axis && len(q.Section) == len(r.Section) && len(q.Pockets) == len(r.Pockets) && q.Leans == r.Leans &&
		math.Abs(q.Air-r.Air) < 1e-6+0.0005*r.Air && max(r3.Norm(low), r3.Norm(high)) < 0.002
}

// effort is how much is done for a set of pockets.
type effort struct {
	sections int // stretches per axis whose sections are reduced
	polished int // of them, best first, polished
	rects    bool
	width    int
	events   int // most starts and most ends of stretches along an axis
}

var (
	full  = effort{sections: 24, polished: 2, rects: true, width: 4, events: 44}
	quick = effort{sections: 3, polished: 0, width: 2, events: 12}
	after = effort{sections: 8, polished: 1, width: 3, events: 30}

	// the same where many blocks stand in the way
	fullOfMany  = effort{sections: 12, polished: 1, rects: true, width: 4, events: 32}
	afterOfMany = effort{sections: 4, polished: 1, width: 2, events: 16}
)

// many is the number of blocks above which less is done for each.
const many = 8

func (f *finder) effort(few, of effort) effort {
	if len(f.free.blocks) > many {
		return of
	}
	return few
}

// under gives the regions with the blocks in ignore left out; their pockets are put in.
func (f *finder) under(ignore mask, e effort) []Region {
	var all []Region
	for _, axis := range axes {
		spots := f.spots(axis, ignore, e)
		if e.rects && axis == Across {
			all = append(all, f.rectangles(spots, ignore)...)
		}
		all = append(all, f.sections(spots, ignore, e)...)
	}
	if e.rects && len(f.free.leans) > 0 {
		all = append(all, f.leaning()...)
	}
	kept := all[:0]
	for _, r := range all {
		if is, ok := f.pocketed(&r, ignore, f.shop); ignore != 0 && !(is && ok) {
			continue
		}
		r.around = ignore
		r.measure(f.shop)
		if r.Air >= f.limits.LeastAir && innerSection(r.Section, f.shop.board).IsSimple() { // no neck that its boards close
			kept = append(kept, r)
		}
	}
	return kept
}

// Solid is the outer solid of a region.
func (r *Region) Solid() (*solid.Solid, error) {
	lo, hi := r.endPlanes()
	s, err := solid.Prism(r.Section, r.Axis, lo, hi)
	if err != nil {
		return nil, err
	}
	for _, p := range r.Pockets {
		const past = 0.5 // sides that are open lie past the faces that they run out to
		if s, err = s.Pocket(r.moved(p, func(open bool) float64 { return either(open, past, 0) })); err != nil {
			return nil, err
		}
	}
	return s, nil
}
