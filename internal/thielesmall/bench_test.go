package thielesmall

import "testing"

var sinkPoint Point
var sinkFigures Figures

func ventedBench(b *testing.B, friction bool) *Circuit {
	b.Helper()
	air := referenceAir()
	d := Driver{Count: 1, Re: 3.4, Le: 1.2e-3, L2: 1.5e-3, R2: 6, Bl: 14, Sd: 0.033, Mms: 0.12, Cms: 1.8e-4, Rms: 4, Ratings: Ratings{Xmax: 0.012}}
	r := 0.05
	c, err := NewCircuit(System{Air: air, Driver: d, Source: 0.1, Box: Box{Volume: 0.04, LeakQ: 7,
		Ports: []Port{{Area: 3.14159 * r * r, Length: 0.4, Ends: [2]float64{EndFlush(r), EndFree(r)}, Friction: friction}}}})
	if err != nil {
		b.Fatal(err)
	}
	return c
}

// BenchmarkAtVented solves one point, all outputs, of a vented system: the points per second are the inverse.
func BenchmarkAtVented(b *testing.B) {
	c := ventedBench(b, false)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		sinkPoint = c.At(10+float64(i&1023)*0.2, 2.83)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "points/s")
}

// BenchmarkAtFiltered is the same behind a high-pass and a low-pass.
func BenchmarkAtFiltered(b *testing.B) {
	s := ventedBench(b, false).System
	s.Filters = []Filter{{Kind: HighPass, Order: 4, Frequency: 25}, {Kind: LowPass, Type: LinkwitzRiley, Order: 4, Frequency: 80}}
	c, err := NewCircuit(s)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		sinkPoint = c.At(10+float64(i&1023)*0.2, 2.83)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "points/s")
}

// BenchmarkAtFriction is BenchmarkAtVented with loss at the port's wall.
func BenchmarkAtFriction(b *testing.B) {
	c := ventedBench(b, true)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		sinkPoint = c.At(10+float64(i&1023)*0.2, 2.83)
	}
}

func BenchmarkFigures(b *testing.B) {
	c := ventedBench(b, false)
	b.ReportAllocs()
	for b.Loop() {
		sinkFigures = c.Figures(2.83)
	}
}

func BenchmarkComplete(b *testing.B) {
	s := Spec{Fs: 30, Qes: 0.4, Qms: 5, Vas: 0.06, Sd: 0.033, Re: 3.4, Mms: 0.12, Bl: 14}
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := s.Complete(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAlign(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Align("QB3", 0.33, 7); err != nil {
			b.Fatal(err)
		}
	}
}
