package export

import (
	"encoding/csv"
	"io"
	"strconv"

	"cubby/internal/nest"
)

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

type sheetsDocument struct {
	Version     string     `json:"version"`
	Command     string     `json:"command"`
	Jobs        []string   `json:"jobs"`
	Title       string     `json:"title"`
	Kerf        number     `json:"kerf_mm"`
	Trim        number     `json:"trim_mm"`
	Parts       []part     `json:"parts"`
	Stock       []stock    `json:"stock"`
	Sheets      []sheet    `json:"sheets"`
	LowerBound  int        `json:"sheets_lower_bound"`
	Proved      bool       `json:"sheets_proved"`
	Cost        number     `json:"cost"`
	LeastCost   number     `json:"cost_lower_bound"`
	Settings    int        `json:"fence_settings"`
	Batches     []batch    `json:"batches"`
	Unplaced    []unplaced `json:"unplaced"`
	Nested      *nestedOut `json:"nested,omitempty"`
	Assumptions []string   `json:"assumptions"`
}

type part struct {
	Name      string `json:"name"`
	Count     int    `json:"count"`
	Board     string `json:"board"`
	Thickness number `json:"thickness_mm"`
	Length    number `json:"length_mm"`
	Width     number `json:"width_mm"`
	Grain     string `json:"grain"`
}

type stock struct {
	Name      string `json:"name"`
	Board     string `json:"board"`
	Thickness number `json:"thickness_mm"`
	Length    number `json:"length_mm"`
	Width     number `json:"width_mm"`
	Count     int    `json:"count"` // 0: as many as needed
	Price     number `json:"price"`
	Offcut    bool   `json:"offcut"`
}

type batch struct {
	Tool    string   `json:"tool"`
	Setting number   `json:"setting_mm"`
	Cuts    []cutRef `json:"cuts"`
}

type cutRef struct {
	Sheet string `json:"sheet"`
	No    int    `json:"no"`
}

type unplaced struct {
	Part string `json:"part"`
	Why  string `json:"why"`
}

// SheetsJSON writes a shared layout as one object followed by a newline. Head's Job is not used: there are several.
func SheetsJSON(w io.Writer, s Sheets, h Head) error {
	l := s.Layout
	d := sheetsDocument{
		Version: h.Version, Command: h.Command, Jobs: texts(s.Jobs), Title: s.Title, Kerf: um(s.Saw.Kerf), Trim: um(s.Saw.Trim),
		Parts: []part{}, Stock: []stock{}, Sheets: []sheet{}, LowerBound: l.LowerBound, Proved: l.Proved, Cost: number(l.Cost),
		LeastCost: number(l.LowerCost), Settings: l.Settings, Batches: []batch{}, Unplaced: []unplaced{}, Nested: newNested(h.Router), Assumptions: texts(s.Assumptions),
	}
	for _, p := range s.Parts {
		d.Parts = append(d.Parts, part{p.Name, p.Count, p.Board, um(p.Thickness), um(p.Length), um(p.Width), p.Grain})
	}
	for _, k := range s.Stock {
		d.Stock = append(d.Stock, stock{k.Name, k.Board, um(k.Thickness), um(k.Length), um(k.Width), k.Count, number(k.Price), k.Offcut})
	}
	for _, sh := range l.Sheets {
		d.Sheets = append(d.Sheets, newSheet(sh, s.Stock))
	}
	for _, b := range l.Batches {
		out := batch{Tool: b.Tool, Setting: um(b.Setting)}
		for _, c := range b.Cuts {
			out.Cuts = append(out.Cuts, cutRef{l.Sheets[c.Sheet].Name, c.No})
		}
		d.Batches = append(d.Batches, out)
	}
	for _, u := range l.Unplaced {
		d.Unplaced = append(d.Unplaced, unplaced{u.Part, u.Why})
	}
	return encode(w, d)
}

// SheetParts writes the parts of a shared layout as a parts list, in millimetres.
func SheetParts(w io.Writer, parts []nest.Part) error {
	c := csv.NewWriter(w)
	if err := c.Write(PartsHeader); err != nil {
		return err
	}
	for _, p := range parts {
		err := c.Write([]string{textCell(p.Name), strconv.Itoa(p.Count), figure(float64(um(p.Length))), figure(float64(um(p.Width))), figure(float64(um(p.Thickness))), p.Grain})
		if err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}
