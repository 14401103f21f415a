package thielesmall

import (
	"errors"
	"math"
)

// Driver is the full electro-mechanical set, of one driver or of a set of equal drivers as wired: for N cones Sd, Mms
// and Rms are N times those of one and Cms is one N-th, so that velocity and excursion stay those of each cone.
type Driver struct {
	Name   string
	Count  int     // cones that move in this set
	Re     float64 // ohm
	Le     float64 // H
	L2, R2 float64 // H, ohm: parallel pair in series with Le; both zero if none
	Bl     float64 // T m
	Sd     float64 // m2
	Mms    float64 // kg, with air load
	Cms    float64 // m/N
	Rms    float64 // kg/s
	Ratings
}

// Ratings are what a driver takes; 0 unknown.
type Ratings struct {
	Xmax      float64 // one way, peak, m
	Xmech     float64 // one way, peak, m
	Power     float64 // W, of the whole set (N x rated)
	Impedance float64 // nominal, ohm, as wired
}

// check reports every parameter that cannot be.
func (d Driver) check() error {
	err := errors.Join(
		positive("re", d.Re, "ohm"), notNegative("le", d.Le, "H"),
		optional("l2", d.L2, "H"), optional("r2", d.R2, "ohm"),
		positive("bl", d.Bl, "T m"), positive("sd", d.Sd, "m2"),
		positive("mms", d.Mms, "kg"), positive("cms", d.Cms, "m/N"), positive("rms", d.Rms, "kg/s"),
		notNegative("xmax", d.Xmax, "m"), notNegative("xmech", d.Xmech, "m"),
		notNegative("power", d.Power, "W"), notNegative("impedance", d.Impedance, "ohm"),
	)
	return errors.Join(err, coilPair(d.L2, d.R2))
}

// coilPair reports an l2 without r2 or the other way round.
func coilPair(l2, r2 float64) error {
	switch {
	case l2 > 0 && r2 == 0:
		return &MissingError{What: "the coil", Have: []string{"l2"}, Need: []string{"r2"}}
	case r2 > 0 && l2 == 0:
		return &MissingError{What: "the coil", Have: []string{"r2"}, Need: []string{"l2"}}
	}
	return nil
}

// Fs returns the free-air resonance in Hz,
//
//	fs = 1 / (2 pi sqrt(Mms Cms))
func (d Driver) Fs() float64 { return 1 / (2 * math.Pi * math.Sqrt(d.Mms*d.Cms)) }

// Qes returns the electrical quality factor of the driver by itself, without source resistance,
//
//	Qes = 2 pi fs Mms Re / Bl^2
func (d Driver) Qes() float64 { return math.Sqrt(d.Mms/d.Cms) * d.Re / (d.Bl * d.Bl) }

// Qms returns the mechanical quality factor, 2 pi fs Mms / Rms.
func (d Driver) Qms() float64 { return math.Sqrt(d.Mms/d.Cms) / d.Rms }

// Qts returns the total quality factor without source resistance.
func (d Driver) Qts() float64 { return d.QtsWith(0) }

// QtsWith returns the total quality factor with rg ohm of source and lead
// resistance in series: Qes is multiplied by (Re + rg)/Re.
func (d Driver) QtsWith(rg float64) float64 {
	qes := d.Qes() * (d.Re + rg) / d.Re
	return 1 / (1/qes + 1/d.Qms())
}

// Vas returns the volume of air, m3, as compliant as the suspension,
//
//	Vas = rho c^2 Sd^2 Cms
//
// restated for air a. For a set of N drivers it is N times that of one.
func (d Driver) Vas(a Air) float64 { return a.stiffness() * d.Sd * d.Sd * d.Cms }

// Efficiency returns the half-space reference efficiency, a ratio,
//
//	eta0 = rho Bl^2 Sd^2 / (2 pi c Re Mms^2)
//
// Small, Direct-Radiator Loudspeaker System Analysis, J. Audio Eng. Soc. 20
// (1972) 383 (from memory), in the form without Vas.
func (d Driver) Efficiency(a Air) float64 {
	x := d.Bl * d.Sd / d.Mms
	return a.Density * x * x / (2 * math.Pi * a.SoundSpeed * d.Re)
}

// ReferenceLevel returns the level of the piston band, coil inductance
// removed, in dB re 20 uPa at 1 m in half space, for volts rms behind rg ohm,
//
//	p = rho Bl Sd V / (2 pi r (Re + rg) Mms)
func (d Driver) ReferenceLevel(a Air, volts, rg float64) float64 {
	return decibels(a.Density * d.Bl * d.Sd * volts / (2 * math.Pi * (d.Re + rg) * d.Mms) / referencePressure)
}

// VolumeDisplacement returns Sd Xmax, the peak volume that the cones move at
// their rated excursion, m3; zero when Xmax is unknown.
func (d Driver) VolumeDisplacement() float64 { return d.Sd * d.Xmax }

const standardGravity = 9.80665 // m/s2, exact by convention (CGPM 1901)

// Sag returns how far a cone that faces up or down sinks by its own weight, m,
//
//	x = g Mms Cms = g / (2 pi fs)^2
func (d Driver) Sag() float64 { return standardGravity * d.Mms * d.Cms }

const referencePressure = 20e-6 // Pa rms

// quietest keeps a logarithm finite; it is 600 dB below 1.
const quietest = 1e-30

// decibels returns 20 log10 of a ratio of amplitudes, never below -600.
func decibels(ratio float64) float64 { return 20 * math.Log10(math.Max(ratio, quietest)) }
