package job

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
	"unicode"

	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// Remarks are comments beside the values of a driver file, by key: "vas".
type Remarks map[string]string

// A driverWriter writes a driver file line by line.
type driverWriter struct {
	b       strings.Builder
	remarks Remarks
}

// FormatDriver writes a driver file that ParseDriver reads back to the same values, exactly. head is what stands above
// the values as a comment, and may have several lines. Values that are zero, and a vent that is not there, are not
// written. Values that ParseDriver would not take are written all the same and read back as faults.
func FormatDriver(d *DriverFile, head string, remarks Remarks) []byte {
	w := &driverWriter{remarks: remarks}
	for line := range strings.SplitSeq(strings.TrimSpace(head), "\n") {
		if line = strings.TrimSpace(line); line != "" {
			w.b.WriteString("# " + oneLine(line) + "\n")
		}
	}
	s, f := &d.Spec, &d.Frame
	if s.Name != "" {
		w.line("name", quoted(s.Name))
	}
	w.quantity("fs", s.Fs, unit.Frequency, "Hz")
	w.quantity("qms", s.Qms, unit.Number, "")
	w.quantity("qes", s.Qes, unit.Number, "")
	w.quantity("qts", s.Qts, unit.Number, "")
	w.quantity("vas", s.Vas, unit.Volume, "l")
	w.quantity("sd", s.Sd, unit.Area, "cm2")
	w.quantity("diameter", s.Diameter, unit.Length, "mm")
	w.quantity("re", s.Re, unit.Resistance, "ohm")
	w.quantity("le", s.Le, unit.Inductance, "mH")
	w.quantity("l2", s.L2, unit.Inductance, "mH")
	w.quantity("r2", s.R2, unit.Resistance, "ohm")
	w.quantity("bl", s.Bl, unit.ForceFactor, "T m")
	w.quantity("mms", s.Mms, unit.Mass, "g")
	w.quantity("cms", s.Cms, unit.Compliance, "mm/N")
	w.quantity("rms", s.Rms, unit.MechanicalResistance, "kg/s")
	w.quantity("xmax", s.Xmax, unit.Length, "mm")
	w.quantity("xmech", s.Xmech, unit.Length, "mm")
	w.quantity("vd", s.Claims.Displaced, unit.Volume, "cm3")
	if s.Claims.Level > 0 {
		w.line("sensitivity", sensitivityText(s.Claims))
	}
	w.quantity("power", s.Power, unit.Power, "W")
	w.quantity("impedance", s.Impedance, unit.Resistance, "ohm")
	w.coils(s.Coils)
	w.quantity("frame", f.Frame, unit.Length, "mm")
	w.quantity("cutout", f.Cutout, unit.Length, "mm")
	w.quantity("depth", f.Depth, unit.Length, "mm")
	w.quantity("magnet", f.Magnet, unit.Length, "mm")
	w.quantity("displacement", f.Displacement, unit.Volume, "l")
	if f.Circle > 0 || f.Bolts > 0 {
		parts := []string{"circle: " + amount(f.Circle, unit.Length, "mm"), "count: " + strconv.Itoa(f.Bolts)}
		if f.Hole > 0 {
			parts = append(parts, "hole: "+amount(f.Hole, unit.Length, "mm"))
		}
		w.line("bolts", "{"+strings.Join(parts, ", ")+"}")
	}
	if f.Vent {
		w.line("vent", "true")
	}
	w.quantity("mass", f.Mass, unit.Mass, "kg")
	return []byte(w.b.String())
}

func (w *driverWriter) coils(c thielesmall.Coils) {
	if c.Count == 0 {
		return
	}
	parts := []string{"count: " + strconv.Itoa(c.Count)}
	if c.Impedance > 0 {
		parts = append(parts, "impedance: "+amount(c.Impedance, unit.Resistance, "ohm"))
	}
	if c.Re > 0 {
		parts = append(parts, "re: "+amount(c.Re, unit.Resistance, "ohm"))
	}
	if c.DataFor != thielesmall.Unstated {
		parts = append(parts, "data_for: "+c.DataFor.String())
	}
	w.line("coils", "{"+strings.Join(parts, ", ")+"}")
}

func (w *driverWriter) quantity(key string, v float64, d unit.Dimension, symbol string) {
	if v != 0 {
		w.line(key, amount(v, d, symbol))
	}
}

// remarkColumn is where remarks begin.
const remarkColumn = 28

func (w *driverWriter) line(key, value string) {
	line := key + ": " + value
	if r := w.remarks[key]; r != "" {
		line = fmt.Sprintf("%-*s # %s", remarkColumn, line, oneLine(r))
	}
	w.b.WriteString(line + "\n")
}

// mostDigits is enough for any float64 in any unit: seventeen hold it in its own, two more allow for the factor.
const mostDigits = 19

// amount writes v with the fewest digits that read back to it.
func amount(v float64, d unit.Dimension, symbol string) string {
	factor, err := unit.Parse("1 "+symbol, d, unit.Metric)
	if symbol == "" || err != nil || factor == 0 {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	// The factor as the float64 nearest to a power of ten is not exact; its own shortest form is.
	exact, ok := new(big.Rat).SetString(strconv.FormatFloat(factor, 'g', -1, 64))
	if !ok {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	in := new(big.Rat).Quo(new(big.Rat).SetFloat64(v), exact)
	shown := new(big.Float).SetPrec(256).SetRat(in)
	best := ""
	for digits := 1; digits <= mostDigits; digits++ {
		best = decimal(shown, digits) + " " + symbol
		if back, err := unit.Parse(best, d, unit.Metric); err == nil && back == v {
			break
		}
	}
	return best
}

// Numbers between these are written without an exponent.
const plainLow, plainHigh = 1e-6, 1e9

// decimal writes x with so many significant digits.
func decimal(x *big.Float, digits int) string {
	short := x.Text('g', digits)
	rounded, _, err := big.ParseFloat(short, 10, x.Prec(), big.ToNearestEven)
	if err != nil {
		return short
	}
	if size, _ := rounded.Float64(); size < plainLow || size >= plainHigh {
		return short
	}
	return rounded.Text('f', -1)
}

// quoted writes a string as a YAML scalar, quoted where it has to be.
func quoted(s string) string {
	out, err := yaml.Marshal(s)
	if err != nil {
		return strconv.Quote(s)
	}
	return strings.TrimSpace(string(out))
}

// oneLine makes a remark fit for a comment of one line.
func oneLine(s string) string {
	return strings.Map(func(c rune) rune {
		if !unicode.IsPrint(c) {
			return ' '
		}
		return c
	}, s)
}
