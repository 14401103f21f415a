package search

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/thielesmall"
)

// effort is how closely a place is searched: the steps of its lattice, how many of its points are refined, and how often
// the step is halved.
type effort struct {
	volumeStep       float64
	tunings, masses  int
	starts, halvings int
}

// Half a step of both off the best, the score of a lattice's point is within latticeSlack of it where the search is careful
// (see the tests). A quick one is within some tenths of a decibel, for many drivers in turn.
var (
	careful = effort{1.13, 13, 14, 6, 6}
	quick   = effort{1.25, 9, 8, 1, 4}
)

// QuickLoses is the most by which the quick search of a [Task] may miss the best, as a difference of scores about one: twice
// what it was seen to in 2,000 searches for invented drivers.
func (a Aim) QuickLoses(score float64) float64 {
	switch a {
	case Compact:
		return 0.27 * math.Abs(score)
	case Loud:
		return 1
	case Flat:
		return 1.4
	}
	return 2
}

// lattice is the responses of a kind over volume, evenly in its logarithm, and over a second coordinate from 0 to 1, which
// stands for the tuning. They are evaluated when first wanted.
type lattice struct {
	volumes []float64
	steps   int
	all     []response // by volume, then second coordinate
	ready   []bool     // whether they were evaluated
	answers []thielesmall.Answer
	drive   []float64
	beside  map[[3]float64]*response // that lie between its points, by volume, second coordinate and area
}

// beside is the response of a volume that lies between the points of a lattice, see solveAt: kept, as many places ask for it. A
// quick model has many lattices and keeps none; it is r then.
func (m *Model) beside(l *lattice, r *response, k Kind, volume, u, area float64) *response {
	if m.Quick {
		m.solveAt(r, k, volume, u, area)
		return r
	}
	key := [3]float64{volume, u, area}
	if l.beside[key] == nil {
		if l.beside == nil {
			l.beside = map[[3]float64]*response{}
		}
		l.beside[key] = &response{}
		m.solveAt(l.beside[key], k, volume, u, area)
	}
	return l.beside[key]
}

// lattice gives the lattice of a kind that covers volumes to most, m3.
func (m *Model) lattice(k Kind, most float64) *lattice {
	r := m.useful(most)
	if l := m.lattices[k]; l != nil && len(l.volumes) > 0 && l.volumes[len(l.volumes)-1] >= r.Most {
		return l
	}
	l := m.Memory.lattice(k)
	l.steps, l.volumes = [Kinds]int{1, m.effort.tunings, m.effort.masses}[k], l.volumes[:0]
	if r.Empty() {
		return l
	}
	step := m.effort.volumeStep
	if k == Sealed {
		step = math.Sqrt(careful.volumeStep) // one coordinate: cheap
	}
	for v := r.Least; v < r.Most; v *= step { // the same ones in a larger space
		l.volumes = append(l.volumes, v)
	}
	l.volumes = append(l.volumes, r.Most)
	n := len(l.volumes) * l.steps
	l.all, l.ready = resized(l.all, n), resized(l.ready, n)
	clear(l.ready)
	l.answers, l.drive = resized(l.answers, n*len(frequencies)), resized(l.drive, n*len(frequencies))
	for i := range l.all {
		a, b := i*len(frequencies), (i+1)*len(frequencies)
		l.all[i].answers, l.all[i].drive = l.answers[a:b:b], l.drive[a:b:b]
		l.all[i].reset(l.volumes[i/l.steps], m.tuningAt(k, l.volumes[i/l.steps], l.at(i%l.steps)))
	}
	m.lattices[k] = l
	return l
}

// at is the second coordinate of a number.
func (l *lattice) at(j int) float64 { return float64(j) / max(1, float64(l.steps-1)) }

// resized is a slice of n, of the memory of s where that is enough.
func resized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// point is the response of a point of a lattice; nil where no port of the place tunes it.
func (m *Model) point(l *lattice, p *Place, i int) *response {
	r := &l.all[i]
	if !l.ready[i] {
		if p.Kind == Vented && m.areas(r, p).Empty() {
			return nil
		}
		m.solve(r, p.Kind, r.volume, r.tuning, nominalShare*m.longest, m.keep)
		l.ready[i] = true
	}
	return r
}

// spaced gives n values from one end of a range to the other, evenly in their logarithm.
func spaced(r Range, n int) []float64 {
	if n < 2 || r.Most <= r.Least {
		return []float64{r.Most}
	}
	all := make([]float64, n)
	for i := range all {
		all[i] = r.Least * math.Pow(r.Most/r.Least, float64(i)/float64(n-1))
	}
	all[n-1] = r.Most
	return all
}

// uselessVas is how many times Vas a box is at most: more changes nothing that can be told.
const uselessVas = 8

// useful is the range of net volumes that may be the answer to something, up to most, m3.
func (m *Model) useful(most float64) Range {
	r := Range{most * 1e-3, min(most, uselessVas*m.Driver.Vas(m.Air))}
	if v, err := thielesmall.SealedVolume(m.Driver, m.Air, m.Amplifier.Source, m.grades[grade.VentedQtc].Value()); err == nil {
		r.Least = max(r.Least, v)
	}
	if w := m.Limits.Volume; w.Most > 0 {
		r = Range{max(w.Least, most*1e-3), min(w.Most, most)}
	}
	return r
}

// solveAt is solve by the second coordinate u of a lattice, 0 to 1, with ports of so much area in all; 0: of the nominal
// length.
func (m *Model) solveAt(r *response, k Kind, volume, u, area float64) {
	tuning, length := m.tuningAt(k, volume, u), nominalShare*m.longest
	if area > 0 {
		length = ductOf(min(m.longest, area*m.perArea(volume, tuning)), area)
	}
	m.solve(r, k, volume, tuning, length, m.keep)
}

// tuningAt is the tuning, Hz, that u stands for, evenly in its logarithm over the tunings that may be chosen, with radiators
// of those that their mass can give. Where there is none it is outside them.
func (m *Model) tuningAt(k Kind, volume, u float64) float64 {
	if k == Sealed {
		return 0
	}
	t := m.tunings()
	if k == Passive {
		r := m.Radiator.Radiator
		t.Most = min(t.Most, thielesmall.Box{Volume: volume, Passive: r}.Tuning(m.Air))
		r.Mms += m.Radiator.MostAdded
		t.Least = max(t.Least, thielesmall.Box{Volume: volume, Passive: r}.Tuning(m.Air))
		if t.Empty() {
			return t.Most / 2
		}
	}
	return t.Least * math.Pow(max(1, t.Most/t.Least), u)
}

// allows reports whether a tuning may be chosen.
func (m *Model) allows(k Kind, tuning float64) bool {
	return k == Sealed || m.tunings().Holds(tuning)
}

// sealedMost is the greatest M(20,40) of any feasible sealed box in the places, by which aim compact judges what others
// give up; ok is false where none is feasible.
func (m *Model) sealedMost(places []Place) (level float64, ok bool) {
	loud := m.wishing(wish{goal: loudest, least: math.Inf(-1), share: m.grades[grade.LeastShare].Value()})
	level = math.Inf(-1)
	for i := range places {
		if places[i].Kind == Sealed {
			_, s := loud.Best(&places[i])
			level = max(level, s)
		}
	}
	return level, !math.IsInf(level, -1)
}
