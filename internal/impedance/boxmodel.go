package impedance

import (
	"cmp"
	"math"
	"slices"

	"cubby/internal/thielesmall"
)

// boxModel is a box with what is not known of it.
type boxModel struct {
	sweep    Sweep
	expected thielesmall.System
	options  BoxOptions
	leak     bool
	coil     Coil    // NoCoil: as expected
	noise    float64 // of one residual, a share
}

// boxValues are the numbers of a box that may be unknown, or a share of each.
type boxValues struct{ volume, tuning, rear, ql, re, le, l2, r2, fs, qms, qes, vas float64 }

// unknown picks those that the model has to find, in the order in which the fit has their logarithms.
func (m boxModel) unknown(v *boxValues) []*float64 {
	all := []*float64{&v.volume}
	if !m.sealed() {
		all = append(all, &v.tuning)
	}
	if m.expected.Box.Rear > 0 {
		all = append(all, &v.rear)
	}
	if m.leak {
		all = append(all, &v.ql)
	}
	all = append(all, &v.re)
	ofCoil := [...]int{NoCoil: 0, Inductance: 1, InductanceAndPair: 3}[m.coil]
	all = append(all, []*float64{&v.le, &v.l2, &v.r2}[:ofCoil]...)
	if m.options.DriverToo {
		all = append(all, &v.fs, &v.qms, &v.qes, &v.vas)
	}
	return all
}

// first are the values as expected, and where nothing is expected a fair guess.
func (m boxModel) first() boxValues {
	d, air := m.expected.Driver, m.expected.Air
	v := boxValues{
		volume: m.expected.Box.Volume, tuning: m.expected.Box.Tuning(air), rear: m.expected.Box.Rear, ql: firstLeak,
		re: d.Re, le: math.Max(d.Le, d.Re*1e-4), l2: d.L2, r2: d.R2, fs: d.Fs(), qms: d.Qms(), qes: d.Qes(), vas: d.Vas(air),
	}
	if m.coil == InductanceAndPair && d.R2 == 0 {
		v.le, v.l2, v.r2 = v.le/2, v.le, d.Re
	}
	return v
}

func (m boxModel) sealed() bool { return !m.expected.Box.Tuned() }

// system returns the system that the unknowns describe.
func (m boxModel) system(x []float64) thielesmall.System {
	v, s := m.first(), m.expected
	for i, p := range m.unknown(&v) {
		*p = math.Exp(x[i])
	}
	s.Box.Volume, s.Box.Rear, s.Box.LeakQ = v.volume, v.rear, 0
	if m.leak {
		s.Box.LeakQ = v.ql
	}
	if s.Box.Passive.Count > 0 {
		s.Box.Passive = s.Box.Passive.Tuned(s.Air, v.volume, v.tuning)
	} else if !m.sealed() {
		s.Box.Ports = m.ports(v.volume, v.tuning)
	}
	s.Driver.Re = v.re
	switch m.coil {
	case Inductance:
		s.Driver.Le, s.Driver.L2, s.Driver.R2 = v.le, 0, 0
	case InductanceAndPair:
		s.Driver.Le, s.Driver.L2, s.Driver.R2 = v.le, v.l2, v.r2
	}
	if m.options.DriverToo {
		s.Driver = m.driver(s, v)
	}
	return s
}

// driver returns the system's driver with other small-signal parameters: Sd and what the coil has stay.
func (m boxModel) driver(s thielesmall.System, v boxValues) thielesmall.Driver {
	d := s.Driver
	d.Cms *= v.vas / d.Vas(s.Air)
	w := 2 * math.Pi * v.fs
	d.Mms = 1 / (w * w * d.Cms)
	d.Rms = w * d.Mms / v.qms
	// qes is at the stated re: the motor, whatever the coil's temperature
	d.Bl = math.Sqrt(w * d.Mms * m.expected.Driver.Re / v.qes)
	return d
}

// ports returns the expected ports with their lengths, end corrections
// included, scaled alike so that they tune volume to fb.
func (m boxModel) ports(volume, fb float64) []thielesmall.Port {
	was := m.expected.Box
	f := was.Tuning(m.expected.Air)
	scale := was.Volume / volume * (f / fb) * (f / fb)
	all := append([]thielesmall.Port(nil), was.Ports...)
	for i := range all {
		p := &all[i]
		ends := p.Ends[0] + p.Ends[1]
		long := (p.Length + ends) * scale
		p.Length = long - ends
		if p.Length < 0 && ends > 0 {
			p.Length = 0
			p.Ends[0] *= long / ends
			p.Ends[1] *= long / ends
		}
	}
	return all
}

// priors returns the unknowns that are held, by index, with what is expected of
// them and the share by which they may differ.
func (m boxModel) priors() (held []int, expected, spread []float64) {
	o := m.options.Spread
	v, shares := m.first(), boxValues{re: o.Re, fs: o.Fs, qms: o.Qms, qes: o.Qes, vas: o.Vas}
	values := m.unknown(&v)
	for i, share := range m.unknown(&shares) {
		if *share > 0 {
			held, expected, spread = append(held, i), append(expected, math.Log(*values[i])), append(spread, *share)
		}
	}
	return held, expected, spread
}

// problem is the sweep's residuals over their noise, then what the held unknowns differ by over their spread.
func (m boxModel) problem() squares {
	n := m.sweep.rows()
	at, expected, spread := m.priors()
	return squares{rows: n + len(at), residuals: func(y, x []float64) {
		m.misses(y[:n], x)
		for i := range n {
			y[i] /= m.noise
		}
		for i, k := range at {
			y[n+i] = (x[k] - expected[i]) / spread[i]
		}
	}}
}

// misses writes the sweep's residuals, as shares.
func (m boxModel) misses(y, x []float64) {
	c, err := thielesmall.NewCircuit(m.system(x))
	if err != nil {
		for i := range y {
			y[i] = hopeless
		}
		return
	}
	m.sweep.residuals(y, c.Impedance)
}

// rms returns the size of one residual at x, as a share.
func (m boxModel) rms(x []float64) float64 {
	y := make([]float64, m.sweep.rows())
	m.misses(y, x)
	sum := 0.0
	for _, v := range y {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(y)))
}

// Where the fit of a box begins.
const (
	firstNoise  = 0.01 // share; the fit then finds it
	firstLeak   = 10.0 // QL, among usual boxes
	noiseRounds = 4    // the noise settles in two
	bestStarts  = 3    // of the grid
	behindStep  = 0.4  // of the chamber behind, a natural log
)

// starts returns the best few of a grid of volumes, tunings and chambers behind about what is expected, wide enough for
// half the volume, an octave of tuning and half as much again behind.
func (m boxModel) starts() [][]float64 {
	steps, shape := [...]int{8, 6, 1}, 3 // of volume, tuning and chamber behind, which are the first unknowns
	if m.sealed() {
		shape = 1
	} else if m.expected.Box.Rear == 0 {
		shape = 2
	}
	clear(steps[shape:])
	type start struct {
		x    []float64
		cost float64
	}
	var all []start
	thin := m
	thin.sweep = m.sweep.thinned(60)
	for i := -steps[0]; i <= steps[0]; i++ {
		for j := -steps[1]; j <= steps[1]; j++ {
			for k := -steps[2]; k <= steps[2]; k++ {
				v := m.first()
				var x []float64
				for _, p := range m.unknown(&v) {
					x = append(x, math.Log(*p))
				}
				for n, by := range []float64{float64(i) * math.Ln2 / 4, float64(j) * math.Ln2 / 6, float64(k) * behindStep}[:shape] {
					x[n] += by
				}
				all = append(all, start{x, thin.rms(x)})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b start) int { return cmp.Compare(a.cost, b.cost) })
	var out [][]float64
	for _, s := range all[:bestStarts] {
		out = append(out, s.x)
	}
	return out
}

// thinned returns the sweep with at most n points.
func (s Sweep) thinned(n int) Sweep {
	step := (s.Len() + n - 1) / n
	if step <= 1 {
		return s
	}
	var t Sweep
	for i := 0; i < s.Len(); i += step {
		t.Frequency, t.Magnitude = append(t.Frequency, s.Frequency[i]), append(t.Magnitude, s.Magnitude[i])
		if s.Phase != nil {
			t.Phase = append(t.Phase, s.Phase[i])
		}
	}
	return t
}

// best fits the box with and without a leak, with the coil as expected and as
// the sweep has it, and returns what Schwarz's criterion prefers.
func (m boxModel) best() (best BoxFit, ok bool) {
	least := math.Inf(1)
	for _, coil := range []Coil{NoCoil, Inductance, InductanceAndPair} {
		for _, leak := range []bool{false, true} {
			m.coil, m.leak = coil, leak
			b, score, fits := m.fit()
			if fits && score < least-decided {
				best, least, ok = b, score, true
			}
			if ok && best.FitError < 100*finest {
				return best, ok
			}
		}
	}
	return best, ok
}

// fit fits this model from its best starts.
func (m boxModel) fit() (b BoxFit, score float64, ok bool) {
	m.noise = firstNoise
	var best solution
	for _, x0 := range m.starts() {
		if m.sweep.rows() <= len(x0) {
			return b, 0, false
		}
		if s := m.problem().solve(x0); s.ok && (best.x == nil || s.sum < best.sum) {
			best = s
		}
	}
	if best.x == nil {
		return b, 0, false
	}
	for range noiseRounds {
		was := m.noise
		m.noise = math.Max(finest, m.rms(best.x))
		best = m.problem().solve(best.x)
		if !best.ok || math.Abs(m.noise/was-1) < 0.01 {
			break
		}
	}
	cov, regular := best.covariance(1)
	if !best.ok || !regular {
		return b, 0, false
	}
	rms := m.rms(best.x)
	b, ok = m.result(best.x, cov, rms)
	n := float64(m.sweep.rows())
	held := best.sum - n*(rms/m.noise)*(rms/m.noise)
	return b, n*math.Log(rms*rms+finest*finest) + held + float64(len(best.x))*math.Log(n), ok
}
