package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/pflag"
)

func completionCommand() command {
	return command{
		name: "completion", args: "bash|zsh|fish", short: "lets the Tab key of a shell finish what you type",
		long: "Prints lines for one shell, by which its Tab key finishes cubby's commands, flags and the names of your files.\n" +
			"Keep them where that shell looks, and open a new window:\n\n" +
			"  cubby completion bash > ~/.local/share/bash-completion/completions/cubby\n" +
			"  cubby completion zsh > ~/.zfunc/_cubby\n" +
			"  cubby completion fish > ~/.config/fish/completions/cubby.fish\n\n" +
			"The folder for zsh has to be one of $fpath.",
		flags: func(*pflag.FlagSet) action {
			return func(_ context.Context, t terminal, args []string) error { return runCompletion(t, args) }
		},
	}
}

func runCompletion(t terminal, args []string) error {
	if len(args) != 1 {
		return usage("give one shell: bash, zsh or fish")
	}
	scripts := map[string]func([]completed) string{"bash": bashScript, "zsh": zshScript, "fish": fishScript}
	script, ok := scripts[args[0]]
	if !ok {
		return usage("%s: must be bash, zsh or fish", args[0])
	}
	return named("-", writeString(t.out, script(completions())))
}

// completed is what a shell has to know of a command.
type completed struct {
	name, short string
	words       []string // that stand for files; none: files
	flags       []completedFlag
}

type completedFlag struct {
	name, usage string
	value       bool     // a value follows
	file        bool     // and is a file
	choices     []string // or one of these
}

// completions reads the command table.
func completions() []completed {
	var all []completed
	for _, c := range commands() {
		d := completed{name: c.name, short: c.short}
		if c.name == "completion" {
			d.words = strings.Split(c.args, "|")
		}
		fs := pflag.NewFlagSet(c.name, pflag.ContinueOnError)
		fs.SortFlags = false
		c.flags(fs)
		fs.VisitAll(func(f *pflag.Flag) {
			value, usage := pflag.UnquoteUsage(f)
			g := completedFlag{name: f.Name, usage: strings.TrimPrefix(usage, value+": "), value: f.Value.Type() != "bool"}
			g.file = strings.Contains(value, ".csv") || strings.Contains(value, ".pdf") || strings.Contains(value, ".yaml")
			if g.value && !g.file && value == strings.ToLower(value) && f.Value.Type() == "string" {
				g.choices = strings.Split(value, "|")
			}
			d.flags = append(d.flags, g)
		})
		d.flags = append(d.flags, completedFlag{name: "help", usage: "what the command does"})
		all = append(all, d)
	}
	return all
}

func bashScript(all []completed) string {
	var b strings.Builder
	b.WriteString("# Completion of cubby for bash.\n_cubby() {\n" +
		"  local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} words= flags= files=1\n" +
		"  case = in \"$cur\") cur= ;; \"$prev\") prev=${COMP_WORDS[COMP_CWORD-2]} ;; esac  # --flag=value is three words\n" +
		"  COMPREPLY=()\n  if [ \"$COMP_CWORD\" -eq 1 ]; then\n")
	fmt.Fprintf(&b, "    COMPREPLY=($(compgen -W \"%s --help --version\" -- \"$cur\"))\n    return\n  fi\n  case ${COMP_WORDS[1]} in\n", strings.Join(names(), " "))
	for _, c := range all {
		var flags []string
		fmt.Fprintf(&b, "  %s)\n    case $prev in\n", c.name)
		for _, f := range c.flags {
			flags = append(flags, "--"+f.name)
			switch {
			case f.choices != nil:
				fmt.Fprintf(&b, "    --%s) COMPREPLY=($(compgen -W \"%s\" -- \"$cur\")); return ;;\n", f.name, strings.Join(f.choices, " "))
			case f.file:
				fmt.Fprintf(&b, "    --%s) COMPREPLY=($(compgen -f -- \"$cur\")); return ;;\n", f.name)
			case f.value:
				fmt.Fprintf(&b, "    --%s) return ;;\n", f.name)
			}
		}
		fmt.Fprintf(&b, "    esac\n    flags=\"%s\"\n", strings.Join(flags, " "))
		if c.words != nil {
			fmt.Fprintf(&b, "    words=\"%s\" files=\n", strings.Join(c.words, " "))
		}
		b.WriteString("    ;;\n")
	}
	b.WriteString("  esac\n  case $cur in\n  -*) COMPREPLY=($(compgen -W \"$flags\" -- \"$cur\")) ;;\n" +
		"  *) if [ -n \"$files\" ]; then COMPREPLY=($(compgen -f -- \"$cur\")); else COMPREPLY=($(compgen -W \"$words\" -- \"$cur\")); fi ;;\n" +
		"  esac\n}\ncomplete -o filenames -F _cubby cubby\n")
	return b.String()
}

func zshScript(all []completed) string {
	quote := strings.NewReplacer("'", `'\''`, "[", `\[`, "]", `\]`, ":", `\:`)
	var b strings.Builder
	b.WriteString("#compdef cubby\n# Completion of cubby for zsh.\n_cubby() {\n  local -a verbs\n  verbs=(\n")
	for _, c := range all {
		fmt.Fprintf(&b, "    '%s:%s'\n", c.name, quote.Replace(c.short))
	}
	b.WriteString("  )\n  if (( CURRENT == 2 )); then\n    _describe -t commands 'command' verbs\n" +
		"    _arguments '--help[what cubby does]' '--version[the version]'\n    return\n  fi\n  case ${words[2]} in\n")
	for _, c := range all {
		fmt.Fprintf(&b, "  %s)\n    shift words; (( CURRENT-- ))\n    _arguments", c.name)
		for _, f := range c.flags {
			equals, value := "=", ""
			switch {
			case f.choices != nil:
				value = ":choice:(" + strings.Join(f.choices, " ") + ")"
			case f.file:
				value = ":file:_files"
			case f.value:
				value = ":value: "
			default:
				equals = ""
			}
			fmt.Fprintf(&b, " \\\n      '--%s%s[%s]%s'", f.name, equals, quote.Replace(f.usage), value)
		}
		if c.words != nil {
			fmt.Fprintf(&b, " \\\n      '*:word:(%s)'\n    ;;\n", strings.Join(c.words, " "))
		} else {
			b.WriteString(" \\\n      '*:file:_files'\n    ;;\n")
		}
	}
	b.WriteString("  esac\n}\nif [ \"$funcstack[1]\" = _cubby ]; then _cubby \"$@\"; else compdef _cubby cubby; fi\n")
	return b.String()
}

func fishScript(all []completed) string {
	quote := strings.NewReplacer(`\`, `\\`, "'", `\'`)
	var b strings.Builder
	b.WriteString("# Completion of cubby for fish.\n" +
		"function __cubby_runs\n  set -l words (commandline -opc)\n  test (count $words) -gt 1; and test $words[2] = $argv[1]\nend\n")
	for _, c := range all {
		fmt.Fprintf(&b, "complete -c cubby -n __fish_use_subcommand -f -a %s -d '%s'\n", c.name, quote.Replace(c.short))
	}
	b.WriteString("complete -c cubby -n __fish_use_subcommand -l help -d 'what cubby does'\n" +
		"complete -c cubby -n __fish_use_subcommand -l version -d 'the version'\n")
	for _, c := range all {
		within := fmt.Sprintf("complete -c cubby -n '__cubby_runs %s'", c.name)
		if c.words != nil {
			fmt.Fprintf(&b, "%s -f -a '%s'\n", within, strings.Join(c.words, " "))
		}
		for _, f := range c.flags {
			value := ""
			switch {
			case f.choices != nil:
				value = " -x -a '" + strings.Join(f.choices, " ") + "'"
			case f.file:
				value = " -r -F"
			case f.value:
				value = " -x"
			}
			fmt.Fprintf(&b, "%s -l %s%s -d '%s'\n", within, f.name, value, quote.Replace(f.usage))
		}
	}
	return b.String()
}
