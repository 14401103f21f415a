package render

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/unit"
)

// seams adds up the joints: those between walls along the box, and those of both ends round the section.
func (s *shop) seams() float64 {
	length := 0.0
	for _, p := range s.withRole(panels.Wall) {
		length += p.Length
	}
	for i := range s.box.Inside {
		a, b := s.box.Inside.Edge(i)
		length += 2 * b.Sub(a).Norm()
	}
	if r := s.box.Removable; r != nil {
		length -= r.Tape // that face lies on its gasket
	}
	return length
}

// screws counts the screws of the rows that are drawn.
func (s *shop) screws() int {
	n := 0
	for _, r := range s.box.ScrewRows() {
		n += len(r.At)
	}
	return n
}

// materials lists everything that is needed beside the panels, with weight and cost.
func (s *shop) materials(f *flow) {
	t := table{Columns: []column{{Head: "No.", Width: 10, Align: AlignCentre}, {Head: "What", Width: 58}, {Head: "How much", Width: 36}, {Head: "Notes"}}}
	bill := s.hardware()
	_, priced := s.priceOf(bill)
	if priced {
		t.Columns = append(t.Columns, column{Head: "Price", Width: 20, Align: AlignRight})
	}
	for i, h := range bill {
		row := []cell{{Text: fmt.Sprint(i + 1)}, {Text: h.what, Bold: true}, {Text: h.much}, {Text: h.note}}
		if p, ok := s.r.Request.Prices[h.item]; ok {
			row = append(row, cell{Text: fmt.Sprintf("%.2f", p)})
		}
		t.Rows = append(t.Rows, row)
	}
	f.Heading("Hardware and materials")
	f.Table(t)
	s.trimAndCosts(f, bill)
	f.Heading("Clamping and glue")
	f.Bullets(s.glueNotes())
}

// trimAndCosts sets what a port is trimmed by and what the box weighs and costs, side by side.
func (s *shop) trimAndCosts(f *flow, bill []billRow) {
	costs := s.costs(bill)
	if s.d.Port == nil || len(s.d.Port.Trim) == 0 {
		f.Section("Weight and cost", costs)
		return
	}
	const gap, headingRoom = 10.0, 16.0
	trim, wide := s.trimTable(), f.Area.Columns(2, gap)[0].W
	f.Need(max(trim.height(wide), costs.height(wide)) + headingRoom)
	f.columns(2, gap, func(k int) {
		if k == 0 {
			f.Section("Trimming the port", trim)
		} else {
			f.Section("Weight and cost", costs)
		}
	})
}

// priceOf adds up the prices of the items of the bill that the job prices; the first row of an item stands for all of it.
func (s *shop) priceOf(bill []billRow) (total float64, priced bool) {
	for _, h := range bill {
		if p, ok := s.r.Request.Prices[h.item]; ok {
			total, priced = total+p, true
		}
	}
	return total, priced
}

type hardwareRow struct{ what, much, note string }

// billRow is a line of the bill of materials with the item under which a job may price it; the item is empty for the boards, which
// have their prices with the stock, and for what belongs to the item of the line before.
type billRow struct {
	hardwareRow
	item design.Item
}

func (s *shop) hardware() []billRow {
	var out []billRow
	add := func(item design.Item, rows ...hardwareRow) {
		for i, h := range rows {
			if i > 0 {
				item = ""
			}
			out = append(out, billRow{h, item})
		}
	}
	add("", s.boardRows()...)
	length := s.seams()
	if k := s.screws(); k > 0 {
		add(design.Screws, hardwareRow{"Screws, two parallel threads, for board", fmt.Sprint(k),
			fmt.Sprintf("%s long for this board: they hold while the glue sets (common practice: 2.5 to 3 times the board)", s.screwLength(s.thickest()))})
	}
	add(design.Glue, hardwareRow{"Wood glue (PVA)", fmt.Sprintf("%s of joint", s.seamText(length)), s.glueNote()})
	add(design.Sealant, hardwareRow{"Sealant, paintable, for inside seams", fmt.Sprintf("%s of bead", s.seamText(length)), "one unbroken bead on every inside seam"})
	spec, n := s.box.Spec, len(s.box.Drivers.Centres)
	if n > 0 {
		add(design.Drivers, hardwareRow{"Driver", plural(n, "piece"), strings.TrimSpace(spec.Driver.Name + "; supplied by the fitter, fitted last")})
	}
	if spec.Driver.Bolts > 0 && n > 0 {
		add(design.Fasteners, s.driverFixingRow(n*spec.Driver.Bolts))
	}
	if spec.Driver.Frame > 0 && n > 0 {
		add(design.Gasket, hardwareRow{"Gasket tape, closed cell, " + s.gasketText(), s.seamText(float64(n) * math.Pi * spec.Driver.Frame), "under the driver's flange; seats to about half (common practice)"})
	}
	add("", s.looseRows()...)
	add(design.PortTube, append(s.portRows(), s.flangeRow()...)...)
	for _, h := range s.terminalRows() {
		if strings.HasPrefix(h.what, "Terminal") {
			add(design.Terminal, h)
		} else {
			add(design.Cable, h)
		}
	}
	add("", s.fixingRows()...)
	add(design.Covering, s.coveringRow())
	return out
}

// gasketText is the thickness of gasket tape as sold.
func (s *shop) gasketText() string {
	if s.m.sys == unit.Inch {
		return "1/8 to 1/4″"
	}
	return "3 to 6 mm"
}

// boardRows is the stock that is used, sheet by sheet kind.
func (s *shop) boardRows() []hardwareRow {
	if s.d.Sheets == nil {
		return nil
	}
	count := map[int]int{}
	var order []int
	for _, sh := range s.d.Sheets.Sheets {
		if count[sh.Stock] == 0 {
			order = append(order, sh.Stock)
		}
		count[sh.Stock]++
	}
	var out []hardwareRow
	for _, k := range order {
		if k < 0 || k >= len(s.d.SheetStock) {
			continue
		}
		st := s.d.SheetStock[k]
		what := st.Board + " " + s.m.full(um(st.Thickness))
		note := "whole sheet"
		if st.Offcut {
			note = "an offcut that is at hand"
		}
		if st.Name != "" && st.Name != st.Board {
			note += ", " + st.Name
		}
		out = append(out, hardwareRow{what, plural(count[k], "piece") + " " + s.m.bare(um(st.Length)) + " × " + s.m.bare(um(st.Width)), note})
	}
	return out
}

func (s *shop) thickest() float64 {
	t := 0.0
	for _, p := range s.withRole(panels.Wall, panels.End) {
		t = math.Max(t, p.Thickness)
	}
	return t
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

// seamText is a running length, rounded up to what one buys.
func (s *shop) seamText(m float64) string {
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

// outsideArea is the area of the outside of the box.
func (s *shop) outsideArea() float64 {
	a := 0.0
	for i := range s.box.Section {
		p, q := s.box.Section.Edge(i)
		a += q.Sub(p).Norm() * s.box.Width
	}
	return a + 2*math.Abs(s.box.Section.Area())
}

func (s *shop) portRows() []hardwareRow {
	port := s.d.Port
	if port == nil {
		return nil
	}
	if port.Bore <= 0 {
		channels := ""
		for _, p := range s.withRole(panels.SlotRoof, panels.SlotWall, panels.Fin, panels.Saddle) {
			if p.Name == "slot fin" {
				channels = fmt.Sprintf(" in %d channels between fins", p.Count+1)
			}
		}
		return []hardwareRow{{"Slot port", "made of board", fmt.Sprintf("clear %s high × %s wide%s, %s long on its centre line; both mouths rounded 6 mm (1/4 in) or more, inside painted black",
			s.m.full(port.Height), s.m.full(port.Width), channels, s.m.full(port.Length))}}
	}
	rows := []hardwareRow{{"Port tube", plural(port.Count, "piece"), fmt.Sprintf("inside Ø %s, outside Ø %s, %s long from the outer face, the thickness of the board included. Cut it %s over and trim it when the box has been measured",
		s.m.full(port.Bore), s.m.full(port.Outside), s.m.full(port.Length), s.m.full(port.Supply))}}
	if n := s.saddles(); n > 0 {
		rows = append(rows, hardwareRow{"Saddle for the port tube, with two screws", plural(n, "piece"),
			fmt.Sprintf("of board offcut or pipe clip, within %s of the tube's inner end, on a wall or a brace: the tube is long or has an elbow (common practice)", s.m.full(s.box.Ports[0].Saddle))})
	}
	return rows
}

// saddles counts the tubes that are held by one.
func (s *shop) saddles() int {
	n := 0
	for _, p := range s.box.Ports {
		if p.Saddle > 0 {
			n++
		}
	}
	return n
}

// sameLength is how near two lengths are the same, m: a hundredth of what a print shows.
const sameLength = 1e-6

// trimTable gives the tuning at the lengths between the port as supplied and a little shorter than wanted.
func (s *shop) trimTable() table {
	t := table{Size: 8.5, Columns: []column{{Head: "Port length", Width: 30}, {Head: "Against the length wanted"}, {Head: "Tuning of the finished box", Width: 46}}}
	for _, r := range s.d.Port.Trim {
		over := "as wanted"
		switch d := r.Length - s.d.Port.Length; {
		case d > sameLength:
			over = s.m.full(d) + " over"
		case d < -sameLength:
			over = s.m.full(-d) + " short"
		}
		t.Rows = append(t.Rows, []cell{{Text: s.m.full(r.Length)}, {Text: over}, {Text: fmt.Sprintf("%.2f Hz", r.Tuning)}})
	}
	return t
}

func (s *shop) terminalRows() []hardwareRow {
	var out []hardwareRow
	for _, p := range s.box.Panels {
		for _, h := range p.Holes {
			switch h.Kind {
			case "terminal":
				out = append(out, hardwareRow{"Terminal plate with gasket", "1 piece", fmt.Sprintf("in the %s; opening %s: try the plate before sawing; screws are listed with the panel", place(p.Name), s.sizeText(h))})
			case "cable":
				out = append(out, hardwareRow{"Cable, two-core, with sealant", s.seamText(0.6), "through the " + place(p.Name) + ", sealed all round the cable inside and out"})
			}
		}
	}
	return out
}

// fibreboard reports whether the box is of a board whose edges drink glue.
func (s *shop) fibreboard() bool {
	name := strings.ToLower(s.box.Spec.Wood.Board)
	return strings.Contains(name, "mdf") || strings.Contains(name, "fib") || strings.Contains(name, "hdf")
}

func (s *shop) glueNote() string {
	if s.fibreboard() {
		return "both faces of an edge joint sized first: a thin coat, five minutes, then the bead (common practice)"
	}
	return "on both faces of a joint, an even film up to the edges (common practice)"
}

func (s *shop) screwRules() []string {
	gap := "first screw 70 mm from the end of an edge, then every 125 to 150 mm; 12 mm clear of a bevel's feather and of any routed or trimmed edge; in the face at least 12 mm from the edge and 25 mm from a corner"
	pilot := "Pilot 85 to 90 % of the screw's core, at least 1 mm deeper than the screw, countersunk lightly: 4 mm screw 2.5 to 3 mm"
	if s.m.sys == unit.Inch {
		gap = "first screw 2-3/4 in from the end of an edge, then every 5 to 6 in; 1/2 in clear of a bevel's feather and of any routed or trimmed edge; in the face at least 1/2 in from the edge and 1 in from a corner"
		pilot = "Pilot 85 to 90 % of the screw's root, a little deeper than the screw, countersunk lightly: #6 3/32 in, #8 7/64 in, #10 1/8 in"
	}
	return []string{
		"Screws are clamps: the glue makes the joint. They may be taken out and filled when it has set.",
		"Rule of the layout: " + gap + " (distances from a European MDF trade body, kept for any board; spacing common practice). Mitred edges have none: tape and clamp them.",
		pilot + " (trade figures).",
		"No screw where an opening is cut later, nor in the lip of a rabbet.",
	}
}

// costs is what the box weighs, and what it costs as far as the job gives prices.
func (s *shop) costs(bill []billRow) table {
	t := table{Size: 9, Columns: []column{{Width: 70}, {}}}
	u := s.r.Request.Units
	t.Rows = append(t.Rows,
		keyed("Wood, openings taken off", unit.FormatMass(s.box.BoardMass, u)),
		keyed("Wood and drivers", unit.FormatMass(s.d.Mass, u)))
	total, priced := s.priceOf(bill)
	board := 0.0
	if s.d.Sheets != nil {
		board = s.d.Sheets.Cost
	}
	if board > 0 {
		t.Rows = append(t.Rows, keyed("Board at the prices of the job", fmt.Sprintf("%.2f", board)))
	} else {
		t.Rows = append(t.Rows, keyed("Board", "no price in the job"))
	}
	if priced {
		t.Rows = append(t.Rows, keyed("Listed items at the prices of the job", fmt.Sprintf("%.2f", total)),
			keyed("Together, as far as priced", fmt.Sprintf("%.2f", board+total)))
	}
	return t
}
