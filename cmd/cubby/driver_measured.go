package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/pflag"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/impedance"
	"cubby/internal/job"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// sweepFlags say what was measured of a driver.
type sweepFlags struct {
	free, second                 string
	mass, box, re, sd, diameters string
}

func (s *sweepFlags) add(fs *pflag.FlagSet) {
	fs.StringVar(&s.free, "impedance", "", "`SWEEP.csv`: impedance in free air; FILE may be left out")
	fs.StringVar(&s.second, "second", "", "`SWEEP.csv`: a second one, with --added-mass or --test-box")
	fs.StringVar(&s.mass, "added-mass", "", "`MASS` on the cone in the second sweep, such as \"20 g\"")
	fs.StringVar(&s.box, "test-box", "", "net `VOLUME` of the sealed box of the second sweep")
	fs.StringVar(&s.re, "re", "", "`OHMS` of the coil by a meter (default: from the sweep)")
	fs.StringVar(&s.sd, "sd", "", "`AREA` of the cone, such as \"330 cm2\" (default: as FILE says)")
	fs.StringVar(&s.diameters, "diameter", "", "`DIAMETER` of the cone to mid-surround (default: as FILE says)")
}

// stated reports whether anything was measured.
func (s sweepFlags) stated() bool {
	return s.free+s.second+s.mass+s.box+s.re+s.sd+s.diameters != ""
}

// quantities reads the flags that have a unit.
func (s sweepFlags) quantities() (out design.DriverSweeps, err error) {
	diameter := 0.0
	for _, q := range []struct {
		name, text string
		to         *float64
		dimension  unit.Dimension
		most       float64 // SI; beyond is a slip of the unit
	}{
		{"added-mass", s.mass, &out.AddedMass, unit.Mass, 10}, {"test-box", s.box, &out.TestBox, unit.Volume, 10},
		{"re", s.re, &out.Re, unit.Resistance, 1e4}, {"sd", s.sd, &out.Sd, unit.Area, 1}, {"diameter", s.diameters, &diameter, unit.Length, 1},
	} {
		if q.text == "" {
			continue
		}
		v, e := unit.Parse(q.text, q.dimension, unit.Metric)
		switch {
		case e != nil:
			err = errors.Join(err, usage("--%s %s", q.name, e))
		case !(v > 0 && v <= q.most):
			err = errors.Join(err, usage("--%s %s: must be greater than 0, and no such size (is the unit right?)", q.name, q.text))
		}
		*q.to = v
	}
	if out.Sd == 0 {
		out.Sd = math.Pi / 4 * diameter * diameter
	}
	return out, err
}

// check reports flags that do not go together.
func (s sweepFlags) check() error {
	switch {
	case s.free == "":
		return usage("--second, --added-mass, --test-box, --re, --sd and --diameter go with --impedance SWEEP.csv")
	case s.mass != "" && s.box != "":
		return usage("--added-mass and --test-box: the second sweep is made with one of them")
	case s.second == "" && s.mass+s.box != "":
		return usage("--added-mass and --test-box go with --second SWEEP.csv")
	case s.second != "" && s.mass+s.box == "":
		return usage("--second %s: say what it was made with, --added-mass or --test-box", s.second)
	case s.sd != "" && s.diameters != "":
		return usage("--sd and --diameter: give one of them")
	}
	return nil
}

// A measuredCase is a driver with what its sweeps show.
type measuredCase struct {
	driverCase
	flags  sweepFlags
	result *design.MeasuredDriver
}

// measureDriver reads the sweeps and the driver's file, if there is one.
func measureDriver(t terminal, args []string, f sweepFlags) (*measuredCase, error) {
	sweeps, err := f.quantities()
	if err != nil {
		return nil, err
	}
	c := &measuredCase{flags: f}
	c.read = &job.DriverFile{}
	if len(args) == 1 {
		data, err := readInput(t, args[0])
		if err != nil {
			return nil, err
		}
		if c.read, err = job.ParseDriver(args[0], data); err != nil {
			return nil, err
		}
		c.file = args[0]
	}
	if sweeps.Free, err = readSweep(t, f.free); err != nil {
		return nil, err
	}
	if f.second != "" {
		if sweeps.Second, err = readSweep(t, f.second); err != nil {
			return nil, err
		}
	}
	c.result, err = design.MeasureDriver(c.read.Spec, c.read.Frame, sweeps)
	var bad *design.SweepError
	switch {
	case errors.As(err, &bad) && bad.Second:
		return nil, fmt.Errorf("%s: %w", f.second, err)
	case errors.As(err, &bad):
		return nil, fmt.Errorf("%s: %w", f.free, err)
	case err != nil && c.file != "":
		return nil, fmt.Errorf("%s: %w", c.file, err)
	case err != nil:
		return nil, fmt.Errorf("driver: %w", err)
	}
	c.sheet = c.result.Sheet
	return c, nil
}

func readSweep(t terminal, name string) (impedance.Sweep, error) {
	data, err := readInput(t, name)
	if err != nil {
		return impedance.Sweep{}, err
	}
	return job.ParseSweep(name, data)
}

func runMeasuredDriver(ctx context.Context, t terminal, args []string, f driverFlags) error {
	c, err := measureDriver(t, args, f.sweepFlags)
	if err != nil {
		return err
	}
	if f.out != "" && c.sheet == nil {
		return fmt.Errorf("%s: not written: %s", f.out, strings.Join(c.result.Notes, " "))
	}
	var all []output
	if f.out != "" {
		all = append(all, output{f.out, c.write})
	}
	entry := export.DriverEntry{File: c.file, Sheet: c.sheet, Measured: c.result}
	all = append(all, printed(f.json, f.quiet || f.out == "-",
		func(w io.Writer) error {
			return export.DriversJSON(w, []export.DriverEntry{entry}, headOf("driver", ""))
		},
		func() string { return c.text(f.out) })...)
	return writeAll(ctx, t, all)
}

// how says what the sweeps were made with.
func (c *measuredCase) how() string {
	text := "Measured from " + sourceName(c.flags.free)
	switch {
	case c.flags.mass != "":
		text += fmt.Sprintf(" and %s, the second with %s on the cone", sourceName(c.flags.second), c.flags.mass)
	case c.flags.box != "":
		text += fmt.Sprintf(" and %s, the second in a sealed box of %s", sourceName(c.flags.second), c.flags.box)
	}
	return text + "."
}

// write writes the driver file: measured values, what follows from them, and the rest as the file has it.
func (c *measuredCase) write(w io.Writer) error {
	out := job.DriverFile{Spec: c.result.Spec.Rounded(), Frame: c.read.Frame}
	var err error
	if out.Spec, err = out.Spec.Filled(); err != nil {
		return err
	}
	remarks := job.Remarks{}
	for _, p := range c.sheet.Parameters {
		remarks[p.Name] = remarkOn(p)
	}
	for _, r := range c.result.Rows {
		text := "measured"
		switch {
		case r.Measured.Sigma > 0:
			text += fmt.Sprintf(", +-%.2g %%", 100*r.Measured.Sigma/r.Measured.Value)
		case remarks[r.Name] != "":
			text = remarks[r.Name]
		}
		if r.Catalogue > 0 {
			text += fmt.Sprintf("; catalogue %s", valueText(r.Name, r.Catalogue))
		}
		remarks[r.Name] = text
	}
	if c.result.Moving == nil && c.result.Spec.Mms > 0 {
		remarks["mms"] = "not measured"
	}
	head := c.how()
	if c.file != "" {
		head += "\nWhat has no remark is as " + sourceName(c.file) + " says."
	}
	return writeDriverFile(w, &out, head, remarks)
}

// valueText writes a value of any row with its unit.
func valueText(name string, v float64) string {
	switch name {
	case "le", "l2":
		return fmt.Sprintf("%.4g mH", v*1e3)
	case "r2":
		return fmt.Sprintf("%.4g ohm", v)
	}
	return thielesmall.Amount(name, v)
}

// text is what is said on the terminal.
func (c *measuredCase) text(out string) string {
	var b strings.Builder
	r := c.result
	name := c.read.Spec.Name
	if name == "" {
		name = "Driver"
	}
	paragraph(&b, "", name+": "+c.how())
	fitLine := func(which string, f impedance.FreeAir) {
		paragraph(&b, "  ", fmt.Sprintf("%s: %d points from %.3g to %.3g Hz, fitted within %.2g %% (rms); coil: %s.", which, f.Points, f.Low, f.High, f.FitError, f.Coil))
	}
	fitLine("free air", r.Free)
	if r.Second != nil {
		fitLine("second", *r.Second)
	}
	b.WriteString("\n  value   measured         +-        catalogue        differs\n")
	for _, x := range r.Rows {
		sigma, catalogue, differs := "-", "-", ""
		if x.Measured.Sigma > 0 {
			sigma = fmt.Sprintf("%.2g %%", 100*x.Measured.Sigma/x.Measured.Value)
		}
		if x.Catalogue > 0 {
			catalogue, differs = valueText(x.Name, x.Catalogue), fmt.Sprintf("%+.1f %%", x.Percent())
		}
		row(&b, "  %-8s%-17s%-10s%-17s%s", x.Name, valueText(x.Name, x.Measured.Value), sigma, catalogue, differs)
	}
	paragraph(&b, "  ", "+- is one standard uncertainty of the fit: how well the curves decide, not how true meter and scale are.")
	for _, n := range r.Notes {
		paragraph(&b, "  ", "- "+n)
	}
	if c.sheet != nil {
		b.WriteString("\nAs measured\n")
		measured := map[string]bool{}
		for _, row := range r.Rows {
			measured[row.Name] = row.Measured.Sigma > 0
		}
		sheetText(&b, c.sheet, measured)
	}
	if out != "" {
		fmt.Fprintf(&b, "\n%s written.\n", out)
	}
	return b.String()
}
