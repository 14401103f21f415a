package thielesmall

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// A kernel answers as the circuit does with ports that are all end correction.
func TestKernelIsTheCircuit(t *testing.T) {
	air := referenceAir()
	rng := rand.New(rand.NewPCG(3, 5))
	grid := []float64{10, 17, 24, 31, 47, 80, 150, 200}
	answers := make([]Answer, len(grid))
	for i := range 60 {
		d := driverFrom(air, between(rng, 18, 50), between(rng, 0.25, 1), between(rng, 2, 12), between(rng, 0.01, 0.2), between(rng, 0.012, 0.09), between(rng, 1, 8))
		d.Le = between(rng, 1e-4, 3e-3)
		if i%2 == 0 {
			d.L2, d.R2 = 1e-3, 5
		}
		s := System{Air: air, Driver: d, Box: Box{Volume: between(rng, 0.008, 0.1)}}
		b := Lump{Volume: s.Box.Volume}
		if i%4 == 1 {
			s.Source = 0.15
		}
		switch i % 3 {
		case 1:
			b.Tuning, b.LeakQ = between(rng, 22, 50), 7
			w := 2 * math.Pi * b.Tuning
			const area = 0.01
			s.Box.LeakQ, s.Box.Ports = 7, []Port{{Area: area, Ends: [2]float64{area * air.SoundSpeed * air.SoundSpeed / (b.Volume * w * w), 0}}}
		case 2:
			b.LeakQ, b.Tuning = 7, between(rng, 22, 50)
			r := Radiator{Count: 1 + i%2, Sd: 0.03, Cms: 3e-4, Rms: 2}
			b.Passive = r.Tuned(air, b.Volume, b.Tuning)
			s.Box.LeakQ, s.Box.Passive = 7, b.Passive
		}
		c := circuit(t, s)
		NewKernel(d, air, s.Source, grid).Solve(b, answers)
		for j, f := range grid {
			want := c.Answer(f)
			name := fmt.Sprintf("box %d at %g Hz: ", i, f)
			nearly(t, name+"pressure", answers[j].Pressure, want.Pressure, 1e-9)
			nearly(t, name+"excursion", answers[j].Excursion, want.Excursion, 1e-9)
			nearly(t, name+"flow", answers[j].Flow, want.Flow, 1e-9)
			nearly(t, name+"terminals", answers[j].Terminals, want.Terminals, 1e-9)
		}
	}
}

func BenchmarkKernel(b *testing.B) {
	c := ventedBench(b, false)
	grid := make([]float64, 53)
	for i := range grid {
		grid[i] = 10 * math.Pow(20, float64(i)/52)
	}
	n := NewKernel(c.System.Driver, c.System.Air, 0, grid)
	answers := make([]Answer, len(grid))
	for b.Loop() {
		n.Solve(Lump{Volume: 0.04, Tuning: 30, LeakQ: 7}, answers)
	}
}
