package thielesmall

import "math"

// Point is the answer at one frequency for a drive of V volts rms at the amplifier's terminals.
type Point struct {
	Frequency  float64    // Hz
	Level      float64    // dB re 20 uPa, 1 m, half space
	Phase      float64    // degrees, (-180, 180]
	Excursion  float64    // peak, m, each cone
	PortSpeed  float64    // peak, m/s, fastest port; 0 sealed
	Impedance  complex128 // ohm, of the set at its own terminals
	Terminals  float64    // V rms at the set's own terminals, behind source and leads
	GroupDelay float64    // s
	ConeFlow   complex128 // m3/s rms, into the box
	PortFlow   complex128 // m3/s rms, out of it, all ports at their outer mouths, or all radiators
	LeakFlow   complex128 // m3/s rms, out of it
	Radiator   float64    // peak, m, excursion of each passive radiator; 0 none
}

// state is the circuit solved at one frequency for one volt at the terminals of the amplifier, without filters. With Ya
// what the box and all that leaves it admit, and T the part of it that the cone does not lose again through ports and
// leak (in a band-pass, all that leaves it),
//
//	A = Zm Ya + Sd^2      D = Ze A + Bl^2 Ya
//	velocity = Bl Ya/D    pressure = -Sd Bl/D    drawn from outside = -Sd Bl T/D
//
// A band-pass has its cones push into the box: there the pressure is +Sd Bl/D,
// and Zm has the stiffness of the rear chamber too.
type state struct {
	w           float64
	ze, ze1     complex128 // source, leads and coil, ohm; ..1 are derivatives
	zm, zm1     complex128 // moving system, kg/s
	a, d, overD complex128
	admittance
}

// admittance is that of the box, with what leaves it.
type admittance struct {
	ya, ya1 complex128 // m5/(N s)
	t, t1   complex128
	out     complex128 // of ya, all ports at their outer mouths, or all radiators
	fastest float64    // largest |flow out|/area of a port per pascal
}

// solve sets s to the state at angular frequency w.
func (c *Circuit) solve(s *state, w float64) {
	drv := &c.System.Driver
	s.w = w
	s.ze, s.ze1 = complex(c.resistance, w*drv.Le), complex(0, drv.Le)
	if c.lag > 0 {
		x := w * c.lag
		r := drv.R2 / (1 + x*x)
		s.ze += complex(r*x*x, r*x)
		one := reciprocal(complex(1, x))
		s.ze1 += complex(0, drv.L2) * one * one
	}
	k := (c.stiffness + c.rear) / w
	s.zm, s.zm1 = complex(drv.Rms, w*drv.Mms-k), complex(0, drv.Mms+k/w)
	s.t, s.t1 = complex(0, w*c.compliance), complex(0, c.compliance)
	if c.absorb > 0 {
		one := reciprocal(complex(1, w*c.absorb))
		s.t *= one
		s.t1 *= one * one
	}
	s.out, s.fastest = 0, 0
	var out1 complex128
	for i := range c.ducts {
		p := &c.ducts[i]
		b := p.at(w)
		n := complex(p.count, 0)
		s.t += n * b.kept
		s.t1 += n * b.kept1
		s.out += n * b.out
		out1 += n * b.out1
		if v := magnitude(b.out) / p.area; v > s.fastest {
			s.fastest = v
		}
	}
	if c.passive.sum > 0 {
		s.out, out1 = c.passive.at(w)
	}
	s.ya = s.t + s.out + complex(c.leak, 0)
	s.ya1 = s.t1 + out1
	if c.rear > 0 {
		s.t, s.t1 = s.out+complex(c.leak, 0), out1
	}
	s.a = s.zm*s.ya + complex(c.area2, 0)
	s.d = s.ze*s.a + complex(c.motor2, 0)*s.ya
	s.overD = reciprocal(s.d)
}

// velocity returns the cone's outward velocity, m/s per volt.
func (c *Circuit) velocity(s *state) complex128 {
	return complex(c.System.Driver.Bl, 0) * s.ya * s.overD
}

// into is the direction of cones that move outward: out of the box, -1, or into the front chamber of a band-pass, 1.
func (c *Circuit) into() float64 {
	if c.rear > 0 {
		return 1
	}
	return -1
}

// pressure returns the pressure in the box, Pa per volt.
func (c *Circuit) pressure(s *state) complex128 {
	return complex(c.into()*c.System.Driver.Bl*c.System.Driver.Sd, 0) * s.overD
}

// transfer returns pressure at the listening distance, Pa per volt.
func (c *Circuit) transfer(s *state) complex128 {
	return complex(0, s.w*c.radiation*c.System.Driver.Bl*c.System.Driver.Sd) * s.t * s.overD
}

// impedance returns that of the set at its terminals, ohm.
func (c *Circuit) impedance(s *state) complex128 {
	return s.d*reciprocal(s.a) - complex(c.System.Source, 0)
}

// delay returns minus the derivative of the transfer function's phase, s.
func (c *Circuit) delay(s *state) float64 {
	a1 := s.zm1*s.ya + s.zm*s.ya1
	d1 := s.ze1*s.a + s.ze*a1 + complex(c.motor2, 0)*s.ya1
	return imag(d1*s.overD - s.t1*reciprocal(s.t))
}

// At solves the circuit, filters included, at f Hz for volts rms at the amplifier's terminals. f must be greater than 0
// and finite; otherwise only Frequency is set.
func (c *Circuit) At(f, volts float64) Point {
	gain, slope := c.filter(2 * math.Pi * f)
	return c.point(f, volts, gain, slope)
}

// bare returns the answer to one volt without filters, and their magnitude.
func (c *Circuit) bare(f float64) (Point, float64) {
	return c.point(f, 1, 1, 0), magnitude(c.Filter(f))
}

// point is At behind filters of the given gain; slope is the derivative of its
// logarithm with respect to angular frequency.
func (c *Circuit) point(f, volts float64, gain, slope complex128) Point {
	p := Point{Frequency: f}
	if !(f > 0) || math.IsInf(f, 1) {
		return p
	}
	var s state
	c.solve(&s, 2*math.Pi*f)
	drive := gain * complex(volts, 0)

	h := c.transfer(&s) * gain
	velocity, pressure := c.velocity(&s)*drive, c.pressure(&s)*drive
	p.Level = decibels(magnitude(h) * volts / referencePressure)
	p.Phase = degrees(h)
	p.GroupDelay = c.delay(&s) - imag(slope)
	p.Excursion = math.Sqrt2 * magnitude(velocity) / s.w
	p.PortSpeed = math.Sqrt2 * magnitude(pressure) * s.fastest
	p.Impedance = c.impedance(&s)
	p.Terminals = magnitude(drive)
	if c.System.Source > 0 {
		p.Terminals *= magnitude(p.Impedance) / magnitude(p.Impedance+complex(c.System.Source, 0))
	}
	if c.passive.sum > 0 {
		p.Radiator = math.Sqrt2 * magnitude(pressure*s.out) * c.System.Box.Passive.Sd / (c.passive.sum * s.w)
	}
	p.ConeFlow = velocity * complex(c.into()*c.System.Driver.Sd, 0)
	p.PortFlow = pressure * s.out
	p.LeakFlow = pressure * complex(c.leak, 0)
	return p
}

// Level returns the level alone, see [Point], for what needs nothing else.
func (c *Circuit) Level(f, volts float64) float64 {
	var s state
	w := 2 * math.Pi * f
	c.solve(&s, w)
	gain, _ := c.filter(w)
	return decibels(magnitude(c.transfer(&s)) * magnitude(gain) * volts / referencePressure)
}

// Impedance returns that of the set at its own terminals alone, ohm, see [Point], for what needs nothing else.
func (c *Circuit) Impedance(f float64) complex128 {
	var s state
	c.solve(&s, 2*math.Pi*f)
	return c.impedance(&s)
}

// magnitude returns |z| for values far from overflow.
func magnitude(z complex128) float64 { return math.Sqrt(real(z)*real(z) + imag(z)*imag(z)) }

// degrees returns the angle of z in (-180, 180].
func degrees(z complex128) float64 {
	a := math.Atan2(imag(z), real(z)) * (180 / math.Pi)
	if a <= -180 {
		return 180
	}
	return a
}
