package thielesmall

import (
	"fmt"
	"math"
)

// Figures are the single numbers of a response, without filters and without a cabin.
type Figures struct {
	Reference     float64 // dB at the given volts, coil inductance removed
	Fc, Fb        float64 // Hz: fc sealed, fb vented; the other 0
	Alpha         float64 // Vas over net volume
	Qtc           float64 // sealed (or of a band-pass's rear), with source, filling, absorption and leak, without inductance; 0 for vented
	QL            float64 // as set; 0 none
	TopFrequency  float64 // Hz, of the largest level from 10 Hz up
	F3, F6, F10   float64 // Hz, NaN: see Reason
	Reason        string  // why a corner frequency is missing; else empty
	Peak, PeakAt  float64 // dB over reference from 10 to 200 Hz, and where; 0 if the level stays below
	Dip, DipAt    float64 // dB, the largest fall between F10 and 100 Hz that a rise follows, and where; 0 none
	DuctResonance float64 // Hz, lowest of the ports; 0 sealed
	DelayAtTuning float64 // s, group delay at fb, or fc
}

// The band in which a response is searched, Hz, and how closely.
const (
	bandLow    = 10.0
	bandHigh   = 100.0
	bandPeak   = 200.0         // Hz, to where a peak is looked for
	deepest    = 1.0           // Hz, where the search for a corner gives up
	finestStep = math.Ln2 / 32 // natural log of the step; extremes and crossings are then refined
)

// Levels below reference at which corners are stated, dB; 3.0103 is half the power.
var corners = [3]float64{10 * 0.30102999566398120, 20 * 0.30102999566398120, 10}

// Figures returns the single numbers for volts rms. Extremes and crossings are refined beyond the grid.
//
// Reference is [Driver.ReferenceLevel]. TopFrequency is where the level is highest between 10 Hz and the smaller of
// max(100 Hz, 4 fb or 4 fc) and half the first duct resonance. F3, F6 and F10 are the first crossings of reference less
// 3.0103, 6.0206 and 10 dB going down from there: where a curve sags, F3 is the upper crossing. Dip is the largest of
// min(highest level below f, highest level above f) - level(f) for f from F10 (from 10 Hz if there is none) to 100 Hz.
// For Peak a duct counts as a lump above half its first resonance.
//
//	Qtc = 1/(1/Qt + r/(1+r) (1/QA + 1/QL)),  Qt = Qts' sqrt(1 + r),  r = alpha/gain
//
// Qts' includes source and leads. QA and QL are defined with the air of the
// box alone, which holds the share r/(1+r) of the stiffness.
func (c *Circuit) Figures(volts float64) Figures {
	bare := c.Without()
	s := &bare.System
	f := Figures{
		Reference:     s.Driver.ReferenceLevel(s.Air, volts, s.Source),
		Alpha:         s.Driver.Vas(s.Air) / s.Box.Volume,
		QL:            s.Box.LeakQ,
		Qtc:           bare.Qtc(),
		DuctResonance: s.Box.ductResonance(s.Air),
		DelayAtTuning: bare.At(bare.corner, 1).GroupDelay,
	}
	if s.Box.Tuned() {
		f.Fb = bare.corner
	} else {
		f.Fc = bare.corner
	}
	r := bare.shape()
	if at, peak := bare.lumpedAbove().peak(); peak > 0 {
		f.Peak, f.PeakAt = peak, at
	}
	r.corners(&f, bare.top(r))
	low := f.F10
	if math.IsNaN(low) {
		low = bandLow
	}
	if low < bandHigh {
		f.DipAt, f.Dip = r.dip(r.sample(low, bandHigh))
	}
	return f
}

// Qtc returns the total quality factor of a sealed box, or of a band-pass's rear chamber, see [Circuit.Figures]; 0 for
// a vented box.
func (c *Circuit) Qtc() float64 {
	if c.System.Box.Tuned() && c.System.Box.Rear == 0 {
		return 0
	}
	return c.System.closedQ()
}

// closedQ returns Qtc, see [Circuit.Figures].
func (s System) closedQ() float64 {
	r := s.Driver.Vas(s.Air) / (s.Box.Volume * s.Box.gain())
	if s.Box.Rear > 0 {
		r = s.Driver.Vas(s.Air) / s.Box.Rear
		return s.Driver.QtsWith(s.Source) * math.Sqrt(1+r)
	}
	inverse := 1 / (s.Driver.QtsWith(s.Source) * math.Sqrt(1+r))
	for _, q := range [...]float64{s.Box.AbsorbQ, s.Box.LeakQ} {
		if q > 0 {
			inverse += r / (1 + r) / q
		}
	}
	return 1 / inverse
}

// response is the level over reference, in dB, of a circuit at exp(x) Hz.
type response func(x float64) float64

// shape returns the response of c.
func (c *Circuit) shape() response {
	reference := c.System.Driver.ReferenceLevel(c.System.Air, 1, c.System.Source)
	return func(x float64) float64 { return c.Level(math.Exp(x), 1) - reference }
}

// lumpedAbove returns the response of c with each duct as a lump above half the lowest first resonance.
func (c *Circuit) lumpedAbove() response {
	r := c.shape()
	duct := c.System.Box.ductResonance(c.System.Air)
	if duct == 0 {
		return r
	}
	split, lump := math.Log(duct/2), c.Lumped().shape()
	return func(x float64) float64 {
		if x > split {
			return lump(x)
		}
		return r(x)
	}
}

// peak returns where the level is highest in the band in which a peak counts, and by how much over reference.
func (r response) peak() (at, level float64) { return r.highest(r.sample(bandLow, bandPeak)) }

// top returns the samples among which the highest level is looked for.
func (c *Circuit) top(r response) []sample {
	high := math.Max(bandHigh, 4*c.corner)
	if duct := c.System.Box.ductResonance(c.System.Air); duct > 0 {
		high = math.Min(high, duct/2)
	}
	return r.sample(bandLow, math.Max(high, bandLow))
}

// sample is one point of a response: natural log of frequency, dB.
type sample struct{ x, y float64 }

// sample takes the response from low to high Hz, both included.
func (r response) sample(low, high float64) []sample {
	a, b := math.Log(low), math.Log(high)
	n := max(1, int(math.Ceil((b-a)/finestStep)))
	all := make([]sample, n+1)
	for i := range all {
		x := a + (b-a)*float64(i)/float64(n)
		all[i] = sample{x, r(x)}
	}
	return all
}

// vertex returns the extreme of the response near inner sample i, by the
// parabola through it and its neighbours and one more look.
func (r response) vertex(s []sample, i int) sample {
	if i == 0 || i == len(s)-1 {
		return s[i]
	}
	left, right := s[i].y-s[i-1].y, s[i].y-s[i+1].y
	if left+right == 0 {
		return s[i]
	}
	x := s[i].x + (s[i+1].x-s[i].x)*0.5*(left-right)/(left+right)
	better := sample{x, r(x)}
	if (better.y > s[i].y) == (left > 0) {
		return better
	}
	return s[i]
}

// highest returns frequency and value of the largest level in s.
func (r response) highest(s []sample) (at, level float64) {
	best := 0
	for i := range s {
		if s[i].y > s[best].y {
			best = i
		}
	}
	v := r.vertex(s, best)
	return math.Exp(v.x), v.y
}

// corners fills in TopFrequency, F3, F6, F10 and Reason.
func (r response) corners(f *Figures, s []sample) {
	at, level := r.highest(s)
	f.TopFrequency = at
	from := sample{math.Log(at), level}
	for i, out := range [...]*float64{&f.F3, &f.F6, &f.F10} {
		*out = math.NaN()
		if level < -corners[i] {
			if f.Reason == "" {
				f.Reason = fmt.Sprintf("the level is highest at %.4g Hz and is %.1f dB below the reference even there", at, -level)
			}
			continue
		}
		next, ok := r.fall(from, -corners[i])
		if !ok {
			f.Reason = fmt.Sprintf("the level does not fall %.4g dB below the reference above %g Hz", corners[i], deepest)
			return
		}
		from = next
		*out = math.Exp(next.x)
	}
}

// fall goes down in frequency from a point at or above level to where the response first crosses it.
func (r response) fall(from sample, level float64) (sample, bool) {
	high := from
	for high.x > math.Log(deepest) {
		low := sample{x: high.x - finestStep}
		if low.y = r(low.x); low.y < level {
			return r.cross(low, high, level), true
		}
		high = low
	}
	return high, false
}

// crossingSlack is where a crossing is close enough, dB; a hundredth of what is ever printed.
const crossingSlack = 1e-9

// cross refines a crossing of level between two samples by the Illinois form
// of false position; the answer is on the high side.
func (r response) cross(low, high sample, level float64) sample {
	a, b := low.y-level, high.y-level
	last := 0
	for i := 0; i < 60 && b > crossingSlack && high.x-low.x > 1e-14; i++ {
		x := (low.x*b - high.x*a) / (b - a)
		y := r(x) - level
		if y < 0 {
			low.x, a = x, y
			if last < 0 {
				b /= 2
			}
			last = -1
			if -y < crossingSlack {
				return sample{x, y + level}
			}
			continue
		}
		high, b = sample{x, y + level}, y
		if last > 0 {
			a /= 2
		}
		last = 1
	}
	return high
}

// dip returns where and by how much the response falls below both what is
// below and what is above it in frequency, at most.
func (r response) dip(s []sample) (at, depth float64) {
	s = r.refined(s)
	above := make([]float64, len(s)+1)
	above[len(s)] = math.Inf(-1)
	for i := len(s) - 1; i >= 0; i-- {
		above[i] = math.Max(above[i+1], s[i].y)
	}
	below := math.Inf(-1)
	for i := range s {
		below = math.Max(below, s[i].y)
		if d := math.Min(below, above[i]) - s[i].y; d > depth {
			at, depth = math.Exp(s[i].x), d
		}
	}
	return at, depth
}

// refined replaces each inner extreme of s by its vertex.
func (r response) refined(s []sample) []sample {
	out := append([]sample(nil), s...)
	for i := 1; i < len(s)-1; i++ {
		if (s[i].y > s[i-1].y) == (s[i].y > s[i+1].y) {
			out[i] = r.vertex(s, i)
		}
	}
	return out
}
