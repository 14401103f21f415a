package export

import (
	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/solid"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
)

type designOut struct {
	Rank        int         `json:"rank"`
	Kind        design.Kind `json:"kind"`
	Because     string      `json:"because"`
	Shape       string      `json:"shape"`
	NetVolume   number      `json:"net_volume_m3"`
	GrossVolume number      `json:"gross_volume_m3"`
	Fc          *number     `json:"fc_hz,omitempty"`
	Tuning      *number     `json:"tuning_hz,omitempty"`
	Qtc         *number     `json:"qtc,omitempty"`
	QL          number      `json:"ql"`
	Alpha       number      `json:"alpha"`
	F3          number      `json:"f3_hz"`
	F6          number      `json:"f6_hz"`
	F10         number      `json:"f10_hz"`
	F3Reason    string      `json:"f3_reason,omitempty"`
	Peak        number      `json:"peak_db"`
	Dip         number      `json:"dip_db"`
	Reference   number      `json:"reference_db"`
	Port        *port       `json:"port,omitempty"`
	Radiator    *radiator   `json:"radiator,omitempty"`
	Outside     outside     `json:"outside"`
	Covering    *covering   `json:"covering,omitempty"`
	Removable   *removable  `json:"removable_face,omitempty"`
	Fixing      fixing      `json:"driver_fixing"`
	Inside      inside      `json:"inside"`
	Deductions  []deduction `json:"deductions"`
	BoardMass   number      `json:"board_mass_kg"`
	Mass        number      `json:"mass_kg"`
	Score       number      `json:"score"`
	ScoreText   string      `json:"score_text"`
	Tradeoff    string      `json:"tradeoff,omitempty"`
	Settings    []setting   `json:"settings"`
	Allowed     *number     `json:"allowed_w,omitempty"`   // N: that it may play at
	Available   *number     `json:"available_w,omitempty"` // P0: that amplifier and driver both allow
	Minutes     number      `json:"minutes"`
	Standing    standing    `json:"standing"`
	RunnerUp    string      `json:"runner_up,omitempty"`
	StickTests  []stickTest `json:"stick_tests"`
	Panels      []panel     `json:"panels"`
	Sheets      []sheet     `json:"sheets"`
	LowerBound  int         `json:"sheets_lower_bound"`
	Proved      bool        `json:"sheets_proved"`
	Checks      []check     `json:"checks"`
	Carry       carry       `json:"carry_in"`
	Verdict     string      `json:"verdict"`
	VerdictText string      `json:"verdict_text"`
	Warnings    []string    `json:"warnings"`
}

type port struct {
	Count         int    `json:"count"`
	Area          number `json:"area_m2"`
	Length        number `json:"length_m"`
	EndInner      number `json:"end_inner_m"`
	EndOuter      number `json:"end_outer_m"`
	Diameter      number `json:"diameter_m"`
	Outside       number `json:"outside_diameter_m"`
	Height        number `json:"height_m"`
	Width         number `json:"width_m"`
	Speed         number `json:"speed_at_limit_m_s"`
	SpeedAt       number `json:"speed_at_limit_hz"`
	RuleOfThumb   number `json:"rule_of_thumb_area_m2"`
	LengthPerHz   number `json:"length_per_hz_m"`
	DuctResonance number `json:"first_resonance_hz"`
}

// answers are the words for a carry-in answer.
var answers = map[cavity.CarryAnswer]string{
	cavity.NotChecked: "not checked", cavity.Passes: "passes", cavity.PerhapsTilting: "perhaps by tilting", cavity.Cannot: "cannot",
}

// outside is the bare wood; finished is its width, depth and height with covering and gasket.
type outside struct {
	Axis     string        `json:"axis"`
	From     number        `json:"from_mm"` // along the axis
	To       number        `json:"to_mm"`
	Faces    [][][3]number `json:"faces_mm"` // each counter-clockwise from outside
	Width    *number       `json:"width_mm,omitempty"`
	Left     *number       `json:"left_mm,omitempty"`
	Section  [][2]number   `json:"section_mm"`
	Finished [3]number     `json:"finished_mm"`
}

type inside struct {
	Faces   [][][3]number `json:"faces_mm"`
	Width   *number       `json:"width_mm,omitempty"`
	Section [][2]number   `json:"section_mm,omitempty"`
}

// newOutside is the solid of the bare wood; of a prism across also its width, its place and its section.
func newOutside(b *panels.Box) outside {
	out := outside{Axis: b.Spec.Axis.String(), From: mm(b.Left), To: mm(b.Left + b.Width), Faces: facesMM(b.Spec.Outside), Section: outlineMM(b.Section), Finished: finished(b)}
	if b.Spec.Axis == solid.Across {
		out.Width, out.Left = length(b.Width), length(b.Left)
	}
	return out
}

func newInside(b *panels.Box) inside {
	in := inside{Faces: facesMM(b.Air)}
	if b.Spec.Axis == solid.Across {
		in.Width, in.Section = length(b.InsideWidth), outlineMM(b.Inside)
	}
	return in
}

func length(m float64) *number {
	n := mm(m)
	return &n
}

// facesMM gives the outer outline of every face, and the holes in it after it.
func facesMM(s *solid.Solid) [][][3]number {
	var out [][][3]number
	for i := range s.Faces {
		for _, loop := range s.Faces[i].Loops {
			out = append(out, pointsMM(loop.At))
		}
	}
	return out
}

func pointsMM(at []r3.Vec) [][3]number {
	out := make([][3]number, len(at))
	for i, p := range at {
		out[i] = [3]number{mm(p.X), mm(p.Y), mm(p.Z)}
	}
	return out
}

type deduction struct {
	Name   string `json:"name"`
	Volume number `json:"volume_m3"`
}

type carry struct {
	Answer   string `json:"answer"`
	Attitude string `json:"attitude,omitempty"`
	Scale    number `json:"scale"`
	Text     string `json:"text"`
}

func newDesign(d design.Design, q *design.Request) designOut {
	units := q.Units
	f, b := d.Figures, d.Box
	out := designOut{
		Rank: d.Rank, Kind: d.Kind, Shape: d.ShapeName(),
		NetVolume: number(b.NetVolume), GrossVolume: number(b.OuterVolume),
		QL: number(f.QL), Alpha: number(f.Alpha), F3: number(f.F3), F6: number(f.F6), F10: number(f.F10), F3Reason: f.Reason,
		Peak: number(f.Peak), Dip: number(f.Dip), Reference: number(f.Reference),
		Outside:   newOutside(b),
		Inside:    newInside(b),
		Covering:  newCovering(b),
		Removable: newRemovable(b.Removable),
		Fixing:    newFixing(b.Drivers.Fixing, units),
		BoardMass: number(b.BoardMass), Mass: number(d.Mass), Score: number(d.Score), ScoreText: d.ScoreText, Tradeoff: d.Tradeoff,
		Deductions: []deduction{}, Panels: []panel{}, Sheets: []sheet{}, Checks: newChecks(d.Checks),
		Carry:   carry{answers[d.Carry.Answer], design.CarryAttitude(d.Carry), number(d.Carry.Slide), d.CarryText},
		Verdict: string(d.Verdict), VerdictText: d.VerdictText, Warnings: texts(d.Warnings),
		Because: d.Because, Minutes: number(d.Placed.Minutes), RunnerUp: d.RunnerUp,
		Settings: newSettings(&d, q), Standing: newStanding(&d, q), StickTests: newStickTests(&d),
	}
	if s := d.Evaluation.Settings; s.Full > 0 {
		out.Allowed, out.Available = value(s.Allowed), value(s.Full)
	}
	if d.Kind == design.Sealed {
		out.Fc, out.Qtc = value(f.Fc), value(f.Qtc)
	} else {
		out.Tuning = value(f.Fb)
	}
	out.Port, out.Radiator = newPort(d.Port, f), newRadiator(d.Radiator)
	for _, x := range b.Deductions {
		out.Deductions = append(out.Deductions, deduction{x.Name, number(x.Volume)})
	}
	for _, p := range b.Panels {
		out.Panels = append(out.Panels, newPanel(p, units))
	}
	if d.Sheets != nil {
		out.LowerBound, out.Proved = d.Sheets.LowerBound, d.Sheets.Proved
		for _, s := range d.Sheets.Sheets {
			out.Sheets = append(out.Sheets, newSheet(s, d.SheetStock))
		}
	}
	return out
}

func newPort(p *design.PortDesign, f thielesmall.Figures) *port {
	if p == nil {
		return nil
	}
	return &port{
		p.Count, number(p.Area), number(p.Length), number(p.EndInner), number(p.EndOuter), number(p.Bore), number(p.Outside),
		number(p.Height), number(p.Width), number(p.SpeedAtLimit), number(p.SpeedAt), number(p.RuleOfThumbArea),
		number(p.MillimetrePerHertz), number(f.DuctResonance),
	}
}

type radiator struct {
	Name      string `json:"name"`
	Count     int    `json:"count"`
	Sd        number `json:"sd_m2"`
	Mms       number `json:"mms_kg"` // with what is added
	Cms       number `json:"cms_m_n"`
	Rms       number `json:"rms_kg_s"`
	Fs        number `json:"fs_hz"`
	Xmax      number `json:"xmax_m"`
	Added     number `json:"mass_added_kg"`
	MostAdded number `json:"most_added_kg"`
	Travel    number `json:"travel_at_limit_m"`
	Sag       number `json:"sag_m"`
	Ratio     number `json:"displacement_ratio"`
}

func newRadiator(r *design.RadiatorDesign) *radiator {
	if r == nil {
		return nil
	}
	return &radiator{r.Name, r.Count, number(r.Sd), number(r.Mms), number(r.Cms), number(r.Rms), number(r.Fp()), number(r.Xmax),
		number(r.Added), number(r.MostAdded), number(r.Travel), number(r.Sag), number(r.Ratio)}
}

type panel struct {
	ID         string      `json:"id"`
	Name       string      `json:"name"`
	Role       string      `json:"role"`
	Count      int         `json:"count"`
	Board      string      `json:"board"`
	Thickness  number      `json:"thickness_mm"`
	Nominal    number      `json:"nominal_mm"`
	Length     number      `json:"length_mm"`
	Width      number      `json:"width_mm"`
	OuterWidth number      `json:"outer_width_mm"`
	InnerWidth number      `json:"inner_width_mm"`
	Blank      [2]number   `json:"blank_mm"`
	Flush      *number     `json:"flush_mm,omitempty"`
	Grain      string      `json:"grain"`
	Section    [][2]number `json:"section_mm,omitempty"`
	Outline    [][2]number `json:"outline_mm,omitempty"`
	Edges      []edge      `json:"edges"`
	Holes      []hole      `json:"holes"`
	Rabbets    *rabbet     `json:"rabbets,omitempty"`
	Steps      []step      `json:"rabbet_steps,omitempty"`
	Outer      [][3]number `json:"outer_mm"`
	Inner      [][3]number `json:"inner_mm"`
	Place      place       `json:"place"`
	Places     []place     `json:"places,omitempty"`
	Volume     number      `json:"volume_m3"`
	Notes      []string    `json:"notes"`
}

type edge struct {
	Edge     string `json:"edge"`
	Meets    string `json:"meets"`
	Joint    string `json:"joint"`
	Angle    number `json:"angle_deg"`
	Tilt     number `json:"tilt_deg"`
	LongFace string `json:"long_face"`
	Run      number `json:"run_mm"`

	OuterLen   number `json:"outer_length_mm"`
	InnerLen   number `json:"inner_length_mm"`
	GaugeStart number `json:"gauge_start_deg"`
	GaugeEnd   number `json:"gauge_end_deg"`
	Compound   bool   `json:"compound,omitempty"`
}

type hole struct {
	Kind     string  `json:"kind"`
	X        number  `json:"x_mm"`
	Y        number  `json:"y_mm"`
	Diameter *number `json:"diameter_mm,omitempty"`
	Length   *number `json:"length_mm,omitempty"`
	Width    *number `json:"width_mm,omitempty"`
	Radius   *number `json:"radius_mm,omitempty"`
	Depth    *number `json:"depth_mm,omitempty"`
	From     string  `json:"from"`
	Use      string  `json:"use,omitempty"`
}

type rabbet struct {
	Depth  number   `json:"depth_mm"`
	Widths []number `json:"widths_mm"`
}

// step is a rabbet along one edge, from the inner face.
type step struct {
	Edge  string `json:"edge"`
	Width number `json:"width_mm"`
	Depth number `json:"depth_mm"`
}

type place struct {
	Origin [3]number `json:"origin_mm"`
	X      [3]number `json:"x"`
	Y      [3]number `json:"y"`
}

func newPlace(f panels.Frame) place {
	var p place
	for i := range 3 {
		p.Origin[i], p.X[i], p.Y[i] = mm(f.Origin[i]), number(f.X[i]), number(f.Y[i])
	}
	return p
}

// optional is a length that is left out when it is zero.
func optional(m float64) *number {
	if m == 0 {
		return nil
	}
	n := mm(m)
	return &n
}

func newPanel(p panels.Panel, units unit.System) panel {
	out := panel{
		ID: p.Mark, Name: p.Name, Role: p.Role.String(), Count: p.Count, Board: p.Board,
		Thickness: mm(p.Thickness), Nominal: mm(p.Nominal), Length: mm(p.Length), Width: mm(p.Width),
		OuterWidth: mm(p.OuterWidth), InnerWidth: mm(p.InnerWidth), Blank: [2]number{mm(p.Blank[0]), mm(p.Blank[1])}, Flush: optional(p.Flush),
		Grain: p.Grain, Edges: []edge{}, Holes: []hole{}, Place: newPlace(p.Place), Volume: number(p.Volume), Notes: texts(panels.Texts(p.Notes, units)),
	}
	out.Outer, out.Inner = pointsMM(p.Outer), pointsMM(p.Inner)
	if len(p.Section) > 0 {
		out.Section = outlineMM(p.Section)
	}
	if len(p.Outline) > 0 {
		out.Outline = outlineMM(p.Outline)
	}
	for _, e := range p.Edges {
		out.Edges = append(out.Edges, edge{e.Edge, e.Meets, string(e.Joint), deg(e.Angle), deg(e.Tilt), e.LongFace(), mm(e.Run),
			mm(e.OuterLen), mm(e.InnerLen), deg(e.GaugeStart), deg(e.GaugeEnd), e.Compound})
	}
	for _, h := range p.Holes {
		out.Holes = append(out.Holes, hole{
			string(h.Kind), mm(h.X), mm(h.Y), optional(h.Diameter), optional(h.Length), optional(h.Width), optional(h.Radius), optional(h.Depth), h.From, string(h.Use),
		})
	}
	if p.Role == panels.End && len(p.Rabbets) > 0 {
		out.Rabbets = &rabbet{Depth: mm(p.Rabbets[0].Depth)}
		for _, r := range p.Rabbets {
			out.Rabbets.Widths = append(out.Rabbets.Widths, mm(r.Width))
		}
	}
	for _, r := range p.Rabbets {
		out.Steps = append(out.Steps, step{p.Edges[r.Edge].Edge, mm(r.Width), mm(r.Depth)})
	}
	for _, f := range p.Places {
		out.Places = append(out.Places, newPlace(f))
	}
	return out
}

type sheet struct {
	Name       string      `json:"name"`
	Stock      string      `json:"stock"`
	Board      string      `json:"board"`
	Thickness  number      `json:"thickness_mm"`
	Width      number      `json:"width_mm"`
	Height     number      `json:"height_mm"`
	Placements []placement `json:"placements"`
	Offcuts    []offcut    `json:"offcuts"`
	Cuts       []cut       `json:"cuts"`
	Waste      number      `json:"waste"`
}

type placement struct {
	Panel    string     `json:"panel"`
	X        number     `json:"x_mm"`
	Y        number     `json:"y_mm"`
	Width    number     `json:"width_mm"`
	Height   number     `json:"height_mm"`
	Turned   bool       `json:"turned"`
	Rotation int        `json:"rotation_deg"`
	Mirrored bool       `json:"mirrored"` // always false
	Parts    []pairPart `json:"parts,omitempty"`
}

type pairPart struct {
	Panel   string      `json:"panel"`
	Outline [][2]number `json:"outline_mm"`
	Flipped bool        `json:"flipped"`
}

type offcut struct {
	Name     string `json:"name"`
	X        number `json:"x_mm"`
	Y        number `json:"y_mm"`
	Width    number `json:"width_mm"`
	Height   number `json:"height_mm"`
	Reusable bool   `json:"reusable"`
}

type cut struct {
	No        int       `json:"no"`
	Tool      string    `json:"tool"`
	Piece     string    `json:"piece"`
	Direction string    `json:"direction"`
	Reference string    `json:"reference"`
	Setting   number    `json:"setting_mm"`
	Far       number    `json:"far_setting_mm,omitempty"` // slanted cuts: at the end of the line
	Kerf      number    `json:"kerf_mm"`
	Makes     [2]string `json:"makes"`
	Keep      string    `json:"keep"`
	Safety    string    `json:"safety,omitempty"`
}

func um(v nest.Um) number { return number(float64(v) / 1000) }

func newSheet(s nest.Sheet, stock []nest.Stock) sheet {
	out := sheet{
		Name: s.Name, Width: um(s.Width), Height: um(s.Height), Waste: number(s.Waste),
		Placements: []placement{}, Offcuts: []offcut{}, Cuts: []cut{},
	}
	if s.Stock >= 0 && s.Stock < len(stock) {
		out.Stock, out.Board, out.Thickness = stock[s.Stock].Name, stock[s.Stock].Board, um(stock[s.Stock].Thickness)
	}
	for _, p := range s.Placements {
		q := placement{Panel: p.Panel, X: um(p.X), Y: um(p.Y), Width: um(p.Width), Height: um(p.Height), Turned: p.Turned, Rotation: p.Rotation}
		for _, part := range p.Parts {
			line := make([][2]number, len(part.Outline))
			for i, v := range part.Outline {
				line[i] = [2]number{um(v[0]), um(v[1])}
			}
			q.Parts = append(q.Parts, pairPart{part.Panel, line, part.Flipped})
		}
		out.Placements = append(out.Placements, q)
	}
	for _, o := range s.Offcuts {
		out.Offcuts = append(out.Offcuts, offcut{o.Name, um(o.X), um(o.Y), um(o.Width), um(o.Height), o.Reusable})
	}
	for _, c := range s.Cuts {
		out.Cuts = append(out.Cuts, cut{c.No, c.Tool, c.Piece, c.Direction, c.Reference, um(c.Setting), um(c.Far), um(c.Kerf), c.Makes, c.Keep, c.Safety})
	}
	return out
}
