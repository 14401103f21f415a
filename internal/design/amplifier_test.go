package design

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"cubby/internal/thielesmall"
)

// TestPowerInto meets the ratings themselves, keeps voltage above and power below them, and is exact between for a supply
// that holds its voltage.
func TestPowerInto(t *testing.T) {
	sheet := []Rating{{300, 4}, {500, 2}, {700, 1}}
	for _, test := range []struct {
		ratings []Rating
		load    float64
		want    float64
	}{
		{sheet, 4, 300}, {sheet, 2, 500}, {sheet, 1, 700},
		{sheet, 8, 150},   // 34.6 V
		{sheet, 0.5, 700}, // the current limit
		{sheet, math.Sqrt(2), math.Sqrt(500 * 700)},                 // half way on both scales
		{[]Rating{{100, 4}, {200, 2}}, 3, 400. / 3},                 // 20 V
		{[]Rating{{500, 2}}, 4, 250}, {[]Rating{{500, 2}}, 1, 1000}, // one pair keeps its voltage, as ever
		{nil, 4, 0}, {sheet, 0, 0},
	} {
		if got := PowerInto(test.ratings, test.load); math.Abs(got-test.want) > 1e-9*test.want {
			t.Errorf("PowerInto(%v, %v) = %v, want %v", test.ratings, test.load, got, test.want)
		}
	}
}

// TestPowerIntoStaysBetween holds that a load between two rated ones gets a power between theirs, whatever their order.
func TestPowerIntoStaysBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Rating{rapid.Float64Range(10, 2000).Draw(t, "p"), rapid.Float64Range(0.5, 4).Draw(t, "z")}
		b := Rating{rapid.Float64Range(10, 2000).Draw(t, "q"), a.Into * rapid.Float64Range(1.1, 8).Draw(t, "ratio")}
		z := a.Into + (b.Into-a.Into)*rapid.Float64Range(0, 1).Draw(t, "share")
		one, other := PowerInto([]Rating{a, b}, z), PowerInto([]Rating{b, a}, z)
		if one != other || one < min(a.Power, b.Power)*(1-1e-9) || one > max(a.Power, b.Power)*(1+1e-9) {
			t.Fatalf("%v and %v into %v ohm: %v, %v", a, b, z, one, other)
		}
	})
}

// TestRateFollowsWiring holds that two coils of 4 ohm draw what the sheet says for 2 ohm in parallel and for 8 in series.
func TestRateFollowsWiring(t *testing.T) {
	for wiring, want := range map[thielesmall.Connection]float64{thielesmall.Parallel: 500, thielesmall.Series: 150} {
		shared := &Amplifier{Ratings: []Rating{{300, 4}, {500, 2}}}
		req := Request{
			Driver: thielesmall.Spec{Fs: 30, Qms: 5, Qes: 0.5, Vas: 0.03, Sd: 0.033, Re: 6.8, Power: 500, Coils: thielesmall.Coils{Count: 2, Impedance: 4, Re: 3.4}},
			Mount:  Mount{Wiring: thielesmall.Wiring{Coils: wiring}}, Amplifier: shared,
		}
		p, err := newRig(&req)
		if err != nil {
			t.Fatal(err)
		}
		if w := p.volts * p.volts / p.set.Impedance; math.Abs(w-want) > 1e-9*want || p.req.Amplifier.MinimumLoad != 2 {
			t.Errorf("%v: %v W into %v ohm, least load %v, want %v W", wiring, w, p.set.Impedance, p.req.Amplifier.MinimumLoad, want)
		}
		if shared.Power != 0 {
			t.Error("the amplifier that drivers share was written to")
		}
	}
}

// TestWeakAmplifierIsSaid holds the sentence about an amplifier that gives less than half of the rated power, and its wiring.
func TestWeakAmplifierIsSaid(t *testing.T) {
	for _, c := range []struct {
		wiring thielesmall.Connection
		power  float64 // W into 4 ohm, the least load 2 ohm
		want   string  // of the findings; "" that there is none
	}{
		{thielesmall.Series, 120, "The amplifier gives 60 W into 8 ohm as wired; the driver is rated for 500 W, 9 dB more. Wired for 2 ohm, which the amplifier takes, it would give 240 W."},
		{thielesmall.Parallel, 120, "The amplifier gives 240 W into 2 ohm as wired; the driver is rated for 500 W, 3 dB more."},
		{thielesmall.Parallel, 125, ""},
	} {
		p, err := newRig(&Request{
			Driver: thielesmall.Spec{Fs: 30, Qms: 5, Qes: 0.5, Vas: 0.03, Sd: 0.033, Re: 6.8, Power: 500, Coils: thielesmall.Coils{Count: 2, Impedance: 4, Re: 3.4}},
			Mount:  Mount{Wiring: thielesmall.Wiring{Coils: c.wiring}}, Amplifier: &Amplifier{Power: c.power, Into: 4, MinimumLoad: 2},
		})
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, f := range p.findings {
			if f.Quantity == AboutAmplifier {
				got = f.Text
			}
		}
		if got != c.want {
			t.Errorf("%v, %v W: %q, not %q", c.wiring, c.power, got, c.want)
		}
	}
}
