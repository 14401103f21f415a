package job

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
	"unicode"

	"cubby/internal/panels"
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
	for _, v := range driverValues(d) {
		switch v.key { // what stands before it
		case "power":
			if s.Claims.Level > 0 {
				w.line("sensitivity", sensitivityText(s.Claims))
			}
		case "frame":
			w.coils(s.Coils)
		case "mass":
			w.bolts(f)
			if f.Vent {
				w.line("vent", "true")
			}
		}
		if *v.at != 0 {
			w.line(v.key, amount(*v.at, v.of, v.symbol))
		}
	}
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

func (w *driverWriter) bolts(f *panels.Driver) {
	if f.Circle == 0 && f.Bolts == 0 {
		return
	}
	parts := []string{"circle: " + amount(f.Circle, unit.Length, "mm"), "count: " + strconv.Itoa(f.Bolts)}
	if f.Hole > 0 {
		parts = append(parts, "hole: "+amount(f.Hole, unit.Length, "mm"))
	}
	w.line("bolts", "{"+strings.Join(parts, ", ")+"}")
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
