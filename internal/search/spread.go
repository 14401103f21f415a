package search

import (
	"math"
	"math/rand/v2"
	"slices"

	"cubby/internal/grade"
	"cubby/internal/thielesmall"
)

// Marks are the 10 and the 90 % mark of a figure over the spread; NaN where it does not apply.
type Marks struct{ Low, High float64 }

// Spread is what the tolerances of driver and box make of the figures.
type Spread struct {
	F3        Marks      // Hz
	Qtc       Marks      // sealed
	Tuning    Marks      // Hz, vented and passive
	Mean      Marks      // dB, M(20,40) or M(30,80) by the aim
	Peak, Dip Marks      // dB
	Excursion Marks      // m at P0
	Speed     Marks      // m/s at P0
	Level     []Marks    // dB for one volt at Frequencies, without filters
	Changes   []grade.ID // rules whose grade differs between the marks of their figure
}

// Frequencies are those of Spread.Level, Hz: from 10 to 200, both included.
func Frequencies() []float64 { return slices.Clone(frequencies) }

// draws is the size of the Latin hypercube; its seed is fixed, so that a job's answer is.
const draws = 200

// Spread draws 200 systems of a Latin hypercube about the circuit of a candidate as built: Cms +-30 % (fs, Qts and Vas move
// with it), Re, Bl and Mms +-5 %, net volume +-2 %, port length +-2 mm and half of rounding, m, to which lengths are cut, QL
// 5 to 15 where there is a port or radiator; all uniform.
func (m *Model) Spread(c Candidate, circuit *thielesmall.Circuit, rounding float64) Spread {
	all := make([]drawn, 0, draws)
	for _, u := range hypercube(draws) {
		if d, ok := m.draw(c, circuit.System, u, rounding); ok {
			all = append(all, d)
		}
	}
	return m.marks(c, all)
}

// dimensions of the hypercube.
const dimensions = 7

// hypercube gives n points of [-1, 1] to the power of seven, one in each n-th of every dimension.
func hypercube(n int) [][dimensions]float64 {
	rng := rand.New(rand.NewPCG(1961, 1972))
	points := make([][dimensions]float64, n)
	for d := range dimensions {
		for i, k := range rng.Perm(n) {
			points[i][d] = 2*(float64(k)+rng.Float64())/float64(n) - 1
		}
	}
	return points
}

// drawn is the figures of one draw.
type drawn struct {
	f3, qtc, tuning, mean, peak, dip, excursion, speed float64
	level                                              []float64
}

// varied is a system with its parts varied by u, each from -1 to 1.
func (m *Model) varied(s thielesmall.System, u [dimensions]float64, rounding float64) thielesmall.System {
	g := &m.grades
	by := func(x *float64, id grade.ID, u float64) { *x *= 1 + g[id].Value()*u }
	by(&s.Driver.Cms, grade.SpreadCompliance, u[0])
	by(&s.Driver.Re, grade.SpreadMotor, u[1])
	by(&s.Driver.Bl, grade.SpreadMotor, u[2])
	by(&s.Driver.Mms, grade.SpreadMass, u[3])
	by(&s.Box.Volume, grade.SpreadVolume, u[4])
	s.Filters = nil
	if s.Box.LeakQ > 0 {
		low, high := g[grade.SpreadLeakLow].Value(), g[grade.SpreadLeakHigh].Value()
		s.Box.LeakQ = low + (high-low)*(u[6]+1)/2
	}
	s.Box.Ports = slices.Clone(s.Box.Ports)
	for i := range s.Box.Ports {
		p := &s.Box.Ports[i]
		p.Length = math.Max(0, p.Length+(g[grade.SpreadLength].Value()+rounding/2)*u[5])
	}
	return s
}

func (m *Model) draw(c Candidate, s thielesmall.System, u [dimensions]float64, rounding float64) (drawn, bool) {
	circuit, err := thielesmall.NewCircuit(m.varied(s, u, rounding))
	if err != nil {
		return drawn{}, false
	}
	s = circuit.System
	other := *m // with the reference of this draw
	other.Driver = s.Driver
	other.reference = thielesmall.LevelSquare(s.Driver.ReferenceLevel(s.Air, 1, s.Source))
	var r response
	r.reset(s.Box.Volume, s.Box.Tuning(s.Air))
	if c.Kind == Passive {
		r.radiator = s.Box.Passive
	}
	answer(r.answers, circuit)
	d := drawn{f3: cornerOf(r.answers, other.reference/2), qtc: math.NaN(), tuning: math.NaN(), level: make([]float64, len(frequencies))}
	d.peak, d.dip = other.peakAndDip(r.answers)
	other.set(&r, c.Kind)
	other.limitDrive(&r, c.Kind)
	port := other.throughPort(&r, c.Kind, c.Port)
	d.mean, d.excursion, d.speed = other.meanThrough(&r, m.band(), port.drive), r.load.excursion, port.speed
	if c.Kind == Sealed {
		d.qtc = circuit.Qtc()
	} else {
		d.tuning = r.tuning
	}
	for i := range frequencies {
		d.level[i] = thielesmall.SquareLevel(r.answers[i].Pressure)
	}
	return d, true
}

// marksOf gives the marks of one figure of all draws.
func marksOf(all []drawn, of func(d *drawn) float64) Marks {
	values := make([]float64, 0, len(all))
	for i := range all {
		if v := of(&all[i]); !math.IsNaN(v) {
			values = append(values, v)
		}
	}
	if len(values) == 0 {
		return Marks{math.NaN(), math.NaN()}
	}
	slices.Sort(values)
	at := func(share float64) float64 {
		x := share * float64(len(values)-1)
		i := min(int(x), len(values)-2)
		if i < 0 {
			return values[0]
		}
		return values[i] + (x-float64(i))*(values[i+1]-values[i])
	}
	return Marks{at(0.1), at(0.9)}
}

func (m *Model) marks(c Candidate, all []drawn) Spread {
	s := Spread{
		F3: marksOf(all, func(d *drawn) float64 { return d.f3 }), Qtc: marksOf(all, func(d *drawn) float64 { return d.qtc }),
		Tuning: marksOf(all, func(d *drawn) float64 { return d.tuning }), Mean: marksOf(all, func(d *drawn) float64 { return d.mean }),
		Peak: marksOf(all, func(d *drawn) float64 { return d.peak }), Dip: marksOf(all, func(d *drawn) float64 { return d.dip }),
		Excursion: marksOf(all, func(d *drawn) float64 { return d.excursion }), Speed: marksOf(all, func(d *drawn) float64 { return d.speed }),
	}
	for i := range frequencies {
		s.Level = append(s.Level, marksOf(all, func(d *drawn) float64 { return d.level[i] }))
	}
	changes := func(id grade.ID, k Marks, scale float64) {
		if scale > 0 && m.grades[id].Scaled(k.Low, scale) != m.grades[id].Scaled(k.High, scale) {
			s.Changes = append(s.Changes, id)
		}
	}
	if c.Kind == Sealed {
		changes(grade.QtcLow, s.Qtc, 1)
		changes(grade.QtcHigh, s.Qtc, 1)
	} else {
		changes(grade.Peak, s.Peak, 1)
		changes(grade.Dip, s.Dip, 1)
	}
	if m.power.volts > 0 {
		changes(grade.Excursion, s.Excursion, m.Driver.Xmax)
	}
	if c.Kind == Vented && m.power.volts > 0 {
		allowed := m.Limits.PortSpeed
		if allowed == 0 {
			allowed = m.grades.SpeedAllowed(c.Port.Edge, c.Tuning, c.Port.Area)
		}
		changes(grade.PortSpeed, s.Speed, allowed)
	}
	return s
}
