package thielesmall

import "math"

// Limits bound the drive. Zero: that limit is absent.
type Limits struct {
	AmplifierVolts float64 // rms, sqrt(power x into)
	RatedPower     float64 // W of the whole set
	Nominal        float64 // ohm as wired; needed for RatedPower
	Xmax           float64 // peak, m
	PortSpeed      float64 // peak, m/s
}

// Cause is what sets the maximum level.
type Cause int

// The causes, in the order in which a tie is decided.
const (
	Unlimited Cause = iota
	Voltage
	Power
	Excursion
	PortSpeed
)

// String returns "voltage", "power", "excursion", "port", or an empty string.
func (c Cause) String() string {
	switch c {
	case Voltage:
		return "voltage"
	case Power:
		return "power"
	case Excursion:
		return "excursion"
	case PortSpeed:
		return "port"
	}
	return ""
}

// MaxLevel returns the loudest steady level at f Hz, dB re 20 uPa, 1 m, half
// space, rms, and which limit sets it. Without any limit it is 0 and
// Unlimited. There is no power compression in it and no duty factor.
//
// With V the voltage behind the filters, before the leads,
//
//	voltage     V <= AmplifierVolts |F(f)|
//	power       V |Z/(Z + source)| <= sqrt(RatedPower Nominal)
//	excursion   V <= Xmax / excursion per volt
//	port        V <= PortSpeed / air speed per volt
func (c *Circuit) MaxLevel(f float64, l Limits) (level float64, cause Cause) {
	volts, perVolt, cause := c.loudest(f, l)
	if cause == Unlimited {
		return 0, Unlimited
	}
	return decibels(volts * perVolt / referencePressure), cause
}

// MaxVolts returns the largest voltage behind the filters, before the leads, V
// rms, that the limits allow at f Hz, and which limit sets it; 0 without any.
func (c *Circuit) MaxVolts(f float64, l Limits) (volts float64, cause Cause) {
	volts, _, cause = c.loudest(f, l)
	if cause == Unlimited {
		return 0, Unlimited
	}
	return volts, cause
}

// loudest returns the largest drive, the pressure for one volt of it, and what
// sets it.
func (c *Circuit) loudest(f float64, l Limits) (volts, perVolt float64, cause Cause) {
	if !(f > 0) || math.IsInf(f, 1) {
		return 0, 0, Unlimited
	}
	var s state
	c.solve(&s, 2*math.Pi*f)
	volts = math.Inf(1)
	lower := func(v float64, by Cause) {
		if v < volts {
			volts, cause = v, by
		}
	}
	if l.AmplifierVolts > 0 {
		gain, _ := c.filter(s.w)
		lower(l.AmplifierVolts*magnitude(gain), Voltage)
	}
	if l.RatedPower > 0 && l.Nominal > 0 {
		share := 1.0
		if c.System.Source > 0 {
			z := c.impedance(&s)
			share = magnitude(z) / magnitude(z+complex(c.System.Source, 0))
		}
		lower(math.Sqrt(l.RatedPower*l.Nominal)/share, Power)
	}
	if l.Xmax > 0 {
		lower(l.Xmax*s.w/(math.Sqrt2*magnitude(c.velocity(&s))), Excursion)
	}
	if l.PortSpeed > 0 && s.fastest > 0 {
		lower(l.PortSpeed/(math.Sqrt2*magnitude(c.pressure(&s))*s.fastest), PortSpeed)
	}
	return volts, magnitude(c.transfer(&s)), cause
}
