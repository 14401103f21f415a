package thielesmall

import "math"

// Ceiling gives the maximum level, dB re 20 uPa at 1 m in half space, that the limits allow at one frequency, and the
// limit that sets it: the first of voltage, power, excursion, port on a tie. p is the answer to 1 V rms at the driver's
// terminals without filters (see [Circuit.Without]); filter is the filters' magnitude at that frequency, which divides
// the excursion and so on out of what the amplifier may deliver. With no limit at all the level is +Inf and the cause
// Unlimited.
func (l Limits) Ceiling(p Point, filter float64) (level float64, cause Cause) {
	volts := math.Inf(1)
	least := func(v float64, c Cause) {
		if v < volts {
			volts, cause = v, c
		}
	}
	if l.AmplifierVolts > 0 {
		least(l.AmplifierVolts*filter, Voltage)
	}
	if l.RatedPower > 0 && l.Nominal > 0 {
		least(math.Sqrt(l.RatedPower*l.Nominal), Power)
	}
	if l.Xmax > 0 && p.Excursion > 0 {
		least(l.Xmax/p.Excursion, Excursion)
	}
	if l.PortSpeed > 0 && p.PortSpeed > 0 {
		least(l.PortSpeed/p.PortSpeed, PortSpeed)
	}
	return p.Level + 20*math.Log10(volts), cause
}
