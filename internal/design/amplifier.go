package design

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"cubby/internal/grade"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// A Rating is what an amplifier gives continuously into one load.
type Rating struct{ Power, Into float64 } // W, ohm

// PowerInto is the power, W, that an amplifier of the given ratings gives into a load of z ohm; 0 without ratings, or for a
// load that is not known.
//
// Between two rated loads the logarithm of the power is linear in the logarithm of the load, which meets both ratings and
// is exact for an amplifier that keeps its voltage (P ~ 1/z) as for one that keeps its power. Above the highest rated load
// the voltage of that rating is kept, the most that the supply gives; below the lowest its power is kept, the most that the
// current limit gives. A single rating keeps its voltage into every load. The rule is ours; that supply and current set the
// two ends is common practice.
func PowerInto(ratings []Rating, z float64) float64 {
	if len(ratings) == 0 || !(z > 0) {
		return 0
	}
	all := slices.SortedFunc(slices.Values(ratings), func(a, b Rating) int { return cmp.Compare(a.Into, b.Into) })
	first, last := all[0], all[len(all)-1]
	switch {
	case z >= last.Into || len(all) == 1:
		return last.Power * last.Into / z
	case z <= first.Into:
		return first.Power
	}
	i, _ := slices.BinarySearchFunc(all, z, func(r Rating, z float64) int { return cmp.Compare(r.Into, z) })
	a, b := all[i-1], all[i]
	t := math.Log(z/a.Into) / math.Log(b.Into/a.Into)
	return a.Power * math.Pow(b.Power/a.Power, t)
}

// LeastLoad is the least load that an amplifier takes, ohm: what it states, or that of its power; 0: neither is stated.
func (a *Amplifier) LeastLoad() float64 { return cmp.Or(a.MinimumLoad, a.Into) }

// rate settles the amplifier's power and load for the set as wired, where it states several ratings.
func (p *rig) rate() {
	a := p.req.Amplifier
	if a == nil || len(a.Ratings) == 0 {
		return
	}
	z := p.set.Impedance
	if z == 0 {
		z = slices.MaxFunc(a.Ratings, func(a, b Rating) int { return cmp.Compare(a.Into, b.Into) }).Into
		p.assume("the driver's impedance is not stated: the amplifier is taken to give what it gives into %.3g ohm", z)
	}
	own := *a // the request's amplifier may be shared by other drivers
	own.Power, own.Into = PowerInto(a.Ratings, z), z
	if own.MinimumLoad == 0 {
		own.MinimumLoad = slices.MinFunc(a.Ratings, func(a, b Rating) int { return cmp.Compare(a.Into, b.Into) }).Into
	}
	p.req.Amplifier = &own
	p.volts = math.Sqrt(own.Power * z)
	p.limits.AmplifierVolts = p.volts
}

func (h *rig) checkPower(f performance) Check {
	const name = "delivered power"
	rated, z := h.set.Power, h.set.Impedance
	if h.volts == 0 || rated == 0 || z == 0 {
		return notChecked(name, needs(lack{h.volts == 0, "the amplifier's power and load"}, lack{rated == 0, "the driver's power"}, lack{z == 0, "the driver's impedance"}))
	}
	w := h.volts * h.volts / z
	c := row(name, h.grades[grade.DeliveredPower].Scaled(w, rated), w, rated, "W",
		fmt.Sprintf("%.0f W into %.3g ohm as wired; the driver is rated for %.0f W", w, z, rated))
	if c.Status != panels.Pass {
		volts := math.Sqrt(rated * z)
		if set := f.Evaluation.Settings.Volts; set > 0 {
			volts = math.Min(volts, set)
		}
		c.Setting = fmt.Sprintf("set the gain for at most %.1f V at the terminals", volts)
	}
	return c
}

func (h *rig) checkLoad() Check {
	const name = "load as wired"
	a := h.req.Amplifier
	if a == nil || a.Into == 0 || h.set.Impedance == 0 {
		return notChecked(name, needs(lack{a == nil || a.Into == 0, "amplifier.into, the load on the amplifier"}, lack{h.set.Impedance == 0, "the driver's impedance"}))
	}
	least, z := a.LeastLoad(), h.set.Impedance
	s := panels.Pass
	if z < least*(1-slack) {
		s = panels.Fail
	}
	c := row(name, s, z, least, "ohm", fmt.Sprintf("%.3g ohm as wired; the amplifier takes %.3g ohm or more", z, least))
	if s != panels.Pass {
		c.Setting = "wire coils or drivers in series, or use an amplifier that takes the load"
	}
	return c
}

// weakShare is the share of the driver's rated power below which the amplifier is said to be weak: 3 dB (ours).
const weakShare = 0.5

// AboutAmplifier is the quantity of the finding on an amplifier; the others are on the driver's data.
const AboutAmplifier = "amplifier"

// weak says that the amplifier leaves much of what the driver takes unused, and which wiring draws more from it within its
// load; nothing when it does not, or when power or load is not known.
func (p *rig) weak() []thielesmall.Finding {
	a, z := p.req.Amplifier, p.set.Impedance
	if a == nil || p.volts == 0 || z == 0 || p.set.Power == 0 || p.volts*p.volts/z >= weakShare*p.set.Power {
		return nil
	}
	w := p.volts * p.volts / z
	text := fmt.Sprintf("The amplifier gives %.0f W into %.3g ohm as wired; the driver is rated for %.0f W, %.0f dB more.", w, z, p.set.Power, 10*math.Log10(p.set.Power/w))
	ratings, least := a.Ratings, a.LeastLoad()
	if len(ratings) == 0 {
		ratings = []Rating{{a.Power, a.Into}}
	}
	most, better := w*(1+weakShare), ""
	for _, coils := range []thielesmall.Connection{thielesmall.Series, thielesmall.Parallel} {
		for _, drivers := range []thielesmall.Connection{thielesmall.Series, thielesmall.Parallel} {
			_, set, _, err := p.req.Driver.Wire(max(1, p.req.Mount.Count), thielesmall.Wiring{Coils: coils, Drivers: drivers})
			if err != nil || set.Impedance < least*(1-slack) {
				continue
			}
			if g := PowerInto(ratings, set.Impedance); g > most {
				most, better = g, fmt.Sprintf(" Wired for %.3g ohm, which the amplifier takes, it would give %.0f W.", set.Impedance, g)
			}
		}
	}
	return []thielesmall.Finding{{Quantity: AboutAmplifier, Severity: thielesmall.Warning, Text: text + better}}
}
