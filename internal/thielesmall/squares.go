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

// Ceilings are the squares of [Limits]; +Inf where one is absent.
type Ceilings struct{ volts, terminals, excursion, speed float64 }

// Ceilings makes limits ready for [Ceilings.Drive].
func (l Limits) Ceilings() Ceilings {
	square := func(x float64) float64 {
		if x > 0 {
			return x * x
		}
		return math.Inf(1)
	}
	return Ceilings{square(l.AmplifierVolts), square(math.Sqrt(math.Max(0, l.RatedPower*l.Nominal))), square(l.Xmax), square(l.PortSpeed)}
}

// Drive returns the square of the largest drive, V^2 rms, that every limit but the port's allows behind filters whose
// magnitude squared is filter; +Inf without a limit. See [Limits.Ceiling].
func (c *Ceilings) Drive(a *Answer, filter float64) float64 {
	v := c.volts * filter
	if x := c.terminals / a.Terminals; x < v {
		v = x
	}
	if x := c.excursion / a.Excursion; x < v {
		v = x
	}
	return v
}

// Pressure returns the square of the largest pressure, Pa^2 rms, for that drive and ports of area m2 together.
func (c *Ceilings) Pressure(a *Answer, drive, area float64) float64 {
	if x := c.speed * area * area / a.Flow; x < drive {
		drive = x
	}
	if math.IsInf(drive, 1) {
		drive = 1
	}
	return a.Pressure * drive
}

// SquareLevel returns the level, dB re 20 uPa, of a pressure given as its square, Pa^2.
func SquareLevel(pressure float64) float64 {
	return 10 * math.Log10(pressure/(referencePressure*referencePressure))
}

// LevelSquare is the inverse of [SquareLevel].
func LevelSquare(level float64) float64 {
	return math.Pow(10, level/10) * (referencePressure * referencePressure)
}
