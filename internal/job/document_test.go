package job

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"

	"cubby/internal/unit"
)

// TestBytes holds what is refused before a parser sees it, and what is not.
func TestBytes(t *testing.T) {
	good := readFile(t, "testdata/minimal.yaml")
	crlf := bytes.ReplaceAll(good, []byte("\n"), []byte("\r\n"))
	for _, test := range []struct {
		name string
		data []byte
		want string
	}{
		{"as it is", good, ""},
		{"CRLF", crlf, ""},
		{"byte order mark", append([]byte("\ufeff"), good...), ""},
		{"emoji in a comment", append([]byte("# \U0001F600\n"), good...), ""},
		{"trailing dots", append(good[:len(good):len(good)], "...\n"...), ""},
		{"nothing", nil, "job.yaml:1: the file is empty"},
		{"null", []byte("~\n"), "job.yaml:1: nothing is written here; want keys with values: driver, cavity, wood"},
		{"invalid UTF-8", append(good[:len(good):len(good)], "title: caf\xe9\ncontact: \xff\xff\n"...),
			"job.yaml:5: byte e9 is not UTF-8 text: save the file as UTF-8\njob.yaml:6: byte ff is not UTF-8 text: save the file as UTF-8"},
		{"UTF-16", []byte("\xff\xfet\x00"), "job.yaml:1: byte ff is not UTF-8 text: save the file as UTF-8"},
		{"control characters", append(crlf[:len(crlf):len(crlf)], "title: a\x00b\x01\r\n\x1b\u0085"...),
			"job.yaml:5: control character U+0000: remove it\njob.yaml:6: control character U+001B: remove it"},
		{"line separator", []byte("title: a\u2028b\n"), "job.yaml:1: control character U+2028: remove it"},
		{"lone carriage returns", []byte("title: a\r\rcontact: \x7f\r"), "job.yaml:3: control character U+007F: remove it"},
		{"too large", bytes.Repeat([]byte("# comment\n"), 1<<17), "job.yaml: larger than 1 MiB (1310720 bytes): not a file of this program"},
		{"rubbish after the end", append(good[:len(good):len(good)], "...\n}{\n"...), "job.yaml:5: cannot be read as YAML near this line: did not find expected <document start>"},
	} {
		_, err := Parse("job.yaml", test.data, nil)
		if text(err) != test.want {
			t.Errorf("%s: got\n%s\nwant\n%s", test.name, text(err), test.want)
		}
	}
}

// TestLineEndsDoNotMatter holds that a file from an editor of another system says the same.
func TestLineEndsDoNotMatter(t *testing.T) {
	data := readFile(t, "testdata/everything.yaml")
	want, err := Parse("a", data, nil)
	if err != nil {
		t.Fatal(err)
	}
	got, err := Parse("b", append([]byte("\ufeff"), bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n"))...), nil)
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("with CRLF and a byte order mark: %+v (%v), want %+v", got, err, want)
	}
}

// TestManyFaults holds that a file of quite another kind gets a list that a person can read, and quickly.
func TestManyFaults(t *testing.T) {
	var b strings.Builder
	for b.Len() < largest/8 {
		b.WriteString("k")
		for i := b.Len(); i > 0; i /= 10 {
			b.WriteByte(byte('0' + i%10))
		}
		b.WriteString(": 1\n")
	}
	_, err := Parse("job.yaml", []byte(b.String()), nil)
	lines := strings.Split(text(err), "\n")
	if len(lines) != most+1 || !strings.HasSuffix(lines[most], "more faults from here on") {
		t.Errorf("got %d lines, the last %q; want %d and a count of the rest", len(lines), lines[len(lines)-1], most+1)
	}
}

func TestFaultError(t *testing.T) {
	for _, test := range []struct {
		fault Fault
		want  string
	}{
		{Fault{"job.yaml", 14, 0, "cavity.width", "-3 in", "must be greater than 0"}, "job.yaml:14: cavity.width: -3 in: must be greater than 0"},
		{Fault{"job.yaml", 3, 0, "cavity", "", "missing"}, "job.yaml:3: cavity: missing"},
		{Fault{"sweep.csv", 3, 7, "impedance_ohm", "x", "must be a number"}, "sweep.csv:3:7: impedance_ohm: x: must be a number"},
		{Fault{"job.yaml", 0, 0, "", "", "too large"}, "job.yaml: too large"},
	} {
		if got := test.fault.Error(); got != test.want {
			t.Errorf("%#v: %q, want %q", test.fault, got, test.want)
		}
	}
}

func TestShown(t *testing.T) {
	for s, want := range map[string]string{
		"plain":                        "plain",
		"two\nlines":                   `two\nlines`,
		"tab\there":                    `tab\there`,
		"\x1b[31mred":                  `\x1b[31mred`,
		"right\u202eleft":              `right\u202eleft`,
		"14\u20333":                    "14\u20333",
		strings.Repeat("ab", 100):      strings.Repeat("ab", 30) + "...",
		strings.Repeat("\u2126", 1000): strings.Repeat("\u2126", 60) + "...",
	} {
		if got := shown(s); got != want {
			t.Errorf("shown(%q) = %q, want %q", s, got, want)
		}
	}
}

// Each example that stands in a refusal can be written where it is offered.
func TestExamplesCanBeWritten(t *testing.T) {
	for path, example := range examples {
		keys := strings.Split(path, ".")
		text := example
		for i := len(keys) - 1; i >= 0; i-- {
			if k := keys[i]; k == "stock" || k == "corners" || k == "fixings" {
				text = "[" + text + "]"
			}
			text = "{" + keys[i] + ": " + text + "}"
		}
		for _, written := range []string{text, inUnits(text, unit.Inch)} {
			var faults Faults
			_, err := ParseCheck("job.yaml", []byte(written), nil)
			errors.As(err, &faults)
			for _, f := range faults {
				if strings.HasPrefix(f.Field, path) || strings.Contains(f.Want, "unknown") {
					t.Errorf("%s: %s: %v", path, written, f)
				}
			}
		}
	}
}
