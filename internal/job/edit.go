package job

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// An EditKind says what an Edit does.
type EditKind int8

// Kinds of edits.
const (
	Set    EditKind = iota // the value at a path; keys and lists on the way are made, a list grows by one at most
	Insert                 // an entry before the one at a path, which ends in its number
	Delete                 // the value at a path with its key; nothing happens when there is none
)

// An Edit is one change of a job's text. Path names a place as faults do: cavity.blocks[2].width, entries from 1. Value
// is the new value as YAML or JSON text of one node, unused by Delete.
type Edit struct {
	Kind  EditKind
	Path  string
	Value string
}

// An EditError is an edit that cannot be made: the text does not read, or the path leads nowhere in it.
type EditError struct{ Path, Want string }

func (e *EditError) Error() string { return e.Path + ": " + e.Want }

// Apply makes edits in a job's text, one after the other, and gives the new text. Only the bytes of the values that are
// named change: comments, blank lines, order, style and line ends of all else stay. The new text is read again: when it
// does not say exactly what was to be said, an error is given and nothing is changed.
func Apply(data []byte, edits ...Edit) ([]byte, error) {
	text := data
	for _, e := range edits {
		next, err := apply(text, e)
		if err != nil {
			return nil, err
		}
		text = next
	}
	return text, nil
}

func apply(data []byte, e Edit) ([]byte, error) {
	path, err := parsePath(e.Path)
	if err != nil {
		return nil, err
	}
	var value *yaml.Node
	if e.Kind != Delete {
		if value, err = parseValue(e); err != nil {
			return nil, err
		}
	}
	bom := bytes.HasPrefix(data, byteOrderMark)
	body := bytes.TrimPrefix(data, byteOrderMark)
	root, faults := document("", body)
	if faults != nil && strings.TrimSpace(withoutComments(body)) != "" {
		return nil, &EditError{e.Path, "the file does not read as YAML: " + faults[0].Want}
	}
	if root == nil || isNull(root) {
		root = &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Line: 1, Column: 1}
	}
	c, err := find(root, path, e, value)
	if err != nil {
		return nil, err
	}
	t := newSource(body, root)
	t.edit(c)
	if len(t.text) > largest {
		return nil, &EditError{e.Path, "the file would be larger than 1 MiB"}
	}
	c.make()
	got, faults := document("", t.text)
	if faults != nil && !(len(root.Content) == 0 && got == nil) || got != nil && !sameTree(got, root) {
		return nil, &EditError{e.Path, "cannot be changed here without touching more of the file: edit it by hand"}
	}
	if bom {
		return append(append([]byte(nil), byteOrderMark...), t.text...), nil
	}
	return t.text, nil
}

// withoutComments drops lines that hold nothing but a comment, and the marks of a document's start.
func withoutComments(data []byte) string {
	var b strings.Builder
	for line := range strings.Lines(string(data)) {
		if s := strings.TrimSpace(line); !strings.HasPrefix(s, "#") && s != "---" {
			b.WriteString(line)
		}
	}
	return b.String()
}

// A pathStep is a key, or the number of an entry from 1 when key is empty.
type pathStep struct {
	key string
	no  int
}

// parsePath splits cavity.blocks[2].width into its steps.
func parsePath(path string) ([]pathStep, error) {
	var steps []pathStep
	bad := &EditError{shown(path), "not a path such as cavity.blocks[2].width"}
	for part := range strings.SplitSeq(path, ".") {
		key, rest, listed := strings.Cut(part, "[")
		if key == "" || listed && rest == "" || strings.ContainsAny(key, "]\r\n") {
			return nil, bad
		}
		steps = append(steps, pathStep{key: key})
		for rest != "" {
			number, after, closed := strings.Cut(rest, "]")
			n, err := strconv.Atoi(number)
			if err != nil || !closed || n < 1 {
				return nil, bad
			}
			steps = append(steps, pathStep{no: n})
			if after != "" && !strings.HasPrefix(after, "[") {
				return nil, bad
			}
			rest = strings.TrimPrefix(after, "[")
			if after == "[" {
				return nil, bad
			}
		}
	}
	if len(steps) > deepest {
		return nil, bad
	}
	return steps, nil
}

// parseValue reads an edit's value, which may be JSON.
func parseValue(e Edit) (*yaml.Node, error) {
	if strings.TrimSpace(e.Value) == "" {
		return nil, &EditError{e.Path, "no value to write: delete it instead"}
	}
	n, faults := document("", []byte(e.Value))
	if faults != nil {
		return nil, &EditError{e.Path, "not a value: " + faults[0].Want}
	}
	r := &reader{}
	if !r.vet(n, 0) || len(r.faults) > 0 {
		return nil, &EditError{e.Path, "not a value: " + r.faults[0].Want}
	}
	return n, nil
}

// sameTree reports whether two trees say the same, in the same order.
func sameTree(a, b *yaml.Node) bool {
	return a.Kind == b.Kind && a.Value == b.Value && isNull(a) == isNull(b) && a.Anchor == b.Anchor &&
		slices.EqualFunc(a.Content, b.Content, sameTree)
}

// child finds the node at a step below n, and its place in n.Content; nil when there is none.
func child(n *yaml.Node, s pathStep) (*yaml.Node, int) {
	switch {
	case s.key != "" && n.Kind == yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			if n.Content[i].Kind == yaml.ScalarNode && n.Content[i].Value == s.key {
				return n.Content[i+1], i + 1
			}
		}
	case s.key == "" && n.Kind == yaml.SequenceNode && s.no <= len(n.Content):
		return n.Content[s.no-1], s.no - 1
	}
	return nil, -1
}

// wrap builds the value that stands for the steps of a path that do not exist yet.
func wrap(path []pathStep, value *yaml.Node) (*yaml.Node, bool) {
	for i := len(path) - 1; i >= 0; i-- {
		outer := &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Style: yaml.FlowStyle}
		switch s := path[i]; {
		case s.key != "":
			outer.Content = []*yaml.Node{{Kind: yaml.ScalarNode, Tag: "!!str", Value: s.key}, value}
		case s.no == 1:
			outer.Kind, outer.Tag, outer.Content = yaml.SequenceNode, "!!seq", []*yaml.Node{value}
		default:
			return nil, false
		}
		value = outer
	}
	return value, true
}

// fits reports whether a step can lead on from n.
func fits(n *yaml.Node, s pathStep) bool {
	return isNull(n) || n.Kind == yaml.MappingNode && s.key != "" || n.Kind == yaml.SequenceNode && s.key == ""
}

// A change is an edit with its place: the node at an index of a collection, or behind the last.
type change struct {
	kind   EditKind
	parent *yaml.Node // nil: there is nothing to delete
	at     int        // in parent.Content; -1: behind the last
	key    string     // of a pair behind the last; empty in a list
	value  *yaml.Node
}

// find finds the place of an edit in a tree.
func find(root *yaml.Node, path []pathStep, e Edit, value *yaml.Node) (change, error) {
	wrong := func(format string, args ...any) (change, error) {
		return change{}, &EditError{e.Path, fmt.Sprintf(format, args...)}
	}
	n, last := root, len(path)-1
	for i, s := range path {
		next, at := child(n, s)
		isBare := next == nil || i < last && isNull(next) // what follows is yet to be made
		v, ok := value, true
		if isBare {
			v, ok = wrap(path[i+1:], value)
		}
		switch {
		case isBare && e.Kind == Delete:
			return change{}, nil
		case !fits(n, s):
			return wrong("%s does not hold that", shown(n.Value))
		case e.Kind == Insert && (i == last && (s.key != "" || next == nil) || i+1 == last && isBare && next != nil):
			return wrong("there is no such entry to insert before")
		case isBare && (!ok || next == nil && s.key == "" && s.no != len(n.Content)+1):
			return wrong("a list grows one entry at a time")
		case next == nil:
			return change{Set, n, -1, s.key, v}, nil
		case isBare:
			return change{Set, n, at, "", v}, nil
		case i == last:
			return change{e.Kind, n, at, "", v}, nil
		}
		n = next
	}
	return change{}, nil
}

// make makes a change in the tree: what the text is to say afterwards.
func (c change) make() {
	switch n := c.parent; {
	case n == nil:
	case c.at < 0 && c.key != "":
		n.Content = append(n.Content, &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: c.key}, c.value)
	case c.at < 0:
		n.Content = append(n.Content, c.value)
	case c.kind == Set:
		n.Content[c.at] = c.value
	case c.kind == Insert:
		n.Content = slices.Insert(n.Content, c.at, c.value)
	case n.Kind == yaml.MappingNode:
		n.Content = slices.Delete(n.Content, c.at-1, c.at+1)
	default:
		n.Content = slices.Delete(n.Content, c.at, c.at+1)
	}
}
