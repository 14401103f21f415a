package thielesmall

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestAnswerIsThePoint: the squares that a search looks at are what the circuit of the same box plays.
func TestAnswerIsThePoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := System{Air: drawAir(t), Driver: drawDriver(t), Source: rapid.SampledFrom([]float64{0, 0.05, 0.5}).Draw(t, "source")}
		s.Box.Volume = logUniform(0.004, 0.3).Draw(t, "volume")
		area := 1.0
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 1:
			k := 2 * math.Pi * logUniform(15, 80).Draw(t, "fb") / s.Air.SoundSpeed
			s.Box.LeakQ, area = logUniform(3, 30).Draw(t, "leak q"), 0.3*s.Box.Volume*k*k
			s.Box.Ports = []Port{{Area: area, Length: 0.3}}
		case 2:
			s.Box.Passive = Radiator{Count: 2, Sd: 0.04, Mms: logUniform(0.05, 0.5).Draw(t, "mass"), Cms: 4e-4, Rms: 3}
		}
		c, err := NewCircuit(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range []float64{10, 17, 25, 40, 63, 100, 160, 200} {
			want, got := c.At(f, 1), c.Answer(f)
			isNear(t, "level", SquareLevel(got.Pressure), want.Level, 1e-7)
			isNear(t, "excursion", math.Sqrt(got.Excursion), want.Excursion, 1e-8*want.Excursion)
			isNear(t, "terminals", math.Sqrt(got.Terminals), want.Terminals, 1e-8)
			isNear(t, "port speed", math.Sqrt(got.Flow)/area*float64(min(1, len(s.Box.Ports))), want.PortSpeed, 1e-8*want.PortSpeed)
			isNear(t, "radiator", math.Sqrt(got.Flow)/(0.08*2*math.Pi*f)*float64(s.Box.Passive.Count/2), want.Radiator, 1e-8*want.Radiator)
		}
	})
}

func isNear(t *rapid.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Fatalf("%s: %.12g, want %.12g within %.2g", what, got, want, tolerance)
	}
}
