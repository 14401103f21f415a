package export

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
)

// TestRouterJSON holds the board that both layouts use, and the two parts that lie head to tail, against the layouts themselves.
func TestRouterJSON(t *testing.T) {
	const mm = 1000
	wedge := [][2]nest.Um{{0, 0}, {400 * mm, 0}, {250 * mm, 300 * mm}, {0, 300 * mm}}
	parts := []nest.Part{{Name: "left", Count: 1, Board: "MDF", Thickness: 18 * mm, Length: 400 * mm, Width: 300 * mm, Outline: wedge, PairWith: "right"},
		{Name: "right", Count: 1, Board: "MDF", Thickness: 18 * mm, Length: 400 * mm, Width: 300 * mm, Outline: wedge, PairWith: "left"},
		{Name: "top", Count: 1, Board: "MDF", Thickness: 18 * mm, Length: 700 * mm, Width: 250 * mm}}
	stock := []nest.Stock{{Name: "sheet", Board: "MDF", Thickness: 18 * mm, Length: 1220 * mm, Width: 610 * mm}}
	saw := nest.Saw{Kerf: 3200}
	l, err := nest.Lay(parts, stock, saw, nest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	n, err := nest.LayNested(parts, stock, saw, 8*mm, nest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var w bytes.Buffer
	head := Head{Version: "1", Command: "sheets", Router: &Router{Nested: n, Stock: stock, Saw: l}}
	if err := SheetsJSON(&w, Sheets{Jobs: []string{"p.csv"}, Parts: parts, Stock: stock, Saw: saw, Layout: l}, head); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Sheets []struct {
			Placements []struct {
				Parts []struct{ Panel string }
			}
		}
		Router struct {
			Clearance float64 `json:"clearance_mm"`
			Used      float64 `json:"used_m2"`
			Sheets    []struct {
				Stock  string
				Reach  float64                  `json:"used_mm"`
				Height float64                  `json:"height_mm"`
				Places []struct{ Panel string } `json:"placements"`
			}
			SawSheets int     `json:"saw_sheets"`
			SawUsed   float64 `json:"saw_used_m2"`
		} `json:"nested"`
	}
	if err := json.Unmarshal(w.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	r := got.Router
	if len(r.Sheets) != 1 || r.Sheets[0].Stock != "sheet" || len(r.Sheets[0].Places) != 3 || r.Clearance != 8 || r.SawSheets != 1 {
		t.Fatalf("%+v", r)
	}
	if used := r.Sheets[0].Reach * r.Sheets[0].Height / 1e6; math.Abs(r.Used-used) > 1e-6 || r.Used < 0.3 || r.SawUsed < r.Used-1e-9 || r.SawUsed > 1.22*0.61 {
		t.Errorf("used %.4f m2, of the sheet %.4f, by the saw %.4f", r.Used, used, r.SawUsed)
	}
	pairs := 0
	for _, p := range got.Sheets[0].Placements {
		if len(p.Parts) == 2 && p.Parts[0].Panel == "left" && p.Parts[1].Panel == "right" {
			pairs++
		}
	}
	if pairs != 1 {
		t.Errorf("the two wedges do not lie head to tail: %s", w.String())
	}
}

// TestPartsOfLayers holds that a panel of two layers is two blanks of half its thickness, and another one blank.
func TestPartsOfLayers(t *testing.T) {
	panel := func(name string, count, layers int, thickness float64) panels.Panel {
		return panels.Panel{Label: panels.Label{Name: name, Count: count}, Stock: panels.Stock{Layers: layers, Thickness: thickness},
			Size: panels.Size{Blank: [2]float64{0.5, 0.3}}}
	}
	var w bytes.Buffer
	box := &panels.Box{Panels: []panels.Panel{panel("front", 1, 2, 0.036), panel("side", 2, 1, 0.018), panel("back", 1, 0, 0.018)}}
	if err := Parts(&w, &design.Design{Carcass: design.Carcass{Box: box}}); err != nil {
		t.Fatal(err)
	}
	want := strings.Join(PartsHeader, ",") + "\nfront,2,500,300,18,\nside,2,500,300,18,\nback,1,500,300,18,\n"
	if w.String() != want {
		t.Errorf("%q, want %q", w.String(), want)
	}
}
