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
	qtc       float64 // sealed only
	excursion float64 // peak m at the amplifier's limit, with filters, from grades.lowest up; NaN without an amplifier
	guarded   float64 // the same behind the high-pass that would be advised when the job states none
	portSpeed float64 // peak m/s likewise; 0 sealed
	peak, dip float64 // dB, without filters
	sigma     float64 // dB, aim flat
	meanLow   float64 // dB, M(20,40)
	meanLoud  float64 // dB, M(30,80)
	penalty   float64 // P of the aims
	beyond    limit   // beyond which the candidate may not be chosen; nothing: it may
}

// A limit is what rules a candidate out.
type limit uint8

const (
	nothing limit = iota // then it is the space that rules it out
	ofExcursion
	ofQtc
	ofPeak
	ofDip
	ofPortSpeed
)

var limitNames = [...]string{"space", "excursion", "Qtc", "peak", "dip", "port air speed"}

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

// A hearing is what the candidates of one net volume and tuning have in common, whatever their port's area: the answer to one
// volt on searchGrid without filters, the square of the filters' magnitude, and that of the drive that every limit but the
// port's allows.
type hearing struct {
	answers []thielesmall.Answer
	drive   []float64
	flow    float64 // (m3/s)^2, the largest peak out of the ports at the amplifier's limit
	sound   sound   // without what depends on the port
}

// The bands of searchGrid over which the aims take means: indices of the first frequency and the one after the last.
var (
	lowBand  = gridBand(meanFrom, 40) // M(20,40)
	loudBand = gridBand(30, meanTo)   // M(30,80)
	freeBand = gridBand(30, 80)       // sigma in free field
	carBand  = gridBand(25, 80)       // and in a cabin
	peakBand = gridBand(0, 100)
)

// The means of the maximum level, M(20,40) and M(30,80), lie between these.
const meanFrom, meanTo = 20.0, 80.0 // Hz

func gridBand(lo, hi float64) [2]int {
	b := [2]int{0, len(searchGrid)}
	for b[0] < len(searchGrid) && searchGrid[b[0]] < lo {
		b[0]++
	}
	for b[1] > 0 && searchGrid[b[1]-1] > hi {
		b[1]--
	}
	return b
}

// newHearing makes room for one.
func newHearing() hearing {
	n := len(searchGrid)
	return hearing{answers: make([]thielesmall.Answer, n), drive: make([]float64, n)}
}

// filterSquares is the square of the magnitude of the job's filters on a grid.
func (p *plant) filterSquares(grid []float64) []float64 {
	square := make([]float64, len(grid))
	for i, f := range grid {
		square[i] = 1
		for _, flt := range p.filters {
			m := cmplx.Abs(flt.Response(f))
			square[i] *= m * m
		}
	}
	return square
}

// butterworthHighPass is the square of the magnitude at f of a Butterworth high-pass of order 4:
// |H|^2 = f^8 / (fc^8 + f^8).
func butterworthHighPass(f, fc float64) float64 {
	f8 := eighth(f)
	return f8 / (eighth(fc) + f8)
}

func eighth(x float64) float64 {
	x *= x
	x *= x
	return x * x
}

// searchEighths are the eighth powers of searchGrid.
var searchEighths = func() []float64 {
	g := make([]float64, len(searchGrid))
	for i, f := range searchGrid {
		g[i] = eighth(f)
	}
	return g
}()

// listen turns the answers of a box tuned to fb (0: sealed) into what does not depend on the area of its ports.
func (h *hunt) listen(fb float64) {
	e := &h.ear
	corner := h.corner(fb)
	x, guarded, flow := 0.0, 0.0, 0.0
	for i := h.judgeFrom; i < len(e.answers); i++ {
		a, filter := &e.answers[i], h.filter(i, corner)
		y := a.Excursion * filter
		if y > x {
			x = y
		}
		if y *= guard[i]; y > guarded {
			guarded = y
		}
		if y := a.Flow * filter; y > flow {
			flow = y
		}
	}
	h.driveIn([2]int{lowBand[0], loudBand[1]}, corner)
	e.sound, e.flow = sound{excursion: math.NaN()}, h.volts*h.volts*flow
	if h.volts > 0 {
		e.sound.excursion, e.sound.guarded = h.volts*math.Sqrt(x), h.volts*math.Sqrt(guarded)
	}
	e.sound.peak, e.sound.dip = peakAndDip(e.answers[peakBand[0]:peakBand[1]], h.reference)
	if h.req.Aim == Flat {
		e.sound.sigma = h.deviation(e.answers)
	}
}

// corner is the eighth power of the corner of the high-pass that a box tuned to fb is searched behind; 0 for none.
func (h *hunt) corner(fb float64) float64 {
	if h.highPass || fb == 0 {
		return 0
	}
	return eighth(assumedHighPass * fb)
}

// filter is the square of the magnitude of the filters at number i of searchGrid, the assumed high-pass among them.
func (h *hunt) filter(i int, corner float64) float64 {
	if corner > 0 {
		return h.stated[i] * (searchEighths[i] / (corner + searchEighths[i]))
	}
	return h.stated[i]
}

// driveIn sets the drive that every limit but the port's allows in a band of searchGrid.
func (h *hunt) driveIn(band [2]int, corner float64) {
	for i := band[0]; i < band[1]; i++ {
		h.ear.drive[i] = h.ceilings.Drive(&h.ear.answers[i], h.filter(i, corner))
	}
}

// through completes what was heard for ports of the given area, m2 together, and judges it. Of the means it takes those that
// the aim looks at, and none of what may not be chosen.
func (h *hunt) through(area float64, kind Kind) sound {
	s := h.ear.sound
	s.portSpeed = math.Sqrt(h.ear.flow) / area
	if h.penalise(&s, kind); s.beyond != nothing {
		return s
	}
	switch h.req.Aim {
	case Flat:
	case Loud:
		s.meanLoud = h.meanMaximum(loudBand, area)
	default:
		s.meanLow = h.meanMaximum(lowBand, area)
	}
	return s
}

// meanMaximum is the mean over log frequency of the maximum level in a band of searchGrid, dB. The product of a band's few
// squares of pressure stays far from overflow, so that one logarithm is enough.
func (h *hunt) meanMaximum(band [2]int, area float64) float64 {
	product := 1.0
	for i := band[0]; i < band[1]; i++ {
		product *= h.ceilings.Pressure(&h.ear.answers[i], h.ear.drive[i], area)
	}
	n := float64(band[1] - band[0])
	return thielesmall.SquareLevel(1) + 10*math.Log10(product)/n
}

// deviation is the rms deviation of the level from its own mean, 30 to 80 Hz, or with the cabin 25 to 80 Hz (aim flat).
func (h *hunt) deviation(answers []thielesmall.Answer) float64 {
	band := freeBand
	if h.cabin != nil {
		band = carBand
	}
	var sum, squares float64
	for i := band[0]; i < band[1]; i++ {
		level := thielesmall.SquareLevel(answers[i].Pressure)
		if h.cabin != nil {
			level += h.cabin(searchGrid[i])
		}
		sum += level
		squares += level * level
	}
	n := float64(band[1] - band[0])
	mean := sum / n
	return math.Sqrt(math.Max(0, squares/n-mean*mean))
}

// halfPower is 3.0103 dB down as a ratio of squares.
var halfPower = math.Pow(10, -0.30103)

// peakAndDip gives the largest level over the reference (as its square, Pa^2) up to 100 Hz, and the deepest fall that is
// followed by a rise between 100 Hz and the first crossing of reference - 3 dB on the way down from the largest level.
func peakAndDip(answers []thielesmall.Answer, reference float64) (peak, dip float64) {
	top := 0
	for i := range answers {
		if answers[i].Pressure > answers[top].Pressure {
			top = i
		}
	}
	start := top
	for start > 0 && answers[start].Pressure >= reference*halfPower {
		start--
	}
	// The deepest fall is the ratio high/low: compared without dividing. Up to the top the highest level below decides, from
	// there on the highest above.
	high, low := 1.0, 1.0
	after := 0.0
	for i := len(answers) - 1; i > top; i-- {
		p := answers[i].Pressure
		if p > after {
			after = p
		} else if after*low > high*p {
			high, low = after, p
		}
	}
	before := 0.0
	for i := start; i < top; i++ {
		p := answers[i].Pressure
		if p > before {
			before = p
		} else if before*low > high*p {
			high, low = before, p
		}
	}
	if high > low {
		dip = 10 * math.Log10(high/low)
	}
	if answers[top].Pressure > reference {
		peak = 10 * math.Log10(answers[top].Pressure/reference)
	}
	return peak, dip
}

// penalise sets P, the sum over a candidate's marginal checks of how far it is from pass to fail, and rules out what fails.
func (p *plant) penalise(s *sound, kind Kind) {
	add := func(what limit, value, pass, fail float64) {
		if math.IsNaN(value) || value <= pass {
			return
		}
		if value > fail {
			s.beyond = what
			return
		}
		s.penalty += (value - pass) / (fail - pass)
	}
	if x := p.set.Xmax; x > 0 {
		value, fail := s.excursion, p.excursionFail()
		if value > fail && !p.highPass && s.guarded <= guardedShare*x {
			value = fail // marginal: the high-pass that holds it is advised
		}
		add(ofExcursion, value, x, fail)
	}
	if kind == Sealed {
		add(ofQtc, s.qtc, p.pass.qtcHigh, p.pass.qtcFail)
		return
	}
	add(ofPeak, s.peak, p.pass.peak, p.pass.peakFail)
	add(ofDip, s.dip, p.pass.dip, p.pass.dip) // a vented design with a dip beyond pass is not offered
	add(ofPortSpeed, s.portSpeed, p.pass.portSpeed, p.pass.portSpeedFail)
}

// A sealed box whose job states no high-pass is also tried behind the one that a fitter would set, of order 4.
const (
	guardFrequency = 30.0 // Hz
	guardedShare   = 1.5  // of Xmax, the most that the excursion may then be (common practice)
)

// guard is the square of the magnitude of that filter on searchGrid.
var guard = func() []float64 {
	g := make([]float64, len(searchGrid))
	for i, f := range searchGrid {
		g[i] = butterworthHighPass(f, guardFrequency)
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
