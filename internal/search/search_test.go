package search

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/thielesmall"
)

// lumps builds any candidate exactly as it is asked for.
type lumps struct{}

func (lumps) Build(_ context.Context, _ *Place, c Candidate) (Built[struct{}], error) {
	return Built[struct{}]{Candidate: c}, nil
}

// shop builds tubes of a few bores, none longer than its room allows, as real ducts.
type shop struct {
	task    Task
	bores   []float64
	longest float64 // m, of any duct
	calls   int
}

func (s *shop) Build(_ context.Context, p *Place, c Candidate) (Built[int], error) {
	s.calls++
	box := thielesmall.Box{Volume: c.Volume}
	chosen := -1
	if c.Kind == Vented {
		off := math.Inf(1)
		for i, b := range s.bores {
			if area := math.Pi * b * b / 4; p.Area.Most == 0 || p.Area.Holds(area) {
				if d := math.Abs(math.Log(area / c.Port.Area)); d < off {
					chosen, off = i, d
				}
			}
		}
		if chosen < 0 {
			return Built[int]{Refused: &Refusal{Why: OfRoom}}, nil
		}
		r := s.bores[chosen] / 2
		area, ends := math.Pi*r*r, [2]float64{thielesmall.EndFlush(r), thielesmall.EndFree(r)}
		w := 2 * math.Pi * c.Tuning / testAir.SoundSpeed
		effective := area / (c.Volume * w * w)
		length := math.Round((effective-ends[0]-ends[1])*1000) / 1000
		if length > s.longest || length < board {
			return Built[int]{Refused: &Refusal{Why: OfDuct, Length: Range{board + ends[0] + ends[1], s.longest + ends[0] + ends[1]}}}, nil
		}
		port := thielesmall.Port{Area: area, Length: length, Ends: ends}
		box.LeakQ, box.Ports = 7, []thielesmall.Port{port}
		c.Tuning = box.Tuning(testAir)
		c.Port.Area, c.Port.Length = area, length+ends[0]+ends[1]
		c.Outside = p.Outside(c.Volume + area*length)
	}
	circuit, err := thielesmall.NewCircuit(thielesmall.System{Air: testAir, Driver: s.task.Driver, Box: box})
	return Built[int]{Candidate: c, Circuit: circuit, Box: chosen}, err
}

// A search among tubes of the shop finds as much as one that tries every bore, volume and tuning, within 0.2 dB, or says
// that it has not proved it.
func TestSearchAmongTubes(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	n := 10
	if *long {
		n = 60
	}
	for i := range n {
		d := randomDriver(rng)
		task := taskFor(d, Aim(i%3))
		m, err := New(task)
		if err != nil {
			t.Fatal(err)
		}
		air := 0.015 * math.Pow(5, rng.Float64())
		places := placesIn(d, air)
		s := &shop{task: task, bores: []float64{0.05, 0.075, 0.1, 0.15}, longest: 0.3 + 0.4*rng.Float64()}
		got, err := Search(t.Context(), m, places, s, Options{Builds: 200})
		if err != nil {
			t.Fatal(err)
		}
		want := math.Inf(-1)
		var c0 Candidate
		for _, bore := range s.bores {
			p := places[1]
			p.Area = Range{math.Pi * bore * bore / 4, math.Pi * bore * bore / 4}
			for _, v := range spaced(m.volumes(&p), 60) {
				for _, fb := range spaced(m.tunings(), 60) {
					c := m.Tuned(v, fb, Port{Count: 1, Area: p.Area.Most, Edge: p.Edge})
					c.Outside = p.Outside(v + c.Port.Area*physical(c.Port.Length, c.Port.Area))
					if v+c.Port.Area*physical(c.Port.Length, c.Port.Area) > p.Air {
						continue
					}
					built, err := s.Build(t.Context(), &p, c)
					if err != nil || built.Refused != nil {
						continue
					}
					if e := m.EvaluateCircuit(built.Candidate, built.Circuit); e.Score > want {
						want, c0 = e.Score, built.Candidate
					}
				}
			}
		}
		name := fmt.Sprintf("job %d, %s, %.1f l, tubes to %.0f mm", i, task.Aim, air*1e3, s.longest*1e3)
		best := got.Kinds[Vented].Found
		overall := math.Inf(-1)
		if got.Best != nil {
			overall = got.Best.Evaluation.Score
		}
		t.Logf("%s: %.2f, brute force of tubes %.2f, %d builds, status %d, bound %.2f", name, overall, want, got.Builds, got.Status, got.Bound)
		if overall < want-0.2 && got.Status == Proved {
			t.Errorf("%s: found %.3f, there is %.3f (%+v); vented %+v", name, overall, want, c0, best)
		}
	}
}

// closedOnly refuses every box with a port, and does not say what it could make.
type closedOnly struct{ lumps }

func (c closedOnly) Build(ctx context.Context, p *Place, want Candidate) (Built[struct{}], error) {
	if want.Kind != Sealed {
		return Built[struct{}]{Refused: &Refusal{Why: OfRoom}}, nil
	}
	return c.lumps.Build(ctx, p, want)
}

// A kind that promises more and cannot be built leaves the other kinds builds of their own.
func TestSearchLeavesNoKindUntried(t *testing.T) {
	d := drivers["12"]
	m, err := New(taskFor(d, Low))
	if err != nil {
		t.Fatal(err)
	}
	got, err := Search(t.Context(), m, placesIn(d, 0.08), closedOnly{}, Options{Builds: 5})
	if err != nil {
		t.Fatal(err)
	}
	if got.Best == nil || got.Best.Candidate.Kind != Sealed || got.Status != OutOfWork {
		t.Fatalf("best %+v, status %d; want a sealed box, not proved best", got.Best, got.Status)
	}
	if v := got.Kinds[Vented]; v.Found != nil || math.IsInf(v.Bound, -1) {
		t.Errorf("vented: %+v; want none, and what it promised", v)
	}
}
