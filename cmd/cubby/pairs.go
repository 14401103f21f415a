package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/render"
	"cubby/internal/search"
)

// judge judges drivers in every box of a job for a command; unread are those that could not be read.
func (o outputFlags) judge(ctx context.Context, t terminal, command, name, kind string, data []byte, req *design.Request,
	drivers []design.Entrant, unread []error, csv string) error {
	r, err := design.CheckPairs(ctx, *req, drivers)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	tell(t, refusals(r.Refused))
	return o.write(ctx, t, pairsReport(command, name, kind, r, unread, csv), data, &machineWork{}, r.Pairs[0].Verdict.Accepts())
}

// pairsReport is what is given of drivers that were judged in boxes.
func pairsReport(command, name, kind string, r *design.Pairing, unread []error, csv string) report {
	object := func(w io.Writer, r *design.Pairing, h export.Head) error { return export.PairsJSON(w, r, unread, h) }
	return newReport(command, name, kind, r, &r.Request, render.PairsReport, object, pairsSummary,
		output{csv, func(w io.Writer) error { return export.PairsCSV(w, r) }})
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
	row(b, "\n%s", head)
	for _, driver := range r.Drivers {
		line := fmt.Sprintf("  %-*s", first, cutShort(driver, first))
		for _, box := range boxes {
			line += fmt.Sprintf(" %-*s", width, pairCell(r.At(driver, box)))
		}
		row(b, "%s", line)
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
