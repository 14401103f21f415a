package design

import (
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"cubby/internal/thielesmall"
)

// peaking is the response of a second-order peaking filter, dB, by the prototype of the Audio EQ Cookbook (R. Bristow-Johnson, from memory):
// H(s) = (s2 + s A/Q + 1) / (s2 + s/(A Q) + 1), A = 10^(gain/40).
func peaking(gain, hz, q, f float64) float64 {
	a, s := math.Pow(10, gain/40), complex(0, f/hz)
	return 20 * math.Log10(cmplx.Abs((s*s+s*complex(a/q, 0)+1)/(s*s+s/complex(a*q, 0)+1)))
}

// cabinOf makes up a cabin in which a box plays what shape says, dB.
func cabinOf(c *thielesmall.Circuit, shape func(f float64) float64) (all []GainPoint) {
	bare := c.Without()
	for f := 10.0; f < 150; f *= 1.01 {
		all = append(all, GainPoint{f, 100 + shape(f) - bare.Level(f, defaultVolts)})
	}
	return all
}

// In made-up cabins with one hump or one hole the filter that is suggested takes it out as far as needed; in an even one there is none.
func TestOneBoostOrCut(t *testing.T) {
	req := wedgeRequest()
	box := mustRun(t, req).Designs[0].Circuit
	for _, c := range []struct {
		name               string
		shape              func(f float64) float64
		least, most        float64 // dB of the suggestion
		from, to           float64 // Hz of it
		even, isSuggestion bool
	}{
		{"even", func(f float64) float64 { return 2 * math.Sin(f) }, 0, 0, 0, 0, true, false},
		{"a hump of 8 dB", func(f float64) float64 { return peaking(8, 60, 3, f) }, -1.5, -0.5, 52, 68, true, true},
		{"a hole of 10 dB", func(f float64) float64 { return peaking(-10, 60, 3, f) }, 2, 3.5, 52, 68, true, true},
		{"a hole of 16 dB", func(f float64) float64 { return peaking(-16, 60, 3, f) }, 6, 6, 52, 68, false, true},
		{"a comb", func(f float64) float64 { return 12 * math.Sin(60*math.Log(f)) }, 0, 0, 0, 0, false, false},
	} {
		req.Vehicle = &Vehicle{Measured: cabinOf(box, c.shape), Fronts: 1.9, Sub: 2.6}
		h, err := newRig(&req)
		if err != nil {
			t.Fatal(err)
		}
		h.drive = defaultVolts
		got := h.tuneCabin(box, 40)
		if got.Gain < c.least || got.Gain > c.most || (got.Gain != 0) != c.isSuggestion || c.isSuggestion && (got.Frequency < c.from || got.Frequency > c.to) {
			t.Errorf("%s: %+.1f dB at %.0f Hz, Q %g", c.name, got.Gain, got.Frequency, got.Q)
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for f := 40.0; f <= 90; f *= 1.005 {
			v := c.shape(f)
			if got.Gain != 0 {
				v += peaking(got.Gain, got.Frequency, got.Q, f)
			}
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
		if stray := (hi - lo) / 2; (stray <= evenWithin+0.3) != c.even || math.Abs(stray-got.After) > 0.6 && c.name != "a comb" {
			t.Errorf("%s: strays %.2f dB after the filter, %.2f is said", c.name, stray, got.After)
		}
		if c := h.air.SoundSpeed; math.Abs(got.Delay-0.7/c) > 1e-12 || got.IsSubNearer || !strings.Contains(got.Text(), "Delay 2.0 ms on the front speakers") {
			t.Errorf("delay %v s, want %v on the fronts: %s", got.Delay, 0.7/c, got.Text())
		}
	}
}

// The delay is set on what is nearer; without both distances there is none.
func TestDelay(t *testing.T) {
	for _, c := range []struct {
		fronts, sub, metres float64
		isSub               bool
	}{{1.9, 2.6, 0.7, false}, {2.4, 0.9, 1.5, true}, {0, 2, 0, false}, {2, 2, 0, false}} {
		req := wedgeRequest()
		req.Vehicle = &Vehicle{CabinLength: 2.5, Fronts: c.fronts, Sub: c.sub}
		h, err := newRig(&req)
		if err != nil {
			t.Fatal(err)
		}
		if got := h.tuneCabin(nil, 40); math.Abs(got.Delay*h.air.SoundSpeed-c.metres) > 1e-9 || got.IsSubNearer != c.isSub {
			t.Errorf("%+v: %v s, the sub nearer %v", c, got.Delay, got.IsSubNearer)
		}
	}
}
