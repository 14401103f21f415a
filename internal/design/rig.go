package design

import (
	"fmt"
	"math"
	"slices"

	"cubby/internal/grade"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
)

// Defaults that stand in for what a job leaves unsaid; each is stated in Result.Assumptions when it is used.
const (
	defaultVolts = 2.83 // V rms, the customary drive of a level curve
	ventedLeakQ  = 7.0  // Small's working value for all losses of a vented box
	cabinLeak    = 20.0 // Hz, leakage floor of the cabin model
)

// A rig is a request made ready for the search: what every candidate shares.
type rig struct {
	req         *Request
	air         thielesmall.Air
	single, set thielesmall.Driver
	findings    []thielesmall.Finding
	supply
	grades      *grade.Table // with the figures that the job sets for itself
	assumptions []string
	cabin       func(f float64) float64 // dB; nil without a vehicle
	onHand      search.Stock            // radiators on hand
	model       *search.Model
	haste
}

// supply is what drives a set.
type supply struct {
	source  float64 // ohm, amplifier and leads
	volts   float64 // V rms of the amplifier at its limit; 0 unknown
	limits  thielesmall.Limits
	filters []thielesmall.Filter
	lowPass float64
	drive   float64 // V rms, at which curves are stated
}

// haste is what is left out for many drivers in turn.
type haste struct {
	brief  bool           // designs are only to be compared: without advice and panels
	quick  bool           // see search.Task
	memory *search.Memory // that the model may use; nil: its own
}

func newRig(req *Request) (*rig, error) {
	p := &rig{req: req}
	if err := p.prepare(); err != nil {
		return nil, err
	}
	if err := p.fit(); err != nil {
		return nil, err
	}
	var err error
	p.drive, err = p.driveVolts()
	return p, err
}

// prepare makes ready what does not depend on the driver.
func (p *rig) prepare() error {
	conditions := p.req.Air
	if conditions == (thielesmall.Conditions{}) {
		conditions = thielesmall.Reference()
		p.assume("air: 20 C, 101.325 kPa and 50 %% humidity")
	}
	var err error
	if p.air, err = conditions.Air(); err != nil {
		return err
	}
	if text := conditions.Extrapolated(); text != "" {
		p.assume("%s", text)
	}
	p.setAmplifier()
	p.grades = p.table()
	p.setCabin()
	return nil
}

// fit wires the driver.
func (p *rig) fit() error {
	var err error
	if p.single, p.set, p.findings, err = p.req.Driver.Wire(max(1, p.req.Mount.Count), p.req.Mount.Wiring); err != nil {
		return err
	}
	if m := p.req.Mount; m.Count > 1 && m.Wiring.Drivers == thielesmall.Unstated {
		p.assume("the drivers are wired in parallel: mount.wiring does not say")
	}
	p.limits.RatedPower, p.limits.Nominal, p.limits.Xmax = p.set.Power, p.set.Impedance, p.set.Xmax
	p.findings = graveFirst(append(p.findings, metal(p.req.Frame, p.single)...))
	if q := p.req.Passive; q != nil {
		var remarks []thielesmall.Finding
		if p.onHand, remarks, err = q.stockOf(); err != nil {
			return err
		}
		p.findings = append(p.findings, remarks...)
	}
	p.rate()
	p.findings = append(p.findings, p.weak()...)
	p.model, err = search.New(p.task())
	return err
}

func (p *rig) assume(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if !slices.Contains(p.assumptions, text) {
		p.assumptions = append(p.assumptions, text)
	}
}

func (p *rig) setAmplifier() {
	a := p.req.Amplifier
	if a == nil {
		return
	}
	p.source = a.Source + a.Leads
	if a.Power > 0 && a.Into > 0 {
		p.volts = math.Sqrt(a.Power * a.Into)
		p.limits.AmplifierVolts = p.volts
	}
	p.filters = a.Filters
	for _, f := range a.Filters {
		if f.Kind == thielesmall.LowPass {
			p.lowPass = f.Frequency
		}
	}
	p.assumptions = append(p.assumptions, a.Assumed...)
}

// qtcStep is how near to the one Qtc wished for a box has to come: the last figure to which it is stated.
const qtcStep = 0.01

// wishedQtc is the one Qtc that the job wishes for; 0 when it gives none, or a range.
func (p *rig) wishedQtc() float64 {
	if q := p.req.Limits.Qtc; q[0] == q[1] {
		return q[0]
	}
	return 0
}

func (p *rig) setCabin() {
	v := p.req.Vehicle
	switch {
	case v == nil:
	case len(v.Measured) > 0:
		p.cabin = func(f float64) float64 { return interpolate(v.Measured, f) }
	case v.CabinLength > 0:
		leak := v.Leak
		if leak == 0 {
			leak = cabinLeak
		}
		p.cabin = func(f float64) float64 { return thielesmall.CabinGain(p.air, v.CabinLength, leak, f) }
	}
}

// interpolate reads a measured gain curve, linear in log frequency and held flat beyond its ends.
// Rows must be in order of rising frequency.
func interpolate(rows []GainPoint, f float64) float64 {
	if f <= rows[0].Frequency {
		return rows[0].Gain
	}
	for i := 1; i < len(rows); i++ {
		a, b := rows[i-1], rows[i]
		if f <= b.Frequency {
			t := math.Log(f/a.Frequency) / math.Log(b.Frequency/a.Frequency)
			return a.Gain + t*(b.Gain-a.Gain)
		}
	}
	return rows[len(rows)-1].Gain
}

// driveVolts is the drive at which curves are stated.
func (p *rig) driveVolts() (float64, error) {
	switch p.req.Drive.Mode {
	case "", "volts":
		if p.req.Drive.Volts > 0 {
			return p.req.Drive.Volts, nil
		}
		return defaultVolts, nil
	case "1W":
		if p.set.Impedance <= 0 {
			return 0, fmt.Errorf("drive: 1W: needs the driver's nominal impedance (driver.impedance)")
		}
		return math.Sqrt(p.set.Impedance), nil
	case "amp":
		if p.volts <= 0 {
			return 0, fmt.Errorf("drive: amp: needs amplifier.power and amplifier.into")
		}
		return p.volts, nil
	}
	return 0, fmt.Errorf("drive: %s: must be a voltage, 1W or amp", p.req.Drive.Mode)
}
