package search

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/thielesmall"
)

var long = flag.Bool("long", false, "run the long forms of the tests")

// mostTurns is how often the finer grid moves on.
const mostTurns = 12

// brute tries every volume, tuning and area of a fine grid of a place, and then a finer one about the best, which moves with the
// best while that gains.
func brute(m *Model, p *Place, finer int) (Candidate, float64) {
	v := m.volumes(p)
	if v.Empty() {
		return Candidate{}, math.Inf(-1)
	}
	best := spot{score: math.Inf(-1)}
	var found Candidate
	pass := func(vs, us []float64, areas func(r *response) []float64) {
		var r response
		for _, volume := range vs {
			for _, u := range us {
				m.solveAt(&r, p.Kind, volume, u, 0)
				if m.Lumps && r.out != Feasible {
					continue
				}
				for _, area := range areas(&r) {
					c := Candidate{Kind: p.Kind, Volume: volume, Tuning: r.tuning, Minutes: p.Minutes}
					air := volume
					if p.Kind == Vented {
						c.Port = m.Tuned(volume, r.tuning, Port{Count: p.Count, Area: area, Edge: p.Edge}).Port
						if c.Port.Length <= bothEnds*math.Sqrt(area/math.Pi) {
							continue
						}
						air += area * physical(c.Port.Length, area)
					}
					if air > p.Air*(1+1e-12) {
						continue
					}
					c.Outside = p.Outside(air)
					e := Evaluation{Score: math.Inf(-1)}
					if m.Lumps || p.Kind != Vented {
						e = m.evaluation(&r, c)
					} else if m.allows(Vented, r.tuning) {
						e = m.Evaluate(c)
					}
					if e.Score > best.score {
						best, found = spot{volume, u, e.Score, area}, c
					}
				}
			}
		}
	}
	nv, nu, na := 60, 40, 26
	us := []float64{0}
	switch p.Kind {
	case Vented:
		us = spacedUnit(0, 1, nu)
	case Passive:
		us, na = spacedUnit(0, 1, nu), 1
	default:
		nv, na = 600, 1
	}
	pass(spaced(v, nv), us, func(r *response) []float64 {
		if p.Kind != Vented {
			return []float64{0}
		}
		most := m.longest / m.perArea(r.volume, r.tuning)
		return append(spaced(Range{most / 30, most}, na), m.areas(r, p).Most)
	})
	for left, turns := finer, 0; left > 0; turns++ {
		b := best
		stepV := math.Pow(v.Most/v.Least, 1/float64(nv-1))
		vs := spaced(Range{b.volume / stepV, math.Min(v.Most, b.volume*stepV)}, 13)
		if p.Kind != Sealed {
			us = spacedUnit(math.Max(0, b.u-1/float64(nu-1)), math.Min(1, b.u+1/float64(nu-1)), 13)
		}
		pass(vs, us, func(r *response) []float64 {
			if p.Kind != Vented {
				return []float64{0}
			}
			most := m.longest / m.perArea(r.volume, r.tuning)
			return append(spaced(Range{b.area * 0.87, b.area * 1.14}, 13), most, m.areas(r, p).Most)
		})
		if best.score < b.score+1e-3*math.Abs(b.score)/100 || turns == mostTurns { // else the best may lie further that way
			nv, nu, left, turns = nv*5, nu*5, left-1, 0
		}
	}
	return found, best.score
}

func spacedUnit(from, to float64, n int) []float64 {
	all := make([]float64, n)
	for i := range all {
		all[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	return all
}

// bruteJob is the next of a row of jobs: its model, one place, and what it is called.
func bruteJob(t *testing.T, i int, rng *rand.Rand) (*Model, Place, string) {
	d := randomDriver(rng)
	task := taskFor(d, Aim(i%4))
	if i%5 == 0 {
		task.Amplifier.Filters = nil
	}
	kind := [...]Kind{Sealed, Vented, Vented, Passive, Vented, Passive}[i/4%6]
	task.Radiator, task.Lumps = radiatorFor(d), i%7 > 0
	m, err := New(task)
	if err != nil {
		t.Fatal(err)
	}
	air := 0.010 * math.Pow(9, rng.Float64())
	if task.Aim == Compact {
		if most, ok := m.sealedMost(placesIn(d, air, Sealed)); ok {
			m = m.wishing(wish{least: most - 1.5, share: 0.25})
		}
	}
	return m, placesIn(d, air, kind)[0], fmt.Sprintf("job %d, %s, %s in %.1f l", i, task.Aim, kind, air*1e3)
}

// The best of a place is that of a brute force over volume, tuning and area, within 0.1 dB, or 2.5 % of size, and its
// bounds hold.
func TestBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(40, 1))
	n := 48
	if testing.Short() {
		n = 12
	}
	if *long {
		n = 400
	}
	worst := 0.0
	feasible := map[Kind]int{}
	for i := range n {
		m, p, name := bruteJob(t, i, rng)
		bound := m.Bound(&p)
		c, got := m.Best(&p)
		_, tight := m.Tight(&p)
		found, want := brute(m, &p, 3)
		if math.IsInf(got, -1) || math.IsInf(want, -1) {
			if got < want {
				t.Errorf("%s: scores %.3f, brute force %.3f with %+v (Qtc at that volume %.2f)", name, got, want, found, m.Driver.Qts()*math.Sqrt(1+m.Driver.Vas(testAir)/found.Volume))
			}
			continue
		}
		feasible[p.Kind]++
		if e := m.Evaluate(c); math.Abs(e.Score-got) > 1e-9 {
			t.Errorf("%s: scores %.6f, evaluated again %.6f (%s)", name, got, e.Score, e.Out)
		}
		allowed := 0.1
		if *long {
			allowed = 0.15
		}
		if m.Aim == Compact {
			allowed = 0.02 * math.Abs(want)
		}
		diff := got - want
		worst = math.Max(worst, math.Abs(diff)/allowed)
		if math.Abs(diff) > allowed {
			t.Errorf("%s: scores %.3f, brute force %.3f\n%+v\n%+v (Qtc at that volume %.2f)", name, got, want, c, found, m.Driver.Qts()*math.Sqrt(1+m.Driver.Vas(testAir)/found.Volume))
		}
		if top := math.Max(got, want); bound < top || tight < top {
			t.Errorf("%s: bounds %.3f and %.3f are below %.3f", name, bound, tight, top)
		}
	}
	t.Logf("%d jobs, feasible %v; largest difference %.2f of what is allowed", n, feasible, worst)
}

// Two jobs in which the best lies beyond a whole hertz of tuning, where the advised high-pass goes up by one and the score falls.
func TestLeap(t *testing.T) {
	rng := rand.New(rand.NewPCG(40, 1))
	for i := range 365 {
		m, p, name := bruteJob(t, i, rng)
		if i != 104 && i != 364 {
			continue
		}
		c, got := m.Best(&p)
		if found, want := brute(m, &p, 3); got < want-0.1 || m.Bound(&p) < want {
			t.Errorf("%s: scores %.3f, brute force %.3f\n%+v\n%+v", name, got, want, c, found)
		}
	}
}

// A search that is told what it has to beat gives up no place that holds as much, and says of less what it is.
func TestFloor(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	for i := range 40 {
		task := taskFor(randomDriver(rng), Aim(i%4))
		task.Quick = i%8 > 3
		places := placesIn(task.Driver, 0.010*math.Pow(9, rng.Float64()))
		m, err := New(task)
		if err != nil {
			t.Fatal(err)
		}
		_, best := m.BestOf(places)
		if math.IsInf(best, -1) {
			continue
		}
		for _, less := range [...]float64{0, 0.01, 0.2} {
			floor := best - less*math.Abs(best)
			if again, err := New(task); err != nil || !again.Beats(places, floor) {
				t.Errorf("job %d, %s: %.3f is there, %.3f is said not to be reached (%v)", i, task.Aim, best, floor, err)
			}
		}
		if above := best + 0.5*math.Abs(best); m.Beats(places, above) {
			t.Errorf("job %d, %s: %.3f is the best, %.3f is said to be reached", i, task.Aim, best, above)
		}
	}
}

// radiatorFor is an invented passive radiator about the driver's size.
func radiatorFor(d thielesmall.Driver) Stock {
	r := Stock{MostAdded: 0.6}
	r.Count, r.Sd, r.Cms, r.Rms, r.Xmax = 1, 1.4*d.Sd, 1.5*d.Cms, 1.5, 0.018
	r.Mms = d.Mms * 0.9
	return r
}

// A quick search loses no more than half of what it may, against a careful one, and little on the whole.
func TestQuickSearch(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	n := 120
	if *long {
		n = 2000
	}
	var worst, sum [4]float64
	for i := range n {
		task := taskFor(randomDriver(rng), Aim(i%4))
		places := placesIn(task.Driver, 0.010*math.Pow(9, rng.Float64()))
		full, kept := pickFrom(t, task, places, math.NaN())
		task.Quick = true
		fast, _ := pickFrom(t, task, places, kept)
		if math.IsInf(full.score, -1) {
			continue
		}
		share := math.Max(0, full.score-fast.score) / task.Aim.QuickLoses(full.score)
		worst[task.Aim], sum[task.Aim] = math.Max(worst[task.Aim], share), sum[task.Aim]+share
		if share > 0.5 {
			t.Errorf("job %d, %s: careful %.3f (%+v), quick %.3f (%+v)", i, task.Aim, full.score, full.Candidate, fast.score, fast.Candidate)
		}
	}
	for aim, w := range worst {
		mean := sum[aim] / float64(n) * 4
		t.Logf("%s: at most %.2f of what it may lose, %.3f on the whole", Aim(aim), w, mean)
		if mean > 0.05 {
			t.Errorf("%s: quick searches lose %.3f of what they may", Aim(aim), mean)
		}
	}
}

// The best of a place whose port is one tube, no longer than there is room for, and its bounds; one in a hundred may be off
// by over 0.1 dB, where next to nothing is feasible.
func TestBruteForceOfATube(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	n, feasible, missed := 60, 0, 0
	if *long {
		n = 200
	}
	for i := range n {
		d := randomDriver(rng)
		aim := Aim(i % 3)
		m, err := New(taskFor(d, aim))
		if err != nil {
			t.Fatal(err)
		}
		air := 0.020 * math.Pow(5, rng.Float64())
		p := placesIn(d, air, Vented)[0]
		bore := [...]float64{0.068, 0.1, 0.15}[i/3%3]
		area := math.Pi * bore * bore / 4
		p.Area, p.Length, p.Edge = Range{area, area}, Range{0.1, 0.3 + 0.5*rng.Float64()}, 0
		bound := m.Bound(&p)
		_, got := m.Best(&p)
		want := math.Inf(-1)
		var best Candidate
		try := func(v, fb float64) {
			c := m.Tuned(v, fb, Port{Count: 1, Area: area})
			taken := v + area*physical(c.Port.Length, area)
			if c.Outside = p.Outside(taken); !p.Length.Holds(c.Port.Length) || taken > p.Air {
				return
			}
			if e := m.Evaluate(c); e.Score > want {
				want, best = e.Score, c
			}
		}
		for _, v := range spaced(m.volumes(&p), 120) {
			for _, fb := range spaced(m.tunings(), 120) {
				try(v, fb)
			}
		}
		for range 3 {
			b := best
			for _, v := range spaced(Range{b.Volume * 0.99, b.Volume * 1.01}, 21) {
				for _, fb := range spaced(Range{math.Max(22, b.Tuning*0.99), math.Min(60, b.Tuning*1.01)}, 21) {
					try(v, fb)
				}
			}
		}
		if math.IsInf(want, -1) && math.IsInf(got, -1) {
			continue
		}
		feasible++
		if got < want-0.1 && got >= want-0.6 {
			t.Logf("job %d: scores %.3f, brute force %.3f (%+v)", i, got, want, best)
			missed++
		}
		if got < want-0.6 || bound < math.Max(got, want) {
			t.Errorf("job %d, %s in %.1f l, tube of %.0f mm to %.0f mm: scores %.3f, bound %.3f, brute force %.3f (%+v)", i, aim, air*1e3, bore*1e3,
				p.Length.Most*1e3, got, bound, want, best)
		}
	}
	t.Logf("%d of %d jobs feasible, %d off by over 0.1 dB", feasible, n, missed)
	if missed*100 > n {
		t.Errorf("%d of %d are off by over 0.1 dB", missed, n)
	}
}

// The best box with a radiator lies on the edge of what is feasible, in a space that gives it up to a third more air than it
// takes.
func TestBestOnAnEdge(t *testing.T) {
	task := taskFor(randomDriver(rand.New(rand.NewPCG(0x1cf, 1))), Low)
	task.Radiator = radiatorFor(task.Driver)
	m, err := New(task)
	if err != nil {
		t.Fatal(err)
	}
	for more := 1.0; more < 1.35; more += 0.03125 {
		p := placesIn(task.Driver, 0.00816*more, Passive)[0]
		_, got := m.Best(&p)
		if _, want := brute(m, &p, 3); got < want-0.1 {
			t.Errorf("%.2f l: scores %.3f, brute force %.3f", p.Air*1e3, got, want)
		}
	}
}
