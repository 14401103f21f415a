package job

import (
	"bytes"
	"regexp"
	"slices"
	"strings"

	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// toFill is what stands where a person has to write a value.
const toFill = "?"

// blankKeys are the keys of the starter whose values a person has to measure or read from a sheet; blankOut those whose
// lines may be left out, and are commented out in a blank job.
var (
	blankKeys = []string{"name", "fs", "qms", "qes", "vas", "sd", "re", "xmax", "power", "impedance", "frame", "cutout", "depth", "from_left", "roof",
		"into", "cabin_length", "air_in_front", "thickness"}
	blankOut = []string{"le", "magnet", "displacement", "bolts", "vent", "mass", "passage", "blocks", "stock"}
)

// begin is where one starts to measure: it is no measure.
const begin = "0"

// blankValue is a key with its value, at the beginning of a line or inside braces.
var blankValue = regexp.MustCompile(`(^ *|[{,] *)([a-z_]+): (\[\[.*?\]\]|[^,}#\[{]*[^,}# \[{])`)

// Blank is the starter job with ? where a person has to write: it reads with a fault for each of them, and is whole
// once they are filled in.
func Blank(u unit.System) []byte {
	var out []string
	dropped := false
	for line := range strings.SplitSeq(string(Starter(u)), "\n") {
		key, _, _ := strings.Cut(strings.TrimSpace(line), ":")
		switch {
		case strings.HasPrefix(line, "# To judge a ready-made box"):
			return []byte(strings.Join(out, "\n") + "\n")
		case strings.HasPrefix(strings.TrimSpace(line), "#"):
		case slices.Contains(blankOut, key):
			line, dropped = commented(line), true
		case dropped && strings.HasPrefix(strings.TrimSpace(line), "- "): // of a list that is commented out
			line = commented(line)
		default:
			dropped = false
			line = blanked(line)
		}
		out = append(out, line)
	}
	return []byte(strings.Join(out, "\n"))
}

// commented makes a line a comment.
func commented(line string) string {
	text := strings.TrimLeft(line, " ")
	return line[:len(line)-len(text)] + "# " + text
}

// blanked puts ? in place of the values of a line.
func blanked(line string) string {
	code, comment, _ := strings.Cut(line, " #")
	code = strings.TrimRight(code, " ")
	code = blankValue.ReplaceAllStringFunc(code, func(s string) string {
		m := blankValue.FindStringSubmatch(s)
		switch {
		case m[2] == "highpass" || m[2] == "lowpass":
			return "" // an amplifier need not have any
		case slices.Contains(blankKeys, m[2]) && m[3] != begin:
			return m[1] + m[2] + ": " + toFill
		}
		return s
	})
	if comment == "" {
		return code
	}
	if pad := 36 - len(code); pad > 0 {
		code += strings.Repeat(" ", pad)
	}
	return code + " #" + comment
}

// unquotedToFill is a ? that stands for a value; YAML has another use for it.
var unquotedToFill = regexp.MustCompile(`(?m)([:,\[] *)\?( *(?:[,}\]]|\r?$)| +#)`)

// standIn takes the place of such a ? while YAML reads it: one character as well, so that columns stay, and of private
// use.
const standIn = "\ue03f"

// maskToFill puts a character that YAML reads in the place of every ? that stands for a value.
func maskToFill(data []byte) []byte {
	if !bytes.Contains(data, []byte(toFill)) {
		return data
	}
	lines := strings.Split(string(data), "\n")
	for i, line := range lines {
		code, _, _ := strings.Cut(line, " #")
		inList, inComment := strings.ContainsAny(code, "[{"), strings.HasPrefix(strings.TrimSpace(code), "#")
		if !inComment && (inList || !strings.Contains(code, ",")) {
			for range 2 { // neighbours in a list share a comma
				line = unquotedToFill.ReplaceAllString(line, "${1}"+standIn+"${2}")
			}
			lines[i] = line
		}
	}
	return []byte(strings.Join(lines, "\n"))
}

// unmaskToFill puts the ? back into the values that were read.
func unmaskToFill(n *yaml.Node) {
	n.Value = strings.ReplaceAll(n.Value, standIn, toFill)
	for _, c := range n.Content {
		unmaskToFill(c)
	}
}

// fillIn says that a value is still to be written; ok is false when it is one already.
func (r *reader) fillIn(n *yaml.Node, path, want string) bool {
	if n.Kind != yaml.ScalarNode || n.Value != toFill {
		return false
	}
	r.fault(n, path, "still to be filled in: %s", want)
	return true
}

// sampleParts are the parts of a job that nobody has by chance as the starter has them, and the words for them.
var sampleParts = []struct {
	path []string
	name string
}{
	{[]string{"title"}, "title"}, {[]string{"driver"}, "driver"}, {[]string{"cavity", "stations"}, "stations"},
	{[]string{"cavity", "passage"}, "passage"}, {[]string{"cavity", "blocks"}, "blocks"}, {[]string{"amplifier"}, "amplifier"},
	{[]string{"vehicle"}, "vehicle"}, {[]string{"mount", "air_in_front"}, "air in front"},
}

// untouched names the parts of a job that are still as the starter has them; none for a job in which neither driver nor
// stations are the sample's, where the rest may be so by chance.
func untouched(root *yaml.Node, u unit.System) (names []string) {
	sample, faults := document("", Starter(u))
	if faults != nil {
		return nil
	}
	from := false
	for _, p := range sampleParts {
		a, b := root, sample
		for _, key := range p.path {
			a, b = valueOf(a, key), valueOf(b, key)
		}
		if a != nil && b != nil && sameTree(a, b) {
			names = append(names, p.name)
			from = from || p.name == "driver" || p.name == "stations"
		}
	}
	if !from {
		return nil
	}
	return names
}
