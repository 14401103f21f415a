package export

import "cubby/internal/nest"

// Router is a layout for a router beside the saw's, for the document of a command.
type Router struct {
	Nested *nest.Nested
	Stock  []nest.Stock
	Saw    *nest.Layout // what it is compared with
}

type nestedOut struct {
	Clearance number        `json:"clearance_mm"`
	Sheets    []nestedSheet `json:"sheets"`
	Unplaced  []unplaced    `json:"unplaced"`
	Used      number        `json:"used_m2"` // full width of every sheet as far as parts reach along it
	SawSheets int           `json:"saw_sheets"`
	SawUsed   number        `json:"saw_used_m2"`
}

type nestedSheet struct {
	Name       string        `json:"name"`
	Stock      string        `json:"stock"`
	Width      number        `json:"width_mm"`
	Height     number        `json:"height_mm"`
	Used       number        `json:"used_mm"`
	Placements []nestedPlace `json:"placements"`
}

// nestedPlace is mirrored about its y axis first if flipped, then turned counter-clockwise.
type nestedPlace struct {
	Panel    string      `json:"panel"`
	X        number      `json:"x_mm"`
	Y        number      `json:"y_mm"`
	Rotation int         `json:"rotation_deg"`
	Flipped  bool        `json:"flipped"`
	Outline  [][2]number `json:"outline_mm"`
}

// squareMetre is a square micrometre in square metres.
const squareMetre = 1e-12

// newNested is the document's part for a router, or nil.
func newNested(r *Router) *nestedOut {
	if r == nil || r.Nested == nil {
		return nil
	}
	out := &nestedOut{Clearance: um(r.Nested.Clearance), Sheets: []nestedSheet{}, Unplaced: []unplaced{}, Used: number(r.Nested.UsedArea() * squareMetre)}
	if r.Saw != nil {
		out.SawSheets, out.SawUsed = len(r.Saw.Sheets), number(r.Saw.UsedArea()*squareMetre)
	}
	for _, s := range r.Nested.Sheets {
		sh := nestedSheet{Name: s.Name, Width: um(s.Width), Height: um(s.Height), Used: um(s.Used), Placements: []nestedPlace{}}
		if s.Stock >= 0 && s.Stock < len(r.Stock) {
			sh.Stock = r.Stock[s.Stock].Name
		}
		for _, p := range s.Places {
			q := nestedPlace{Panel: p.Panel, X: um(p.X), Y: um(p.Y), Rotation: 90 * p.Turns, Flipped: p.Flipped}
			for _, v := range p.Outline {
				q.Outline = append(q.Outline, [2]number{um(v[0]), um(v[1])})
			}
			sh.Placements = append(sh.Placements, q)
		}
		out.Sheets = append(out.Sheets, sh)
	}
	for _, u := range r.Nested.Unplaced {
		out.Unplaced = append(out.Unplaced, unplaced{u.Part, u.Why})
	}
	return out
}
