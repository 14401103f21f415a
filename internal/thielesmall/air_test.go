package thielesmall

import (
	"errors"
	"math"
	"testing"
)

// Density by CIPM-2007 and sound speed by Cramer 1993, computed independently from the published coefficients, 101.325
// kPa except where stated. Rows below 0 and above 30 degrees are outside the range that Cramer states.
func TestAirTable(t *testing.T) {
	for _, row := range []struct{ temperature, pressure, humidity, density, speed float64 }{
		{-10, 101325, 0, 1.34237, 325.324},
		{0, 101325, 0, 1.29305, 331.448},
		{0, 101325, 0.5, 1.29158, 331.604},
		{15, 101325, 0.5, 1.22163, 340.876},
		{20, 101325, 0, 1.20456, 343.359},
		{20, 101325, 0.5, 1.19931, 343.987},
		{20, 101325, 1, 1.19409, 344.614},
		{25, 101325, 0.5, 1.17732, 347.127},
		{30, 101325, 0.5, 1.15551, 350.310},
		{40, 101325, 0, 1.12743, 354.825},
		{40, 101325, 0.5, 1.11195, 356.880},
		{60, 101325, 0, 1.05962, 365.845},
		{20, 80000, 0.5, 0.94573, 344.145},
	} {
		a, err := Conditions{row.temperature, row.pressure, row.humidity}.Air()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "density", a.Density, row.density, 6e-6)
		near(t, "sound speed", a.SoundSpeed, row.speed, 6e-4)
	}
	a := referenceAir()
	near(t, "rho c^2", a.stiffness(), 141911, 1)
	nearly(t, "viscosity", a.Viscosity, 1.512e-5, 1e-3)
}

// Extrapolated sound speed against the ideal gas mixture, c = sqrt(gamma R T/M) with cp/R = 3.5 (1-x) + 4.04 x.
func TestAirExtrapolated(t *testing.T) {
	for _, c := range []Conditions{{40, 101325, 0.5}, {40, 101325, 0}, {60, 101325, 0}, {60, 101325, 0.2}, {-20, 101325, 0.5}, {40, 70000, 0.3}} {
		a, err := c.Air()
		if err != nil {
			t.Fatal(err)
		}
		x, T := c.vapour(), c.Temperature+zeroCelsius
		cp := 3.5*(1-x) + 4.04*x
		m := molarDryAir*(1-x) + molarWater*x
		nearly(t, "sound speed", a.SoundSpeed, math.Sqrt(cp/(cp-1)*gasConstant*T/m), 0.0015)
		if c.Extrapolated() == "" {
			t.Errorf("%+v is not said to be extrapolated", c)
		}
	}
	if s := Reference().Extrapolated(); s != "" {
		t.Errorf("reference air: %s", s)
	}
}

func TestAirRefuses(t *testing.T) {
	for _, c := range []Conditions{{}, {-21, 101325, 0.5}, {61, 101325, 0.5}, {20, 59999, 0.5}, {20, 110001, 0.5}, {20, 101325, -0.01}, {20, 101325, 1.01}, {math.NaN(), 101325, 0.5}, {20, math.Inf(1), 0.5}} {
		_, err := c.Air()
		var r *RangeError
		if !errors.As(err, &r) {
			t.Errorf("%+v: error %v, want a RangeError", c, err)
		}
	}
	for _, c := range []Conditions{{-20, 60000, 0}, {60, 110000, 1}, {60, 60000, 1}, {-20, 110000, 1}} {
		if a, err := c.Air(); err != nil || a.check() != nil {
			t.Errorf("%+v: %v %+v", c, err, a)
		}
	}
}

// Vas is catalogue data: the suspension keeps its compliance at altitude, and Vas is restated.
func TestVasAtAltitude(t *testing.T) {
	d, _, err := Spec{Fs: 30, Qes: 0.5, Qms: 5, Vas: 0.05, Sd: 0.035, Re: 3.5}.Complete()
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "Vas at reference air", d.Vas(referenceAir()), 0.05, 1e-12)
	high, err := Conditions{20, 80000, 0.5}.Air()
	if err != nil {
		t.Fatal(err)
	}
	nearly(t, "Vas at 80 kPa", d.Vas(high), 0.05*112008/141911, 1e-5)
	nearly(t, "fs", d.Fs(), 30, 1e-12)
}
