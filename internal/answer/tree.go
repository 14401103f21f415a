package answer

import (
	"regexp"
	"strings"

	"cubby/internal/job"
	"cubby/internal/unit"
)

// A Node is a place in the job with what is written there. Exactly one of Text, Keys and Entries is given.
type Node struct {
	Text    *string  `json:"t,omitempty"`   // as written
	MM      *float64 `json:"mm,omitempty"`  // when it can be read as a length
	System  string   `json:"sys,omitempty"` // in which a size is written: mm or in
	Other   string   `json:"alt,omitempty"` // the same size in the other system
	Keys    []string `json:"k,omitempty"`
	Nodes   []*Node  `json:"n,omitempty"` // of the keys
	Entries []*Node  `json:"l,omitempty"`
	IsList  bool     `json:"list,omitempty"`
}

func newNode(n *job.Node, units string) *Node {
	out := &Node{}
	switch n.Kind {
	case job.TextNode:
		out.Text = &n.Text
		out.size(n.Text, units)
		return out
	case job.KeysNode:
		out.Keys = append([]string{}, n.Keys...)
	case job.ListNode:
		out.IsList = true
	}
	for _, c := range n.Nodes {
		if out.IsList {
			out.Entries = append(out.Entries, newNode(c, units))
		} else {
			out.Nodes = append(out.Nodes, newNode(c, units))
		}
	}
	return out
}

// inches are the spellings of units of the inch system, behind a number.
var inches = regexp.MustCompile(`["']|\d *-?(?:in|inch|inches|ft|foot|feet|yd|sq|cu|cubic|square|lb|lbs|pounds?|oz|ounces?)(?:$|[ .23])`)

// metric sizes that begin with a word the inch system has as well.
var metricWord = regexp.MustCompile(`(?:cu|sq) *(?:c?m|mm)$`)

// size reads a text as a size and gives it in both systems; what is no size stays a text.
func (n *Node) size(text, units string) {
	own, other := unit.Metric, unit.Inch
	if units == "in" {
		own, other = other, own
	}
	v, err := unit.Parse(text, unit.Length, own)
	if err == nil {
		w, _ := unit.Parse(text, unit.Length, other)
		written := own
		if v == w && v != 0 { // it says its unit
			written = systemOf(text)
		}
		mm := v * 1000
		n.MM, n.System, n.Other = &mm, written.String(), length(v, opposite(written))
		return
	}
	for _, d := range []struct {
		dimension unit.Dimension
		format    func(float64, unit.System) string
	}{{unit.Volume, unit.FormatVolume}, {unit.Area, unit.FormatArea}, {unit.Mass, unit.FormatMass}} {
		if v, err := unit.Parse(text, d.dimension, own); err == nil {
			s := systemOf(text)
			n.System, n.Other = s.String(), d.format(v, opposite(s))
			return
		}
	}
}

func systemOf(text string) unit.System {
	if inches.MatchString(text) && !metricWord.MatchString(text) {
		return unit.Inch
	}
	return unit.Metric
}

func opposite(s unit.System) unit.System {
	if s == unit.Inch {
		return unit.Metric
	}
	return unit.Inch
}

// length is a length as a field shows it, without its unit: to a tenth of a millimetre or a 32nd of an inch.
func length(m float64, s unit.System) string {
	if s == unit.Inch {
		return unit.Fraction(m, 32)
	}
	return strings.TrimSuffix(unit.Millimetres(m, 1), ".0")
}
