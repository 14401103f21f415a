package main

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// TestCompletion holds that every script knows every command and flag, and that each shell that is installed takes it.
func TestCompletion(t *testing.T) {
	for _, shell := range []string{"bash", "zsh", "fish"} {
		script := stdoutOf(t, "completion", shell)
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

// bashOffers, zshOffers and fishOffers are what each shell is asked: what it offers for the lines in $ASKED, once it has
// read the script $SCRIPT. Each offer stands on a line of its own after a plus, and END behind those of a line. The zsh that
// completes has a terminal of its own, and a compadd that tells what it is given.
const (
	bashOffers = `. "$SCRIPT"
while read -r line; do
  read -ra COMP_WORDS <<<"${line//=/ = }"
  [[ $line != *[=_] ]] || COMP_WORDS[-1]=${COMP_WORDS[-1]%_}
  COMP_CWORD=$((${#COMP_WORDS[@]}-1))
  _cubby
  printf '+%s\n' "${COMPREPLY[@]}"
  echo END
done <<<"$ASKED"`

	zshOffers = `zmodload zsh/zpty
zpty inner zsh -f -i
zpty -w inner 'stty -echo; PROMPT=; autoload -Uz compinit; compinit -u -D; . $SCRIPT
compadd() { local -a offers; builtin compadd -A offers "$@"; print -rl -- +$^offers; builtin compadd "$@" }
finish() { comppostfuncs=(finish); print E"N"D }
comppostfuncs=(finish)
bindkey "^I" complete-word; print REA"DY"'
zpty -r inner seen '*READY*'
for line in ${(f)ASKED}; do
  zpty -w -n inner $'\x15'"${line%_}"$'\t'
  zpty -r inner seen '*END*'
  print -r -- "$seen"
done`

	fishOffers = `source $SCRIPT
for line in (string split \n $ASKED)
  complete -C (string trim -r -c _ $line) | string replace -r '^([^\t]*).*' '+$1'
  echo END
end`
)

// TestShellsComplete asks each shell that is installed for what it would offer. A line that ends with _ ends with a space
// before the cursor.
func TestShellsComplete(t *testing.T) {
	tests := []struct{ line, want string }{
		{"cubby de", "design"},
		{"cubby --v", "--version"},
		{"cubby design va", "van.yaml vat.csv"},
		{"cubby design van.yaml --js", "--json"},
		{"cubby design --pap", "--paper"},
		{"cubby design --paper _", "a4 letter"},
		{"cubby design --paper=l", "letter"},
		{"cubby design --paper=", "a4 letter"},
		{"cubby design --only s", "shop"},
		{"cubby design --out va", "van.yaml vat.csv"},
		{"cubby design --from _", ""},
		{"cubby check rank --al", "--allow-outside"},
		{"cubby rank van.yaml va", "van.yaml vat.csv"},
		{"cubby new --units m", "mm"},
		{"cubby completion _", "bash fish zsh"},
		{"cubby sheets --no", "--no-turn"},
	}
	var asked []string
	for _, test := range tests {
		asked = append(asked, test.line)
	}
	dir := t.TempDir()
	for _, name := range []string{"van.yaml", "vat.csv", "rank"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for shell, args := range map[string][]string{
		"bash": {"--norc", "-c", bashOffers}, "zsh": {"-f", "-c", zshOffers}, "fish": {"--no-config", "-c", fishOffers},
	} {
		t.Run(shell, func(t *testing.T) {
			path, err := exec.LookPath(shell)
			if err != nil {
				t.Skip(shell + " is not installed")
			}
			script := filepath.Join(t.TempDir(), "script")
			if err := os.WriteFile(script, []byte(stdoutOf(t, "completion", shell)), 0o644); err != nil {
				t.Fatal(err)
			}
			ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
			defer cancel()
			cmd := exec.CommandContext(ctx, path, args...)
			cmd.Dir = dir
			cmd.Env = append(os.Environ(), "HOME="+dir, "TERM=dumb", "SCRIPT="+script, "ASKED="+strings.Join(asked, "\n"))
			out, err := cmd.CombinedOutput()
			said := strings.Split(string(out), "END")
			if err != nil || len(said) != len(tests)+1 {
				t.Fatalf("%v: answers %d of %d lines\n%s", err, len(said)-1, len(tests), out)
			}
			for i, test := range tests {
				if got := offers(said[i]); got != test.want {
					t.Errorf("%q: %q, want %q", test.line, got, test.want)
				}
			}
		})
	}
}

// offers gives what a shell said it offers, in order of the alphabet. Fish repeats the flag before a value.
func offers(said string) string {
	var all []string
	for l := range strings.Lines(said) {
		if _, offer, ok := strings.Cut(l, "+"); ok {
			offer = strings.TrimRight(strings.TrimSpace(offer), "=")
			all = append(all, offer[strings.Index(offer, "=")+1:])
		}
	}
	slices.Sort(all)
	return strings.Join(slices.Compact(all), " ")
}
