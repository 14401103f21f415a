package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/impedance"
	"cubby/internal/job"
	"cubby/internal/panels"
	"cubby/internal/render"
)

// measuredFlags are those of the measured command.
type measuredFlags struct {
	outputFlags
	driverToo bool
	spread    string
}

func measuredCommand() command {
	return command{
		name: "measured", args: "JOB SWEEP.csv", short: "the finished box by its impedance: is it what was designed?",
		long: "Fits the finished box to a sweep of its impedance (frequency_hz,impedance_ohm and, if measured,\n" +
			"impedance_phase_deg), compares it with the job's best design, or with the box that the job describes\n" +
			"under box:, says what to change and writes a one-page PDF. Status 3: out of tolerance.\n\n" +
			"  cubby measured van.yaml van-sweep.csv --out van-as-built.pdf",
		flags: func(fs *pflag.FlagSet) action {
			var f measuredFlags
			f.outputFlags.add(fs)
			fs.BoolVar(&f.driverToo, "driver-too", false, "fit the driver as well, held near its data")
			fs.StringVar(&f.spread, "spread", "", "with --driver-too, how near, in `PERCENT`: fs=10,qes=10,qms=25,vas=10,re=3 unless given")
			return func(ctx context.Context, t terminal, args []string) error { return runMeasured(ctx, t, args, f) }
		},
	}
}

// fit is how the box is to be fitted.
func (f measuredFlags) fit() (design.MeasureOptions, error) {
	o := design.MeasureOptions{DriverToo: f.driverToo}
	if f.spread == "" {
		return o, nil
	}
	if !f.driverToo {
		return o, usage("--spread goes with --driver-too")
	}
	known := map[string]*float64{"fs": &o.Spread.Fs, "qes": &o.Spread.Qes, "qms": &o.Spread.Qms, "vas": &o.Spread.Vas, "re": &o.Spread.Re}
	for part := range strings.SplitSeq(f.spread, ",") {
		name, text, _ := strings.Cut(part, "=")
		v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		at := known[strings.TrimSpace(name)]
		if at == nil || err != nil || !(v >= 0.1 && v <= 100) {
			return o, usage("--spread %s: must be fs, qes, qms, vas or re with 0.1 to 100 per cent, as fs=10,qes=15", part)
		}
		*at = v / 100
	}
	return o, nil
}

func runMeasured(ctx context.Context, t terminal, args []string, f measuredFlags) error {
	if len(args) != 2 {
		return usage("give one job file and one sweep (a CSV file); one of them can be -")
	}
	switch ext := strings.ToLower(filepath.Ext(args[1])); {
	case args[0] == "-" && args[1] == "-":
		return usage("job and sweep cannot both be standard input")
	case ext == ".yaml" || ext == ".yml":
		return usage("%s: the sweep comes last, after the job", args[1])
	}
	if err := f.outputFlags.check(); err != nil {
		return err
	}
	o, err := f.fit()
	if err != nil {
		return err
	}
	name, sweepName := args[0], args[1]
	data, req, err := f.read(t, name, job.ParseMeasured)
	sweep, sweepErr := readSweep(t, sweepName)
	if err := errors.Join(err, sweepErr); err != nil {
		return err
	}
	r, err := design.Measure(ctx, *req, sweep, o)
	if undecided := (*impedance.UndecidedError)(nil); errors.As(err, &undecided) {
		return fmt.Errorf("%s: %w", sweepName, err)
	} else if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return f.write(ctx, t, measuredReport(name, r), data, &machineWork{}, r.Verdict != design.NotAsDesigned)
}

// measuredReport is what is given of a finished box beside its design.
func measuredReport(name string, r *design.MeasuredResult) report {
	return newReport("measured", name, "-measured", r, &r.Request, render.MeasuredReport, export.MeasuredJSON, measuredSummary)
}

// measuredSummary is what measured says on the terminal.
func measuredSummary(r *design.MeasuredResult, pdf string) string {
	var b strings.Builder
	titled(&b, r.Request.Title)
	paragraph(&b, "", r.VerdictText)
	second := "designed"
	if r.Expected.Described {
		second = "described"
	}
	fmt.Fprintf(&b, "\n  %-27s%14s%14s  %s\n", "", second, "measured", "difference")
	for _, x := range r.Rows {
		mark := " "
		if x.Status == panels.Marginal || x.Status == panels.Fail {
			mark = "!"
		}
		row(&b, "%s %-27s%14s%14s  %s", mark, x.Name, x.DesignedText, x.MeasuredText, x.DifferenceText)
	}
	fmt.Fprintf(&b, "  the fit misses the sweep by %.2f %% (rms), %.0f to %.0f Hz\n", r.Fit.FitError, r.Fit.Low, r.Fit.High)
	for _, c := range r.Changes {
		b.WriteString("\n")
		paragraph(&b, "", c.Text)
		if c.ToDo != "" {
			paragraph(&b, "  ", "To do: "+c.ToDo)
		}
	}
	b.WriteString("\n")
	return ended(&b, r.Assumptions, pdf)
}
