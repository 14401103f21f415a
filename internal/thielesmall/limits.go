package thielesmall

import "math"

// Limits bound the drive. Zero: that limit is absent.
type Limits struct {
	AmplifierVolts float64 // rms, sqrt(power x into)
	RatedPower     float64 // W of the whole set
	Nominal        float64 // ohm as wired; needed for RatedPower
	Xmax           float64 // peak, m
	PortSpeed      float64 // peak, m/s
	RadiatorXmax   float64 // peak, m, of passive radiators
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
// space, rms, and which limit sets it, see [Limits.Ceiling].
func (c *Circuit) MaxLevel(f float64, l Limits) (level float64, cause Cause) {
	bare, filter := c.bare(f)
	return l.Ceiling(bare, filter)
}

// Ceiling returns the loudest steady level, dB re 20 uPa, 1 m, half space, rms, and what sets it, from the answer p to
// one volt rms of a circuit without filters and the filters' magnitude at that frequency. A tie goes to the first in
// the order of the causes. Without any limit it is the level for one volt and Unlimited. There is no power compression
// in it and no duty factor.
//
// With V the voltage behind the filters, before the leads,
//
//	voltage     V <= AmplifierVolts filter
//	power       V p.Terminals <= sqrt(RatedPower Nominal)
//	excursion   V p.Excursion <= Xmax, V p.Radiator <= RadiatorXmax
//	port        V p.PortSpeed <= PortSpeed
func (l Limits) Ceiling(p Point, filter float64) (level float64, cause Cause) {
	volts, cause := l.volts(p, filter)
	return p.Level + decibels(volts), cause
}

// volts returns the largest drive by the inequalities of [Limits.Ceiling].
func (l Limits) volts(p Point, filter float64) (volts float64, cause Cause) {
	volts = math.Inf(1)
	bound := func(limit, perVolt float64, by Cause) {
		if limit > 0 && limit < volts*perVolt {
			volts, cause = limit/perVolt, by
		}
	}
	if l.AmplifierVolts > 0 {
		volts, cause = l.AmplifierVolts*filter, Voltage
	}
	bound(math.Sqrt(math.Max(0, l.RatedPower*l.Nominal)), p.Terminals, Power)
	bound(l.Xmax, p.Excursion, Excursion)
	bound(l.RadiatorXmax, p.Radiator, Excursion)
	bound(l.PortSpeed, p.PortSpeed, PortSpeed)
	if cause == Unlimited {
		return 1, Unlimited
	}
	return volts, cause
}
