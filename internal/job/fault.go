package job

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
	"unicode"
)

// Fault is one thing that is wrong in a file: file:line: field: value as written: what would be right. In a table of
// numbers it is file:line:column.
type Fault struct {
	File   string
	Line   int    // from 1; 0 when the fault has no line
	Column int    // from 1, in bytes; 0 when the line says enough
	Field  string // "cavity.width", "cavity.blocks[2].name"; empty for the file as a whole
	Value  string // as written; empty when nothing is written there
	Want   string
}

// Error gives the fault as one line.
func (f Fault) Error() string {
	parts := make([]string, 0, 4)
	place := f.File
	for _, n := range []int{f.Line, f.Column} {
		if n > 0 {
			place += ":" + strconv.Itoa(n)
		}
	}
	parts = append(parts, place)
	for _, s := range []string{f.Field, f.Value, f.Want} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, ": ")
}

// Faults is every fault of a job: those of the job file in order of lines, then those of each file that it names.
type Faults []Fault

// Error joins the faults with newlines.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i := range f {
		lines[i] = f[i].Error()
	}
	return strings.Join(lines, "\n")
}

// most is the largest number of faults that are listed. A job of a hundred lines cannot have more that a person would
// read; a file of another kind can have a hundred thousand.
const most = 100

// inOrder sorts the faults of one file by line and cuts the list short.
func inOrder(faults Faults) Faults {
	sort.SliceStable(faults, func(i, j int) bool { return faults[i].Line < faults[j].Line })
	if n := len(faults) - most; n > 0 {
		last := faults[most]
		faults = append(faults[:most:most], Fault{File: last.File, Line: last.Line, Want: fmt.Sprintf("and %d more faults from here on", n)})
	}
	return faults
}

// longestShown is the number of characters of a value that a fault repeats.
const longestShown = 60

// shown makes a value fit to stand in a message of one line.
func shown(s string) string {
	runes := []rune(s)
	tail := ""
	if len(runes) > longestShown {
		runes, tail = runes[:longestShown], "..."
	}
	var b strings.Builder
	for _, c := range runes {
		if unicode.IsPrint(c) {
			b.WriteRune(c)
		} else {
			q := strconv.QuoteRuneToASCII(c)
			b.WriteString(q[1 : len(q)-1])
		}
	}
	return b.String() + tail
}
