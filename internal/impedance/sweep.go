package impedance

import (
	"fmt"
	"math"
	"math/cmplx"
)

// A Sweep is an impedance measured at rising frequencies, at the terminals of what is measured.
type Sweep struct {
	Frequency []float64 // Hz, rising
	Magnitude []float64 // ohm
	Phase     []float64 // degrees; nil when it was not measured
}

// Check reports the first thing that a sweep cannot be: columns of unequal length, frequencies that do not rise, an
// impedance that is not a positive number, a phase outside -180 to 180 degrees.
func (s Sweep) Check() error {
	n := len(s.Frequency)
	if len(s.Magnitude) != n || s.Phase != nil && len(s.Phase) != n {
		return fmt.Errorf("sweep: %d frequencies, %d magnitudes, %d phases: must be as many of each", n, len(s.Magnitude), len(s.Phase))
	}
	last := 0.0
	for i, f := range s.Frequency {
		if !(f > last) || math.IsInf(f, 1) {
			return fmt.Errorf("sweep: point %d: %g Hz: frequencies must be above 0 and rise", i+1, f)
		}
		last = f
		if z := s.Magnitude[i]; !(z > 0) || math.IsInf(z, 1) {
			return fmt.Errorf("sweep: point %d: %g ohm: must be greater than 0", i+1, z)
		}
		if s.Phase != nil && !(math.Abs(s.Phase[i]) <= 180) {
			return fmt.Errorf("sweep: point %d: %g degrees: must be from -180 to 180", i+1, s.Phase[i])
		}
	}
	return nil
}

// Len returns the number of points.
func (s Sweep) Len() int { return len(s.Frequency) }

// At returns point i as a complex number, ohm; without phase its magnitude.
func (s Sweep) At(i int) complex128 {
	if s.Phase == nil {
		return complex(s.Magnitude[i], 0)
	}
	return cmplx.Rect(s.Magnitude[i], s.Phase[i]*math.Pi/180)
}

// Add appends a point of complex impedance, ohm, at f Hz, to a sweep in which every point has its phase.
func (s *Sweep) Add(f float64, z complex128) {
	s.Frequency, s.Magnitude = append(s.Frequency, f), append(s.Magnitude, cmplx.Abs(z))
	s.Phase = append(s.Phase, cmplx.Phase(z)*180/math.Pi)
}

// upTo returns the part of the sweep at and below f Hz.
func (s Sweep) upTo(f float64) Sweep {
	n := 0
	for n < s.Len() && s.Frequency[n] <= f {
		n++
	}
	s.Frequency, s.Magnitude = s.Frequency[:n], s.Magnitude[:n]
	if s.Phase != nil {
		s.Phase = s.Phase[:n]
	}
	return s
}

// A Hump is a local maximum of the magnitude.
type Hump struct {
	Frequency, Magnitude float64
	Rise                 float64 // over the higher of the two valleys beside it, a ratio above 1
	at                   int
}

// leastRise is how far a hump must stand above its valleys to be one; noise of
// a few per cent makes no such hump, every driver's resonance does.
const leastRise = 1.2

// Humps returns the local maxima that rise at least a fifth above both valleys
// beside them, in rising frequency. Neither end of the sweep is a hump.
func (s Sweep) Humps() []Hump {
	var all []Hump
	z := s.Magnitude
	for i := 1; i < len(z)-1; i++ {
		if z[i] <= z[i-1] || z[i] < z[i+1] {
			continue
		}
		if rise := math.Min(z[i]/valley(z, i, -1), z[i]/valley(z, i, +1)); rise >= leastRise {
			all = append(all, Hump{s.Frequency[i], z[i], rise, i})
		}
	}
	return all
}

// valley returns the least of z from i in one direction until it is exceeded.
func valley(z []float64, i, step int) float64 {
	least := z[i]
	for j := i + step; j >= 0 && j < len(z) && z[j] <= z[i]; j += step {
		least = math.Min(least, z[j])
	}
	return least
}

// turned reports whether the phase goes against the magnitude: an impedance that rises with frequency is inductive, its
// phase above zero, and the other way round. Bode, Network Analysis and Feedback Amplifier Design, 1945 (from memory):
// phase follows the slope of the logarithm of the magnitude.
func (s Sweep) turned() bool {
	if s.Phase == nil {
		return false
	}
	sum, size := 0.0, 0.0
	for i := 1; i < s.Len(); i++ {
		v := math.Log(s.Magnitude[i]/s.Magnitude[i-1]) * (s.Phase[i] + s.Phase[i-1])
		sum += v
		size += math.Abs(v)
	}
	const clearly = -0.5 // of what it would be if every step said so
	return sum < clearly*size
}

// phaseTurned is the error for a sweep that is turned.
func phaseTurned() error {
	return &UndecidedError{Reason: "its phase has the opposite sign: it must be above 0 where the impedance rises with frequency"}
}

// residuals writes what the model z misses at every point, as a share of what
// was measured: real and imaginary parts with phase, else of the magnitude.
func (s Sweep) residuals(y []float64, z func(f float64) complex128) {
	for i, f := range s.Frequency {
		model := z(f)
		if s.Phase == nil {
			y[i] = cmplx.Abs(model)/s.Magnitude[i] - 1
			continue
		}
		r := model/s.At(i) - 1
		y[2*i], y[2*i+1] = real(r), imag(r)
	}
}

// Fitted is how a fit to a sweep came out.
type Fitted struct {
	Coil      Coil    // the simplest that the sweep does not contradict, by Schwarz's criterion
	FitError  float64 // rms over the curve, per cent of the impedance
	Points    int
	Low, High float64 // Hz, of what was fitted
}

// fitted is how a fit came out whose rms of one residual is a share.
func (s Sweep) fitted(c Coil, rms float64) Fitted {
	return Fitted{c, 100 * rms, s.Len(), s.Frequency[0], s.Frequency[s.Len()-1]}
}

// rows is how many residuals the sweep gives.
func (s Sweep) rows() int {
	if s.Phase == nil {
		return s.Len()
	}
	return 2 * s.Len()
}
