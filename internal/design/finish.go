package design

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"cubby/internal/grade"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// Ports are cut over and trimmed on the sweep (common practice); trimSteps is in how many steps the table goes.
const (
	supplyTube = 15e-3 // m
	supplySlot = 10e-3
	trimSteps  = 3
)

// describePort adds what is known of the port beside its size.
func (h *rig) describePort(d *Design, fb float64) {
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
		more := p.Supply * float64(k) / trimSteps
		one := thielesmall.Port{Area: p.Area, Length: cmp.Or(p.Effective, p.Length) + more, Ends: [2]float64{p.EndOuter, p.EndInner}}
		ports := slices.Repeat([]thielesmall.Port{one}, p.Count)
		p.Trim = append(p.Trim, TrimStep{p.Length + more, thielesmall.Box{Volume: d.Box.NetVolume, Ports: ports}.Tuning(h.air)})
	}
}

// twoPersons is the mass above which two people should carry (common practice).
const twoPersons = 23.0 // kg

func (h *rig) weigh(d *Design) string {
	if d.Mass <= twoPersons {
		return ""
	}
	return fmt.Sprintf("the box with its drivers weighs about %s: two people carry it (common practice above %s)",
		unit.FormatMass(d.Mass, h.req.Units), unit.FormatMass(twoPersons, h.req.Units))
}

// limitsOf are the limits of the greatest level of a circuit, with the air speed by which its port is judged, m/s; 0: none.
func (h *rig) limitsOf(c *thielesmall.Circuit, speed float64) thielesmall.Limits {
	l := h.limits
	l.RadiatorXmax, l.PortSpeed = c.System.Box.Passive.Xmax, speed
	return l
}

// curves are a circuit's curves on the job's grid, within limits.
func (h *rig) curves(circuit *thielesmall.Circuit, figures thielesmall.Figures, limits thielesmall.Limits) []CurvePoint {
	g := h.grid()
	top := 200.0 // Hz, up to where maximum level is stated
	if figures.DuctResonance > 0 {
		top = math.Min(top, figures.DuctResonance/2)
	}
	points := make([]CurvePoint, 0, g.Points)
	warm := circuit.Warm(h.grades[grade.WarmCoil].Value())
	for _, f := range logGrid(g.From, g.To, g.Points) {
		none := math.NaN()
		c := CurvePoint{Point: circuit.At(f, h.drive), CabinLevel: none, MaxLevel: none, MaxWarm: none, LevelLow: none, LevelHigh: none}
		if h.cabin != nil {
			c.CabinLevel = c.Level + h.cabin(f)
		}
		if level, cause := circuit.MaxLevel(f, limits); cause != thielesmall.Unlimited && f >= 10 && f <= top {
			c.MaxLevel, c.LimitedBy = level, cause
			c.MaxWarm, _ = warm.MaxLevel(f, limits)
		}
		points = append(points, c)
	}
	return points
}

// fitting works out what the fitter sets and should know.
func (h *rig) fitting(d *Design) Fitting {
	f := h.electrical(d.Circuit, d.Figures.F3)
	bare := d.Circuit.Without()
	if h.set.Xmax > 0 && h.set.Impedance > 0 {
		for _, hz := range []float64{20, 30, 40} {
			v := h.set.Xmax / bare.At(hz, 1).Excursion
			f.PowerToXmax = append(f.PowerToXmax, PowerAt{hz, v * v / h.set.Impedance})
		}
	}
	if !upright(h.req.Mount.Face) {
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

// electrical is what of the fitting is known without the wood: the least impedance, and what is set for the vehicle.
func (h *rig) electrical(c *thielesmall.Circuit, f3 float64) Fitting {
	f := Fitting{LowestImpedance: math.Inf(1), Cabin: h.tuneCabin(c, f3)}
	for _, hz := range logGrid(20, 200, 240) {
		if z := cmplx.Abs(c.At(hz, 1).Impedance); z < f.LowestImpedance {
			f.LowestImpedance, f.LowestAt = z, hz
		}
	}
	return f
}

// band gives the tuning, or fc, in a cold car, a hot one and on a high pass road.
func (h *rig) band(d *Design) [3]Band {
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
		if d.Kind != Sealed {
			out[i].Frequency = b.Tuning(air)
		} else {
			out[i].Frequency = h.set.Fs() * math.Sqrt(1+h.set.Vas(air)/b.Volume)
		}
	}
	return out
}
