package export

import (
	"io"

	"cubby/internal/design"
	"cubby/internal/impedance"
)

type measuredDocument struct {
	preamble
	Verdict     string        `json:"verdict"`
	VerdictText string        `json:"verdict_text"`
	Designed    boxFigures    `json:"designed"`
	Measured    measuredBox   `json:"measured"`
	Rows        []comparedRow `json:"compared"`
	Changes     []change      `json:"changes"`
	Assumptions []string      `json:"assumptions"`
}

// boxFigures is a box as it should be.
type boxFigures struct {
	Kind      design.Kind `json:"kind"`
	Described bool        `json:"described"`
	NetVolume number      `json:"net_volume_m3"`
	Fc        *number     `json:"fc_hz,omitempty"`
	Tuning    *number     `json:"tuning_hz,omitempty"`
	Qtc       *number     `json:"qtc,omitempty"`
	Alpha     number      `json:"alpha"`
	QL        number      `json:"ql"` // 0: none
	F3        number      `json:"f3_hz"`
	Port      *number     `json:"port_length_m,omitempty"`
}

// measuredBox is a box as its sweep shows it; each _sigma is the standard uncertainty of the figure before it.
type measuredBox struct {
	Fc         *number       `json:"fc_hz,omitempty"`
	FcU        *number       `json:"fc_hz_sigma,omitempty"`
	Tuning     *number       `json:"tuning_hz,omitempty"`
	TuningU    *number       `json:"tuning_hz_sigma,omitempty"`
	Qtc        *number       `json:"qtc,omitempty"`
	QtcU       *number       `json:"qtc_sigma,omitempty"`
	Alpha      number        `json:"alpha"`
	AlphaU     number        `json:"alpha_sigma"`
	NetVolume  number        `json:"net_volume_m3"`
	NetVolumeU number        `json:"net_volume_m3_sigma"`
	QL         number        `json:"ql"` // 0: no leak shows
	QLU        number        `json:"ql_sigma"`
	Re         number        `json:"re_ohm"`
	ReU        number        `json:"re_ohm_sigma"`
	F3         number        `json:"f3_hz"`
	Port       *number       `json:"port_length_m,omitempty"`
	Driver     *fittedDriver `json:"driver,omitempty"`
	Coil       string        `json:"coil_fitted"`
	FitError   number        `json:"fit_error_pct"`
	Points     int           `json:"points"`
	From       number        `json:"from_hz"`
	To         number        `json:"to_hz"`
}

type fittedDriver struct {
	Fs   number `json:"fs_hz"`
	FsU  number `json:"fs_hz_sigma"`
	Qes  number `json:"qes"`
	QesU number `json:"qes_sigma"`
	Qms  number `json:"qms"`
	QmsU number `json:"qms_sigma"`
	Vas  number `json:"vas_m3"`
	VasU number `json:"vas_m3_sigma"`
}

type comparedRow struct {
	Name       string  `json:"name"`
	Designed   number  `json:"designed"`
	Measured   number  `json:"measured"`
	U          number  `json:"sigma"`
	Difference number  `json:"difference"`
	Unit       string  `json:"unit"`
	Near       *number `json:"near,omitempty"`
	Far        *number `json:"far,omitempty"`
	Status     string  `json:"status"`
}

type change struct {
	What   string  `json:"what"`
	Status string  `json:"status"`
	Amount number  `json:"amount"`
	Unit   string  `json:"unit"`
	Text   string  `json:"text"`
	ToDo   string  `json:"to_do"`
	Wanted string  `json:"wanted,omitempty"`
	Target *number `json:"target,omitempty"`
}

// MeasuredJSON writes the comparison of a finished box with its design as one object followed by a newline.
func MeasuredJSON(w io.Writer, r *design.MeasuredResult, h Head) error {
	d := measuredDocument{
		preamble: newPreamble(h, r.Request.Title, r.Air, r.Driver, r.DriverSingle, r.Findings, r.DriveVolts),
		Verdict:  string(r.Verdict), VerdictText: r.VerdictText, Designed: newBoxFigures(r), Measured: newMeasuredBox(r),
		Rows: []comparedRow{}, Changes: []change{}, Assumptions: texts(r.Assumptions),
	}
	for _, row := range r.Rows {
		out := comparedRow{
			Name: row.Name, Designed: number(row.Designed), Measured: number(row.Measured), U: number(row.Sigma),
			Difference: number(row.Difference), Unit: row.Unit, Status: row.Status.String(),
		}
		if row.Near > 0 {
			out.Near, out.Far = value(row.Near), value(row.Far)
		}
		d.Rows = append(d.Rows, out)
	}
	for _, c := range r.Changes {
		out := change{What: c.What, Status: c.Status.String(), Amount: number(c.Amount), Unit: c.Unit, Text: c.Text, ToDo: c.ToDo, Wanted: c.Wanted}
		if c.Wanted != "" {
			out.Target = value(c.Target)
		}
		d.Changes = append(d.Changes, out)
	}
	return encode(w, d)
}

func newBoxFigures(r *design.MeasuredResult) boxFigures {
	e := &r.Expected
	f := e.Figures
	out := boxFigures{
		Kind: e.Kind, Described: e.Described, NetVolume: number(e.NetVolume), Alpha: number(f.Alpha), QL: number(f.QL), F3: number(f.F3),
	}
	if e.Kind == design.Sealed {
		out.Fc, out.Qtc = value(f.Fc), value(f.Qtc)
		return out
	}
	out.Tuning, out.Port = value(f.Fb), value(e.Circuit.System.Box.Ports[0].Length)
	return out
}

func newMeasuredBox(r *design.MeasuredResult) measuredBox {
	f := &r.Fit
	both := func(v impedance.Value) (a, u *number) { return value(v.Value), value(v.Sigma) }
	out := measuredBox{
		Alpha: number(f.Alpha.Value), AlphaU: number(f.Alpha.Sigma), NetVolume: number(f.Volume.Value), NetVolumeU: number(f.Volume.Sigma),
		QL: number(f.QL.Value), QLU: number(f.QL.Sigma), Re: number(f.Re.Value), ReU: number(f.Re.Sigma), F3: number(r.Figures.F3),
		Coil: f.Coil.String(), FitError: number(f.FitError), Points: f.Points, From: number(f.Low), To: number(f.High),
	}
	if f.Sealed {
		out.Fc, out.FcU = both(f.Fc)
		out.Qtc, out.QtcU = both(f.Qtc)
	} else {
		out.Tuning, out.TuningU = both(f.Tuning)
		out.Port = value(f.System.Box.Ports[0].Length)
	}
	if f.DriverToo {
		out.Driver = &fittedDriver{
			number(f.Fs.Value), number(f.Fs.Sigma), number(f.Qes.Value), number(f.Qes.Sigma),
			number(f.Qms.Value), number(f.Qms.Sigma), number(f.Vas.Value), number(f.Vas.Sigma),
		}
	}
	return out
}
