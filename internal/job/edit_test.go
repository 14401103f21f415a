package job

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"
)

func TestApply(t *testing.T) {
	for _, c := range []struct {
		name, in, want string
		edits          []Edit
	}{
		{"scalar in a line with a comment", "a: 1 # one\nb: 2\n", "a: 12 mm # one\nb: 2\n", []Edit{{Set, "a", "12 mm"}}},
		{"inside braces", "m: {face: top, count: 1} # x\n", "m: {face: top, count: 2} # x\n", []Edit{{Set, "m.count", "2"}}},
		{"a key inside braces", "m: {face: top}\n", "m: {face: top, air_in_front: 30}\n", []Edit{{Set, "m.air_in_front", "30"}}},
		{"a key under a key", "c:\n  width: 4 # w\n\nd: 1\n", "c:\n  width: 4 # w\n  gap: 3/8\n\nd: 1\n", []Edit{{Set, "c.gap", "3/8"}}},
		{"a key of the file", "a: 1", "a: 1\nb: {c: 5}", []Edit{{Set, "b.c", "5"}}},
		{"an empty file", "", "units: mm\n", []Edit{{Set, "units", "mm"}}},
		{"comments alone", "# mine\n", "# mine\nunits: mm\n", []Edit{{Set, "units", "mm"}}},
		{"a key without a value", "driver: # which?\nb: 1\n", "driver: x.yaml # which?\nb: 1\n", []Edit{{Set, "driver", "x.yaml"}}},
		{"below a key without a value", "amplifier:\nb: 1\n", "amplifier: {power: 5 W}\nb: 1\n", []Edit{{Set, "amplifier.power", "5 W"}}},
		{"an entry of a flow list", "p: [[0, 0], [14, 0]]\n", "p: [[0, 0], [14, 2]]\n", []Edit{{Set, "p[2][2]", "2"}}},
		{"a further entry", "p: [[0, 0], [14, 0]] # p\n", "p: [[0, 0], [14, 0], [1, 2]] # p\n", []Edit{{Set, "p[3]", "[1, 2]"}}},
		{"a further line of a list", "b:\n  - {name: a}\n  # end\nc: 1\n", "b:\n  - {name: a}\n  - {name: rail}\n  # end\nc: 1\n", []Edit{{Set, "b[2]", `{"name":"rail"}`}}},
		{"a first entry", "c: {w: 1}\n", "c: {w: 1, b: [{n: x}]}\n", []Edit{{Set, "c.b[1]", "{n: x}"}}},
		{"before an entry", "b:\n  - one # 1\n  - two\n", "b:\n  - one # 1\n  - and\n  - two\n", []Edit{{Insert, "b[2]", "and"}}},
		{"before an entry in brackets", "b: [1, 2]\n", "b: [0, 1, 2]\n", []Edit{{Insert, "b[1]", "0"}}},
		{"out of brackets", "b: [1, 2, 3]\n", "b: [1, 3]\n", []Edit{{Delete, "b[2]", ""}}},
		{"the last out of brackets", "b: {x: 1, y: 2}\n", "b: {x: 1}\n", []Edit{{Delete, "b.y", ""}}},
		{"a line", "a: 1\n# about b\nb: 2 # two\nc: 3\n", "a: 1\n# about b\nc: 3\n", []Edit{{Delete, "b", ""}}},
		{"a whole section", "a: 1\nb:\n  x: 1\n  y: [1,\n    2]\nc: 3\n", "a: 1\nc: 3\n", []Edit{{Delete, "b", ""}}},
		{"the first pair of an entry", "b:\n  - x: 1\n    y: 2\n", "b:\n  - y: 2\n", []Edit{{Delete, "b[1].x", ""}}},
		{"what is not there", "a: 1\n", "a: 1\n", []Edit{{Delete, "b.c[4]", ""}}},
		{"line ends of the other kind", "a: 1\r\nc:\r\n  d: 2\r\n", "a: 5\r\nc:\r\n  d: 2\r\n  e: 3\r\n", []Edit{{Set, "a", "5"}, {Set, "c.e", "3"}}},
		{"a mark of byte order", "\ufeffa: 1\n", "\ufeffa: 2\n", []Edit{{Set, "a", "2"}}},
		{"quotes kept out", "a: 'it''s'\nb: \"q\\\"\"\n", "a: 1/2\"\nb: 3\n", []Edit{{Set, "a", `1/2"`}, {Set, "b", "3"}}},
		{"a text that would mean something", "a: 1\n", "a: 'x: y, [z]'\n", []Edit{{Set, "a", `"x: y, [z]"`}}},
		{"an over-long plain text", "a: one\n  two\nb: 1\n", "a: x\nb: 1\n", []Edit{{Set, "a", "x"}}},
		{"a block text", "a: |\n  one\n  two\nb: 1\n", "a: x\nb: 1\n", []Edit{{Set, "a", "x"}}},
		{"words with commas", "a: b\n", "a: Estate car, old\n", []Edit{{Set, "a", `"Estate car, old"`}}},
		{"a section by a value", "c:\n  w: 1\n  h: 2\nd: 1\n", "c:\n  {x: 1}\nd: 1\n", []Edit{{Set, "c", "{x: 1}"}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Apply([]byte(c.in), c.edits...)
			if err != nil {
				t.Fatal(err)
			}
			if string(got) != c.want {
				t.Errorf("got  %q\nwant %q", got, c.want)
			}
		})
	}
}

func TestApplyRefuses(t *testing.T) {
	for _, c := range []struct{ in, path, value string }{
		{"a: 1\n", "a.b", "2"}, {"a: [1]\n", "a[3]", "2"}, {"a: [1]\n", "a.b", "2"}, {"a: {b: 1}\n", "a[1]", "2"},
		{"a: [\n", "a", "2"}, {"a: 1\n", "", "2"}, {"a: 1\n", "a[", "2"}, {"a: 1\n", "a[0]", "2"}, {"a: 1\n", "a", ""},
		{"a: 1\n", "a", "*x"}, {"a: 1\n", "a", "!t x"}, {"a: 1\n", "a", "{"},
	} {
		if got, err := Apply([]byte(c.in), Edit{Set, c.path, c.value}); err == nil {
			t.Errorf("%q: %s = %q was written: %q", c.in, c.path, c.value, got)
		}
	}
}

// examples are all jobs of the examples, with their comments, styles and orders.
func exampleJobs(t testing.TB) [][]byte {
	names, _ := filepath.Glob(filepath.Join("..", "..", "examples", "*.yaml"))
	if len(names) < 5 {
		t.Fatalf("only %d examples", len(names))
	}
	var all [][]byte
	for _, n := range append(names, "starter-in.yaml", "starter-mm.yaml") {
		data, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, data)
	}
	return all
}

// places lists the paths of all nodes below n.
func places(n *yaml.Node, path string, to *[]string) {
	for i, c := range n.Content {
		switch n.Kind {
		case yaml.MappingNode:
			if i%2 == 1 {
				p := join(path, n.Content[i-1].Value)
				*to = append(*to, p)
				places(c, p, to)
			}
		case yaml.SequenceNode:
			p := path + "[" + itoa(i+1) + "]"
			*to = append(*to, p)
			places(c, p, to)
		}
	}
}

func itoa(n int) string {
	b := []byte{}
	for ; n > 0; n /= 10 {
		b = append([]byte{byte('0' + n%10)}, b...)
	}
	return string(b)
}

// TestApplyKeepsTheRest edits the examples at random places: the value is there afterwards, the lines that were not
// edited are the same bytes, and setting the old text again gives the old file.
func TestApplyKeepsTheRest(t *testing.T) {
	jobs := exampleJobs(t)
	rapid.Check(t, func(t *rapid.T) {
		data := jobs[rapid.IntRange(0, len(jobs)-1).Draw(t, "job")]
		root, _ := document("", data)
		var all []string
		places(root, "", &all)
		path := rapid.SampledFrom(all).Draw(t, "path")
		text := rapid.SampledFrom([]string{"44", "3-1/2 in", "?", "a, b", "x: y", "#", "'", "null", `14"`, "-", "é ½", ""}).Draw(t, "text")
		got, err := Apply(data, Edit{Set, path, inQuotes(text)})
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		steps, _ := parsePath(path)
		n, _ := document("", got)
		old := root
		for _, s := range steps {
			n, _ = child(n, s)
			old, _ = child(old, s)
		}
		if n == nil || n.Value != text {
			t.Fatalf("%s: %q is not there", path, text)
		}
		s := newSource(data, root)
		if head := data[:s.start(old)]; !bytes.HasPrefix(got, head) {
			t.Fatalf("%s: what stands before it changed", path)
		}
		if tail := data[s.end(old):]; !bytes.HasSuffix(got, tail) {
			t.Fatalf("%s: what stands behind it changed", path)
		}
		if old.Kind == yaml.ScalarNode && old.Style == 0 {
			back, err := Apply(got, Edit{Set, path, inQuotes(old.Value)})
			if err != nil || !bytes.Equal(back, data) {
				t.Fatalf("%s: %q back again: %v\n%s", path, old.Value, err, back)
			}
		}
	})
}

// TestApplyDeletes takes random nodes out of the examples: all comment lines stay but those inside what was taken.
func TestApplyDeletes(t *testing.T) {
	jobs := exampleJobs(t)
	rapid.Check(t, func(t *rapid.T) {
		data := jobs[rapid.IntRange(0, len(jobs)-1).Draw(t, "job")]
		root, _ := document("", data)
		var all []string
		places(root, "", &all)
		path := rapid.SampledFrom(all).Draw(t, "path")
		got, err := Apply(data, Edit{Kind: Delete, Path: path})
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		have := map[string]int{}
		for l := range strings.Lines(string(data)) {
			have[strings.TrimSpace(l)]++
		}
		new := 0
		for l := range strings.Lines(string(got)) {
			if have[strings.TrimSpace(l)]--; have[strings.TrimSpace(l)] < 0 {
				new++
			}
		}
		if new > 1 {
			t.Fatalf("%s: %d lines changed:\n%s", path, new, got)
		}
	})
}

func FuzzApply(f *testing.F) {
	for _, data := range exampleJobs(f) {
		f.Add(data, "cavity.gap", "3/8", int8(0))
		f.Add(data, "cavity.blocks[1]", "{name: x}", int8(1))
		f.Add(data, "mount", "", int8(2))
	}
	f.Add([]byte("? a\n: b\n"), "a", "1", int8(0))
	f.Add([]byte("- a\n"), "a[1]", "1", int8(0))
	f.Add([]byte("{a: , b}\n"), "a.c", "1", int8(0))
	f.Fuzz(func(t *testing.T, data []byte, path, value string, kind int8) {
		if len(data) > 1<<14 {
			return
		}
		e := Edit{EditKind(uint8(kind) % 3), path, value}
		got, err := Apply(data, e)
		if err != nil || e.Kind != Set {
			return
		}
		n, faults := document("", got)
		if faults != nil {
			t.Fatalf("%q does not read: %v", got, faults)
		}
		steps, _ := parsePath(path)
		for _, s := range steps {
			if n, _ = child(n, s); n == nil {
				t.Fatalf("%s is not in %q", path, got)
			}
		}
	})
}
