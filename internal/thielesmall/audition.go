package thielesmall

import "math"

// Audition is one driver made ready to be heard in many boxes on one set of frequencies, for a search: what does not
// depend on the box is worked out once, and answers are squares, so that neither roots nor logarithms are taken. Its
// boxes have no filling and their ports no friction. It is immutable and safe for concurrent use.
//
// With the symbols of a [Circuit], D = Ya (Ze Zm + Bl^2) + Ze Sd^2 is linear in what the box admits, and a port of
// fixed length without end corrections admits its area times a constant at each frequency.
type Audition struct {
	air     Air
	driver  Driver
	source  float64
	length  float64 // of the nominal port, m
	radiate float64 // (rho Bl Sd/(2 pi r))^2
	points  []heard
}

// heard is what one frequency has ready.
type heard struct {
	w        float64
	w2, over float64    // w^2, 1/w^2
	p, q, zm complex128 // D = p Ya + q; the moving system
	out      float64    // susceptance of a square metre of nominal port, outer mouth
	kept     float64    // and what flows in at the inner end less that
}

// Answer is a box's answer to one volt rms at the amplifier's terminals, as squares.
type Answer struct {
	Pressure  float64 // Pa^2 rms at 1 m, half space
	Excursion float64 // m^2, peak of each cone
	Flow      float64 // (m3/s)^2, peak, out of all ports; over their area squared it is the speed's square
	Terminals float64 // V^2 rms at the set's own terminals, behind source and leads
}

// NewAudition prepares driver d behind a source of rg ohm for the frequencies, in Hz and greater than 0. Ports are
// stood for by one nominal port of the given length in metres without end corrections, whose area makes the tuning:
// below its first resonance the response depends on the tuning alone.
func NewAudition(d Driver, a Air, rg, length float64, frequencies []float64) *Audition {
	radiate := a.Density * d.Bl * d.Sd / (2 * math.Pi * listening)
	n := &Audition{air: a, driver: d, source: rg, length: length, radiate: radiate * radiate, points: make([]heard, len(frequencies))}
	c := &Circuit{System: System{Air: a, Driver: d, Source: rg}, resistance: rg + d.Re, stiffness: 1 / d.Cms, area2: d.Sd * d.Sd}
	if d.R2 > 0 {
		c.lag = d.L2 / d.R2
	}
	rhoC := a.Density * a.SoundSpeed
	for i, f := range frequencies {
		var s state
		w := 2 * math.Pi * f
		c.solve(&s, w)
		sin, cos := math.Sincos(w * length / a.SoundSpeed)
		n.points[i] = heard{
			w: w, w2: w * w, over: 1 / (w * w), p: s.ze*s.zm + complex(d.Bl*d.Bl, 0), q: s.ze * complex(c.area2, 0), zm: s.zm,
			out: -1 / (rhoC * sin), kept: (1 - cos) / (rhoC * sin),
		}
	}
	return n
}

// Hear answers for a box of net volume m3 whose port tunes it to fb Hz and whose losses are leakQ (0: none); fb 0 is a
// sealed box. It fills answers, of which there must be one for each frequency.
func (n *Audition) Hear(volume, fb, leakQ float64, answers []Answer) {
	n.HearFrom(0, volume, fb, leakQ, answers)
}

// HearFrom answers as [Audition.Hear] does, but only for as many frequencies as
// there are answers, from number first on.
func (n *Audition) HearFrom(first int, volume, fb, leakQ float64, answers []Answer) {
	compliance := volume / n.air.stiffness()
	area, leak := 0.0, 0.0
	if fb > 0 {
		w := 2 * math.Pi * fb
		k := w / n.air.SoundSpeed
		area = n.length * volume * k * k
		if leakQ > 0 {
			leak = w * compliance / leakQ
		}
	}
	bl2 := n.driver.Bl * n.driver.Bl
	inBox := 2 * bl2 * n.driver.Sd * n.driver.Sd
	leak2, stroke := leak*leak, 2*bl2
	for i := range answers {
		h := &n.points[first+i]
		t := h.w*compliance + area*h.kept
		out := area * h.out
		b := t + out
		re := real(h.p)*leak - imag(h.p)*b + real(h.q)
		im := real(h.p)*b + imag(h.p)*leak + imag(h.q)
		over := 1 / (re*re + im*im)
		a := &answers[i]
		a.Pressure = n.radiate * h.w2 * t * t * over
		a.Excursion = stroke * (leak2 + b*b) * over * h.over
		a.Flow = inBox * out * out * over
		a.Terminals = 1
		if n.source > 0 {
			// D - Rg A with A = Zm Ya + Sd^2
			re -= n.source * (real(h.zm)*leak - imag(h.zm)*b + n.driver.Sd*n.driver.Sd)
			im -= n.source * (real(h.zm)*b + imag(h.zm)*leak)
			a.Terminals = (re*re + im*im) * over
		}
	}
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
