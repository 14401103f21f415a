package answer

import (
	"bytes"
	"encoding/csv"
	"strconv"

	"cubby/internal/design"
	"cubby/internal/export"
)

// A CurvesPart is the curves of all designs.
type CurvesPart struct {
	Part   string   `json:"part"` // "curves"
	Curves []Curves `json:"curves"`
}

// Curves are those of one design: the columns of --curves, by name. A value that does not apply is null.
type Curves struct {
	Rank    int                   `json:"rank"`
	Columns map[string][]*float64 `json:"columns"`
	Limited []string              `json:"limited_by"` // what sets the maximum level, point by point
}

// newCurves are those of all designs.
func newCurves(r *design.Result) CurvesPart {
	p := CurvesPart{Part: "curves", Curves: []Curves{}}
	for i := range r.Designs {
		d := &r.Designs[i]
		p.Curves = append(p.Curves, NewCurves(d.Rank, d.Curves))
	}
	return p
}

// NewCurves takes the columns from the writer of the file of curves: what it writes, it can read.
func NewCurves(rank int, points []design.CurvePoint) Curves {
	c := Curves{Rank: rank, Columns: map[string][]*float64{}, Limited: []string{}}
	var b bytes.Buffer
	_ = export.Curves(&b, points)
	rows, _ := csv.NewReader(&b).ReadAll()
	for j, name := range rows[0] {
		for _, row := range rows[1:] {
			if name == "limited_by" {
				c.Limited = append(c.Limited, row[j])
				continue
			}
			var at *float64
			if v, err := strconv.ParseFloat(row[j], 64); err == nil {
				at = &v
			}
			c.Columns[name] = append(c.Columns[name], at)
		}
	}
	return c
}
