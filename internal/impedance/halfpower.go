package impedance

import "math"

// HalfPower is a driver by the three frequencies of its impedance hump.
type HalfPower struct {
	Fs       float64 // Hz, of the maximum
	Zmax     float64 // ohm
	R0       float64 // Zmax/Re
	Zr       float64 // ohm, sqrt(Re Zmax)
	F1, F2   float64 // Hz, where the magnitude is Zr; 0 outside the sweep
	Qms, Qes float64
	Qts      float64
}

// halfPower finds the three frequencies of a hump and what follows from them,
//
//	r0 = Zmax/Re     Qms = fs sqrt(r0)/(f2 - f1)
//	Qes = Qms/(r0-1) Qts = Qms/r0
//
// Small, Direct-Radiator Loudspeaker System Analysis, J. Audio Eng. Soc. 20 (1972) 383 (from memory). Exact without
// inductance. Where one side is missing, f1 f2 = fs^2 stands for it; Qms is 0 when both are. It is where the fits
// begin, not what they answer.
func (s Sweep) halfPower(h Hump, re float64) HalfPower {
	p := HalfPower{Fs: h.Frequency, Zmax: h.Magnitude, R0: h.Magnitude / re, Zr: math.Sqrt(re * h.Magnitude)}
	p.F1, p.F2 = s.crossing(h.at, -1, p.Zr), s.crossing(h.at, +1, p.Zr)
	f1, f2 := p.F1, p.F2
	switch {
	case f1 == 0 && f2 == 0:
		return p
	case f1 == 0:
		f1 = p.Fs * p.Fs / f2
	case f2 == 0:
		f2 = p.Fs * p.Fs / f1
	}
	p.Qms = p.Fs * math.Sqrt(p.R0) / (f2 - f1)
	p.Qes, p.Qts = p.Qms/(p.R0-1), p.Qms/p.R0
	return p
}

// crossing returns where the magnitude first falls to z from point i in one
// direction, straight between points in logarithms; 0 if it never does.
func (s Sweep) crossing(i, step int, z float64) float64 {
	for j := i + step; j >= 0 && j < s.Len(); j += step {
		if s.Magnitude[j] > z {
			continue
		}
		a, b := math.Log(s.Magnitude[j-step]/z), math.Log(s.Magnitude[j]/z)
		x, y := math.Log(s.Frequency[j-step]), math.Log(s.Frequency[j])
		return math.Exp(x + (y-x)*a/(a-b))
	}
	return 0
}

// tallest returns the hump that rises most; ok is false without any.
func tallest(humps []Hump) (h Hump, ok bool) {
	for _, x := range humps {
		if x.Rise > h.Rise {
			h, ok = x, true
		}
	}
	return h, ok
}
