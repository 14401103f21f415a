package main

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"
)

// Help fits a screen: screenLines of lineWidth.
const screenLines = 30

const exitHelp = "Exit status: 0 done, it suits; 1 in error; 2 wrong usage; 3 the answer is no.\n"

func help() string {
	var b strings.Builder
	paragraph(&b, "", "cubby sizes a subwoofer enclosure for a measured space in a vehicle, and prints the sheet that a woodworker builds it from.")
	b.WriteString("\n")
	const column = 31
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %-*s%s\n", column-2, c.name+" "+c.args, wrapAt(c.short, column))
	}
	b.WriteString("\nStart:  cubby new job.yaml && cubby design job.yaml\nEach command has its own --help; --version tells the version,\n--licences those of others.\n" + exitHelp)
	return b.String()
}

// help is one command's: what it does, a worked line, its flags.
func (c command) help(fs *pflag.FlagSet) string {
	var b strings.Builder
	fmt.Fprintf(&b, "cubby %s %s\n\n", c.name, c.args)
	for text := range strings.SplitSeq(c.long, "\n\n") {
		if strings.HasPrefix(text, "  ") {
			b.WriteString(text + "\n")
		} else {
			paragraph(&b, "", text)
		}
	}
	b.WriteString("\n" + flagHelp(fs) + exitHelp)
	return b.String()
}

// flagHelp lists the flags in the order of their definition, each with its value and what it does.
func flagHelp(fs *pflag.FlagSet) string {
	const most = 24 // column at which the words stand, unless all names are short
	column := 0
	var names, words []string
	fs.VisitAll(func(f *pflag.Flag) {
		value, usage := pflag.UnquoteUsage(f)
		name := "  --" + f.Name
		if f.Value.Type() != "bool" {
			name += " " + value
			usage = strings.TrimPrefix(usage, value+": ")
		}
		if d := f.DefValue; d != "" && d != "false" && d != "0" {
			usage += fmt.Sprintf(" (default %s)", d)
		}
		names, words = append(names, name), append(words, usage)
		column = max(column, len(name)+2)
	})
	column = min(column, most)
	var b strings.Builder
	for i, name := range names {
		if len(name) > column-2 {
			fmt.Fprintf(&b, "%s  %s\n", name, wrapAt(words[i], len(name)+2))
			continue
		}
		fmt.Fprintf(&b, "%-*s%s\n", column, name, wrapAt(words[i], column))
	}
	return b.String()
}
