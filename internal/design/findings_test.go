package design

import (
	"context"
	"slices"
	"testing"

	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// TestDoubtsAreTheSame holds that what driver calls very likely a mistake is in the checks of a box and in its verdict.
func TestDoubtsAreTheSame(t *testing.T) {
	good := thielesmall.Spec{Fs: 30, Qms: 5, Qes: 0.5, Vas: 0.026, Sd: 0.033, Re: 3.4, Xmax: 0.012, Power: 300, Impedance: 4}
	for name, change := range map[string]func(s *thielesmall.Spec, f *panels.Driver){
		"nothing":                nil,
		"a cone of 4.2 kg":       func(s *thielesmall.Spec, f *panels.Driver) { s.Vas, s.Mms = 0, 4.2 },
		"bl of another driver":   func(s *thielesmall.Spec, f *panels.Driver) { s.Bl = 25 },
		"a cone beyond the hole": func(s *thielesmall.Spec, f *panels.Driver) { f.Cutout, f.Frame = 0.19, 0.23 },
		"a sensitivity of a horn": func(s *thielesmall.Spec, f *panels.Driver) {
			s.Claims = thielesmall.Claims{Level: 105, Volts: 2.83}
		},
	} {
		s, f := good, panels.Driver{}
		if change != nil {
			change(&s, &f)
		}
		sheet, err := AboutDriver(s, f)
		if err != nil {
			t.Fatal(name, err)
		}
		said := slices.ContainsFunc(sheet.Findings, func(f thielesmall.Finding) bool { return f.Severity == thielesmall.Flagged })
		if said != (change != nil) {
			t.Errorf("%s: driver says %v", name, sheet.Findings)
		}
		r, err := CheckBoxes(context.Background(), Request{Driver: s, Frame: f, Boxes: []ReadyBox{{Kind: Sealed, NetVolume: 0.02}},
			Amplifier: &Amplifier{Power: 300, Into: 4}})
		if err != nil {
			t.Fatal(name, err)
		}
		in := slices.ContainsFunc(r.Boxes[0].Checks, func(c Check) bool { return c.Name == DataCheck && c.Status == panels.Marginal })
		if in != said {
			t.Errorf("%s: driver says a mistake: %v, check: %v", name, said, in)
		}
		if in && r.Boxes[0].Verdict == Suits {
			t.Errorf("%s: suits all the same", name)
		}
	}
}
