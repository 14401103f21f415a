package job

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"cubby/internal/design"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// mostRows is the largest number of rows of a measured curve.
const mostRows = 20000

// file reads the file that a node names; ok is false when it is at fault.
func (j *jobReader) fileOf(n *yaml.Node, path string) (name string, data []byte, ok bool) {
	if why := unprintable(n.Value, 1000); why != "" {
		j.fault(n, path, "not a file name: %s", why)
		return "", nil, false
	}
	if j.open == nil {
		j.fault(n, path, "this job cannot name other files")
		return "", nil, false
	}
	data, err := j.open(n.Value)
	if err != nil {
		j.fault(n, path, "cannot be read: %s", shown(reason(err)))
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
	if faults := scan(file, data); faults != nil {
		return nil, faults
	}
	rows := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\ufeff")))
	rows.FieldsPerRecord = -1
	rows.TrimLeadingSpace = true
	var points []design.GainPoint
	var faults Faults
	for count := 0; ; count++ {
		row, err := rows.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var e *csv.ParseError
			line := 0
			if errors.As(err, &e) {
				line = e.Line
			}
			return nil, append(inOrder(faults), Fault{File: file, Line: line, Want: "cannot be read as CSV: " + shown(reason(err))})
		}
		line, _ := rows.FieldPos(0)
		if count == 0 {
			if len(row) != 2 || strings.TrimSpace(row[0]) != "frequency_hz" || strings.TrimSpace(row[1]) != "gain_db" {
				return nil, Faults{{File: file, Line: line, Value: shown(strings.Join(row, ",")), Want: "the first line must be frequency_hz,gain_db"}}
			}
			continue
		}
		if count > mostRows {
			return nil, Faults{{File: file, Line: line, Want: fmt.Sprintf("more than %d rows", mostRows)}}
		}
		p, f := gainPoint(file, line, row)
		if f == nil && len(points) > 0 && p.Frequency <= points[len(points)-1].Frequency {
			f = &Fault{File: file, Line: line, Field: "frequency_hz", Value: shown(row[0]), Want: "frequencies must rise from row to row"}
		}
		if f != nil {
			faults = append(faults, *f)
			continue
		}
		points = append(points, p)
	}
	if len(faults) == 0 && len(points) < 2 {
		faults = Faults{{File: file, Line: 1, Want: "a curve needs the header frequency_hz,gain_db and at least two rows"}}
	}
	return points, inOrder(faults)
}

// gainPoint reads one row of a cabin's curve.
func gainPoint(file string, line int, row []string) (p design.GainPoint, f *Fault) {
	if len(row) != 2 {
		return p, &Fault{File: file, Line: line, Value: shown(strings.Join(row, ",")), Want: "want two numbers: frequency_hz,gain_db"}
	}
	for i, column := range []struct {
		name      string
		dst       *float64
		low, high float64
		want      string
	}{
		{"frequency_hz", &p.Frequency, 1, 1e5, "must be a number from 1 to 100000, in Hz, without a unit"},
		{"gain_db", &p.Gain, -100, 100, "must be a number from -100 to 100, in dB, without a unit"},
	} {
		v, err := unit.Parse(row[i], unit.Number, unit.Metric)
		if err != nil || v < column.low || v > column.high {
			return p, &Fault{File: file, Line: line, Field: column.name, Value: shown(row[i]), Want: column.want}
		}
		*column.dst = v
	}
	return p, nil
}
