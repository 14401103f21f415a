package thielesmall

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// RangeError says that a quantity is outside the range in which it can be.
// Value, Low and High are in Unit, which is SI. An infinite bound is no bound.
type RangeError struct {
	Quantity  string // the user's name for it: "qts", "net_volume"
	Value     float64
	Low, High float64
	Closed    bool   // the bounds themselves are allowed
	Unit      string // "m3"; empty for a pure number
	Because   string // one clause on where the bound comes from; may be empty
}

// Error implements the error interface: quantity, value, what would be right.
func (e *RangeError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s: must be ", e.Quantity, e.amount(e.Value))
	low, high := !math.IsInf(e.Low, 0), !math.IsInf(e.High, 0) && !(e.High == hugest && e.Value < e.Low)
	switch {
	case math.IsNaN(e.Value) || math.IsInf(e.Value, 0):
		b.WriteString("a finite number")
	case low && high && e.Low == e.High:
		b.WriteString(e.amount(e.Low))
	case low && high && e.Closed:
		fmt.Fprintf(&b, "from %s to %s", e.amount(e.Low), e.amount(e.High))
	case low && high:
		fmt.Fprintf(&b, "between %s and %s", e.amount(e.Low), e.amount(e.High))
	case low && e.Closed:
		b.WriteString("at least " + e.amount(e.Low))
	case low:
		b.WriteString("greater than " + e.amount(e.Low))
	case high && e.Closed:
		b.WriteString("at most " + e.amount(e.High))
	case high:
		b.WriteString("less than " + e.amount(e.High))
	default:
		b.WriteString("a finite number")
	}
	if e.Because != "" {
		b.WriteString(" (" + e.Because + ")")
	}
	return b.String()
}

func (e *RangeError) amount(v float64) string {
	s := strconv.FormatFloat(v, 'g', 4, 64)
	if e.Unit != "" {
		s += " " + e.Unit
	}
	return s
}

// MissingError says that what is known is not enough.
type MissingError struct {
	What string   // what could not be found: WholeDriver, "the coil"
	Have []string // the quantities that are given
	Need []string // alternatives, each of which would be enough
}

// WholeDriver is what is missing when a driver's parameters do not suffice.
const WholeDriver = "the driver"

// Error implements the error interface.
func (e *MissingError) Error() string {
	have := "nothing"
	if len(e.Have) > 0 {
		have = strings.Join(e.Have, ", ")
	}
	return fmt.Sprintf("%s cannot be completed from %s: give %s as well", e.What, have, strings.Join(e.Need, ", or "))
}

// askDataFor is what settles how a driver's coils were joined.
const askDataFor = "coils.data_for: series or parallel"

// CoilsError says that a driver's re is that of its coils neither in series nor in parallel, so that it cannot be told
// how the data were taken. Resistances are in ohm.
type CoilsError struct {
	Re, Coil         float64 // the driver's, and of each coil
	Series, Parallel float64 // what Re would be
	Count            int
}

// Error implements the error interface.
func (e *CoilsError) Error() string { return fmt.Sprintf("re: %.4g ohm: %s", e.Re, e.Want()) }

// Want says what is wrong with re, and what would be right.
func (e *CoilsError) Want() string {
	return fmt.Sprintf("is neither %d coils of %.4g ohm in series (%.4g ohm) nor in parallel (%.4g ohm): correct it, or give %s",
		e.Count, e.Coil, e.Series, e.Parallel, askDataFor)
}

// Numbers in SI units beyond which nothing here is a thing that exists, and
// the products of the circuit could leave the range of float64.
const (
	tiniest = 1e-15
	hugest  = 1e15
)

// positive reports a value that is not finite, not above zero, or absurd.
func positive(quantity string, v float64, unit string) error {
	switch {
	case v >= tiniest && v <= hugest:
		return nil
	case v > 0 && !math.IsInf(v, 1):
		return &RangeError{Quantity: quantity, Value: v, Low: tiniest, High: hugest, Closed: true, Unit: unit}
	}
	return &RangeError{Quantity: quantity, Value: v, Low: 0, High: math.Inf(1), Unit: unit}
}

// optional is positive for what may be zero, which means absent.
func optional(quantity string, v float64, unit string) error {
	if v == 0 {
		return nil
	}
	return positive(quantity, v, unit)
}

// notNegative reports a value that is not finite, below zero, or absurd.
func notNegative(quantity string, v float64, unit string) error {
	if v >= 0 && v <= hugest {
		return nil
	}
	return &RangeError{Quantity: quantity, Value: v, Low: 0, High: hugest, Closed: true, Unit: unit}
}

// within reports a value that is not finite or outside [low, high].
func within(quantity string, v, low, high float64, unit string) error {
	if v >= low && v <= high {
		return nil
	}
	return &RangeError{Quantity: quantity, Value: v, Low: low, High: high, Closed: true, Unit: unit}
}
