package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/unit"
)

// checkSummary is what check says on the terminal.
func checkSummary(r *design.CheckResult, pdf string) string {
	var b strings.Builder
	titled(&b, r.Request.Title)
	shared := sharedChecks(r.Boxes)
	if len(r.Boxes) > 1 {
		b.WriteString(comparison(r))
		if len(shared) > 0 {
			b.WriteString("\nWhichever box it is:\n")
			findings(&b, shared)
		}
	}
	for _, j := range r.Boxes {
		if len(r.Boxes) > 1 {
			b.WriteString("\n")
		}
		paragraph(&b, "", j.VerdictText)
		plays(&b, r, &j)
		findings(&b, slices.DeleteFunc(slices.Clone(j.Checks), func(c design.Check) bool { return slices.Contains(shared, c) }))
	}
	if r.Shopping != "" {
		b.WriteString("\n")
		paragraph(&b, "", r.Shopping)
	}
	if d := r.Best; d != nil {
		b.WriteString("\n")
		paragraph(&b, "", "What could be built in the same space: "+d.VerdictText)
	}
	if len(r.Assumptions) > 0 {
		b.WriteString("\nNot said in the job, and taken so:\n")
	}
	return ended(&b, r.Assumptions, pdf)
}

// ended is a summary with its last lines: what was taken for granted, and the report.
func ended(b *strings.Builder, assumptions []string, pdf string) string {
	for _, a := range assumptions {
		paragraph(b, "  ", "- "+a)
	}
	fmt.Fprintf(b, "\n%s written.\n", pdf)
	return b.String()
}

// titled begins a summary with the job's title, if it has one.
func titled(b *strings.Builder, title string) {
	if title != "" {
		paragraph(b, "", title)
	}
}

// comparedAt is where the loudest level of several boxes is compared, Hz: the middle of those that are worked out.
const comparedAt = 40

// nameWidth is what a box's name may take of a line of the comparison.
const nameWidth = 27

// comparison is the table of several boxes, best first.
func comparison(r *design.CheckResult) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n     %-*s %-19s %10s %6s %8s\n", nameWidth, "box", "answer", "net air", "f3, Hz", fmt.Sprintf("%d Hz, dB", comparedAt))
	for _, j := range r.Boxes {
		air, low := "-", "-"
		if j.NetVolume > 0 {
			air = unit.FormatVolume(j.NetVolume, r.Request.Units)
		}
		if v := j.Lowest(); !math.IsNaN(v) {
			low = fmt.Sprintf("%.1f", v)
		}
		fmt.Fprintf(&b, "  %2d %-*s %-19s %10s %6s %8s\n", j.Rank, nameWidth, cutShort(j.Ready.Name, nameWidth), j.Verdict, air, low, cmp.Or(j.At(comparedAt), "-"))
	}
	return b.String()
}

// sharedChecks are the checks that come out alike for every one of several boxes: those of driver and amplifier.
func sharedChecks(boxes []design.Judged) []design.Check {
	if len(boxes) < 2 {
		return nil
	}
	var shared []design.Check
	for _, c := range boxes[0].Checks {
		alike := func(j design.Judged) bool { return slices.Contains(j.Checks, c) }
		if !slices.ContainsFunc(boxes, func(j design.Judged) bool { return !alike(j) }) {
			shared = append(shared, c)
		}
	}
	return shared
}

// findings says all that is not right, the gravest first, with what to do; and in a line each what could not be checked
// and what passes.
func findings(b *strings.Builder, checks []design.Check) {
	var open, passes []string
	for _, c := range checks {
		switch {
		case c.Told:
		case c.Status == panels.Pass:
			passes = append(passes, c.Name)
		case c.Status == panels.NotChecked:
			open = append(open, fmt.Sprintf("%s (%s)", c.Name, c.Note))
		}
	}
	for _, grade := range []panels.Status{panels.Fail, panels.Marginal} {
		for _, c := range checks {
			if c.Status != grade {
				continue
			}
			paragraph(b, "  ", fmt.Sprintf("%s, %s: %s", c.Status, c.Name, c.Note))
			if c.Setting != "" {
				paragraph(b, "    ", "To do: "+c.Setting+".")
			}
		}
	}
	if len(open) > 0 {
		paragraph(b, "  ", "not checked: "+strings.Join(open, "; "))
	}
	if len(passes) > 0 {
		paragraph(b, "  ", "pass: "+strings.Join(passes, ", "))
	}
}

// plays says how low and how loud a box plays and what is set for it; nothing when it cannot be worked out.
func plays(b *strings.Builder, r *design.CheckResult, j *design.Judged) {
	if j.Circuit == nil {
		return
	}
	inColumns(b, r.Facts(j), r.Request.Units)
	var loud []string
	for _, l := range j.Loud {
		_, limit, _ := design.LimitWords(l.LimitedBy)
		loud = append(loud, fmt.Sprintf("%.1f dB at %.0f Hz (%s)", l.Level, l.Frequency, limit))
	}
	if len(loud) > 0 {
		labelled(b, "at most", strings.Join(loud, ", "))
	}
	if j.Verdict != design.DoesNotSuit {
		dialIn(b, r.Settings(j))
	}
}
