package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/nest"
	"cubby/internal/render"
	"cubby/internal/unit"
	"cubby/internal/word"
)

// sheetsFlags are those of the sheets command.
type sheetsFlags struct {
	outputFlags
	machineFlags
	sheet, kerf, trim string
	count             int
	noTurn            bool
}

func sheetsCommand() command {
	return command{
		name: "sheets", args: "JOB|PARTS.csv...", short: "several jobs and parts lists laid on shared sheets, with the cuts",
		long: "Lays the panels of several jobs, and any parts lists, on shared sheets; writes a PDF of layouts and cuts. A parts " +
			"list is CSV: name,count,length_mm,width_mm,thickness_mm,grain (length, width or empty; _in for inches). Stock and saw " +
			"are those of the first job that states them; else common sheets.\n\n" +
			"  cubby sheets van.yaml shelves.csv --sheet 2440x1220mm --kerf 3.2mm",
		flags: func(fs *pflag.FlagSet) action {
			var f sheetsFlags
			fs.StringVar(&f.sheet, "sheet", "", "`SIZE` of every sheet, such as 97x49in (default: the jobs' stock)")
			fs.IntVar(&f.count, "sheets", 0, "`N` sheets of each board at most (default: no limit)")
			fs.StringVar(&f.kerf, "kerf", "", "`WIDTH` of the saw's cut (default: the first job's, or 3.2 mm)")
			fs.StringVar(&f.trim, "trim", "", "`WIDTH` off every edge, with the kerf (default: the first job's)")
			fs.BoolVar(&f.noTurn, "no-turn", false, "turn no part, except as its grain demands")
			fs.StringVar(&f.out, "out", "", "`FILE.pdf`: layouts and cuts (default: the first name with -sheets)")
			fs.StringVar(&f.paper, "paper", "", "`letter|a4`: the size of paper (default: by the units)")
			fs.BoolVar(&f.json, "json", false, "print one JSON object instead of the table")
			f.machineFlags.add(fs)
			fs.StringVar(&f.parts, "parts", "", "`FILE.csv`: all parts as one list")
			fs.BoolVar(&f.quiet, "quiet", false, "print no table")
			fs.BoolVar(&f.outside, "allow-outside", false, "let a job name files outside its own folder")
			return func(ctx context.Context, t terminal, args []string) error { return runSheets(ctx, t, args, f) }
		},
	}
}

func (f sheetsFlags) check(args []string) error {
	if len(args) == 0 {
		return usage("give jobs (.yaml) and parts lists (.csv)")
	}
	standard := 0
	for _, name := range args {
		if name == "-" {
			standard++
			continue
		}
		switch strings.ToLower(filepath.Ext(name)) {
		case ".yaml", ".yml", ".csv":
		default:
			return usage("%s: must be a job (.yaml) or a parts list (.csv)", name)
		}
	}
	switch {
	case standard > 1:
		return usage("only one parts list can come from standard input")
	case f.count < 0 || f.count > nest.MaxParts:
		return usage("--sheets %d: must be 1 to %d, or 0 for as many as needed", f.count, nest.MaxParts)
	}
	return cmp.Or(f.machineFlags.check(), f.outputFlags.check())
}

func runSheets(ctx context.Context, t terminal, args []string, f sheetsFlags) error {
	if err := f.check(args); err != nil {
		return err
	}
	g, s, err := f.lay(ctx, t, args)
	if err != nil {
		return err
	}
	machines, err := f.machines(ctx, g, s)
	if err != nil {
		return err
	}
	return f.write(ctx, t, f.report(g, s), g.data, machines, len(s.Layout.Unplaced) == 0)
}

// lay gathers the parts and lays them out.
func (f sheetsFlags) lay(ctx context.Context, t terminal, args []string) (*gathered, export.Sheets, error) {
	none := export.Sheets{}
	g, err := gather(ctx, t, args, f)
	if err != nil {
		return nil, none, err
	}
	saw, err := f.saw(g)
	if err != nil {
		return nil, none, err
	}
	parts := g.parts()
	stock, err := f.stock(g, parts)
	if err != nil {
		return nil, none, err
	}
	layout, err := nest.Lay(parts, stock, saw, nest.Options{NoTurn: f.noTurn, Done: ctx.Done()})
	if errors.Is(err, nest.ErrStopped) {
		err = ctx.Err()
	}
	return g, export.Sheets{Title: g.title(), Jobs: args, Parts: parts, Stock: stock, Saw: saw, Layout: layout, Assumptions: g.assumptions}, err
}

// commonKerf is that of a full-kerf blade, in metres (common practice).
const commonKerf = 0.0032

// saw is the first job's, with what the flags say.
func (f sheetsFlags) saw(g *gathered) (nest.Saw, error) {
	s := &g.request.Saw
	for _, flag := range []struct {
		name, text string
		to         *float64
	}{{"kerf", f.kerf, &s.Kerf}, {"trim", f.trim, &s.Trim}} {
		if flag.text == "" {
			continue
		}
		v, err := unit.Parse(flag.text, unit.Length, g.request.Units)
		if err != nil {
			return nest.Saw{}, usage("--%s %s", flag.name, err)
		}
		if !(v >= 0 && v <= longestSide) {
			return nest.Saw{}, usage("--%s %s: must be 0 or more, and smaller than the sheet", flag.name, flag.text)
		}
		*flag.to = v
	}
	if f.kerf == "" && s.Kerf == 0 {
		s.Kerf = commonKerf
		g.assume("saw kerf %s (a full-kerf blade)", unit.FormatLength(s.Kerf, unit.Metric))
	}
	if f.trim == "" && s.Trim == 0 && !s.NoTrim {
		g.assume("factory edges are good: nothing is trimmed off them")
	}
	return nest.Saw{
		Kerf: toUm(s.Kerf), Trim: toUm(s.Trim), Step: toUm(s.RoundTo), HandleLength: toUm(s.HandleLength), HandleWidth: toUm(s.HandleWidth),
		HandleMass: s.HandleMass,
	}, nil
}

// shortestSide and longestSide are those of a sheet, in metres.
const shortestSide, longestSide = 0.05, float64(nest.MaxSize) * micrometre

const micrometre = 1e-6 // m

func toUm(m float64) nest.Um { return nest.Um(math.Round(m / micrometre)) }

// sheetSize reads LENGTHxWIDTH; a unit at the end holds for both.
func (f sheetsFlags) sheetSize(sys unit.System) (length, width nest.Um, err error) {
	wrong := func(why string) (nest.Um, nest.Um, error) {
		return 0, 0, usage("--sheet %s: %s", f.sheet, why)
	}
	text := strings.NewReplacer("×", "x", "X", "x").Replace(strings.TrimSpace(f.sheet))
	a, b, ok := strings.Cut(text, "x")
	if !ok {
		return wrong("want LENGTHxWIDTH, such as 2440x1220mm or 97x49in")
	}
	a, b = strings.TrimSpace(a), strings.TrimSpace(b)
	if digits := strings.TrimRight(a, "0123456789./"); len(digits) < len(a) {
		a += b[len(strings.TrimRightFunc(b, func(c rune) bool { return c < '0' || c > '9' })):]
	}
	var size [2]nest.Um
	for i, side := range []string{a, b} {
		v, err := unit.Parse(side, unit.Length, sys)
		if err != nil {
			return wrong(err.Error())
		}
		if !(v >= shortestSide && v <= longestSide) {
			return wrong(fmt.Sprintf("%s: must be from 50 mm to %.0f m (is the unit right?)", side, longestSide))
		}
		size[i] = toUm(v)
	}
	return size[0], size[1], nil
}

// stock is every board's: of the size that --sheet gives, or what the jobs list, or common sheets.
func (f sheetsFlags) stock(g *gathered, parts []nest.Part) ([]nest.Stock, error) {
	common := nest.Stock{Name: "common sheet", Length: 2440_000, Width: 1220_000, Count: f.count, Trim: -1}
	if g.request.Units == unit.Inch {
		common.Length, common.Width = 97*25_400, 49*25_400
	}
	var stock []nest.Stock
	if f.sheet != "" {
		var err error
		common.Name = "sheet"
		if common.Length, common.Width, err = f.sheetSize(g.request.Units); err != nil {
			return nil, err
		}
	} else {
		stock = append(stock, g.stock...)
		if f.count > 0 && len(stock) > 0 {
			return nil, usage("--sheets goes with --sheet: the jobs list their own stock")
		}
	}
	for i := range stock {
		if f.trim != "" {
			stock[i].Trim = -1
		}
	}
	have := map[boardKey]bool{}
	for _, s := range stock {
		have[boardKey{s.Board, s.Thickness}] = true
	}
	for _, p := range parts {
		key := boardKey{p.Board, p.Thickness}
		if have[key] {
			continue
		}
		have[key] = true
		s := common
		s.Board, s.Thickness = p.Board, p.Thickness
		s.AreaMass = g.request.Wood.AreaMass(p.Board, float64(p.Thickness)*micrometre)
		stock = append(stock, s)
		if f.sheet == "" {
			g.assume("%s %s: common sheets of %s x %s", p.Board, g.show(p.Thickness), g.show(s.Length), g.show(s.Width))
		}
	}
	return stock, nil
}

type boardKey struct {
	name      string
	thickness nest.Um
}

// baseNames lists files without their folders.
func baseNames(files []string) string {
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = filepath.Base(f)
	}
	return strings.Join(names, ", ")
}

// report is what is given of a shared layout.
func (f sheetsFlags) report(g *gathered, s export.Sheets) report {
	text := func(_ *design.Result, pages string) string { return sheetsTable(g, s, pages) }
	object := func(w io.Writer, _ *design.Result, h export.Head) error { return export.SheetsJSON(w, s, h) }
	out := newReport("sheets", "", "-sheets", g.result(s), &g.request, render.SheetsReport, object, text,
		output{f.parts, func(w io.Writer) error { return export.SheetParts(w, s.Parts) }})
	out.name, out.source = s.Jobs[0], baseNames(s.Jobs)
	if out.name == "-" {
		out.name = "list"
	}
	return out
}

// sheetsTable is what sheets says on the terminal.
func sheetsTable(g *gathered, s export.Sheets, pdf string) string {
	var b strings.Builder
	l := s.Layout
	pieces := 0
	for _, p := range s.Parts {
		pieces += p.Count
	}
	paragraph(&b, "", fmt.Sprintf("%d parts from %s.", pieces, strings.Join(s.Jobs, ", ")))
	paragraph(&b, "", countText(l))
	if len(l.Sheets) > 0 {
		b.WriteString("\n  sheet  parts  waste  what\n")
	}
	for i, sh := range l.Sheets {
		var names, keep []string
		n := 0
		for _, p := range sh.Placements {
			names = append(names, p.Panel)
			n += max(1, len(p.Parts))
		}
		for _, o := range sh.Offcuts {
			if o.Reusable {
				keep = append(keep, fmt.Sprintf("%s %s x %s", o.Name, g.show(o.Width), g.show(o.Height)))
			}
		}
		k := s.Stock[sh.Stock]
		what := fmt.Sprintf("%s %s, %s x %s", k.Board, g.show(k.Thickness), g.show(sh.Width), g.show(sh.Height))
		if k.Offcut {
			what = "offcut " + what
		}
		const column = 23
		fmt.Fprintf(&b, "  %5d  %5d  %4.0f%%  %s\n", i+1, n, sh.Waste*100, wrapAt(what, column))
		paragraph(&b, strings.Repeat(" ", column), strings.Join(names, ", "))
		if len(keep) > 0 {
			paragraph(&b, strings.Repeat(" ", column), "keep: "+strings.Join(keep, "; "))
		}
	}
	for _, u := range l.Unplaced {
		paragraph(&b, "  ", fmt.Sprintf("not cut: %s: %s", u.Part, u.Why))
	}
	b.WriteString("\n")
	for _, n := range s.Assumptions {
		paragraph(&b, "  ", "- "+n)
	}
	fmt.Fprintf(&b, "%s written.\n", pdf)
	return b.String()
}

// countText says how many sheets it takes and what is known of the least.
func countText(l *nest.Layout) string {
	text := word.Count(len(l.Sheets), "sheet")
	switch {
	case len(l.Sheets) == 0:
		text = "No sheet is used"
	case l.Proved && l.Cost > 0:
		text += fmt.Sprintf(" at %.2f, proved cheapest", l.Cost)
	case l.Proved:
		text += ", proved fewest"
	default:
		text += fmt.Sprintf(", at least %d needed (gap %d)", l.LowerBound, len(l.Sheets)-l.LowerBound)
		if l.Cost > 0 {
			text += fmt.Sprintf(", at %.2f, at least %.2f", l.Cost, l.LowerCost)
		}
	}
	if n := len(l.Unplaced); n > 0 {
		text += fmt.Sprintf("; %s cannot be cut", word.Count(n, "part"))
	}
	return text + fmt.Sprintf("; %s of fence or stop.", word.Count(l.Settings, "setting"))
}

// refusal says why a job gives no panels.
func refusal(name string, r *design.Result) string {
	var b strings.Builder
	b.WriteString(name + ": no box suits, so there is nothing to lay\n")
	for _, o := range r.Outcomes {
		paragraph(&b, "  ", fmt.Sprintf("%s: %s", o.Kind, o.Reason))
	}
	return b.String()
}
