package export

import (
	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/grade"
	"cubby/internal/search"
)

type setting struct {
	What  string `json:"what"`
	Value number `json:"value"`
	Unit  string `json:"unit"`
	Text  string `json:"text"`
}

func newSettings(d *design.Design, q *design.Request) []setting {
	out := []setting{}
	for _, s := range q.Settings(d) {
		out = append(out, setting{s.Knob.String(), number(s.Value), s.Unit, s.Text})
	}
	return out
}

// standing is on what a box stands; height_mm is that of its base over the floor board.
type standing struct {
	On      string `json:"on"` // "floor", the name of a block, "stand"
	Height  number `json:"height_mm"`
	Pads    number `json:"pads_mm"`
	Legs    number `json:"legs_mm"`
	Carried number `json:"carried_share"`
	Text    string `json:"text"`
}

func newStanding(d *design.Design, q *design.Request) standing {
	s := d.Placed.Stands
	on := "floor"
	switch s.On {
	case cavity.OnBlock:
		on = s.Block
	case cavity.OnStand:
		on = "stand"
	}
	return standing{on, mm(s.Base), mm(s.Pads), mm(s.Legs), number(s.Carried), q.StandingText(d)}
}

// stickTest is a place to try with a stick before the wood is cut: the surface is taken to be at that height.
type stickTest struct {
	Across  number `json:"across_mm"`
	Depth   number `json:"depth_mm"`
	Height  number `json:"height_mm"`
	Surface string `json:"surface"`
	Room    number `json:"room_mm"`
}

func newStickTests(d *design.Design) []stickTest {
	out := []stickTest{}
	for _, t := range d.StickTests {
		out = append(out, stickTest{mm(t.X), mm(t.Y), mm(t.Z), t.Surface.String(), mm(t.Room)})
	}
	return out
}

// access tells what can be reached with the box in its place; the driver's figures are left out where its depth is not stated.
type access struct {
	Driver   *bool   `json:"driver_comes_out,omitempty"`
	Room     *number `json:"driver_room_mm,omitempty"`
	Needs    *number `json:"driver_needs_mm,omitempty"`
	Terminal bool    `json:"terminal_reached"`
	Way      *number `json:"terminal_way_mm,omitempty"`
	Text     string  `json:"text"`
}

func newAccess(d *design.Design) access {
	a := d.Access
	out := access{Terminal: a.Terminal, Text: a.Text()}
	if a.DriverNeeds > 0 {
		free := a.DriverOut()
		out.Driver, out.Room, out.Needs = &free, length(a.DriverRoom), length(a.DriverNeeds)
	}
	if a.Terminal {
		out.Way = length(a.TerminalWay)
	}
	return out
}

// tradeoffs are the sizes by kind; a kind that is not considered, or that no size serves, has none.
type tradeoffs struct {
	Sealed  []sizePoint `json:"sealed"`
	Vented  []sizePoint `json:"vented"`
	Passive []sizePoint `json:"passive"`
}

type sizePoint struct {
	NetVolume number    `json:"net_volume_m3"`
	Tuning    *number   `json:"tuning_hz,omitempty"`
	F3        number    `json:"f3_hz"`
	F10       number    `json:"f10_hz"`
	Mean      number    `json:"mean_level_db"`
	PortSpeed number    `json:"port_speed_m_s"`
	Outside   [3]number `json:"outside_mm"`
}

func newTradeoffs(r *design.Result) tradeoffs {
	t := tradeoffs{[]sizePoint{}, []sizePoint{}, []sizePoint{}}
	for _, k := range r.Tradeoff {
		list := map[design.Kind]*[]sizePoint{design.Sealed: &t.Sealed, design.Vented: &t.Vented, design.Passive: &t.Passive}[k.Kind]
		for _, p := range k.Points {
			e, c := p.Evaluation, p.Candidate
			out := sizePoint{
				NetVolume: number(c.Volume), F3: number(e.Figures.F3), F10: number(e.Figures.F10), Mean: number(e.MeanLow),
				PortSpeed: number(e.Speed), Outside: [3]number{mm(p.Outside[0]), mm(p.Outside[1]), mm(p.Outside[2])},
			}
			if r.Request.Aim == design.Loud {
				out.Mean = number(e.Loud)
			}
			if c.Tuning > 0 {
				out.Tuning = value(c.Tuning)
			}
			*list = append(*list, out)
		}
	}
	return t
}

// marks are the 10 and the 90 % mark; left out where the figure does not apply.
type marks *[2]number

// spreadOut is what tolerances make of the first design's figures.
type spreadOut struct {
	F3        marks    `json:"f3_hz,omitempty"`
	Qtc       marks    `json:"qtc,omitempty"`
	Tuning    marks    `json:"tuning_hz,omitempty"`
	Mean      marks    `json:"mean_level_db,omitempty"`
	Peak      marks    `json:"peak_db,omitempty"`
	Dip       marks    `json:"dip_db,omitempty"`
	Excursion marks    `json:"excursion_m,omitempty"`
	Speed     marks    `json:"port_speed_m_s,omitempty"`
	Changes   []string `json:"grades_that_change"`
}

func newMarks(m search.Marks) marks {
	if m.Low != m.Low || m.Low == 0 && m.High == 0 { // not a number, or nothing to spread
		return nil
	}
	return &[2]number{number(m.Low), number(m.High)}
}

func newSpread(s *design.Spread) *spreadOut {
	if s == nil {
		return nil
	}
	out := &spreadOut{
		newMarks(s.F3), newMarks(s.Qtc), newMarks(s.Tuning), newMarks(s.Mean), newMarks(s.Peak), newMarks(s.Dip),
		newMarks(s.Excursion), newMarks(s.Speed), []string{},
	}
	rules := grade.Standard()
	for _, id := range s.Changes {
		out.Changes = append(out.Changes, rules[id].What)
	}
	return out
}

// space is the space as measured.
type space struct {
	Stations []station `json:"stations_mm"`
	Leans    []lean    `json:"walls"`
	Blocks   []block   `json:"blocks"`
	Sticks   []stick   `json:"stick"`
	Open     []string  `json:"open"`
	Gap      number    `json:"gap_mm"`
}

// station holds heights as pairs of depth and height, all in millimetres; without a floor it is level at 0.
type station struct {
	FromLeft number      `json:"from_left"`
	Roof     [][2]number `json:"roof"`
	Floor    [][2]number `json:"floor"`
}

type lean struct {
	Side  string `json:"side"`
	Angle number `json:"lean_deg"`
}

// block runs along an axis from from_mm to to_mm; its outline has the coordinates of that axis' sections.
type block struct {
	Name    string      `json:"name"`
	Along   string      `json:"along"`
	Outline [][2]number `json:"outline_mm"`
	From    number      `json:"from_mm"`
	To      number      `json:"to_mm"`
	Hangs   *number     `json:"hangs_mm,omitempty"`
}

type stick struct {
	Across  number `json:"across_mm"`
	Depth   number `json:"depth_mm"`
	Height  number `json:"height_mm"`
	Surface string `json:"surface"`
}

func newSpace(s *design.Space) *space {
	if s == nil || s.Space == nil {
		return nil
	}
	out := &space{[]station{}, []lean{}, []block{}, []stick{}, []string{}, mm(s.Gap)}
	for _, t := range s.Stations {
		out.Stations = append(out.Stations, station{mm(t.FromLeft), heights(t.Roof), heights(t.Floor)})
	}
	for _, l := range s.Leans {
		out.Leans = append(out.Leans, lean{l.Side.String(), deg(l.Angle)})
	}
	for _, b := range s.Blocks {
		out.Blocks = append(out.Blocks, block{b.Name, b.Axis.String(), outlineMM(b.Outline), mm(b.Lo), mm(b.Hi), optional(b.Hangs)})
	}
	for _, k := range s.Sticks {
		out.Sticks = append(out.Sticks, stick{mm(k.FromLeft), mm(k.Depth), mm(k.Height), k.Surface.String()})
	}
	open := s.Open
	if len(open) == 0 {
		open = []cavity.Side{cavity.Front}
	}
	for _, side := range open {
		out.Open = append(out.Open, side.String())
	}
	return out
}

// heights are readings; one that is not measured yet has no height.
func heights(line []cavity.Height) [][2]number {
	out := [][2]number{}
	for _, h := range line {
		z := mm(h.Height)
		if h.Unknown {
			z = none
		}
		out = append(out, [2]number{mm(h.Depth), z})
	}
	return out
}
