package render

import (
	"fmt"
	"math"

	"cubby/internal/unit"
)

// measure prints lengths the way a shop reads them: millimetres to a tenth, or inches in fractions of the saw's step.
type measure struct {
	sys unit.System
	den int // inch fractions: 1/den
}

// inch is one inch in metres, exact (ISO 31-1; international yard and pound agreement, 1959).
const inch = 0.0254

// newMeasure takes the step of the printed fractions from the saw's round_to when that is a binary fraction of an inch, else 1/32.
func newMeasure(sys unit.System, roundTo float64) measure {
	m := measure{sys: sys, den: 32}
	if sys != unit.Inch || roundTo <= 0 {
		return m
	}
	n := inch / roundTo
	for _, den := range []int{2, 4, 8, 16, 32, 64} {
		if math.Abs(n-float64(den)) < 1e-6*float64(den) {
			m.den = den
		}
	}
	return m
}

// mark is the unit for a heading: "mm" or "in".
func (m measure) mark() string {
	if m.sys == unit.Inch {
		return "in"
	}
	return "mm"
}

// bare is a length without a unit, for tables and dimension lines.
func (m measure) bare(v float64) string {
	if m.sys == unit.Inch {
		return unit.Fraction(v, m.den)
	}
	return unit.Millimetres(v, 1)
}

// rest is what is left of a whole beside a part, as printed figures that add up: part + rest = whole.
func (m measure) rest(whole, part float64) string {
	step := 1e-4
	if m.sys == unit.Inch {
		step = inch / float64(m.den)
	}
	return m.bare((math.Round(whole/step) - math.Round(part/step)) * step)
}

// offStep is how far, in metres, a length may lie from the printed fraction before the exact figure is printed beside it: half of
// the last digit of the exact figure, 0.001 in.
const offStep = 0.0005 * inch

// sloped is a length that need not lie on the saw's step: in inches the nearest fraction with the exact thousandths in brackets.
func (m measure) sloped(v float64) string {
	if m.sys != unit.Inch {
		return unit.Millimetres(v, 1)
	}
	s := unit.Fraction(v, m.den)
	step := inch / float64(m.den)
	if math.Abs(v-math.Round(v/step)*step) <= offStep {
		return s
	}
	return fmt.Sprintf("%s (%.3f)", s, v/inch)
}

// full is a length with its unit.
func (m measure) full(v float64) string {
	if m.sys == unit.Inch {
		return unit.Fraction(v, m.den) + "″"
	}
	return unit.Millimetres(v, 1) + " mm"
}

// fine is a length that is too small for the steps of a tape, with its unit.
func (m measure) fine(v float64) string {
	if m.sys == unit.Inch {
		return fmt.Sprintf("%.3f″", v/inch)
	}
	return fmt.Sprintf("%.2f mm", v*1000)
}

// other is a length in the other system, with its unit, for the small figure beside an overall size.
func (m measure) other(v float64) string {
	if m.sys == unit.Inch {
		return unit.Millimetres(v, 1) + " mm"
	}
	return unit.Fraction(v, 32) + "″"
}

// times joins sizes: 870.0 × 430.0.
func (m measure) times(vs ...float64) string {
	s := ""
	for i, v := range vs {
		if i > 0 {
			s += " × "
		}
		s += m.bare(v)
	}
	return s
}

// um is a length in micrometres as metres.
func um(v int64) float64 { return float64(v) * 1e-6 }

// degrees prints an angle of the saw blade to a tenth.
func degrees(rad float64) string { return fmt.Sprintf("%.1f°", math.Abs(rad)*180/math.Pi) }
