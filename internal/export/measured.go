package export

import (
	"io"

	"cubby/internal/design"
	"cubby/internal/impedance"
	"cubby/internal/thielesmall"
)

// MeasuredJSON writes the comparison of a finished box with its design as one object followed by a newline.
func MeasuredJSON(w io.Writer, r *design.MeasuredResult, h Head) error {
	return encode(w, append(preamble(h, &r.Basis), object{
		{"verdict", string(r.Verdict)}, {"verdict_text", r.VerdictText}, {"designed", expected(r)}, {"measured", measured(r)},
		{"compared", list(r.Rows, func(k design.MeasuredRow) object {
			return object{{"name", k.Name}, {"designed", k.Designed}, {"measured", k.Measured}, {"sigma", k.Sigma}, {"difference", k.Difference}, {"unit", k.Unit},
				{"near", only(k.Near > 0, k.Near)}, {"far", only(k.Near > 0, k.Far)}, {"status", k.Status.String()}}
		})},
		{"changes", list(r.Changes, func(c design.Change) object {
			return object{{"what", c.What}, {"status", c.Status.String()}, {"amount", c.Amount}, {"unit", c.Unit}, {"text", c.Text}, {"to_do", c.ToDo},
				{"wanted", given(c.Wanted)}, {"target", only(c.Wanted != "", c.Target)}}
		})},
		{"assumptions", r.Assumptions},
	}...))
}

// expected is a box as it should be; without leak its ql is 0.
func expected(r *design.MeasuredResult) object {
	e := &r.Expected
	f, isSealed := e.Figures, e.Kind == design.Sealed
	out := object{{"kind", e.Kind}, {"described", e.Described}, {"net_volume_m3", e.NetVolume}, {"fc_hz", only(isSealed, f.Fc)}, {"qtc", only(isSealed, f.Qtc)},
		{"tuning_hz", only(!isSealed, f.Fb)}, {"alpha", f.Alpha}, {"ql", f.QL}, {"f3_hz", f.F3}}
	return append(out, tuner(e.Circuit.System.Box)...)
}

// tuner is what tunes a box, and the chamber of a band-pass behind it; nothing of a sealed one.
func tuner(b thielesmall.Box) (out object) {
	if b.Passive.Count > 0 {
		out = object{{"radiator_mass_kg", b.Passive.Mms}}
	} else if len(b.Ports) > 0 {
		out = object{{"port_length_m", b.Ports[0].Length}}
	}
	if b.Rear > 0 {
		out = append(out, object{{"rear_volume_m3", b.Rear}}...)
	}
	return out
}

// measured is a box as its sweep shows it; each _sigma is the standard uncertainty of the figure before it; ql 0: no
// leak shows.
func measured(r *design.MeasuredResult) object {
	f := &r.Fit
	out := object{{"f3_hz", r.Figures.F3}, {"coil_fitted", f.Coil.String()}, {"fit_error_pct", f.FitError}, {"points", f.Points}, {"from_hz", f.Low}, {"to_hz", f.High}}
	both := func(to object, key string, v impedance.Value) object {
		return append(to, object{{key, v.Value}, {key + "_sigma", v.Sigma}}...)
	}
	if f.Sealed() {
		out = both(both(out, "fc_hz", f.Fc), "qtc", f.Qtc)
	} else {
		out = append(both(out, "tuning_hz", f.Tuning), tuner(f.System.Box)...)
	}
	out = both(both(both(both(out, "alpha", f.Alpha), "net_volume_m3", f.Volume), "ql", f.QL), "re_ohm", f.Re)
	if f.DriverToo {
		out = append(out, object{{"driver", both(both(both(both(nil, "fs_hz", f.Fs), "qes", f.Qes), "qms", f.Qms), "vas_m3", f.Vas)}}...)
	}
	return out
}
