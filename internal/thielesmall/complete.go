package thielesmall

import (
	"math"
	"strings"

	"cubby/internal/word"
)

// The quantities that define a driver, as indices of values.
const (
	iFs = iota
	iQts
	iQes
	iQms
	iVas
	iSd
	iRe
	iBl
	iMms
	iCms
	iRms
	quantities
)

var quantityNames = [quantities]string{"fs", "qts", "qes", "qms", "vas", "sd", "re", "bl", "mms", "cms", "rms"}

// values holds one number for each quantity; 0 is unknown.
type values [quantities]float64

// secondary lists what is compared rather than believed, in the order in which
// it is believed after all when the rest is not enough.
var secondary = [...]int{iMms, iCms, iBl, iRms, iQts}

// given returns the quantities of the spec as published.
func (s Spec) given() values {
	return values{s.Fs, s.Qts, s.Qes, s.Qms, s.Vas, s.Area(), s.Re, s.Bl, s.Mms, s.Cms, s.Rms}
}

// solve completes the published quantities with the precedence of [Spec.Complete].
func (s Spec) solve() (values, error) {
	return s.solveTraced(nil)
}

// solveTraced is solve, and notes in t what each quantity came from.
func (s Spec) solveTraced(t *trace) (values, error) {
	given := s.given()
	v, err := complete(given, t)
	if err != nil {
		return v, err
	}
	if !v.full() {
		return v, missing(given)
	}
	return v, nil
}

// A trace holds, for each quantity that was computed, those from which it
// was; none for one that was given. A nil trace notes nothing.
type trace [quantities][]int

// note records what quantity i was computed from.
func (t *trace) note(i int, from ...int) {
	if t != nil {
		t[i] = from
	}
}

// complete fills in what follows from given; some may stay unknown.
func complete(given values, t *trace) (values, error) {
	v := given
	for _, i := range secondary {
		v[i] = 0
	}
	if given[iQes] == 0 || given[iQms] == 0 {
		v[iQts] = given[iQts]
	}
	if err := v.propagate(t); err != nil {
		return v, err
	}
	for _, i := range secondary {
		if v[i] == 0 && given[i] > 0 {
			v[i] = given[i]
			if err := v.propagate(t); err != nil {
				return v, err
			}
		}
	}
	return v, nil
}

// full reports whether every quantity is known.
func (v *values) full() bool {
	for _, x := range v {
		if x == 0 {
			return false
		}
	}
	return true
}

// A monomial is a relation: scale x product of quantity^power = 1.
type monomial struct {
	scale  func() float64
	powers []power
}

type power struct {
	quantity int
	exponent float64
}

func twoPi() float64 { return 2 * math.Pi }

// monomials are the relations between a driver's parameters:
//
//	Vas = rho c^2 Sd^2 Cms
//	(2 pi fs)^2 Mms Cms = 1
//	Qes Bl^2 = 2 pi fs Mms Re
//	Qms Rms = 2 pi fs Mms
//
// Small, Direct-Radiator Loudspeaker System Analysis, J. Audio Eng. Soc. 20 (1972) 383 (from memory).
var monomials = [...]monomial{
	{func() float64 { return referenceAir().stiffness() }, []power{{iSd, 2}, {iCms, 1}, {iVas, -1}}},
	{func() float64 { return 4 * math.Pi * math.Pi }, []power{{iFs, 2}, {iMms, 1}, {iCms, 1}}},
	{twoPi, []power{{iFs, 1}, {iMms, 1}, {iRe, 1}, {iQes, -1}, {iBl, -2}}},
	{twoPi, []power{{iFs, 1}, {iMms, 1}, {iQms, -1}, {iRms, -1}}},
}

// propagate applies the relations until nothing more follows.
func (v *values) propagate(t *trace) error {
	for again := true; again; {
		again = false
		for _, m := range monomials {
			again = m.apply(v, t) || again
		}
		found, err := v.splitQ(t)
		if err != nil {
			return err
		}
		again = again || found
	}
	return nil
}

// apply solves m for its only unknown and reports whether there was just one.
func (m monomial) apply(v *values, t *trace) bool {
	product, unknown := m.scale(), power{-1, 0}
	for _, p := range m.powers {
		if v[p.quantity] == 0 {
			if unknown.quantity >= 0 {
				return false
			}
			unknown = p
			continue
		}
		product *= math.Pow(v[p.quantity], p.exponent)
	}
	if unknown.quantity < 0 {
		return false
	}
	if !v.set(unknown.quantity, math.Pow(product, -1/unknown.exponent)) {
		return false
	}
	var from []int
	for _, p := range m.powers {
		if p.quantity != unknown.quantity {
			from = append(from, p.quantity)
		}
	}
	t.note(unknown.quantity, from...)
	return true
}

// splitQ applies 1/Qts = 1/Qes + 1/Qms and reports whether something followed.
func (v *values) splitQ(t *trace) (bool, error) {
	qts, qes, qms := v[iQts], v[iQes], v[iQms]
	switch {
	case qts == 0 && qes > 0 && qms > 0:
		t.note(iQts, iQes, iQms)
		return v.set(iQts, 1/(1/qes+1/qms)), nil
	case qts > 0 && qes > 0 && qms == 0:
		t.note(iQms, iQts, iQes)
		return v.remainder(iQms, qes, "qes")
	case qts > 0 && qes == 0 && qms > 0:
		t.note(iQes, iQts, iQms)
		return v.remainder(iQes, qms, "qms")
	}
	return false, nil
}

// remainder finds part i of Qts from the other one, whose name is given.
func (v *values) remainder(i int, other float64, name string) (bool, error) {
	qts := v[iQts]
	if qts >= other {
		return false, &RangeError{Quantity: "qts", Value: qts, Low: 0, High: other, Because: "qts is below " + name + " in every driver"}
	}
	return v.set(i, 1/(1/qts-1/other)), nil
}

// set stores x if it is a positive number, which alone counts as known, and reports whether it did.
func (v *values) set(i int, x float64) bool {
	if !(x > 0) || math.IsInf(x, 1) {
		return false
	}
	v[i] = x
	return true
}

// missing says which quantities, one or two at a time, would complete given.
func missing(given values) error {
	e := &MissingError{What: WholeDriver}
	for i, x := range given {
		if x > 0 {
			e.Have = append(e.Have, quantityNames[i])
		}
	}
	for i := range given {
		if enough(given, i) {
			e.Need = append(e.Need, label(i))
		}
	}
	for i := 0; i < quantities && len(e.Need) == 0; i++ {
		for j := i + 1; j < quantities; j++ {
			if enough(given, i, j) {
				e.Need = append(e.Need, label(i)+" and "+label(j))
			}
		}
	}
	if len(e.Need) == 0 {
		e.Need = []string{usual(given)}
	}
	return e
}

// usual names what given lacks of the usual set: fs, Vas, Sd, Re and two of the three Qs.
func usual(given values) string {
	var all, qs []string
	for _, i := range []int{iFs, iVas, iSd, iRe} {
		if given[i] == 0 {
			all = append(all, label(i))
		}
	}
	for _, i := range []int{iQts, iQes, iQms} {
		if given[i] == 0 {
			qs = append(qs, label(i))
		}
	}
	switch len(qs) {
	case 2:
		all = append(all, "one of "+strings.Join(qs, ", "))
	case 3:
		all = append(all, "two of "+strings.Join(qs, ", "))
	}
	return word.List(all)
}

func label(i int) string {
	if i == iSd {
		return "sd (or diameter)"
	}
	return quantityNames[i]
}

// enough reports whether the set would be complete if the quantities in more, none of which is known, were given. Their
// values do not matter, except that a Qts must stay below its parts.
func enough(given values, more ...int) bool {
	for _, i := range more {
		if given[i] > 0 {
			return false
		}
		given[i] = 1
	}
	for _, i := range more {
		if i == iQts {
			given[i] = 1e-9
		}
	}
	v, err := complete(given, nil)
	return err == nil && v.full()
}
