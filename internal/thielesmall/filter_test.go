package thielesmall

import (
	"math"
	"math/cmplx"
	"testing"
)

// Butterworth is 10 log10(1 + x^2n) down, Linkwitz-Riley twice that of half the order, by definition.
func TestFilterMagnitudes(t *testing.T) {
	for order := 1; order <= 8; order++ {
		for _, ratio := range []float64{0.1, 0.5, 0.9, 1, 1.3, 4} {
			down := func(n int) float64 { return 10 * math.Log10(1+math.Pow(ratio, 2*float64(n))) }
			low := Filter{Kind: LowPass, Order: order, Frequency: 80}
			high := Filter{Kind: HighPass, Order: order, Frequency: 80}
			near(t, "low-pass", dB(low.Response(80*ratio)), -down(order), 1e-9)
			near(t, "high-pass", dB(high.Response(80/ratio)), -down(order), 1e-9)
			if order%2 == 0 {
				low.Type, high.Type = LinkwitzRiley, LinkwitzRiley
				near(t, "Linkwitz-Riley low-pass", dB(low.Response(80*ratio)), -2*down(order/2), 1e-9)
				near(t, "Linkwitz-Riley high-pass", dB(high.Response(80/ratio)), -2*down(order/2), 1e-9)
			}
		}
	}
}

func dB(z complex128) float64 { return 20 * math.Log10(cmplx.Abs(z)) }

// Corner of the Bessel filter in units of its delay, tabulated as 1, 1.3617,
// 1.7557, 2.1139, 2.4274, 2.7034, 2.9517, 3.1796 for orders 1 to 8 (from
// memory), and its flat delay.
func TestBesselFilter(t *testing.T) {
	corner := []float64{1, 1.3617, 1.7557, 2.1139, 2.4274, 2.7034, 2.9517, 3.1796}
	for order := 1; order <= 8; order++ {
		f := Filter{Kind: LowPass, Type: Bessel, Order: order, Frequency: 100}
		near(t, "low-pass at its corner", dB(f.Response(100)), -10*math.Log10(2), 1e-9)
		h := f
		h.Kind = HighPass
		near(t, "high-pass at its corner", dB(h.Response(100)), -10*math.Log10(2), 1e-9)
		for _, r := range []float64{0.3, 2.5} {
			near(t, "high-pass mirrors low-pass", dB(h.Response(100/r)), dB(f.Response(100*r)), 1e-9)
		}
		delay := -cmplx.Phase(f.Response(0.01)) / (2 * math.Pi * 0.01)
		near(t, "corner in units of the delay", delay*2*math.Pi*100, corner[order-1], 1e-4)
		// second order: a pair of Q 1/sqrt 3
		if order == 2 {
			s := complex(0, 0.7*corner[1])
			near(t, "second order", cmplx.Abs(f.Response(70)-3/(s*s+3*s+3)), 0, 1e-4)
		}
	}
}

func TestPeakingFilter(t *testing.T) {
	f := Filter{Kind: PeakBoost, Frequency: 40, Gain: 6, Q: 1}
	near(t, "at the centre", dB(f.Response(40)), 6, 1e-12)
	near(t, "far below", dB(f.Response(0.4)), 0, 0.01)
	near(t, "far above", dB(f.Response(4000)), 0, 0.01)
	near(t, "half the gain at the band's lower edge", dB(f.Response(40*(math.Sqrt(1.25)-0.5))), 3, 1e-9)
	cut := f
	cut.Gain = -6
	near(t, "a cut mirrors a boost", cmplx.Abs(f.Response(33)*cut.Response(33)-1), 0, 1e-12)
}

// Filters act on level and motion, never on impedance.
func TestFilterInTheCircuit(t *testing.T) {
	s := ventedSystem()
	s.Filters = []Filter{{Kind: HighPass, Type: Butterworth, Order: 2, Frequency: 25}, {Kind: LowPass, Type: LinkwitzRiley, Order: 4, Frequency: 90}}
	c := circuit(t, s)
	for f := 10.0; f < 200; f *= 1.2 {
		with, without := c.At(f, 2), c.Without().At(f, 2)
		gain := cmplx.Abs(s.Filters[0].Response(f) * s.Filters[1].Response(f))
		near(t, "level", with.Level-without.Level, 20*math.Log10(gain), 1e-9)
		nearly(t, "excursion", with.Excursion, without.Excursion*gain, 1e-12)
		nearly(t, "port speed", with.PortSpeed, without.PortSpeed*gain, 1e-12)
		nearly(t, "terminals", with.Terminals, 2*gain, 1e-12)
		if with.Impedance != without.Impedance {
			t.Errorf("impedance %v with, %v without filters", with.Impedance, without.Impedance)
		}
	}
	plain, filtered := c.Without().Figures(2.83), c.Figures(2.83)
	if plain != filtered {
		t.Errorf("filters change the figures: %+v, %+v", plain, filtered)
	}
}

func TestFilterThatCannotBe(t *testing.T) {
	if h := (Filter{}).Response(30); h != 1 {
		t.Errorf("response %v", h)
	}
	if h := (Filter{Kind: HighPass, Order: 2, Frequency: 20}).Response(0); h != 0 {
		t.Errorf("a high-pass passes %v at zero", h)
	}
}
