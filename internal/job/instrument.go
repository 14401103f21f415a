package job

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"math/cmplx"
	"slices"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"cubby/internal/design"
	"cubby/internal/impedance"
	"cubby/internal/unit"
)

// mostRows is the largest number of rows of a measured curve.
const mostRows = 20000

// ParseSweep reads an impedance sweep as instruments write them. A text table: one line names the columns, in any case
// and order, of which frequency and either magnitude (with phase or without) or real and imaginary part are read;
// separated by commas, semicolons, tabs or spaces, with points or, where commas do not separate, decimal commas; other
// columns, empty lines and lines that begin with # ! * ; % or // are passed over, as is what stands before the line of
// names. Or a Touchstone one-port file (.s1p). Encoded in UTF-8, UTF-16 with its mark, or Latin-1. file is what faults
// call it. All faults are returned together as Faults, each with its line; the sweep is empty then.
func ParseSweep(file string, data []byte) (impedance.Sweep, error) {
	text, faults := instrumentText(file, data)
	if len(faults) > 0 {
		return impedance.Sweep{}, faults
	}
	if option, ok := touchstoneOption(file, text); ok {
		return parseTouchstone(file, text, option)
	}
	t, faults := readTable(file, text, sweepColumns)
	if len(faults) > 0 {
		return impedance.Sweep{}, faults
	}
	var s impedance.Sweep
	for _, r := range t.rows {
		if t.has(roleReal) {
			s.Add(r[roleFrequency], complex(r[roleReal], r[roleImaginary]))
			continue
		}
		s.Frequency, s.Magnitude = append(s.Frequency, r[roleFrequency]), append(s.Magnitude, r[roleMagnitude])
		if t.has(rolePhase) {
			s.Phase = append(s.Phase, r[rolePhase])
		}
	}
	return s, nil
}

// curve reads a cabin's gain: a text table as ParseSweep reads it, with frequency and a gain in dB.
func curve(file string, data []byte) ([]design.GainPoint, Faults) {
	text, faults := instrumentText(file, data)
	if len(faults) > 0 {
		return nil, faults
	}
	t, faults := readTable(file, text, cabinColumns)
	if len(faults) > 0 {
		return nil, faults
	}
	points := make([]design.GainPoint, len(t.rows))
	levels := 0
	for i, r := range t.rows {
		points[i] = design.GainPoint{Frequency: r[roleFrequency], Gain: r[roleGain]}
		if r[roleGain] > loudestGain {
			levels++
		}
	}
	if 2*levels > len(points) {
		return nil, Faults{{File: file, Line: t.head, Want: "these are levels, not gains: subtract, point by point, what the same box gives in the open at 1 m"}}
	}
	return points, nil
}

// loudestGain is more than a cabin ever adds, dB: 40 log10 of corner over leak is below 30 for the smallest car.
const loudestGain = 45

// A role is what a column of a measured curve holds.
type role int

const (
	roleFrequency role = iota // Hz
	roleMagnitude             // ohm
	rolePhase                 // degrees
	roleReal                  // ohm
	roleImaginary             // ohm
	roleGain                  // dB
	roles
	noRole role = -1
)

// A columnKind is one that a curve may have.
type columnKind struct {
	role      role
	own       string             // our own name, which wins over every other
	words     []string           // of a name, in lower case
	units     map[string]float64 // by which its numbers are multiplied
	low, high float64
	want      string
}

var frequencyKind = columnKind{roleFrequency, "frequency_hz", []string{"frequency", "freq", "f", "frequenz", "fréquence", "frequence", "frecuencia", "hz", "khz"},
	map[string]float64{"hz": 1, "khz": 1000}, 1, 1e5, "must be a number from 1 to 100000, in Hz, without a unit"}

var ohmUnits = map[string]float64{"ohm": 1, "ohms": 1, "\u03c9": 1, "kohm": 1000, "kohms": 1000, "k\u03c9": 1000, "mohm": 1e-3, "m\u03c9": 1e-3}

// sweepColumns are those of an impedance sweep.
var sweepColumns = []columnKind{
	frequencyKind,
	{roleMagnitude, "impedance_ohm", []string{"impedance", "z", "|z|", "mag", "magnitude", "impedanz", "ohm", "ohms", "\u03c9", "zmag", "abs(z)", "mod(z)", "modulus"},
		ohmUnits, 1e-3, 1e6, "must be a number from 0.001 to 1000000, in ohm, without a unit"},
	{rolePhase, "impedance_phase_deg", []string{"phase", "theta", "\u03b8", "\u03c6", "angle", "arg", "deg", "degrees", "arg(z)", "phase(z)"},
		map[string]float64{"deg": 1, "degree": 1, "degrees": 1, "\u00b0": 1, "rad": 180 / math.Pi, "radians": 180 / math.Pi}, -180, 180, "must be a number from -180 to 180, in degrees, without a unit"},
	{roleReal, "impedance_real_ohm", []string{"real", "re", "r", "rs", "re(z)", "z'", "resistance", "realteil"}, ohmUnits, -1e6, 1e6, "must be a number of ohm, without a unit"},
	{roleImaginary, "impedance_imaginary_ohm", []string{"imaginary", "imag", "im", "x", "xs", "im(z)", "z''", "reactance"}, ohmUnits, -1e6, 1e6, "must be a number of ohm, without a unit"},
}

// cabinColumns are those of a cabin's gain.
var cabinColumns = []columnKind{
	frequencyKind,
	{roleGain, "gain_db", []string{"gain", "db", "level", "spl", "magnitude", "mag", "amplitude", "transfer"}, map[string]float64{"db": 1}, -100, 100,
		"must be a number from -100 to 100, in dB, without a unit"},
}

// A curveTable is a measured curve as it was read: rows by role, of rising frequency, at least two.
type curveTable struct {
	rows  [][roles]float64
	names [roles]string // of the columns as written, empty where there is none
	head  int           // line of the names
}

func (t *curveTable) has(r role) bool { return t.names[r] != "" }

// instrumentText decodes what an instrument wrote, and refuses what no text file holds.
func instrumentText(file string, data []byte) (string, Faults) {
	switch {
	case len(data) >= 2 && (data[0] == 0xff && data[1] == 0xfe || data[0] == 0xfe && data[1] == 0xff):
		units := make([]uint16, 0, len(data)/2)
		for i := 2; i+1 < len(data); i += 2 {
			a, b := uint16(data[i]), uint16(data[i+1])
			if data[0] == 0xff {
				a, b = b, a
			}
			units = append(units, a<<8|b)
		}
		data = []byte(string(utf16.Decode(units)))
	case len(data) <= largest && !utf8.Valid(data):
		runes := make([]rune, len(data))
		for i, c := range data {
			runes[i] = rune(c)
		}
		data = []byte(string(runes))
	}
	if faults := scan(file, data); faults != nil {
		return "", faults
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	return strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n"), nil
}

// commentMarks begin a line that is no row.
var commentMarks = []string{"#", "!", "*", ";", "%", "//"}

// uncommented is a line without its mark; marked says whether it had one.
func uncommented(line string) (text string, marked bool) {
	text = strings.TrimSpace(line)
	for _, m := range commentMarks {
		if rest, ok := strings.CutPrefix(text, m); ok {
			return strings.TrimSpace(strings.TrimLeft(rest, m)), true
		}
	}
	return text, false
}

// A tableReader reads one curve.
type tableReader struct {
	file  string
	kinds []columnKind
	t     curveTable
	comma string   // what separates
	at    []column // of every column of a row
}

// A column of a row: what it holds and by what its numbers are multiplied.
type column struct {
	kind  *columnKind // nil: passed over
	name  string      // as written
	scale float64
}

// readTable reads a measured curve.
func readTable(file, text string, kinds []columnKind) (curveTable, Faults) {
	r := tableReader{file: file, kinds: kinds}
	var faults Faults
	first := 0
	for i, line := range strings.Split(text, "\n") {
		words, marked := uncommented(line)
		if words == "" {
			continue
		}
		if r.at == nil {
			if first == 0 {
				first = i + 1
			}
			if f := r.names(words, i+1); f != nil {
				return r.t, Faults{*f}
			}
			continue
		}
		if marked {
			continue
		}
		if len(r.t.rows) == mostRows {
			return r.t, Faults{{File: file, Line: i + 1, Want: fmt.Sprintf("more than %d rows", mostRows)}}
		}
		if f := r.row(line); f != nil {
			f.File, f.Line = file, i+1
			faults = append(faults, *f)
		}
	}
	switch {
	case r.at == nil:
		faults = Faults{{File: file, Line: max(first, 1), Want: "no line names the columns; want a first line such as " + strings.Join(r.example(), ",")}}
	case len(faults) == 0 && len(r.t.rows) < 2:
		faults = Faults{{File: file, Line: r.t.head, Want: "a curve needs at least two rows below the names of its columns"}}
	}
	return r.t, inOrder(faults)
}

// example is the names of the columns that are commonly there.
func (r *tableReader) example() (names []string) {
	for _, k := range r.kinds {
		if k.role != roleReal && k.role != roleImaginary {
			names = append(names, k.own)
		}
	}
	return names
}

// separators are tried in this order; an empty one stands for spaces.
var separators = []string{"\t", ";", ",", ""}

// split takes a line apart.
func split(line, separator string) ([]string, error) {
	switch {
	case separator == "":
		return strings.Fields(line), nil
	case strings.Contains(line, `"`):
		c := csv.NewReader(strings.NewReader(line))
		c.Comma, c.TrimLeadingSpace, c.FieldsPerRecord = rune(separator[0]), true, -1
		fields, err := c.Read()
		if errors.Is(err, io.EOF) {
			return nil, nil
		}
		return fields, err
	}
	fields := strings.Split(line, separator)
	for i := range fields {
		fields[i] = strings.TrimSpace(fields[i])
	}
	return fields, nil
}

// names takes a line for that of the columns' names if it has a frequency among at least two of them; a line before it
// that has none is the instrument's own.
func (r *tableReader) names(line string, number int) *Fault {
	for _, sep := range separators {
		if sep != "" && !strings.Contains(line, sep) {
			continue
		}
		fields, err := split(line, sep)
		if err != nil || len(fields) < 2 {
			continue
		}
		columns := r.roles(fields)
		i := slices.IndexFunc(columns, func(c column) bool { return c.kind != nil && c.kind.role == roleFrequency })
		if i < 0 {
			continue
		}
		r.comma, r.at, r.t.head = sep, columns, number
		return r.settle(line)
	}
	return nil
}

// roles finds what each column holds by its name: our own names first, then words.
func (r *tableReader) roles(names []string) []column {
	columns := make([]column, len(names))
	taken := map[role]bool{}
	for i, name := range names {
		columns[i] = column{name: name}
		for k := range r.kinds {
			if r.kinds[k].own == strings.ToLower(name) {
				columns[i].kind, columns[i].scale, taken[r.kinds[k].role] = &r.kinds[k], 1, true
			}
		}
	}
	for i, name := range names {
		if columns[i].kind != nil {
			continue
		}
		if k, scale := r.meant(name); k != nil && !taken[k.role] {
			columns[i].kind, columns[i].scale = k, scale
		}
	}
	return columns
}

// meant finds what a column of another name holds: the unit in its name decides before its words.
func (r *tableReader) meant(name string) (*columnKind, float64) {
	words := nameWords(name)
	if len(words) == 0 {
		return nil, 0
	}
	var best *columnKind
	for k := range r.kinds {
		if kind := &r.kinds[k]; slices.ContainsFunc(words, func(w string) bool { return slices.Contains(kind.words, w) }) {
			if best == nil || kind.role != roleMagnitude && kind.role != roleGain { // phase of impedance, real part of z
				best = kind
			}
		}
	}
	if best == nil {
		return nil, 0
	}
	scale := 1.0
	for _, w := range words {
		switch u, known := best.units[w]; {
		case known:
			scale = u
		case w == "db" && best.role != roleGain:
			return nil, 0 // a level is no impedance
		}
	}
	return best, scale
}

// nameWords are the words of a column's name in lower case, brackets off: "Freq(Hz)" is freq and hz. What a part of an
// impedance is called in brackets, Re(Z), stays one word.
func nameWords(name string) []string {
	name = strings.ToLower(strings.ReplaceAll(name, "\u2126", "\u03c9"))
	for _, whole := range []string{"re(z)", "im(z)", "arg(z)", "abs(z)", "mod(z)", "phase(z)"} {
		if rest, ok := strings.CutPrefix(name, whole); ok {
			return append([]string{whole}, nameWords(rest)...)
		}
	}
	return strings.FieldsFunc(name, func(c rune) bool { return strings.ContainsRune(" ()[]{}_/-:.,\"", c) })
}

// settle checks that the columns make a curve.
func (r *tableReader) settle(line string) *Fault {
	fault := func(format string, args ...any) *Fault {
		return &Fault{File: r.file, Line: r.t.head, Value: shown(line), Want: fmt.Sprintf(format, args...)}
	}
	for _, c := range r.at {
		if c.kind == nil {
			continue
		}
		if other := r.t.names[c.kind.role]; other != "" {
			return fault("both %s and %s could be the column %s: name one of them so", shown(other), shown(c.name), c.kind.own)
		}
		r.t.names[c.kind.role] = c.name
	}
	has := r.t.has
	switch {
	case r.kinds[len(r.kinds)-1].role == roleGain:
		if !has(roleGain) {
			return fault("no column is a gain in dB; want names such as frequency_hz,gain_db")
		}
	case has(roleReal) != has(roleImaginary) && !has(roleMagnitude):
		return fault("a real part and an imaginary part belong together")
	case has(roleMagnitude) && (has(roleReal) || has(roleImaginary)): // said twice: the magnitude is enough
		r.drop(roleReal, roleImaginary)
	case !has(roleMagnitude) && !has(roleReal):
		return fault("no column is an impedance in ohm; want names such as frequency_hz,impedance_ohm,impedance_phase_deg, or real and imaginary")
	case has(roleReal):
		r.drop(rolePhase)
	}
	return nil
}

// drop passes over columns that are not needed.
func (r *tableReader) drop(all ...role) {
	for i := range r.at {
		if k := r.at[i].kind; k != nil && slices.Contains(all, k.role) {
			r.at[i].kind = nil
		}
	}
	for _, x := range all {
		r.t.names[x] = ""
	}
}

// row reads one line. Rows at 0 Hz, the constant part of a transform, are passed over.
func (r *tableReader) row(line string) *Fault {
	fields, err := split(strings.TrimSpace(line), r.comma)
	if err != nil {
		return &Fault{Value: shown(line), Want: "a quotation mark is not closed"}
	}
	for len(fields) > len(r.at) && fields[len(fields)-1] == "" { // a separator at the end
		fields = fields[:len(fields)-1]
	}
	if len(fields) != len(r.at) {
		text := fmt.Sprintf("want %d values, as named in line %d", len(r.at), r.t.head)
		if len(fields) > len(r.at) && r.comma == "," {
			text += ": commas separate here, write decimal points, or separate by semicolons"
		}
		return &Fault{Value: shown(line), Want: text}
	}
	var values [roles]float64
	for i, c := range r.at {
		if c.kind == nil {
			continue
		}
		v, err := r.number(fields[i])
		v *= c.scale
		if c.kind.role == roleFrequency && err == nil && v == 0 {
			return nil
		}
		if err != nil || v < c.kind.low || v > c.kind.high {
			return &Fault{Field: shown(c.name), Value: shown(fields[i]), Want: c.kind.want}
		}
		values[c.kind.role] = v
	}
	if r.t.has(roleReal) && cmplx.Abs(complex(values[roleReal], values[roleImaginary])) < 1e-3 {
		return &Fault{Value: shown(line), Want: "an impedance of nothing: must be 0.001 ohm or more"}
	}
	if n := len(r.t.rows); n > 0 && values[roleFrequency] <= r.t.rows[n-1][roleFrequency] {
		return &Fault{Field: shown(r.t.names[roleFrequency]), Value: shown(fields[r.column(roleFrequency)]), Want: "frequencies must rise from row to row"}
	}
	r.t.rows = append(r.t.rows, values)
	return nil
}

func (r *tableReader) column(x role) int {
	return slices.IndexFunc(r.at, func(c column) bool { return c.kind != nil && c.kind.role == x })
}

// number reads a number, with a decimal comma where commas do not separate.
func (r *tableReader) number(text string) (float64, error) {
	if r.comma != "," || strings.Count(text, ",") == 1 { // in quotes
		text = strings.Replace(text, ",", ".", 1)
	}
	return unit.Parse(text, unit.Number, unit.Metric)
}
