package export

import (
	"io"

	"cubby/internal/nest"
)

func um(v nest.Um) number { return number(float64(v) / 1000) }

// sheet is a sheet of stock with what is cut from it.
func sheet(s nest.Sheet, stock []nest.Stock) object {
	var from nest.Stock
	if s.Stock >= 0 && s.Stock < len(stock) {
		from = stock[s.Stock]
	}
	return object{
		{"name", s.Name}, {"stock", from.Name}, {"board", from.Board}, {"thickness_mm", um(from.Thickness)}, {"width_mm", um(s.Width)}, {"height_mm", um(s.Height)},
		{"placements", list(s.Placements, placement)},
		{"offcuts", list(s.Offcuts, func(o nest.Offcut) object {
			return object{{"name", o.Name}, {"x_mm", um(o.X)}, {"y_mm", um(o.Y)}, {"width_mm", um(o.Width)}, {"height_mm", um(o.Height)}, {"reusable", o.Reusable}}
		})},
		{"cuts", list(s.Cuts, func(c nest.Cut) object {
			return object{{"no", c.No}, {"tool", c.Tool}, {"piece", c.Piece}, {"direction", c.Direction}, {"reference", c.Reference}, {"setting_mm", um(c.Setting)},
				{"far_setting_mm", given(um(c.Far))}, // slanted cuts: at the end of the line
				{"kerf_mm", um(c.Kerf)}, {"makes", c.Makes}, {"keep", c.Keep}, {"safety", given(c.Safety)}}
		})},
		{"waste", s.Waste},
	}
}

func placement(p nest.Placement) object {
	var parts any
	if len(p.Parts) > 0 {
		parts = list(p.Parts, func(part nest.PairPart) object {
			return object{{"panel", part.Panel}, {"outline_mm", corners(part.Outline)}, {"flipped", part.Flipped}}
		})
	}
	return object{{"panel", p.Panel}, {"x_mm", um(p.X)}, {"y_mm", um(p.Y)}, {"width_mm", um(p.Width)}, {"height_mm", um(p.Height)},
		{"turned", p.Turned}, {"rotation_deg", p.Rotation}, {"mirrored", false}, {"parts", parts}}
}

func corners(line [][2]nest.Um) [][2]number {
	out := make([][2]number, len(line))
	for i, v := range line {
		out[i] = [2]number{um(v[0]), um(v[1])}
	}
	return out
}

func unplaced(u nest.Unplaced) object { return object{{"part", u.Part}, {"why", u.Why}} }

// Router is a layout for a router beside the saw's, for the document of a command.
type Router struct {
	Nested *nest.Nested
	Stock  []nest.Stock
	Saw    *nest.Layout // what it is compared with
}

// nested is the document's part for a router, or nil. A part is mirrored about its y axis first if flipped, then turned
// counter-clockwise; used is the full width of every sheet as far as parts reach along it.
func nested(r *Router) object {
	const squareMetre = 1e-12 // a square micrometre in square metres
	if r == nil || r.Nested == nil {
		return nil
	}
	saw := r.Saw
	if saw == nil {
		saw = &nest.Layout{}
	}
	return object{
		{"clearance_mm", um(r.Nested.Clearance)},
		{"sheets", list(r.Nested.Sheets, func(s nest.NestedSheet) object {
			name := ""
			if s.Stock >= 0 && s.Stock < len(r.Stock) {
				name = r.Stock[s.Stock].Name
			}
			return object{{"name", s.Name}, {"stock", name}, {"width_mm", um(s.Width)}, {"height_mm", um(s.Height)}, {"used_mm", um(s.Used)},
				{"placements", list(s.Places, func(p nest.NestedPlace) object {
					return object{{"panel", p.Panel}, {"x_mm", um(p.X)}, {"y_mm", um(p.Y)}, {"rotation_deg", 90 * p.Turns}, {"flipped", p.Flipped}, {"outline_mm", corners(p.Outline)}}
				})}}
		})},
		{"unplaced", list(r.Nested.Unplaced, unplaced)}, {"used_m2", r.Nested.UsedArea() * squareMetre},
		{"saw_sheets", len(saw.Sheets)}, {"saw_used_m2", saw.UsedArea() * squareMetre},
	}
}

// Sheets is what was laid together on shared stock.
type Sheets struct {
	Title       string
	Jobs        []string // jobs and parts lists, as the user wrote them
	Parts       []nest.Part
	Stock       []nest.Stock
	Saw         nest.Saw
	Layout      *nest.Layout
	Assumptions []string
}

// SheetsJSON writes a shared layout as one object followed by a newline. Head's Job is not used: there are several.
func SheetsJSON(w io.Writer, s Sheets, h Head) error {
	l := s.Layout
	return encode(w, object{
		{"version", h.Version}, {"command", h.Command}, {"jobs", s.Jobs}, {"title", s.Title}, {"kerf_mm", um(s.Saw.Kerf)}, {"trim_mm", um(s.Saw.Trim)},
		{"parts", list(s.Parts, func(p nest.Part) object {
			return object{{"name", p.Name}, {"count", p.Count}, {"board", p.Board}, {"thickness_mm", um(p.Thickness)}, {"length_mm", um(p.Length)},
				{"width_mm", um(p.Width)}, {"grain", p.Grain}}
		})},
		{"stock", list(s.Stock, func(k nest.Stock) object { // count 0: as many as needed
			return object{{"name", k.Name}, {"board", k.Board}, {"thickness_mm", um(k.Thickness)}, {"length_mm", um(k.Length)}, {"width_mm", um(k.Width)},
				{"count", k.Count}, {"price", k.Price}, {"offcut", k.Offcut}}
		})},
		{"sheets", list(l.Sheets, func(sh nest.Sheet) object { return sheet(sh, s.Stock) })},
		{"sheets_lower_bound", l.LowerBound}, {"sheets_proved", l.Proved}, {"cost", l.Cost}, {"cost_lower_bound", l.LowerCost}, {"fence_settings", l.Settings},
		{"batches", list(l.Batches, func(b nest.Batch) object {
			return object{{"tool", b.Tool}, {"setting_mm", um(b.Setting)},
				{"cuts", list(b.Cuts, func(c nest.CutRef) object { return object{{"sheet", l.Sheets[c.Sheet].Name}, {"no", c.No}} })}}
		})},
		{"unplaced", list(l.Unplaced, unplaced)}, {"nested", nested(h.Router)}, {"assumptions", s.Assumptions},
	})
}
