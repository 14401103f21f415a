package render

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
	body "cubby/internal/solid"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
)

// wedge is a section with one slope (mm 360 x 240 below, 430 above).
func wedge() plane.Polygon {
	return plane.Polygon{{X: 0, Y: 0}, {X: 0.360, Y: 0}, {X: 0.430, Y: 0.240}, {X: 0, Y: 0.240}}
}

// wedgeResult is a finished job made by hand from the packages below the search: a vented wedge, 900 mm wide, under a bench.
func wedgeResult(t testing.TB) *design.Result { return boxResult(t, wedge(), 0.9, true, unit.Metric) }

// made keeps results that tests have asked for: laying panels on sheets takes longer than printing them.
var made = map[string]*design.Result{}

// boxResult makes a result for any section. The caller may change it.
func boxResult(t testing.TB, section plane.Polygon, width float64, vented bool, sys unit.System) *design.Result {
	t.Helper()
	key := fmt.Sprint(section, width, vented, sys)
	if made[key] == nil {
		made[key] = makeResult(t, section, width, vented, sys)
	}
	r := *made[key]
	r.Designs = slices.Clone(r.Designs)
	for i := range r.Designs {
		r.Designs[i].Checks = slices.Clone(r.Designs[i].Checks)
	}
	own := *r.Request.Space.Space
	own.Blocks = slices.Clone(own.Blocks)
	space := *r.Request.Space
	space.Space = &own
	r.Request.Space = &space
	r.Warnings, r.Assumptions = slices.Clone(r.Warnings), slices.Clone(r.Assumptions)
	return &r
}

func makeResult(t testing.TB, section plane.Polygon, width float64, vented bool, sys unit.System) *design.Result {
	t.Helper()
	must := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	frame := panels.Driver{Name: "Harrow 10", Frame: 0.262, Cutout: 0.235, Depth: 0.128, Magnet: 0.150, Displacement: 0.0018, Circle: 0.248, Bolts: 8, Hole: 0.0055, Vent: true, Mass: 5.2, Cone: panels.Cone{Excursion: 0.014, Sd: 0.0330}}
	spec := panels.Spec{Outside: prism(section, 0.05, width), Face: "top", Driver: frame, Count: 1, Hardware: panels.Hardware{Terminal: true},
		Shop: panels.Shop{RoundTo: 0.0005, InchThreads: sys == unit.Inch},
		Wood: panels.Wood{Board: "MDF", Thickness: 0.015}}
	if vented {
		spec.Port = &panels.Port{Count: 1, Bore: 0.0716, Outside: 0.075, Length: 0.1, Elbows: 1, Face: "front"}
	}
	box, err := panels.Build(spec)
	must(err)
	air, err := thielesmall.Reference().Air()
	must(err)
	ts := thielesmall.Spec{Name: "Harrow 10", Fs: 28, Qes: 0.48, Qms: 5.2, Vas: 0.042, Sd: 0.0330, Re: 3.4, Le: 0.0012, Xmax: 0.013, Xmech: 0.019, Power: 400, Impedance: 4}
	single, set, findings, err := ts.Wire(1, thielesmall.Wiring{})
	must(err)
	sys0 := thielesmall.System{Air: air, Driver: set, Box: thielesmall.Box{Volume: box.NetVolume}, Filters: []thielesmall.Filter{
		{Kind: thielesmall.HighPass, Type: thielesmall.Butterworth, Order: 2, Frequency: 25}, {Kind: thielesmall.LowPass, Type: thielesmall.Butterworth, Order: 4, Frequency: 90}}}
	d := design.Design{Offer: design.Offer{Rank: 1, Score: 88, ScoreText: "mean maximum level 20 to 40 Hz 98.2 dB"}, Sound: design.Sound{Kind: design.Sealed}, Carcass: design.Carcass{Box: box, Mass: box.BoardMass + frame.Mass}}
	d.Judgement = design.Judgement{
		Verdict: design.SuitsWithCautions, VerdictText: "A box of 41.3 l net, tuned to 31.2 Hz, suits, with care for: port air speed at full power and delivered power.",
		Carry: cavity.Carry{Answer: cavity.Passes}, CarryText: "passes end first with 38 mm of air on either side"}
	if vented {
		d.Kind = design.Vented
		a := math.Pi * 0.0358 * 0.0358
		ends := [2]float64{thielesmall.EndFlush(0.0358), thielesmall.EndFree(0.0358)}
		sys0.Box.LeakQ = 7
		sys0.Box.Ports = []thielesmall.Port{{Area: a, Length: 0.1, Ends: ends}}
		d.Port = &design.PortDesign{PortSize: design.PortSize{Count: 1, Bore: 0.0716, Outside: 0.075, Area: a}, Length: 0.1, EndOuter: ends[0], EndInner: ends[1], SpeedAtLimit: 27, SpeedAt: 29, MillimetrePerHertz: -0.0174}
	}
	d.Circuit, err = thielesmall.NewCircuit(sys0)
	must(err)
	d.Figures = d.Circuit.Figures(2.83)
	limits := thielesmall.Limits{AmplifierVolts: math.Sqrt(500 * 2), RatedPower: 400, Nominal: 4, Xmax: 0.013, PortSpeed: 20}
	for i := range 300 {
		f := 10 * math.Pow(30, float64(i)/299)
		p := design.CurvePoint{Point: d.Circuit.At(f, 2.83), MaxLevel: math.NaN()}
		p.CabinLevel = p.Level + thielesmall.CabinGain(air, 2.9, 20, f)
		if f <= 200 {
			p.MaxLevel, p.LimitedBy = d.Circuit.MaxLevel(f, limits)
		}
		d.Curves = append(d.Curves, p)
	}
	for _, c := range box.Checks {
		d.Checks = append(d.Checks, design.Check{Name: c.Name, Status: c.Status, Value: c.Value, Limit: c.Limit, Unit: c.Unit, Note: c.Note.Text(sys)})
	}
	d.Checks = append(d.Checks,
		design.Check{Name: "excursion at full power", Status: panels.Pass, Value: 0.0112, Limit: 0.013, Unit: "m", Note: "11.2 mm peak at 22 Hz with a full sine; Xmax is 13.0 mm"},
		design.Check{Name: "delivered power", Status: panels.NotChecked, Note: "needs the amplifier's power and load"})
	if vented {
		d.Checks = append(d.Checks, design.Check{Name: "port air speed at full power", Status: panels.Marginal, Value: 27, Limit: 20, Unit: "m/s", Note: "27.0 m/s peak at 29 Hz with a full sine (a graded caution: no single published speed is a limit)", Setting: "limit the power to 274 W, or round both mouths generously and accept some noise at full power"})
	}
	d.Fitting = design.Fitting{LowestImpedance: 3.52, LowestAt: 58, PowerToXmax: []design.PowerAt{{Frequency: 20, Power: 212}, {Frequency: 30, Power: 380}, {Frequency: 40, Power: 720}},
		Sag: 0.00032, HandoverAt: 90, HandoverLevel: -3.4, HandoverPhase: -142,
		TuningBand: [3]design.Band{{Name: "at -20 C", Frequency: 28.9}, {Name: "at +60 C", Frequency: 33.2}, {Name: "at 80 kPa (about 1,900 m)", Frequency: 31.2}}}
	d.Warnings = append(d.Warnings, panels.Texts(box.Warnings, sys)...)
	um := func(m float64) nest.Um { return nest.Um(math.Round(m * 1e6)) }
	d.SheetStock = []nest.Stock{{Name: "MDF 15", Board: "MDF", Thickness: 15000, Length: 2440000, Width: 1220000, Trim: -1}}
	d.Sheets, err = nest.Lay(design.Parts(box), d.SheetStock, nest.Saw{Kerf: 3200, Trim: um(0.005), Step: 500}, nest.Options{})
	must(err)
	r := &design.Result{Basis: design.Basis{Air: air, DriverSingle: single, Driver: set, Findings: findings, DriveVolts: 2.83, FullVolts: limits.AmplifierVolts,
		Assumptions: []string{"saw kerf 3.2 mm (a full-kerf blade)", "high-pass 25 Hz taken as 12 dB an octave, Butterworth"}}, Designs: []design.Design{d},
		Shapes:   []design.ShapeOffer{{Kind: "rectangle", Net: 0.0382}, {Kind: "4 corners", Bevels: 2, Net: 0.0413, GainText: "3.1 l more than the rectangle, for 2 more bevelled corners"}},
		Outcomes: []design.Outcome{{Kind: design.Vented, Status: "limited", Reason: "limited by the port air speed"}, {Kind: design.Sealed, Status: "found"}},
		Warnings: []string{"the cabin curve is a model, good to 6 dB at best"}}
	second := d
	second.Rank, second.Kind, second.Port = 2, design.Sealed, nil
	second.Tradeoff = "The best sealed box: 3.2 dB less output from 20 to 40 Hz, 0.4 dB more from 30 to 80 Hz, 32.0 l outside instead of 64.1 l."
	r.Designs = append(r.Designs, second)
	space, err := cavity.Uniform(width+0.1, section, 0.01)
	must(err)
	space.Blocks = append(space.Blocks, cavity.BoxBlock("seat rail", r3.Vec{X: 0.5}, r3.Vec{X: 0.55, Y: 0.3, Z: 0.03}))
	r.Room, err = space.Settle()
	must(err)
	r.Request = design.Request{Title: "Expedition van, under the rear bench", Date: "2026-03-14", Author: "J. Fabricator", Contact: "workshop bench 3, 555-0123", Revision: "2",
		Units: sys, Frame: frame, Driver: ts, Amplifier: &design.Amplifier{Power: 500, Into: 2}, Vehicle: &design.Vehicle{CabinLength: 2.9},
		Space: &design.Space{Space: space},
		Mount: design.Mount{Face: "top", Count: 1, AirInFront: 0.038}, Wood: spec.Wood, Stock: d.SheetStock,
		Saw: design.Saw{Kerf: 0.0032, Trim: 0.005, RoundTo: 0.0005}, Aim: design.Low}
	return r
}

// awkward makes every text of a result long and full of things that fonts lack.
func awkward(r *design.Result) *design.Result {
	long := strings.Repeat("An uncommonly long piece of text with Ω, ⌀ and \U0001F50A in it; ", 6)
	r.Request.Title = "Überlandbus " + strings.Repeat("with a very long title ", 12) + strings.Repeat("unbreakable", 20)
	r.Request.Author, r.Request.Contact, r.Request.Revision = long, long, strings.Repeat("rev ", 30)
	r.DriverSingle.Name = strings.Repeat("Name", 40)
	r.Warnings = append(r.Warnings, long, long+"2")
	r.Assumptions = append(r.Assumptions, long)
	r.SearchNotes = append(r.SearchNotes, long)
	for i := range r.Designs {
		d := &r.Designs[i]
		d.VerdictText, d.ScoreText, d.Tradeoff = long, long, long
		for k := range d.Checks {
			d.Checks[k].Name, d.Checks[k].Note, d.Checks[k].Setting = strings.Repeat("check ", 12), long, long
		}
	}
	for i := range 12 {
		r.Request.Space.Blocks = append(r.Request.Space.Blocks, cavity.BoxBlock("block with a long name "+strings.Repeat("x", 30), r3.Vec{X: 0.05 * float64(i)}, r3.Vec{X: 0.05*float64(i) + 0.02, Y: 0.05, Z: 0.05}))
	}
	return r
}

// prism is the outside of a prism across.
func prism(section plane.Polygon, left, width float64) *body.Solid {
	s, err := body.Straight(section.CCW().Clean(1e-5, 0.5*math.Pi/180), body.Across, left, left+width)
	if err != nil {
		panic(err)
	}
	return s
}
