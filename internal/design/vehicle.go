package design

import (
	"fmt"
	"math"

	"cubby/internal/grade"
	"cubby/internal/thielesmall"
)

// CabinTuning is what is set for the vehicle: one boost or cut from its measured curve, and the delay of what is nearer to the ear.
type CabinTuning struct {
	From, To      float64 // Hz, the band that is to be even: f3 to the low-pass; 0: no curve was measured
	Before, After float64 // dB, how far the level in the vehicle strays from its middle in the band
	Gain          float64 // dB, a boost, or below 0 a cut; 0: none helps or none is needed
	Frequency, Q  float64 // of it
	Delay         float64 // s
	IsSubNearer   bool    // the delay is set on the sub, else on the fronts
}

// Bounds of a suggested boost or cut.
const (
	mostBoost  = 6.0  // dB
	gainStep   = 0.5  // dB
	evenWithin = 3.0  // dB either way of the middle
	usualTop   = 80.0 // Hz, where no low-pass is stated (common practice)
	worthwhile = 0.5  // dB that one must gain where none makes it even
)

func (t *CabinTuning) nearer() string {
	if t.IsSubNearer {
		return "subwoofer, which is nearer"
	}
	return "front speakers, which are nearer"
}

// Text says what the tuning does; empty where the job tells nothing of it.
func (t *CabinTuning) Text() string {
	s := ""
	switch {
	case t.From == 0:
	case t.Gain != 0:
		s = fmt.Sprintf("one filter of %+.1f dB at %.0f Hz, Q %g, leaves the level in the vehicle within ±%.1f dB from %.0f to %.0f Hz, instead of ±%.1f dB. ",
			t.Gain, t.Frequency, t.Q, t.After, t.From, t.To, t.Before)
		if t.Gain > 0 {
			s += fmt.Sprintf("A boost takes %.1f times the power there: set the gain with a sine at %.0f Hz. ", math.Pow(10, t.Gain/10), t.Frequency)
		}
	case t.Before <= evenWithin:
		s = fmt.Sprintf("the level in the vehicle keeps within ±%.1f dB from %.0f to %.0f Hz as it is: no boost or cut. ", t.Before, t.From, t.To)
	default:
		s = fmt.Sprintf("the level in the vehicle strays ±%.1f dB from %.0f to %.0f Hz, and no single boost or cut of %.0f dB helps. ", t.Before, t.From, t.To, mostBoost)
	}
	if t.Delay > 0 {
		s += fmt.Sprintf("Delay %.1f ms on the %s.", t.Delay*1000, t.nearer())
	}
	return s
}

// tuneCabin finds the tuning for a box: of all boosts and cuts the least that keeps the level in the vehicle, unfiltered, within 3 dB of
// its middle from f3 to the low-pass; where none does, the one that brings it nearest.
func (h *rig) tuneCabin(c *thielesmall.Circuit, f3 float64) (t CabinTuning) {
	v := h.req.Vehicle
	if v == nil {
		return t
	}
	if v.Fronts > 0 && v.Sub > 0 {
		t.Delay, t.IsSubNearer = math.Abs(v.Sub-v.Fronts)/h.air.SoundSpeed, v.Sub < v.Fronts
	}
	from, to := f3, h.lowPass
	if to == 0 {
		to = usualTop
	}
	if !(from >= h.grades[grade.LowestJudged].Pass) {
		from = h.grades[grade.LowestJudged].Pass
	}
	const octave = 1.1 // the least band worth it, a ratio
	if len(v.Measured) == 0 || from*octave > to {
		return t
	}
	bare := c.Without()
	grid := logGrid(from, to, 1+int(math.Ceil(12*math.Log2(to/from))))
	level := make([]float64, len(grid))
	for i, f := range grid {
		level[i] = bare.Level(f, h.drive) + h.cabin(f)
	}
	t.From, t.To, t.Before = from, to, strays(level)
	t.After = t.Before
	if t.Before <= evenWithin {
		return t
	}
	best := t
	for _, hz := range logGrid(from, to, 1+int(math.Ceil(6*math.Log2(to/from)))) {
		for _, q := range []float64{0.5, 0.7, 1, 1.4, 2, 3, 4, 6} {
			shape := make([]float64, len(grid)) // dB of the strongest; lesser ones are computed anew
			for gain := -mostBoost; gain <= mostBoost; gain += gainStep {
				f := thielesmall.Filter{Kind: thielesmall.PeakBoost, Frequency: math.Round(hz), Q: q, Gain: gain}
				for i, at := range grid {
					g := f.Response(at)
					shape[i] = level[i] + 10*math.Log10(real(g)*real(g)+imag(g)*imag(g))
				}
				k := t
				k.Gain, k.Frequency, k.Q, k.After = gain, f.Frequency, q, strays(shape)
				if k.betters(&best) {
					best = k
				}
			}
		}
	}
	if best.After > evenWithin && best.After > t.Before-worthwhile {
		return t
	}
	return best
}

// betters reports whether a filter is to be preferred: one that makes the level even to one that does not, then the lesser gain, then a cut.
func (t *CabinTuning) betters(o *CabinTuning) bool {
	even, other := t.After <= evenWithin, o.After <= evenWithin
	switch {
	case even != other:
		return even
	case !even || math.Abs(t.Gain) == math.Abs(o.Gain) && t.Gain == o.Gain:
		return t.After < o.After
	case math.Abs(t.Gain) == math.Abs(o.Gain):
		return t.Gain < 0
	}
	return math.Abs(t.Gain) < math.Abs(o.Gain)
}

// strays is how far values go from their middle either way.
func strays(v []float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, x := range v {
		lo, hi = math.Min(lo, x), math.Max(hi, x)
	}
	return (hi - lo) / 2
}
