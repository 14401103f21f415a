package thielesmall

import (
	"math"
	"math/cmplx"
)

// duct is a number of equal ports, made ready.
//
// Seen from the box, with the flow U at the outer mouth and k = w/c,
//
//	p = j X U                     X  = Z0 (sin kL (1 - k^2 di do) + k (di + do) cos kL)
//	flow in at the inner end = g U    g = cos kL - k do sin kL
//
// do and di are the outer and inner end corrections, Z0 = rho c/S.
type duct struct {
	count     float64
	area      float64
	impedance float64 // Z0 = rho c/S
	half      float64 // L/(2c), s
	outer     float64 // do/c, s
	inner     float64 // di/c, s
	drag      float64 // sqrt(2 nu)/a, 1/sqrt(s): boundary layer over radius is drag/sqrt(w); 0 without friction
}

// ductsOf gathers equal ports.
func ductsOf(ports []Port, a Air) []duct {
	var all []duct
	seen := make(map[Port]int, len(ports))
	for _, p := range ports {
		if i, ok := seen[p]; ok {
			all[i].count++
			continue
		}
		seen[p] = len(all)
		d := duct{
			count: 1, area: p.Area, impedance: a.Density * a.SoundSpeed / p.Area,
			half: p.Length / (2 * a.SoundSpeed), outer: p.Ends[0] / a.SoundSpeed, inner: p.Ends[1] / a.SoundSpeed,
		}
		if p.Friction {
			d.drag = math.Sqrt(2*a.Viscosity) / math.Sqrt(p.Area/math.Pi)
		}
		all = append(all, d)
	}
	return all
}

// branch is what a duct does at one frequency, per pascal in the box: out is the flow at the outer mouth, kept what
// flows in at the inner end less that. out1 and kept1 are their derivatives with respect to angular frequency.
type branch struct {
	out, out1   complex128
	kept, kept1 complex128
}

// shortest stands for the reactance of a duct exactly at its resonance, as a
// share of Z0, so that the flow there stays finite. It moves no level.
const shortest = 1e-12

// at solves one duct at angular frequency w.
func (d *duct) at(w float64) branch {
	if d.drag > 0 {
		return d.withFriction(w)
	}
	sh, ch := math.Sincos(w * d.half)
	sin, versine := 2*sh*ch, 2*sh*sh // sin kL, 1 - cos kL
	cos := 1 - versine
	both := d.outer + d.inner
	oi := w * w * d.outer * d.inner
	x := d.impedance * (sin*(1-oi) + w*both*cos)
	x1 := d.impedance * (2*d.half*(cos*(1-oi)-w*both*sin) - 2*w*d.outer*d.inner*sin + both*cos)
	if math.Abs(x) < shortest*d.impedance {
		x = math.Copysign(shortest*d.impedance, x)
	}
	g := -versine - w*d.outer*sin // g - 1
	g1 := -2*d.half*sin - d.outer*(sin+2*d.half*w*cos)
	r := 1 / x
	return branch{
		out: complex(0, -r), out1: complex(0, x1*r*r),
		kept: complex(0, -g*r), kept1: complex(0, (g*x1*r-g1)*r),
	}
}

// withFriction is at with a viscous boundary layer: per unit length the series impedance of the line is
//
//	j w rho/S (1 + (1-j) d/a),  d = sqrt(2 nu/w), a = sqrt(S/pi)
//
// (derived from the plane Stokes layer; thermal loss is neglected below 300 Hz). The end masses have no loss.
func (d *duct) withFriction(w float64) branch {
	layer := d.drag / math.Sqrt(w)
	q := complex(1+layer, -layer)
	q1 := complex(-layer, layer) / complex(2*w, 0)
	root := cmplx.Sqrt(q)
	theta := complex(2*d.half*w, 0) * root
	rate := q1 / (2 * q) // derivative of ln sqrt(q)
	theta1 := theta * (complex(1/w, 0) + rate)
	z := complex(d.impedance, 0) * root
	z1 := z * rate
	sin, cos := cmplx.Sin(theta), cmplx.Cos(theta)
	mo, mi := complex(d.outer*d.impedance, 0), complex(d.inner*d.impedance, 0)
	jw := complex(w, 0)
	g := cos - jw*mo*sin/z
	g1 := -sin*theta1 - mo*(sin+jw*cos*theta1-jw*sin*z1/z)/z
	x := z*sin + jw*(mo*cos+mi*g)
	x1 := z1*sin + z*cos*theta1 + mo*(cos-jw*sin*theta1) + mi*(g+jw*g1)
	r := 1 / x
	j := complex(0, 1)
	return branch{
		out: -j * r, out1: j * x1 * r * r,
		kept: -j * (g - 1) * r, kept1: j * ((g-1)*x1*r - g1) * r,
	}
}
