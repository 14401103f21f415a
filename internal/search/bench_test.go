package search

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkRank finds the best box of one driver in a space, sealed or vented, for each aim: 10,000 drivers in 10 s on two
// cores are 2 ms each.
func BenchmarkRank(b *testing.B) {
	for _, aim := range []Aim{Low, Flat, Loud, Compact} {
		b.Run(aim.String(), func(b *testing.B) {
			rng := rand.New(rand.NewPCG(1, 2))
			b.ReportAllocs()
			for b.Loop() {
				d := randomDriver(rng)
				task := taskFor(d, aim)
				task.Quick = true
				m, err := New(task)
				if err != nil {
					b.Fatal(err)
				}
				places := placesIn(d, 0.045)
				for i := range places {
					m.Best(&places[i])
				}
			}
		})
	}
}

// BenchmarkBound is the first bound of a vented place, with its lattice.
func BenchmarkBound(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	for b.Loop() {
		d := randomDriver(rng)
		m, err := New(taskFor(d, Low))
		if err != nil {
			b.Fatal(err)
		}
		places := placesIn(d, 0.045, Vented)
		m.Bound(&places[0])
	}
}
