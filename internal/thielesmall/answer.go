package thielesmall

import "math"

// Answer is a box's answer to one volt rms at the amplifier's terminals, as squares.
type Answer struct {
	Pressure  float64 // Pa^2 rms at 1 m, half space
	Excursion float64 // m^2, peak of each cone
	Flow      float64 // (m3/s)^2, peak, out of all ports; over their area squared it is the speed's square
	Terminals float64 // V^2 rms at the set's own terminals, behind source and leads
}

// Answer returns the circuit's answer to one volt at f Hz, without filters; its ports are taken to be alike.
func (c *Circuit) Answer(f float64) Answer {
	var s state
	c.solve(&s, 2*math.Pi*f)
	square := func(x float64) float64 { return x * x }
	area := 0.0
	for _, d := range c.ducts {
		area += d.count * d.area
	}
	a := Answer{
		Pressure:  square(magnitude(c.transfer(&s))),
		Excursion: 2 * square(magnitude(c.velocity(&s))/s.w),
		Flow:      2 * square(magnitude(c.pressure(&s))*s.fastest*area),
		Terminals: 1,
	}
	if c.passive.sum > 0 {
		a.Flow = 2 * square(magnitude(c.pressure(&s)*s.out))
	}
	if c.System.Source > 0 {
		z := c.impedance(&s)
		a.Terminals = square(magnitude(z) / magnitude(z+complex(c.System.Source, 0)))
	}
	return a
}

// SquareLevel returns the level, dB re 20 uPa, of a pressure given as its square, Pa^2.
func SquareLevel(pressure float64) float64 {
	return 10 * math.Log10(pressure/(referencePressure*referencePressure))
}

// LevelSquare is the inverse of [SquareLevel].
func LevelSquare(level float64) float64 {
	return math.Pow(10, level/10) * (referencePressure * referencePressure)
}
