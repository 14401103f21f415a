package thielesmall

import (
	"math"
	"testing"
)

// TestClaims compares a sensitivity and a Vd with what follows from the rest of one driver, right and wrong by the slips
// that sheets show.
func TestClaims(t *testing.T) {
	base := Spec{Fs: 30, Qms: 5, Qes: 0.5, Vas: 0.030, Sd: 0.033, Re: 3.4, Xmax: 0.012, Impedance: 4}
	d, none, err := base.Complete()
	if err != nil || len(none) != 0 {
		t.Fatal(none, err)
	}
	level := d.ReferenceLevel(referenceAir(), 2.83, 0)
	watt := level - 20*math.Log10(2.83/2)
	for _, test := range []struct {
		name     string
		claims   Claims
		quantity string
		severity Severity
	}{
		{"as computed", Claims{Level: level, Volts: 2.83, Displaced: d.VolumeDisplacement()}, "", Note},
		{"2.5 dB high", Claims{Level: level + 2.5, Volts: 2.83}, "", Note},
		{"4 dB high", Claims{Level: level + 4, Volts: 2.83}, "sensitivity", Warning},
		{"8 dB low", Claims{Level: level - 8, Volts: 2.83}, "sensitivity", Flagged},
		{"at a watt", Claims{Level: watt, Watts: 1}, "", Note},
		{"volts said to be a watt", Claims{Level: level + 1, Watts: 1}, "sensitivity", Warning},
		{"either, not said", Claims{Level: watt - 2}, "", Note},
		{"neither", Claims{Level: level + 4}, "sensitivity", Warning},
		{"vd peak to peak", Claims{Displaced: 2 * d.VolumeDisplacement()}, "vd", Warning},
		{"xmax peak to peak", Claims{Displaced: d.VolumeDisplacement() / 2}, "vd", Warning},
		{"vd of another driver", Claims{Displaced: 1.4 * d.VolumeDisplacement()}, "vd", Flagged},
	} {
		s := base
		s.Claims = test.claims
		_, found, err := s.Complete()
		switch {
		case err != nil:
			t.Errorf("%s: %v", test.name, err)
		case test.quantity == "" && len(found) > 0:
			t.Errorf("%s: %v, want nothing", test.name, found)
		case test.quantity != "" && (len(found) != 1 || found[0].Quantity != test.quantity || found[0].Severity != test.severity):
			t.Errorf("%s: %v, want %s as %s", test.name, found, test.quantity, test.severity)
		case test.name == "4 dB high":
			nearly(t, test.name+", per cent", found[0].Percent, 100*(math.Pow(10, 4.0/20)-1), 1e-9)
		}
	}
}
