package thielesmall

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestSquares holds that an answer in squares, with limits in squares, is that of the circuit.
func TestSquares(t *testing.T) {
	const length = 0.3
	frequencies := []float64{10, 17, 25, 40, 63, 100, 160, 200}
	rapid.Check(t, func(t *rapid.T) {
		s := System{Air: drawAir(t), Driver: drawDriver(t), Source: rapid.SampledFrom([]float64{0, 0.05, 0.5}).Draw(t, "source")}
		s.Box.Volume = logUniform(0.004, 0.3).Draw(t, "volume")
		fb := 0.0
		if rapid.Bool().Draw(t, "vented") {
			fb = logUniform(15, 80).Draw(t, "fb")
			k := 2 * math.Pi * fb / s.Air.SoundSpeed
			s.Box.LeakQ = logUniform(3, 30).Draw(t, "leak q")
			s.Box.Ports = []Port{{Area: length * s.Box.Volume * k * k, Length: length}}
		}
		c, err := NewCircuit(s)
		if err != nil {
			t.Fatal(err)
		}
		limits := Limits{AmplifierVolts: 40, RatedPower: 300, Nominal: 4, Xmax: 0.01, PortSpeed: 20}
		ceilings := limits.Ceilings()
		for _, f := range frequencies {
			want := c.At(f, 1)
			{
				got := c.Answer(f)
				isNear(t, "level", SquareLevel(got.Pressure), want.Level, 1e-7)
				isNear(t, "excursion", math.Sqrt(got.Excursion), want.Excursion, 1e-8*want.Excursion)
				isNear(t, "terminals", math.Sqrt(got.Terminals), want.Terminals, 1e-8)
				area := 1.0
				if fb > 0 {
					area = s.Box.Ports[0].Area
				}
				isNear(t, "port speed", math.Sqrt(got.Flow)/area, want.PortSpeed, 1e-8*want.PortSpeed)
				const filter = 0.7
				level, _ := limits.Ceiling(want, filter)
				isNear(t, "maximum", SquareLevel(ceilings.Pressure(&got, ceilings.Drive(&got, filter*filter), area)), level, 1e-7)
				level, _ = Limits{}.Ceiling(want, filter)
				none := Limits{}.Ceilings()
				isNear(t, "without limits", SquareLevel(none.Pressure(&got, none.Drive(&got, filter*filter), area)), level, 1e-7)
			}
		}
	})
}

func isNear(t *rapid.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Fatalf("%s: %.12g, want %.12g within %.2g", what, got, want, tolerance)
	}
}
