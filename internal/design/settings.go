package design

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cubby/internal/cavity"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
)

// A Knob is what is set on the amplifier or the processor before it.
type Knob int8

// The knobs, in the order in which they are dialled in.
const (
	HighPassKnob Knob = iota
	LowPassKnob
	BoostKnob
	GainKnob
	VoltageKnob
	DelayKnob
)

// String names the knob as machine output writes it.
func (k Knob) String() string {
	return [...]string{"high-pass", "low-pass", "boost or cut", "gain down", "voltage", "delay"}[k]
}

// A Setting is one thing to dial in before the box plays.
type Setting struct {
	Knob  Knob
	Value float64 // Hz, dB, V rms or ms
	Unit  string  // "Hz" "dB" "V" "ms"
	Words string  // how, and why
}

// Figure is the value as it is read off a knob.
func (s Setting) Figure() string {
	switch {
	case s.Unit == "Hz":
		return fmt.Sprintf("%g Hz", math.Round(s.Value*10)/10)
	case s.Knob == BoostKnob:
		return fmt.Sprintf("%+.1f dB", s.Value)
	}
	return fmt.Sprintf("%.1f %s", s.Value, s.Unit)
}

// Text is the setting in a line, without a full stop.
func (s Setting) Text() string { return s.Knob.String() + " " + s.Figure() + ", " + s.Words }

// Settings are what is set for a design, in the order in which it is done; without an amplifier only those for the vehicle.
func (r *Result) Settings(d *Design) []Setting {
	return r.Request.settings(d.Evaluation.Settings, &d.Fitting.Cabin)
}

// Settings are what is set for a ready-made box, as for a design.
func (r *CheckResult) Settings(j *Judged) []Setting {
	return r.Request.settings(j.Evaluation.Settings, &j.Fitting.Cabin)
}

func (q *Request) settings(s search.Settings, cabin *CabinTuning) []Setting {
	var all []Setting
	a := q.Amplifier
	if a == nil {
		a = &Amplifier{}
	}
	stated := func(kind thielesmall.FilterKind, knob Knob) bool {
		for _, f := range a.Filters {
			if f.Kind == kind {
				all = append(all, Setting{knob, f.Frequency, "Hz", fmt.Sprintf("%d dB an octave, as stated", 6*f.Order)})
				return true
			}
		}
		return false
	}
	if !stated(thielesmall.HighPass, HighPassKnob) && s.HighPass > 0 {
		all = append(all, Setting{HighPassKnob, s.HighPass, "Hz", "24 dB an octave, to hold the cone"})
	}
	stated(thielesmall.LowPass, LowPassKnob)
	if cabin.Gain != 0 {
		all = append(all, Setting{BoostKnob, cabin.Gain, "dB", fmt.Sprintf("at %.0f Hz, Q %g", cabin.Frequency, cabin.Q)})
	}
	if down := math.Round(s.Turn*10) / 10; s.Volts > 0 && down > 0 {
		all = append(all, Setting{GainKnob, down, "dB", "from full: " + search.Watts(s.Allowed) + " allowed"})
	}
	if s.Volts > 0 {
		sine := 50.0
		if cabin.Gain > 0 {
			sine = cabin.Frequency
		}
		all = append(all, Setting{VoltageKnob, s.Volts, "V", fmt.Sprintf("rms, %.0f Hz sine, speaker off", sine)})
	}
	if cabin.Delay > 0 {
		all = append(all, Setting{DelayKnob, cabin.Delay * 1000, "ms", "on the " + cabin.nearer()})
	}
	return all
}

// StandingText says on what the box of a design stands, in the job's units.
func (q *Request) StandingText(d *Design) string {
	p := rig{req: q}
	return p.standingText(&d.Placed.Stands)
}

// SizePoint is a point of a trade-off of size with the outside of the box that asks least of the shop there.
type SizePoint struct {
	search.SizePoint
	Outside [3]float64 // across, depth, height, m; of the model: before it is rounded for the saw
}

// sized gives the points of a trade-off their outside sizes.
func (f *finder) sized(points []search.SizePoint) []SizePoint {
	all := make([]SizePoint, 0, len(points))
	small := map[wayOf]bool{}
	for _, p := range slices.Backward(points) {
		if size, ok := f.outsideFor(p.Candidate, small); ok {
			all = append(all, SizePoint{p, size})
		}
	}
	slices.Reverse(all)
	return all
}

// wayOf is a way to make a stand smaller.
type wayOf struct {
	stand int
	way   cavity.Way
}

// outsideFor is the outside of a candidate's box in the first stand that holds it, in the way that asks least of the shop and
// takes the driver; false when none does. The ways in which a larger box was too small for the driver are passed over.
func (f *finder) outsideFor(c search.Candidate, small map[wayOf]bool) (size [3]float64, ok bool) {
	for i := range f.stands {
		s := &f.stands[i]
		if c.Kind == search.Passive {
			if s = s.radiators; s == nil {
				continue
			}
		}
		if s.net < c.Volume*(1-slack) {
			continue
		}
		for _, t := range f.trials(s, &search.Place{}, c) {
			m := made{way: t.way}
			if small[wayOf{i, t.way}] {
				continue
			}
			if box, err := f.plan(&m, s, f.shareFor(&s.region, t.way, t.air)); err == nil && f.failedWood(box) == nil {
				return sizesOf(&m.region), true
			}
			small[wayOf{i, t.way}] = true
		}
	}
	return size, false
}

// sizesOf is how far a region goes across, in depth and in height, m.
func sizesOf(r *cavity.Region) [3]float64 {
	b := r.Bounds()
	return [3]float64{b.Max.X - b.Min.X, b.Max.Y - b.Min.Y, b.Max.Z - b.Min.Z}
}

// Size is the outside of the box, bare wood: across, depth and height, m.
func (d *Design) Size() [3]float64 {
	lo, hi := d.Box.Spec.Outside.Bounds()
	return [3]float64{hi.X - lo.X, hi.Y - lo.Y, hi.Z - lo.Z}
}

// band fills the 10 and 90 % marks of the level into curves, at their drive and with the filters of the circuit.
func (s *Spread) band(points []CurvePoint, circuit *thielesmall.Circuit, volts float64) {
	for i := range points {
		p := &points[i]
		p.LevelLow, p.LevelHigh = math.NaN(), math.NaN()
		low, high, ok := s.levelAt(p.Frequency)
		if !ok {
			continue
		}
		filter := circuit.Filter(p.Frequency)
		shift := 20 * math.Log10(volts*math.Hypot(real(filter), imag(filter)))
		p.LevelLow, p.LevelHigh = low+shift, high+shift
	}
}

// levelAt reads the marks of the level for one volt, linear in log frequency; false beyond their frequencies.
func (s *Spread) levelAt(hz float64) (low, high float64, ok bool) {
	const near = 1e-9 // relative: 10 Hz of a grid is 10 Hz
	for i := 1; i < len(s.Frequencies); i++ {
		a, b := s.Frequencies[i-1], s.Frequencies[i]
		if hz < a*(1-near) || hz > b*(1+near) {
			continue
		}
		t := math.Log(hz/a) / math.Log(b/a)
		x, y := s.Level[i-1], s.Level[i]
		return x.Low + t*(y.Low-x.Low), x.High + t*(y.High-x.High), true
	}
	return 0, 0, false
}

// mayPlay says at how much of the power a box may play.
func mayPlay(s search.Settings) string {
	return fmt.Sprintf("it may play at %s of %.0f W", strings.TrimSuffix(search.Watts(s.Allowed), " W"), s.Full)
}
