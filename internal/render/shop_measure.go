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

// words is the unit in full.
func (m measure) words() string {
	if m.sys == unit.Inch {
		return "inches"
	}
	return "millimetres"
}

// bare is a length without a unit, for tables and dimension lines.
func (m measure) bare(v float64) string {
	if m.sys == unit.Inch {
		return unit.Fraction(v, m.den)
	}
	return unit.Millimetres(v, 1)
}

// offStep is how far, in metres, a length may lie from the printed fraction before the exact figure is printed beside it.
const offStep = 0.1e-3

// exact is the figure in thousandths of an inch of a length that its fraction misses, and empty for all others.
func (m measure) exact(v float64) string {
	if m.sys != unit.Inch {
		return ""
	}
	if step := inch / float64(m.den); math.Abs(v-math.Round(v/step)*step) <= offStep {
		return ""
	}
	return fmt.Sprintf("%.3f", v/inch)
}

// sloped is a length to be set: in inches the nearest fraction, with the exact thousandths beside it where the two differ.
func (m measure) sloped(v float64) string {
	if e := m.exact(v); e != "" {
		return unit.Fraction(v, m.den) + " · " + e
	}
	return m.bare(v)
}

// stack is sloped with the exact figure on a line of its own, for narrow columns.
func (m measure) stack(v float64) string {
	if e := m.exact(v); e != "" {
		return unit.Fraction(v, m.den) + "\n· " + e
	}
	return m.bare(v)
}

// thick is the thickness of a board as a caliper reads it: thousandths of an inch, or millimetres to a tenth, to a hundredth where it
// is none. It stands at every joint, so that its rounding would count several times.
func (m measure) thick(v float64) string {
	switch {
	case m.sys == unit.Inch:
		return fmt.Sprintf("%.3f", v/inch)
	case math.Abs(v*1e4-math.Round(v*1e4)) > 0.05:
		return unit.Millimetres(v, 2)
	}
	return unit.Millimetres(v, 1)
}

// about is a length that need not be exact, with its unit: whole millimetres, quarters of an inch.
func (m measure) about(v float64) string {
	if m.sys == unit.Inch {
		return unit.Fraction(v, 4) + " in"
	}
	return fmt.Sprintf("%.0f mm", v*1000)
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

// small is a run or a depth, which a rule in tenths shows.
func (m measure) small(v float64) string {
	if m.sys == unit.Inch {
		return fmt.Sprintf("%.3f", v/inch)
	}
	return unit.Millimetres(v, 1)
}

// rest is what is left of a whole beside a part, as printed figures that add up: part + rest = whole.
func (m measure) rest(whole, part float64) string {
	if m.sys == unit.Inch {
		return m.sloped(whole - part)
	}
	const step = 1e-4
	return m.bare((math.Round(whole/step) - math.Round(part/step)) * step)
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

// litresIn is a volume for the bench: litres to a tenth, with cubic feet for an inch shop.
func litresIn(v float64, sys unit.System) string {
	if sys == unit.Inch {
		return fmt.Sprintf("%.1f l or %s", v*1000, unit.FormatVolume(v, unit.Inch))
	}
	return fmt.Sprintf("%.1f l", v*1000)
}
