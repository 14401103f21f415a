package search

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/thielesmall"
)

// response is what a box of one volume and tuning does, whatever its port's area: the driver's own limits and the
// settings are in it.
type response struct {
	volume, tuning float64
	radiator       thielesmall.Radiator // passive: with its mass
	closed, built  bool                 // air that is shut in holds the cone, whatever the frequency; the box is there
	answers        []thielesmall.Answer // one volt, no filters
	load           load
	figures        Figures
	loudness
	shape  float64 // of the penalty
	out    Reason
	excess float64 // how far it is out, dB or tenths of Qtc, all reasons together
}

// loudness is how loud a box plays without the port's limit.
type loudness struct {
	played  bool      // the rest is filled in
	drive   []float64 // V^2 that every limit but the port's allows, no high-pass
	mean    float64   // of the aim's band
	carried float64   // (m3/s)^2, the largest that the ports carry in it
}

// load is what P0 does to a box behind the filters.
type load struct {
	highPass  float64 // Hz, advised; 0 none
	share     float64 // of P0 that excursion allows
	flow      float64 // (m3/s)^2, the largest out of the ports
	excursion float64 // m, of each cone
	radiator  float64 // m, of each radiator
}

// solve evaluates a box of a kind, volume, tuning (0 sealed) and effective port length into r, whose slices are reused. It
// keeps from what rules a box out.
func (m *Model) solve(r *response, k Kind, volume, tuning, length float64, keep margins) {
	r.reset(volume, tuning)
	b := thielesmall.Lump{Volume: volume, Tuning: tuning, LeakQ: m.ql(k)}
	if k == Vented && !m.Lumps {
		b.Length = length
	}
	if k == Passive {
		r.radiator = m.Radiator.Tuned(m.Air, volume, tuning)
		if mass := r.radiator.Mms; !grade.AtLeast(mass, m.Radiator.Mms) || !grade.AtMost(mass, m.Radiator.Mms+m.Radiator.MostAdded) {
			r.exceed(OfMass, 2*hopeless)
			return
		}
		b.Passive = r.radiator
	}
	m.kernel.Solve(b, r.answers)
	m.judge(r, k, keep)
}

func (r *response) reset(volume, tuning float64) {
	answers, drive := r.answers, r.drive
	if answers == nil {
		answers, drive = make([]thielesmall.Answer, len(frequencies)), make([]float64, len(frequencies))
	}
	*r = response{volume: volume, tuning: tuning, closed: tuning == 0, answers: answers, loudness: loudness{drive: drive}, load: load{share: 1}}
}

// judge fills in what follows from the answers; it stops at what rules the box out, unless that was built.
func (m *Model) judge(r *response, k Kind, keep margins) {
	if r.shapeOf(m, k, keep.level); r.excess > hopeless && !r.built {
		return
	}
	m.set(r, k)
	if least := m.grades[grade.LeastShare].Value(); r.load.share < least*(1-grade.Slack) {
		if r.exceed(OfExcursion, 10*math.Log10(least/r.load.share)); r.excess > hopeless && !r.built {
			return
		}
	}
	r.figures.F10 = m.corner(r)
	if m.Aim == Flat {
		r.figures.Sigma = m.sigma(r)
	}
	if m.levels() {
		m.play(r, k)
	}
}

// play finds how loud a box plays without the port's limit, once.
func (m *Model) play(r *response, k Kind) {
	if !r.played {
		m.limitDrive(r, k)
		r.mean, r.played = m.meanThrough(r, m.band(), math.Inf(1)), true
		for i, last := edges[m.band()[0]], edges[m.band()[1]]; i <= last; i++ {
			r.carried = max(r.carried, r.drive[i]*r.answers[i].Flow)
		}
	}
}

// levels reports whether what is looked for depends on how loud a box plays.
func (m *Model) levels() bool {
	return m.Aim != Flat || m.wish.goal != serve || !math.IsInf(m.wish.least, -1)
}

// hopeless is how far a response may be out and still lead to one nearby that is not.
const hopeless = 3

// exceed notes that a response is out, and how far.
func (r *response) exceed(why Reason, excess float64) {
	if r.out == Feasible {
		r.out = why
	}
	r.excess += excess
}

// shapeOf finds Qtc, or peak and dip, and their share of the penalty.
func (r *response) shapeOf(m *Model, k Kind, keep float64) {
	g := &m.grades
	if k == Sealed {
		if r.figures.Qtc == 0 { // else it is that of a circuit
			r.figures.Qtc = m.Driver.QtsWith(m.Amplifier.Source) * math.Sqrt(1+m.Driver.Vas(m.Air)/r.volume)
		}
		if !grade.AtMost(r.figures.Qtc, g[grade.QtcHigh].Marginal) {
			r.exceed(OfQtc, 10*(r.figures.Qtc-g[grade.QtcHigh].Marginal))
		}
		over := (r.figures.Qtc - g[grade.QtcHigh].Pass) / g[grade.QtcSpanHigh].Value()
		under := (g[grade.QtcLow].Pass - r.figures.Qtc) / g[grade.QtcSpanLow].Value()
		r.shape = unit(math.Max(over, under))
		return
	}
	r.figures.Peak, r.figures.Dip = m.peakAndDip(r.answers)
	r.shape = unit((r.figures.Peak - g[grade.Peak].Pass) / g[grade.PeakSpan].Value())
	if most := g[grade.Peak].Marginal - keep; !grade.AtMost(r.figures.Peak, most) {
		r.exceed(OfPeak, r.figures.Peak-most)
	}
	if most := g[grade.Dip].Pass - keep; !grade.AtMost(r.figures.Dip, most) {
		r.exceed(OfDip, r.figures.Dip-most)
	}
}

// unit holds x within 0 and 1.
func unit(x float64) float64 { return math.Min(1, math.Max(0, x)) }

// tenth is 10 dB down as a ratio of squares.
const tenth = 0.1

// top is the number of the largest level from 10 to 100 Hz.
func top(answers []thielesmall.Answer) int {
	t := 0
	for i := 1; i <= topMost; i++ {
		if answers[i].Pressure > answers[t].Pressure {
			t = i
		}
	}
	return t
}

// fallBelow is the number of the first level below limit (Pa^2), going down from t; -1 where there is none.
func fallBelow(answers []thielesmall.Answer, t int, limit float64) int {
	for t >= 0 && answers[t].Pressure >= limit {
		t--
	}
	return t
}

// corner is f10 as the aims take it, Hz.
func (m *Model) corner(r *response) float64 {
	t := top(r.answers)
	limit := m.reference * tenth
	if r.answers[t].Pressure < limit {
		return m.grades[grade.CornerNone].Value()
	}
	i := fallBelow(r.answers, t, limit)
	if i < 0 {
		return m.grades[grade.CornerLeast].Value()
	}
	return crossing(r.answers, i, limit)
}

// cornerOf is where the level first crosses limit (Pa^2) going down from the top, Hz; NaN where it does not.
func cornerOf(answers []thielesmall.Answer, limit float64) float64 {
	t := top(answers)
	i := fallBelow(answers, t, limit)
	if i == t || i < 0 {
		return math.NaN()
	}
	return crossing(answers, i, limit)
}

// crossing is where the level between number i, below limit, and the next crosses it, Hz.
func crossing(answers []thielesmall.Answer, i int, limit float64) float64 {
	low, high := answers[i].Pressure, answers[i+1].Pressure
	x := math.Log(limit/low) / math.Log(high/low)
	return math.Exp(logs[i] + x*(logs[i+1]-logs[i]))
}

// peakAndDip gives the largest level over reference to 200 Hz, dB, by the parabola through its neighbours, and the largest
// fall from f10 to 100 Hz that a rise follows, dB.
func (m *Model) peakAndDip(answers []thielesmall.Answer) (peak, dip float64) {
	highest := 0
	for i := range answers {
		if answers[i].Pressure > answers[highest].Pressure {
			highest = i
		}
	}
	if y := answers[highest].Pressure; y > m.reference {
		peak = 10 * math.Log10(y/m.reference)
		if highest > 0 && highest < len(answers)-1 {
			a, b := math.Log(y/answers[highest-1].Pressure), math.Log(y/answers[highest+1].Pressure)
			peak += above(highest, a, b) * (10 / math.Ln10)
		}
	}
	t := top(answers)
	start := max(0, fallBelow(answers, t, m.reference*tenth))
	if answers[t].Pressure < m.reference*tenth {
		start = 0
	}
	// The deepest fall is the ratio high/low, compared without dividing: below the top the highest level before decides,
	// above it the highest after.
	high, low := 1.0, 1.0
	for i, before := start, 0.0; i < t; i++ {
		if p := answers[i].Pressure; p > before {
			before = p
		} else if before*low > high*p {
			high, low = before, p
		}
	}
	for i, after := topMost, 0.0; i > t; i-- {
		if p := answers[i].Pressure; p > after {
			after = p
		} else if after*low > high*p {
			high, low = after, p
		}
	}
	if high > low {
		dip = 10 * math.Log10(high/low)
	}
	return peak, dip
}

// sigma is the rms deviation of the unfiltered level, with the cabin where one is given, dB.
func (m *Model) sigma(r *response) float64 {
	if m.cabin == nil {
		return deviation(freeFlat, func(i int) float64 { return decibels(r.answers[i].Pressure) })
	}
	return deviation(carFlat, func(i int) float64 { return decibels(r.answers[i].Pressure) + m.cabin[i] })
}
