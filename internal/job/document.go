package job

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// largest is the size of the largest file that is read, in bytes. A job has a few thousand; a measured curve some more.
const largest = 1 << 20

// deepest is how deep lists and mappings may lie in each other. The deepest that a job needs is 5.
const deepest = 12

// byteOrderMark may stand before the text, where some editors put it.
var byteOrderMark = []byte("\ufeff")

// scan looks for what no text file should hold, before a parser sees it.
func scan(file string, data []byte) Faults {
	if len(data) > largest {
		return Faults{{File: file, Want: fmt.Sprintf("larger than 1 MiB (%d bytes): not a file of this program", len(data))}}
	}
	return scanText(file, data)
}

// scanText is scan for a file of any size.
func scanText(file string, data []byte) Faults {
	var faults Faults
	line, bad := 1, 0
	report := func(format string, what any) {
		if bad != line { // once a line is enough
			faults, bad = append(faults, Fault{File: file, Line: line, Want: fmt.Sprintf(format, what)}), line
		}
	}
	data = bytes.TrimPrefix(data, byteOrderMark)
	for i := 0; i < len(data); {
		c, size := utf8.DecodeRune(data[i:])
		switch {
		case c == utf8.RuneError && size == 1:
			report("byte %02x is not UTF-8 text: save the file as UTF-8", data[i])
		case c == '\n', c == '\r' && !bytes.HasPrefix(data[i+1:], []byte("\n")):
			line++
		case c == '\t' || c == '\r':
		case c < ' ' || c >= 0x7f && c < 0xa0 || c == 0x2028 || c == 0x2029 || c == 0xfeff || c == 0xfffe || c == 0xffff:
			report("control character U+%04X: remove it", c)
		}
		i += size
	}
	return inOrder(faults)
}

// document decodes the one document of a file. A nil node comes with faults.
func document(file string, data []byte) (*yaml.Node, Faults) {
	if faults := scan(file, data); faults != nil {
		return nil, faults
	}
	data = maskToFill(data)
	decoder := yaml.NewDecoder(bytes.NewReader(data))
	var first, second yaml.Node
	if err := decoder.Decode(&first); err != nil {
		if errors.Is(err, io.EOF) {
			return nil, Faults{{File: file, Line: 1, Want: "the file is empty"}}
		}
		return nil, Faults{syntaxFault(file, data, err)}
	}
	if first.Kind != yaml.DocumentNode || len(first.Content) != 1 {
		return nil, Faults{{File: file, Line: 1, Want: "the file is empty"}}
	}
	switch err := decoder.Decode(&second); {
	case err == nil:
		return nil, Faults{{File: file, Line: secondLine(data, &second), Want: "a second document begins here: one file holds one job or one driver"}}
	case !errors.Is(err, io.EOF):
		return nil, Faults{syntaxFault(file, data, err)}
	}
	unmaskToFill(&first)
	return first.Content[0], nil
}

// secondLine is the line on which a second document begins; an empty one carries no line of its own.
func secondLine(data []byte, second *yaml.Node) int {
	if second.Line > 0 {
		return second.Line
	}
	lines := strings.Split(string(data), "\n")
	for i := len(lines) - 1; i > 0; i-- {
		if strings.HasPrefix(lines[i], "---") {
			return i + 1
		}
	}
	return len(lines)
}

var yamlLine = regexp.MustCompile(`^yaml: (?:line (\d+): )?`)

// alias is a value that begins with *.
var alias = regexp.MustCompile(`(?m)[:,\[-] *\*\S`)

// aliasLine is the line of the first value that begins with *, 0 if none is seen.
func aliasLine(data []byte) int {
	at := alias.FindIndex(data)
	if at == nil {
		return 0
	}
	return 1 + bytes.Count(data[:at[0]], []byte("\n"))
}

// indent is white space at the beginning of a line that has a tab in it.
var indent = regexp.MustCompile(`(?m)^ *\t[ \t]*[^ \t\r\n#]`)

// slips word the parser's commonest complaints for someone who has made a slip of the keyboard.
var slips = []struct{ complaint, want string }{
	{"unknown escape character", `a \ inside "double quotes" is read as the start of a special character: write / between folders, or use 'single quotes'`},
	{"mapping values are not allowed", "a colon stands where no value can begin: look for a colon (or the space after one) missing just above, or for uneven indentation"},
	{"did not find expected ',' or ']'", "a list that begins with [ near this line is not closed with ], or lacks a comma"},
	{"did not find expected ',' or '}'", "a { near this line is not closed with }, or a comma is missing inside it"},
	{"found unexpected end of stream", "a quotation mark that is opened near this line is not closed"},
	{"could not find expected ':'", "a key near this line lacks its colon"},
	{"did not find expected key", "this line belongs to nothing above it: look for uneven indentation near it"},
	{"cannot start any token", "a text that begins with @, ` or % has to stand in quotes"},
}

// syntaxFault words a parser's complaint. The parser's lines are approximate, and it names none on the first line.
func syntaxFault(file string, data []byte, err error) Fault {
	text := err.Error()
	f := Fault{File: file, Line: 1}
	if at := indent.FindIndex(data); at != nil {
		f.Line += bytes.Count(data[:at[0]], []byte("\n"))
		f.Want = "a tab indents this line: use spaces"
		return f
	}
	if m := yamlLine.FindStringSubmatch(text); m != nil {
		text = text[len(m[0]):]
		if n, err := strconv.Atoi(m[1]); err == nil {
			f.Line = n
		}
	}
	if strings.Contains(text, "unknown anchor") {
		f.Line, f.Want = aliasLine(data), "a value begins with * and names nothing: aliases are not used here; quote a text that begins with *"
		return f
	}
	for _, s := range slips {
		if strings.Contains(text, s.complaint) {
			f.Want = s.want
			return f
		}
	}
	f.Want = "cannot be read as YAML near this line: " + shown(text)
	return f
}
