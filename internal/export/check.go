package export

import (
	"encoding/json"
	"io"

	"cubby/internal/design"
)

type checkDocument struct {
	preamble
	Verdict     string     `json:"verdict"`
	Checks      []check    `json:"checks"`
	Boxes       []judged   `json:"boxes"`
	Best        *designOut `json:"best_design,omitempty"`
	Shopping    string     `json:"look_for,omitempty"`
	Assumptions []string   `json:"assumptions"`
}

type judged struct {
	Name        string      `json:"name"`
	Rank        int         `json:"rank"`
	Kind        design.Kind `json:"kind"`
	NetVolume   number      `json:"net_volume_m3"`
	Fc          *number     `json:"fc_hz,omitempty"`
	Tuning      *number     `json:"tuning_hz,omitempty"`
	Qtc         *number     `json:"qtc,omitempty"`
	QL          number      `json:"ql"`
	F3          number      `json:"f3_hz"`
	F6          number      `json:"f6_hz"`
	F10         number      `json:"f10_hz"`
	Peak        number      `json:"peak_db"`
	Dip         number      `json:"dip_db"`
	Reference   number      `json:"reference_db"`
	Port        *port       `json:"port,omitempty"`
	Radiator    *radiator   `json:"radiator,omitempty"`
	Rear        *number     `json:"rear_volume_m3,omitempty"` // of a band-pass; net_volume_m3 is its front chamber
	Band        *passBand   `json:"pass_band,omitempty"`
	Loud        []loudOut   `json:"max_level"`
	Checks      []check     `json:"checks"`
	Carry       carry       `json:"carry_in"`
	Verdict     string      `json:"verdict"`
	VerdictText string      `json:"verdict_text"`
}

// passBand is the level over the driver's reference at the tuning, and where it is 3 dB less.
type passBand struct {
	Level number `json:"level_db"`
	Low   number `json:"from_hz"`
	High  number `json:"to_hz"`
}

type loudOut struct {
	Frequency number `json:"frequency_hz"`
	Level     number `json:"level_db"`
	LimitedBy string `json:"limited_by"`
}

// CheckJSON writes the judgement of ready-made boxes as one object followed by a newline. Verdict and checks at the top
// are those of the best box.
func CheckJSON(w io.Writer, r *design.CheckResult, h Head) error {
	d := checkDocument{
		preamble: newPreamble(h, r.Request.Title, r.Air, r.Driver, r.DriverSingle, r.Findings, r.DriveVolts),
		Checks:   []check{}, Boxes: []judged{}, Shopping: r.Shopping, Assumptions: texts(r.Assumptions),
	}
	for _, j := range r.Boxes {
		d.Boxes = append(d.Boxes, newJudged(j))
	}
	d.Verdict, d.Checks = d.Boxes[0].Verdict, d.Boxes[0].Checks
	if r.Best != nil {
		best := newDesign(*r.Best, &r.Request)
		d.Best = &best
	}
	return encode(w, d)
}

func newJudged(j design.Judged) judged {
	f := j.Figures
	out := judged{
		Name: j.Ready.Name, Rank: j.Rank, Kind: j.Kind, NetVolume: number(j.NetVolume), Checks: newChecks(j.Checks),
		Carry:   carry{answers[j.Carry.Answer], design.CarryAttitude(j.Carry), number(j.Carry.Slide), j.CarryText},
		Verdict: string(j.Verdict), VerdictText: j.VerdictText, Loud: []loudOut{},
	}
	for _, l := range j.Loud {
		out.Loud = append(out.Loud, loudOut{number(l.Frequency), number(l.Level), l.LimitedBy.String()})
	}
	if j.Circuit == nil {
		return out
	}
	out.QL, out.F3, out.F6, out.F10 = number(f.QL), number(f.F3), number(f.F6), number(f.F10)
	out.Peak, out.Dip, out.Reference = number(f.Peak), number(f.Dip), number(f.Reference)
	out.Port, out.Radiator = newPort(j.Port, f), newRadiator(j.Radiator)
	if b := j.Band; j.Kind == design.BandPass {
		out.Rear, out.Band = value(j.Ready.Rear), &passBand{number(b.Level), number(b.Low), number(b.High)}
	}
	if j.Kind == design.Sealed {
		out.Fc, out.Qtc = value(f.Fc), value(f.Qtc)
	} else {
		out.Tuning = value(f.Fb)
	}
	return out
}

// value is a number that is present.
func value(v float64) *number { n := number(v); return &n }

// encode writes one indented object.
func encode(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}
