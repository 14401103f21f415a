package thielesmall

import (
	"errors"
	"fmt"
	"math"

	"cubby/internal/numeric"
)

// FilterKind is what a filter does.
type FilterKind int

// The kinds of filter.
const (
	HighPass FilterKind = iota
	LowPass
	PeakBoost // second-order peaking
)

// FilterType is the shape of a high-pass or low-pass.
type FilterType int

// The types of filter.
const (
	Butterworth FilterType = iota
	Bessel
	LinkwitzRiley
)

// Filter is one of the amplifier's filters. It multiplies the source voltage and never touches the impedance.
type Filter struct {
	Kind      FilterKind
	Type      FilterType // high-pass and low-pass
	Order     int        // 1 to 8, even for LinkwitzRiley; high-pass and low-pass
	Frequency float64    // Hz: -3.01 dB point of Butterworth and Bessel, -6.02 dB of LinkwitzRiley; centre of PeakBoost
	Gain, Q   float64    // PeakBoost only: dB at the centre, and centre over bandwidth
}

// steepest is the highest filter order.
const steepest = 8

// strongest is the largest boost or cut, dB.
const strongest = 30

// check reports a filter that cannot be.
func (f Filter) check() error {
	err := positive("filter frequency", f.Frequency, "Hz")
	switch f.Kind {
	case HighPass, LowPass:
		err = errors.Join(err, within("filter order", float64(f.Order), 1, steepest, ""))
		switch {
		case f.Type != Butterworth && f.Type != Bessel && f.Type != LinkwitzRiley:
			err = errors.Join(err, fmt.Errorf("filter type: %d is none that is known", f.Type))
		case f.Type == LinkwitzRiley && f.Order%2 != 0:
			err = errors.Join(err, fmt.Errorf("filter order: %d: a Linkwitz-Riley filter has an even order", f.Order))
		}
	case PeakBoost:
		err = errors.Join(err, within("boost gain", f.Gain, -strongest, strongest, "dB"), positive("boost q", f.Q, ""))
	default:
		err = errors.Join(err, fmt.Errorf("filter kind: %d is none that is known", f.Kind))
	}
	return err
}

// Response returns the complex gain at frequency Hz. A filter that cannot be (see [NewCircuit]) has the gain 1.
func (f Filter) Response(frequency float64) complex128 {
	if f.check() != nil {
		return 1
	}
	t := f.transfer()
	h, _ := t.at(2 * math.Pi * frequency)
	return h
}

// transfer is a ratio of polynomials in s/w0.
type transfer struct {
	w0       float64
	num, den polynomial
}

// polynomial holds coefficients of rising powers; order is the highest.
type polynomial struct {
	c     [steepest + 1]float64
	order int
}

// at returns the transfer function at s = jw, and the derivative of its logarithm with respect to w, s.
func (t *transfer) at(w float64) (h, slope complex128) {
	x := complex(0, w/t.w0)
	n, dn := t.num.at(x)
	d, dd := t.den.at(x)
	inverse := reciprocal(d)
	if n == 0 {
		return 0, 0
	}
	return n * inverse, (dn*reciprocal(n) - dd*inverse) * complex(0, 1/t.w0)
}

// at returns the polynomial and its derivative at x, by Horner's rule.
func (p *polynomial) at(x complex128) (v, dv complex128) {
	for i := p.order; i >= 0; i-- {
		dv = dv*x + v
		v = v*x + complex(p.c[i], 0)
	}
	return v, dv
}

// times returns the product of two polynomials whose orders add up to at most [steepest].
func (p polynomial) times(q polynomial) polynomial {
	r := polynomial{order: p.order + q.order}
	for i := 0; i <= p.order; i++ {
		for j := 0; j <= q.order; j++ {
			r.c[i+j] += p.c[i] * q.c[j]
		}
	}
	return r
}

// transfer builds the ratio of polynomials of a filter that passes check. A
// high-pass is the low-pass in w0/s: its denominator is reversed.
func (f Filter) transfer() transfer {
	t := transfer{w0: 2 * math.Pi * f.Frequency}
	if f.Kind == PeakBoost {
		t.num, t.den = peaking(f.Gain, f.Q)
		return t
	}
	low := lowPass(f.Type, f.Order)
	t.den = low
	t.num.order = 0
	t.num.c[0] = low.c[0]
	if f.Kind == HighPass {
		for i := 0; i <= low.order; i++ {
			t.den.c[i] = low.c[low.order-i]
		}
		t.num = polynomial{order: low.order}
		t.num.c[low.order] = low.c[0]
	}
	return t
}

// lowPass returns the denominator of the low-pass prototype.
func lowPass(kind FilterType, order int) polynomial {
	switch kind {
	case Bessel:
		return besselPrototype(order)
	case LinkwitzRiley:
		half := butterworthPrototype(order / 2)
		return half.times(half)
	default:
		return butterworthPrototype(order)
	}
}

// butterworthPrototype returns the polynomial whose roots lie evenly on the
// unit half circle: pairs s^2 + 2 sin((2k-1) pi/2n) s + 1, and s + 1 for odd n.
func butterworthPrototype(n int) polynomial {
	p := polynomial{c: [steepest + 1]float64{1}}
	for k := 1; k <= n/2; k++ {
		damping := 2 * math.Sin(float64(2*k-1)*math.Pi/float64(2*n))
		p = p.times(polynomial{c: [steepest + 1]float64{1, damping, 1}, order: 2})
	}
	if n%2 == 1 {
		p = p.times(polynomial{c: [steepest + 1]float64{1, 1}, order: 1})
	}
	return p
}

// besselPrototype returns the reverse Bessel polynomial of order n, scaled so
// that its reciprocal is 3.01 dB down at w = 1. Its coefficients are
//
//	a_k = (2n-k)! / (2^(n-k) k! (n-k)!)
//
// Thomson, Delay networks having maximally flat frequency characteristics, Proc. IEE 96 (1949) 487 (from memory).
func besselPrototype(n int) polynomial {
	p := polynomial{order: n}
	for k := 0; k <= n; k++ {
		p.c[k] = factorial(2*n-k) / (math.Exp2(float64(n-k)) * factorial(k) * factorial(n-k))
	}
	corner := numeric.Bisect(0, 10, 60, func(w float64) bool { // in natural units; below 4 for n up to 8
		v, _ := p.at(complex(0, w))
		return real(v)*real(v)+imag(v)*imag(v) < 2*p.c[0]*p.c[0]
	})
	scale := 1.0
	for k := 0; k <= n; k++ {
		p.c[k] *= scale
		scale *= corner
	}
	return p
}

func factorial(n int) float64 {
	f := 1.0
	for i := 2; i <= n; i++ {
		f *= float64(i)
	}
	return f
}

// peaking returns numerator and denominator of a peak of gain dB,
//
//	(s^2 + s A/Q + 1) / (s^2 + s/(A Q) + 1),  A = 10^(gain/40)
//
// whose cut is the mirror image of its boost.
func peaking(gain, q float64) (num, den polynomial) {
	a := math.Pow(10, gain/40)
	num = polynomial{c: [steepest + 1]float64{1, a / q, 1}, order: 2}
	den = polynomial{c: [steepest + 1]float64{1, 1 / (a * q), 1}, order: 2}
	return num, den
}

// reciprocal returns 1/z without the special cases of complex division; z must
// be finite and not so small that its square vanishes.
func reciprocal(z complex128) complex128 {
	re, im := real(z), imag(z)
	s := 1 / (re*re + im*im)
	return complex(re*s, -im*s)
}
