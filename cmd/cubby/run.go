package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/spf13/pflag"

	"cubby/internal/job"
	"cubby/internal/word"
)

// Exit status. The same table stands in the help.
const (
	exitDone  = 0 // done, or the box suits
	exitError = 1 // the input or the run is in error
	exitUsage = 2 // wrong usage
	exitNo    = 3 // the honest answer is no: does not fit, does not suit
)

// A usageError is a wrong command line.
type usageError struct{ text string }

func (e *usageError) Error() string { return e.text }

// usage is a wrong command line; the name of the command is put before it.
func usage(format string, args ...any) error { return &usageError{fmt.Sprintf(format, args...)} }

// errNo is returned by a command whose answer is no; everything has been printed and written by then.
var errNo = errors.New("the answer is no")

// exitFor is the one table from kind of error to exit status.
func exitFor(err error) int {
	var usage *usageError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errNo):
		return exitNo
	case errors.As(err, &usage):
		return exitUsage
	}
	return exitError
}

// A terminal is where a command reads and writes: results to out, progress and warnings to err.
type terminal struct {
	in       io.Reader
	out, err io.Writer
	read     *[]string    // files that the run has read: none of them may be written
	placing  *sync.Mutex  // held while files are put in place
	placed   *atomic.Bool // files have been put in place
	patient  *atomic.Bool // an interruption is left to the command, which ends soon with what it has
	files    job.Open     // reads instead of the system, by whole names; nil: the system
}

// isScreen reports whether w is a person's screen and not a file or another program.
func isScreen(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// reads notes that a file is an input.
func (t terminal) reads(name string) {
	if name != "-" {
		*t.read = append(*t.read, name)
	}
}

// A command is one verb. flags fills a flag set and returns what runs once it has been parsed.
type command struct {
	name, args, short, long string
	flags                   func(*pflag.FlagSet) action
}

// An action runs a command with the arguments that are no flags.
type action func(context.Context, terminal, []string) error

func commands() []command {
	return []command{
		newCommand(), designCommand(), checkCommand(), driverCommand(), sheetsCommand(), measuredCommand(), rankCommand(), pageCommand(), completionCommand(),
	}
}

func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	t := terminal{stdin, stdout, stderr, new([]string), new(sync.Mutex), new(atomic.Bool), new(atomic.Bool), nil}
	err := untilDone(ctx, t, func() error { return dispatch(ctx, t, args) })
	if errors.Is(err, context.Canceled) {
		err = errors.New("interrupted; no file has been written or changed")
		if t.placed.Load() {
			err = errors.New("interrupted; the files are written, whole")
		}
	}
	if err != nil && !errors.Is(err, errNo) {
		for line := range strings.SplitSeq(err.Error(), "\n") {
			fmt.Fprintln(stderr, "cubby: "+printable(line))
		}
	}
	return exitFor(err)
}

// untilDone runs a command and gives its error, or ctx's as soon as ctx is done, wherever the command then is: reading
// and writing can block for ever. Files that are being put in place get there or are removed first. The command may run
// on, so the program must end. A patient one is waited for: a second signal ends the program at once.
func untilDone(ctx context.Context, t terminal, do func() error) error {
	done := make(chan error, 1)
	go func() { done <- do() }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		if t.patient.Load() {
			return <-done
		}
		t.placing.Lock()
		return ctx.Err()
	}
}

func dispatch(ctx context.Context, t terminal, args []string) error {
	if len(args) == 0 {
		return usage("which command? Run cubby --help for the list")
	}
	switch args[0] {
	case "-h", "--help", "help":
		return named("-", writeString(t.out, help()))
	case "--licences", "--licenses":
		return named("-", writeWhole(t.out, licences))
	case "--version":
		return named("-", writeString(t.out, "cubby "+version()+"\n"))
	}
	for _, c := range commands() {
		if c.name == args[0] {
			return c.run(ctx, t, args[1:])
		}
	}
	if near := word.Nearest(args[0], names()); near != "" {
		return usage("%s: no such command, did you mean %s?", args[0], near)
	}
	return usage("%s: no such command; there are %s", args[0], strings.Join(names(), ", "))
}

func (c command) run(ctx context.Context, t terminal, args []string) error {
	fs := pflag.NewFlagSet(c.name, pflag.ContinueOnError)
	fs.SortFlags = false
	fs.Usage = func() {}
	fs.SetOutput(io.Discard)
	do := c.flags(fs)
	if err := fs.Parse(args); errors.Is(err, pflag.ErrHelp) {
		return named("-", writeString(t.out, c.help(fs)))
	} else if err != nil {
		return usage("%s: %s (cubby %s --help)", c.name, err, c.name)
	}
	err := do(ctx, t, fs.Args())
	if wrong := (*usageError)(nil); errors.As(err, &wrong) {
		return &usageError{c.name + ": " + strings.ReplaceAll(err.Error(), "\n", "\n"+c.name+": ")}
	}
	return err
}

func writeString(w io.Writer, s string) error {
	_, err := io.WriteString(w, s)
	return err
}

func names() []string {
	var all []string
	for _, c := range commands() {
		all = append(all, c.name)
	}
	return all
}

// release is the version of a program that is given out, set when it is linked.
var release string

// version comes from the build: that of a release, the module's version, or the revision it was built from.
func version() string {
	if release != "" {
		return release
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := info.Main.Version
	if v != "" && v != "(devel)" {
		return v
	}
	revision, dirty := "", ""
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			revision = s.Value[:min(12, len(s.Value))]
		case "vcs.modified":
			if s.Value == "true" {
				dirty = "+"
			}
		}
	}
	if revision == "" {
		return "devel"
	}
	return "devel-" + revision + dirty
}
