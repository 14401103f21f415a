package render

import (
	"fmt"
	"math"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/unit"
	"cubby/internal/work"
)

// hardwareTable is the bill: number, what and a note under it, how much; prices where the job gives them.
func (s *shop) hardwareTable() table {
	t := table{Columns: []column{{Width: 6}, {}, {Align: AlignRight}}}
	priced, total := false, 0.0
	if s.d.Sheets != nil {
		total = s.d.Sheets.Cost
	}
	seen := map[work.ItemKind]bool{}
	for i, it := range s.plan.Bill {
		what, much, note := s.itemWords(it)
		if what == "" {
			continue
		}
		if p, ok := s.r.Request.Prices[design.Item(it.Kind)]; ok && !seen[it.Kind] {
			much += fmt.Sprintf("\n%.2f", p)
			priced, total = true, total+p
		}
		seen[it.Kind] = true
		if note != "" {
			what += "\n" + note
		}
		t.Rows = append(t.Rows, []cell{{Text: fmt.Sprint(i + 1), Bold: true}, {Text: what}, {Text: much}})
	}
	t.Rows = append(t.Rows, cells("", "Weight: wood, and wood with drivers", unit.FormatMass(s.box.BoardMass, s.m.sys)+"\n"+unit.FormatMass(s.d.Mass, s.m.sys)))
	if priced || total > 0 {
		t.Rows = append(t.Rows, cells("", "Together at the prices of the job, as far as priced", fmt.Sprintf("%.2f", total)))
	}
	return t
}

// itemWords words a line of the bill.
func (s *shop) itemWords(it work.Item) (what, much, note string) {
	on := s.markAt(it.Panel)
	switch it.Kind {
	case work.Sheets:
		if it.Stock < 0 || it.Stock >= len(s.d.SheetStock) {
			return "", "", ""
		}
		st := s.d.SheetStock[it.Stock]
		return st.Board + " " + s.m.thick(um(st.Thickness)) + ", " + s.m.times(um(st.Length), um(st.Width)), fmt.Sprint(it.Count), ""
	case work.Screws:
		return "Screws " + s.screwLength(it.Size), fmt.Sprint(it.Count), "pilot; first " + s.m.bare(panels.ScrewFromEnd) + " from an edge's end, " + s.m.about(panels.ScrewClear) + " clear of openings; they hold while the glue sets"
	case work.Glue:
		if s.fibreboard() {
			note = "faces of edges sized first"
		}
		return "Wood glue, PVA", s.runText(it.Length), note
	case work.Sealant:
		return "Sealant, paintable", s.runText(it.Length), "every inside seam"
	case work.Drivers:
		return "Driver " + clipText(s.box.Spec.Driver.Name, TextStyle{Size: sizeSmall}, 36), fmt.Sprint(it.Count), "from the fitter"
	case work.Radiators:
		if r := s.d.Radiator; r != nil && r.Added > 0 {
			note = fmt.Sprintf(", with %.0f g to add to each", r.Added*1000)
		}
		return "Radiator " + clipText(s.box.Spec.Radiators.Name, TextStyle{Size: sizeSmall}, 36), fmt.Sprint(it.Count), "from the fitter" + note
	case work.Fasteners:
		fix := s.box.Drivers.Fixing
		if r := s.box.Radiators; r != nil && it.Size != fix.Hole {
			fix = r.Fixing
		}
		what = map[panels.Fastening]string{panels.TNut: "T-nut " + fix.Thread + " and screw", panels.Insert: "Insert " + fix.Thread + " and screw", panels.WoodScrew: "Wood screw for the driver"}[fix.Fastening]
		return what, fmt.Sprint(it.Count), "hole " + s.m.sloped(it.Size) + ": measure the barrel"
	case work.Gasket:
		thick := "3 to 6 mm"
		if s.m.sys == unit.Inch {
			thick = "1/8 to 1/4"
		}
		return "Gasket tape, closed cell", s.runText(it.Length), thick + ", under the flange"
	case work.FaceParts:
		return "Screw " + s.box.Removable.Thread + " with insert", fmt.Sprint(it.Count), "for " + on + ": inserts " + s.m.sloped(it.Size)
	case work.FaceFoam:
		return "Foam gasket, " + s.m.small(it.Size) + " thick", s.runText(it.Length), "under " + on
	case work.PortTube:
		port := s.box.Spec.Port
		return "Port tube, bore " + s.m.sloped(it.Size), fmt.Sprint(it.Count), "outside " + s.m.sloped(port.Outside) + ", cut to " + s.m.sloped(it.Long)
	case work.SaddleFor:
		return "Saddle for the tube", fmt.Sprint(it.Count), "within " + s.m.bare(it.Long) + " of its inner end"
	case work.Flange:
		return "Flange of the port", fmt.Sprint(it.Count), "rim " + s.m.bare(it.Size)
	case work.Terminal:
		return "Terminal plate with gasket", fmt.Sprint(it.Count), "in " + on + ": try it before sawing"
	case work.Cable:
		return "Cable, two-core", s.runText(it.Length), "through " + on + ", Ø " + s.m.sloped(it.Size)
	case work.Fixing:
		return "Insert or plate, to the vehicle", fmt.Sprint(it.Count), "in " + on
	case work.Covering:
		if it.Area == 0 {
			return "", "", ""
		}
		return "Covering", s.areaText(it.Area), "10 % for waste counted"
	}
	return "", "", ""
}

// screwLength is the usual length for a board: metric lengths or inch lengths that are sold.
func (s *shop) screwLength(t float64) string {
	if s.m.sys == unit.Inch {
		for _, l := range []float64{1.25, 1.5, 1.75, 2, 2.25, 2.5, 3, 3.5} {
			if l*inch >= 2.5*t {
				return "#8 × " + unit.Fraction(l*inch, 4) + "″"
			}
		}
		return "#10 × 4″"
	}
	for _, l := range []float64{0.025, 0.03, 0.035, 0.04, 0.045, 0.05, 0.06, 0.07, 0.08, 0.09} {
		if l >= 2.5*t {
			return fmt.Sprintf("4 × %.0f mm", l*1000)
		}
	}
	return "5 × 100 mm"
}

// runText is a running length, rounded up to what one buys.
func (s *shop) runText(m float64) string {
	if s.m.sys == unit.Inch {
		return fmt.Sprintf("%.0f ft", math.Ceil(m/0.3048-1e-9))
	}
	return fmt.Sprintf("%.1f m", math.Ceil(m*10-1e-9)/10)
}

func (s *shop) areaText(a float64) string {
	if s.m.sys == unit.Inch {
		return fmt.Sprintf("%.1f sq ft", a/(0.3048*0.3048))
	}
	return fmt.Sprintf("%.2f m²", a)
}

// fibreboard reports whether the board's edges drink glue.
func (s *shop) fibreboard() bool { return panels.Fibreboard(s.box.Spec.Wood.Board) }
