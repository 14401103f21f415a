package main

import (
	"fmt"
	"strings"

	"cubby/internal/design"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// rankSummary is what rank says on the terminal: the first rows of the table.
func rankSummary(r *design.Ranking, top int, pdf string) string {
	var b strings.Builder
	titled(&b, r.Request.Title)
	paragraph(&b, "", fmt.Sprintf("Aim %s: %s. In the order of its score, in which size, port and what is marginal count too.", r.Request.Aim, r.Request.Aim.Describe()))
	paragraph(&b, "", levelsWhere(r))
	b.WriteString("\n" + rankHead(r))
	shown := r.Placings[:min(top, len(r.Placings))]
	letters := map[thielesmall.Cause]bool{}
	careful := false
	for i := range shown {
		p := &shown[i]
		b.WriteString(rankLine(r, p))
		if p.Reason != "" {
			paragraph(&b, "       ", p.Reason)
		}
		careful = careful || p.Rank > 0 && len(p.Cautions) > 0
		for _, m := range p.Maximum {
			letters[m.LimitedBy] = true
		}
	}
	b.WriteString("\n")
	var keys []string
	for c := thielesmall.Voltage; c <= thielesmall.PortSpeed; c++ {
		if letter, _, what := design.LimitWords(c); letters[c] {
			keys = append(keys, letter+" "+what)
		}
	}
	if len(keys) > 0 {
		paragraph(&b, "", "A level is limited by: "+strings.Join(keys, ", ")+".")
	}
	if careful {
		paragraph(&b, "", "* suits with cautions: cubby design says which and what to do.")
	}
	paragraph(&b, "", rankCount(r, len(shown)))
	fmt.Fprintf(&b, "%s written.\n", pdf)
	return b.String()
}

// levelsWhere says where the maximum levels are stated.
func levelsWhere(r *design.Ranking) string {
	text := "Maximum level at 30, 40 and 50 Hz in dB at 1 m"
	if r.Request.Vehicle == nil {
		return text + " in free field: the job gives no vehicle."
	}
	return text + " in the vehicle: free field plus the cabin's gain, the same for each driver."
}

// rankedName is what a driver's name may take of a line.
const rankedName = 21

func rankHead(r *design.Ranking) string {
	volume := "net l"
	if r.Request.Units == unit.Inch {
		volume = "cu ft"
	}
	line := fmt.Sprintf("%4s  %-*s %-6s %6s %5s %7s", "", rankedName, "driver", "box", volume, "f3 Hz", aimedHead(r))
	for _, f := range design.RankedAt {
		line += fmt.Sprintf("  %5s ", fmt.Sprintf("%.0f Hz", f))
	}
	return strings.TrimRight(line, " ") + "\n"
}

func rankLine(r *design.Ranking, p *design.Placing) string {
	rank := "-"
	if p.Rank > 0 {
		rank = fmt.Sprint(p.Rank)
	}
	mark := " "
	switch {
	case p.Estimated:
		mark = "~"
	case p.Rank > 0 && len(p.Cautions) > 0:
		mark = "*"
	}
	name, box := r.Row(p)
	line := fmt.Sprintf("%4s%s %-*s", rank, mark, rankedName, cutShort(name, rankedName))
	if box == nil {
		return line + " none\n"
	}
	line += fmt.Sprintf(" %-6s %6s %5s %7s", box[0], box[1], box[2], aimedText(r, p))
	for _, level := range box[3:] {
		line += fmt.Sprintf("  %6s", strings.Replace(level, " ", "", 1))
	}
	return strings.TrimRight(line, " ") + "\n"
}

// aimedHead says what the aim is about, and aimedText gives it of a driver.
func aimedHead(r *design.Ranking) string {
	switch r.Request.Aim {
	case design.Flat:
		return "dev dB"
	case design.Loud:
		return "30-80"
	case design.Compact:
		return "outside"
	}
	return "20-40"
}

func aimedText(r *design.Ranking, p *design.Placing) string {
	switch r.Request.Aim {
	case design.Flat:
		return fmt.Sprintf("%.2f", p.Aimed)
	case design.Compact:
		text, _, _ := strings.Cut(unit.FormatVolume(p.Aimed, r.Request.Units), " ")
		return text
	}
	return fmt.Sprintf("%.1f", p.Aimed)
}

// estimates counts the drivers that were heard and not designed in full.
func estimates(r *design.Ranking) int {
	n := 0
	for i := range r.Placings {
		if r.Placings[i].Estimated {
			n++
		}
	}
	return n
}

// rankCount says how many suit, and how many there are beyond the rows shown.
func rankCount(r *design.Ranking, shown int) string {
	suit, less, none := 0, 0, 0
	for i := range r.Placings {
		switch p := &r.Placings[i]; {
		case p.Estimated:
		case p.Rank > 0:
			suit++
			if !p.Verdict.Accepts() {
				less++
			}
		case p.Kind == "":
			none++
		}
	}
	guessed := estimates(r)
	designed := len(r.Placings) - guessed
	text := fmt.Sprintf("%d of %d drivers suit", suit, designed)
	if guessed > 0 {
		text = fmt.Sprintf("%d of %d drivers were designed in full: %d suit", designed, len(r.Placings), suit)
	}
	if less > 0 {
		text += fmt.Sprintf(", %d of them only at reduced power", less)
	}
	if bad := designed - suit - none; bad > 0 {
		text += fmt.Sprintf("; %d would fail a check", bad)
	}
	if none > 0 {
		text += fmt.Sprintf("; for %d there is no box", none)
	}
	if n := len(r.Refused); n > 0 {
		text += fmt.Sprintf("; %d left out for want of data", n)
	}
	text += "."
	if guessed > 0 {
		text += fmt.Sprintf(" The other %d (~) are estimates, which the wood can only bring down: below the best, their order may change, and some may not go in; --all designs each in full.", guessed)
	}
	if more := len(r.Placings) - shown; more > 0 {
		text += fmt.Sprintf(" %d more rows: --top, or --csv FILE for all.", more)
	}
	if r.Stopped {
		text = fmt.Sprintf("Interrupted: %d of %d drivers were designed; this is their table. ", len(r.Placings)+len(r.Refused), r.Total) + text
	}
	return text
}
