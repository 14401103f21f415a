package job

import (
	"fmt"
	"regexp"
	"sort"
	"strings"

	"cubby/internal/unit"
	"cubby/internal/word"

	"gopkg.in/yaml.v3"
)

// A reader walks one file's nodes and gathers its faults.
type reader struct {
	file   string
	sys    unit.System
	stated bool            // the file says its units
	bare   int             // line of the first length without a unit in a file that does not say its units, 0 none
	alias  int             // line of the last alias that was reported
	table  bool            // faults name the column of their node
	listed map[string]bool // places whose known keys have been listed
	faults Faults
}

// A field reads the node that stands at path.
type field func(n *yaml.Node, path string)

// fault records that the value of n, which stands at path, is wrong.
func (r *reader) fault(n *yaml.Node, path, format string, args ...any) {
	f := Fault{File: r.file, Line: n.Line, Field: path, Want: fmt.Sprintf(format, args...)}
	switch n.Kind {
	case yaml.ScalarNode:
		f.Value = shown(n.Value)
	case yaml.AliasNode:
		f.Value = shown("*" + n.Value)
	}
	if r.table {
		f.Column = n.Column
	}
	r.faults = append(r.faults, f)
}

// note records a fault that has no value of its own: something missing, unknown or twice.
func (r *reader) note(n *yaml.Node, path, format string, args ...any) {
	r.faults = append(r.faults, Fault{File: r.file, Line: n.Line, Field: path, Want: fmt.Sprintf(format, args...)})
}

// vet refuses, all over the tree, what job files have no use for. It does not follow aliases. It reports whether the
// tree is fit to be walked.
func (r *reader) vet(n *yaml.Node, depth int) bool {
	if depth > deepest {
		r.note(n, "", "nested too deep: no list or key lies more than %d deep in others", deepest)
		return false
	}
	if n.Kind == yaml.AliasNode {
		if n.Line != r.alias { // once a line is enough
			r.fault(n, "", "aliases are not used here: write the value out, or quote a text that begins with *")
		}
		r.alias = n.Line
		return true
	}
	if n.Anchor != "" {
		r.note(n, "", "&%s: anchors are not used here: remove it, or quote a text that begins with &", shown(n.Anchor))
	}
	if n.Style&yaml.TaggedStyle != 0 {
		r.note(n, "", "%s: tags are not used here: remove it, or quote a text that begins with !", shown(n.Tag))
	}
	for _, c := range n.Content {
		if !r.vet(c, depth+1) {
			return false
		}
	}
	return true
}

// A need is a key that a mapping must have, with what is to be written there.
type need struct{ key, what string }

// examples are what may be written where a mapping is wanted, by its path without the numbers of entries.
var examples = map[string]string{
	"air":             "{temperature: 25 C}",
	"amplifier":       "{power: 500 W, into: 2 ohm}",
	"amplifier.boost": "{frequency: 45 Hz, gain: 3 dB}",
	"box":             "{kind: sealed, net_volume: 20 l}",
	"box.filling":     "{fraction: 0.8, density: 12 kg/m3}",
	"box.outside":     "{width: 500 mm, depth: 340 mm, height: 360 mm}",
	"box.passive":     "{sd: 480 cm2, fs: 22 Hz, vas: 90 l, qms: 8, xmax: 14 mm, mass_added: 200 g}",
	"box.port":        "{diameter: 100 mm, length: 220 mm}",
	"box.port.slot":   "{height: 40 mm, width: 320 mm}",
	"cavity":          "{width: 1100 mm, depth: 360 mm, height: 200 mm}",
	"cavity.passage":  "{width: 1000 mm, height: 350 mm}",
	"corners":         "{between: [bottom, back], joint: mitre}",
	"drawing":         "{projection: first}",
	"driver.bolts":    "{circle: 253 mm, count: 8, hole: 5.5 mm}",
	"driver.coils":    "{count: 2, impedance: 2 ohm}",
	"fixings":         "{face: bottom, from_left: 120 mm, from_front: 80 mm, kind: insert}",
	"limits":          "{net_volume: 20 l}",
	"mount":           "{face: top, count: 1}",
	"mount.at":        "{from_left: 300 mm, from_floor: 150 mm}",
	"passive":         "{sd: 480 cm2, fs: 22 Hz, vas: 90 l, qms: 8, xmax: 14 mm, mass_added: 200 g}",
	"placing":         "{minute: 0.02 dB, board: 6, corner: 3}",
	"port":            "{bores: [75 mm, 100 mm], edge: 6 mm}",
	"port.at":         "{face: front, from_left: 100 mm}",
	"port.flange":     "{rim: 20 mm}",
	"prices":          "{glue: 5, screws: 4}",
	"saw":             "{kerf: 3 mm}",
	"saw.handle":      "{length: 1200 mm, width: 800 mm}",
	"stock":           "{length: 2440 mm, width: 1220 mm, count: 2}",
	"terminal":        "{face: left}",
	"vehicle":         "{cabin_length: 2.7 m}",
	"wood":            "{sheet: MDF, thickness: 18 mm}",
	"wood.covering":   "{kind: carpet, thickness: 4 mm}",
}

// millimetres is a length in an example.
var millimetres = regexp.MustCompile(`([\d.]+) mm`)

// inUnits gives an example with its lengths in a file's own units, to an eighth of an inch.
func inUnits(example string, sys unit.System) string {
	if sys == unit.Metric {
		return example
	}
	return millimetres.ReplaceAllStringFunc(example, func(s string) string {
		v, err := unit.Parse(s, unit.Length, sys)
		if err != nil {
			return s
		}
		return unit.Fraction(v, 8) + " in"
	})
}

// entry is the number of an entry in a path.
var entry = regexp.MustCompile(`\[\d+\]`)

// keysWanted says what is wanted where a mapping must stand: an example, or the keys.
func (r *reader) keysWanted(path string, fields map[string]field, required []need) string {
	path = entry.ReplaceAllString(path, "")
	for _, p := range []string{path, "driver." + path} { // a driver file's keys stand at the top of it
		if e, ok := examples[p]; ok {
			return "keys with values, such as " + inUnits(e, r.sys)
		}
	}
	return "keys with values: " + strings.Join(keysOf(fields, required), ", ")
}

// A mapping is one that was read: the nodes of its values by key, those under a misspelt key too. Where none stands it
// has no key, and what is to be said of it is not.
type mapping struct {
	*reader
	node   *yaml.Node // nil where none stands
	path   string
	values map[string]*yaml.Node
}

// has reports whether a key is written.
func (m mapping) has(key string) bool { return m.values[key] != nil }

// refuse faults the value of a key that is written when it is wrong.
func (m mapping) refuse(key string, wrong bool, format string, args ...any) {
	if wrong && m.has(key) {
		m.fault(m.values[key], join(m.path, key), format, args...)
	}
}

// remark is refuse for what is wrong with a key whatever its value.
func (m mapping) remark(key string, wrong bool, format string, args ...any) {
	if wrong && m.has(key) {
		m.note(m.values[key], join(m.path, key), format, args...)
	}
}

// refuseAll notes what is wrong with the mapping as a whole.
func (m mapping) refuseAll(wrong bool, format string, args ...any) {
	if wrong && m.node != nil {
		m.note(m.node, m.path, format, args...)
	}
}

// missing notes a key that is not written beside another that is.
func (m mapping) missing(key string, wanted bool, beside, what string) {
	if wanted && m.has(beside) && !m.has(key) {
		m.note(m.values[beside], join(m.path, key), "missing: %s", what)
	}
}

// read reads the value of a key that waited for others, if it is written.
func (m mapping) read(key string, read field) {
	if n := valueOf(m.node, key); n != nil {
		read(n, join(m.path, key))
	}
}

// later is the field of a key that is read before the others or after them.
func later(*yaml.Node, string) {}

// keys is a field that is a mapping of which no more is to be said.
func (r *reader) keys(fields map[string]field, required ...need) field {
	return func(n *yaml.Node, path string) { r.object(n, path, fields, required...) }
}

// object reads a mapping with the given fields.
func (r *reader) object(n *yaml.Node, path string, fields map[string]field, required ...need) mapping {
	if n.Kind != yaml.MappingNode {
		if n.Kind != yaml.AliasNode { // refused by vet
			r.wrongKind(n, path, r.keysWanted(path, fields, required))
		}
		return mapping{}
	}
	found, meant := make(map[string]*yaml.Node), map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		if !r.key(key, path) {
			continue
		}
		at := join(path, key.Value)
		if first, twice := found[key.Value]; twice {
			r.note(key, shown(at), "stands twice; first on line %d", first.Line)
			continue
		}
		found[key.Value] = value
		if read, known := fields[key.Value]; known {
			read(value, at)
			continue
		}
		meant[r.unknown(key, value, path, fields)] = value
	}
	for key, n := range meant { // one fault is enough for what is written under another name
		if key != "" && found[key] == nil {
			found[key] = n
		}
	}
	for _, k := range required {
		if found[k.key] == nil {
			r.note(n, join(path, k.key), "missing; want %s", k.what)
		}
	}
	return mapping{r, n, path, found}
}

// key reports whether a mapping's key is a plain word.
func (r *reader) key(key *yaml.Node, path string) bool {
	switch {
	case key.ShortTag() == "!!merge":
		r.note(key, path, "<<: merging is not used here: write the values out")
		return false
	case key.Kind == yaml.AliasNode:
		return false
	case key.Kind != yaml.ScalarNode:
		r.fault(key, path, "a key must be a word")
		return false
	}
	return true
}

// unknown reports a key that is not among the fields, with the nearest one that is, and gives that.
func (r *reader) unknown(key, value *yaml.Node, path string, fields map[string]field) string {
	at := shown(join(path, key.Value))
	if len(r.faults) >= most { // not going to be read
		r.note(key, at, "unknown key")
		return ""
	}
	names := keysOf(fields, nil)
	if right, but := rightKey(key.Value, fields); right != "" {
		r.note(key, at, "unknown key; %s", renamed(right, but, value))
		return right
	}
	if near := word.Nearest(key.Value, names); near != "" {
		r.note(key, at, "unknown key, did you mean %s?", near)
		return near
	}
	if place := entry.ReplaceAllString(path, ""); !r.listed[place] { // once is enough
		if r.listed == nil {
			r.listed = map[string]bool{}
		}
		r.listed[place] = true
		r.note(key, at, "unknown key; known here: %s", strings.Join(names, ", "))
		return ""
	}
	r.note(key, at, "unknown key")
	return ""
}

// keysOf lists the known keys: the required ones when there are any, else all in order of the alphabet.
func keysOf(fields map[string]field, required []need) []string {
	names := make([]string, 0, len(fields))
	for _, k := range required {
		names = append(names, k.key)
	}
	if len(required) > 0 {
		return names
	}
	for k := range fields {
		names = append(names, k)
	}
	sort.Strings(names)
	return names
}

// join appends a key to a path.
func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// list reads each entry of a list; entries are counted from 1 in paths. It gives the number of entries, -1 if n is
// none.
func (r *reader) list(n *yaml.Node, path, of string, atMost int, read field) int {
	if n.Kind == yaml.AliasNode {
		return -1
	}
	if n.Kind != yaml.SequenceNode {
		r.wrongKind(n, path, "a list of "+of)
		return -1
	}
	if len(n.Content) == 0 {
		r.fault(n, path, "the list is empty; want %s", of)
	}
	if len(n.Content) > atMost {
		r.fault(n, path, "%d entries are too many: at most %d", len(n.Content), atMost)
		return len(n.Content)
	}
	for i, c := range n.Content {
		read(c, fmt.Sprintf("%s[%d]", path, i+1))
	}
	return len(n.Content)
}

// entries is a field that is a list of which each entry is read alike.
func (r *reader) entries(of string, atMost int, read field) field {
	return func(n *yaml.Node, path string) { r.list(n, path, of, atMost, read) }
}

// scalar reports whether n is a single value, and faults it otherwise.
func (r *reader) scalar(n *yaml.Node, path, want string) bool {
	if n.Kind == yaml.AliasNode || r.fillIn(n, path, want) {
		return false
	}
	if n.Kind != yaml.ScalarNode || isNull(n) {
		r.wrongKind(n, path, want)
		return false
	}
	return true
}

// wrongKind faults a node that is empty, or a list or mapping where something else is wanted.
func (r *reader) wrongKind(n *yaml.Node, path, want string) {
	if r.fillIn(n, path, want) {
		return
	}
	if isNull(n) {
		r.note(n, path, "nothing is written here; want %s", want)
		return
	}
	switch n.Kind {
	case yaml.MappingNode:
		want = "keys and values are written here; want " + want
	case yaml.SequenceNode:
		want = "a list is written here; want " + want
	default:
		want = "want " + want
	}
	r.fault(n, path, "%s", want)
}

// isNull reports whether a node is empty: a key without a value, or null.
func isNull(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.ShortTag() == "!!null" }
