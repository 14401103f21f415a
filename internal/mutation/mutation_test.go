// Package mutation makes small faults in the project's source, one at a time, and runs the tests that should notice: a test
// that passes with a wrong sign in the code that it is about tests nothing. It has no code besides its tests.
//
//	faults.txt         the faults: a file, a piece of its source, what it becomes, the tests that should notice
//	mutation_test.go   reads the list and holds it against the tree
//	survivors_test.go  makes the faults and runs the tests
package mutation

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// root is the top of the tree, seen from this package.
const root = "../.."

// A fault is one small change of the source.
type fault struct {
	line       int    // in the list
	file       string // that is changed, from the top of the tree
	old, wrong string // old stands once in the file
	pkg        string // with the tests that should notice
	test       string // or several, joined by |
}

// faults reads the list: a line FILE or FILE PACKAGE, where the tests stand in another package than the file, then indented lines
// TEST: OLD => WRONG. Lines that begin with # are comments.
func faults(t *testing.T) []fault {
	t.Helper()
	data, err := os.ReadFile("faults.txt")
	if err != nil {
		t.Fatal(err)
	}
	var all []fault
	var at fault
	for i, line := range strings.Split(string(data), "\n") {
		switch {
		case strings.TrimSpace(line) == "" || strings.HasPrefix(line, "#"):
		case !strings.HasPrefix(line, " "):
			words := strings.Fields(line)
			at = fault{file: words[0], pkg: filepath.Dir(words[0])}
			if len(words) > 1 {
				at.pkg = words[1]
			}
		default:
			test, change, ok := strings.Cut(strings.TrimSpace(line), ": ")
			old, wrong, both := strings.Cut(change, " => ")
			if !ok || !both || at.file == "" {
				t.Fatalf("faults.txt:%d: want TEST: OLD => WRONG below a file", i+1)
			}
			f := at
			f.line, f.test, f.old, f.wrong = i+1, test, old, wrong
			all = append(all, f)
		}
	}
	return all
}

// changed is the file's text with the fault in it, and how often the text has the place that is changed: once, or the
// fault is out of date.
func (f fault) changed() (text []byte, places int, err error) {
	text, err = os.ReadFile(filepath.Join(root, f.file))
	return bytes.ReplaceAll(text, []byte(f.old), []byte(f.wrong)), bytes.Count(text, []byte(f.old)), err
}

// testsAlone are the packages of which nothing is built into the program.
var testsAlone = []string{"mutation", "spice"}

// leastFaults is how many faults the list has at least; a package without any is not covered.
const leastFaults = 150

// TestList holds that every fault of the list can still be made, names tests that there are, and that every package has some.
func TestList(t *testing.T) {
	all := faults(t)
	covered := map[string]bool{}
	names := map[string]map[string]bool{}
	for _, f := range all {
		covered[filepath.Dir(f.file)] = true
		switch _, places, err := f.changed(); {
		case err != nil:
			t.Errorf("faults.txt:%d: %v", f.line, err)
		case places != 1:
			t.Errorf("faults.txt:%d: %s has %q %d times, want once: bring the fault up to date", f.line, f.file, f.old, places)
		}
		if names[f.pkg] == nil {
			names[f.pkg] = testsOf(t, f.pkg)
		}
		for test := range strings.SplitSeq(f.test, "|") {
			if name, _, _ := strings.Cut(test, "/"); !names[f.pkg][name] {
				t.Errorf("faults.txt:%d: there is no test %s in %s", f.line, test, f.pkg)
			}
		}
	}
	if len(all) < leastFaults {
		t.Errorf("%d faults, want at least %d", len(all), leastFaults)
	}
	dirs, err := filepath.Glob(filepath.Join(root, "internal", "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, dir := range append(dirs, filepath.Join(root, "cmd", "cubby")) {
		if rel, _ := filepath.Rel(root, dir); !covered[rel] && !slices.Contains(testsAlone, filepath.Base(rel)) {
			t.Errorf("%s has no fault in the list", rel)
		}
	}
}

var testName = regexp.MustCompile(`(?m)^func (Test\w+|Fuzz\w+|Example\w*)\(`)

// testsOf names the tests of a package.
func testsOf(t *testing.T, pkg string) map[string]bool {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(root, pkg, "*_test.go"))
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range testName.FindAllSubmatch(text, -1) {
			names[string(m[1])] = true
		}
	}
	return names
}
