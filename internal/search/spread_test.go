package search

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"cubby/internal/thielesmall"
)

// built is a vented and a sealed box of the 12.
func built(t *testing.T, k Kind) (*Model, Candidate, *thielesmall.Circuit) {
	t.Helper()
	d := drivers["12"]
	task := taskFor(d, Low)
	task.Radiator = radiatorFor(d)
	m, err := New(task)
	if err != nil {
		t.Fatal(err)
	}
	c := Candidate{Kind: k, Volume: 0.025, Outside: 0.04}
	box := thielesmall.Box{Volume: c.Volume}
	switch k {
	case Vented:
		c = m.Tuned(0.045, 31, Port{Count: 1, Area: 0.012})
		c.Outside = 0.07
		r := math.Sqrt(c.Port.Area / math.Pi)
		ends := [2]float64{thielesmall.EndFlush(r), thielesmall.EndFree(r)}
		box = thielesmall.Box{Volume: c.Volume, LeakQ: 7, Ports: []thielesmall.Port{{Area: c.Port.Area, Length: c.Port.Length - ends[0] - ends[1], Ends: ends}}}
	case Passive:
		c.Tuning = 30
		box.LeakQ, box.Passive = 7, task.Radiator.Tuned(testAir, c.Volume, c.Tuning)
	}
	circuit, err := thielesmall.NewCircuit(thielesmall.System{Air: testAir, Driver: d, Box: box})
	if err != nil {
		t.Fatal(err)
	}
	return m, c, circuit
}

// The marks against an independent loop of plain random draws, whose figures come from the circuit on its own fine grid:
// within a tenth of the band.
func TestSpreadAgainstPlainDraws(t *testing.T) {
	n := 3000
	if *long {
		n = 20000
	}
	for k := range Kinds {
		m, c, circuit := built(t, k)
		got := m.Spread(c, circuit, 0.001)
		rng := rand.New(rand.NewPCG(5, 6))
		var f3, corner, mean, level []float64
		for range n {
			s := circuit.System
			s.Box.Ports = slices.Clone(s.Box.Ports)
			between := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
			s.Driver.Cms *= between(0.7, 1.3)
			s.Driver.Re *= between(0.95, 1.05)
			s.Driver.Bl *= between(0.95, 1.05)
			s.Driver.Mms *= between(0.95, 1.05)
			s.Box.Volume *= between(0.98, 1.02)
			for i := range s.Box.Ports {
				s.Box.Ports[i].Length += between(-0.0025, 0.0025)
			}
			if s.Box.LeakQ > 0 {
				s.Box.LeakQ = between(5, 15)
			}
			x, err := thielesmall.NewCircuit(s)
			if err != nil {
				t.Fatal(err)
			}
			f := x.Figures(1)
			f3 = append(f3, f.F3)
			corner = append(corner, f.Qtc+f.Fb)
			limits := thielesmall.Limits{AmplifierVolts: math.Sqrt(500 * 4), Xmax: s.Driver.Xmax}
			if k == Vented {
				limits.PortSpeed = m.grades.SpeedAllowed(c.Port.Edge, f.Fb, c.Port.Area)
			}
			if k == Passive {
				limits.RadiatorXmax = s.Box.Passive.Xmax
			}
			// The low-pass of 80 Hz takes less than 0.02 dB up to 40 Hz.
			mean = append(mean, meanMaxLevel(x, 20, 40, limits))
			level = append(level, x.Level(40, 1))
		}
		at := slices.Index(frequencies, 40)
		compare := func(what string, got Marks, values []float64) {
			slices.Sort(values)
			low, high := values[len(values)/10], values[len(values)*9/10]
			band := math.Max((high-low)/10, 0.01) // a mean on the grid is good to 0.01 dB
			if math.Abs(got.Low-low) > band || math.Abs(got.High-high) > band {
				t.Errorf("%s %s: marks %.4g to %.4g, plain draws %.4g to %.4g", k, what, got.Low, got.High, low, high)
			}
		}
		compare("f3", got.F3, f3)
		if k == Sealed {
			compare("Qtc", got.Qtc, corner)
		} else {
			compare("tuning", got.Tuning, corner)
		}
		compare("mean level", got.Mean, mean)
		compare("level at 40 Hz", got.Level[at], level)
		t.Logf("%s: f3 %.1f to %.1f Hz, mean %.1f to %.1f dB, changes %v", k, got.F3.Low, got.F3.High, got.Mean.Low, got.Mean.High, got.Changes)
	}
}

func BenchmarkSpread(b *testing.B) {
	d := drivers["12"]
	m, err := New(taskFor(d, Low))
	if err != nil {
		b.Fatal(err)
	}
	circuit, err := thielesmall.NewCircuit(thielesmall.System{Air: testAir, Driver: d, Box: thielesmall.Box{Volume: 0.025}})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		m.Spread(Candidate{Kind: Sealed, Volume: 0.025, Outside: 0.04}, circuit, 0)
	}
}
