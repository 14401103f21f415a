package thielesmall

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

// dual is the invented driver of sheet with two coils of 1.7 ohm, measured in series: re 3.4.
func dual() Spec {
	s := sheet()
	s.Le, s.L2, s.R2 = 2e-3, 4e-3, 12
	s.Coils = Coils{Count: 2, Impedance: 2, Re: 1.7}
	return s
}

func TestWireCoils(t *testing.T) {
	single, set, _, err := dual().Wire(1, Wiring{Coils: Parallel})
	if err != nil {
		t.Fatal(err)
	}
	if single != set {
		t.Errorf("one driver is not its own set: %+v, %+v", single, set)
	}
	series, _, err := dual().Complete()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		name            string
		parallel, ratio float64
		series          float64
	}{
		{"re", set.Re, 0.25, series.Re}, {"bl", set.Bl, 0.5, series.Bl}, {"le", set.Le, 0.25, series.Le}, {"l2", set.L2, 0.25, series.L2},
		{"r2", set.R2, 0.25, series.R2}, {"impedance", set.Impedance, 0.25, series.Impedance}, {"mms", set.Mms, 1, series.Mms},
		{"cms", set.Cms, 1, series.Cms}, {"qes", set.Qes(), 1, series.Qes()}, {"qts", set.Qts(), 1, series.Qts()}, {"power", set.Power, 1, series.Power},
	} {
		nearly(t, row.name, row.parallel, row.ratio*row.series, 1e-12)
	}
	// the same driver measured in parallel
	p := dual()
	p.Re, p.Bl, p.Le, p.L2, p.R2, p.Impedance = p.Re/4, p.Bl/2, p.Le/4, p.L2/4, p.R2/4, 1
	same, _, _, err := p.Wire(1, Wiring{Coils: Series})
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "back in series: re", same.Re, series.Re, 1e-12)
	nearly(t, "back in series: le", same.Le, series.Le, 1e-12)
	nearly(t, "back in series: bl", same.Bl, series.Bl, 1e-12)
	nearly(t, "back in series: impedance", same.Impedance, series.Impedance, 1e-12)
}

func TestWireDrivers(t *testing.T) {
	single, set, _, err := dual().Wire(2, Wiring{Coils: Parallel, Drivers: Series})
	if err != nil {
		t.Fatal(err)
	}
	if set.Count != 2 {
		t.Errorf("count %d", set.Count)
	}
	nearly(t, "re", set.Re, 2*single.Re, 1e-12)
	nearly(t, "bl", set.Bl, 2*single.Bl, 1e-12)
	nearly(t, "le", set.Le, 2*single.Le, 1e-12)
	nearly(t, "sd", set.Sd, 2*single.Sd, 1e-12)
	nearly(t, "mms", set.Mms, 2*single.Mms, 1e-12)
	nearly(t, "cms", set.Cms, single.Cms/2, 1e-12)
	nearly(t, "rms", set.Rms, 2*single.Rms, 1e-12)
	nearly(t, "power", set.Power, 2*single.Power, 1e-12)
	nearly(t, "impedance", set.Impedance, 2*single.Impedance, 1e-12)
	nearly(t, "Vas", set.Vas(referenceAir()), 2*single.Vas(referenceAir()), 1e-12)
	nearly(t, "fs", set.Fs(), single.Fs(), 1e-12)
	nearly(t, "Qts", set.Qts(), single.Qts(), 1e-12)
	single, set, _, err = dual().Wire(3, Wiring{Coils: Series})
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "parallel re", set.Re, single.Re/3, 1e-12)
	nearly(t, "parallel bl", set.Bl, single.Bl, 1e-12)
	nearly(t, "parallel le", set.Le, single.Le/3, 1e-12)
	nearly(t, "parallel impedance", set.Impedance, single.Impedance/3, 1e-12)
	nearly(t, "parallel power", set.Power, 3*single.Power, 1e-12)
	nearly(t, "efficiency", set.Efficiency(referenceAir()), 3*single.Efficiency(referenceAir()), 1e-12)
}

func TestWireAsksHowCoilsWereMeasured(t *testing.T) {
	s := dual()
	s.Re = 2.6
	var c *CoilsError
	var m *MissingError
	if _, _, _, err := s.Wire(1, Wiring{}); !errors.As(err, &c) {
		t.Errorf("re between the two: %v", err)
	}
	s.Coils.DataFor = Parallel
	if _, _, _, err := s.Wire(1, Wiring{}); err != nil {
		t.Errorf("stated: %v", err)
	}
	s = dual()
	s.Re = 0
	if d, _, _, err := s.Wire(1, Wiring{}); err != nil || d.Re != 3.4 {
		t.Errorf("no re, but both nominal impedances: %v %v", d, err)
	}
	s.Impedance = 0
	if _, _, _, err := s.Wire(1, Wiring{}); !errors.As(err, &m) || m.Need[0] != "re (of the whole driver, as measured)" {
		t.Errorf("no re and no impedance: %v", err)
	}
	bare := Spec{Fs: 30, Qes: 0.5, Qms: 5, Vas: 0.03, Sd: 0.033, Coils: Coils{Count: 2, Re: 1.7}}
	if _, f, err := bare.Complete(); err != nil || len(f) == 0 || f[0].Quantity != "coils" {
		t.Errorf("data that do not depend on how the coils were joined: %v %v", f, err)
	}
	bare.Bl = 12
	if _, _, err := bare.Complete(); err == nil {
		t.Error("bl depends on how the coils were joined, which is not asked for")
	}
	s.Coils.DataFor = Series
	d, _, _, err := s.Wire(1, Wiring{Coils: Series})
	if err != nil || d.Re != 3.4 || d.Impedance != 4 {
		t.Errorf("re from the coils: %v %v", d, err)
	}
	s = dual()
	s.Coils.DataFor = Parallel
	if _, f, err := s.Complete(); err != nil || len(f) == 0 || f[0].Quantity != "coils.data_for" {
		t.Errorf("a statement that re contradicts: %v %v", f, err)
	}
	for _, count := range []int{0, -1, 1000} {
		var r *RangeError
		if _, _, _, err := dual().Wire(count, Wiring{}); !errors.As(err, &r) {
			t.Errorf("%d drivers: %v", count, err)
		}
	}
}

// Without the resistance of one coil, its nominal impedance tells how the data were taken.
func TestWireByNominalImpedance(t *testing.T) {
	for _, test := range []struct {
		re   float64
		want Connection
	}{{3.4, Series}, {0.85, Parallel}, {1.7, Unstated}, {6, Unstated}, {0.4, Unstated}} {
		s := dual()
		s.Re, s.Coils.Re, s.Coils.Impedance = test.re, 0, 2
		if got := s.WiredAs(); got != test.want {
			t.Errorf("re %v of two coils of 2 ohm: %v, want %v", test.re, got, test.want)
		}
	}
}

func TestWireRemarks(t *testing.T) {
	_, _, f, err := dual().Wire(1, Wiring{})
	if err != nil || len(f) == 0 || f[len(f)-1].Quantity != "wiring" || f[len(f)-1].Severity != Warning {
		t.Errorf("coils not said: %v %v", f, err)
	}
	odd := dual()
	odd.Impedance, odd.Coils.Impedance = 4, 4 // in series 8
	_, _, f, err = odd.Wire(1, Wiring{Coils: Series})
	if err != nil || len(f) == 0 || f[0].Quantity != "impedance" || f[0].Severity != Warning {
		t.Errorf("impedance of one coil for that of both: %v %v", f, err)
	}
	_, _, f, err = sheet().Wire(1, Wiring{Coils: Series})
	if err != nil || len(f) != 1 || f[0].Severity != Note {
		t.Errorf("one coil: %v %v", f, err)
	}
	if s := fmt.Sprint(Series, Parallel, Unstated, Note, Warning, Flagged); s != "series parallel  note warning flagged" {
		t.Error(s)
	}
}

// 0.1 ohm of leads on a 1.8 ohm set raises Qes by 5.6 %.
func TestLeadsRaiseQes(t *testing.T) {
	d := driverFrom(referenceAir(), 30, 0.45, 1e9, 0.05, 0.035, 1.8)
	nearly(t, "Qts with leads", d.QtsWith(0.1)/d.Qts(), 1.9/1.8, 1e-6)
	c := circuit(t, System{Air: referenceAir(), Driver: d, Source: 0.1, Box: Box{Volume: 0.03}})
	p := c.At(100, 1)
	nearly(t, "terminals", p.Terminals, math.Hypot(real(p.Impedance), imag(p.Impedance))/math.Hypot(real(p.Impedance)+0.1, imag(p.Impedance)), 1e-12)
}
