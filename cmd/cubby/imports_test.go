package main

import (
	"encoding/json"
	"errors"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// mayImport says which of the project's packages each package may import, directly. cmd/cubby may import all.
var mayImport = map[string][]string{
	"word":        {},
	"numeric":     {},
	"unit":        {},
	"glyph":       {},
	"plane":       {},
	"mutation":    {}, // tests alone
	"spice":       {}, // tests alone
	"grade":       {},
	"duct":        {},
	"solid":       {"plane"},
	"thielesmall": {"unit"},
	"impedance":   {"unit", "thielesmall"},
	"search":      {"grade", "thielesmall"},
	"cavity":      {"unit", "plane", "solid"},
	"panels":      {"unit", "plane", "solid", "grade", "duct"},
	"nest":        {"unit", "plane"},
	"design":      {"unit", "plane", "solid", "grade", "duct", "thielesmall", "impedance", "search", "cavity", "panels", "nest", "work"},
	"work":        {"unit", "plane", "solid", "grade", "panels", "nest"},
	"job":         atop("glyph", "design"),
	"render":      atop("glyph", "design"),
	"export":      atop("design"),
	"answer":      atop("design", "job", "render", "export"),
	"page":        {"answer", "job"},
}

// atop is what a package may import that stands on the design and all below it.
func atop(more ...string) []string {
	return append(more, "unit", "plane", "solid", "grade", "duct", "thielesmall", "impedance", "search", "cavity", "panels", "nest", "work")
}

// ground are the packages that every package may import.
var ground = []string{"word", "numeric"}

// standardOnly are the packages that import nothing beyond the standard library and the ground.
var standardOnly = []string{"word", "numeric", "unit", "plane"}

type listed struct {
	ImportPath string
	Imports    []string
}

// packages lists the module's packages with the imports of their non-test files.
func packages(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", "./...")
	cmd.Dir = filepath.Join("..", "..")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

func TestImportRules(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range packages(t) {
		name, internal := strings.CutPrefix(p.ImportPath, "cubby/internal/")
		if !internal {
			continue
		}
		seen[name] = true
		allowed, known := mayImport[name]
		if !known {
			t.Errorf("package %s has no place in the import rules", p.ImportPath)
			continue
		}
		for _, i := range p.Imports {
			if other, ours := strings.CutPrefix(i, "cubby/internal/"); ours && !slices.Contains(ground, other) && !slices.Contains(allowed, other) {
				t.Errorf("%s imports %s; it may import only %s", name, other, strings.Join(allowed, ", "))
			}
			if slices.Contains(standardOnly, name) && strings.Contains(i, ".") {
				t.Errorf("%s imports %s; it stands on the standard library alone", name, i)
			}
		}
	}
	for name := range mayImport {
		if !seen[name] {
			t.Errorf("package %s of the import rules does not exist", name)
		}
	}
}

// TestOnlyCommandTouchesTheWorld reports packages that could open files, read the clock's zone, the environment or the
// arguments, or start programs.
func TestOnlyCommandTouchesTheWorld(t *testing.T) {
	for _, p := range packages(t) {
		if !strings.HasPrefix(p.ImportPath, "cubby/internal/") {
			continue
		}
		for _, i := range p.Imports {
			if i == "net/http" && p.ImportPath == "cubby/internal/page" || p.ImportPath == "cubby/internal/spice" {
				continue // handlers only; the socket is cmd's. Only tests import spice
			}
			if slices.Contains([]string{"os", "os/exec", "net", "net/http", "syscall", "flag", "io/ioutil"}, i) {
				t.Errorf("%s imports %s; only cmd touches the outside world", p.ImportPath, i)
			}
		}
	}
}

// reach are the imports that reach the network, start programs or load code, with the files that may have them.
var reach = map[string][]string{
	"net":           {"cmd/cubby/page.go"}, // listens on the loopback address
	"net/http":      {"cmd/cubby/page.go", "internal/page/ask.go", "internal/page/guard.go", "internal/page/server.go"},
	"net/url":       {"internal/page/guard.go"},
	"os/exec":       {"cmd/cubby/page.go", "internal/spice/spice.go"}, // opens the user's browser; for tests
	"plugin":        nil,
	"unsafe":        nil,
	"C":             nil,
	"net/rpc":       nil,
	"net/smtp":      nil,
	"net/textproto": nil,
}

// clients are what asks others over a network: nothing of it stands in the project.
var clients = regexp.MustCompile(`\b(?:http\.(?:Get|Head|Post|PostForm|NewRequest\w*|Client|DefaultClient|\w*Transport)|net\.(?:Dial\w*|Lookup\w*|Resolver|DefaultResolver))\b`)

// TestNoNetwork holds that the page's server is all that has to do with a network, that it listens on the loopback address
// alone and asks nobody, and that the one program that is started is the user's browser.
func TestNoNetwork(t *testing.T) {
	top := filepath.Join("..", "..")
	seen := 0
	err := filepath.WalkDir(top, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return err
		}
		rel, err := filepath.Rel(top, name)
		if err != nil {
			return err
		}
		seen++
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, i := range f.Imports {
			imported := strings.Trim(i.Path.Value, `"`)
			if allowed, known := reach[imported]; known && !slices.Contains(allowed, filepath.ToSlash(rel)) {
				t.Errorf("%s imports %s", rel, imported)
			}
		}
		text, err := os.ReadFile(name)
		if found := clients.Find(text); found != nil {
			t.Errorf("%s holds %s", rel, found)
		}
		return err
	})
	if err != nil || seen < 100 {
		t.Fatalf("%d files read: %v", seen, err)
	}
	text, err := os.ReadFile("page.go")
	if err != nil || strings.Count(string(text), "net.Listen(") != 1 || !strings.Contains(string(text), `net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", port))`) {
		t.Errorf("the page is served elsewhere than on the loopback address: %v", err)
	}
}

func TestLayout(t *testing.T) {
	for _, name := range []string{
		"cmd", "internal/thielesmall", "internal/panels", "internal/render", "examples", "testdata",
		"go.mod", "go.sum", "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE",
	} {
		if _, err := os.Stat(filepath.Join("..", "..", name)); err != nil {
			t.Errorf("missing at the top level: %v", err)
		}
	}
}
