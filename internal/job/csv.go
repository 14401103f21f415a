package job

import (
	"bytes"
	"encoding/csv"
	"errors"
)

// readCSV reads comma-separated values: rows of any length, with or without spaces after commas and a byte order mark.
func readCSV(data []byte) *csv.Reader {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, byteOrderMark)))
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	return r
}

// csvFault is the fault that ends the reading of comma-separated values.
func csvFault(file string, err error) Fault {
	f := Fault{File: file, Want: "cannot be read as CSV from here on: " + shown(reason(err))}
	if wrong := (*csv.ParseError)(nil); errors.As(err, &wrong) {
		f.Line, f.Column = wrong.Line, wrong.Column
	}
	return f
}
