package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/pflag"

	"cubby/internal/job"
)

func newCommand() command {
	return command{
		name: "new", args: "FILE", short: "write a commented starter job to fill in",
		long: "Writes a starter job with a comment on every line that needs a tape measure or a data sheet.\n" +
			"It runs as written, and never overwrites a file.\n\n  cubby new van.yaml --units mm",
		flags: func(fs *pflag.FlagSet) action {
			units := fs.String("units", "in", "`in|mm`: the job's own unit of length")
			blank := fs.Bool("blank", false, "leave ? where a value has to be written; design asks for each by name")
			return func(_ context.Context, t terminal, args []string) error { return runNew(t, args, *units, *blank) }
		},
	}
}

func runNew(t terminal, args []string, units string, blank bool) error {
	if len(args) != 1 {
		return usage("give one file to write")
	}
	u := shopSystems[units]
	if u == nil {
		return usage("--units %s: must be in or mm", units)
	}
	data := job.Starter(*u)
	if blank {
		data = job.Blank(*u)
	}
	if args[0] == "-" {
		return named("-", writeWhole(t.out, data))
	}
	t.placing.Lock()
	err := writeNew(args[0], data)
	t.placing.Unlock()
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s: exists already; new never overwrites", args[0])
	}
	if err != nil {
		return fmt.Errorf("%s: cannot be written: %w", args[0], cause(err))
	}
	return named("-", writeString(t.out, fmt.Sprintf("%s written. Fill it in, then: cubby design %s\n", args[0], args[0])))
}

// writeNew writes a file that must not exist yet: beside its place, then given its name, which fails when that is
// taken.
func writeNew(name string, data []byte) error {
	if _, err := os.Lstat(name); err == nil {
		return fs.ErrExist
	}
	temporary, err := writeBeside(name, data)
	if err != nil {
		return err
	}
	defer os.Remove(temporary)
	if err = os.Link(temporary, name); err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	return os.Rename(temporary, name) // on a disk that knows no links
}
