package export

import (
	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/work"
)

// plan is the plan of work of a design, nil where it has none. Values and slacks of its checks are in SI; slack 0: not
// more than the value.
func plan(d *design.Design) object {
	p := d.Work
	if p == nil {
		return nil
	}
	name := func(i int) string {
		if i < 0 || i >= len(d.Box.Panels) {
			return ""
		}
		return d.Box.Panels[i].Name
	}
	return object{
		{"bill", list(p.Bill, func(i work.Item) object {
			return object{{"item", string(i.Kind)}, {"panel", given(name(i.Panel))}, {"count", given(i.Count)}, {"length_mm", mmGiven(i.Length)},
				{"area_m2", given(i.Area)}, {"size_mm", mmGiven(i.Size)}, {"long_mm", mmGiven(i.Long)}}
		})},
		{"setups", p.Setups}, {"cuts", list(p.Cuts, func(c work.Cut) object { return planned(d, c, name) })},
		{"steps", list(p.Steps, func(s work.Step) object {
			var panels []string
			for _, i := range s.Panels {
				panels = append(panels, name(i))
			}
			return object{{"step", s.Kind.String()}, {"panels", only(panels != nil, panels)},
				{"on", only(len(s.On) > 0, list(s.On, func(c work.Contact) object {
					return object{{"panel", name(c.Panel)}, {"on", name(c.On)}, {"joint", c.Joint.String()}}
				}))},
				{"cuts", only(len(s.Cuts) > 0, s.Cuts)}}
		})},
		{"fill_m3", p.Fill.Volume},
		{"screws", list(p.Screws, func(r panels.ScrewRow) object {
			at := make([]number, len(r.At))
			for i, a := range r.At {
				at[i] = mm(a)
			}
			return object{{"through", r.Through}, {"into", r.Into}, {"at_mm", at}, {"from_mm", []number{mm(r.From.X), mm(r.From.Y)}},
				{"to_mm", []number{mm(r.To.X), mm(r.To.Y)}}, {"why", given(string(r.Why))}}
		})},
		{"checks", list(p.Checks, func(m work.Measure) object {
			return object{{"what", string(m.Kind)}, {"panel", given(name(m.Panel))}, {"value", m.Value}, {"slack", m.Slack}}
		})},
	}
}

// planned is a cut; its holes are indices into those of the panel.
func planned(d *design.Design, c work.Cut, name func(int) string) object {
	piece := func(p work.Piece) string {
		switch p.Kind {
		case work.Board:
			return name(p.Panel)
		case work.Waste:
			return "waste"
		}
		return p.Name
	}
	edge := func(e work.Edge) string {
		if e.Side != "" || e.Index < 0 || c.Take.Kind != work.Board || c.Take.Panel < 0 {
			return e.Side
		}
		return d.Box.Panels[c.Take.Panel].Edges[e.Index].Edge
	}
	keep, sheet := "", ""
	if c.Keep >= 0 {
		keep = piece(c.Makes[c.Keep])
	}
	if c.Sheet >= 0 {
		sheet = d.Sheets.Sheets[c.Sheet].Name
	}
	return object{{"no", c.No}, {"setup", c.Setup}, {"tool", string(c.Tool)}, {"sheet", given(sheet)}, {"sheet_no", given(c.SheetNo)},
		{"fence_mm", mm(c.Fence)}, {"far_mm", mmGiven(c.Far)}, {"rough", given(c.Rough)}, {"tilt_deg", deg(c.Tilt)}, {"up", given(c.Up.String())},
		{"take", piece(c.Take)}, {"reference", edge(c.Reference)}, {"edge", given(edge(c.At))}, {"makes", []string{piece(c.Makes[0]), piece(c.Makes[1])}},
		{"keep", keep}, {"run_mm", mmGiven(c.Run)}, {"width_mm", mmGiven(c.Width)}, {"depth_mm", mmGiven(c.Depth)},
		{"holes", only(len(c.Holes) > 0, c.Holes)}, {"mind", only(len(c.Marks) > 0, c.Marks)}}
}
