package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/render"
	"cubby/internal/unit"
)

// outputFlags are the flags that every command with a report has.
type outputFlags struct {
	out, paper, curves, parts string
	json, quiet, outside      bool
}

func (o *outputFlags) add(fs *pflag.FlagSet) {
	fs.StringVar(&o.out, "out", "", "`FILE.pdf`: the report (default: the job's name, in this folder)")
	fs.StringVar(&o.paper, "paper", "", "`letter|a4` (default: by the job's units)")
	fs.BoolVar(&o.json, "json", false, "print one JSON object instead of the summary")
	fs.StringVar(&o.curves, "curves", "", "`FILE.csv`: the best design's curves")
	fs.StringVar(&o.parts, "parts", "", "`FILE.csv`: the blanks to cut")
	fs.BoolVar(&o.quiet, "quiet", false, "print no summary")
	fs.BoolVar(&o.outside, "allow-outside", false, "let the job name files outside its own folder")
}

// designFlags are those of the design command.
type designFlags struct {
	outputFlags
	drive, only string
	noFilters   bool
	from, to    float64
	points      int
}

func designCommand() command {
	return command{
		name: "design", args: "JOB", short: "the whole job: from the space to a box, its panels, sheets and PDF",
		long: "Finds the box that serves the job's aim best in the measured space, prints a summary and writes the PDF:\n" +
			"part A for the fitter, part B for the shop.\n\n  cubby design van.yaml --paper a4 --out van-rev2.pdf",
		flags: func(fs *pflag.FlagSet) func(context.Context, terminal, []string) error {
			var f designFlags
			f.add(fs)
			fs.StringVar(&f.only, "only", "", "`shop`: print part B alone")
			fs.StringVar(&f.drive, "drive", "", "drive of the curves: `VOLTS|1W|amp` (default 2.83 V)")
			fs.BoolVar(&f.noFilters, "no-filters", false, "leave the amplifier's filters out")
			fs.Float64Var(&f.from, "from", 10, "lowest frequency of the curves, Hz")
			fs.Float64Var(&f.to, "to", 300, "highest frequency of the curves, Hz")
			fs.IntVar(&f.points, "points", 300, "points of the curves, evenly spaced in log frequency")
			return func(ctx context.Context, t terminal, args []string) error { return runDesign(ctx, t, args, f) }
		},
	}
}

func (f designFlags) check() error {
	switch {
	case f.paper != "" && f.paper != "letter" && f.paper != "a4":
		return &usageError{fmt.Sprintf("design: --paper %s: must be letter or a4", f.paper)}
	case f.only != "" && f.only != "shop":
		return &usageError{fmt.Sprintf("design: --only %s: must be shop", f.only)}
	case !(f.from >= 1 && f.from < f.to && f.to <= 1000):
		return &usageError{fmt.Sprintf("design: --from %g --to %g: must rise, within 1 to 1000 Hz", f.from, f.to)}
	case f.points < 2 || f.points > 100000:
		return &usageError{fmt.Sprintf("design: --points %d: must be 2 to 100000", f.points)}
	}
	standard := 0
	for _, to := range []bool{f.out == "-", f.curves == "-", f.parts == "-", f.json} {
		if to {
			standard++
		}
	}
	if standard > 1 {
		return &usageError{"design: only one of --json, --out -, --curves - and --parts - can have standard output"}
	}
	return nil
}

func (f designFlags) driveLevel() (design.Drive, error) {
	switch f.drive {
	case "":
		return design.Drive{}, nil
	case "1W", "amp":
		return design.Drive{Mode: f.drive}, nil
	}
	s := f.drive
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		s += " V"
	}
	v, err := unit.Parse(s, unit.Voltage, unit.Metric)
	if err != nil || !(v > 0 && v <= 1000) {
		return design.Drive{}, &usageError{fmt.Sprintf("design: --drive %s: must be a voltage such as 2.83, or 1W, or amp", f.drive)}
	}
	return design.Drive{Mode: "volts", Volts: v}, nil
}

func runDesign(ctx context.Context, t terminal, args []string, f designFlags) error {
	if len(args) != 1 {
		return &usageError{"design: give one job file (or - for standard input)"}
	}
	if err := f.check(); err != nil {
		return err
	}
	drive, err := f.driveLevel()
	if err != nil {
		return err
	}
	name := args[0]
	data, err := readInput(t, name)
	if err != nil {
		return err
	}
	req, err := job.Parse(name, data, opener(name, f.outside))
	if err != nil {
		return err
	}
	req.Drive = drive
	req.Grid = design.Grid{From: f.from, To: f.to, Points: f.points}
	if f.noFilters && req.Amplifier != nil {
		req.Amplifier.Filters, req.Amplifier.Assumed = nil, nil
	}
	result, err := design.Run(ctx, *req)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if err := writeAll(t, []string{name}, f.outputs(t, name, data, result)); err != nil {
		return err
	}
	if len(result.Designs) == 0 || result.Designs[0].Verdict == design.DoesNotSuit {
		return errNo
	}
	return nil
}

// outputs lists what the run writes; the summary or the JSON comes last, once the files are in place.
func (f designFlags) outputs(t terminal, name string, data []byte, r *design.Result) []output {
	pdf := f.out
	if pdf == "" {
		pdf = strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)) + ".pdf"
		if name == "-" {
			pdf = "job.pdf"
		}
	}
	sum := sha256.Sum256(data)
	options := render.Options{
		Paper: f.paper, ShopOnly: f.only == "shop", Created: created(r.Request.Date), Source: name,
		Hash: hex.EncodeToString(sum[:6]), Version: version(),
	}
	if options.Paper == "" {
		options.Paper = "letter"
		if r.Request.Units == unit.Metric {
			options.Paper = "a4"
		}
	}
	all := []output{{pdf, func(w io.Writer) error { return render.Document(w, r, options) }}}
	if len(r.Designs) > 0 {
		best := &r.Designs[0]
		if f.curves != "" {
			all = append(all, output{f.curves, func(w io.Writer) error { return export.Curves(w, best) }})
		}
		if f.parts != "" {
			all = append(all, output{f.parts, func(w io.Writer) error { return export.Parts(w, best) }})
		}
	}
	switch {
	case f.json:
		head := export.Head{Version: version(), Command: "design", Job: name}
		all = append(all, output{"-", func(w io.Writer) error { return export.JSON(w, r, head) }})
	case !f.quiet && f.out != "-" && f.curves != "-" && f.parts != "-":
		all = append(all, output{"-", func(w io.Writer) error { return writeString(w, summary(r, pdf)) }})
	}
	return all
}

// created dates the document: the job's date, else SOURCE_DATE_EPOCH, else today.
func created(date string) string {
	if d, err := time.Parse(time.DateOnly, date); err == nil {
		return d.Format(time.RFC3339)
	}
	if s, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64); err == nil && s >= 0 && s < math.MaxInt32*2 {
		return time.Unix(s, 0).UTC().Format(time.RFC3339)
	}
	return time.Now().UTC().Format(time.DateOnly) + "T00:00:00Z"
}
