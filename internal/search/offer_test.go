package search

import (
	"math"
	"slices"
	"testing"
)

// What is offered differs, keeps at least half of P0 and, where it is offered for one virtue, has the most of it among what
// is offered within 2 dB of the winner.
func TestOffers(t *testing.T) {
	counts := map[int]int{}
	var names []string
	for name := range drivers {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		d := drivers[name]
		for _, air := range []float64{0.012, 0.028, 0.060} {
			for _, aim := range []Aim{Low, Loud, Compact} {
				m, err := New(taskFor(d, aim))
				if err != nil {
					t.Fatal(err)
				}
				places := placesIn(d, air)
				r, err := Search(t.Context(), m, places, lumps{}, Options{})
				if err != nil {
					t.Fatal(err)
				}
				offers, err := Offers(t.Context(), m, lumps{}, r, Options{})
				if err != nil {
					t.Fatal(err)
				}
				if r.Best == nil {
					if len(offers) > 0 {
						t.Errorf("%s, %s: offers without a winner", name, aim)
					}
					continue
				}
				counts[checkOffers(t, m, offers)]++
			}
		}
	}
	t.Logf("jobs by number of designs offered: %v", counts)
	if counts[1] == 0 || counts[2]+counts[3]+counts[4]+counts[5] == 0 {
		t.Errorf("every job offers as many: %v", counts)
	}
}

// checkOffers gives how many are offered.
func checkOffers(t *testing.T, m *Model, offers []Offer[struct{}]) int {
	t.Helper()
	mean := func(o *Offer[struct{}]) float64 {
		if m.Aim == Loud {
			return o.Found.Evaluation.Loud
		}
		return o.Found.Evaluation.MeanLow
	}
	kept := 0
	for i := range offers {
		o := &offers[i]
		if o.Kept != (o.Why == Offered) {
			t.Errorf("%s: kept %v, why %d", o.Because, o.Kept, o.Why)
		}
		if !o.Kept {
			continue
		}
		kept++
		s := o.Found.Evaluation.Settings
		if o.Because != Best && s.Allowed < s.Full/2*(1-1e-9) {
			t.Errorf("%s: %.0f of %.0f W", o.Because, s.Allowed, s.Full)
		}
		if o.Because >= QuietPort && mean(o) < mean(&offers[0])-2-1e-6 {
			t.Errorf("%s: %.2f dB, the winner %.2f", o.Because, mean(o), mean(&offers[0]))
		}
		for j := range offers[:i] {
			p := &offers[j]
			if p.Kept && m.same(&o.Found.Candidate, &p.Found.Candidate, o.Found.Evaluation.Speed, p.Found.Evaluation.Speed) {
				t.Errorf("%s and %s are the same box", o.Because, p.Because)
			}
		}
		switch o.Because {
		case Smallest:
			if o.Found.Candidate.Outside > offers[0].Found.Candidate.Outside {
				t.Errorf("the smallest is larger than the winner")
			}
		case LowestCorner:
			if o.Found.Evaluation.Figures.F10 > offers[0].Found.Evaluation.Figures.F10+0.1 {
				t.Errorf("the lowest has f10 %.1f Hz, the winner %.1f", o.Found.Evaluation.Figures.F10, offers[0].Found.Evaluation.Figures.F10)
			}
		case QuietPort:
			b := &offers[0].Found.Evaluation
			if b.Speed > 0 && o.Found.Evaluation.Speed/o.Found.Evaluation.SpeedAllowed > b.Speed/b.SpeedAllowed*1.01 {
				t.Errorf("the quiet port is louder than the winner's")
			}
		}
	}
	return kept
}

// The trade-off of size has rising volumes from the least to the most, and its best is near the winner.
func TestTradeoff(t *testing.T) {
	d := drivers["12"]
	m, err := New(taskFor(d, Low))
	if err != nil {
		t.Fatal(err)
	}
	places := placesIn(d, 0.060)
	for i, k := range []Kind{Sealed, Vented} {
		points := m.Tradeoff(places, k)
		if len(points) < 8 || len(points) > 12 {
			t.Errorf("%s: %d points", k, len(points))
		}
		top := math.Inf(-1)
		for j, p := range points {
			if j > 0 && p.Candidate.Volume <= points[j-1].Candidate.Volume {
				t.Errorf("%s: volumes do not rise", k)
			}
			top = math.Max(top, p.Evaluation.Score)
			t.Logf("%s %.1f l: f3 %.1f, f10 %.1f, M %.1f, v %.1f, score %.2f", k, p.Candidate.Volume*1e3, p.Evaluation.Figures.F3, p.Evaluation.Figures.F10,
				p.Evaluation.MeanLow, p.Evaluation.Speed, p.Evaluation.Score)
		}
		if _, best := m.Best(&places[i]); best < top-0.1 || best > top+0.8 {
			t.Errorf("%s: the best scores %.2f, of the trade-off %.2f", k, best, top)
		}
	}
}
