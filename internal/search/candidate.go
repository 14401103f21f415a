package search

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/thielesmall"
)

// Port is one of a number of equal ports.
type Port struct {
	Count  int        // 0: none
	Area   float64    // of each, m2
	Length float64    // effective, ends included, m
	Edge   grade.Edge // of the sharper end
}

// Candidate is a box as far as its sound, its size and its work go.
type Candidate struct {
	Kind    Kind
	Volume  float64 // net, m3
	Tuning  float64 // Hz; 0 sealed
	Port    Port    // vented
	Outside float64 // gross, m3
	Minutes float64 // of the shop, beyond a plain box
}

// Reason is why a candidate is out.
type Reason int8

// The reasons.
const (
	Feasible Reason = iota
	OfQtc
	OfPeak
	OfDip
	OfExcursion // less than a quarter of P0 is allowed
	OfPortSpeed // likewise
	OfDuct      // first duct resonance
	OfPortAir   // the ports hold too much air
	OfTuning    // outside the range, or too low for a stated high-pass
	OfMass      // no mass of the radiators gives the tuning
	OfVolume    // outside the range
	OfLoss      // compact: gives up too much level
	OfRoom      // no room
)

var reasonNames = [...]string{"", "Qtc", "peak", "dip", "excursion", "port air speed", "first duct resonance", "air in the ports", "tuning",
	"mass of the radiators", "net volume", "level", "room"}

// String names what a candidate is out for.
func (r Reason) String() string { return reasonNames[r] }

// Error is String: a box that is out is refused for it.
func (r Reason) Error() string { return r.String() }

// Evaluation is what a candidate does.
type Evaluation struct {
	Score         float64 // more is better; -Inf where Out is not Feasible
	Out           Reason
	Settings      Settings
	Figures       Figures
	Excursion     float64 // m at P0 with filters, each cone
	Radiator      float64 // m likewise, each radiator
	RadiatorMass  float64 // kg, added to each radiator
	Speed         float64 // m/s likewise, in the ports
	SpeedAllowed  float64 // m/s
	Penalty       float64 // P
	MeanLow, Loud float64 // M(20,40), M(30,80), dB
}

// Figures are what the response of a candidate shows, without filters.
type Figures struct {
	Qtc       float64 // sealed
	Peak, Dip float64 // dB
	F3        float64 // Hz; NaN none
	F10       float64 // Hz, as the aims take it
	Sigma     float64 // dB, aim flat
}

// Tuned returns a vented candidate: the ports' effective length follows from volume, tuning and area.
func (m *Model) Tuned(volume, tuning float64, p Port) Candidate {
	p.Length = float64(p.Count) * p.Area * m.perArea(volume, tuning)
	return Candidate{Kind: Vented, Volume: volume, Tuning: tuning, Port: p}
}

// perArea is the effective length over the area of all ports that tune a box, 1/m.
func (m *Model) perArea(volume, tuning float64) float64 {
	k := m.Air.SoundSpeed / (2 * math.Pi * tuning)
	return k * k / volume
}

// Evaluate evaluates a candidate with its port as a plain duct. All figures are filled in, whatever the aim, also of one that
// is out, as far as it was followed.
func (m *Model) Evaluate(c Candidate) Evaluation {
	var r response
	tuning := c.Tuning
	if c.Kind == Sealed {
		tuning = 0
	}
	m.solve(&r, c.Kind, c.Volume, tuning, ductOf(c.Port.Length, c.Port.Area), margins{})
	return m.evaluation(&r, c)
}

// EvaluateCircuit evaluates a candidate as it was built: c names what is built, the circuit, without filters, is that of the
// finished box, its filling included.
func (m *Model) EvaluateCircuit(c Candidate, circuit *thielesmall.Circuit) Evaluation {
	var r response
	r.reset(c.Volume, c.Tuning)
	if c.Kind == Passive {
		r.radiator = circuit.System.Box.Passive
	}
	r.closed, r.built = r.closed || circuit.System.Box.Rear > 0, true
	answer(r.answers, circuit)
	if c.Kind == Sealed {
		r.figures.Qtc = circuit.Qtc()
	}
	m.judge(&r, c.Kind, margins{})
	return m.evaluation(&r, c)
}

// answer fills in what a circuit answers, above half its first duct resonance with lumped ports.
func answer(answers []thielesmall.Answer, circuit *thielesmall.Circuit) {
	split, lump := math.Inf(1), circuit
	for _, p := range circuit.System.Box.Ports {
		split, lump = min(split, p.FirstResonance(circuit.System.Air)/2), circuit.Lumped()
	}
	for i, f := range frequencies {
		if f > split {
			answers[i] = lump.Answer(f)
		} else {
			answers[i] = circuit.Answer(f)
		}
	}
}

func (m *Model) evaluation(r *response, c Candidate) Evaluation {
	e := Evaluation{Score: math.Inf(-1), Out: r.out, Excursion: r.load.excursion, Radiator: r.load.radiator, Settings: Settings{Full: m.power.full}}
	if c.Kind == Passive && r.radiator.Count > 0 {
		e.RadiatorMass = r.radiator.Mms - m.Radiator.Mms
	}
	e.Figures = Figures{Qtc: r.figures.Qtc, Peak: r.figures.Peak, Dip: r.figures.Dip}
	if r.out == OfMass {
		return e
	}
	e.Figures.F3, e.Figures.F10, e.Figures.Sigma = cornerOf(r.answers, m.reference/2), m.corner(r), m.sigma(r)
	if e.Out == Feasible {
		e.Out = m.inRange(c)
	}
	p := m.throughPort(r, c.Kind, c.Port)
	e.Settings = m.settings(r, p.share)
	e.Speed, e.SpeedAllowed = p.speed, p.allowed
	if r.out != Feasible {
		return e
	}
	m.play(r, c.Kind)
	e.MeanLow, e.Loud = m.meanThrough(r, lowMean, p.drive), m.meanThrough(r, loudMean, p.drive)
	e.Penalty = r.shape + m.grades[grade.GainWeight].Value()*e.Settings.Down
	if e.Out == Feasible {
		e.Out = p.out
	}
	kept := e.MeanLow
	if m.Aim == Loud {
		kept = e.Loud
	}
	if e.Out == Feasible && kept < m.wish.least-grade.Slack {
		e.Out = OfLoss
	}
	if e.Out != Feasible {
		return e
	}
	e.Score = m.score(terms{
		mean: kept, sigma: e.Figures.Sigma, f10: e.Figures.F10, penalty: e.Penalty,
		ported: c.Kind != Sealed, length: m.lengthOf(c.Kind, c.Port.Length), litres: c.Outside * 1000, minutes: c.Minutes,
		speed: p.over(),
	})
	return e
}

// inRange says whether a candidate is what the job and the rules ask for.
func (m *Model) inRange(c Candidate) Reason {
	if m.Limits.Volume.Most > 0 && !m.Limits.Volume.Holds(c.Volume) {
		return OfVolume
	}
	if c.Kind == Sealed {
		return Feasible
	}
	if t := m.tunings(); c.Tuning*(1+missedTuning) < t.Least || c.Tuning*(1-missedTuning) > t.Most {
		return OfTuning
	}
	return Feasible
}

// missedTuning is by what share a finished box may miss the end of the tunings that may be chosen.
const missedTuning = 1e-3

// settings says what the amplifier is set to where the given share of P0 is allowed.
func (m *Model) settings(r *response, share float64) Settings {
	s := Settings{HighPass: r.load.highPass, Full: m.power.full, Allowed: m.power.full * share}
	if s.Allowed == 0 {
		return s
	}
	s.Down = -10 * math.Log10(share)
	s.Volts = math.Sqrt(s.Allowed * m.power.ohms)
	if m.power.amp > 0 {
		s.Turn = 10 * math.Log10(m.power.amp/s.Allowed)
	}
	return s
}

// ported is what ports of one area make of a response.
type ported struct {
	share          float64 // of P0 that is allowed
	speed, allowed float64 // m/s
	drive          float64 // (m3/s)^2 that the ports may carry; +Inf no limit
	out            Reason
}

// over is the air speed over the speed allowed; 0 without a port or a drive.
func (p ported) over() float64 {
	if p.allowed == 0 {
		return 0
	}
	return p.speed / p.allowed
}

// throughPort evaluates ports.
func (m *Model) throughPort(r *response, k Kind, p Port) ported {
	out := ported{share: r.load.share, drive: math.Inf(1)}
	if k != Vented || p.Count == 0 { // or one that is not known
		if out.share < m.wish.share*(1-grade.Slack) {
			out.out = OfExcursion
		}
		return out
	}
	n := float64(p.Count)
	total := n * p.Area
	if out.allowed = m.Limits.PortSpeed; out.allowed == 0 {
		out.allowed = m.grades.SpeedAllowed(p.Edge, r.tuning, p.Area)
	}
	carry := out.allowed * total
	out.drive = carry * carry
	if m.power.volts > 0 {
		out.speed = math.Sqrt(r.load.flow) / total
		if x := out.drive / r.load.flow; x < out.share {
			out.share = x
		}
	}
	switch {
	case !grade.AtMost(p.Length, m.longest):
		out.out = OfDuct
	case !grade.AtMost(total*physical(p.Length, p.Area), m.grades[grade.PortAirShare].Value()*r.volume):
		out.out = OfPortAir
	case out.share < m.wish.share*(1-grade.Slack):
		out.out = OfPortSpeed
	}
	return out
}

// bothEnds is the sum of a flush and a free end correction over the radius: what an effective length is over the length of
// the duct where nothing nearer is known.
const bothEnds = 0.8217 + 0.6133

// physical is the length of a duct, mouth to mouth, by its effective one; never negative.
func physical(effective, area float64) float64 {
	return max(0, effective-bothEnds*math.Sqrt(area/math.Pi))
}

// ductOf is the length of the plain duct with as much air in it as one of that effective length and area whose ends are lumps:
// its own area is in the ratio of its length.
func ductOf(effective, area float64) float64 { return math.Sqrt(effective * physical(effective, area)) }

// square is the square of the greatest pressure at number i of the grid, Pa^2, with ports that may carry drive, (m3/s)^2.
func (r *response) square(i int, drive float64) float64 {
	a, d := &r.answers[i], r.drive[i]
	if drive < d*a.Flow {
		d = drive / a.Flow
	}
	return d * a.Pressure
}

// meanThrough is the mean over log frequency of the maximum level with ports that may carry drive, (m3/s)^2, by the trapezoid:
// one logarithm a band; dB.
func (m *Model) meanThrough(r *response, over [2]int, drive float64) float64 {
	sum, width := 0.0, 0.0
	for n := over[0]; n < over[1]; n++ {
		first, last := edges[n], edges[n+1]
		product := 1.0
		for i := first + 1; i < last; i++ {
			product *= r.square(i, drive)
		}
		w := logs[last] - logs[first]
		sum += w / float64(last-first) * ln(product*product*r.square(first, drive)*r.square(last, drive))
		width += w
	}
	return zero + sum/width*(5/math.Ln10)
}
