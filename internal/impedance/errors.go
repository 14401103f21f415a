package impedance

import (
	"fmt"
	"math"

	"cubby/internal/thielesmall"
)

// An UndecidedError says that a sweep cannot decide what was asked.
type UndecidedError struct {
	Reason   string  // one clause: what is wrong with the sweep
	From, To float64 // Hz that a sweep should cover; 0 when another range would not help
}

// Error implements the error interface: the reason, and the sweep that is needed.
func (e *UndecidedError) Error() string {
	if e.To == 0 {
		return "the sweep cannot decide: " + e.Reason
	}
	return fmt.Sprintf("the sweep cannot decide: %s; sweep from %.2g to %.3g Hz", e.Reason, e.From, e.To)
}

// undecided makes an UndecidedError for a sweep that should cover the humps
// between low and high hertz with room on both sides.
func undecided(low, high float64, format string, a ...any) error {
	return &UndecidedError{Reason: fmt.Sprintf(format, a...), From: low / roomBelow, To: high * roomAbove}
}

// How far beyond the humps a sweep should reach (common practice: the curve is
// back at the coil's resistance a factor of three away).
const roomBelow, roomAbove = 3.0, 5.0

// shiftText says how far a resonance moved, when that is too little.
func shiftText(by, way string, free, second FreeAir, shift float64) string {
	return fmt.Sprintf("the resonance %s by only %.1f %% with the %s, from %.4g to %.4g Hz", way, 100*shift, by, free.Fs.Value, second.Fs.Value)
}

// above reports a quantity that is not a finite number above zero.
func above(quantity string, v float64, unit string) error {
	if v > 0 && !math.IsInf(v, 1) {
		return nil
	}
	return &thielesmall.RangeError{Quantity: quantity, Value: v, Low: 0, High: math.Inf(1), Unit: unit}
}
