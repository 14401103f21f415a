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
		NewKernel(d, air, s.Source, 0, grid).Solve(b, answers)
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

// With a length it answers as a duct without end corrections does, below half the duct's resonance.
func TestKernelWithDucts(t *testing.T) {
	air := referenceAir()
	d := driverFrom(air, 30, 0.5, 5, 0.06, 0.033, 4)
	const volume, tuning, length = 0.04, 31, 0.7
	w := 2 * math.Pi * tuning / air.SoundSpeed
	port := Port{Area: volume * w * w * length, Length: length}
	grid := []float64{10, 20, 30, 45, 80, 115}
	c := circuit(t, System{Air: air, Driver: d, Box: Box{Volume: volume, LeakQ: 7, Ports: []Port{port}}})
	answers := make([]Answer, len(grid))
	for _, nominal := range []float64{length, 0.2} {
		NewKernel(d, air, 0, nominal, grid).Solve(Lump{Volume: volume, Tuning: tuning, LeakQ: 7, Length: length}, answers)
		for j, f := range grid {
			want := c.Answer(f)
			name := fmt.Sprintf("%g Hz: ", f)
			nearly(t, name+"pressure", answers[j].Pressure, want.Pressure, 1e-9)
			nearly(t, name+"excursion", answers[j].Excursion, want.Excursion, 1e-9)
			nearly(t, name+"flow", answers[j].Flow, want.Flow, 1e-9)
		}
	}
}

func BenchmarkKernel(b *testing.B) {
	c := ventedBench(b, false)
	grid := make([]float64, 53)
	for i := range grid {
		grid[i] = 10 * math.Pow(20, float64(i)/52)
	}
	n := NewKernel(c.System.Driver, c.System.Air, 0, 0.6, grid)
	answers := make([]Answer, len(grid))
	for b.Loop() {
		n.Solve(Lump{Volume: 0.04, Tuning: 30, LeakQ: 7, Length: 0.6}, answers)
	}
}
