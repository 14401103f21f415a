package job

import (
	"fmt"
	"math"
	"math/cmplx"
	"path/filepath"
	"strings"

	"cubby/internal/impedance"
	"cubby/internal/unit"
)

// A touchstone is the option line of a one-port network file: # Hz Z RI R 50. Touchstone File Format Specification,
// versions 1.1 (2002) and 2.0 (2009), IBIS Open Forum (from memory).
type touchstone struct {
	line       int
	hertz      float64 // by which frequencies are multiplied
	parameter  string  // S, Y or Z
	format     string  // MA, DB or RI
	reference  float64 // ohm
	normalised bool    // Y and Z are over the reference, as version 1 has them
}

// touchstoneOption finds the option line; ok is false for a file of another kind.
func touchstoneOption(file, text string) (o touchstone, ok bool) {
	named := strings.EqualFold(filepath.Ext(file), ".s1p")
	o = touchstone{hertz: 1e9, parameter: "S", format: "MA", reference: 50, normalised: true}
	for i, line := range strings.Split(text, "\n") {
		words := strings.Fields(strings.ToUpper(line))
		switch {
		case len(words) == 0 || strings.HasPrefix(words[0], "!"):
			continue
		case strings.HasPrefix(words[0], "[VERSION]"):
			o.normalised = false
			named = true
			continue
		case strings.HasPrefix(words[0], "#"):
			o.line = i + 1
			known := o.options(append(strings.Fields(strings.TrimPrefix(words[0], "#")), words[1:]...))
			return o, known || named
		}
		return o, named
	}
	return o, named
}

// options reads the words of the option line. known is true when they are such words, of which one is a format or a
// parameter.
func (o *touchstone) options(words []string) (known bool) {
	units := map[string]float64{"HZ": 1, "KHZ": 1e3, "MHZ": 1e6, "GHZ": 1e9}
	for i := 0; i < len(words); i++ {
		w := words[i]
		switch {
		case units[w] > 0:
			o.hertz = units[w]
		case w == "S" || w == "Y" || w == "Z":
			o.parameter = w
		case w == "MA" || w == "DB" || w == "RI":
			o.format, known = w, true
		case w == "R" && i+1 < len(words):
			v, err := unit.Parse(words[i+1], unit.Number, unit.Metric)
			if err != nil || v <= 0 {
				return false
			}
			o.reference = v
			i++
		default:
			return false
		}
	}
	return known
}

// parseTouchstone reads the rows of a one-port file: a frequency and a pair of numbers on each line.
func parseTouchstone(file, text string, o touchstone) (impedance.Sweep, error) {
	var s impedance.Sweep
	var faults Faults
	if o.line == 0 {
		return s, Faults{{File: file, Line: 1, Want: "a one-port file needs its option line, such as # Hz Z RI R 1"}}
	}
	for i, line := range strings.Split(text, "\n") {
		fault := func(format string, args ...any) {
			faults = append(faults, Fault{File: file, Line: i + 1, Value: shown(strings.TrimSpace(line)), Want: fmt.Sprintf(format, args...)})
		}
		line, _, _ := strings.Cut(line, "!")
		words := strings.Fields(line)
		switch {
		case len(words) == 0 || i+1 == o.line:
			continue
		case strings.HasPrefix(words[0], "["):
			if strings.EqualFold(words[0], "[Reference]") && len(words) == 2 {
				if v, err := unit.Parse(words[1], unit.Number, unit.Metric); err == nil && v > 0 {
					o.reference = v
				}
			}
			continue
		case strings.HasPrefix(words[0], "#"):
			fault("a second option line")
			continue
		}
		if len(words) != 3 {
			fault("want a frequency and two numbers, for one port; %d are written", len(words))
			continue
		}
		f, z, why := o.point(words)
		switch {
		case why != "":
			fault("%s", why)
		case f == 0:
		case f < frequencyKind.low || f > frequencyKind.high:
			fault("%.6g Hz: must be from 1 Hz to 100000 Hz", f)
		case !(cmplx.Abs(z) >= 1e-3 && cmplx.Abs(z) <= 1e6):
			fault("the impedance must be from 0.001 to 1000000 ohm")
		case s.Len() > 0 && f <= s.Frequency[s.Len()-1]:
			fault("frequencies must rise from row to row")
		case s.Len() == mostRows:
			return impedance.Sweep{}, Faults{{File: file, Line: i + 1, Want: fmt.Sprintf("more than %d rows", mostRows)}}
		default:
			s.Add(f, z)
		}
	}
	if len(faults) == 0 && s.Len() < 2 {
		faults = Faults{{File: file, Line: o.line, Want: "a curve needs at least two rows"}}
	}
	if len(faults) > 0 {
		return impedance.Sweep{}, inOrder(faults)
	}
	return s, nil
}

// point is one row: its frequency, Hz, and impedance, ohm. why is empty if it can be read.
func (o touchstone) point(words []string) (f float64, z complex128, why string) {
	var v [3]float64
	for i, w := range words {
		x, err := unit.Parse(w, unit.Number, unit.Metric)
		if err != nil {
			return 0, 0, "want three plain numbers with decimal points"
		}
		v[i] = x
	}
	var x complex128
	switch o.format {
	case "RI":
		x = complex(v[1], v[2])
	case "DB":
		x = cmplx.Rect(math.Pow(10, v[1]/20), v[2]*math.Pi/180)
	default:
		x = cmplx.Rect(v[1], v[2]*math.Pi/180)
	}
	r := complex(1, 0)
	if o.normalised {
		r = complex(o.reference, 0)
	}
	switch o.parameter {
	case "Z":
		z = x * r
	case "Y":
		z = r / x
	default:
		z = complex(o.reference, 0) * (1 + x) / (1 - x)
	}
	return v[0] * o.hertz, z, ""
}
