package impedance

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Coil says what stands for a coil's inductance.
type Coil int

// The coils: none that shows in the sweep, an inductance, and an inductance
// in series with a pair of inductance and resistance in parallel.
const (
	NoCoil Coil = iota
	Inductance
	InductanceAndPair
)

// String returns "none", "le" or "le, l2 and r2".
func (c Coil) String() string { return [...]string{"none", "le", "le, l2 and r2"}[c] }

// FreeAir is a driver, or a driver loaded by a mass or a sealed box, as its impedance shows it.
type FreeAir struct {
	Re            Value // ohm
	Fs            Value // Hz
	Qms, Qes, Qts Value
	Le            Value // H; 0 with NoCoil
	L2, R2        Value // H, ohm; 0 unless InductanceAndPair
	Fitted
	Start HalfPower

	x   []float64 // logs of fs, qms, qes, re
	cov *mat.SymDense
}

// FreeAirOptions are what is known beforehand. The zero value knows nothing.
type FreeAirOptions struct {
	Re float64 // ohm, by an ohmmeter at the same terminals; 0: from the sweep
}

// What a sweep of one hump must be (judgement; each is tested).
const (
	leastPoints  = 10    // in the part that is fitted
	leastInside  = 3     // between the two half-power frequencies
	coilSpan     = 10.0  // times the hump's frequency: above, the coil's iron follows no such simple model
	worstFit     = 5.0   // per cent: above, the curve is of something else
	worstFs      = 0.01  // share, standard uncertainty
	worstQ       = 0.05  // share
	lowestWanted = 10.0  // Hz, advised where no hump was seen at all
	highWanted   = 200.0 // Hz
)

// FitFreeAir fits
//
//	Z = Re + jw Le + jw L2 R2/(R2 + jw L2) + (Re Qms/Qes) / (1 + j Qms (f/fs - fs/f))
//
// to the sweep by least squares, up to ten times its resonance. Small, Direct-Radiator Loudspeaker System Analysis, J.
// Audio Eng. Soc. 20 (1972) 383 (from memory), with the coil's second pair of common practice. Nothing else about the
// driver need be known. The same fits a driver with a mass on its cone, and one in a sealed box, with fc, Qmc and Qec
// for fs, Qms and Qes.
//
// The error is that of [Sweep.Check], or an [UndecidedError] when the peak is missed or flat, the range too short, the
// points too few or too scattered, or the curve is not that of a driver.
func FitFreeAir(s Sweep, o FreeAirOptions) (FreeAir, error) {
	if err := s.Check(); err != nil {
		return FreeAir{}, err
	}
	if s.turned() {
		return FreeAir{}, phaseTurned()
	}
	h, start, err := s.startFreeAir(o)
	if err != nil {
		return FreeAir{}, err
	}
	band := s.upTo(coilSpan * h.Frequency)
	best := FreeAir{}
	var sol solution
	least := math.Inf(1)
	for _, c := range []Coil{NoCoil, Inductance, InductanceAndPair} {
		if sol.exact() {
			break
		}
		m := freeModel{sweep: band, coil: c, re: o.Re}
		for _, x0 := range m.starts(start) {
			if band.rows() <= len(x0) {
				continue
			}
			if a := m.problem().solve(x0); a.ok && a.information() < least-decided {
				if f, ok := m.result(a); ok {
					least, sol, best = a.information(), a, f
				}
			}
		}
	}
	best.Start = start
	if sol.x == nil {
		return FreeAir{}, undecided(h.Frequency, h.Frequency, "no driver's curve passes through it")
	}
	return best, best.judge()
}

// decided is by how much a criterion must be better for a model with more unknowns, so that rounding decides nothing.
const decided = 1e-6

// startFreeAir finds the hump, and from it where the fit begins.
func (s Sweep) startFreeAir(o FreeAirOptions) (Hump, HalfPower, error) {
	h, ok := tallest(s.Humps())
	if !ok {
		return h, HalfPower{}, &UndecidedError{Reason: "it has no peak of impedance with a fall on both sides", From: lowestWanted, To: highWanted}
	}
	re := o.Re
	if re == 0 {
		re = s.upTo(coilSpan * h.Frequency).lowest()
	}
	p := s.halfPower(h, re)
	inside := 0
	for _, f := range s.Frequency {
		if f >= p.F1 && f <= p.F2 {
			inside++
		}
	}
	f := h.Frequency
	switch {
	case p.R0 <= leastRise:
		return h, p, undecided(f, f, "its peak of %.3g ohm hardly stands above the coil's %.3g ohm", h.Magnitude, re)
	case p.F1 == 0:
		return h, p, undecided(f, f, "it begins at %.3g Hz, on the slope of the peak at %.3g Hz", s.Frequency[0], f)
	case p.F2 == 0:
		return h, p, undecided(f, f, "it ends at %.3g Hz, on the slope of the peak at %.3g Hz", s.Frequency[s.Len()-1], f)
	case inside < leastInside || s.upTo(coilSpan*f).Len() < leastPoints:
		return h, p, undecided(f, f, "%d points, of which %d at the peak between %.3g and %.3g Hz, are too few", s.Len(), inside, p.F1, p.F2)
	}
	return h, p, nil
}

// lowest returns the least magnitude.
func (s Sweep) lowest() float64 {
	least := math.Inf(1)
	for _, z := range s.Magnitude {
		least = math.Min(least, z)
	}
	return least
}

// freeModel is a driver in free air with its unknowns in the order fs, qms,
// qes, re (unless it is known), le, l2, r2 (as the coil has them).
type freeModel struct {
	sweep Sweep
	coil  Coil
	re    float64 // known; 0: unknown
}

// freeValues are the numbers of the model.
type freeValues struct{ fs, qms, qes, re, le, l2, r2 float64 }

func (m freeModel) values(x []float64) freeValues {
	v := freeValues{math.Exp(x[0]), math.Exp(x[1]), math.Exp(x[2]), m.re, 0, 0, 0}
	rest := x[3:]
	if m.re == 0 {
		v.re, rest = math.Exp(rest[0]), rest[1:]
	}
	for i, p := range []*float64{&v.le, &v.l2, &v.r2}[:len(rest)] {
		*p = math.Exp(rest[i])
	}
	return v
}

// at returns the impedance at f Hz.
func (v freeValues) at(f float64) complex128 {
	w := 2 * math.Pi * f
	z := complex(v.re, w*v.le) + complex(v.re*v.qms/v.qes, 0)/complex(1, v.qms*(f/v.fs-v.fs/f))
	if v.r2 > 0 {
		z += complex(0, w*v.l2) * complex(v.r2, 0) / complex(v.r2, w*v.l2)
	}
	return z
}

func (m freeModel) problem() squares {
	return squares{rows: m.sweep.rows(), residuals: func(y, x []float64) { m.sweep.residuals(y, m.values(x).at) }}
}

// starts returns where to begin: the three-frequency values, and for the coil
// some inductances between what would and would not show at the high end.
func (m freeModel) starts(p HalfPower) [][]float64 {
	re := m.re
	base := []float64{math.Log(p.Fs), math.Log(p.Qms), math.Log(p.Qes)}
	if m.re == 0 {
		re = p.Zmax / p.R0
		base = append(base, math.Log(re))
	}
	high := 2 * math.Pi * m.sweep.Frequency[m.sweep.Len()-1]
	with := func(more ...float64) []float64 {
		x := append([]float64(nil), base...)
		for _, v := range more {
			x = append(x, math.Log(v))
		}
		return x
	}
	var all [][]float64
	switch m.coil {
	case NoCoil:
		all = append(all, base)
	case Inductance:
		for _, share := range []float64{0.1, 0.7} {
			all = append(all, with(share*re/high))
		}
	case InductanceAndPair:
		for _, share := range []float64{0.3, 1} {
			for _, r2 := range []float64{0.3, 2, 10} {
				all = append(all, with(share*re/high, 2*share*re/high, r2*re))
			}
		}
	}
	return all
}

// result turns a solution into values; ok is false when it leaves one open.
func (m freeModel) result(s solution) (f FreeAir, ok bool) {
	cov, ok := s.covariance(s.variance())
	if !ok {
		return f, false
	}
	f.Fitted = m.sweep.fitted(m.coil, math.Sqrt(s.sum/float64(m.sweep.rows())))
	one := func(of func(v freeValues) float64) Value {
		return derived(func(x []float64) float64 { return of(m.values(x)) }, s.x, cov)
	}
	f.Fs = one(func(v freeValues) float64 { return v.fs })
	f.Qms = one(func(v freeValues) float64 { return v.qms })
	f.Qes = one(func(v freeValues) float64 { return v.qes })
	f.Qts = one(func(v freeValues) float64 { return v.qms * v.qes / (v.qms + v.qes) })
	f.Re = one(func(v freeValues) float64 { return v.re })
	f.Le = one(func(v freeValues) float64 { return v.le })
	f.L2 = one(func(v freeValues) float64 { return v.l2 })
	f.R2 = one(func(v freeValues) float64 { return v.r2 })
	f.x, f.cov = f.kernel(m, cov)
	return f, true
}

// kernel returns the logarithms of fs, qms, qes and re with their covariance, for what follows from several sweeps.
func (f FreeAir) kernel(m freeModel, cov *mat.SymDense) ([]float64, *mat.SymDense) {
	x := []float64{math.Log(f.Fs.Value), math.Log(f.Qms.Value), math.Log(f.Qes.Value), math.Log(f.Re.Value)}
	known := 4
	if m.re > 0 {
		known = 3
	}
	c := mat.NewSymDense(4, nil)
	for i := range known {
		for j := i; j < known; j++ {
			c.SetSym(i, j, cov.At(i, j))
		}
	}
	return x, c
}

// judge says when the fit is too poor to be an answer.
func (f FreeAir) judge() error {
	at := f.Fs.Value
	switch {
	case f.FitError > worstFit:
		return undecided(at, at, "it misses the curve of any driver in free air by %.1f %%", f.FitError)
	case f.Fs.share() > worstFs:
		return undecided(at, at, "its scatter leaves fs open by %.1f %%", 100*f.Fs.share())
	case f.Qts.share() > worstQ:
		return undecided(at, at, "its scatter leaves Qts open by %.0f %%", 100*f.Qts.share())
	}
	return nil
}
