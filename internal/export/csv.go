package export

import (
	"encoding/csv"
	"io"
	"math"
	"math/cmplx"
	"slices"
	"strconv"
	"strings"

	"cubby/internal/design"
	"cubby/internal/nest"
)

// CurvesHeader is the first line of the curves; those of a box with passive radiators have radiator_mm after it, their
// excursion.
var CurvesHeader = []string{
	"frequency_hz", "level_db", "cabin_level_db", "phase_deg", "excursion_mm", "port_speed_m_s",
	"impedance_ohm", "impedance_phase_deg", "group_delay_ms", "max_level_db", "limited_by",
	"max_level_warm_db", "level_p10_db", "level_p90_db",
}

// Curves writes the curves of one box. Excursions and port speed are peak values at the result's drive; a field that
// does not apply is empty.
func Curves(w io.Writer, points []design.CurvePoint) error {
	head := slices.Clone(CurvesHeader)
	isPassive := len(points) > 0 && points[0].Radiator > 0
	if isPassive {
		head = append(head, "radiator_mm")
	}
	return writeTable(w, head, len(points), func(i int) []string {
		p := &points[i]
		row := []string{
			figure(p.Frequency), figure(p.Level), figure(p.CabinLevel), figure(p.Phase), figure(p.Excursion * 1000), some(p.PortSpeed),
			figure(cmplx.Abs(p.Impedance)), figure(cmplx.Phase(p.Impedance) * 180 / math.Pi), figure(p.GroupDelay * 1000),
			figure(p.MaxLevel), p.LimitedBy.String(), figure(p.MaxWarm), figure(p.LevelLow), figure(p.LevelHigh),
		}
		if isPassive {
			row = append(row, figure(p.Radiator*1000))
		}
		return row
	})
}

// writeTable writes a head and n rows.
func writeTable(w io.Writer, head []string, n int, row func(i int) []string) error {
	c := csv.NewWriter(w)
	if err := c.Write(head); err != nil {
		return err
	}
	for i := range n {
		if err := c.Write(row(i)); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// some is a figure; nothing for one that there is not.
func some(v float64) string {
	if v == 0 {
		return ""
	}
	return figure(v)
}

// PartsHeader is the first line of the parts list; the same list can be read back to be laid on sheets.
var PartsHeader = []string{"name", "count", "length_mm", "width_mm", "thickness_mm", "grain"}

// Parts writes the blanks of a design's panels.
func Parts(w io.Writer, d *design.Design) error {
	return writeTable(w, PartsHeader, len(d.Box.Panels), func(i int) []string {
		p := &d.Box.Panels[i]
		layers := max(1, p.Layers) // full-size layers are cut one by one
		return []string{
			textCell(p.Name), strconv.Itoa(max(1, p.Count) * layers), figure(float64(mm(p.Blank[0]))), figure(float64(mm(p.Blank[1]))),
			figure(float64(mm(p.Thickness / float64(layers)))), p.Grain,
		}
	})
}

// textCell is a text as a cell of a table. A spreadsheet runs what begins with = + - @, or a tab or line end before one
// of them, as a formula; an apostrophe before it makes it text. Our own readers take the apostrophe off again. Numbers
// never come this way, so a minus before one stays as it is.
func textCell(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r\n", rune(s[0])) {
		return "'" + s
	}
	return s
}

// figure writes the shortest form that reads back to the same value; nothing for what is not finite.
func figure(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// SheetParts writes the parts of a shared layout as a parts list, in millimetres.
func SheetParts(w io.Writer, parts []nest.Part) error {
	return writeTable(w, PartsHeader, len(parts), func(i int) []string {
		p := &parts[i]
		return []string{textCell(p.Name), strconv.Itoa(p.Count), figure(float64(um(p.Length))), figure(float64(um(p.Width))), figure(float64(um(p.Thickness))), p.Grain}
	})
}
