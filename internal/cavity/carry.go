package cavity

import (
	"math"
	"sort"

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
	natural []r3.Vec     // along the edges and square to the faces of the hull
	flat    [][2]float64 // scratch: points in the plane looked at
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

// shadow projects the corners along n.
func (f *fitter) shadow(n r3.Vec) (u, v r3.Vec) {
	u, v = frame(n)
	f.flat = f.flat[:0]
	for _, p := range f.corners {
		f.flat = append(f.flat, [2]float64{r3.Dot(p, u), r3.Dot(p, v)})
	}
	return u, v
}

// cutBy gives the points of the edges on the plane through the middle square to n.
func (f *fitter) cutBy(n r3.Vec) {
	u, v := frame(n)
	f.flat = f.flat[:0]
	for _, e := range f.edges {
		a, b := f.corners[e[0]], f.corners[e[1]]
		da, db := r3.Dot(a, n), r3.Dot(b, n)
		if da*db > 0 || da == db {
			continue
		}
		p := r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a)))
		f.flat = append(f.flat, [2]float64{r3.Dot(p, u), r3.Dot(p, v)})
	}
}

// at is the ratio of the flat points turned by -turn to the opening.
func (f *fitter) at(turn float64) (ratio, w, h float64) {
	s, c := math.Sincos(turn)
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range f.flat {
		x, y := c*p[0]+s*p[1], c*p[1]-s*p[0]
		x0, x1 = math.Min(x0, x), math.Max(x1, x)
		y0, y1 = math.Min(y0, y), math.Max(y1, y)
	}
	w, h = x1-x0, y1-y0
	return math.Max(w/f.o.Width, h/f.o.Height), w, h
}

// turns is how many turns within half a circle are looked at before the best are made finer.
const turns = 24

// best gives the turn of the flat points that fits the opening best.
func (f *fitter) best() (ratio, turn float64) {
	f.hull()
	ratio = math.Inf(1)
	var grid [turns]float64
	for k := range grid {
		grid[k], _, _ = f.at(math.Pi * float64(k) / turns)
		if grid[k] < ratio {
			ratio, turn = grid[k], math.Pi*float64(k)/turns
		}
	}
	// turns at which an edge of the outline is along or square to the opening
	for i := range f.flat {
		p, q := f.flat[i], f.flat[(i+1)%len(f.flat)]
		a := math.Atan2(q[1]-p[1], q[0]-p[0])
		for _, t := range [2]float64{a, a + math.Pi/2} {
			if r, _, _ := f.at(t); r < ratio {
				ratio, turn = r, t
			}
		}
	}
	for k := range grid {
		before, after := grid[(k+turns-1)%turns], grid[(k+1)%turns]
		if grid[k] > before || grid[k] > after || grid[k] > ratio*1.05 {
			continue
		}
		lo, hi := math.Pi*float64(k-1)/turns, math.Pi*float64(k+1)/turns
		for hi-lo > 1e-7 {
			a, b := lo+0.382*(hi-lo), lo+0.618*(hi-lo)
			ra, _, _ := f.at(a)
			rb, _, _ := f.at(b)
			if ra < rb {
				hi = b
			} else {
				lo = a
			}
			if m := math.Min(ra, rb); m < ratio {
				ratio, turn = m, either(ra < rb, a, b)
			}
		}
	}
	return ratio, turn
}

// hull replaces the flat points by the corners of their hull, in order (Andrew's monotone chain, 1979).
func (f *fitter) hull() {
	p := f.flat
	sort.Slice(p, func(i, j int) bool { return p[i][0] < p[j][0] || p[i][0] == p[j][0] && p[i][1] < p[j][1] })
	out := make([][2]float64, 0, 2*len(p))
	turn := func(a, b, c [2]float64) float64 { return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0]) }
	grow := func(q [2]float64, floor int) {
		for len(out) >= floor+2 && turn(out[len(out)-2], out[len(out)-1], q) <= 1e-14 {
			out = out[:len(out)-1]
		}
		out = append(out, q)
	}
	for _, q := range p {
		grow(q, 0)
	}
	base := len(out) - 1
	for i := len(p) - 2; i >= 0; i-- {
		grow(p[i], base)
	}
	if len(out) > 1 {
		f.flat = append(f.flat[:0], out[:len(out)-1]...)
	}
}

// section looks for the plane through the middle whose cut fits best.
func (f *fitter) section(along, across r3.Vec) float64 {
	least := math.Inf(1)
	start := pose{along, across, r3.Cross(along, across)}
	for _, n := range f.natural {
		f.cutBy(n)
		if len(f.flat) < 3 {
			continue
		}
		u, v := frame(n)
		if r, turn := f.best(); r < least {
			s, c := math.Sincos(turn)
			a := r3.Add(r3.Scale(c, u), r3.Scale(s, v))
			least, start = r, pose{n, a, r3.Cross(n, a)}
		}
	}
	for _, p := range f.search(f.sectionAt, start, 8) {
		least = math.Min(least, f.sectionAt(p))
	}
	return least
}
