package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/thielesmall"
)

// driverFlags are those of the driver command.
type driverFlags struct {
	sweepFlags
	out                string
	json, quiet, paste bool
}

func driverCommand() command {
	return command{
		name: "driver", args: "[FILE...]", short: "complete a driver's data, judge them, and tell the boxes that suit",
		long: "Completes each driver file from any sufficient set of values; tells what is given, computed, missing or at odds, " +
			"and which boxes suit. --paste turns the text of a maker's sheet (FILE or standard input) into such a file. --impedance " +
			"measures: a sweep in free air (as the instrument wrote it, or .s1p), and one with a mass on the cone or in a box.\n\n" +
			"  cubby driver --paste --out harrow-10.yaml < copied.txt\n" +
			"  cubby driver --impedance free.csv --second mass.csv --added-mass \"40 g\"",
		flags: func(fs *pflag.FlagSet) action {
			var f driverFlags
			fs.StringVar(&f.out, "out", "", "`FILE.yaml`: the completed driver file (with one FILE)")
			fs.BoolVar(&f.paste, "paste", false, "read the text of a maker's sheet and write a driver file")
			f.sweepFlags.add(fs)
			fs.BoolVar(&f.json, "json", false, "print one JSON object instead of the text")
			fs.BoolVar(&f.quiet, "quiet", false, "print no text")
			return func(ctx context.Context, t terminal, args []string) error { return runDriver(ctx, t, args, f) }
		},
	}
}

func (f driverFlags) check(args []string) error {
	standard := 0
	for _, a := range append([]string{f.free, f.second}, args...) {
		if a == "-" {
			standard++
		}
	}
	switch {
	case f.paste && (f.stated() || f.json):
		return usage("--paste goes with --out and --quiet alone")
	case f.paste && len(args) > 1:
		return usage("--paste reads one text, not %d", len(args))
	case f.paste:
		return nil
	case f.stated() && len(args) > 1:
		return usage("--impedance goes with one driver file at most, not with %d", len(args))
	case len(args) == 0 && !f.stated():
		return usage("give driver files (or - for standard input), or --impedance SWEEP.csv")
	case standard > 1:
		return usage("only one file can come from standard input")
	case f.out != "" && len(args) > 1:
		return usage("--out %s: goes with one driver file, not with %d", f.out, len(args))
	case f.out == "-" && f.json:
		return usage("only one of --json and --out - can have standard output")
	}
	if f.stated() {
		return f.sweepFlags.check()
	}
	return nil
}

// A driverCase is one file with what became of it.
type driverCase struct {
	file  string
	read  *job.DriverFile     // nil: it could not be read
	sheet *design.DriverSheet // nil: it could not be read
	err   error
}

func runDriver(ctx context.Context, t terminal, args []string, f driverFlags) error {
	if err := f.check(args); err != nil {
		return err
	}
	switch {
	case f.paste:
		return runPaste(ctx, t, args, f)
	case f.stated():
		return runMeasuredDriver(ctx, t, args, f)
	}
	var cases []driverCase
	var errs []error
	for _, name := range args {
		c := readDriver(t, name)
		cases = append(cases, c)
		errs = append(errs, c.err)
	}
	if err := writeAll(ctx, t, f.outputs(cases)); err != nil {
		errs = append(errs, err)
	}
	return errors.Join(errs...)
}

// readDriver reads one driver file and judges it.
func readDriver(t terminal, name string) driverCase {
	c := driverCase{file: name}
	data, err := readInput(t, name)
	if err != nil {
		c.err = err
		return c
	}
	if c.read, c.err = job.ParseDriver(name, data); c.err != nil {
		c.read = nil
		return c
	}
	sheet, err := design.AboutDriver(c.read.Spec, c.read.Frame)
	if c.sheet = sheet; err != nil {
		c.err = job.Locate(name, data, err)
	}
	return c
}

// outputs lists what the run writes; the text or the JSON comes last.
func (f driverFlags) outputs(cases []driverCase) []output {
	var all []output
	if first := cases[0]; f.out != "" && first.err == nil {
		all = append(all, output{f.out, func(w io.Writer) error { return writeCompleted(w, first) }})
	}
	return append(all, printed(f.json, f.quiet || f.out == "-",
		func(w io.Writer) error {
			return export.DriversJSON(w, driverEntries(cases), headOf("driver", ""))
		},
		func() string { return driverText(cases, f.out) })...)
}

// writeCompleted writes the driver file with every value that counts.
func writeCompleted(w io.Writer, c driverCase) error {
	full := *c.read
	var err error
	if full.Spec, err = full.Spec.Filled(); err != nil {
		return err
	}
	remarks := job.Remarks{}
	for _, p := range c.sheet.Parameters {
		remarks[p.Name] = remarkOn(p)
	}
	head := "Completed from " + sourceName(c.file) + ". Values without a remark are as given."
	return writeDriverFile(w, &full, head, remarks)
}

// writeDriverFile writes a driver file that can be read again: what follows from data can be what no file may say.
func writeDriverFile(w io.Writer, d *job.DriverFile, head string, remarks job.Remarks) error {
	data := job.FormatDriver(d, head, remarks)
	if _, err := job.ParseDriver("", data); err != nil {
		return fmt.Errorf("what follows from the data cannot be: %w", withoutFile(err))
	}
	_, err := w.Write(data)
	return err
}

// sourceName is a file's name for a sentence.
func sourceName(file string) string {
	if file == "-" {
		return "standard input"
	}
	return file
}

// remarkOn says where a value that was not given comes from.
func remarkOn(p thielesmall.Parameter) string {
	switch p.Origin {
	case thielesmall.Computed:
		return "from " + strings.Join(p.From, ", ")
	case thielesmall.Overruled:
		return fmt.Sprintf("from %s; given: %s", strings.Join(p.From, ", "), givenText(p))
	}
	return ""
}

func driverEntries(cases []driverCase) []export.DriverEntry {
	var all []export.DriverEntry
	for _, c := range cases {
		e := export.DriverEntry{File: c.file, Sheet: c.sheet}
		if c.err != nil {
			e.Errors = strings.Split(c.err.Error(), "\n")
		}
		all = append(all, e)
	}
	return all
}
