package design

import (
	"fmt"
	"math"
	"math/cmplx"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// finish builds a box that has been settled and makes a design of it: its circuit, figures and checks. Curves and sheets
// come later, for the designs that are kept.
func (h *hunt) finish(c candidate, port duct, at int, spec panels.Spec, length float64, ends [2]float64) (*Design, error) {
	made := panels.Build
	if h.brief {
		made = panels.Plan
	}
	box, err := made(spec)
	if err != nil {
		return nil, h.explain(err, length)
	}
	r := h.rooms[at]
	d := &Design{Kind: c.kind(), Shape: h.shapes[r.index], Box: box}
	air := h.box(box.NetVolume, nil)
	if c.vented() {
		air = h.box(box.NetVolume, port.ports(length, ends))
		d.Port = &PortDesign{
			Count: port.count, Bore: port.bore, Outside: port.outside, Height: port.height, Width: port.width,
			Area: port.area(), Length: length, EndOuter: ends[0], EndInner: ends[1],
		}
	}
	fb := air.Tuning(h.air)
	if d.Circuit, err = h.circuit(air, h.filters); err != nil {
		return nil, err
	}
	d.Figures = d.Circuit.Figures(h.drive)
	h.rescore(d, c, fb)
	if d.Port != nil && !h.brief {
		h.describePort(d, fb)
	}
	d.Mass = box.BoardMass + float64(max(1, h.req.Mount.Count))*h.req.Frame.Mass
	notes := r.notes
	if d.Shape.WidthNote && box.Width < r.width-h.req.Saw.RoundTo {
		notes = notes[1:]
	}
	d.Warnings = append(append(d.Warnings, notes...), panels.Texts(box.Warnings, h.req.Units)...)
	d.Carry = h.carry(box)
	h.judge(d)
	if h.brief {
		return d, nil
	}
	if text, caution := h.narrowGap(d); caution {
		d.Warnings = append(d.Warnings, text)
	}
	if heavy := h.weigh(d); heavy != "" {
		d.Warnings = append(d.Warnings, heavy)
	}
	return d, nil
}

// rescore listens to the box as built, which differs from the candidate by the rounding of its width.
func (h *hunt) rescore(d *Design, c candidate, fb float64) {
	for i, f := range searchGrid {
		h.ear.answers[i] = d.Circuit.Answer(f)
	}
	h.listen(fb)
	area := 1.0
	if d.Port != nil {
		area = float64(d.Port.Count) * d.Port.Area
	}
	h.ear.sound.qtc = d.Figures.Qtc
	s := h.through(area, c.kind())
	s.meanLow, s.meanLoud = h.meanMaximum(lowBand, area), h.meanMaximum(loudBand, area)
	d.Score = h.req.Aim.score(s, d.Box.OuterVolume, math.Inf(-1))
	d.ScoreText = h.req.Aim.text(s, h.volume(d.Box.OuterVolume))
	d.meanLow, d.meanLoud, d.penalty, d.beyond = s.meanLow, s.meanLoud, s.penalty, s.beyond
}

// Ports are cut over and trimmed on the sweep (common practice); trimSteps is in how many steps the table goes.
const (
	supplyTube = 15e-3 // m
	supplySlot = 10e-3
	trimSteps  = 3
)

// describePort adds what is known of the port beside its size.
func (h *hunt) describePort(d *Design, fb float64) {
	p := d.Port
	if h.set.Xmax > 0 {
		p.RuleOfThumbArea = thielesmall.RuleOfThumbPortArea(fb, h.set.VolumeDisplacement())
	}
	ends := p.EndOuter + p.EndInner
	const dHz = 0.01
	lo, okLo := thielesmall.PortLength(h.air, d.Box.NetVolume, fb-dHz, p.Area, p.Count, ends)
	hi, okHi := thielesmall.PortLength(h.air, d.Box.NetVolume, fb+dHz, p.Area, p.Count, ends)
	if okLo && okHi {
		p.MillimetrePerHertz = (hi - lo) / (2 * dHz)
	}
	p.Supply = supplyTube
	if p.Bore <= 0 {
		p.Supply = supplySlot
	}
	for k := trimSteps; k >= -1; k-- {
		length := p.Length + p.Supply*float64(k)/trimSteps
		ports := make([]thielesmall.Port, p.Count)
		for i := range ports {
			ports[i] = thielesmall.Port{Area: p.Area, Length: length, Ends: [2]float64{p.EndOuter, p.EndInner}}
		}
		p.Trim = append(p.Trim, TrimStep{length, h.box(d.Box.NetVolume, ports).Tuning(h.air)})
	}
}

// carry tests the finished box against the passage, less hand room, covering on both sides and the gasket of a removable face.
func (h *hunt) carry(b *panels.Box) cavity.Carry {
	if h.req.Space == nil || h.req.Space.Passage == nil {
		return cavity.Carry{Answer: cavity.NotChecked}
	}
	o, skin := *h.req.Space.Passage, 0.0
	if c := h.req.Wood.Covering; c != nil {
		skin = c.Thickness
	}
	if b.Removable != nil {
		skin += b.Removable.Gasket / 2 // on one face only
	}
	if skin > 0 {
		o = o.Covered(skin)
	}
	return cavity.CarryIn(b.Section, b.Width, cavity.WithHandRoom(o), h.req.Units)
}

// twoPersons is the mass above which two people should carry (common practice).
const twoPersons = 23.0 // kg

func (h *hunt) weigh(d *Design) string {
	if d.Mass <= twoPersons {
		return ""
	}
	return fmt.Sprintf("the box with its drivers weighs about %s: two people carry it (common practice above %s)",
		unit.FormatMass(d.Mass, h.req.Units), unit.FormatMass(twoPersons, h.req.Units))
}

// curves are a circuit's curves on a grid.
func (h *hunt) curves(circuit *thielesmall.Circuit, figures thielesmall.Figures, g Grid) []CurvePoint {
	top := 200.0 // Hz, up to where maximum level is stated
	if figures.DuctResonance > 0 {
		top = math.Min(top, figures.DuctResonance/2)
	}
	points := make([]CurvePoint, 0, g.Points)
	for _, f := range logGrid(g.From, g.To, g.Points) {
		c := CurvePoint{Point: circuit.At(f, h.drive), CabinLevel: math.NaN(), MaxLevel: math.NaN()}
		if h.cabin != nil {
			c.CabinLevel = c.Level + h.cabin(f)
		}
		if level, cause := circuit.MaxLevel(f, h.limits); cause != thielesmall.Unlimited && f >= 10 && f <= top {
			c.MaxLevel, c.LimitedBy = level, cause
		}
		points = append(points, c)
	}
	return points
}

// fitting works out what the fitter sets and should know.
func (h *hunt) fitting(d *Design) Fitting {
	f := Fitting{LowestImpedance: math.Inf(1)}
	for _, hz := range logGrid(20, 200, 240) {
		if z := cmplx.Abs(d.Circuit.At(hz, 1).Impedance); z < f.LowestImpedance {
			f.LowestImpedance, f.LowestAt = z, hz
		}
	}
	if h.volts > 0 {
		f.GainVolts = h.volts
		if most := math.Sqrt(h.set.Power * h.set.Impedance); most > 0 {
			f.GainVolts = math.Min(f.GainVolts, most)
		}
	}
	bare := d.Circuit.Without()
	if h.set.Xmax > 0 && h.set.Impedance > 0 {
		for _, hz := range []float64{20, 30, 40} {
			v := h.set.Xmax / bare.At(hz, 1).Excursion
			f.PowerToXmax = append(f.PowerToXmax, PowerAt{hz, v * v / h.set.Impedance})
		}
	}
	h.adviseHighPass(d, &f)
	if face := h.req.Mount.Face; face == "top" || face == "bottom" {
		f.Sag = h.set.Sag()
	}
	if h.lowPass > 0 {
		at := d.Circuit.At(h.lowPass, 1)
		f.HandoverAt, f.HandoverPhase = h.lowPass, at.Phase
		f.HandoverLevel = at.Level - h.set.ReferenceLevel(h.air, 1, h.source)
	}
	f.TuningBand = h.band(d)
	f.NarrowGap, _ = h.narrowGap(d)
	f.BoxMode = h.boxMode(d)
	return f
}

func (h *hunt) adviseHighPass(d *Design, f *Fitting) {
	switch {
	case h.highPass:
		f.HighPassText = "as stated in the job"
	case d.Kind == Vented:
		f.HighPass = ventedGuard * d.Figures.Fb
		f.HighPassText = "below the tuning the port no longer holds the cone; 24 dB an octave; the curves are drawn without it"
	default:
		for _, c := range d.Checks {
			if c.Name == ExcursionCheck && c.Status != panels.Pass && c.Status != panels.NotChecked {
				f.HighPass = guardFrequency
				f.HighPassText = "24 dB an octave, to keep the cone within reach at full power"
			}
		}
	}
}

// band gives the tuning, or fc, in a cold car, a hot one and on a high pass road.
func (h *hunt) band(d *Design) [3]Band {
	var out [3]Band
	for i, c := range []struct {
		name string
		air  thielesmall.Conditions
	}{
		{"at -20 C", thielesmall.Conditions{Temperature: -20, Pressure: 101325, Humidity: 0}},
		{"at +60 C", thielesmall.Conditions{Temperature: 60, Pressure: 101325, Humidity: 0.2}},
		{"at 80 kPa (about 1,900 m)", thielesmall.Conditions{Temperature: 20, Pressure: 80000, Humidity: 0.5}},
	} {
		out[i].Name = c.name
		air, err := c.air.Air()
		if err != nil {
			continue
		}
		b := d.Circuit.System.Box
		if d.Kind == Vented {
			out[i].Frequency = b.Tuning(air)
		} else {
			out[i].Frequency = h.set.Fs() * math.Sqrt(1+h.set.Vas(air)/b.Volume)
		}
	}
	return out
}
