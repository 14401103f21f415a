package impedance

import (
	"math"
	"testing"
)

// mechanical is a driver by its parts.
type mechanical struct{ re, bl, mms, cms, rms, le, l2, r2 float64 }

// at is the impedance from the parts, without the quality factors that are
// fitted: Re + jwLe + the pair + Bl^2/(Rms + jw Mms + 1/(jw Cms)).
func (m mechanical) at(f float64) complex128 {
	w := 2 * math.Pi * f
	z := complex(m.re, w*m.le) + complex(m.bl*m.bl, 0)/complex(m.rms, w*m.mms-1/(w*m.cms))
	if m.r2 > 0 {
		z += 1 / (complex(1/m.r2, 0) + 1/complex(0, w*m.l2))
	}
	return z
}

// sweepOf samples an impedance evenly in log frequency, ends included.
func sweepOf(z func(f float64) complex128, low, high float64, n int, phase bool) Sweep {
	var s Sweep
	for i := range n {
		f := low * math.Pow(high/low, float64(i)/float64(n-1))
		v := z(f)
		s.Frequency = append(s.Frequency, f)
		s.Magnitude = append(s.Magnitude, math.Hypot(real(v), imag(v)))
		if phase {
			s.Phase = append(s.Phase, math.Atan2(imag(v), real(v))*180/math.Pi)
		}
	}
	return s
}

// near reports a value that is off by more than the tolerance.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g within %.2g", what, got, want, tolerance)
	}
}

// Worked examples of a course on electroacoustics (DTU 34870, problem sheets as transcribed in students' notes):
// drivers by their parts, and what the impedance method makes of them. Tolerances are half the last printed digit,
// doubled where the source rounded a step between.
var (
	exampleD = mechanical{re: 5.46, rms: 3.25, mms: 0.0882, cms: 0.55e-3, bl: 11.6}
	exampleE = mechanical{re: 6, rms: 1.5, mms: 0.038, cms: 0.9e-3, bl: 5}
)

func TestPublishedExampleD(t *testing.T) {
	for _, phase := range []bool{true, false} {
		s := sweepOf(exampleD.at, 5, 200, 4001, phase)
		free, err := FitFreeAir(s, FreeAirOptions{Re: 5.46})
		if err != nil {
			t.Fatal(err)
		}
		p := free.Start
		near(t, "Zmax", p.Zmax, 46.86, 0.005)
		near(t, "r0", p.R0, 8.583, 0.001)
		near(t, "Zr", p.Zr, 16.00, 0.005)
		near(t, "f1", p.F1, 15.82, 0.01)
		near(t, "f2", p.F2, 33.00, 0.01)
		near(t, "three-frequency fs", p.Fs, 22.85, 0.01)
		near(t, "three-frequency Qms", p.Qms, 3.90, 0.005)
		near(t, "three-frequency Qes", p.Qes, 0.514, 0.0005)
		near(t, "three-frequency Qts", p.Qts, 0.454, 0.0005)
		near(t, "fs", free.Fs.Value, 22.85, 0.005)
		near(t, "Qms", free.Qms.Value, 3.90, 0.005)
		near(t, "Qes", free.Qes.Value, 0.514, 0.0005)
		near(t, "Qts", free.Qts.Value, 0.454, 0.0005)

		loaded := exampleD
		loaded.mms += 0.020
		second, err := FitFreeAir(sweepOf(loaded.at, 5, 200, 401, phase), FreeAirOptions{Re: 5.46})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "fs with 20 g", second.Fs.Value, 20.63, 0.005)
		m, err := AddedMass(free, second, 0.020, 0.0519)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "Mms", m.Mms.Value, 0.0882, 1e-6)
		near(t, "Cms", m.Cms.Value, 0.55e-3, 1e-8)
		near(t, "Rms", m.Rms.Value, 3.25, 1e-4)
		near(t, "Bl", m.Bl.Value, 11.6, 1e-3)
	}
}

func TestPublishedExampleE(t *testing.T) {
	free, err := FitFreeAir(sweepOf(exampleE.at, 5, 250, 801, true), FreeAirOptions{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Re", free.Re.Value, 6, 1e-4)
	near(t, "fs", free.Fs.Value, 27.2, 0.05)
	near(t, "Qms", free.Qms.Value, 4.33, 0.005)
	near(t, "Qes", free.Qes.Value, 1.56, 0.005)
	near(t, "Qts", free.Qts.Value, 1.15, 0.005)

	loaded := exampleE
	loaded.mms += 0.020
	second, err := FitFreeAir(sweepOf(loaded.at, 5, 250, 801, true), FreeAirOptions{})
	if err != nil {
		t.Fatal(err)
	}
	m, err := AddedMass(free, second, 0.020, math.Pi*0.1*0.1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Vas in the example's air", m.Vas.Value*1.2*344*344/141911, 0.126, 0.0005)
}
