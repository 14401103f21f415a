package design

import (
	"fmt"
	"math"

	"cubby/internal/cavity"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
)

// A Knob is what is set on the amplifier.
type Knob int8

// The knobs, in the order in which they are dialled in.
const (
	HighPassKnob Knob = iota
	LowPassKnob
	GainKnob
	VoltageKnob
)

// String names the knob as machine output writes it.
func (k Knob) String() string { return [...]string{"high-pass", "low-pass", "gain down", "voltage"}[k] }

// A Setting is one thing to dial in before the box plays.
type Setting struct {
	Knob  Knob
	Value float64 // Hz, dB or V rms
	Unit  string  // "Hz" "dB" "V"
	Text  string  // what to do, without a full stop
}

// Settings are what the amplifier is set to for a design, in the order in which it is done; none without an amplifier.
func (q *Request) Settings(d *Design) []Setting {
	a := q.Amplifier
	if a == nil {
		return nil
	}
	var all []Setting
	s := d.Evaluation.Settings
	stated := func(kind thielesmall.FilterKind, knob Knob, name string) bool {
		for _, f := range a.Filters {
			if f.Kind == kind {
				all = append(all, Setting{knob, f.Frequency, "Hz", fmt.Sprintf("%s at %.0f Hz, %d dB an octave, as the job has it", name, f.Frequency, 6*f.Order)})
				return true
			}
		}
		return false
	}
	if !stated(thielesmall.HighPass, HighPassKnob, "high-pass") && s.HighPass > 0 {
		all = append(all, Setting{HighPassKnob, s.HighPass, "Hz", fmt.Sprintf("high-pass at %.0f Hz, 24 dB an octave, to keep the cone within reach", s.HighPass)})
	}
	stated(thielesmall.LowPass, LowPassKnob, "low-pass")
	if s.Volts <= 0 {
		return all
	}
	if down := math.Round(s.Turn*10) / 10; down > 0 {
		all = append(all, Setting{GainKnob, down, "dB", fmt.Sprintf("gain %.1f dB below the amplifier's full power: %.0f W", down, s.Allowed)})
	}
	return append(all, Setting{VoltageKnob, s.Volts, "V", fmt.Sprintf("no more than %.1f V rms on the meter with a sine near 50 Hz, the loudspeaker disconnected", s.Volts)})
}

// StandingText says on what the box of a design stands, in the job's units.
func (q *Request) StandingText(d *Design) string {
	p := rig{req: q}
	return p.standingText(&d.Placed.Stands)
}

// StandingText says on what the box of a design stands, in the job's units.
func (r *Result) StandingText(d *Design) string { return r.Request.StandingText(d) }

// SizePoint is a point of a trade-off of size with the outside of the box that asks least of the shop there.
type SizePoint struct {
	search.SizePoint
	Outside [3]float64 // across, depth, height, m; of the model: before it is rounded for the saw
}

// sized gives the points of a trade-off their outside sizes.
func (f *finder) sized(points []search.SizePoint) []SizePoint {
	all := make([]SizePoint, 0, len(points))
	for _, p := range points {
		if size, ok := f.outsideFor(p.Candidate); ok {
			all = append(all, SizePoint{p, size})
		}
	}
	return all
}

// outsideFor is the outside of a candidate's box in the first stand that holds it, in the way that asks least of the shop and
// takes the driver; false when none does.
func (f *finder) outsideFor(c search.Candidate) (size [3]float64, ok bool) {
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
		for _, t := range f.trials(s, c) {
			share, ok := f.shareFor(&s.region, t.way, t.air)
			if !ok {
				continue
			}
			m := made{way: t.way}
			if box, err := f.plan(&m, s, share); err == nil && f.failedWood(box) == nil {
				return sizesOf(&m.region), true
			}
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
