package design

import (
	"cmp"
	"math"
	"slices"
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
