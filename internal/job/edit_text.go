package job

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// A source is a file's text with the nodes that were read from it.
type source struct {
	text  []byte
	lines []int // offsets of the beginnings of lines
	root  *yaml.Node
	eol   string
}

func newSource(text []byte, root *yaml.Node) *source {
	s := &source{text: text, lines: []int{0}, root: root, eol: "\n"}
	for i, c := range text {
		if c == '\n' || c == '\r' && !bytes.HasPrefix(text[i+1:], []byte("\n")) {
			s.lines = append(s.lines, i+1)
		}
	}
	if bytes.Contains(text, []byte("\r\n")) {
		s.eol = "\r\n"
	}
	return s
}

// start is the offset of a node's first byte.
func (s *source) start(n *yaml.Node) int {
	if n.Line < 1 || n.Line > len(s.lines) {
		return len(s.text)
	}
	at := s.lines[n.Line-1]
	for range n.Column - 1 {
		if at >= len(s.text) {
			break
		}
		_, size := utf8.DecodeRune(s.text[at:])
		at += size
	}
	return at
}

// end is the offset behind a node's last byte; an empty value ends where it begins.
func (s *source) end(n *yaml.Node) int {
	at := s.start(n)
	switch {
	case n.Kind == yaml.ScalarNode:
		return s.scalarEnd(n, at)
	case n.Style&yaml.FlowStyle != 0:
		if len(n.Content) > 0 {
			at = s.end(n.Content[len(n.Content)-1])
		} else {
			at = min(at+1, len(s.text))
		}
		at = s.skip(at, ",")
		return min(at+1, len(s.text)) // the bracket that closes it
	case len(n.Content) > 0:
		return s.valueEnd(n, len(n.Content)-1)
	}
	return at
}

// valueEnd is the end of the i-th node of a collection; an empty value ends behind its key's colon or its dash.
func (s *source) valueEnd(n *yaml.Node, i int) int {
	v := n.Content[i]
	if !isNull(v) || v.Value != "" {
		return s.end(v)
	}
	if n.Kind == yaml.MappingNode {
		return min(s.skip(s.end(n.Content[i-1]), "")+1, len(s.text))
	}
	return s.start(v)
}

// skip passes blanks, line ends, comments and the given marks.
func (s *source) skip(at int, marks string) int {
	for at < len(s.text) {
		c := s.text[at]
		switch {
		case c == ' ' || c == '\t' || c == '\n' || c == '\r' || strings.IndexByte(marks, c) >= 0:
			at++
		case c == '#' && (at == 0 || strings.IndexByte(" \t\r\n", s.text[at-1]) >= 0):
			at = s.lineEnd(at)
		default:
			return at
		}
	}
	return at
}

// lineEnd is the offset of the end of the line that holds at, before its line end.
func (s *source) lineEnd(at int) int {
	for at < len(s.text) && s.text[at] != '\n' && s.text[at] != '\r' {
		at++
	}
	return at
}

// nextLine is the offset of the line after the one that holds at.
func (s *source) nextLine(at int) int {
	at = s.lineEnd(at)
	switch {
	case bytes.HasPrefix(s.text[at:], []byte("\r\n")):
		return at + 2
	case at < len(s.text):
		return at + 1
	}
	return at
}

// lineStart is the offset of the beginning of the line that holds at.
func (s *source) lineStart(at int) int {
	for at > 0 && s.text[at-1] != '\n' && s.text[at-1] != '\r' {
		at--
	}
	return at
}

// scalarEnd finds the end of a scalar that begins at an offset.
func (s *source) scalarEnd(n *yaml.Node, at int) int {
	t := s.text
	switch n.Style {
	case yaml.DoubleQuotedStyle:
		for i := at + 1; i < len(t); i++ {
			if t[i] == '\\' {
				i++
			} else if t[i] == '"' {
				return i + 1
			}
		}
		return len(t)
	case yaml.SingleQuotedStyle:
		for i := at + 1; i < len(t); i++ {
			if t[i] != '\'' {
				continue
			}
			if i+1 >= len(t) || t[i+1] != '\'' {
				return i + 1
			}
			i++
		}
		return len(t)
	case yaml.LiteralStyle, yaml.FoldedStyle:
		return s.blockEnd(at)
	}
	// A plain scalar's text is its value, but for breaks between its words.
	for rest := n.Value; rest != "" && at < len(t); {
		if c := rest[0]; c == ' ' || c == '\n' {
			for rest != "" && (rest[0] == ' ' || rest[0] == '\n') {
				rest = rest[1:]
			}
			for at < len(t) && strings.IndexByte(" \t\r\n", t[at]) >= 0 {
				at++
			}
			continue
		}
		rest, at = rest[1:], at+1
	}
	return min(at, len(t))
}

// blockEnd is the end of a block scalar whose mark stands at an offset: the lines that are indented further than its
// own.
func (s *source) blockEnd(at int) int {
	depth := func(from int) int {
		return len(s.text[from:s.lineEnd(from)]) - len(bytes.TrimLeft(s.text[from:s.lineEnd(from)], " "))
	}
	own, end := depth(s.lineStart(at)), s.lineEnd(at)
	for next := s.nextLine(end); next < len(s.text); next = s.nextLine(next) {
		line := s.text[next:s.lineEnd(next)]
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		if depth(next) <= own {
			break
		}
		end = s.lineEnd(next)
	}
	return end
}

// splice replaces bytes of the text. Nodes are out of place afterwards.
func (s *source) splice(from, to int, with string) {
	s.text = append(append(append(make([]byte, 0, len(s.text)+len(with)), s.text[:from]...), with...), s.text[to:]...)
}

// edit makes a change in the text.
func (s *source) edit(c change) {
	switch {
	case c.parent == nil:
	case c.at < 0 && c.key != "":
		s.add(c.parent, plainOr(c.key)+": "+s.written(c.parent, c.value), "")
	case c.at < 0:
		s.add(c.parent, s.written(c.parent, c.value), "- ")
	case c.kind == Set:
		s.replace(c.parent, c.at, c.value)
	case c.kind == Insert:
		s.insert(c.parent, c.at, c.value)
	default:
		s.remove(c.parent, c.at)
	}
}

// replace writes a value in the place of the i-th node of a collection.
func (s *source) replace(parent *yaml.Node, i int, value *yaml.Node) {
	old := parent.Content[i]
	if isNull(old) && old.Value == "" {
		at := s.valueEnd(parent, i)
		s.splice(at, at, " "+s.written(parent, value))
		return
	}
	s.splice(s.start(old), s.end(old), s.written(parent, value))
}

// written is a value as it stands in a collection: on lines of its own a text needs fewer quotation marks than in
// brackets.
func (s *source) written(parent, value *yaml.Node) string {
	if value.Kind == yaml.ScalarNode && parent.Style&yaml.FlowStyle == 0 && !isNull(value) && wordy.MatchString(value.Value) &&
		reads("k: "+value.Value+"\n", value.Value) {
		return value.Value
	}
	return flow(value)
}

// add writes a further pair or entry behind the last of a collection.
func (s *source) add(parent *yaml.Node, text, mark string) {
	count := len(parent.Content)
	if parent.Style&yaml.FlowStyle != 0 {
		if count == 0 {
			at := min(s.start(parent)+1, len(s.text))
			s.splice(at, at, text)
			return
		}
		at := s.valueEnd(parent, count-1)
		s.splice(at, at, ", "+text)
		return
	}
	indent := 0
	at := len(s.text)
	if count > 0 {
		at = s.nextLine(s.valueEnd(parent, count-1))
		indent = parent.Column - 1
	}
	line := strings.Repeat(" ", indent) + mark + text + s.eol
	if at > 0 && s.text[at-1] != '\n' && s.text[at-1] != '\r' {
		line = s.eol + strings.TrimSuffix(line, s.eol)
	}
	s.splice(at, at, line)
}

// insert writes an entry before the i-th of a list.
func (s *source) insert(parent *yaml.Node, i int, value *yaml.Node) {
	at := s.start(parent.Content[i])
	if parent.Style&yaml.FlowStyle != 0 {
		s.splice(at, at, flow(value)+", ")
		return
	}
	dash := at
	for dash > 0 && s.text[dash] != '-' || dash == at && s.text[at] == '-' {
		dash--
	}
	s.splice(dash, dash, "- "+flow(value)+s.eol+strings.Repeat(" ", parent.Column-1))
}

// remove takes the i-th node out of a collection, with its key.
func (s *source) remove(parent *yaml.Node, i int) {
	first, pairs := i, 1
	if parent.Kind == yaml.MappingNode {
		first, pairs = i-1, 2
	}
	from, to := s.start(parent.Content[first]), s.valueEnd(parent, i)
	switch {
	case len(parent.Content) == pairs && parent == s.root && parent.Style&yaml.FlowStyle == 0:
		s.splice(s.lineStart(from), s.nextLine(to), "")
	case len(parent.Content) == pairs && parent.Style&yaml.FlowStyle == 0:
		s.splice(s.start(parent), to, map[yaml.Kind]string{yaml.MappingNode: "{}", yaml.SequenceNode: "[]"}[parent.Kind])
	case parent.Style&yaml.FlowStyle != 0:
		s.removeFlow(parent, first, from, to)
	default:
		s.removeBlock(parent, i, from, to)
	}
}

// removeFlow takes an entry out of a collection in brackets, with one comma.
func (s *source) removeFlow(parent *yaml.Node, first, from, to int) {
	if next := s.skip(to, ""); next < len(s.text) && s.text[next] == ',' {
		to = next + 1
		for to < len(s.text) && s.text[to] == ' ' {
			to++
		}
		s.splice(from, to, "")
		return
	}
	if first == 0 {
		s.splice(from, to, "")
		return
	}
	comma := s.skip(s.valueEnd(parent, first-1), "")
	if comma >= len(s.text) || s.text[comma] != ',' {
		return
	}
	if len(bytes.TrimSpace(s.text[comma+1:from])) == 0 {
		s.splice(comma, to, "")
		return
	}
	s.splice(from, to, "") // a comment stands between: the comma before it may stay
}

// removeBlock takes a pair or an entry out of a collection that stands on lines of its own, with what stands behind it
// on its last line.
func (s *source) removeBlock(parent *yaml.Node, last, from, to int) {
	line := s.lineStart(from)
	ahead := strings.TrimLeft(string(s.text[line:from]), " ")
	if ahead == "" || parent.Kind == yaml.SequenceNode && strings.TrimRight(ahead, " ") == "-" {
		s.splice(line, s.nextLine(to), "")
		return
	}
	if last+1 < len(parent.Content) { // it begins on the line of a dash or a key: what follows moves up
		next := s.start(parent.Content[last+1])
		if parent.Kind == yaml.SequenceNode {
			for next > to && s.text[next-1] != '-' {
				next--
			}
			for from > line && s.text[from-1] != '-' {
				from--
			}
		}
		s.splice(from, next, "")
	}
}

// flow writes a node in one line.
func flow(n *yaml.Node) string {
	parts := make([]string, 0, len(n.Content))
	switch n.Kind {
	case yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			parts = append(parts, flow(n.Content[i])+": "+flow(n.Content[i+1]))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case yaml.SequenceNode:
		for _, c := range n.Content {
			parts = append(parts, flow(c))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	if isNull(n) {
		return "null"
	}
	return plainOr(n.Value)
}

// safe is a text that means itself without quotation marks, wherever it stands.
var safe = regexp.MustCompile(`^-?[A-Za-z0-9_./][A-Za-z0-9_./()%+"'²³µΩ½¼¾⅛⅜⅝⅞-]*(?: [A-Za-z0-9_./()%+"'²³µΩ½¼¾⅛⅜⅝⅞-]+)*$`)

// wordy is a text that may mean itself where a line holds nothing else.
var wordy = regexp.MustCompile(`^-?[\pL\pN_./(][^\pC#]*$`)

// reads reports whether a text of one pair or one list reads as this value in its last place.
func reads(text, value string) bool {
	n, faults := document("", []byte(text))
	if faults != nil || len(n.Content) != 2 {
		return false
	}
	c := n.Content[1]
	return c.Kind == yaml.ScalarNode && c.Value == value && !isNull(c)
}

// plainOr writes a text plainly where that reads back as the same text, else in quotation marks.
func plainOr(text string) string {
	if safe.MatchString(text) && reads("[x, "+text+"]", text) {
		return text
	}
	return inQuotes(text)
}

// inQuotes writes a text in quotation marks: single ones, or double ones with escapes where it holds what cannot stand
// bare.
func inQuotes(text string) string {
	for _, c := range text {
		if c < ' ' || c >= 0x7f && c < 0xa0 || c == 0x2028 || c == 0x2029 || c == 0xfeff || c > 0xffff {
			b, _ := json.Marshal(text) // a string: cannot fail; every JSON string is a YAML one
			return string(b)
		}
	}
	return "'" + strings.ReplaceAll(text, "'", "''") + "'"
}
