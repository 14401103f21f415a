package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/render"
)

// rankFlags are those of the rank command.
type rankFlags struct {
	outputFlags
	csv string
	top int
	all bool
}

func rankCommand() command {
	return command{
		name: "rank", args: "JOB DRIVER...", short: "the same space for many drivers: which serves it best?",
		long: "Designs the job's space for each driver; a table, best first for the job's aim. A DRIVER is a driver file,\n" +
			"a folder of them, or a list as CSV: up to 100,000 rows below the keys of a driver file with their units:\n" +
			"name,fs_hz,qes,qms,vas_l,sd_cm2,re_ohm,xmax_mm,frame_mm,bolts_count and so on. A driver at fault is told of and\n" +
			"left out. With a box: in the job every driver is judged in every box instead. Of more than 300 drivers only the first --top rows are designed in full; the rest are estimates (~).\n" +
			"Ctrl-C leaves the table of those done.\n\n" +
			"  cubby rank van.yaml drivers/ catalogue.csv --csv ranked.csv",
		flags: func(fs *pflag.FlagSet) action {
			var f rankFlags
			f.outputFlags.add(fs)
			fs.StringVar(&f.csv, "csv", "", "`FILE.csv`: the whole table")
			fs.IntVar(&f.top, "top", 20, "`N`: rows of the table in the summary")
			fs.BoolVar(&f.all, "all", false, "design every driver in full, however many there are")
			return func(ctx context.Context, t terminal, args []string) error { return runRank(ctx, t, args, f) }
		},
	}
}

func (f rankFlags) check(args []string) error {
	if len(args) < 2 {
		return usage("give one job file (or - for standard input) and driver files, folders or lists")
	}
	if slices.Contains(args[1:], "-") {
		return usage("-: only the job can come from standard input")
	}
	if f.top < 1 {
		return usage("--top %d: must be 1 or more", f.top)
	}
	if f.csv == "-" && (f.json || f.out == "-") {
		return usage("only one of --json, --out - and --csv - can have standard output")
	}
	return f.outputFlags.check()
}

func runRank(ctx context.Context, t terminal, args []string, f rankFlags) error {
	if err := f.check(args); err != nil {
		return err
	}
	name := args[0]
	inBoxes := false
	data, req, err := f.read(t, name, func(name string, data []byte, open job.Open) (*design.Request, error) {
		if inBoxes = job.HasBox(name, data); inBoxes {
			return job.ParsePairs(name, data, open)
		}
		return job.ParseRank(name, data, open)
	})
	if err != nil {
		return err
	}
	drivers, unread, err := gatherDrivers(ctx, t, args[1:])
	if err != nil {
		return err
	}
	if inBoxes {
		return f.judge(ctx, t, "rank", name, "-rank", data, req, drivers, unread, f.csv)
	}
	defer rareCollections()()
	t.patient.Store(true)
	bar := newProgress(t.err, len(drivers))
	r, err := design.Rank(ctx, *req, drivers, f.proven(len(drivers)), bar.show)
	bar.clear()
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	tell(t, refusals(r.Refused))
	return f.finish(ctx, t, name, data, r, unread)
}

// soonDesigned is how many drivers are designed in full without being asked: some seconds' work.
const soonDesigned = 300

// proven is how many of the best are designed in full; 0: all.
func (f rankFlags) proven(drivers int) int {
	if f.all || drivers <= soonDesigned {
		return 0
	}
	return f.top
}

// finish writes what was asked for and gives the answer.
func (f rankFlags) finish(ctx context.Context, t terminal, name string, data []byte, r *design.Ranking, unread []error) error {
	if len(r.Placings) == 0 {
		if r.Stopped {
			return ctx.Err()
		}
		return errors.New("no driver could be designed for")
	}
	err := f.write(context.WithoutCancel(ctx), t, f.report(name, r, unread), data, &machineWork{}, r.Placings[0].Rank > 0)
	if r.Stopped && (err == nil || errors.Is(err, errNo)) {
		err = fmt.Errorf("interrupted: the table holds %d of %d drivers", len(r.Placings)+len(r.Refused), r.Total)
	}
	return err
}

// report is what is given of a ranking.
func (f rankFlags) report(name string, r *design.Ranking, unread []error) report {
	object := func(w io.Writer, r *design.Ranking, h export.Head) error { return export.RankJSON(w, r, unread, h) }
	text := func(r *design.Ranking, pages string) string { return rankSummary(r, f.top, pages) }
	return newReport("rank", name, "-rank", r, &r.Request, render.RankReport, object, text,
		output{f.csv, func(w io.Writer) error { return export.RankCSV(w, r) }})
}

// mostTold is how many drivers at fault are told of one by one.
const mostTold = 100

// tell prints what is wrong with drivers that are left out.
func tell(t terminal, errs []error) {
	told := 0
	for _, err := range errs {
		for line := range strings.SplitSeq(err.Error(), "\n") {
			if told++; told <= mostTold {
				fmt.Fprintln(t.err, "cubby: "+printable(line))
			}
		}
	}
	if more := told - mostTold; more > 0 {
		fmt.Fprintf(t.err, "cubby: and %d more faults of drivers\n", more)
	}
}

// refusals are the errors of drivers that were read and could not be used.
func refusals(all []design.Refusal) (errs []error) {
	for _, x := range all {
		errs = append(errs, fmt.Errorf("%s: %w", x.Source, x.Err))
	}
	return errs
}

// gatherDrivers reads the drivers that the arguments name, in order, and tells what could not be read; the error is for
// none.
func gatherDrivers(ctx context.Context, t terminal, names []string) (drivers []design.Entrant, unread []error, err error) {
	files, unread := driverFiles(names)
	for _, name := range files {
		if ctx.Err() != nil {
			break
		}
		found, errs := readDrivers(t, name)
		drivers, unread = append(drivers, found...), append(unread, errs...)
	}
	tell(t, unread)
	if len(drivers) == 0 {
		err = errors.New("no driver could be read")
	}
	return drivers, unread, err
}

// driverFiles lists the files that the arguments name: a folder stands for the driver files and lists in it, by name,
// plain files alone.
func driverFiles(names []string) (files []string, unread []error) {
	for _, name := range names {
		info, err := os.Stat(name)
		if err != nil || !info.IsDir() {
			files = append(files, name) // reading it will say what is wrong
			continue
		}
		entries, err := os.ReadDir(name)
		if err != nil {
			unread = append(unread, plain(err))
			continue
		}
		before := len(files)
		for _, e := range entries {
			switch strings.ToLower(filepath.Ext(e.Name())) {
			case ".yaml", ".yml", ".csv":
				switch path := filepath.Join(name, e.Name()); {
				case e.Type().IsRegular():
					files = append(files, path)
				case e.Type()&fs.ModeSymlink != 0:
					unread = append(unread, fmt.Errorf("%s: is a link, which is not followed out of a folder: name the file itself", path))
				case !e.IsDir():
					unread = append(unread, fmt.Errorf("%s: is not a plain file", path))
				}
			}
		}
		if len(files) == before {
			unread = append(unread, fmt.Errorf("%s: the folder has no .yaml, .yml or .csv file", name))
		}
	}
	return files, unread
}

// readDrivers reads a driver file or a list of drivers.
func readDrivers(t terminal, name string) (drivers []design.Entrant, errs []error) {
	list := strings.EqualFold(filepath.Ext(name), ".csv")
	most := maxFile
	if list {
		most = job.MostCatalogueBytes
	}
	data, err := readUpTo(t, name, most)
	if err != nil {
		return nil, []error{err}
	}
	if !list {
		d, err := job.ParseDriver(name, data)
		if err == nil {
			if _, _, incomplete := d.Spec.Complete(); incomplete != nil {
				err = job.Locate(name, data, incomplete)
			}
		}
		if err != nil {
			return nil, []error{err}
		}
		return []design.Entrant{{Source: name, Spec: d.Spec, Frame: d.Frame}}, nil
	}
	rows, err := job.ParseCatalogue(name, data)
	if err != nil {
		return nil, []error{err}
	}
	for _, r := range rows {
		if r.Faults != nil {
			errs = append(errs, r.Faults)
			continue
		}
		drivers = append(drivers, design.Entrant{Source: fmt.Sprintf("%s:%d", name, r.Line), Spec: r.Driver.Spec, Frame: r.Driver.Frame})
	}
	return drivers, errs
}

// A progress is a line on a terminal that says how far the work is.
type progress struct {
	w     io.Writer // nil: nobody looks
	total int
	next  time.Time
	drawn bool
}

// newProgress shows progress on w when that is a terminal.
func newProgress(w io.Writer, total int) *progress {
	p := &progress{total: total}
	if isScreen(w) {
		p.w = w
	}
	return p
}

// show draws the line again, at most ten times a second.
func (p *progress) show(done int) {
	now := time.Now()
	if p.w == nil || now.Before(p.next) {
		return
	}
	const width = 40
	p.next, p.drawn = now.Add(100*time.Millisecond), true
	full := width * done / p.total
	fmt.Fprintf(p.w, "\r|%s%s| %d of %d drivers", strings.Repeat("=", full), strings.Repeat(" ", width-full), done, p.total)
}

// clear takes the line away.
func (p *progress) clear() {
	if p.drawn {
		fmt.Fprintf(p.w, "\r%s\r", strings.Repeat(" ", lineWidth-1))
	}
}
