package export

import (
	"encoding/json"
	"io"
	"math"

	"cubby/internal/design"
	"cubby/internal/plane"
	"cubby/internal/thielesmall"
)

// A number is a float that is null in JSON when it is not finite.
type number float64

// MarshalJSON writes the shortest form that reads back to the same value.
func (n number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n) + 0) // no negative zero
}

// Head is what the document says of itself.
type Head struct {
	Version string  // of the program
	Command string  // "design"
	Job     string  // file as the user wrote it
	Router  *Router // layout for a router; nil: none was asked for
}

// opening is what every document about a space begins with.
type opening struct {
	Version string `json:"version"`
	Command string `json:"command"`
	Job     string `json:"job"`
	Title   string `json:"title"`
	Air     air    `json:"air"`
}

// preamble is what every document about a driver in a box begins with.
type preamble struct {
	opening
	Driver     driver    `json:"driver"`
	Single     driver    `json:"driver_single"`
	Findings   []finding `json:"findings"`
	DriveVolts number    `json:"drive_v"`
}

type document struct {
	preamble
	Aim         design.Aim  `json:"aim"`
	Verdict     string      `json:"verdict"`
	Outcomes    []outcome   `json:"outcomes"`
	Shapes      []shape     `json:"shapes"`
	Assumptions []string    `json:"assumptions"`
	Warnings    []string    `json:"warnings"`
	Designs     []designOut `json:"designs"`
	Panels      []panel     `json:"panels"`
	Sheets      []sheet     `json:"sheets"`
	LowerBound  int         `json:"sheets_lower_bound"`
	Proved      bool        `json:"sheets_proved"`
	Nested      *nestedOut  `json:"nested,omitempty"`
	Checks      []check     `json:"checks"`
	Work        *workOut    `json:"work,omitempty"`
	Sizes       tradeoffs   `json:"size_tradeoff"`
	Spread      *spreadOut  `json:"spread,omitempty"`
	StickTests  []stickTest `json:"stick_tests"`
	Space       *space      `json:"space,omitempty"`
	Notes       []string    `json:"search_notes"`
}

type air struct {
	Density     number `json:"density_kg_m3"`
	SoundSpeed  number `json:"sound_speed_m_s"`
	Temperature number `json:"temperature_c"`
	Pressure    number `json:"pressure_pa"`
	Humidity    number `json:"humidity"`
}

type driver struct {
	Name      string `json:"name"`
	Count     int    `json:"count"`
	Re        number `json:"re_ohm"`
	Le        number `json:"le_h"`
	L2        number `json:"l2_h"`
	R2        number `json:"r2_ohm"`
	Bl        number `json:"bl_t_m"`
	Sd        number `json:"sd_m2"`
	Mms       number `json:"mms_kg"`
	Cms       number `json:"cms_m_n"`
	Rms       number `json:"rms_kg_s"`
	Fs        number `json:"fs_hz"`
	Qms       number `json:"qms"`
	Qes       number `json:"qes"`
	Qts       number `json:"qts"`
	Vas       number `json:"vas_m3"`
	Xmax      number `json:"xmax_m"`
	Xmech     number `json:"xmech_m"`
	Power     number `json:"power_w"`
	Impedance number `json:"impedance_ohm"`
	Eta0      number `json:"efficiency"`
}

type finding struct {
	Quantity string `json:"quantity"`
	Severity string `json:"severity"`
	Percent  number `json:"percent"`
	Text     string `json:"text"`
}

type outcome struct {
	Kind   design.Kind `json:"kind"`
	Status string      `json:"status"`
	Reason string      `json:"reason"`
}

type shape struct {
	Kind    string `json:"kind"`
	Bevels  int    `json:"bevels"`
	Boards  int    `json:"boards"`
	Minutes number `json:"minutes"`
	Net     number `json:"net_volume_m3"`
	Gain    string `json:"gain"`
}

type check struct {
	Name    string `json:"name"`
	Status  string `json:"status"`
	Value   number `json:"value"`
	Limit   number `json:"limit"`
	Unit    string `json:"unit"`
	Note    string `json:"note"`
	Setting string `json:"setting,omitempty"`
}

// JSON writes the result as one object followed by a newline.
func JSON(w io.Writer, r *design.Result, h Head) error {
	d := document{
		preamble: newPreamble(h, r.Request.Title, r.Air, r.Driver, r.DriverSingle, r.Findings, r.DriveVolts),
		Aim:      r.Request.Aim, Verdict: string(design.DoesNotSuit),
		Outcomes: []outcome{}, Shapes: []shape{}, Designs: []designOut{},
		Panels: []panel{}, Sheets: []sheet{}, Checks: []check{}, Nested: newNested(h.Router),
		Assumptions: texts(r.Assumptions), Warnings: texts(r.Warnings), Notes: texts(r.SearchNotes),
		Sizes: newTradeoffs(r), Spread: newSpread(r.Spread), StickTests: []stickTest{}, Space: newSpace(r.Request.Space),
	}
	for _, o := range r.Outcomes {
		d.Outcomes = append(d.Outcomes, outcome{o.Kind, o.Status, o.Reason})
	}
	for _, s := range r.Shapes {
		d.Shapes = append(d.Shapes, shape{s.Kind, s.Bevels, s.Boards, number(s.Minutes), number(s.Net), s.GainText})
	}
	for _, g := range r.Designs {
		d.Designs = append(d.Designs, newDesign(g, &r.Request))
	}
	if len(d.Designs) > 0 {
		best := d.Designs[0]
		d.Verdict, d.Panels, d.Sheets, d.Checks = best.Verdict, best.Panels, best.Sheets, best.Checks
		d.LowerBound, d.Proved = best.LowerBound, best.Proved
		d.StickTests = best.StickTests
		d.Work = newWork(&r.Designs[0])
	}
	return encode(w, d)
}

func newOpening(h Head, title string, a thielesmall.Air) opening {
	return opening{Version: h.Version, Command: h.Command, Job: h.Job, Title: title, Air: newAir(a)}
}

func newPreamble(h Head, title string, a thielesmall.Air, set, single thielesmall.Driver, f []thielesmall.Finding, volts float64) preamble {
	return preamble{
		opening: newOpening(h, title, a), Driver: newDriver(set, a), Single: newDriver(single, a), Findings: newFindings(f), DriveVolts: number(volts),
	}
}

func newAir(a thielesmall.Air) air {
	return air{number(a.Density), number(a.SoundSpeed), number(a.Temperature), number(a.Pressure), number(a.Humidity)}
}

func newFindings(all []thielesmall.Finding) []finding {
	out := []finding{}
	for _, f := range all {
		out = append(out, finding{f.Quantity, f.Severity.String(), number(f.Percent), f.Text})
	}
	return out
}

func newChecks(all []design.Check) []check {
	out := []check{}
	for _, c := range all {
		out = append(out, check{c.Name, c.Status.String(), number(c.Value), number(c.Limit), c.Unit, c.Note, c.Setting})
	}
	return out
}

// texts makes sure that a list is an array in JSON, never null.
func texts(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func newDriver(d thielesmall.Driver, a thielesmall.Air) driver {
	return driver{
		Name: d.Name, Count: d.Count, Re: number(d.Re), Le: number(d.Le), L2: number(d.L2), R2: number(d.R2),
		Bl: number(d.Bl), Sd: number(d.Sd), Mms: number(d.Mms), Cms: number(d.Cms), Rms: number(d.Rms),
		Fs: number(d.Fs()), Qms: number(d.Qms()), Qes: number(d.Qes()), Qts: number(d.Qts()), Vas: number(d.Vas(a)),
		Xmax: number(d.Xmax), Xmech: number(d.Xmech), Power: number(d.Power), Impedance: number(d.Impedance),
		Eta0: number(d.Efficiency(a)),
	}
}

// mm writes a length in millimetres, free of the last bits of metres.
func mm(m float64) number { return number(math.Round(m*1e12) / 1e9) }

func deg(rad float64) number { return number(rad * 180 / math.Pi) }

func outlineMM(g plane.Polygon) [][2]number {
	out := make([][2]number, len(g))
	for i, p := range g {
		out[i] = [2]number{mm(p.X), mm(p.Y)}
	}
	return out
}
