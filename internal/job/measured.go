package job

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"regexp"
	"strings"

	"cubby/internal/design"
	"cubby/internal/impedance"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// mostRows is the largest number of rows of a measured curve.
const mostRows = 20000

// drive begins a file name as it may be written on Windows.
var drive = regexp.MustCompile(`^[A-Za-z]:`)

// file reads the file that a node names; ok is false when it is at fault.
func (j *jobReader) fileOf(n *yaml.Node, path string) (name string, data []byte, ok bool) {
	if why := unprintable(n.Value, 1000); why != "" {
		j.fault(n, path, "not a file name: %s", why)
		return "", nil, false
	}
	if strings.Contains(n.Value, `\`) {
		j.fault(n, path, "write / between folders, on every system: %s", shown(strings.ReplaceAll(n.Value, `\`, "/")))
		return "", nil, false
	}
	if j.open == nil {
		j.fault(n, path, "this job cannot name other files")
		return "", nil, false
	}
	data, err := j.open(n.Value)
	if err != nil {
		want := "cannot be read: " + shown(reason(err))
		if drive.MatchString(n.Value) {
			want += "; a name with a drive letter holds on one machine only: put the file beside the job"
		} else if errors.Is(err, fs.ErrNotExist) {
			want += "; names count from the job's own folder"
		}
		j.fault(n, path, "%s", want)
		return "", nil, false
	}
	return n.Value, data, true
}

// reason is the innermost part of an error of opening a file; the name is in the message already.
func reason(err error) string {
	for {
		inner := errors.Unwrap(err)
		if inner == nil {
			return err.Error()
		}
		err = inner
	}
}

// measured reads the curve of a cabin from the CSV file that n names.
func (j *jobReader) measured(n *yaml.Node, path string, v *design.Vehicle) {
	if !j.scalar(n, path, "the name of a file with frequency_hz,gain_db") {
		return
	}
	name, data, ok := j.fileOf(n, path)
	if !ok {
		return
	}
	points, faults := curve(name, data)
	v.Measured, v.Source = points, name
	j.others = append(j.others, faults...)
}

// curve reads a cabin's gain: the header frequency_hz,gain_db, then rows of rising frequency.
func curve(file string, data []byte) ([]design.GainPoint, Faults) {
	rows, _, faults := table(file, data, []column{
		frequencyColumn,
		{"gain_db", -100, 100, "must be a number from -100 to 100, in dB, without a unit", false},
	})
	var points []design.GainPoint
	for _, r := range rows {
		points = append(points, design.GainPoint{Frequency: r[0], Gain: r[1]})
	}
	return points, faults
}

// ParseSweep reads an impedance sweep: the header frequency_hz,impedance_ohm or
// frequency_hz,impedance_ohm,impedance_phase_deg, then rows of rising frequency. Comma and decimal point, no comments;
// a byte order mark and either kind of line end are taken. file is what faults call it. All faults are returned
// together as Faults, each with its line and column; the sweep is empty then.
func ParseSweep(file string, data []byte) (impedance.Sweep, error) {
	rows, width, faults := table(file, data, []column{
		frequencyColumn,
		{"impedance_ohm", 1e-3, 1e6, "must be a number from 0.001 to 1000000, in ohm, without a unit", false},
		{"impedance_phase_deg", -180, 180, "must be a number from -180 to 180, in degrees, without a unit", true},
	})
	if len(faults) > 0 {
		return impedance.Sweep{}, faults
	}
	var s impedance.Sweep
	for _, r := range rows {
		s.Frequency, s.Magnitude = append(s.Frequency, r[0]), append(s.Magnitude, r[1])
		if width > 2 {
			s.Phase = append(s.Phase, r[2])
		}
	}
	return s, nil
}

// A column of a measured curve: its name in the header, and what its numbers can be.
type column struct {
	name      string
	low, high float64
	want      string
	optional  bool // the header may end before it
}

var frequencyColumn = column{"frequency_hz", 1, 1e5, "must be a number from 1 to 100000, in Hz, without a unit", false}

// header is the first line that the columns ask for; both forms where the last one may be missing.
func header(columns []column) string {
	var names []string
	for _, c := range columns {
		if !c.optional {
			names = append(names, c.name)
		}
	}
	short := strings.Join(names, ",")
	if len(names) == len(columns) {
		return short
	}
	return short + " or " + short + "," + columns[len(names)].name
}

// table reads a measured curve, a header and rows of numbers of which the first rises from row to row. width is how
// many columns the file has. Without faults there are at least two rows.
func table(file string, data []byte, columns []column) (table [][]float64, width int, faults Faults) {
	if faults := scan(file, data); faults != nil {
		return nil, 0, faults
	}
	rows := readCSV(data)
	for count := 0; ; count++ {
		row, err := rows.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, width, append(inOrder(faults), csvFault(file, err))
		}
		line, _ := rows.FieldPos(0)
		if count == 0 {
			if width = len(row); !heads(row, columns) {
				return nil, width, Faults{{File: file, Line: line, Value: shown(strings.Join(row, ",")), Want: "the first line must be " + header(columns)}}
			}
			columns = columns[:width]
			continue
		}
		if count > mostRows {
			return nil, width, Faults{{File: file, Line: line, Want: fmt.Sprintf("more than %d rows", mostRows)}}
		}
		numbers, f := numbersOf(row, columns)
		if f == nil && len(table) > 0 && numbers[0] <= table[len(table)-1][0] {
			f = &Fault{Field: columns[0].name, Value: shown(row[0]), Want: "frequencies must rise from row to row"}
		}
		if f != nil {
			f.File = file
			f.Line, f.Column = rows.FieldPos(f.Column)
			faults = append(faults, *f)
			continue
		}
		table = append(table, numbers)
	}
	if len(faults) == 0 && len(table) < 2 {
		faults = Faults{{File: file, Line: 1, Want: "a curve needs the header " + header(columns) + " and at least two rows"}}
	}
	return table, width, inOrder(faults)
}

// heads reports whether a row is the header that the columns ask for.
func heads(row []string, columns []column) bool {
	if len(row) > len(columns) || len(row) < len(columns) && !columns[len(row)].optional {
		return false
	}
	for i, name := range row {
		if strings.TrimSpace(name) != columns[i].name {
			return false
		}
	}
	return true
}

// numbersOf reads one row. The fault's Column is the index of the field that is wrong.
func numbersOf(row []string, columns []column) ([]float64, *Fault) {
	if len(row) != len(columns) {
		var names []string
		for _, c := range columns {
			names = append(names, c.name)
		}
		return nil, &Fault{Value: shown(strings.Join(row, ",")), Want: fmt.Sprintf("want %s numbers: %s", [...]string{2: "two", 3: "three"}[len(columns)], strings.Join(names, ","))}
	}
	numbers := make([]float64, len(row))
	for i, c := range columns {
		v, err := unit.Parse(row[i], unit.Number, unit.Metric)
		if err != nil || v < c.low || v > c.high {
			return nil, &Fault{Column: i, Field: c.name, Value: shown(row[i]), Want: c.want}
		}
		numbers[i] = v
	}
	return numbers, nil
}
