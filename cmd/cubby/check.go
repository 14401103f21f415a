package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/pflag"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/render"
)

// checkFlags are those of the check command.
type checkFlags struct {
	outputFlags
	curveFlags
}

func checkCommand() command {
	return command{
		name: "check", args: "JOB", short: "a ready-made box against driver, amplifier and space: does it suit?",
		long: "Judges the ready-made box (or boxes) that the job describes under box:, prints the verdict with what to do\n" +
			"about every caution, and writes a one-page PDF.\n\n  cubby check shelf-box.yaml --paper letter",
		flags: func(fs *pflag.FlagSet) func(context.Context, terminal, []string) error {
			var f checkFlags
			f.outputFlags.add(fs)
			f.addCurves(fs, "box")
			f.curveFlags.add(fs)
			return func(ctx context.Context, t terminal, args []string) error { return runCheck(ctx, t, args, f) }
		},
	}
}

func runCheck(ctx context.Context, t terminal, args []string, f checkFlags) error {
	if len(args) != 1 {
		return &usageError{"check: give one job file (or - for standard input)"}
	}
	if err := f.outputFlags.check("check"); err != nil {
		return err
	}
	if err := f.curveFlags.check("check"); err != nil {
		return err
	}
	name := args[0]
	data, err := readInput(t, name)
	if err != nil {
		return err
	}
	req, err := job.ParseCheck(name, data, opener(t, name, f.outside))
	if err != nil {
		return err
	}
	if err := f.apply("check", req); err != nil {
		return err
	}
	r, err := design.CheckBoxes(ctx, *req)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if err := writeAll(ctx, t, f.outputs(name, data, r)); err != nil {
		return err
	}
	if r.Boxes[0].Verdict == design.DoesNotSuit {
		return errNo
	}
	return nil
}

func (f checkFlags) outputs(name string, data []byte, r *design.CheckResult) []output {
	pdf := f.pdfName(name)
	options := f.options(name, data, &r.Request)
	all := []output{{pdf, func(w io.Writer) error { return render.CheckReport(w, r, options) }}}
	if f.curves != "" {
		all = append(all, output{f.curves, func(w io.Writer) error {
			return export.Curves(w, r.Boxes[0].Curves, r.Boxes[0].Port != nil)
		}})
	}
	return append(all, answer(f.json, f.quietly(),
		func(w io.Writer) error { return export.CheckJSON(w, r, headOf("check", name)) },
		func() string { return checkSummary(r, pdf) })...)
}
