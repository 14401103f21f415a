package search

import (
	"math"
	"sort"

	"cubby/internal/grade"
)

// Settings are what the amplifier has to be set to, part of every design.
type Settings struct {
	HighPass float64 // Hz, Butterworth of order 4, advised; 0: none, or the stated ones
	Full     float64 // P0, W; 0 not known
	Allowed  float64 // N, W
	Down     float64 // dB, P0 over N
	Turn     float64 // dB, the amplifier's power into the load over N
	Volts    float64 // V rms at the terminals at N
}

// set finds the high-pass and what excursion leaves of the power.
func (m *Model) set(r *response, k Kind) {
	if m.power.volts == 0 {
		return
	}
	xmax2 := m.Driver.Xmax * m.Driver.Xmax
	if m.filters.advise && m.excursion(r, 0) > xmax2*(1+2*grade.Slack) {
		r.load.highPass = m.advise(r, xmax2)
	}
	r.load.excursion = math.Sqrt(m.excursion(r, r.load.highPass))
	if m.Driver.Xmax > 0 && r.load.excursion > m.Driver.Xmax {
		r.load.share = xmax2 / (r.load.excursion * r.load.excursion)
	}
	if k == Sealed {
		return
	}
	corner := eighth(r.load.highPass)
	cone2, at := 0.0, 0
	area := float64(r.radiator.Count) * r.radiator.Sd
	for i := m.judgeFrom; i < len(frequencies); i++ {
		y := r.answers[i].Flow * m.filter(i, corner)
		if y > r.load.flow {
			r.load.flow, at = y, i
		}
		if k == Passive {
			w := 2 * math.Pi * frequencies[i] * area
			cone2 = max(cone2, y/(w*w))
		}
	}
	r.load.flow = m.refined(r.load.flow, at, func(i int) float64 { return r.answers[i].Flow * m.filter(i, corner) }) * m.power.volts
	r.load.radiator = math.Sqrt(cone2 * m.power.volts)
	if x := r.radiator.Xmax; k == Passive && x > 0 && r.load.radiator > x {
		r.load.share = min(r.load.share, x*x/(r.load.radiator*r.load.radiator))
	}
}

// advise is the lowest whole high-pass that holds Xmax at P0, or the highest that may be advised.
func (m *Model) advise(r *response, xmax2 float64) float64 {
	g := &m.grades
	low, high := g[grade.HighPassSealedLow].Value(), g[grade.HighPassSealedHigh].Value()
	if !r.closed {
		least, most := g[grade.HighPassLow].Value(), g[grade.HighPassHigh].Value()
		low = min(most, max(least, math.Ceil(g[grade.HighPassShare].Value()*r.tuning-grade.Slack)))
		high = min(most, math.Floor(r.tuning+grade.Slack))
		low = min(low, high)
	}
	return low + float64(sort.Search(int(high-low), func(n int) bool {
		return m.excursion(r, low+float64(n)) <= xmax2*(1+2*grade.Slack)
	}))
}

// excursion is the square of the largest peak excursion at P0 behind the filters and a high-pass (0 none), m^2.
func (m *Model) excursion(r *response, highPass float64) float64 {
	most, at := 0.0, 0
	corner := eighth(highPass)
	for i := m.judgeFrom; i < len(frequencies); i++ {
		if y := r.answers[i].Excursion * m.filters.stated[i]; y > most { // the high-pass only takes away
			if corner > 0 {
				y *= eighths[i] / (corner + eighths[i])
			}
			if y > most {
				most, at = y, i
			}
		}
	}
	value := func(i int) float64 { return r.answers[i].Excursion * m.filter(i, corner) }
	return m.refined(most, at, value) * m.power.volts
}

// refined is the largest of values, most at number i of the grid, by the parabola through its neighbours.
func (m *Model) refined(most float64, i int, value func(i int) float64) float64 {
	if i <= m.judgeFrom || i >= len(frequencies)-1 {
		return most
	}
	return most + above(i, most-value(i-1), most-value(i+1))
}

// filter is the square of the magnitude at number i of the stated filters and a high-pass of order 4 whose corner is given
// as its eighth power.
func (m *Model) filter(i int, corner float64) float64 {
	if corner == 0 {
		return m.filters.stated[i]
	}
	return m.filters.stated[i] * (eighths[i] / (corner + eighths[i]))
}

func eighth(x float64) float64 {
	x *= x
	x *= x
	return x * x
}

// limitDrive sets the square of the drive that voltage, power and excursion allow, with the low-pass and without any
// high-pass, from 20 to 80 Hz.
func (m *Model) limitDrive(r *response, k Kind) {
	xmax2, cone2 := math.Inf(1), math.Inf(1)
	if x := m.Driver.Xmax; x > 0 {
		xmax2 = x * x
	}
	if x := r.radiator.Xmax * float64(r.radiator.Count) * r.radiator.Sd; k == Passive && x > 0 {
		cone2 = x * x
	}
	volts := m.power.volts
	if volts == 0 {
		volts = math.Inf(1)
	}
	for i := edges[1]; i <= edges[5]; i++ {
		a := &r.answers[i]
		d := volts * m.filters.low[i]
		if volts < d*a.Terminals {
			d = volts / a.Terminals
		}
		if xmax2 < d*a.Excursion {
			d = xmax2 / a.Excursion
		}
		if !math.IsInf(cone2, 1) {
			w := 2 * math.Pi * frequencies[i]
			if x := cone2 * w * w / a.Flow; x < d {
				d = x
			}
		}
		if math.IsInf(d, 1) {
			d = 1
		}
		r.drive[i] = d
	}
}
