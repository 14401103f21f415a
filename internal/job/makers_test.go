package job

import (
	"math"
	"strings"
	"testing"

	"cubby/internal/thielesmall"
)

// TestMakersShapes reads values as makers print them.
func TestMakersShapes(t *testing.T) {
	const rest = "fs: 28.5\nqms: 5.2\nqes: 0.54\nvas: 26 l\nsd: 330 cm2\n"
	for _, test := range []struct {
		text string
		got  func(s thielesmall.Spec) float64
		want float64
	}{
		{"impedance: 2+2 ohm", func(s thielesmall.Spec) float64 { return s.Coils.Impedance }, 2},
		{"impedance: 2 + 2", func(s thielesmall.Spec) float64 { return float64(s.Coils.Count) }, 2},
		{"impedance: 4 Ω + 4 Ω", func(s thielesmall.Spec) float64 { return s.Coils.Impedance }, 4},
		{"impedance: 2 x 4 ohm", func(s thielesmall.Spec) float64 { return s.Coils.Impedance }, 4},
		{"impedance: dual 4", func(s thielesmall.Spec) float64 { return s.Coils.Impedance }, 4},
		{"impedance: Dual 2 Ohm", func(s thielesmall.Spec) float64 { return s.Coils.Impedance }, 2},
		{"impedance: D2", func(s thielesmall.Spec) float64 { return s.Coils.Impedance }, 2},
		{"impedance: 4 ohm DVC", func(s thielesmall.Spec) float64 { return s.Coils.Impedance }, 4},
		{"impedance: 2 ohms per coil", func(s thielesmall.Spec) float64 { return s.Coils.Impedance }, 2},
		{"impedance: 4", func(s thielesmall.Spec) float64 { return s.Impedance }, 4},
		{"re: 1.7+1.7", func(s thielesmall.Spec) float64 { return s.Coils.Re }, 1.7},
		{"coils: dual", func(s thielesmall.Spec) float64 { return float64(s.Coils.Count) }, 2},
		{"coils: 2 x 4 ohm", func(s thielesmall.Spec) float64 { return s.Coils.Impedance }, 4},
		{"xmax_pp: 24 mm", func(s thielesmall.Spec) float64 { return s.Xmax }, 0.012},
		{"vd: 396 cm3", func(s thielesmall.Spec) float64 { return s.Claims.Displaced }, 396e-6},
		{"sensitivity: 88", func(s thielesmall.Spec) float64 { return s.Claims.Level }, 88},
		{"sensitivity: 88.5 dB (2.83V/1m)", func(s thielesmall.Spec) float64 { return s.Claims.Volts }, 2.83},
		{"sensitivity: 86 dB @ 1W/1m", func(s thielesmall.Spec) float64 { return s.Claims.Watts }, 1},
		{"sensitivity: 86 dB SPL at 1 W / 1 m", func(s thielesmall.Spec) float64 { return s.Claims.Watts }, 1},
		{"bl: 12.1", func(s thielesmall.Spec) float64 { return s.Bl }, 12.1},
		{"power: 600 W RMS", func(s thielesmall.Spec) float64 { return s.Power }, 600},
	} {
		d, err := ParseDriver("driver.yaml", []byte(rest+test.text+"\n"))
		if err != nil {
			t.Errorf("%s: %v", test.text, err)
		} else if got := test.got(d.Spec); math.Abs(got-test.want) > 1e-12 {
			t.Errorf("%s: %v, want %v", test.text, got, test.want)
		}
	}
}

// TestMakersWordsLead holds that every other word leads to a key that some file has, and is not itself a key of that file.
func TestMakersWordsLead(t *testing.T) {
	keys := map[string]bool{}
	for k := range (&reader{}).driverFields(&DriverFile{}) {
		keys[k] = true
	}
	for k := range strings.FieldsSeq("amplifier vehicle cavity box into minimum_load highpass lowpass ratings net_volume outside tuning") {
		keys[k] = true
	}
	for word, key := range otherKeys {
		if !keys[key] || keyWord(word) != word {
			t.Errorf("%q leads to %q", word, key)
		}
	}
	for word := range meansOther {
		if otherKeys[word] == "" {
			t.Errorf("a warning for %q, which leads nowhere", word)
		}
	}
}
