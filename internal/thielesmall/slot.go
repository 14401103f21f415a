package thielesmall

import "math"

// SlotMass returns the extra moving mass, kg, of the air between the cones of d and an obstacle gap metres before them
// that is open all round to radius metres from each cone's axis,
//
//	m = N rho/(2 pi gap) (ln(R/a) + 1/4) (Sd/N)^2,  a = sqrt(Sd/(N pi))
//
// Radial flow in a flat gap, uniform under the cone (derived). A radius inside the cone's own is taken as the cone's
// own. It is 0 where gap is not a positive number.
func SlotMass(a Air, d Driver, gap, radius float64) float64 {
	if !(gap > 0) || math.IsInf(gap, 1) {
		return 0
	}
	n := math.Max(1, float64(d.Count))
	sd := d.Sd / n
	cone := math.Sqrt(sd / math.Pi)
	spread := 0.0
	if radius > cone {
		spread = math.Log(radius / cone)
	}
	return n * a.Density / (2 * math.Pi * gap) * (spread + 0.25) * sd * sd
}
