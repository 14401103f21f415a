package main

import (
	"context"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

func stdoutOf(t *testing.T, args ...string) string {
	t.Helper()
	var stdout, stderr strings.Builder
	if code := run(context.Background(), args, strings.NewReader(""), &stdout, &stderr); code != exitDone {
		t.Fatalf("cubby %v: exit %d: %s", args, code, stderr.String())
	}
	return stdout.String()
}

// TestHelpFitsAScreen holds that the help of the program and of each command takes at most 30 lines of 80 columns, and
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
	whole := stdoutOf(t, "--help")
	check("cubby", whole)
	for _, c := range commands() {
		text := stdoutOf(t, c.name, "--help")
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

// TestExitStatus holds the numbers that the help and the README give to other programs.
func TestExitStatus(t *testing.T) {
	for _, c := range []struct {
		args []string
		want int
	}{
		{[]string{"--version"}, 0}, {[]string{"design", "missing.yaml"}, 1}, {[]string{"desing"}, 2},
		{[]string{"check", "../../examples/check-twin-tube.yaml", "--quiet", "--out", filepath.Join(t.TempDir(), "no.pdf")}, 3},
	} {
		var out, said strings.Builder
		if got := run(context.Background(), c.args, strings.NewReader(""), &out, &said); got != c.want {
			t.Errorf("cubby %s: %d, want %d: %s", strings.Join(c.args, " "), got, c.want, said.String())
		}
	}
}
