package job

import (
	"strings"

	"gopkg.in/yaml.v3"
)

// A Node is a place in a file's text: a text, or further nodes by key, or a list of them.
type Node struct {
	Line  int    // from 1
	Text  string // as written, without quotation marks; empty for collections and where nothing is written
	Keys  []string
	Nodes []*Node // by Keys where those are given, else the entries of a list
	Kind  NodeKind
}

// A NodeKind is what stands at a place.
type NodeKind int8

// Kinds of nodes.
const (
	TextNode NodeKind = iota
	KeysNode
	ListNode
)

// Tree reads a file's text into nodes, whatever they mean; an empty file has none. Errors are Faults.
func Tree(name string, data []byte) (*Node, error) {
	root, faults := document(name, data)
	if faults != nil {
		return nil, faults
	}
	r := &reader{file: name}
	if !r.vet(root, 0) {
		return nil, r.faults
	}
	return newNode(root), nil
}

func newNode(n *yaml.Node) *Node {
	out := &Node{Line: n.Line}
	switch n.Kind {
	case yaml.MappingNode:
		out.Kind = KeysNode
		for i := 0; i+1 < len(n.Content); i += 2 {
			out.Keys = append(out.Keys, n.Content[i].Value)
			out.Nodes = append(out.Nodes, newNode(n.Content[i+1]))
		}
	case yaml.SequenceNode:
		out.Kind = ListNode
		for _, c := range n.Content {
			out.Nodes = append(out.Nodes, newNode(c))
		}
	default:
		if !isNull(n) {
			out.Text = n.Value
		}
	}
	return out
}

// textNode is a value that stands in a table: nothing where it is empty.
func textNode(value string, line, column int) *yaml.Node {
	n := &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: strings.TrimSpace(value), Line: line, Column: column}
	if n.Value == "" {
		n.Tag = "!!null"
	}
	return n
}

// put adds a value to a mapping under its key, or under bolts.circle to the mapping of that key in it.
func put(n *yaml.Node, key string, value *yaml.Node) {
	if above, below, nested := strings.Cut(key, "."); nested {
		if valueOf(n, above) == nil {
			put(n, above, &yaml.Node{Kind: yaml.MappingNode, Line: n.Line})
		}
		put(valueOf(n, above), below, value)
		return
	}
	n.Content = append(n.Content, textNode(key, value.Line, value.Column), value)
}

// Units is the unit of bare lengths that a file names with its key units; false when it names none.
func (n *Node) Units() (name string, ok bool) {
	if u := n.At("units"); u != nil && (u.Text == "in" || u.Text == "mm") {
		return u.Text, true
	}
	return "", false
}

// At finds the node at a path as faults name it; nil when there is none.
func (n *Node) At(path string) *Node {
	steps, err := parsePath(path)
	if err != nil {
		return nil
	}
	for _, s := range steps {
		if n = n.step(s); n == nil {
			return nil
		}
	}
	return n
}

func (n *Node) step(s pathStep) *Node {
	if s.key == "" {
		if n.Kind == ListNode && s.no <= len(n.Nodes) {
			return n.Nodes[s.no-1]
		}
		return nil
	}
	for i, k := range n.Keys {
		if k == s.key {
			return n.Nodes[i]
		}
	}
	return nil
}
