package export

import (
	"encoding/csv"
	"io"
	"strconv"

	"cubby/internal/design"
)

type pairsDocument struct {
	opening
	Verdict     string    `json:"verdict"`
	Drivers     []string  `json:"drivers"`
	Boxes       []string  `json:"boxes"`
	Pairs       []pairOut `json:"pairs"`
	Refused     []refused `json:"refused"`
	Assumptions []string  `json:"assumptions"`
}

type pairOut struct {
	Driver  string `json:"driver"`
	Source  string `json:"source"`
	Box     string `json:"box"`
	Allowed number `json:"allowed_w"`
	judged
}

// PairsJSON writes the judgement of several drivers in several boxes as one object followed by a newline, best pair first;
// allowed_w is null where the amplifier or the impedance is not stated. unread tells of drivers that could not be read.
func PairsJSON(w io.Writer, r *design.Pairing, unread []error, h Head) error {
	d := pairsDocument{
		opening: newOpening(h, r.Request.Title, r.Air), Verdict: string(r.Pairs[0].Verdict), Drivers: texts(r.Drivers), Boxes: texts(r.Boxes),
		Pairs: []pairOut{}, Refused: []refused{}, Assumptions: texts(r.Assumptions),
	}
	for _, p := range r.Pairs {
		out := pairOut{p.Driver, p.Source, p.Box, number(p.Allowed), newJudged(p.Judged)}
		out.Rank = len(d.Pairs) + 1
		d.Pairs = append(d.Pairs, out)
	}
	for _, f := range r.Refused {
		d.Refused = append(d.Refused, refused{f.Source, f.Err.Error()})
	}
	for _, err := range unread {
		d.Refused = append(d.Refused, refused{Reason: err.Error()})
	}
	return encode(w, d)
}

// PairsHeader is the first line of a list of pairs.
var PairsHeader = []string{"rank", "driver", "source", "box", "verdict", "allowed_w", "net_volume_l", "f3_hz", "max_level_40_db"}

// PairsCSV writes the pairs as a list, best first; a field that is not known is empty.
func PairsCSV(w io.Writer, r *design.Pairing) error {
	c := csv.NewWriter(w)
	if err := c.Write(PairsHeader); err != nil {
		return err
	}
	for i, p := range r.Pairs {
		f3 := ""
		if p.Circuit != nil {
			f3 = figure(p.Figures.F3)
		}
		err := c.Write([]string{strconv.Itoa(i + 1), textCell(p.Driver), textCell(p.Source), textCell(p.Box), string(p.Verdict), figure(p.Allowed),
			figure(p.NetVolume * 1000), f3, figure(p.MaxAt(40))})
		if err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}
