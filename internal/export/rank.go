package export

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"cubby/internal/design"
)

type rankDocument struct {
	opening
	Aim         design.Aim     `json:"aim"`
	Given       int            `json:"drivers_given"`
	Stopped     bool           `json:"stopped"`
	Drivers     []rankedDriver `json:"drivers"`
	Refused     []refused      `json:"refused"`
	Assumptions []string       `json:"assumptions"`
}

type rankedDriver struct {
	Rank     int       `json:"rank"`
	Name     string    `json:"name"`
	Source   string    `json:"source"`
	Verdict  string    `json:"verdict"`
	Estimate bool      `json:"estimated"`
	Kind     string    `json:"kind,omitempty"`
	Volume   *number   `json:"net_volume_m3,omitempty"`
	Fc       *number   `json:"fc_hz,omitempty"`
	Tuning   *number   `json:"tuning_hz,omitempty"`
	F3       *number   `json:"f3_hz,omitempty"`
	Score    *number   `json:"score,omitempty"`
	Maximum  []maximum `json:"max_level,omitempty"`
	Cautions []string  `json:"cautions"`
	Reason   string    `json:"reason,omitempty"`
}

type maximum struct {
	Frequency number `json:"frequency_hz"`
	Level     number `json:"level_db"`
	Cabin     number `json:"cabin_level_db"`
	LimitedBy string `json:"limited_by"`
}

type refused struct {
	Source string `json:"source"`
	Reason string `json:"reason"`
}

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
	d := rankDocument{
		opening: newOpening(h, r.Request.Title, r.Air), Aim: r.Request.Aim,
		Given: r.Total, Stopped: r.Stopped, Drivers: []rankedDriver{}, Refused: []refused{}, Assumptions: texts(r.Assumptions),
	}
	for i := range r.Placings {
		d.Drivers = append(d.Drivers, newRanked(&r.Placings[i]))
	}
	for _, f := range r.Refused {
		d.Refused = append(d.Refused, refused{f.Source, f.Err.Error()})
	}
	for _, err := range unread {
		d.Refused = append(d.Refused, refused{Reason: err.Error()})
	}
	return encode(w, d)
}

func newRanked(p *design.Placing) rankedDriver {
	out := rankedDriver{
		Rank: p.Rank, Name: p.Spec.Name, Source: p.Source, Verdict: verdictOf(p), Estimate: p.Estimated, Kind: string(p.Kind),
		Cautions: texts(p.Cautions), Reason: p.Reason,
	}
	if p.Kind == "" {
		return out
	}
	out.Volume, out.F3, out.Score = value(p.NetVolume), value(p.F3), value(p.Score)
	if p.Kind == design.Sealed {
		out.Fc = value(p.Tuning)
	} else {
		out.Tuning = value(p.Tuning)
	}
	for i, m := range p.Maximum {
		out.Maximum = append(out.Maximum, maximum{number(design.RankedAt[i]), number(m.Level), number(m.CabinLevel), m.LimitedBy.String()})
	}
	return out
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
	c := csv.NewWriter(w)
	if err := c.Write(RankHeader()); err != nil {
		return err
	}
	for i := range r.Placings {
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
		if err := c.Write(append(row, textCell(strings.Join(p.Cautions, "; ")), textCell(p.Reason))); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}
