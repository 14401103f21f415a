package cavity

import (
	"fmt"
	"math"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// Opening is a rectangular opening through which a box must go; metres.
type Opening struct{ Width, Height float64 }

// HandRoom is taken off an opening in both directions for the hands that hold the box (common practice).
const HandRoom = 0.010

// WithHandRoom returns the opening less HandRoom; a side never becomes negative.
func WithHandRoom(o Opening) Opening { return o.less(HandRoom) }

// Covered returns the opening as it is to a bare box that will be covered: twice the thickness of the covering less.
func (o Opening) Covered(thickness float64) Opening { return o.less(2 * thickness) }

func (o Opening) less(d float64) Opening {
	return Opening{math.Max(0, o.Width-d), math.Max(0, o.Height-d)}
}

// CarryAnswer is one of the answers of the carry-in test.
type CarryAnswer int

// The answers.
const (
	NotChecked CarryAnswer = iota
	Passes
	OnlyTilting
	Cannot
)

// Carry is the answer of the carry-in test.
type Carry struct {
	Answer    CarryAnswer
	Attitude  string     // "end first" "broadside"
	Turn      float64    // rad, in the plane of the opening
	Scale     float64    // least of max(extent1/p, extent2/q); passes when <= 1
	Clearance [2]float64 // m, along opening width and height, total
	Run       float64    // straight run needed before and behind, m
	Text      string
}

// fitSlack lets a box pass that is exactly as large as the opening, in spite of rounding: relative, and of turns in rad.
const fitSlack = 1e-12

// CarryIn tests a bare box through an opening already reduced by hand room and covering. The box, its section replaced by
// its convex hull, slides straight through if its shadow along the way, turned in the plane of the opening, fits: end
// first (the shadow is the hull) or broadside (width by the least width of the hull). Both are solved exactly. If neither
// fits, a box whose least width is larger than the opening's diagonal cannot go through by any motion (Halperin, Sharir and
// Yehuda, "Throwing a Sofa Through the Window", arXiv 2102.04262); of any other it is not known, and the answer says so.
// The answer is NotChecked when a size is not a positive number. u is for the words.
func CarryIn(section plane.Polygon, width float64, o Opening, u unit.System) Carry {
	hull := section.ConvexHull()
	for _, v := range []float64{width, o.Width, o.Height, hull.Area()} {
		if !(v > 0) || math.IsInf(v, 1) {
			return Carry{Answer: NotChecked, Text: "not checked: the opening or the box has no size"}
		}
	}
	end := fitThrough(hull, o)
	end.Attitude, end.Run = "end first", width
	thin, way := leastWidth(hull)
	broad := fitThrough(plane.Rect{Max: plane.Point{X: width, Y: thin}}.Polygon(), o)
	broad.Attitude, broad.Run = "broadside", extent(hull, way)

	c := end
	if broad.Scale < end.Scale-fitSlack {
		c = broad
	}
	least, diagonal := math.Min(width, thin), math.Hypot(o.Width, o.Height)
	switch {
	case c.Scale <= 1+fitSlack:
		c.Answer = Passes
		c.Text = passText(c, u)
	case least > diagonal*(1+fitSlack):
		c.Answer = Cannot
		c.Text = fmt.Sprintf("cannot go through: the box is nowhere thinner than %s, and the opening is %s from corner to corner",
			length(least, u), length(diagonal, u))
	default:
		c.Answer = OnlyTilting
		c.Text = fmt.Sprintf("does not go straight through: %s it is too large by %s; perhaps it goes by tilting",
			c.Attitude, length(math.Max(-c.Clearance[0], -c.Clearance[1]), u))
		if !section.IsConvex() {
			c.Text += "; its step may be threaded round the rim, which is not counted here"
		}
	}
	return c
}

// extent returns how far a polygon reaches along the unit vector u.
func extent(g plane.Polygon, u plane.Point) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range g {
		d := p.Dot(u)
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	return hi - lo
}

// leastWidth returns the least extent of a convex polygon and the direction square to it; it is always square to an edge.
func leastWidth(hull plane.Polygon) (width float64, along plane.Point) {
	width = math.Inf(1)
	for i := range hull {
		a, b := hull.Edge(i)
		u := b.Sub(a).Unit()
		if w := extent(hull, u.Left()); w < width*(1-fitSlack) {
			width, along = w, u
		}
	}
	return width, along
}

// fitThrough finds the turn at which a convex polygon fits an opening best. With u the direction in the polygon that
// lies along the opening's width, the extents along u and square to it are, between turns at which an edge is along or
// square to u, those of fixed vectors D and E:
//
//	extent1 = D.u,  extent2 = E.left(u)
//
// Both are concave there, so the least of max(extent1/p, extent2/q) lies at such a turn or where the two are equal.
func fitThrough(hull plane.Polygon, o Opening) Carry {
	turns := []float64{0, math.Pi / 2}
	for i := range hull {
		a, b := hull.Edge(i)
		d := b.Sub(a)
		for _, e := range []plane.Point{d, d.Left()} {
			turns = append(turns, wrapTurn(math.Atan2(e.Y, e.X)))
		}
	}
	best := Carry{Scale: math.Inf(1)}
	try := func(turn float64) {
		u := plane.Point{X: 1}.Rotate(turn)
		if turn == math.Pi/2 {
			u = plane.Point{Y: 1}
		}
		e1, e2 := extent(hull, u), extent(hull, u.Left())
		if s := math.Max(e1/o.Width, e2/o.Height); s < best.Scale-fitSlack {
			best = Carry{Scale: s, Turn: turn, Clearance: [2]float64{o.Width - e1, o.Height - e2}}
		}
	}
	for _, t := range turns {
		try(t)
	}
	for _, d := range spans(hull) {
		for _, e := range spans(hull) {
			// d.u/p = e.left(u)/q, for either sense of e: (d/p -/+ right(e)/q).u = 0
			right := plane.Point{X: e.Y, Y: -e.X}
			for _, sign := range []float64{1, -1} {
				n := d.Mul(1 / o.Width).Sub(right.Mul(sign / o.Height))
				if n.Norm() > 0 {
					try(wrapTurn(math.Atan2(n.X, -n.Y)))
				}
			}
		}
	}
	return best
}

// spans returns the vectors between pairs of corners that can be touched from opposite sides at once.
func spans(hull plane.Polygon) []plane.Point {
	var list []plane.Point
	for i := range hull {
		for j := 0; j < i; j++ {
			list = append(list, hull[i].Sub(hull[j]))
		}
	}
	return list
}

// wrapTurn brings a turn into 0 <= t < pi: half a turn makes no difference to a shadow.
func wrapTurn(t float64) float64 {
	t = math.Mod(t, math.Pi)
	if t < 0 {
		t += math.Pi
	}
	if t > math.Pi-fitSlack {
		t = 0
	}
	return t
}

// passText tells the installer how the box goes in.
func passText(c Carry, u unit.System) string {
	deg := c.Turn * 180 / math.Pi
	const square = 0.05 // degrees: less is not seen
	var how string
	if c.Attitude == "end first" {
		switch {
		case deg < square || deg > 180-square:
			how = "goes through end first, either end leading, standing as it stands in the space"
		case math.Abs(deg-90) < square:
			how = "goes through end first, either end leading, laid on its back"
		case deg < 90:
			how = fmt.Sprintf("goes through end first, either end leading, tipped %.1f degrees with its front edge up", deg)
		default:
			how = fmt.Sprintf("goes through end first, either end leading, tipped %.1f degrees with its back edge up", 180-deg)
		}
	} else {
		switch {
		case deg < square || deg > 180-square:
			how = "goes through broadside, its width along the width of the opening, thinnest way across"
		case math.Abs(deg-90) < square:
			how = "goes through broadside, its width along the height of the opening, thinnest way across"
		case deg < 90:
			how = fmt.Sprintf("goes through broadside, thinnest way across, its width %.1f degrees out of level", deg)
		default:
			how = fmt.Sprintf("goes through broadside, thinnest way across, its width %.1f degrees out of level", 180-deg)
		}
	}
	return fmt.Sprintf("%s; %s to spare across the opening and %s up and down; it needs a straight run of %s before the opening and as much behind it",
		how, length(math.Max(0, c.Clearance[0]), u), length(math.Max(0, c.Clearance[1]), u), length(c.Run, u))
}
