package export

import (
	"io"
	"strconv"

	"cubby/internal/design"
)

// PairsJSON writes the judgement of several drivers in several boxes as one object followed by a newline, best pair
// first; allowed_w is null where the amplifier or the impedance is not stated. unread tells of drivers that could not
// be read.
func PairsJSON(w io.Writer, r *design.Pairing, unread []error, h Head) error {
	rank := 0
	return encode(w, append(opening(h, r.Request.Title, r.Air), object{
		{"verdict", string(r.Pairs[0].Verdict)}, {"drivers", r.Drivers}, {"boxes", r.Boxes},
		{"pairs", list(r.Pairs, func(p design.Pair) object {
			rank++
			return append(object{{"driver", p.Driver}, {"source", p.Source}, {"box", p.Box}, {"allowed_w", p.Allowed}}, judged(p.Judged, rank)...)
		})},
		{"refused", refused(r.Refused, unread)}, {"assumptions", r.Assumptions},
	}...))
}

// refused are the drivers that could not be judged, and those that could not be read at all.
func refused(judged []design.Refusal, unread []error) []object {
	out := list(judged, func(f design.Refusal) object { return object{{"source", f.Source}, {"reason", f.Err.Error()}} })
	return append(out, list(unread, func(err error) object { return object{{"source", ""}, {"reason", err.Error()}} })...)
}

// PairsHeader is the first line of a list of pairs.
var PairsHeader = []string{"rank", "driver", "source", "box", "verdict", "allowed_w", "net_volume_l", "f3_hz", "max_level_40_db"}

// PairsCSV writes the pairs as a list, best first; a field that is not known is empty.
func PairsCSV(w io.Writer, r *design.Pairing) error {
	return writeTable(w, PairsHeader, len(r.Pairs), func(i int) []string {
		p, f3 := &r.Pairs[i], ""
		if p.Circuit != nil {
			f3 = figure(p.Figures.F3)
		}
		return []string{strconv.Itoa(i + 1), textCell(p.Driver), textCell(p.Source), textCell(p.Box), string(p.Verdict), figure(p.Allowed),
			figure(p.NetVolume * 1000), f3, figure(p.MaxAt(40))}
	})
}
