package export

import (
	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/grade"
	"cubby/internal/search"
)

// standing is on what a box stands; height_mm is that of its base over the floor board.
func standing(d *design.Design, q *design.Request) object {
	s := d.Placed.Stands
	on := "floor"
	switch s.On {
	case cavity.OnBlock:
		on = s.Block
	case cavity.OnStand:
		on = "stand"
	}
	return object{{"on", on}, {"height_mm", mm(s.Base)}, {"pads_mm", mm(s.Pads)}, {"legs_mm", mm(s.Legs)}, {"carried_share", s.Carried}, {"text", q.StandingText(d)}}
}

// access tells what can be reached with the box in its place.
func access(a design.Access) object {
	o := append(exit("driver", a.Driver), exit("radiator", a.Radiator)...)
	return append(o, object{{"terminal_reached", a.Terminal}, {"terminal_way_mm", only(a.Terminal, mm(a.TerminalWay))}, {"text", a.Text()}}...)
}

// exit gives the room before what is taken out; left out where its depth is not stated.
func exit(name string, e design.Exit) object {
	known := e.Needs > 0
	return object{{name + "_comes_out", only(known, e.Free())}, {name + "_room_mm", only(known, mm(e.Room))}, {name + "_needs_mm", only(known, mm(e.Needs))}}
}

// tradeoffs are the sizes by kind; a kind that is not considered, or that no size serves, has none.
func tradeoffs(r *design.Result) object {
	points := map[design.Kind][]object{}
	for _, k := range r.Tradeoff {
		points[k.Kind] = append(points[k.Kind], list(k.Points, func(p design.SizePoint) object {
			e, c := p.Evaluation, p.Candidate
			mean, _ := r.MeanLevel(&e)
			return object{{"net_volume_m3", c.Volume}, {"tuning_hz", only(c.Tuning > 0, c.Tuning)}, {"f3_hz", e.Figures.F3}, {"f10_hz", e.Figures.F10},
				{"mean_level_db", mean}, {"port_speed_m_s", e.Speed}, {"outside_mm", mm3(p.Outside)}}
		})...)
	}
	return object{{"sealed", points[design.Sealed]}, {"vented", points[design.Vented]}, {"passive", points[design.Passive]}}
}

// spread is what tolerances make of the first design's figures: 10 and 90 % marks, left out where a figure does not
// apply.
func spread(s *design.Spread) object {
	if s == nil {
		return nil
	}
	marks := func(m search.Marks) any {
		if m.Low != m.Low || m.Low == 0 && m.High == 0 { // not a number, or nothing to spread
			return nil
		}
		return []number{number(m.Low), number(m.High)}
	}
	var changes []string
	rules := grade.Standard()
	for _, id := range s.Changes {
		changes = append(changes, rules[id].What)
	}
	return object{{"f3_hz", marks(s.F3)}, {"qtc", marks(s.Qtc)}, {"tuning_hz", marks(s.Tuning)}, {"mean_level_db", marks(s.Mean)}, {"peak_db", marks(s.Peak)},
		{"dip_db", marks(s.Dip)}, {"excursion_m", marks(s.Excursion)}, {"port_speed_m_s", marks(s.Speed)}, {"grades_that_change", changes}}
}

// space is the space as measured. A block runs along an axis from from_mm to to_mm; its outline has the coordinates of
// that axis' sections.
func space(s *design.Space) object {
	if s == nil || s.Space == nil {
		return nil
	}
	open := s.Open
	if len(open) == 0 {
		open = []cavity.Side{cavity.Front}
	}
	var sides []string
	for _, side := range open {
		sides = append(sides, side.String())
	}
	return object{
		{"stations_mm", list(s.Stations, func(t cavity.Station) object {
			return object{{"from_left", mm(t.FromLeft)}, {"roof", heights(t.Roof)}, {"floor", heights(t.Floor)}}
		})},
		{"walls", list(s.Leans, func(l cavity.Lean) object { return object{{"side", l.Side.String()}, {"lean_deg", deg(l.Angle)}} })},
		{"blocks", list(s.Blocks, func(b cavity.Block) object {
			return object{{"name", b.Name}, {"along", b.Axis.String()}, {"outline_mm", outlineMM(b.Outline)}, {"from_mm", mm(b.Lo)}, {"to_mm", mm(b.Hi)}, {"hangs_mm", mmGiven(b.Hangs)}}
		})},
		{"stick", list(s.Sticks, func(k cavity.Stick) object {
			return object{{"across_mm", mm(k.FromLeft)}, {"depth_mm", mm(k.Depth)}, {"height_mm", mm(k.Height)}, {"surface", k.Surface.String()}}
		})},
		{"open", sides}, {"gap_mm", mm(s.Gap)},
	}
}

// heights are readings, pairs of depth and height; one that is not measured yet has no height, and no reading is a
// level floor at 0.
func heights(line []cavity.Height) [][2]number {
	out := [][2]number{}
	for _, h := range line {
		z := mm(h.Height)
		if h.Unknown {
			z = none
		}
		out = append(out, [2]number{mm(h.Depth), z})
	}
	return out
}
