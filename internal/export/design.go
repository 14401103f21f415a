package export

import (
	"cmp"

	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/solid"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
)

// designed is one design with all that follows from it.
func designed(r *design.Result, d *design.Design) object {
	q, f, b := &r.Request, d.Figures, d.Box
	out := object{
		{"rank", d.Rank}, {"kind", d.Kind}, {"because", d.Because}, {"shape", d.ShapeName()},
		{"facts", list(r.Facts(d), fact)},
		{"net_volume_m3", b.NetVolume}, {"gross_volume_m3", b.OuterVolume}, {"alpha", f.Alpha}, {"f3_reason", given(f.Reason)},
		{"outside", outside(b)}, {"covering", covering(b)}, {"removable_face", removable(b.Removable)},
		{"driver_fixing", fixing(b.Drivers.Fixing, q.Units)}, {"inside", inside(b)},
		{"deductions", list(b.Deductions, func(x panels.Deduction) object { return object{{"name", x.Name}, {"volume_m3", x.Volume}} })},
		{"board_mass_kg", b.BoardMass}, {"mass_kg", d.Mass},
		{"score", d.Score}, {"score_text", d.ScoreText}, {"tradeoff", given(d.Tradeoff)},
		{"settings", list(r.Settings(d), setting)}, {"in_vehicle", inVehicle(&d.Fitting.Cabin)},
	}
	if s := d.Evaluation.Settings; s.Full > 0 {
		out = append(out, object{{"allowed_w", s.Allowed}, {"available_w", s.Full}}...) // N and P0
	}
	out = append(append(out, acoustics(d.Kind, f, d.Port, d.Radiator)...), object{
		{"minutes", d.Placed.Minutes}, {"standing", standing(d, q)}, {"beside", given(d.Beside)}, {"runner_up", given(d.RunnerUp)},
		{"access", access(d.Access)},
		{"stick_tests", list(d.StickTests, func(t cavity.StickTest) object {
			return object{{"across_mm", mm(t.X)}, {"depth_mm", mm(t.Y)}, {"height_mm", mm(t.Z)}, {"surface", t.Surface.String()}, {"room_mm", mm(t.Room)}}
		})},
		{"panels", list(b.Panels, func(p panels.Panel) object { return panel(p, q.Units) })},
		{"checks", list(d.Checks, check)}, {"carry_in", carry(d.Carry, d.CarryText)},
		{"verdict", string(d.Verdict)}, {"verdict_text", d.VerdictText}, {"warnings", d.Warnings},
	}...)
	l := d.Sheets
	if l == nil {
		l = &nest.Layout{}
	}
	return append(out, object{{"sheets", list(l.Sheets, func(s nest.Sheet) object { return sheet(s, d.SheetStock) })},
		{"sheets_lower_bound", l.LowerBound}, {"sheets_proved", l.Proved}}...)
}

// fact is a key figure as every report prints it: values in SI, text in both systems of units.
func fact(f design.Fact) object {
	si := map[string]string{"mm of": "m", "g": "kg", "ohm at": "ohm, Hz"} // of those that print in another
	return object{{"name", f.Name}, {"values", numbers(f.Values)}, {"unit", cmp.Or(si[f.Unit], f.Unit)}, {"p10_p90", only(f.Band[0] < f.Band[1], f.Band)}, {"words", given(f.Words)},
		{"text_metric", f.Text(unit.Metric)}, {"text_inch", f.Text(unit.Inch)}}
}

func setting(s design.Setting) object {
	return object{{"what", s.Knob.String()}, {"value", s.Value}, {"unit", s.Unit}, {"text", s.Text()}}
}

// inVehicle is what the cabin's curve and the distances to the ear ask for, nil where the job tells of neither.
func inVehicle(t *design.CabinTuning) object {
	if t.From == 0 && t.Delay == 0 {
		return nil
	}
	return object{{"from_hz", only(t.From > 0, t.From)}, {"to_hz", only(t.From > 0, t.To)}, {"strays_db", only(t.From > 0, t.Before)},
		{"strays_after_db", only(t.From > 0, t.After)}, {"boost_db", only(t.Gain != 0, t.Gain)}, {"boost_hz", only(t.Gain != 0, t.Frequency)}, {"boost_q", only(t.Gain != 0, t.Q)},
		{"delay_ms", only(t.Delay > 0, t.Delay*1000)}, {"text", t.Text()}}
}

func numbers(all []float64) []number {
	out := make([]number, len(all))
	for i, v := range all {
		out[i] = number(v)
	}
	return out
}

// acoustics are the figures of a box of a kind.
func acoustics(kind design.Kind, f thielesmall.Figures, p *design.PortDesign, r *design.RadiatorDesign) object {
	isSealed := kind == design.Sealed
	return object{
		{"fc_hz", only(isSealed, f.Fc)}, {"qtc", only(isSealed, f.Qtc)}, {"tuning_hz", only(!isSealed, f.Fb)}, {"ql", f.QL},
		{"f3_hz", f.F3}, {"f6_hz", f.F6}, {"f10_hz", f.F10}, {"peak_db", f.Peak}, {"dip_db", f.Dip}, {"reference_db", f.Reference}, {"port", port(p, f)},
		{"radiator", radiator(r)},
	}
}

func port(p *design.PortDesign, f thielesmall.Figures) object {
	if p == nil {
		return nil
	}
	return object{
		{"count", p.Count}, {"area_m2", p.Area}, {"length_m", p.Length}, {"end_inner_m", p.EndInner}, {"end_outer_m", p.EndOuter},
		{"diameter_m", p.Bore}, {"outside_diameter_m", p.Outside}, {"height_m", p.Height}, {"width_m", p.Width},
		{"speed_at_limit_m_s", p.SpeedAtLimit}, {"speed_at_limit_hz", p.SpeedAt}, {"rule_of_thumb_area_m2", p.RuleOfThumbArea},
		{"length_per_hz_m", p.MillimetrePerHertz}, {"first_resonance_hz", f.DuctResonance},
	}
}

// radiator is the passive radiators of a box, equal ones; mms with what is added to each.
func radiator(r *design.RadiatorDesign) object {
	if r == nil {
		return nil
	}
	return object{
		{"name", r.Name}, {"count", r.Count}, {"sd_m2", r.Sd}, {"mms_kg", r.Mms}, {"cms_m_n", r.Cms}, {"rms_kg_s", r.Rms}, {"fs_hz", r.Fp()},
		{"xmax_m", r.Xmax}, {"mass_added_kg", r.Added}, {"most_added_kg", r.MostAdded}, {"travel_at_limit_m", r.Travel}, {"sag_m", r.Sag},
		{"displacement_ratio", r.Ratio},
	}
}

// carry tells how a box goes through the passage.
func carry(c cavity.Carry, text string) object {
	answer := map[cavity.CarryAnswer]string{
		cavity.NotChecked: "not checked", cavity.Passes: "passes", cavity.PerhapsTilting: "perhaps by tilting", cavity.Cannot: "cannot",
	}[c.Answer]
	return object{{"answer", answer}, {"attitude", given(design.CarryAttitude(c))}, {"scale", c.Slide}, {"text", text}}
}

// outside is the solid of the bare wood, of a prism across also its width, its place and its section; finished is its
// width, depth and height with covering and gasket.
func outside(b *panels.Box) object {
	isAcross := b.Spec.Axis == solid.Across
	return object{{"axis", b.Spec.Axis.String()}, {"from_mm", mm(b.Left)}, {"to_mm", mm(b.Left + b.Width)}, {"faces_mm", facesMM(b.Spec.Outside)},
		{"width_mm", only(isAcross, mm(b.Width))}, {"left_mm", only(isAcross, mm(b.Left))}, {"section_mm", outlineMM(b.Section)}, {"finished_mm", mm3(b.Finished())}}
}

func inside(b *panels.Box) object {
	isAcross := b.Spec.Axis == solid.Across
	return object{{"faces_mm", facesMM(b.Air)}, {"width_mm", only(isAcross, mm(b.InsideWidth))}, {"section_mm", only(isAcross, outlineMM(b.Inside))}}
}

// facesMM gives the outer outline of every face, counter-clockwise from outside, and the holes in it after it.
func facesMM(s *solid.Solid) (out [][][3]number) {
	for i := range s.Faces {
		for _, loop := range s.Faces[i].Loops {
			out = append(out, pointsMM(loop.At))
		}
	}
	return out
}

func covering(b *panels.Box) object {
	c := b.Spec.Wood.Covering
	if c == nil {
		return nil
	}
	faces := c.Faces
	if len(faces) == 0 {
		faces = []string{"front", "back", "top", "bottom", "left", "right"}
	}
	return object{{"kind", c.Kind}, {"thickness_mm", mm(c.Thickness)}, {"faces", faces}, {"area_to_buy_m2", b.CoverArea()}}
}

func removable(r *panels.RemovableFace) object {
	if r == nil {
		return nil
	}
	return object{{"panel", r.Panel}, {"foam_mm", mm(r.Foam)}, {"gasket_mm", mm(r.Gasket)}, {"screws", r.Screws}, {"thread", r.Thread},
		{"most_spacing_mm", mm(r.Spacing)}, {"most_from_corner_mm", mm(r.Corner)}}
}

func fixing(f panels.Fixing, units unit.System) object {
	return object{{"fastening", string(f.Fastening)}, {"thread", given(f.Thread)}, {"hole_mm", mm(f.Hole)}, {"land_mm", mm(f.Land)}, {"reason", f.Reason.Text(units)}}
}

func place(f panels.Frame) object {
	return object{{"origin_mm", pointsMM([]r3.Vec{f.O})[0]}, {"x", numbers([]float64{f.X.X, f.X.Y, f.X.Z})}, {"y", numbers([]float64{f.Y.X, f.Y.Y, f.Y.Z})}}
}

func panel(p panels.Panel, units unit.System) object {
	var rabbets, steps, places any
	if len(p.Rabbets) > 0 {
		steps = list(p.Rabbets, func(r panels.RabbetStep) object {
			return object{{"edge", p.Edges[r.Edge].Edge}, {"width_mm", mm(r.Width)}, {"depth_mm", mm(r.Depth)}}
		})
		if p.Role == panels.End {
			widths := make([]number, len(p.Rabbets))
			for i, r := range p.Rabbets {
				widths[i] = mm(r.Width)
			}
			rabbets = object{{"depth_mm", mm(p.Rabbets[0].Depth)}, {"widths_mm", widths}}
		}
	}
	if len(p.Places) > 0 {
		places = list(p.Places, place)
	}
	return object{
		{"id", p.Mark}, {"name", p.Name}, {"role", p.Role.String()}, {"count", p.Count}, {"board", p.Board},
		{"thickness_mm", mm(p.Thickness)}, {"nominal_mm", mm(p.Nominal)}, {"length_mm", mm(p.Length)}, {"width_mm", mm(p.Width)},
		{"outer_width_mm", mm(p.OuterWidth)}, {"inner_width_mm", mm(p.InnerWidth)}, {"blank_mm", mm2(p.Blank)}, {"flush_mm", mmGiven(p.Flush)},
		{"grain", p.Grain}, {"section_mm", only(len(p.Section) > 0, outlineMM(p.Section))}, {"outline_mm", only(len(p.Outline) > 0, outlineMM(p.Outline))},
		{"edges", list(p.Edges, edge)}, {"holes", list(p.Holes, hole)}, {"rabbets", rabbets}, {"rabbet_steps", steps},
		{"outer_mm", pointsMM(p.Outer)}, {"inner_mm", pointsMM(p.Inner)}, {"place", place(p.Place)}, {"places", places},
		{"volume_m3", p.Volume}, {"notes", panels.Texts(p.Notes, units)},
	}
}

func edge(e panels.Edge) object {
	return object{{"edge", e.Edge}, {"meets", e.Meets}, {"joint", string(e.Joint)}, {"angle_deg", deg(e.Angle)}, {"tilt_deg", deg(e.Tilt)},
		{"long_face", e.LongFace()}, {"run_mm", mm(e.Run)}, {"outer_length_mm", mm(e.OuterLen)}, {"inner_length_mm", mm(e.InnerLen)},
		{"gauge_start_deg", deg(e.GaugeStart)}, {"gauge_end_deg", deg(e.GaugeEnd)}, {"compound", given(e.Compound())}}
}

func hole(h panels.Hole) object {
	return object{{"kind", string(h.Kind)}, {"x_mm", mm(h.X)}, {"y_mm", mm(h.Y)}, {"diameter_mm", mmGiven(h.Diameter)}, {"length_mm", mmGiven(h.Length)},
		{"width_mm", mmGiven(h.Width)}, {"radius_mm", mmGiven(h.Radius)}, {"depth_mm", mmGiven(h.Depth)}, {"from", h.From}, {"use", given(string(h.Use))}}
}
