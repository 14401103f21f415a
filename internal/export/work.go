package export

import (
	"cubby/internal/design"
	"cubby/internal/work"
)

// workOut is the plan of work of the design that is built.
type workOut struct {
	Bill   []billItem `json:"bill"`
	Setups int        `json:"setups"`
	Cuts   []workCut  `json:"cuts"`
	Steps  []workStep `json:"steps"`
	Fill   number     `json:"fill_m3"`
	Screws []screwRow `json:"screws"`
	Checks []measure  `json:"checks"`
}

type billItem struct {
	Item   string `json:"item"`
	Panel  string `json:"panel,omitempty"`
	Count  int    `json:"count,omitempty"`
	Length number `json:"length_mm,omitempty"`
	Area   number `json:"area_m2,omitempty"`
	Size   number `json:"size_mm,omitempty"`
	Long   number `json:"long_mm,omitempty"`
}

type workCut struct {
	No        int       `json:"no"`
	Setup     int       `json:"setup"`
	Tool      string    `json:"tool"`
	Sheet     string    `json:"sheet,omitempty"`
	SheetNo   int       `json:"sheet_no,omitempty"`
	Fence     number    `json:"fence_mm"`
	Far       number    `json:"far_mm,omitempty"`
	Rough     bool      `json:"rough,omitempty"`
	Tilt      number    `json:"tilt_deg"`
	Up        string    `json:"up,omitempty"`
	Take      string    `json:"take"`
	Reference string    `json:"reference"`
	Edge      string    `json:"edge,omitempty"`
	Makes     [2]string `json:"makes"`
	Keep      string    `json:"keep"`
	Run       number    `json:"run_mm,omitempty"`
	Width     number    `json:"width_mm,omitempty"`
	Depth     number    `json:"depth_mm,omitempty"`
	Holes     []int     `json:"holes,omitempty"` // indices into the panel's holes
	Mind      []string  `json:"mind,omitempty"`
}

type workStep struct {
	Step   string    `json:"step"`
	Panels []string  `json:"panels,omitempty"`
	On     []contact `json:"on,omitempty"`
	Cuts   []int     `json:"cuts,omitempty"`
}

type contact struct {
	Panel string `json:"panel"`
	On    string `json:"on"`
	Joint string `json:"joint"`
}

type screwRow struct {
	Through string    `json:"through"`
	Into    string    `json:"into"`
	At      []number  `json:"at_mm"`
	From    [2]number `json:"from_mm"`
	To      [2]number `json:"to_mm"`
	Why     string    `json:"why,omitempty"`
}

type measure struct {
	What  string `json:"what"`
	Panel string `json:"panel,omitempty"`
	Value number `json:"value"` // SI
	Slack number `json:"slack"` // SI; 0: not more than the value
}

// newWork writes the plan of work of a design, nil where it has none.
func newWork(d *design.Design) *workOut {
	p := d.Work
	if p == nil {
		return nil
	}
	name := func(i int) string {
		if i < 0 || i >= len(d.Box.Panels) {
			return ""
		}
		return d.Box.Panels[i].Name
	}
	names := func(all []int) (out []string) {
		for _, i := range all {
			out = append(out, name(i))
		}
		return out
	}
	out := &workOut{Bill: []billItem{}, Setups: p.Setups, Cuts: []workCut{}, Steps: []workStep{}, Fill: number(p.Fill.Volume), Screws: []screwRow{}, Checks: []measure{}}
	for _, i := range p.Bill {
		out.Bill = append(out.Bill, billItem{string(i.Kind), name(i.Panel), i.Count, mm(i.Length), number(i.Area), mm(i.Size), mm(i.Long)})
	}
	for _, c := range p.Cuts {
		out.Cuts = append(out.Cuts, newWorkCut(d, c, name))
	}
	for _, s := range p.Steps {
		step := workStep{Step: s.Kind.String(), Panels: names(s.Panels), Cuts: s.Cuts}
		for _, c := range s.On {
			step.On = append(step.On, contact{name(c.Panel), name(c.On), c.Joint.String()})
		}
		out.Steps = append(out.Steps, step)
	}
	for _, r := range p.Screws {
		row := screwRow{Through: r.Through, Into: r.Into, At: []number{}, From: [2]number{mm(r.From.X), mm(r.From.Y)}, To: [2]number{mm(r.To.X), mm(r.To.Y)}, Why: string(r.Why)}
		for _, a := range r.At {
			row.At = append(row.At, mm(a))
		}
		out.Screws = append(out.Screws, row)
	}
	for _, m := range p.Checks {
		out.Checks = append(out.Checks, measure{string(m.Kind), name(m.Panel), number(m.Value), number(m.Slack)})
	}
	return out
}

func newWorkCut(d *design.Design, c work.Cut, name func(int) string) workCut {
	piece := func(p work.Piece) string {
		switch p.Kind {
		case work.Board:
			return name(p.Panel)
		case work.Waste:
			return "waste"
		}
		return p.Name
	}
	edge := func(e work.Edge) string {
		if e.Side != "" || e.Index < 0 || c.Take.Kind != work.Board || c.Take.Panel < 0 {
			return e.Side
		}
		return d.Box.Panels[c.Take.Panel].Edges[e.Index].Edge
	}
	out := workCut{No: c.No, Setup: c.Setup, Tool: string(c.Tool), SheetNo: c.SheetNo, Fence: mm(c.Fence), Far: mm(c.Far), Rough: c.Rough, Tilt: deg(c.Tilt), Up: c.Up.String(),
		Take: piece(c.Take), Reference: edge(c.Reference), Edge: edge(c.At), Makes: [2]string{piece(c.Makes[0]), piece(c.Makes[1])}, Run: mm(c.Run), Width: mm(c.Width), Depth: mm(c.Depth), Holes: c.Holes}
	if c.Keep >= 0 {
		out.Keep = out.Makes[c.Keep]
	}
	if c.Sheet >= 0 {
		out.Sheet = d.Sheets.Sheets[c.Sheet].Name
	}
	for _, m := range c.Marks {
		out.Mind = append(out.Mind, string(m))
	}
	return out
}
