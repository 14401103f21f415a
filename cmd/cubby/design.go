package main

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime/debug"
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

// add defines the flags that all reports have.
func (o *outputFlags) add(fs *pflag.FlagSet) {
	fs.StringVar(&o.out, "out", "", "`FILE.pdf`: the report (default: the job's name, in this folder)")
	fs.StringVar(&o.paper, "paper", "", "`letter|a4`: the size of paper (default: by the job's units)")
	fs.BoolVar(&o.json, "json", false, "print one JSON object instead of the summary")
	fs.BoolVar(&o.quiet, "quiet", false, "print no summary")
	fs.BoolVar(&o.outside, "allow-outside", false, "let the job name files outside its own folder")
}

// addCurves defines the flag for the curves of what is named.
func (o *outputFlags) addCurves(fs *pflag.FlagSet, what string) {
	fs.StringVar(&o.curves, "curves", "", "`FILE.csv`: the curves of the best "+what)
}

// curveFlags choose the curves.
type curveFlags struct {
	drive     string
	noFilters bool
	from, to  float64
	points    int
}

func (c *curveFlags) add(fs *pflag.FlagSet) {
	fs.StringVar(&c.drive, "drive", "", "`VOLTS|1W|amp`: drive of the curves (default: 2.83 V)")
	fs.BoolVar(&c.noFilters, "no-filters", false, "leave the amplifier's filters out")
	fs.Float64Var(&c.from, "from", 10, "lowest frequency of the curves, `HZ`")
	fs.Float64Var(&c.to, "to", 300, "highest frequency of the curves, `HZ`")
	fs.IntVar(&c.points, "points", 300, "`N`: points of the curves, evenly spaced in log frequency")
}

// designFlags are those of the design command.
type designFlags struct {
	outputFlags
	curveFlags
	machineFlags
	only      string
	shopUnits string
	templates bool
}

func designCommand() command {
	return command{
		name: "design", args: "JOB", short: "the whole job: from the space to a box, its panels, sheets and PDF",
		long: "Finds the box that serves the job's aim best in the measured space, prints a summary and writes the PDF:\n" +
			"part A for the fitter, part B for the shop.\n\n  cubby design van.yaml --paper a4 --out van-rev2.pdf",
		flags: func(fs *pflag.FlagSet) action {
			var f designFlags
			f.outputFlags.add(fs)
			f.addCurves(fs, "design")
			fs.StringVar(&f.parts, "parts", "", "`FILE.csv`: the blanks to cut")
			fs.StringVar(&f.only, "only", "", "`shop`: print part B alone")
			f.machineFlags.add(fs)
			f.machineFlags.addSolid(fs)
			fs.StringVar(&f.shopUnits, "shop-units", "", "part B in `in|mm`, whatever the job's units")
			fs.BoolVar(&f.templates, "templates", false, "print openings with their bolts, and bevel gauges, at full size")
			f.curveFlags.add(fs)
			return func(ctx context.Context, t terminal, args []string) error { return runDesign(ctx, t, args, f) }
		},
	}
}

func (f designFlags) check() error {
	if _, ok := shopSystems[f.shopUnits]; !ok {
		return usage("--shop-units %s: must be in or mm", f.shopUnits)
	}
	if f.only != "" && f.only != "shop" {
		return usage("--only %s: must be shop", f.only)
	}
	return cmp.Or(f.outputFlags.check(), f.machineFlags.check(), f.curveFlags.check())
}

func (o outputFlags) check() error {
	if p := strings.ToLower(o.paper); p != "" && p != "letter" && p != "a4" {
		return usage("--paper %s: must be letter or a4", o.paper)
	}
	standard := 0
	for _, to := range []bool{o.out == "-", o.curves == "-", o.parts == "-", o.json} {
		if to {
			standard++
		}
	}
	if standard > 1 {
		return usage("only one of --json, --out -, --curves - and --parts - can have standard output")
	}
	return nil
}

func (c curveFlags) check() error {
	switch {
	case !(c.from >= 1 && c.from < c.to && c.to <= 1000):
		return usage("--from %g --to %g: must rise, within 1 to 1000 Hz", c.from, c.to)
	case c.points < 2 || c.points > 100000:
		return usage("--points %d: must be 2 to 100000", c.points)
	}
	_, err := c.level()
	return err
}

// level is the drive of the curves.
func (c curveFlags) level() (design.Drive, error) {
	switch c.drive {
	case "":
		return design.Drive{}, nil
	case "1W", "amp":
		return design.Drive{Mode: c.drive}, nil
	}
	s := c.drive
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		s += " V"
	}
	v, err := unit.Parse(s, unit.Voltage, unit.Metric)
	if err != nil || !(v > 0 && v <= 1000) {
		return design.Drive{}, usage("--drive %s: must be a voltage such as 2.83, or 1W, or amp", c.drive)
	}
	return design.Drive{Mode: "volts", Volts: v}, nil
}

// apply puts the flags, which have been checked, into a request.
func (c curveFlags) apply(req *design.Request) {
	req.Drive, _ = c.level()
	req.Grid = design.Grid{From: c.from, To: c.to, Points: c.points}
	if c.noFilters && req.Amplifier != nil {
		req.Amplifier.Filters, req.Amplifier.Assumed = nil, nil
	}
}

func runDesign(ctx context.Context, t terminal, args []string, f designFlags) error {
	if len(args) != 1 {
		return usage("give one job file (or - for standard input)")
	}
	if err := f.check(); err != nil {
		return err
	}
	defer rareCollections()()
	name := args[0]
	data, req, err := f.read(t, name, job.Parse)
	if err != nil {
		return err
	}
	f.apply(req)
	result, err := design.Run(ctx, *req)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if text := result.Request.SampleText(); text != "" {
		result.Warnings = append(result.Warnings, text)
	}
	machines, err := f.machines(ctx, result)
	if err != nil {
		return err
	}
	return f.write(ctx, t, f.report(name, result, isScreen(t.out)), data, machines, len(result.Designs) > 0)
}

// rareCollections lets garbage grow to four times of what is in use, which is little, some 20 MB: a design is done in a
// tenth less time. It gives what undoes that. The user's own GOGC comes first.
func rareCollections() (undo func()) {
	const percent = 400
	if os.Getenv("GOGC") != "" {
		return func() {}
	}
	was := debug.SetGCPercent(percent)
	return func() { debug.SetGCPercent(was) }
}

// pdfName is the report's file: as asked for, or the job's name in this folder with what tells its kind.
func (o outputFlags) pdfName(job, kind string) string {
	switch {
	case o.out != "":
		return o.out
	case job == "-":
		return "job" + kind + ".pdf"
	}
	return strings.TrimSuffix(filepath.Base(job), filepath.Ext(job)) + kind + ".pdf"
}

// options are those of a report on a job.
func (o outputFlags) options(job string, data []byte, req *design.Request) render.Options {
	sum := sha256.Sum256(data)
	options := render.Options{
		Paper: strings.ToLower(o.paper), Created: created(req.Date),
		Source: filepath.Base(job), Hash: hex.EncodeToString(sum[:6]), Version: version(),
	}
	if options.Paper == "" {
		options.Paper = "letter"
		if req.Units == unit.Metric {
			options.Paper = "a4"
		}
	}
	return options
}

// quietly reports whether no summary is wanted, or something else has standard output.
func (o outputFlags) quietly() bool {
	return o.quiet || o.out == "-" || o.curves == "-" || o.parts == "-"
}

// report is what is given of a design; drawn: the summary shows the box in its space.
func (f designFlags) report(name string, r *design.Result, drawn bool) report {
	pages := func(w io.Writer, r *design.Result, o render.Options) error {
		o.ShopOnly, o.Templates, o.ShopUnits = f.only == "shop", f.templates, shopSystems[f.shopUnits]
		return render.Document(w, r, o)
	}
	var files []output
	if len(r.Designs) > 0 {
		best := &r.Designs[0]
		files = []output{{f.curves, func(w io.Writer) error { return export.Curves(w, best.Curves) }},
			{f.parts, func(w io.Writer) error { return export.Parts(w, best) }}}
	}
	text := func(r *design.Result, pages string) string { return summary(r, pages, drawn) }
	return newReport("design", name, "", r, &r.Request, pages, export.JSON, text, files...)
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

var inches, millimetres = unit.Inch, unit.Metric

// shopSystems are the units that part B can be printed in; empty: the job's.
var shopSystems = map[string]*unit.System{"": nil, "in": &inches, "mm": &millimetres}
