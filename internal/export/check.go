package export

import (
	"io"

	"cubby/internal/design"
)

// CheckJSON writes the judgement of ready-made boxes as one object followed by a newline. Verdict and checks at the top
// are those of the best box.
func CheckJSON(w io.Writer, r *design.CheckResult, h Head) error {
	best := &r.Boxes[0]
	d := append(preamble(h, &r.Basis), object{
		{"verdict", string(best.Verdict)}, {"checks", list(best.Checks, check)},
		{"boxes", list(r.Boxes, func(j design.Judged) object {
			return append(judged(j, j.Rank), object{{"facts", list(r.Facts(&j), fact)}, {"settings", list(r.Settings(&j), setting)}}...)
		})},
		{"look_for", given(r.Shopping)}, {"assumptions", r.Assumptions},
	}...)
	if r.Best != nil {
		d = append(d, object{{"best_design", designed(&design.Result{Basis: r.Basis}, r.Best)}}...)
	}
	return encode(w, d)
}

func judged(j design.Judged, rank int) object {
	out := object{{"name", j.Ready.Name}, {"in_vehicle", inVehicle(&j.Fitting.Cabin)}, {"rank", rank}, {"kind", j.Kind}, {"net_volume_m3", j.NetVolume}, {"checks", list(j.Checks, check)},
		{"carry_in", carry(j.Carry, j.CarryText)}, {"verdict", string(j.Verdict)}, {"verdict_text", j.VerdictText},
		{"max_level", list(j.Loud, func(l design.LoudAt) object {
			return object{{"frequency_hz", l.Frequency}, {"level_db", l.Level}, {"limited_by", l.LimitedBy.String()}}
		})}}
	if j.Circuit == nil {
		return append(out, object{{"ql", 0}, {"f3_hz", 0}, {"f6_hz", 0}, {"f10_hz", 0}, {"peak_db", 0}, {"dip_db", 0}, {"reference_db", 0}}...)
	}
	if b := j.Band; j.Kind == design.BandPass {
		out = append(out, object{{"rear_volume_m3", j.Ready.Rear},
			{"pass_band", object{{"level_db", b.Level}, {"from_hz", b.Low}, {"to_hz", b.High}}}}...) // over the driver's reference, to 3 dB below that
	}
	return append(out, acoustics(j.Kind, j.Figures, j.Port, j.Radiator)...)
}
