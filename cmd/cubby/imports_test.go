package main

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// mayImport says which of the project's packages each package may import, directly. cmd/cubby may import all.
var mayImport = map[string][]string{
	"unit":        {},
	"plane":       {},
	"grade":       {},
	"duct":        {},
	"solid":       {"plane"},
	"thielesmall": {"unit"},
	"impedance":   {"unit", "thielesmall"},
	"cavity":      {"unit", "plane"},
	"panels":      {"unit", "plane", "solid", "grade", "duct"},
	"nest":        {"unit", "plane"},
	"work":        {"unit", "plane", "solid", "panels", "nest"},
	"design":      {"unit", "plane", "solid", "grade", "duct", "thielesmall", "impedance", "cavity", "panels", "nest", "work"},
	"job":         {"unit", "plane", "solid", "grade", "duct", "thielesmall", "impedance", "cavity", "panels", "nest", "work", "design"},
	"render":      {"unit", "plane", "solid", "grade", "duct", "thielesmall", "impedance", "cavity", "panels", "nest", "work", "design"},
	"export":      {"unit", "plane", "solid", "grade", "duct", "thielesmall", "impedance", "cavity", "panels", "nest", "work", "design"},
}

// standardOnly are the packages that import nothing beyond the standard library and the ground.
var standardOnly = []string{"unit", "plane"}

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
			if other, ours := strings.CutPrefix(i, "cubby/internal/"); ours && !slices.Contains(allowed, other) {
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
			if slices.Contains([]string{"os", "os/exec", "net", "net/http", "syscall", "flag", "io/ioutil"}, i) {
				t.Errorf("%s imports %s; only cmd touches the outside world", p.ImportPath, i)
			}
		}
	}
}

// TestNoNetworkNoPrograms holds that no package of the project, the command included, imports what reaches the network,
// starts programs or loads code. The flag library imports net for its flags of addresses; so the second half looks at what
// the linker kept in the program: nothing that dials, listens, looks names up or starts a process.
func TestNoNetworkNoPrograms(t *testing.T) {
	for _, p := range packages(t) {
		for _, i := range p.Imports {
			if i == "net" || strings.HasPrefix(i, "net/") || slices.Contains([]string{"os/exec", "plugin", "unsafe", "C"}, i) {
				t.Errorf("%s imports %s", p.ImportPath, i)
			}
		}
	}
	name, err := program()
	if err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("go", "tool", "nm", name).Output()
	if err != nil {
		t.Fatalf("go tool nm: %v", err)
	}
	symbols := string(out)
	if !strings.Contains(symbols, "main.writeAll") {
		t.Fatal("the program's symbols cannot be read")
	}
	for _, s := range []string{"net.(*Dialer).Dial", "net.Dial", "net.Listen", "net.(*Resolver).LookupHost", "net/http.", "os/exec.", "os.StartProcess", "plugin.Open"} {
		if strings.Contains(symbols, " "+s) {
			t.Errorf("the program holds %s", s)
		}
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
