package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/render"
	"cubby/internal/unit"
	"cubby/internal/word"
)

// machineFlags ask for files that machines read.
type machineFlags struct {
	dxf, svg, solid string // folders
	bit, nested     string
}

func (m *machineFlags) add(fs *pflag.FlagSet) {
	fs.StringVar(&m.dxf, "dxf", "", "`DIR`: panels and sheets as DXF, for a router")
	fs.StringVar(&m.svg, "svg", "", "`DIR`: panels and sheets as SVG, at true size")
	fs.StringVar(&m.bit, "bit", "", "`WIDTH` of the bit: pockets' corners are cut out for it")
	fs.StringVar(&m.nested, "nested", "", "`GAP`: lay the parts for a router, this far apart")
}

func (m *machineFlags) addSolid(fs *pflag.FlagSet) {
	fs.StringVar(&m.solid, "solid", "", "`DIR`: box, box pulled apart and panels as STL and 3MF")
}

func (m machineFlags) folders() []string {
	var all []string
	for _, d := range []string{m.dxf, m.svg, m.solid} {
		if d != "" {
			all = append(all, d)
		}
	}
	return all
}

// check finds what is wrong with the flags before anything is read.
func (m machineFlags) check() error {
	for _, d := range m.folders() {
		if d == "-" {
			return usage("--dxf, --svg and --solid need a folder: several files are written")
		}
	}
	if m.bit != "" && m.dxf == "" && m.svg == "" {
		return usage("--bit is for --dxf and --svg; give one of them")
	}
	return nil
}

// length reads the value of a flag that must be greater than 0.
func machineLength(flag, text string, sys unit.System) (float64, error) {
	if text == "" {
		return 0, nil
	}
	v, err := unit.Parse(text, unit.Length, sys)
	if err != nil {
		return 0, usage("--%s %s", flag, err)
	}
	if !(v >= micrometre && v <= longestSide) {
		return 0, usage("--%s %s: must be greater than 0, such as 6mm", flag, text)
	}
	return v, nil
}

// machineInput is what the files are made of.
type machineInput struct {
	panels []panels.Panel
	box    *panels.Box // nil: there is no one box, only parts
	parts  []nest.Part
	stock  []nest.Stock
	saw    nest.Saw
	layout *nest.Layout
	units  unit.System
}

// machineWork is what is written for machines, and what is said of it.
type machineWork struct {
	outputs []output
	folders []string
	router  *export.Router
	text    string
}

// work lays the parts for a router where that is wanted, and lists the files.
func (m machineFlags) work(ctx context.Context, in machineInput) (*machineWork, error) {
	w := &machineWork{folders: m.folders()}
	bit, err := machineLength("bit", m.bit, in.units)
	if err != nil {
		return nil, err
	}
	clearance, err := machineLength("nested", m.nested, in.units)
	if err != nil {
		return nil, err
	}
	var nested *nest.Nested
	if clearance > 0 {
		nested, err = nest.LayNested(in.parts, in.stock, in.saw, toUm(clearance), nest.Options{Done: ctx.Done()})
		if errors.Is(err, nest.ErrStopped) {
			return nil, ctx.Err()
		}
		if err != nil {
			return nil, err
		}
		w.router = &export.Router{Nested: nested, Stock: in.stock, Saw: in.layout}
	}
	options := render.MachineOptions{Units: in.units, Bit: bit}
	if m.dxf != "" || m.svg != "" {
		flats, err := render.MachineFlats(in.panels, in.layout, nested, options)
		if err != nil {
			return nil, fmt.Errorf("--bit %s: %w", m.bit, err)
		}
		if m.dxf != "" {
			w.put(m.dxf, render.DXFFiles(flats, options))
		}
		if m.svg != "" {
			w.put(m.svg, render.SVGFiles(flats, options))
		}
	}
	var notes []string
	if m.solid != "" && in.box != nil {
		var files []render.File
		files, notes = render.Solids(in.box)
		w.put(m.solid, files)
	}
	w.text = w.words(in, notes)
	return w, nil
}

// put adds files in a folder; a list that stands there already is not written twice.
func (w *machineWork) put(dir string, files []render.File) {
	for _, f := range files {
		name := filepath.Join(dir, f.Name)
		if !slices.ContainsFunc(w.outputs, func(o output) bool { return o.name == name }) {
			w.outputs = append(w.outputs, output{name, f.Write})
		}
	}
}

// words says what was written and how the router's layout compares with the saw's.
func (w *machineWork) words(in machineInput, notes []string) string {
	var b strings.Builder
	if r := w.router; r != nil {
		const square = micrometre * micrometre
		text := fmt.Sprintf("For a router, parts %s apart: %s, %.2f m2 used", unit.FormatLength(float64(r.Nested.Clearance)*micrometre, in.units),
			word.Count(len(r.Nested.Sheets), "sheet"), r.Nested.UsedArea()*square)
		if r.Saw != nil {
			text += fmt.Sprintf("; the saw's layout: %s, %.2f m2", word.Count(len(r.Saw.Sheets), "sheet"), r.Saw.UsedArea()*square)
		}
		if r.Nested.Rows {
			text += ". Nothing closer was found than parts in rows"
		}
		paragraph(&b, "", text+".")
		for _, u := range r.Nested.Unplaced {
			paragraph(&b, "  ", fmt.Sprintf("not laid for the router: %s: %s", u.Part, u.Why))
		}
	}
	for _, n := range notes {
		paragraph(&b, "  ", "- "+n+".")
	}
	if len(w.outputs) > 0 {
		paragraph(&b, "", fmt.Sprintf("%s written in %s.", word.Count(len(w.outputs), "file"), strings.Join(w.folders, ", ")))
	}
	return b.String()
}

// write writes everything: folders that are missing are made first, and removed again when something fails.
func (w *machineWork) write(ctx context.Context, t terminal, all []output) (err error) {
	var made []string
	defer func() {
		if err != nil {
			for i := len(made) - 1; i >= 0; i-- {
				os.Remove(made[i])
			}
		}
	}()
	for _, d := range w.folders {
		got, err := makeFolder(d)
		made = append(made, got...)
		if err != nil {
			return err
		}
	}
	return writeAll(ctx, t, append(append([]output{}, w.outputs...), all...))
}

// makeFolder makes a folder and those above it, and gives what it made, the uppermost first.
func makeFolder(name string) (made []string, err error) {
	info, err := os.Stat(name)
	switch {
	case err == nil && info.IsDir():
		return nil, nil
	case err == nil:
		return nil, fmt.Errorf("%s: is a file, not a folder to write into", name)
	case !errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s: cannot be used: %w", name, cause(err))
	}
	if up := filepath.Dir(name); up != name {
		if made, err = makeFolder(up); err != nil {
			return made, err
		}
	}
	if err := os.Mkdir(name, 0o777); err != nil {
		return made, fmt.Errorf("%s: cannot be made: %w", name, cause(err))
	}
	return append(made, name), nil
}

// machines is the work for machines of a design: none without a box.
func (f designFlags) machines(ctx context.Context, r *design.Result) (*machineWork, error) {
	if len(r.Designs) == 0 {
		return &machineWork{}, nil
	}
	d, s := &r.Designs[0], r.Request.Saw
	return f.machineFlags.work(ctx, machineInput{
		panels: d.Box.Panels, box: d.Box, parts: design.Parts(d.Box), stock: d.SheetStock, layout: d.Sheets, units: r.Request.Units,
		saw: nest.Saw{Kerf: toUm(s.Kerf), Trim: toUm(s.Trim)},
	})
}

// machines is the work for machines of shared sheets.
func (f sheetsFlags) machines(ctx context.Context, g *gathered, s export.Sheets) (*machineWork, error) {
	return f.machineFlags.work(ctx, machineInput{
		panels: g.result(s).Designs[0].Box.Panels, parts: s.Parts, stock: s.Stock, saw: s.Saw, layout: s.Layout, units: g.request.Units,
	})
}
