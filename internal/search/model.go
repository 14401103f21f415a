package search

import (
	"errors"
	"math"
	"math/cmplx"

	"cubby/internal/grade"
	"cubby/internal/thielesmall"
)

// Model is a task made ready to be evaluated. It is immutable but for the lattices that it fills when they are first
// wanted: one goroutine at a time may use it.
type Model struct {
	Task
	grades    grade.Table
	kernel    *thielesmall.Kernel
	power     power
	filters   filters
	reference float64 // Pa^2 for one volt, of the piston band
	longest   float64 // m, effective length whose first resonance still passes
	pursuit
	judgeFrom int       // first of the grid at which excursion and port speed are judged
	cabin     []float64 // dB that the vehicle adds on the grid, where sigma asks; nil: none is given
	lattices  [Kinds]*lattice
}

// pursuit is what is looked for, and how.
type pursuit struct {
	wish   wish
	keep   margins
	effort effort
}

// Memory is what one model after another may use, for many drivers in turn: one model at a time.
type Memory struct{ lattices [Kinds]*lattice }

// lattice is one to be filled.
func (m *Memory) lattice(k Kind) *lattice {
	if m == nil {
		return &lattice{}
	}
	if m.lattices[k] == nil {
		m.lattices[k] = &lattice{}
	}
	m.lattices[k].beside = nil
	return m.lattices[k]
}

// margins are how far candidates keep from what rules a box out.
type margins struct {
	share float64 // of a length, an air, a power
	level float64 // dB, of peak and dip
	mean  float64 // dB, of a mean
}

// ofBuilds are the margins of what is built: a box misses its candidate by some of them, its mean by most, since the ends of a
// duct are not of its own area.
var ofBuilds = margins{0.01, 0.05, 0.15}

// wish is what is looked for besides the task's aim.
type wish struct {
	goal  goal
	least float64 // dB, of the mean that the goal keeps; -Inf: any
	share float64 // of P0, the least that must be allowed
}

// goal is what the best of the boxes that keep a wish is.
type goal int8

const (
	serve   goal = iota // by the aim
	quiet               // least air speed over the speed allowed
	small               // least outside volume
	deep                // lowest f10
	loudest             // greatest mean
)

// wishing returns the same model with another wish. Lattices are shared.
func (m *Model) wishing(w wish) *Model {
	other := *m
	other.wish = w
	return &other
}

// band is the band of the mean that a wish keeps.
func (m *Model) band() [2]int {
	if m.Aim == Loud {
		return loudMean
	}
	return lowMean
}

// power is what drives the boxes.
type power struct {
	full  float64 // P0, W; 0 not known
	volts float64 // square of the voltage at P0, V^2; 0 not known
	ohms  float64 // nominal load as wired
	amp   float64 // W, the amplifier's into that load; 0 not known
}

// filters are squares of magnitudes on the grid.
type filters struct {
	stated []float64 // all that are stated
	low    []float64 // without any high-pass
	lowest float64   // Hz, corner of the highest stated high-pass; 0 none
	base   float64   // Hz, lowest low-pass; 0 none
	advise bool      // a high-pass may be advised
}

// nominalShare is the effective length of the ports of a lattice over the longest that may be: most of the best ports are
// nearly as long.
const nominalShare = 0.85

// New makes a task ready. The error says which quantity of driver or air cannot be.
func New(t Task) (*Model, error) {
	m := &Model{Task: t, pursuit: pursuit{wish: wish{least: math.Inf(-1)}, effort: careful}}
	if t.Quick {
		m.effort = quick
	}
	if t.Built {
		m.keep = ofBuilds
	}
	if t.Grades != nil {
		m.grades = *t.Grades
	} else {
		m.grades = grade.Standard()
	}
	if _, err := thielesmall.NewCircuit(thielesmall.System{Air: t.Air, Driver: t.Driver, Source: t.Amplifier.Source, Filters: t.Amplifier.Filters,
		Box: thielesmall.Box{Volume: 0.02, Passive: t.Radiator.Radiator}}); err != nil {
		return nil, err
	}
	if t.Radiator.MostAdded < 0 {
		return nil, errors.New("mass that may be added to a radiator must not be negative")
	}
	m.power = powerOf(t)
	m.filters = filtersOf(t.Amplifier)
	m.filters.advise = m.filters.lowest == 0 && !t.Amplifier.NoHighPass && m.power.volts > 0 && t.Driver.Xmax > 0
	m.reference = thielesmall.LevelSquare(t.Driver.ReferenceLevel(t.Air, 1, t.Amplifier.Source))
	base := m.filters.base
	if base == 0 {
		base = m.grades[grade.DuctBase].Value()
	}
	m.longest = t.Air.SoundSpeed / (2 * base * m.grades[grade.DuctResonance].Pass)
	m.kernel = thielesmall.NewKernel(t.Driver, t.Air, t.Amplifier.Source, nominalShare*m.longest, frequencies)
	for m.judgeFrom < len(frequencies)-1 && frequencies[m.judgeFrom] < m.grades[grade.LowestJudged].Value()*(1-grade.Slack) {
		m.judgeFrom++
	}
	m.wish.share = m.grades[grade.LeastShare].Value()
	if t.Cabin != nil {
		m.cabin = make([]float64, len(frequencies))
		for i := edges[carFlat[0]]; i <= edges[carFlat[1]]; i++ {
			m.cabin[i] = t.Cabin(frequencies[i])
		}
	}
	return m, nil
}

// powerOf finds P0, the smaller of what the amplifier gives into the load as wired and of what the set is rated for, or
// the one that is known.
func powerOf(t Task) power {
	p := power{ohms: t.Driver.Impedance}
	if p.ohms == 0 {
		p.ohms = t.Amplifier.Into
	}
	if p.ohms == 0 {
		return p
	}
	p.amp = t.Amplifier.Power * t.Amplifier.Into / p.ohms
	p.full = p.amp
	if rated := t.Driver.Power; rated > 0 && (p.full == 0 || rated < p.full) {
		p.full = rated
	}
	p.volts = p.full * p.ohms
	return p
}

func filtersOf(a Amplifier) filters {
	f := filters{stated: make([]float64, len(frequencies)), low: make([]float64, len(frequencies))}
	for i := range frequencies {
		f.stated[i], f.low[i] = 1, 1
	}
	for _, flt := range a.Filters {
		switch {
		case flt.Kind == thielesmall.HighPass:
			f.lowest = math.Max(f.lowest, flt.Frequency)
		case flt.Kind == thielesmall.LowPass && (f.base == 0 || flt.Frequency < f.base):
			f.base = flt.Frequency
		}
		for i, x := range frequencies {
			g := cmplx.Abs(flt.Response(x))
			f.stated[i] *= g * g
			if flt.Kind != thielesmall.HighPass {
				f.low[i] *= g * g
			}
		}
	}
	return f
}

// tunings is the range of tunings that may be chosen.
func (m *Model) tunings() Range {
	r := m.Limits.Tuning.or(Range{m.grades[grade.TuningLow].Value(), m.grades[grade.TuningHigh].Value()})
	if m.filters.lowest > 0 {
		r.Least = math.Max(r.Least, m.grades[grade.TuningOverHighPass].Value()*m.filters.lowest)
	}
	return r
}

// ql is the leakage of a box of a kind.
func (m *Model) ql(k Kind) float64 {
	if k == Sealed {
		return 0
	}
	return m.grades[grade.LeakVented].Value()
}
