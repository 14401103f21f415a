package thielesmall

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/numeric"
)

// Alignment is a member of a classical family of vented boxes for a driver.
type Alignment struct {
	Family string  // "B4", "QB3", "C4", "sub-Chebyshev", "Bessel" or "equal pole pairs"
	QL     float64 // leakage; 0 none
	Qts    float64 // the driver's total Q, source included, that the member asks for exactly
	Alpha  float64 // Vas/Vb
	H      float64 // fb/fs
	F3     float64 // f3/fs
	Ripple float64 // dB
}

// Bounds of what is offered.
const (
	mostRipple  = 3.0  // dB; more is no alignment, it is a resonance
	highestH    = 5.0  // fb/fs; a driver for it has a Qts below 0.08
	loosestQts  = 2.5  // no driver for a vented box has more
	singleSlack = 0.02 // relative distance of a driver's Qts from the one a single alignment asks for, a tenth of catalogue spread
)

// Align returns the member of the family for a driver of total quality factor qts (source and leads included) in a box
// with leakage ql, 0 or infinite for none. It is solved from the polynomial for any ql, not interpolated.
//
// B4 and Bessel are single alignments: they serve a driver within 2 % of the Qts they ask for, which is what the result
// states. A driver outside a family's range gives a [RangeError] with that range, as does a ql so low that the family
// has no member.
func Align(name string, qts, ql float64) (Alignment, error) {
	f, err := familyNamed(name)
	if err != nil {
		return Alignment{}, err
	}
	if err := positive("qts", qts, ""); err != nil {
		return Alignment{}, err
	}
	leak, err := leakage(ql)
	if err != nil {
		return Alignment{}, err
	}
	if f.from == f.to {
		return f.single(qts, ql, leak)
	}
	return f.member(qts, ql, leak)
}

// Alignments returns the members of all families that the driver can have, see
// [Align]; none for a driver that suits no vented box.
func Alignments(qts, ql float64) []Alignment {
	var all []Alignment
	for _, f := range families {
		if a, err := Align(f.name, qts, ql); err == nil {
			all = append(all, a)
		}
	}
	return all
}

// leakiest is the lowest QL for which alignments are looked for. Every family ends above it; far below it the
// polynomials have roots again that are no loudspeaker.
const leakiest = 1.0

// leakage returns 1/QL.
func leakage(ql float64) (float64, error) {
	if ql == 0 || math.IsInf(ql, 1) {
		return 0, nil
	}
	if !(ql >= leakiest) {
		return 0, &RangeError{Quantity: "ql", Value: ql, Low: leakiest, High: math.Inf(1), Closed: true, Because: "a box that leaks more is none"}
	}
	return 1 / ql, nil
}

func familyNamed(name string) (family, error) {
	var known []string
	for _, f := range families {
		if f.name == name {
			return f, nil
		}
		known = append(known, f.name)
	}
	return family{}, fmt.Errorf("alignment: %q: known are %s", name, strings.Join(known, ", "))
}

// at returns the member with parameter p; ok is false outside the bounds.
func (f family) at(p, ql, leak float64) (a Alignment, ok bool) {
	g := f.shape(p)
	a = Alignment{Family: f.name, QL: ql, Ripple: f.ripple(p)}
	if a.Ripple > mostRipple {
		return a, false
	}
	a.Qts, a.Alpha, a.H, ok = g.inverse(leak)
	if !ok || a.H > highestH || a.Qts > loosestQts {
		return a, false
	}
	if math.IsInf(a.QL, 1) {
		a.QL = 0
	}
	a.F3 = math.Sqrt(a.H) * g.halfPower()
	return a, true
}

// single returns the only member of f if the driver is near enough to it.
func (f family) single(qts, ql, leak float64) (Alignment, error) {
	a, ok := f.at(f.from, ql, leak)
	if !ok {
		return Alignment{}, f.tooLeaky(ql)
	}
	if math.Abs(qts/a.Qts-1) > singleSlack {
		return Alignment{}, &RangeError{Quantity: "qts", Value: qts, Low: a.Qts * (1 - singleSlack), High: a.Qts * (1 + singleSlack), Closed: true,
			Because: fmt.Sprintf("%s with %s asks for %.4f", f.name, leakWords(leak), a.Qts)}
	}
	return a, nil
}

func leakWords(leak float64) string {
	if leak == 0 {
		return "no leak"
	}
	return fmt.Sprintf("QL %.4g", 1/leak)
}

// tooLeaky says from which QL up the family has members.
func (f family) tooLeaky(ql float64) error {
	low := numeric.Bisect(0, 1/ql, 40, func(leak float64) bool { // in 1/QL
		_, _, ok := f.span(1/leak, leak)
		return ok
	})
	return &RangeError{Quantity: "ql", Value: ql, Low: 1 / low, High: math.Inf(1), Because: "so leaky a box has no " + f.name + " alignment"}
}

// steps is how finely a family is walked for its range.
const steps = 200

// member finds the member of f that asks for qts.
func (f family) member(qts, ql, leak float64) (Alignment, error) {
	low, high, ok := f.span(ql, leak)
	if !ok {
		return Alignment{}, f.tooLeaky(ql)
	}
	a, _ := f.at(low, ql, leak)
	b, _ := f.at(high, ql, leak)
	least, most := math.Min(a.Qts, b.Qts), math.Max(a.Qts, b.Qts)
	if qts < least*(1-edgeSlack) || qts > most*(1+edgeSlack) {
		return Alignment{}, &RangeError{Quantity: "qts", Value: qts, Low: least, High: most, Closed: true,
			Because: fmt.Sprintf("the range of %s with %s", f.name, leakWords(leak))}
	}
	rising := b.Qts > a.Qts
	p := numeric.Bisect(math.Log(low), math.Log(high), 60, func(p float64) bool {
		m, _ := f.at(math.Exp(p), ql, leak)
		return (m.Qts < qts) == rising
	})
	a, _ = f.at(math.Exp(p), ql, leak)
	return a, nil
}

// edgeSlack lets a driver at the very end of a range pass rounding.
const edgeSlack = 1e-9

// span returns the parameters between which f has members with this leak: the
// longest unbroken stretch of the walk from f.from to f.to, its ends refined.
func (f family) span(ql, leak float64) (low, high float64, ok bool) {
	if f.from == f.to {
		_, ok = f.at(f.from, ql, leak)
		return f.from, f.to, ok
	}
	ratio := math.Pow(f.to/f.from, 1.0/steps)
	inside := func(i float64) bool {
		_, ok := f.at(f.from*math.Pow(ratio, i), ql, leak)
		return ok
	}
	first, last := -1, -1
	for i := 0; i <= steps; i++ {
		if inside(float64(i)) {
			if first < 0 {
				first = i
			}
			last = i
		} else if first >= 0 {
			break
		}
	}
	if first < 0 {
		return 0, 0, false
	}
	a, b := float64(first), float64(last)
	if first > 0 {
		a = numeric.Bisect(a, a-1, 40, inside)
	}
	if last < steps {
		b = numeric.Bisect(b, b+1, 40, inside)
	}
	return f.from * math.Pow(ratio, a), f.from * math.Pow(ratio, b), true
}
