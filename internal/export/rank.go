package export

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"cubby/internal/design"
)

// verdictOf is a placing's verdict; without a box it does not suit.
func verdictOf(p *design.Placing) string {
	if p.Kind == "" {
		return string(design.DoesNotSuit)
	}
	return string(p.Verdict)
}

// RankJSON writes a ranking as one object followed by a newline: drivers best first, rank 0 for those that do not suit.
// unread tells of drivers that could not be read at all.
func RankJSON(w io.Writer, r *design.Ranking, unread []error, h Head) error {
	return encode(w, append(opening(h, r.Request.Title, r.Air), object{
		{"aim", r.Request.Aim}, {"drivers_given", r.Total}, {"stopped", r.Stopped}, {"drivers", list(r.Placings, ranked)},
		{"refused", refused(r.Refused, unread)}, {"assumptions", r.Assumptions},
	}...))
}

func ranked(p design.Placing) object {
	out := object{{"rank", p.Rank}, {"name", p.Spec.Name}, {"source", p.Source}, {"verdict", verdictOf(&p)}, {"estimated", p.Estimated},
		{"cautions", p.Cautions}, {"reason", given(p.Reason)}}
	if p.Kind == "" {
		return out
	}
	isSealed := p.Kind == design.Sealed
	levels := make([]object, len(p.Maximum))
	for i, m := range p.Maximum {
		levels[i] = object{{"frequency_hz", design.RankedAt[i]}, {"level_db", m.Level}, {"cabin_level_db", m.CabinLevel}, {"limited_by", m.LimitedBy.String()}}
	}
	return append(out, object{{"kind", p.Kind}, {"net_volume_m3", p.NetVolume}, {"fc_hz", only(isSealed, p.Tuning)}, {"tuning_hz", only(!isSealed, p.Tuning)},
		{"f3_hz", p.F3}, {"score", p.Score}, {"max_level", levels}}...)
}

// RankHeader is the first line of a ranking as CSV.
func RankHeader() []string {
	head := []string{"rank", "name", "source", "verdict", "basis", "kind", "net_volume_l", "fc_or_tuning_hz", "f3_hz", "score"}
	for _, f := range design.RankedAt {
		hz := strconv.Itoa(int(f))
		head = append(head, "max_level_"+hz+"_db", "cabin_max_level_"+hz+"_db", "limited_by_"+hz)
	}
	return append(head, "cautions", "reason")
}

// RankCSV writes a ranking, best first; a field that does not apply is empty.
func RankCSV(w io.Writer, r *design.Ranking) error {
	return writeTable(w, RankHeader(), len(r.Placings), func(i int) []string {
		p := &r.Placings[i]
		row := []string{"", textCell(p.Spec.Name), textCell(p.Source), verdictOf(p), "designed", string(p.Kind), "", "", "", ""}
		if p.Estimated {
			row[4] = "estimated"
		}
		if p.Rank > 0 {
			row[0] = strconv.Itoa(p.Rank)
		}
		if p.Kind != "" {
			row[6], row[7], row[8], row[9] = fmt.Sprintf("%.3f", p.NetVolume*1000), figure(p.Tuning), figure(p.F3), figure(p.Score)
		}
		for _, m := range p.Maximum {
			if p.Kind == "" {
				row = append(row, "", "", "")
				continue
			}
			row = append(row, figure(m.Level), figure(m.CabinLevel), m.LimitedBy.String())
		}
		return append(row, textCell(strings.Join(p.Cautions, "; ")), textCell(p.Reason))
	})
}
