package design

import (
	"math"
	"math/cmplx"

	"cubby/internal/thielesmall"
)

// searchGrid is where candidates are listened to: 10 to 200 Hz, twelve points an octave. Responses of boxes change
// slowly (a resonance of Q 1 spans an octave), so means and peaks on it are within 0.05 dB of a grid eight times as fine.
var searchGrid = logGrid(10, 200, 53)

// logGrid gives n frequencies from lo to hi, both included, evenly spaced in log frequency.
func logGrid(lo, hi float64, n int) []float64 {
	g := make([]float64, n)
	for i := range g {
		g[i] = lo * math.Pow(hi/lo, float64(i)/float64(n-1))
	}
	g[n-1] = hi
	return g
}

// sound is what the search knows of the acoustics of one candidate.
type sound struct {
	qtc        float64 // sealed only
	excursion  float64 // peak m at the amplifier's limit, with filters, from grades.lowest up; NaN without an amplifier
	guarded    float64 // the same behind the high-pass that would be advised when the job states none
	portSpeed  float64 // peak m/s likewise; 0 sealed
	peak, dip  float64 // dB, without filters
	sigma      float64 // dB, aim flat
	meanLow    float64 // dB, M(20,40)
	meanLoud   float64 // dB, M(30,80)
	penalty    float64 // P of the aims
	infeasible string  // why the candidate may not be chosen; empty: it may
}

// box gives the air behind the cones for a candidate of net volume v and the given ports.
func (p *plant) box(v float64, ports []thielesmall.Port) thielesmall.Box {
	b := thielesmall.Box{Volume: v, Ports: ports}
	if len(ports) > 0 {
		b.LeakQ = ventedLeakQ
	}
	return b
}

// circuit is the candidate's circuit, through filters when they are given.
func (p *plant) circuit(b thielesmall.Box, filters []thielesmall.Filter) (*thielesmall.Circuit, error) {
	return thielesmall.NewCircuit(thielesmall.System{
		Air: p.air, Driver: p.set, Box: b, Source: p.source, Filters: filters,
	})
}

// response is a candidate's answer to one volt on searchGrid, without filters, and the filters' magnitude beside it.
type response struct {
	points []thielesmall.Point
	filter []float64
}

func (p *plant) respond(b thielesmall.Box, fb float64) (response, error) {
	c, err := p.circuit(b, nil)
	if err != nil {
		return response{}, err
	}
	r := response{make([]thielesmall.Point, len(searchGrid)), p.filterCurve(fb)}
	for i, f := range searchGrid {
		r.points[i] = c.At(f, 1)
	}
	return r, nil
}

// filterCurve is the magnitude on searchGrid of the filters that a box of that tuning plays through, see filtersFor.
func (p *plant) filterCurve(fb float64) []float64 {
	if p.stated == nil {
		p.stated = make([]float64, len(searchGrid))
		for i, f := range searchGrid {
			p.stated[i] = 1
			for _, flt := range p.filters {
				p.stated[i] *= cmplx.Abs(flt.Response(f))
			}
		}
	}
	if p.highPass || fb == 0 {
		return p.stated
	}
	curve := make([]float64, len(searchGrid))
	for i, f := range searchGrid {
		curve[i] = p.stated[i] * butterworthHighPass(f, assumedHighPass*fb, assumedOrder)
	}
	return curve
}

// butterworthHighPass is the magnitude of a Butterworth high-pass of order n at f: |H|^2 = (f/fc)^2n / (1 + (f/fc)^2n).
func butterworthHighPass(f, fc float64, n int) float64 {
	r := math.Pow(f/fc, float64(2*n))
	return math.Sqrt(r / (1 + r))
}

// The means of the maximum level, M(20,40) and M(30,80), lie between these.
const meanFrom, meanTo = 20.0, 80.0 // Hz

// listen turns a response into figures. speedScale multiplies port speeds, so that one response serves every port area
// at the same tuning: the port's flow is set by the box, the speed by its area.
func (p *plant) listen(r response, reference, speedScale float64) sound {
	s := sound{excursion: math.NaN()}
	if p.volts > 0 {
		s.excursion = 0
	}
	maximum := make([]float64, len(searchGrid))
	for i, pt := range r.points {
		pt.PortSpeed *= speedScale
		if pt.Frequency >= meanFrom && pt.Frequency <= meanTo {
			maximum[i], _ = p.limits.Ceiling(pt, r.filter[i])
		}
		if p.volts > 0 && pt.Frequency >= p.pass.lowest*(1-1e-9) {
			drive := p.volts * r.filter[i]
			s.excursion = math.Max(s.excursion, pt.Excursion*drive)
			s.guarded = math.Max(s.guarded, pt.Excursion*drive*guard[i])
			s.portSpeed = math.Max(s.portSpeed, pt.PortSpeed*drive)
		}
	}
	s.meanLow = p.meanOver(maximum, meanFrom, 40)
	s.meanLoud = p.meanOver(maximum, 30, meanTo)
	s.peak, s.dip = peakAndDip(r.points, reference)
	s.sigma = p.deviation(r.points)
	return s
}

// meanOver is the mean over log frequency of a quantity on searchGrid between two frequencies.
func (p *plant) meanOver(values []float64, lo, hi float64) float64 {
	sum, n := 0.0, 0
	for i, f := range searchGrid {
		if f >= lo && f <= hi {
			sum += values[i]
			n++
		}
	}
	return sum / float64(n)
}

// deviation is the rms deviation of the level from its own mean, 30 to 80 Hz, or with the cabin 25 to 80 Hz (aim flat).
func (p *plant) deviation(points []thielesmall.Point) float64 {
	lo := 30.0
	if p.cabin != nil {
		lo = 25
	}
	var sum, squares float64
	n := 0
	for _, pt := range points {
		if pt.Frequency < lo || pt.Frequency > 80 {
			continue
		}
		level := pt.Level
		if p.cabin != nil {
			level += p.cabin(pt.Frequency)
		}
		sum += level
		squares += level * level
		n++
	}
	mean := sum / float64(n)
	return math.Sqrt(math.Max(0, squares/float64(n)-mean*mean))
}

// peakAndDip gives the largest level over the reference up to 100 Hz, and the deepest fall that is followed by a rise
// between 100 Hz and the first crossing of reference - 3 dB on the way down from the largest level.
func peakAndDip(points []thielesmall.Point, reference float64) (peak, dip float64) {
	end, top := 0, 0
	for end < len(points) && points[end].Frequency <= 100 {
		if points[end].Level > points[top].Level {
			top = end
		}
		end++
	}
	start := top
	for start > 0 && points[start].Level >= reference-3.0103 {
		start--
	}
	before := math.Inf(-1)
	for i := start; i < end; i++ {
		before = math.Max(before, points[i].Level)
		after := math.Inf(-1)
		for _, q := range points[i:end] {
			after = math.Max(after, q.Level)
		}
		dip = math.Max(dip, math.Min(before, after)-points[i].Level)
	}
	return math.Max(0, points[top].Level-reference), dip
}

// penalise sets P, the sum over a candidate's marginal checks of how far it is from pass to fail, and rules out what fails.
func (p *plant) penalise(s *sound, kind Kind) {
	add := func(what string, value, pass, fail float64) {
		if math.IsNaN(value) || value <= pass {
			return
		}
		if value > fail {
			s.infeasible = what
			return
		}
		s.penalty += (value - pass) / (fail - pass)
	}
	if x := p.set.Xmax; x > 0 {
		value, fail := s.excursion, p.excursionFail()
		if value > fail && !p.highPass && s.guarded <= guardedShare*x {
			value = fail // marginal: the high-pass that holds it is advised
		}
		add("excursion", value, x, fail)
	}
	if kind == Sealed {
		add("Qtc", s.qtc, p.pass.qtcHigh, p.pass.qtcFail)
		return
	}
	add("peak", s.peak, p.pass.peak, p.pass.peakFail)
	add("dip", s.dip, p.pass.dip, p.pass.dip) // a vented design with a dip beyond pass is not offered
	add("port air speed", s.portSpeed, p.pass.portSpeed, p.pass.portSpeedFail)
}

// A sealed box whose job states no high-pass is also tried behind the one that a fitter would set.
const (
	guardFrequency = 30.0 // Hz, order 4
	guardOrder     = 4
	guardedShare   = 1.5 // of Xmax, the most that the excursion may then be (common practice)
)

func guardFilter() thielesmall.Filter {
	return thielesmall.Filter{Kind: thielesmall.HighPass, Type: thielesmall.Butterworth, Order: guardOrder, Frequency: guardFrequency}
}

// guard is the magnitude of guardFilter on searchGrid.
var guard = func() []float64 {
	g := make([]float64, len(searchGrid))
	for i, f := range searchGrid {
		g[i] = butterworthHighPass(f, guardFrequency, guardOrder)
	}
	return g
}()

// excursionFail is the peak excursion beyond which the grade is fail: Xmech when it is known, else twice Xmax.
func (p *plant) excursionFail() float64 {
	if p.set.Xmech > p.set.Xmax {
		return p.set.Xmech
	}
	return 2 * p.set.Xmax
}
