package main

import (
	"context"
	"fmt"
	"io"
	"slices"

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
		name: "check", args: "JOB [DRIVER...]", short: "a ready-made box against driver, amplifier and space: does it suit?",
		long: "Judges the ready-made box (or boxes) that the job describes under box:, prints the verdict with what to do\n" +
			"about every caution, and writes a one-page PDF. Drivers named after the job (files, folders, lists as for rank)\n" +
			"are each judged in each box instead of the job's own.\n\n  cubby check shelf-box.yaml --paper letter",
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
	if len(args) == 0 {
		return &usageError{"check: give one job file (or - for standard input), and drivers if it is not the job's own"}
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
	if drivers := args[1:]; len(drivers) > 0 {
		if f.curves != "" {
			return &usageError{"check: --curves goes with the job's own driver"}
		}
		pairs := pairsRun{outputFlags: f.outputFlags, command: "check", kind: "-pairs", apply: func(req *design.Request) error { return f.apply("check", req) }}
		return pairs.run(ctx, t, name, data, drivers)
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
	if text := r.Request.SampleText(); text != "" {
		r.Assumptions = append(r.Assumptions, text)
	}
	if err := writeAll(ctx, t, f.outputs(name, data, r)); err != nil {
		return err
	}
	if !slices.ContainsFunc(r.Boxes, func(j design.Judged) bool { return !j.OtherWay && j.Verdict.Accepts() }) {
		return errNo
	}
	return nil
}

func (f checkFlags) outputs(name string, data []byte, r *design.CheckResult) []output {
	pdf := f.pdfName(name, "")
	options := f.options(name, data, &r.Request)
	all := []output{{pdf, func(w io.Writer) error { return render.CheckReport(w, r, options) }}}
	if f.curves != "" {
		all = append(all, output{f.curves, func(w io.Writer) error {
			return export.Curves(w, r.Boxes[0].Curves)
		}})
	}
	return append(all, answer(f.json, f.quietly(),
		func(w io.Writer) error { return export.CheckJSON(w, r, headOf("check", name)) },
		func() string { return checkSummary(r, pdf) })...)
}
