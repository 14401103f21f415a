package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"cubby/internal/design"
	"cubby/internal/job"
)

// runPaste turns a text copied from a maker's sheet into a driver file.
func runPaste(ctx context.Context, t terminal, args []string, f driverFlags) error {
	name := "-"
	if len(args) == 1 {
		name = args[0]
	}
	data, err := readInput(t, name)
	if err != nil {
		return err
	}
	p, err := job.ParsePasted(sourceName(name), data)
	if err != nil {
		return err
	}
	to := f.out
	if to == "" {
		to = "-"
	}
	head := "From the text of a sheet (" + sourceName(name) + "); beside each value stands where it was read."
	all := []output{{to, func(w io.Writer) error {
		_, err := w.Write(job.FormatPasted(p, head))
		return err
	}}}
	if to != "-" {
		all = append(all, printed(false, f.quiet, nil, func() string { return pasteText(p, to) })...)
	}
	if err := writeAll(ctx, t, all); err != nil {
		return err
	}
	if n := len(p.Left); n > 0 && to == "-" && !f.quiet {
		fmt.Fprintf(t.err, "cubby: %d pieces of the text are not understood; they stand at the end of the file\n", n)
	}
	return nil
}

// pasteText says what came of the text of a sheet.
func pasteText(p *job.Pasted, out string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s written.\n", out)
	if len(p.Left) > 0 {
		b.WriteString("\nNot understood:\n")
		for _, l := range p.Left {
			paragraph(&b, "  ", l.String())
		}
	}
	sheet, err := design.AboutDriver(p.Driver.Spec, p.Driver.Frame)
	b.WriteString("\n")
	if err != nil {
		for line := range strings.SplitSeq(err.Error(), "\n") {
			paragraph(&b, "", "Not enough yet: "+line)
		}
		return b.String()
	}
	paragraph(&b, "", dataVerdict(sheet.Findings))
	findingsText(&b, sheet.Findings)
	missingText(&b, sheet)
	return b.String()
}

// withoutFile says what is wrong with a file that is about to be written, which nobody can open yet.
func withoutFile(err error) error {
	var faults job.Faults
	if !errors.As(err, &faults) {
		return err
	}
	var all []string
	for _, f := range faults {
		f.File, f.Line, f.Column = "", 0, 0
		all = append(all, strings.TrimPrefix(f.Error(), ": "))
	}
	return errors.New(strings.Join(all, "; "))
}
