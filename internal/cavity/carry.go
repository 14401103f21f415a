package cavity

import (
	"math"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// Opening is a rectangular opening through which a box must go; metres.
type Opening struct{ Width, Height float64 }

// HandRoom is taken off an opening in both directions for the hands that hold the box (common practice).
const HandRoom = 0.010

// Less is the opening made smaller by d in both directions; a side never becomes negative.
func (o Opening) Less(d float64) Opening {
	return Opening{math.Max(0, o.Width-d), math.Max(0, o.Height-d)}
}

// CarryAnswer is one of the answers of the carry-in test.
type CarryAnswer int8

// The answers.
const (
	NotChecked CarryAnswer = iota
	Passes
	PerhapsTilting
	Cannot
)

// String gives the answer as a job's report has it.
func (a CarryAnswer) String() string {
	return [...]string{"not checked", "passes", "perhaps by tilting", "cannot"}[a]
}

// Body is a solid to be carried: its corners, and its edges as pairs of corners. Without edges the body is the convex
// hull of its corners. Corners include the covering.
type Body struct {
	Corners []r3.Vec
	Edges   [][2]int
}

// Carry is the answer of the carry-in test. Slide is the least of the larger ratio of shadow to opening over all ways to
// look at the box: up to 1 it goes straight through. Section is the same for the cuts of the box by planes through its
// middle, and is only looked for when it does not slide; over 1 no motion takes the box through.
type Carry struct {
	Answer    CarryAnswer
	Slide     float64
	Section   float64 // 0 when not looked for
	Along     r3.Vec  // unit vector: the way that the box slides, in its own coordinates
	Across    r3.Vec  // unit vector along the opening's width
	Clearance [2]float64
	Run       float64 // length of the box along the way, m: as much room is needed before and behind
}

// The slack of the answers: a box exactly as large as the opening passes; "cannot" is said when the least section, which
// is found by a search, is larger by its own slack.
const (
	slideSlack   = 1e-9
	sectionSlack = 0.002
)

// CarryIn tells whether a body goes through an opening, already less hand room, by any motion.
//
// It passes when its shadow along some direction, turned in the plane of the opening, fits: then it slides straight
// through. It cannot when every plane through its middle cuts it in a section that does not fit: while it goes through,
// its middle must cross the plane of the opening. The limits: the rim is thin, and turning inside the space is not tested.
func CarryIn(b Body, o Opening) Carry {
	if len(b.Corners) < 4 || !(o.Width > 0 && o.Height > 0) || !finite(o.Width, o.Height) {
		return Carry{}
	}
	var middle r3.Vec
	for _, p := range b.Corners {
		if !finite(p.X, p.Y, p.Z) {
			return Carry{}
		}
		middle = r3.Add(middle, p)
	}
	middle = r3.Scale(1/float64(len(b.Corners)), middle)
	f := fitter{o: o, corners: make([]r3.Vec, len(b.Corners)), edges: b.Edges}
	for i, p := range b.Corners {
		f.corners[i] = r3.Sub(p, middle)
	}
	f.wrap()
	c := f.slide()
	if c.Slide <= 1+slideSlack {
		c.Answer = Passes
		return c
	}
	c.Section = f.section(c.Along, c.Across)
	c.Answer = PerhapsTilting
	if c.Section > 1+sectionSlack {
		c.Answer = Cannot
	}
	return c
}

// fitter fits shadows and sections of a body, its middle at the origin, into an opening.
type fitter struct {
	o       Opening
	corners []r3.Vec
	edges   [][2]int
	natural []r3.Vec // along the edges and square to the faces of the hull
	cut     []r3.Vec // scratch
}

// mostTurned is the most directions of edges whose pairs are looked at: square to both lies a face.
const mostTurned = 12

// wrap finds the natural directions, along the edges and square to the faces. Without edges every pair of corners is taken for
// one: their cut by a plane has the same hull as that of the body.
func (f *fitter) wrap() {
	if f.edges == nil {
		for i := range f.corners {
			for j := range i {
				f.edges = append(f.edges, [2]int{j, i})
			}
		}
	}
	f.natural = []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	for _, e := range f.edges {
		f.natural = addWay(f.natural, r3.Sub(f.corners[e[0]], f.corners[e[1]]))
	}
	along := f.natural
	for i := range min(len(along), mostTurned) {
		for j := range i {
			f.natural = addWay(f.natural, r3.Cross(along[i], along[j]))
		}
	}
}

// addWay adds a direction that is not yet in a list, in either sense.
func addWay(list []r3.Vec, d r3.Vec) []r3.Vec {
	if r3.Norm2(d) < 1e-12 {
		return list
	}
	d = r3.Unit(d)
	for _, e := range list {
		if math.Abs(r3.Dot(e, d)) > 1-1e-9 {
			return list
		}
	}
	return append(list, d)
}

// frame gives two unit vectors square to the unit vector n and to each other.
func frame(n r3.Vec) (u, v r3.Vec) {
	u = r3.Cross(n, r3.Vec{Z: 1})
	if r3.Norm2(u) < 0.04 {
		u = r3.Cross(n, r3.Vec{X: 1})
	}
	u = r3.Unit(u)
	return u, r3.Cross(n, u)
}

// cuts gives the points of the edges on the plane through the middle square to n.
func (f *fitter) cuts(n r3.Vec) []r3.Vec {
	f.cut = f.cut[:0]
	for _, e := range f.edges {
		a, b := f.corners[e[0]], f.corners[e[1]]
		if da, db := r3.Dot(a, n), r3.Dot(b, n); da*db <= 0 && da != db {
			f.cut = append(f.cut, r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a))))
		}
	}
	return f.cut
}

// size is the width and the height of points in a pose.
func size(points []r3.Vec, p pose) (w, h float64) {
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, c := range points {
		x, y := r3.Dot(c, p.u), r3.Dot(c, p.v)
		x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
	}
	return x1 - x0, y1 - y0
}

// ratio is the larger ratio of a size to the opening.
func (f *fitter) ratio(w, h float64) float64 { return max(w/f.o.Width, h/f.o.Height) }

// shadowAt is the ratio of the shadow to the opening in a pose.
func (f *fitter) shadowAt(p pose) float64 { return f.ratio(size(f.corners, p)) }

// sectionAt is the ratio of the cut through the middle to the opening in a pose.
func (f *fitter) sectionAt(p pose) float64 { return f.ratio(size(f.cuts(p.n), p)) }

// at is the ratio of points in a plane, turned by -turn, to the opening.
func (f *fitter) at(flat plane.Polygon, turn float64) float64 {
	s, c := math.Sincos(turn)
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range flat {
		x, y := c*p.X+s*p.Y, c*p.Y-s*p.X
		x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
	}
	return f.ratio(x1-x0, y1-y0)
}

// turns is how many turns within half a circle are looked at before the best are made finer.
const turns = 24

// best gives the pose, looking along n, in which points fit the opening best.
func (f *fitter) best(points []r3.Vec, n r3.Vec) (ratio float64, best pose) {
	u, v := frame(n)
	flat := make(plane.Polygon, len(points))
	for i, p := range points {
		flat[i] = plane.Point{X: r3.Dot(p, u), Y: r3.Dot(p, v)}
	}
	flat = flat.ConvexHull()
	ratio = math.Inf(1)
	turn := 0.0
	try := func(t float64) float64 {
		r := f.at(flat, t)
		if r < ratio {
			ratio, turn = r, t
		}
		return r
	}
	var grid [turns]float64
	for k := range grid {
		grid[k] = try(math.Pi * float64(k) / turns)
	}
	for i := range flat { // an edge of the outline is along or square to the opening
		a, b := flat.Edge(i)
		along := math.Atan2(b.Y-a.Y, b.X-a.X)
		try(along)
		try(along + math.Pi/2)
	}
	for k := range grid {
		before, after := grid[(k+turns-1)%turns], grid[(k+1)%turns]
		if grid[k] > before || grid[k] > after || grid[k] > ratio*1.05 {
			continue
		}
		lo, hi := math.Pi*float64(k-1)/turns, math.Pi*float64(k+1)/turns
		for hi-lo > 1e-7 {
			a, b := lo+0.382*(hi-lo), lo+0.618*(hi-lo)
			if try(a) < try(b) {
				hi = b
			} else {
				lo = a
			}
		}
	}
	s, c := math.Sincos(turn)
	across := r3.Add(r3.Scale(c, u), r3.Scale(s, v))
	return ratio, pose{n, across, r3.Cross(n, across)}
}

// section looks for the plane through the middle whose cut fits best.
func (f *fitter) section(along, across r3.Vec) float64 {
	least := math.Inf(1)
	start := pose{along, across, r3.Cross(along, across)}
	for _, n := range f.natural {
		cut := f.cuts(n)
		if len(cut) < 3 {
			continue
		}
		if r, p := f.best(cut, n); r < least {
			least, start = r, p
		}
	}
	for _, p := range f.search(f.sectionAt, start, 8) {
		least = math.Min(least, f.sectionAt(p))
	}
	return least
}
