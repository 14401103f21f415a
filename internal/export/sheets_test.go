package export

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"cubby/internal/nest"
)

func TestSheetsJSON(t *testing.T) {
	parts := []nest.Part{{Name: "a", Count: 2, Board: "MDF", Thickness: 18000, Length: 500_000, Width: 300_500}, {Name: "far too long", Count: 1, Board: "MDF", Thickness: 18000, Length: 5000_000, Width: 10_000}}
	stock := []nest.Stock{{Name: "sheet", Board: "MDF", Thickness: 18000, Length: 1220_000, Width: 610_000}}
	saw := nest.Saw{Kerf: 3200}
	l, err := nest.Lay(parts, stock, saw, nest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var w bytes.Buffer
	if err := SheetsJSON(&w, Sheets{Jobs: []string{"p.csv"}, Parts: parts, Stock: stock, Saw: saw, Layout: l}, Head{Version: "1", Command: "sheets"}); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Sheets []struct {
			Width      float64 `json:"width_mm"`
			Placements []struct {
				Panel string  `json:"panel"`
				Width float64 `json:"width_mm"`
			} `json:"placements"`
			Cuts []struct {
				Kerf float64 `json:"kerf_mm"`
			} `json:"cuts"`
		} `json:"sheets"`
		LowerBound int `json:"sheets_lower_bound"`
		Unplaced   []struct{ Part, Why string }
		Kerf       float64 `json:"kerf_mm"`
	}
	if err := json.Unmarshal(w.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Sheets) != 1 || got.Sheets[0].Width != 1220 || len(got.Sheets[0].Placements) != 2 || got.Sheets[0].Cuts[0].Kerf != 3.2 ||
		got.LowerBound != 1 || len(got.Unplaced) != 1 || got.Unplaced[0].Part != "far too long" || got.Unplaced[0].Why == "" || got.Kerf != 3.2 {
		t.Errorf("%s", w.String())
	}
	w.Reset()
	if err := SheetParts(&w, parts[:1]); err != nil {
		t.Fatal(err)
	}
	if want := strings.Join(PartsHeader, ",") + "\na,2,500,300.5,18,\n"; w.String() != want {
		t.Errorf("%q, want %q", w.String(), want)
	}
}
