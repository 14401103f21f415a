package thielesmall

import (
	"math"

	"cubby/internal/numeric"
)

// A quartic is a fourth-order high-pass,
//
//	G(s) = s^4 / (s^4 + a1 s^3 + a2 s^2 + a3 s + 1)
//
// s in units of w0 = sqrt(wb ws). The numbering is Small's: a1 goes with s^3.
type quartic struct{ a1, a2, a3 float64 }

// A family is a line of quartics that share a property, or a single one.
type family struct {
	name     string
	shape    func(p float64) quartic
	from, to float64 // of p; the first is the end nearest to B4; equal: a single quartic
	ripple   func(p float64) float64
}

func noRipple(float64) float64 { return 0 }

// families lists them in the order in which they are offered. Thiele, Loudspeakers in Vented Boxes, Proc. IRE Australia
// 22 (1961) 487; Small, Vented-Box Loudspeaker Systems, J. Audio Eng. Soc. 21 (1973) 363 (both from memory);
// polynomials as in lecture notes after Leach, Introduction to Electroacoustics and Audio Amplifier Design, chapter 8.
var families = [...]family{
	{"B4", func(float64) quartic { return butterworth4 }, 0, 0, noRipple},
	{"QB3", quasiButterworth, butterworth4.a2, 400, noRipple},
	{"C4", chebyshev, 1, 0.05, chebyshevRipple},
	{"sub-Chebyshev", chebyshev, 1, 30, noRipple},
	{"Bessel", func(float64) quartic { return bessel4 }, 0, 0, noRipple},
	{"equal pole pairs", equalPairs, 0.4, 6, equalPairsRipple},
}

// butterworth4 is maximally flat: a1 = a3 = sqrt(4 + 2 sqrt 2), a2 = 2 + sqrt 2.
var butterworth4 = quartic{math.Sqrt(4 + 2*math.Sqrt2), 2 + math.Sqrt2, math.Sqrt(4 + 2*math.Sqrt2)}

// bessel4 is the Bessel polynomial s^4 + 10 s^3 + 45 s^2 + 105 s + 105 reversed
// for a high-pass and scaled by the fourth root of 105.
var bessel4 = func() quartic {
	r := math.Sqrt(math.Sqrt(105))
	return quartic{105 / (r * r * r), 45 / (r * r), 10 / r}
}()

// quasiButterworth is QB3 for a2 >= 2 + sqrt 2: a1 = sqrt(2 a2),
// a3 = (a2^2 + 2)/(2 a1), so that |G|^2 = w^8/(w^8 + B^2 w^2 + 1).
func quasiButterworth(a2 float64) quartic {
	a1 := math.Sqrt(2 * a2)
	return quartic{a1, a2, (a2*a2 + 2) / (2 * a1)}
}

// chebyshev is C4 for k < 1, B4 for k = 1, sub-Chebyshev for k > 1: the real
// parts of the Butterworth poles multiplied by k, then w0 brought back to 1.
func chebyshev(k float64) quartic {
	k2 := k * k
	d := (k2*k2 + 6*k2 + 1) / 8
	a3 := k * math.Sqrt(4+2*math.Sqrt2) / math.Sqrt(math.Sqrt(d))
	return quartic{
		a1: a3 / math.Sqrt(d) * (1 - (1-k2)/(2*math.Sqrt2)),
		a2: (1 + k2*(1+math.Sqrt2)) / math.Sqrt(d),
		a3: a3,
	}
}

// chebyshevRipple returns the ripple in dB, 10 log10(1 + 1/sinh^2(4 atanh k)).
func chebyshevRipple(k float64) float64 {
	if k >= 1 {
		return 0
	}
	s := math.Sinh(4 * math.Atanh(k))
	return 10 * math.Log10(1+1/(s*s))
}

// equalPairs is (s^2 + b s + 1)^2: two pole pairs alike, critically damped at
// b = 2 and the square of a Butterworth pair at b = sqrt 2.
func equalPairs(b float64) quartic { return quartic{2 * b, b*b + 2, 2 * b} }

// equalPairsRipple returns the peak of the square of a pair of Q 1/b, dB.
func equalPairsRipple(b float64) float64 {
	q2 := 1 / (b * b)
	if q2 <= 0.5 {
		return 0
	}
	return 2 * 20 * math.Log10(q2/math.Sqrt(q2-0.25))
}

// inverse returns the driver and box that give the quartic with leakage
// leak = 1/QL: r = sqrt(h) is the root near sqrt(a3/a1) of
//
//	leak (r^4 - 1) - a1 r^3 + a3 r = 0
//
// then 1/QT = a1 r - leak r^2 and alpha = h a2 - h^2 - 1 - h leak/QT. ok is false where no driver can be that.
func (g quartic) inverse(leak float64) (qts, alpha, h float64, ok bool) {
	r := math.Sqrt(g.a3 / g.a1)
	for i := 0; i < 60; i++ {
		f := leak*(r*r*r*r-1) - g.a1*r*r*r + g.a3*r
		step := f / (4*leak*r*r*r - 3*g.a1*r*r + g.a3)
		r -= step
		if math.Abs(step) < 1e-15*r {
			break
		}
	}
	h = r * r
	inverseQ := g.a1*r - leak*h
	alpha = h*g.a2 - h*h - 1 - h*leak*inverseQ
	if !(r > 0) || !(inverseQ > 0) || !(alpha > 0) {
		return 0, 0, 0, false
	}
	return 1 / inverseQ, alpha, h, true
}

// power returns 1/|G|^2 - 2 times w^8, as a polynomial in x = w^2: its largest
// root is the half-power frequency squared.
func (g quartic) power(x float64) float64 {
	A1 := g.a1*g.a1 - 2*g.a2
	A2 := g.a2*g.a2 + 2 - 2*g.a1*g.a3
	A3 := g.a3*g.a3 - 2*g.a2
	return (((x-A1)*x-A2)*x-A3)*x - 1
}

// halfPower returns the highest frequency, in units of w0, at which the power is half.
func (g quartic) halfPower() float64 {
	high := 1 + math.Max(math.Abs(g.a1*g.a1-2*g.a2), math.Max(math.Abs(g.a2*g.a2+2-2*g.a1*g.a3), math.Abs(g.a3*g.a3-2*g.a2))) // Cauchy's bound
	low := high
	for g.power(low) >= 0 && low > 1e-6 {
		high, low = low, low*0.97
	}
	return math.Sqrt(numeric.Bisect(low, high, 60, func(x float64) bool { return g.power(x) < 0 }))
}
