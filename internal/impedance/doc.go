// Package impedance finds what a driver or a finished box is from a sweep of its electrical impedance.
//
//	sweep.go     a sweep: checked, its humps, the part of it that is fitted
//	halfpower.go the driver from three frequencies: where every fit begins
//	squares.go   least squares over the whole curve, by gonum's optimiser
//	freeair.go   a driver in free air, with its coil
//	moving.go    the moving system, from an added mass or a test box
//	box.go       a box: volume, tuning or resonance, and losses; boxmodel.go its unknowns and residuals
//	errors.go    the sweep that cannot decide
//
// Everything is SI: hertz, ohms, henries, kilograms, cubic metres; phase alone is in degrees. Residuals are shares of
// the measured impedance, complex where the phase was measured, of the magnitude otherwise, so that every point counts
// alike. Unknowns are natural logarithms of what must be positive. Uncertainties are standard uncertainties (one sigma)
// of the fit: they say how well the curve decides, not how true the meter is.
//
// A fit that the data cannot carry returns an [UndecidedError] with the sweep that would, never a number.
package impedance
