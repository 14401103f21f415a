package cavity

import (
	"math"
	"math/rand"
	"testing"

	"cubby/internal/plane"

	"gonum.org/v1/gonum/spatial/r3"
)

// tape answers from the readings alone, apart from the package's profiles: is a point in the raw space?
type tape struct{ s *Space }

// heightAt reads a surface straight between stations at the same depth; steps that slant in plan count at their worst.
func (t tape) surface(x, y float64, roof bool) float64 {
	s := t.s
	read := func(i int) []Height {
		if roof {
			return s.Stations[i].Roof
		}
		return s.Stations[i].floor()
	}
	i := 0
	for i < len(s.Stations)-2 && x > s.Stations[i+1].FromLeft {
		i++
	}
	a, b := level(read(i), y), level(read(i+1), y)
	f := (x - s.Stations[i].FromLeft) / (s.Stations[i+1].FromLeft - s.Stations[i].FromLeft)
	return a + f*(b-a)
}

// outside is how far a point lies outside the raw space, in metres; 0 when inside.
func (t tape) outside(p r3.Vec) float64 {
	s := t.s
	n := len(s.Stations)
	worst := math.Max(s.Stations[0].FromLeft-p.X, p.X-s.Stations[n-1].FromLeft)
	i := 0
	for i < n-2 && p.X > s.Stations[i+1].FromLeft {
		i++
	}
	a, b := s.Stations[i], s.Stations[i+1]
	f := (p.X - a.FromLeft) / (b.FromLeft - a.FromLeft)
	worst = math.Max(worst, a.Front+f*(b.Front-a.Front)-p.Y)
	worst = math.Max(worst, p.Y-a.Back-f*(b.Back-a.Back))
	worst = math.Max(worst, t.surface(p.X, p.Y, false)-p.Z)
	worst = math.Max(worst, p.Z-t.surface(p.X, p.Y, true))
	for _, l := range s.Leans {
		in := math.Inf(1)
		switch l.Side {
		case Left:
			in = p.X - s.Stations[0].FromLeft
		case Right:
			in = s.Stations[n-1].FromLeft - p.X
		case Front:
			in = p.Y - a.Front - f*(b.Front-a.Front)
		case Back:
			in = a.Back + f*(b.Back-a.Back) - p.Y
		}
		worst = math.Max(worst, p.Z*math.Tan(l.Angle)-in)
	}
	for i := range s.Blocks {
		k := &s.Blocks[i]
		d := math.Min(k.Axis.Of(p)-k.Lo, k.Hi-k.Axis.Of(p))
		for e := range k.Outline {
			d = math.Min(d, plane.LineThrough(k.Outline.Edge(e)).Distance(k.Axis.Section(p)))
		}
		worst = math.Max(worst, d)
	}
	return math.Max(0, worst)
}

// points strews points over a region, its corners and edges among them, pockets left out.
func (r *Region) points(rnd *rand.Rand, n int) []r3.Vec {
	var list []r3.Vec
	o := r.Section.Bounds()
	add := func(q plane.Point, along float64) {
		p := r.Axis.At(q, along)
		for _, k := range r.Pockets {
			k = r.walled(k, -1e-6)
			for i, open := range r.opens(k) {
				if open { // the side itself is not there
					*[6]*float64{&k.Min.X, &k.Max.X, &k.Min.Y, &k.Max.Y, &k.Min.Z, &k.Max.Z}[i] += 1e-3 * float64(2*(i%2)-1)
				}
			}
			if p.X > k.Min.X && p.X < k.Max.X && p.Y > k.Min.Y && p.Y < k.Max.Y && p.Z > k.Min.Z && p.Z < k.Max.Z {
				return
			}
		}
		list = append(list, p)
	}
	for i := range r.Section {
		a, b := r.Section.Edge(i)
		for k := range 5 {
			q := a.Add(b.Sub(a).Mul(float64(k) / 5))
			lo, hi := r.ends(q)
			for m := range 6 {
				add(q, lo+(hi-lo)*float64(m)/5)
			}
			add(q, lo+(hi-lo)*rnd.Float64())
		}
	}
	for range n {
		q := plane.Point{X: o.Min.X + rnd.Float64()*o.Width(), Y: o.Min.Y + rnd.Float64()*o.Height()}
		if r.Section.Contains(q) {
			lo, hi := r.ends(q)
			add(q, lo+(hi-lo)*rnd.Float64())
		}
	}
	return list
}

// Every region of the six spaces lies within what the tape says, by points.
func TestRegionsLieInside(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	for name, s := range spaces() {
		_, res := searched(t, name)
		bad := 0
		for i := range res.Regions {
			r := &res.Regions[i]
			for _, p := range r.points(rnd, 100) {
				if d := (tape{s}).outside(p); d > 1e-6 {
					if bad < 3 {
						t.Errorf("%s: %v %v..%v %v pockets %v: %v is %.4f mm outside", name, r.Axis, r.Lo, r.Hi, r.Section, r.Pockets, p, d*1000)
					}
					bad++
					break
				}
			}
		}
	}
}
