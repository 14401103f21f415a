package render

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"cubby/internal/panels"
	"cubby/internal/unit"
)

// systems are the two systems of units of a report, the job's own first.
func systems(own unit.System) [2]unit.System {
	if own == unit.Inch {
		return [2]unit.System{unit.Inch, unit.Metric}
	}
	return [2]unit.System{unit.Metric, unit.Inch}
}

// number prints v with the given decimals and a true minus sign; a dash for what is not a number.
func number(v float64, decimals int) string {
	if !finite(v) {
		return "–"
	}
	if math.Abs(v) >= 1e9 {
		return fmt.Sprintf("%.3g", v)
	}
	s := fmt.Sprintf("%.*f", decimals, v)
	if strings.HasPrefix(s, "-") {
		if strings.Trim(s, "-0.") == "" {
			return s[1:]
		}
		return "−" + s[1:]
	}
	return s
}

// hertz prints a frequency.
func hertz(f float64) string {
	if !finite(f) || f <= 0 {
		return "–"
	}
	if f >= 99.95 {
		return number(f, 0) + " Hz"
	}
	return number(f, 1) + " Hz"
}

// watts prints a power to three figures at most.
func watts(p float64) string {
	if !finite(p) {
		return "–"
	}
	if p < 10 {
		return number(p, 1) + " W"
	}
	if p >= 9999.5 {
		return number(p/1000, 0) + " kW"
	}
	return number(p, 0) + " W"
}

// quantity prints a check's value, which is SI in the unit named, as people read it.
func quantity(v float64, name string, sys unit.System) string {
	if !finite(v) {
		return "–"
	}
	switch name {
	case "m":
		return unit.FormatLength(v, sys)
	case "m2":
		return number(v*1e4, 1) + " cm²"
	case "m3":
		return unit.FormatVolume(v, sys)
	case "kg":
		return unit.FormatMass(v, sys)
	case "Hz":
		return hertz(v)
	case "W":
		return watts(v)
	case "m/s":
		return number(v, 1) + " m/s"
	case "dB":
		return number(v, 2) + " dB"
	case "ohm":
		return number(v, 2) + " Ω"
	case "s":
		return number(v*1000, 1) + " ms"
	case "rad":
		return number(v*180/math.Pi, 1) + "°"
	case "":
		return number(v, 2)
	}
	return number(v, 2) + " " + name
}

// statusWord is a check's status as printed; it must be told at a glance without colour.
func statusWord(s panels.Status) string {
	switch s {
	case panels.Pass:
		return "pass"
	case panels.Marginal:
		return "MARGINAL"
	case panels.Fail:
		return "FAIL"
	}
	return "not checked"
}

// sentence starts a text with a capital and ends it with a full stop.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	if !strings.ContainsRune(".!?", rune(s[len(s)-1])) {
		s += "."
	}
	return upperFirst(s)
}

// upperFirst starts a text with a capital.
func upperFirst(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[size:]
}
