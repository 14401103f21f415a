package job

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
)

// readCSV reads comma-separated values: rows of any length, with or without spaces after commas and a byte order mark.
func readCSV(data []byte) *csv.Reader {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, byteOrderMark)))
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	return r
}

// eachRow calls head for the first row of a table and row for each further one, by its line, until one of them gives
// false. ended is true for a table that was read to its end; a fault is what stopped the reading.
func eachRow(file string, r *csv.Reader, head, row func(line int, record []string) bool) (ended bool, fault *Fault) {
	for read := head; ; read = row {
		record, err := r.Read()
		switch {
		case errors.Is(err, io.EOF):
			return true, nil
		case err != nil:
			f := csvFault(file, err)
			return false, &f
		}
		if line, _ := r.FieldPos(0); !read(line, record) {
			return false, nil
		}
	}
}

// oneColumn says what separates the names of a line that has no comma; empty for a line with one name alone.
func oneColumn(record []string) string {
	for mark, name := range map[string]string{";": "semicolons", "\t": "tabs"} {
		if len(record) == 1 && strings.Contains(record[0], mark) {
			return name + " separate the names of the columns: commas are wanted, and decimal points"
		}
	}
	return ""
}

// csvFault is the fault that ends the reading of comma-separated values.
func csvFault(file string, err error) Fault {
	f := Fault{File: file, Want: "cannot be read as CSV from here on: " + shown(reason(err))}
	if wrong := (*csv.ParseError)(nil); errors.As(err, &wrong) {
		f.Line, f.Column = wrong.Line, wrong.Column
	}
	return f
}
