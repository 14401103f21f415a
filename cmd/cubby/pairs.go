package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/render"
	"cubby/internal/search"
)

// A pairsRun is what check and rank have in common when they judge several drivers in the boxes of a job.
type pairsRun struct {
	outputFlags
	command, kind string
	csv           string
	apply         func(*design.Request) error // nil: nothing more is asked for
}

// run judges every driver that the arguments name in every box of the job.
func (f pairsRun) run(ctx context.Context, t terminal, name string, data []byte, drivers []string) error {
	req, err := job.ParsePairs(name, data, opener(t, name, f.outside))
	if err != nil {
		return err
	}
	if f.apply != nil {
		if err := f.apply(req); err != nil {
			return err
		}
	}
	entrants, unread := gatherDrivers(ctx, t, drivers)
	tell(t, unread)
	if len(entrants) == 0 {
		return errors.New("no driver could be read")
	}
	r, err := design.CheckPairs(ctx, *req, entrants)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	tell(t, refusals(r.Refused))
	if err := writeAll(ctx, t, f.outputs(name, data, r, unread)); err != nil {
		return err
	}
	if !r.Pairs[0].Verdict.Accepts() {
		return errNo
	}
	return nil
}

func (f pairsRun) outputs(name string, data []byte, r *design.Pairing, unread []error) []output {
	pdf := f.pdfName(name, f.kind)
	options := f.options(name, data, &r.Request)
	all := []output{{pdf, func(w io.Writer) error { return render.PairsReport(w, r, options) }}}
	if f.csv != "" {
		all = append(all, output{f.csv, func(w io.Writer) error { return export.PairsCSV(w, r) }})
	}
	return append(all, answer(f.json, f.quietly() || f.csv == "-",
		func(w io.Writer) error { return export.PairsJSON(w, r, unread, headOf(f.command, name)) },
		func() string { return pairsSummary(r, pdf) })...)
}

// pairColumns is how many boxes stand beside each other on the terminal.
const pairColumns = 3

// How many pairs are told of in words: these at least, and of those that suit at most so many.
const leastListed, mostListed = 6, 20

// pairsSummary is what check and rank say of several drivers in several boxes.
func pairsSummary(r *design.Pairing, pdf string) string {
	var b strings.Builder
	titled(&b, r.Request.Title)
	for from := 0; from < len(r.Boxes); from += pairColumns {
		pairTable(&b, r, r.Boxes[from:min(from+pairColumns, len(r.Boxes))])
	}
	b.WriteString("\nBest first:\n")
	for i := range r.Pairs {
		p := &r.Pairs[i]
		if i >= mostListed || i >= leastListed && p.Verdict == design.DoesNotSuit {
			fmt.Fprintf(&b, "  and %d more, in the table above and in the report\n", len(r.Pairs)-i)
			break
		}
		text := fmt.Sprintf("%d. %s in %s", i+1, p.Driver, p.VerdictText)
		if !math.IsNaN(p.Allowed) && p.Verdict != design.DoesNotSuit {
			text += " Excursion and port allow " + search.Watts(p.Allowed) + "."
		}
		if at := p.MaxAt(comparedAt); !math.IsNaN(at) {
			text += fmt.Sprintf(" At most %.1f dB at %d Hz.", at, comparedAt)
		}
		paragraph(&b, "  ", text)
	}
	if len(r.Assumptions) > 0 {
		b.WriteString("\nNot said in the job, and taken so:\n")
	}
	return ended(&b, r.Assumptions, pdf)
}

// pairTable is drivers against some of the boxes.
func pairTable(b *strings.Builder, r *design.Pairing, boxes []string) {
	const first, width = 19, 19
	head := fmt.Sprintf("  %-*s", first, "")
	for _, box := range boxes {
		head += fmt.Sprintf(" %-*s", width, cutShort(box, width))
	}
	b.WriteString("\n" + strings.TrimRight(head, " ") + "\n")
	for _, driver := range r.Drivers {
		line := fmt.Sprintf("  %-*s", first, cutShort(driver, first))
		for _, box := range boxes {
			line += fmt.Sprintf(" %-*s", width, pairCell(r.At(driver, box)))
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
}

// pairCell is the verdict on a pair in a word or two.
func pairCell(p *design.Pair) string {
	switch {
	case p == nil:
		return "-"
	case p.Verdict == design.DoesNotSuit:
		return "no"
	}
	text := "at"
	switch p.Verdict {
	case design.Suits:
		text = "suits"
	case design.SuitsWithCautions:
		text = "with cautions"
	case design.SuitsAsChecked:
		text = "as checked"
	}
	if !math.IsNaN(p.Allowed) {
		text += " " + search.Watts(p.Allowed)
	}
	return text
}
