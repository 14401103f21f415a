package search

import (
	"math/rand/v2"
	"runtime"
	"sync"
	"testing"
)

// BenchmarkRank finds the best box of one driver in a space, sealed or vented, for each aim: 10,000 drivers in 10 s on two
// cores are 2 ms each.
func BenchmarkRank(b *testing.B) {
	for _, aim := range []Aim{Low, Flat, Loud, Compact} {
		b.Run(aim.String(), func(b *testing.B) {
			rng := rand.New(rand.NewPCG(1, 2))
			b.ReportAllocs()
			memory := &Memory{}
			for b.Loop() {
				d := randomDriver(rng)
				task := taskFor(d, aim)
				task.Quick, task.Memory = true, memory
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

// BenchmarkTenThousand ranks 10,000 drivers on all cores, sealed or vented, for each aim.
func BenchmarkTenThousand(b *testing.B) {
	for _, aim := range []Aim{Low, Flat, Loud, Compact} {
		b.Run(aim.String(), func(b *testing.B) {
			for b.Loop() {
				var wait sync.WaitGroup
				workers := runtime.GOMAXPROCS(0)
				for w := range workers {
					wait.Go(func() {
						rng, memory := rand.New(rand.NewPCG(uint64(w), 2)), &Memory{}
						for range 10000 / workers {
							task := taskFor(randomDriver(rng), aim)
							task.Quick, task.Memory = true, memory
							m, err := New(task)
							if err != nil {
								b.Error(err)
								return
							}
							places := placesIn(task.Driver, 0.045)
							if aim == Compact {
								m, _ = m.keeping(places)
							}
							for i := range places {
								m.Best(&places[i])
							}
						}
					})
				}
				wait.Wait()
			}
		})
	}
}
