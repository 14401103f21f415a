package render

import (
	"fmt"
	"math"
	"testing"

	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
)

// mmSection turns corners in millimetres, (depth, height), into a section.
func mmSection(c ...float64) plane.Polygon {
	var g plane.Polygon
	for i := 0; i+1 < len(c); i += 2 {
		g = append(g, plane.Point{X: c[i] / 1000, Y: c[i+1] / 1000})
	}
	return g
}

// shopCase is a box for the shop's pages.
type shopCase struct {
	name  string
	spec  panels.Spec
	units unit.System
	extra int // further plain pieces, for long lists
}

// someDriver is an invented driver that fits an opening of d metres.
func someDriver(d float64) panels.Driver {
	return panels.Driver{Name: "Test driver", Frame: d * 1.12, Cutout: d, Depth: d * 0.45, Magnet: d * 0.5, Displacement: d * d * d / 8,
		Circle: d * 1.06, Bolts: 8, Hole: 0.0055, Mass: 3}
}

func mdf(t float64) panels.Wood { return panels.Wood{Board: "MDF", Thickness: t, FrontLayers: 1} }

// twelve is a section with twelve corners: a stair up and a stair down.
var twelve = mmSection(0, 0, 700, 0, 700, 150, 620, 220, 620, 340, 520, 400, 440, 520, 260, 520, 180, 400, 80, 340, 80, 200, 0, 140)

// shopCases are the worked boxes and a stress set: tiny, huge, many corners, many pieces.
func shopCases() []shopCase {
	e2 := mmSection(0, 0, 360, 0, 430, 240, 0, 240)
	e5 := panels.Wood{Board: "MDF", Thickness: 0.018, FrontLayers: 1, Panels: map[string]float64{"back": 0.015, "slope 2": 0.015}}
	rabbeted := mdf(0.018)
	rabbeted.Joints, rabbeted.Ends = panels.Rabbet, panels.EndsRabbeted
	doubled := mdf(0.018)
	doubled.FrontLayers, doubled.LayerInside = 2, true
	mitred := mdf(0.018)
	mitred.Joints = panels.Mitre
	return []shopCase{
		{name: "E1", spec: panels.Spec{Outside: prism(mmSection(0, 0, 330, 0, 330, 260, 0, 260), 0, 0.6), Wood: mdf(0.015), Face: "front", Driver: someDriver(0.18), Count: 1, Hardware: panels.Hardware{Terminal: true}}},
		{name: "E2", spec: panels.Spec{Outside: prism(e2, 0, 0.9), Wood: mdf(0.015), Face: "top", Driver: someDriver(0.233), Count: 1, Hardware: panels.Hardware{Terminal: true}}},
		{name: "E2 inch", units: unit.Inch, spec: panels.Spec{Outside: prism(e2, 0, 0.9), Wood: mdf(0.0185), Face: "back", Driver: someDriver(0.15), Count: 2, Hardware: panels.Hardware{Terminal: true}}},
		{name: "E4", spec: panels.Spec{Outside: prism(mmSection(0, 0, 420, 0, 420, 170, 290, 170, 290, 300, 0, 300), 0, 0.8), Wood: mdf(0.018), Face: "front", Driver: someDriver(0.2), Count: 1, Hardware: panels.Hardware{Terminal: true}, Port: &panels.Port{Count: 1, Bore: 0.075, Outside: 0.08, Length: 0.2, Elbows: 1}}},
		{name: "E5", spec: panels.Spec{Outside: prism(mmSection(0, 0, 400, 0, 400, 150, 280, 200, 240, 320, 0, 320), 0, 0.7), Wood: e5, Face: "front", Driver: someDriver(0.2), Count: 1, Hardware: panels.Hardware{Terminal: true}, Brace: panels.BraceRule{Lowest: 250}}},
		{name: "E5 inch", units: unit.Inch, spec: panels.Spec{Outside: prism(mmSection(0, 0, 400, 0, 400, 150, 280, 200, 240, 320, 0, 320), 0, 0.7), Wood: e5, Face: "left", Driver: someDriver(0.2), Count: 1, Hardware: panels.Hardware{Terminal: true}}},
		{name: "rabbeted", spec: panels.Spec{Outside: prism(mmSection(0, 0, 330, 0, 330, 300, 0, 300), 0, 0.5), Wood: rabbeted, Face: "right", Driver: someDriver(0.2), Count: 1}},
		{name: "mitred", spec: panels.Spec{Outside: prism(mmSection(0, 0, 330, 0, 330, 300, 0, 300), 0, 0.5), Wood: mitred, Face: "front", Driver: someDriver(0.2), Count: 1}},
		{name: "doubled", spec: panels.Spec{Outside: prism(mmSection(0, 0, 400, 0, 400, 360, 0, 360), 0, 0.8), Wood: doubled, Face: "front", Driver: someDriver(0.28), Count: 1, Brace: panels.BraceRule{Lowest: 400}}},
		{name: "tiny", spec: panels.Spec{Outside: prism(mmSection(0, 0, 150, 0, 120, 120, 0, 120), 0, 0.16), Wood: mdf(0.006), Face: "front", Driver: someDriver(0.07), Count: 1}},
		{name: "huge", spec: panels.Spec{Outside: prism(mmSection(0, 0, 1100, 0, 1300, 1150, 0, 1150), 0, 2.2), Wood: mdf(0.025), Face: "front", Driver: someDriver(0.42), Count: 2, Hardware: panels.Hardware{Terminal: true}, Brace: panels.BraceRule{Lowest: 200}}},
		{name: "twelve", spec: panels.Spec{Outside: prism(twelve, 0, 1.1), Wood: mdf(0.012), Face: "left", Driver: someDriver(0.18), Count: 1}},
		{name: "cleats", spec: panels.Spec{Outside: prism(mmSection(0, 0, 380, 0, 330, 364, 0, 364), 0, 0.4), Wood: mdf(0.018), Face: "right", Driver: someDriver(0.22), Count: 1, Mounting: panels.Mounting{Removable: true}}},
		{name: "slot bend", spec: panels.Spec{Outside: prism(mmSection(0, 0, 560, 0, 430, 380, 0, 380), 0, 0.28), Wood: mdf(0.015), Face: "front", Driver: someDriver(0.15), Count: 1, Port: &panels.Port{Height: 0.030, Length: 0.75, Face: "front"}}},
		{name: "slot fins inch", units: unit.Inch, spec: panels.Spec{Outside: prism(mmSection(0, 0, 420, 0, 420, 200, 0, 200), 0, 0.95), Wood: mdf(0.018), Face: "top", Driver: someDriver(0.2), Count: 1, Port: &panels.Port{Height: 0.030, Length: 0.3, Face: "front"}}},
		{name: "slot narrow", spec: panels.Spec{Outside: prism(mmSection(0, 0, 420, 0, 420, 300, 0, 300), 0, 0.6), Wood: mdf(0.018), Face: "top", Driver: someDriver(0.2), Count: 1, Port: &panels.Port{Height: 0.030, Width: 0.2, Length: 0.3, Face: "front"}}},
		{name: "slot end", spec: panels.Spec{Outside: prism(mmSection(0, 0, 420, 0, 380, 300, 0, 300), 0, 0.7), Wood: mdf(0.018), Face: "front", Driver: someDriver(0.15), Count: 1, Port: &panels.Port{Height: 0.040, Length: 0.22, Face: "right"}}},
		{name: "elbow", spec: panels.Spec{Outside: prism(mmSection(0, 0, 400, 0, 400, 340, 0, 340), 0, 0.9), Wood: mdf(0.018), Face: "front", Driver: someDriver(0.2), Count: 1, Port: &panels.Port{Count: 1, Bore: 0.068, Outside: 0.072, Length: 0.5, Face: "front", Elbows: 1}}},
		{name: "two elbows inch", units: unit.Inch, spec: panels.Spec{Outside: prism(mmSection(0, 0, 400, 0, 400, 400, 0, 400), 0, 0.8), Wood: mdf(0.018), Face: "top", Driver: someDriver(0.2), Count: 1, Port: &panels.Port{Count: 1, Bore: 0.06, Outside: 0.064, Length: 0.95, Face: "front", Elbows: 2}}},
		{name: "forty", extra: 34, spec: panels.Spec{Outside: prism(e2, 0, 0.9), Wood: mdf(0.015), Face: "top", Driver: someDriver(0.233), Count: 1, Hardware: panels.Hardware{Terminal: true}}},
	}
}

// shopResult builds a case into a result with sheets, as the design stage does.
func shopResult(t testing.TB, c shopCase) *design.Result {
	t.Helper()
	box, err := panels.Build(c.spec)
	if err != nil {
		t.Fatalf("%s: %v", c.name, err)
	}
	for i := range c.extra {
		p := panels.Panel{Label: panels.Label{Mark: fmt.Sprintf("Z%d", i+1), Name: fmt.Sprintf("cleat %d", i+1), Role: panels.Cleat, Count: 1}, Stock: panels.Stock{Board: "MDF", Thickness: c.spec.Wood.Thickness}, Size: panels.Size{Length: 0.2 + 0.01*float64(i), Width: 0.06, Blank: [2]float64{0.2 + 0.01*float64(i), 0.06}}, Shape: panels.Shape{Outline: rectOutline(0.2+0.01*float64(i), 0.06)}, Place: panels.Frame{X: r3.Vec{X: 1}, Y: r3.Vec{Z: 1}, N: r3.Vec{Y: -1}}}
		p.Place.O = r3.Vec{X: 0.02 + 0.06*float64(i%12), Y: 0.05, Z: 0.02 + 0.06*float64(i/12)}
		box.Panels = append(box.Panels, p)
	}
	saw := nest.Saw{Kerf: 3200, Trim: 5000, Step: 500}
	roundTo := 0.0005
	if c.units == unit.Inch {
		roundTo = inch / 32
	}
	var parts []nest.Part
	var stock []nest.Stock
	have := map[int64]bool{}
	for _, p := range box.Panels {
		up := func(v float64) int64 { return int64(math.Ceil(v*1e6 - 1e-3)) }
		q := nest.Part{Name: p.Name, Count: max(p.Count, 1), Board: p.Board, Thickness: up(p.Thickness), Length: up(p.Blank[0]), Width: up(p.Blank[1]), Grain: p.Grain}
		if p.Role == panels.End && len(p.Rabbets) == 0 {
			for _, v := range p.Outline {
				q.Outline = append(q.Outline, [2]int64{int64(math.Round(v.X * 1e6)), int64(math.Round(v.Y * 1e6))})
			}
			q.PairWith = map[string]string{"left end": "right end", "right end": "left end"}[p.Name]
		}
		parts = append(parts, q)
		if !have[q.Thickness] {
			have[q.Thickness] = true
			stock = append(stock, nest.Stock{Name: "common sheet", Board: p.Board, Thickness: q.Thickness, Length: 2440000, Width: 1220000, Trim: -1})
		}
	}
	l, err := nest.Lay(parts, stock, saw, nest.Options{})
	if err != nil {
		t.Fatalf("%s: %v", c.name, err)
	}
	d := design.Design{Offer: design.Offer{Rank: 1}, Sound: design.Sound{Kind: design.Sealed},
		Carcass: design.Carcass{Box: box, Sheets: l, SheetStock: stock, Mass: box.BoardMass + 3}}
	if p := c.spec.Port; p != nil {
		d.Kind = design.Vented
		d.Port = &design.PortDesign{PortSize: design.PortSize{Count: p.Count, Bore: p.Bore, Outside: p.Outside, Height: p.Height, Width: p.Width}, Length: p.Length}
	}
	return &design.Result{
		Basis: design.Basis{Request: design.Request{Title: "Test box " + c.name, Revision: "1", Date: "2026-03-14", Contact: "A. Fitter, 555 0100", Units: c.units,
			Saw: design.Saw{Kerf: 0.0032, Trim: 0.005, RoundTo: roundTo}, Wood: c.spec.Wood}},
		Designs: []design.Design{d},
	}
}

// shopBook lays out part B alone.
func shopBook(t testing.TB, r *design.Result, paper string) *book {
	t.Helper()
	b, err := layOut(r, Options{Paper: paper, ShopOnly: true, Source: "job.yaml", Hash: "0123456789abcdef0123456789abcdef"})
	if err != nil {
		t.Fatalf("%s: %v", r.Request.Title, err)
	}
	return b
}
