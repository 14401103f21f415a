package job

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"cubby/internal/word"

	"gopkg.in/yaml.v3"
)

// Limits of a catalogue. A row with every column has some 250 bytes.
const (
	MostCatalogueRows  = 100_000
	MostCatalogueBytes = 32 << 20
)

// CatalogueRow is one driver of a catalogue.
type CatalogueRow struct {
	Line   int
	Driver DriverFile
	Faults Faults // what is wrong with the row; the driver is not to be used then
}

// suffixUnits are the suffixes as units are written.
var suffixUnits = map[string]string{
	"": "", "hz": "Hz", "l": "l", "cu_ft": "cu ft", "cu_in": "cu in", "cm2": "cm2", "cm3": "cm3",
	"m2": "m2", "in2": "in2", "mm": "mm", "in": "in",
	"ohm": "ohm", "mh": "mH", "t_m": "T m", "g": "g", "kg": "kg", "lb": "lb", "mm_n": "mm/N", "um_n": "um/N", "kg_s": "kg/s", "w": "W",
}

// A catalogueField is a column that a catalogue has.
type catalogueField struct {
	name, key, unit string
}

// catalogueFields gives every column that a catalogue may have by its name: a key of a driver file, with _ for a dot
// between its parts, and the unit of its numbers.
var catalogueFields = func() map[string]catalogueField {
	all := map[string]catalogueField{}
	add := func(key, columns string) {
		for suffix := range strings.SplitSeq(columns, " ") {
			name := strings.TrimSuffix(strings.ReplaceAll(key, ".", "_")+"_"+suffix, "_")
			all[name] = catalogueField{name, key, suffixUnits[suffix]}
		}
	}
	for _, v := range driverValues(&DriverFile{}) {
		add(v.key, v.columns)
	}
	for _, c := range [][2]string{{"name", ""}, {"xmax_pp", "mm in"}, {"coils.count", ""}, {"coils.impedance", "ohm"},
		{"coils.re", "ohm"},
		{"coils.data_for", ""}, {"bolts.circle", "mm in"}, {"bolts.count", ""}, {"bolts.hole", "mm in"}, {"vent", ""}} {
		add(c[0], c[1])
	}
	return all
}()

// ParseCatalogue reads a list of drivers: comma-separated values whose first line names the columns, in any order: the
// keys of a driver file with the unit after them (fs_hz, vas_l or vas_cu_ft, xmax_mm or xmax_in), of which name must be
// there. Values are numbers without a unit; a size in inches may be a fraction; an empty value is not given. What is
// wrong with a row is in its Faults, with line and column, and leaves the others alone. The error, as Faults, is for a
// list that cannot be read at all.
func ParseCatalogue(file string, data []byte) ([]CatalogueRow, error) {
	if len(data) > MostCatalogueBytes {
		return nil, Faults{{File: file, Want: fmt.Sprintf("larger than %d MiB", MostCatalogueBytes>>20)}}
	}
	if faults := scanText(file, data); faults != nil {
		return nil, faults
	}
	r := readCSV(data)
	r.ReuseRecord = true
	c := catalogueReader{Reader: r, file: file, reader: &reader{file: file, stated: true, table: true}}
	c.read = c.reader.driverFields(&c.driver)
	var rows []CatalogueRow
	var faults Faults // of the list as a whole
	ended, fault := eachRow(file, r, func(_ int, record []string) bool {
		faults = c.head(record)
		return faults == nil
	}, func(line int, record []string) bool {
		if len(rows) == MostCatalogueRows {
			faults = Faults{{File: file, Line: line, Want: fmt.Sprintf("more than %d drivers", MostCatalogueRows)}}
			return false
		}
		rows = append(rows, c.row(line, record))
		return true
	})
	switch {
	case fault != nil && len(rows) > 0:
		rows = append(rows, CatalogueRow{Line: fault.Line, Faults: Faults{*fault}})
	case fault != nil:
		faults = Faults{*fault}
	case ended && len(rows) == 0:
		faults = Faults{{File: file, Line: 1, Want: "the list is empty; want a first line of columns, such as " + catalogueExample +
			", and a driver on each further line"}}
	}
	if faults != nil {
		return nil, faults
	}
	return rows, nil
}

const catalogueExample = "name,fs_hz,qes,qms,vas_l,sd_cm2,re_ohm,xmax_mm,power_w,impedance_ohm,frame_mm,cutout_mm,depth_mm"

// A catalogueReader reads the rows of a list one after the other into one driver.
type catalogueReader struct {
	*csv.Reader
	file   string
	reader *reader
	driver DriverFile
	read   map[string]field // into driver
	fields []catalogueField // of the list's columns
}

// head reads the names of the columns.
func (r *catalogueReader) head(record []string) (faults Faults) {
	seen := map[string]bool{}
	fields := make([]catalogueField, len(record))
	for i, written := range record {
		line, column := r.FieldPos(i)
		fault := func(format string, args ...any) {
			faults = append(faults, Fault{File: r.file, Line: line, Column: column, Value: shown(written), Want: fmt.Sprintf(format, args...)})
		}
		name := strings.ToLower(strings.TrimSpace(written))
		f, known := catalogueFields[name]
		switch {
		case oneColumn(record) != "":
			fault("%s", oneColumn(record))
		case !known && name == "":
			fault("the column has no name")
		case !known:
			fault("%s", unknownColumn(name))
		case seen[f.key]:
			fault("%s stands twice", strings.ReplaceAll(f.key, ".", "_"))
		}
		seen[f.key], fields[i] = true, f
	}
	if len(faults) == 0 && !seen["name"] {
		faults = Faults{{File: r.file, Line: 1, Field: "name", Want: "the column is missing; want a first line such as " + catalogueExample}}
	}
	r.fields = fields
	return inOrder(faults)
}

// unknownColumn says what an unknown column might have been: one with its unit forgotten, or misspelt.
func unknownColumn(name string) string {
	var with, names []string
	for known, f := range catalogueFields {
		names = append(names, known)
		if f.unit != "" && strings.ReplaceAll(f.key, ".", "_") == name {
			with = append(with, known)
		}
	}
	slices.Sort(names)
	slices.Sort(with)
	if len(with) > 0 {
		return "the unit is missing: want " + word.Either(with)
	}
	if near := word.Nearest(name, names); near != "" {
		return fmt.Sprintf("unknown column, did you mean %s?", near)
	}
	return "unknown column; want the keys of a driver file with their units, such as " + catalogueExample
}

// row reads one driver: the row is turned into what a driver file would say and read as one.
func (r *catalogueReader) row(line int, record []string) CatalogueRow {
	reader, fields := r.reader, r.fields
	reader.faults, r.driver = nil, DriverFile{}
	root := &yaml.Node{Kind: yaml.MappingNode, Line: line}
	for i, written := range record {
		_, column := r.FieldPos(i)
		at := textNode(written, line, column)
		if at.Value == "" {
			continue
		}
		if i >= len(fields) {
			reader.fault(at, "", "%d values in %d columns", len(record), len(fields))
			break
		}
		f := fields[i]
		if f.unit != "" && strings.ContainsFunc(at.Value, isUnit) {
			reader.fault(at, f.key, "want a number alone: its unit, %s, is in the column's name", f.unit)
			continue
		}
		at.Value = strings.TrimSpace(at.Value + " " + f.unit)
		put(root, f.key, at)
	}
	reader.driverBy(r.read, root, "", &r.driver)
	if len(reader.faults) == 0 {
		reader.faults = locate(r.file, root, "", r.driver.suffices())
	}
	return CatalogueRow{line, r.driver, r.asWritten(record, reader.faults)}
}

// isUnit reports whether a character belongs to a unit rather than to a number.
func isUnit(c rune) bool {
	return unicode.IsLetter(c) && c != 'e' && c != 'E' || c == '"' || c == '\'' || c == '%'
}

// asWritten puts the columns' names and the values as they stand in the file into a row's faults, by line and column.
func (r *catalogueReader) asWritten(record []string, faults Faults) Faults {
	for k := range faults {
		f := &faults[k]
		for i, written := range record {
			if i >= len(r.fields) {
				break
			}
			_, column := r.FieldPos(i)
			if f.Column == column || f.Column == 0 && f.Field == r.fields[i].key {
				f.Column, f.Field, f.Value = column, r.fields[i].name, shown(strings.TrimSpace(written))
				break
			}
		}
	}
	return faults
}
