package job

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"cubby/internal/glyph"
	"cubby/internal/nest"
	"cubby/internal/unit"
	"cubby/internal/word"
)

// mostColumns is more columns than any parts list has.
const mostColumns = 30

// partsHeader is what a parts list begins with.
const partsHeader = "name,count,length_mm,width_mm,thickness_mm,grain (or _in in place of _mm)"

// PartsList is a list of rectangles to be cut, in micrometres.
type PartsList struct {
	Parts []nest.Part
	Units unit.System // of the list's length column
}

// partsReader reads a parts list and keeps what is wrong with it.
type partsReader struct {
	reader
	columns map[string]partsColumn // by their names without a unit
	first   map[string]int         // line of each name
	total   int
}

// A partsColumn is a column: its place in a row, its name and the unit of its numbers.
type partsColumn struct {
	at   int
	name string
	sys  unit.System
}

// partSize is the span of the sizes of parts.
var partSize = span{micrometre, float64(nest.MaxSize) * micrometre, false, "must be greater than 0",
	fmt.Sprintf("must be at most %d m (is the unit right?)", nest.MaxSize/1_000_000)}

// ParseParts reads a parts list: comma-separated values whose first line names the columns, in any order: name, count,
// length_mm, width_mm, thickness_mm and grain (length, width or empty), or the same with _in for inches. A size may be
// a fraction (14 3/8) and may carry its own unit. All faults are returned together as Faults, by line and column.
// Otherwise there are 1 to nest.MaxParts pieces, counts included, each with sizes above 0 and at most nest.MaxSize.
func ParseParts(file string, data []byte) (*PartsList, error) {
	p := &partsReader{reader: reader{file: file, stated: true}, first: map[string]int{}}
	if faults := scan(file, data); faults != nil {
		return nil, faults
	}
	list := p.read(data)
	if len(p.faults) > 0 {
		return nil, inOrder(p.faults)
	}
	return list, nil
}

// wrong records what is wrong with a value in a column.
func (p *partsReader) wrong(line int, column, value, format string, args ...any) {
	p.fault(textNode(value, line, 0), column, format, args...)
}

func (p *partsReader) read(data []byte) *PartsList {
	list := &PartsList{}
	ended, fault := eachRow(p.file, readCSV(data), p.header, func(line int, record []string) bool {
		if len(p.faults) >= most {
			return false
		}
		list.Parts = append(list.Parts, p.row(line, record))
		if p.total > nest.MaxParts {
			p.wrong(line, "count", "", "%d pieces up to here: at most %d in one job", p.total, nest.MaxParts)
		}
		return p.total <= nest.MaxParts
	})
	switch {
	case fault != nil:
		p.faults = append(p.faults, *fault)
	case ended && p.columns == nil:
		p.wrong(1, "", "", "the list is empty; want the columns %s", partsHeader)
	case ended && len(list.Parts) == 0 && len(p.faults) == 0:
		p.wrong(1, "", "", "there are no parts below the names of the columns")
	}
	list.Units = p.columns["length"].sys
	return list
}

// header reads the names of the columns, and reports whether rows can be read.
func (p *partsReader) header(line int, record []string) bool {
	p.columns = map[string]partsColumn{}
	if len(record) > mostColumns {
		p.wrong(line, "", "", "%d columns are too many; want %s", len(record), partsHeader)
		return false
	}
	known := []string{"name", "count", "length_mm", "width_mm", "thickness_mm", "grain", "length_in", "width_in", "thickness_in"}
	for i, written := range record {
		name := strings.ToLower(strings.TrimSpace(written))
		base, sys := name, unit.Metric
		if b, ok := strings.CutSuffix(name, "_mm"); ok {
			base = b
		} else if b, ok := strings.CutSuffix(name, "_in"); ok {
			base, sys = b, unit.Inch
		}
		isKnown := slices.Contains(known, name)
		switch _, twice := p.columns[base]; {
		case oneColumn(record) != "":
			p.wrong(line, "", written, "%s", oneColumn(record))
		case name == "length" || name == "width" || name == "thickness":
			p.wrong(line, "", written, "the unit is missing: want %s_mm or %s_in", name, name)
		case !isKnown && word.Nearest(name, known) != "":
			p.wrong(line, "", written, "unknown column, did you mean %s?", word.Nearest(name, known))
		case !isKnown:
			p.wrong(line, "", written, "unknown column; want %s", partsHeader)
		case twice:
			p.wrong(line, "", written, "the column stands twice")
		default:
			p.columns[base] = partsColumn{i, name, sys}
		}
	}
	for _, k := range []string{"name", "count", "length", "width", "thickness"} {
		if _, ok := p.columns[k]; !ok && len(p.faults) == 0 {
			p.wrong(line, k, "", "the column is missing; want %s", partsHeader)
		}
	}
	return len(p.faults) == 0
}

// plainCell is a text without the apostrophe that the lists of this program put before what a spreadsheet would run.
func plainCell(text string) string {
	if rest, ok := strings.CutPrefix(text, "'"); ok && rest != "" && strings.ContainsRune("=+-@", rune(rest[0])) {
		return rest
	}
	return text
}

// cell is what a row has in a column; nothing where the row is short.
func (p *partsReader) cell(record []string, column string) string {
	c, ok := p.columns[column]
	if !ok || c.at >= len(record) {
		return ""
	}
	return strings.TrimSpace(record[c.at])
}

func (p *partsReader) row(line int, record []string) nest.Part {
	if len(record) > len(p.columns) {
		p.wrong(line, "", record[len(p.columns)], "%d values in %d columns", len(record), len(p.columns))
	}
	part := nest.Part{
		Name: plainCell(p.cell(record, "name")), Grain: strings.ToLower(p.cell(record, "grain")), Count: p.count(line, p.cell(record, "count")),
		Length: p.size(line, "length", record), Width: p.size(line, "width", record), Thickness: p.size(line, "thickness", record),
	}
	p.total += part.Count
	if len([]rune(part.Name)) > nameLength {
		p.wrong(line, "name", part.Name, "at most %d characters", nameLength)
	} else if shown(part.Name) != part.Name {
		p.wrong(line, "name", part.Name, "must be one line of plain text")
	} else if c, missing := glyph.FirstMissing(part.Name); missing {
		p.wrong(line, "name", part.Name, "%s", undrawable(c))
	} else if before := p.first[part.Name]; before > 0 && part.Name != "" {
		p.wrong(line, "name", part.Name, "is already the name of the part in line %d", before)
	}
	p.first[part.Name] = line
	if g := part.Grain; g != "" && g != "length" && g != "width" {
		p.wrong(line, "grain", p.cell(record, "grain"), "must be length, width or empty")
	}
	var wrong *nest.InputError
	if err := (nest.Part{Name: part.Name, Count: 1, Length: 1, Width: 1}).Validate(); errors.As(err, &wrong) {
		p.wrong(line, wrong.Field, part.Name, "%s", wrong.Want)
	}
	return part
}

func (p *partsReader) count(line int, text string) int {
	n, err := strconv.Atoi(text)
	switch {
	case errors.Is(err, strconv.ErrRange) || err == nil && n > nest.MaxParts:
		p.wrong(line, "count", text, "at most %d pieces in one job", nest.MaxParts)
	case text == "":
		p.wrong(line, "count", "", "nothing is written here; want how many pieces, such as 2")
	case err != nil:
		p.wrong(line, "count", text, "want a whole number of pieces, such as 2")
	case n <= 0:
		p.wrong(line, "count", text, "must be 1 or more")
	default:
		return n
	}
	return 0
}

// size reads a length above 0.
func (p *partsReader) size(line int, column string, record []string) nest.Um {
	c := p.columns[column]
	p.sys = c.sys
	var v float64
	p.quantity(&v, unit.Length, partSize)(textNode(p.cell(record, column), line, 0), c.name)
	return toUm(v)
}
