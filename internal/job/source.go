package job

import (
	"fmt"

	"cubby/internal/design"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// Spans of the amplifier and the air around it.
var (
	audible    = between(5, 20000, "from 5 Hz to 20 kHz")
	largePower = positive(1e5, "100 kW")
	anyOhms    = positive(1000, "1000 ohm")
	smallOhms  = notNegative(100, "100 ohm")
)

// assumedOrder and assumedQ stand in for what a filter does not say: 12 dB per octave and an octave-wide boost are what
// most car amplifiers have (common practice).
const (
	assumedOrder = 2
	assumedQ     = 1
)

func (j *jobReader) amplifier(n *yaml.Node, path string) {
	a := &design.Amplifier{}
	var high, low, boost *thielesmall.Filter
	filter := func(dst **thielesmall.Filter, kind thielesmall.FilterKind) field {
		return func(n *yaml.Node, path string) { *dst = j.filter(n, path, kind, a) }
	}
	m := j.object(n, path, map[string]field{
		"power":             j.quantity(&a.Power, unit.Power, largePower),
		"into":              j.quantity(&a.Into, unit.Resistance, anyOhms),
		"ratings":           func(n *yaml.Node, path string) { j.ratings(n, path, a) },
		"minimum_load":      j.quantity(&a.MinimumLoad, unit.Resistance, anyOhms),
		"source_resistance": j.quantity(&a.Source, unit.Resistance, smallOhms),
		"leads":             j.quantity(&a.Leads, unit.Resistance, smallOhms),
		"highpass":          filter(&high, thielesmall.HighPass),
		"lowpass":           filter(&low, thielesmall.LowPass),
		"boost":             func(n *yaml.Node, path string) { boost = j.boost(n, path, a) },
	})
	listed := m.has("ratings")
	m.remark("ratings", m.has("power") || m.has("into"), "stands beside power or into: give the whole list, or one pair")
	m.missing("into", !listed, "power", "the load into which the amplifier gives its power, such as 2 ohm")
	m.missing("power", !listed, "into", "what the amplifier gives into that load, such as 500 W")
	if high != nil && low != nil {
		m.remark("highpass", high.Frequency >= low.Frequency && low.Frequency > 0, "must be below the low-pass, %g Hz", low.Frequency)
	}
	for _, f := range []*thielesmall.Filter{high, low, boost} {
		if f != nil {
			a.Filters = append(a.Filters, *f)
		}
	}
	j.request.Amplifier = a
}

// mostRatings is how many loads an amplifier's sheet may list.
const mostRatings = 8

// ratings reads what the amplifier gives into each load that its sheet lists.
func (j *jobReader) ratings(n *yaml.Node, path string, a *design.Amplifier) {
	const example = "[{power: 300 W, into: 4 ohm}, {power: 500 W, into: 2 ohm}]"
	lines := map[float64]int{}
	j.list(n, path, "what it gives into each load: "+example, mostRatings, func(n *yaml.Node, path string) {
		var r design.Rating
		before := len(j.faults)
		j.object(n, path, map[string]field{
			"power": j.quantity(&r.Power, unit.Power, largePower),
			"into":  j.quantity(&r.Into, unit.Resistance, anyOhms),
		}, need{"power", "a power, such as 500 W"}, need{"into", "a load, such as 2 ohm"})
		switch first := lines[r.Into]; {
		case len(j.faults) > before || r.Into == 0:
		case first > 0:
			j.note(n, path, "into %.4g ohm stands twice; first on line %d", r.Into, first)
		default:
			lines[r.Into] = n.Line
			a.Ratings = append(a.Ratings, r)
		}
	})
}

// filter reads a bare frequency, or {frequency, order, type}; of a high-pass also that there is none, so that none is
// advised.
func (j *jobReader) filter(n *yaml.Node, path string, kind thielesmall.FilterKind, a *design.Amplifier) *thielesmall.Filter {
	f := &thielesmall.Filter{Kind: kind, Order: assumedOrder, Type: thielesmall.Butterworth}
	frequency := j.quantity(&f.Frequency, unit.Frequency, audible)
	isOrder, isType := false, false
	if n.Kind == yaml.MappingNode {
		m := j.object(n, path, map[string]field{
			"frequency": frequency,
			"order":     j.whole(&f.Order, 1, 8),
			"type": choice(&j.reader, &f.Type, "butterworth|bessel|linkwitz-riley",
				thielesmall.Butterworth, thielesmall.Bessel, thielesmall.LinkwitzRiley),
		}, need{"frequency", "a frequency"})
		isOrder, isType = m.has("order"), m.has("type")
		m.refuse("order", f.Type == thielesmall.LinkwitzRiley && f.Order%2 != 0, "must be even for linkwitz-riley: 2, 4, 6 or 8")
	} else if n.Value == "off" || n.Value == "none" || n.Value == "no" {
		if a.NoHighPass = kind == thielesmall.HighPass; !a.NoHighPass {
			j.fault(n, path, "leave it out when there is none")
		}
		return nil
	} else {
		frequency(n, path)
	}
	name := map[thielesmall.FilterKind]string{thielesmall.HighPass: "high-pass", thielesmall.LowPass: "low-pass"}[kind]
	switch {
	case !isOrder && !isType:
		a.Assumed = append(a.Assumed, fmt.Sprintf("%s %g Hz taken as second order Butterworth (12 dB per octave)", name, f.Frequency))
	case !isOrder:
		a.Assumed = append(a.Assumed, fmt.Sprintf("%s %g Hz taken as second order (12 dB per octave)", name, f.Frequency))
	case !isType:
		a.Assumed = append(a.Assumed, fmt.Sprintf("%s %g Hz taken as Butterworth", name, f.Frequency))
	}
	return f
}

func (j *jobReader) boost(n *yaml.Node, path string, a *design.Amplifier) *thielesmall.Filter {
	f := &thielesmall.Filter{Kind: thielesmall.PeakBoost, Order: 2, Q: assumedQ}
	m := j.object(n, path, map[string]field{
		"frequency": j.quantity(&f.Frequency, unit.Frequency, audible),
		"gain":      j.quantity(&f.Gain, unit.Level, positive(24, "24 dB")),
		"q":         j.quantity(&f.Q, unit.Number, between(0.1, 20, "from 0.1 to 20")),
	}, need{"frequency", "a frequency"}, need{"gain", "a level in dB"})
	if m.node != nil && !m.has("q") {
		a.Assumed = append(a.Assumed, fmt.Sprintf("boost at %g Hz taken with Q %d", f.Frequency, assumedQ))
	}
	return f
}

func (j *jobReader) vehicle(n *yaml.Node, path string) {
	v := &design.Vehicle{}
	m := j.object(n, path, map[string]field{
		"cabin_length": j.quantity(&v.CabinLength, unit.Length, between(0.5, 15, "from 0.5 m to 15 m")),
		"leak":         j.quantity(&v.Leak, unit.Frequency, between(1, 100, "from 1 Hz to 100 Hz")),
		"measured":     func(n *yaml.Node, path string) { j.measured(n, path, v) },
		"fronts":       j.quantity(&v.Fronts, unit.Length, between(0.1, 15, "from 0.1 m to 15 m, from the ear")),
		"sub":          j.quantity(&v.Sub, unit.Length, between(0.1, 15, "from 0.1 m to 15 m, from the ear")),
	})
	isLength, isMeasured := m.has("cabin_length"), m.has("measured")
	m.refuseAll(!isLength && !isMeasured, "missing: cabin_length, or measured (a file with frequency_hz,gain_db)")
	if isLength && isMeasured {
		j.note(m.values["measured"], path, "has both cabin_length and measured: give one of them")
	}
	m.remark("leak", isMeasured && !isLength, "belongs to cabin_length; a measured curve needs none")
	m.missing("sub", true, "fronts", "how far the box is from the ear, such as 2.6 m; the delay follows from both")
	m.missing("fronts", true, "sub", "how far the front speakers are from the ear, such as 1.9 m; the delay follows from both")
	j.request.Vehicle = v
}

func (j *jobReader) air(n *yaml.Node, path string) {
	a := thielesmall.Reference()
	j.object(n, path, map[string]field{
		"temperature": j.quantity(&a.Temperature, unit.Temperature, between(-20, 60, "from -20 C to 60 C")),
		"pressure":    j.quantity(&a.Pressure, unit.Pressure, between(6e4, 1.1e5, "from 60 kPa to 110 kPa")),
		"humidity":    j.humidity(&a.Humidity),
	})
	j.request.Air = a
}

func (j *jobReader) humidity(dst *float64) field {
	return j.quantity(dst, unit.Ratio, between(0, 1, "from 0 % to 100 % (with the % sign)"))
}
