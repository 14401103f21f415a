package main

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

func printed(t *testing.T, args ...string) string {
	t.Helper()
	var stdout, stderr strings.Builder
	if code := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); code != exitDone {
		t.Fatalf("cubby %v: exit %d: %s", args, code, stderr.String())
	}
	return stdout.String()
}

// TestHelpFitsAScreen holds that the help of the program and of each command takes at most 24 lines of 80 columns, and
// has a worked line and every flag.
func TestHelpFitsAScreen(t *testing.T) {
	check := func(name, text string) {
		lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
		if len(lines) > screenLines {
			t.Errorf("%s: %d lines, at most %d\n%s", name, len(lines), screenLines, text)
		}
		for _, l := range lines {
			if len([]rune(l)) > lineWidth {
				t.Errorf("%s: %d columns: %s", name, len([]rune(l)), l)
			}
		}
	}
	whole := printed(t, "--help")
	check("cubby", whole)
	for _, c := range commands() {
		text := printed(t, c.name, "--help")
		check(c.name, text)
		if !regexp.MustCompile(`(?m)^  .*cubby ` + c.name + ` \S`).MatchString(text) {
			t.Errorf("%s: no worked line:\n%s", c.name, text)
		}
		if !strings.Contains(whole, "\n  "+c.name+" ") {
			t.Errorf("%s is not in the program's help", c.name)
		}
		fs := pflag.NewFlagSet(c.name, pflag.ContinueOnError)
		c.flags(fs)
		fs.VisitAll(func(f *pflag.Flag) {
			if !strings.Contains(text, "\n  --"+f.Name) {
				t.Errorf("%s: --%s is not in the help", c.name, f.Name)
			}
		})
	}
}

// TestNoEscapeCodes holds that what is printed to a file or a pipe is plain text, helps, summaries and refusals alike.
func TestNoEscapeCodes(t *testing.T) {
	dir := t.TempDir()
	for _, args := range [][]string{
		{"--help"}, {"design", "--help"}, {"new", "-"}, {"no-such-command"}, {"design", "nowhere.yaml"},
		{"design", "../../examples/under-bench-wedge.yaml", "--out", filepath.Join(dir, "a.pdf")},
		{"check", "../../examples/check-twin-tube.yaml", "--out", filepath.Join(dir, "b.pdf")},
		{"driver", "../../examples/drivers/harrow-10.yaml"}, {"completion", "bash"},
	} {
		var stdout, stderr strings.Builder
		run(context.Background(), args, strings.NewReader(""), &stdout, &stderr)
		if all := stdout.String() + stderr.String(); all == "" || strings.ContainsAny(all, "\x1b\x07\x08\r") {
			t.Errorf("%v prints escape codes, or nothing: %q", args, all)
		}
	}
}

// TestCompletion holds that every script knows every command and flag, and that each shell that is installed takes it.
func TestCompletion(t *testing.T) {
	for _, shell := range []string{"bash", "zsh", "fish"} {
		script := printed(t, "completion", shell)
		for _, c := range completions() {
			if !strings.Contains(script, c.name) {
				t.Errorf("%s: no command %s", shell, c.name)
			}
			for _, f := range c.flags {
				if !strings.Contains(script, f.name) {
					t.Errorf("%s: no flag --%s of %s", shell, f.name, c.name)
				}
			}
		}
		if _, err := exec.LookPath(shell); err != nil {
			t.Logf("%s is not installed", shell)
			continue
		}
		name := filepath.Join(t.TempDir(), "script")
		if err := os.WriteFile(name, []byte(script), 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(shell, "-n", name).CombinedOutput(); err != nil {
			t.Errorf("%s does not take the script: %v\n%s", shell, err, out)
		}
	}
}

// TestBashCompletes asks bash for what it would offer.
func TestBashCompletes(t *testing.T) {
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("bash is not installed")
	}
	dir := t.TempDir()
	for _, name := range []string{"van.yaml", "vat.csv"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	script := printed(t, "completion", "bash")
	for _, test := range []struct{ line, want string }{
		{"cubby de", "design"},
		{"cubby --v", "--version"},
		{"cubby design van", "van.yaml"},
		{"cubby design --pap", "--paper"},
		{"cubby design --paper ", "letter a4"},
		{"cubby design --only s", "shop"},
		{"cubby design --out va", "van.yaml vat.csv"},
		{"cubby new --units m", "mm"},
		{"cubby completion ", "bash zsh fish"},
		{"cubby sheets --no", "--no-turn"},
	} {
		words := strings.Split(test.line, " ")
		quoted := "'" + strings.Join(words, "' '") + "'"
		cmd := exec.Command(bash, "--norc", "-c", script+"\nCOMP_WORDS=("+quoted+"); COMP_CWORD=$((${#COMP_WORDS[@]}-1)); _cubby; echo \"${COMPREPLY[*]}\"")
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		if got := strings.TrimSpace(string(out)); err != nil || got != test.want {
			t.Errorf("%q: %q (%v), want %q", test.line, got, err, test.want)
		}
	}
}
