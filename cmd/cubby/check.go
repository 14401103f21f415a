package main

import (
	"cmp"
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
		flags: func(fs *pflag.FlagSet) action {
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
		return usage("give one job file (or - for standard input), and drivers if it is not the job's own")
	}
	if err := cmp.Or(f.outputFlags.check(), f.curveFlags.check()); err != nil {
		return err
	}
	name, as := args[0], job.ParseCheck
	if len(args) > 1 {
		if as = job.ParsePairs; f.curves != "" {
			return usage("--curves goes with the job's own driver")
		}
	}
	data, req, err := f.read(t, name, as)
	if err != nil {
		return err
	}
	f.apply(req)
	if len(args) > 1 {
		drivers, unread, err := gatherDrivers(ctx, t, args[1:])
		if err != nil {
			return err
		}
		return f.judge(ctx, t, "check", name, "-pairs", data, req, drivers, unread, "")
	}
	r, err := design.CheckBoxes(ctx, *req)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if text := r.Request.SampleText(); text != "" {
		r.Assumptions = append(r.Assumptions, text)
	}
	suits := slices.ContainsFunc(r.Boxes, func(j design.Judged) bool { return !j.OtherWay && j.Verdict.Accepts() })
	return f.write(ctx, t, checkReport(name, r, f.curves), data, &machineWork{}, suits)
}

// checkReport is what is given of boxes that were judged, and the curves of the best of them.
func checkReport(name string, r *design.CheckResult, curves string) report {
	return newReport("check", name, "", r, &r.Request, render.CheckReport, export.CheckJSON, checkSummary,
		output{curves, func(w io.Writer) error { return export.Curves(w, r.Boxes[0].Curves) }})
}
