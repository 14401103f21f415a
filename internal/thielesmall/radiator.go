package thielesmall

import (
	"errors"
	"math"
)

// Radiator is a number of equal passive radiators: cones without a motor that take the place of a port.
type Radiator struct {
	Count int     // 0: none
	Sd    float64 // of one, m2
	Mms   float64 // of one, kg, with air load and what is added to it
	Cms   float64 // of one, m/N
	Rms   float64 // of one, kg/s
	Xmax  float64 // one way, peak, m; 0 unknown
}

// Fp returns the free-air resonance of a radiator, Hz.
func (r Radiator) Fp() float64 { return 1 / (2 * math.Pi * math.Sqrt(r.Mms*r.Cms)) }

// Vap returns the volume of air, m3, as compliant as all radiators together.
func (r Radiator) Vap(a Air) float64 { return float64(r.Count) * a.stiffness() * r.Sd * r.Sd * r.Cms }

// Sag returns how far a radiator that faces up or down sinks by its own weight, m.
func (r Radiator) Sag() float64 { return standardGravity * r.Mms * r.Cms }

// Tuned returns the radiator with the mass that tunes a box of so much volume, m3, filling included, to fb Hz,
//
//	Mms = (1/Cms + N Sd^2 rho c^2/V) / (2 pi fb)^2
func (r Radiator) Tuned(a Air, volume, fb float64) Radiator {
	w := 2 * math.Pi * fb
	r.Mms = (1/r.Cms + float64(r.Count)*r.Sd*r.Sd*a.stiffness()/volume) / (w * w)
	return r
}

// Radiator returns a passive radiator, which is described as a driver is, less the motor: sd (or diameter) and two of
// fs, mms and cms (or vas) are needed; without qms or rms it has no loss of its own. Precedence, remarks and errors are
// those of [Spec.Complete].
func (s Spec) Radiator() (Radiator, []Finding, error) {
	if err := s.check(); err != nil {
		return Radiator{}, nil, err
	}
	given := s.given()
	v, err := complete(given, nil)
	if err != nil {
		return Radiator{}, nil, err
	}
	if v[iSd] == 0 || v[iMms] == 0 || v[iCms] == 0 {
		e := &MissingError{What: "the radiator", Need: []string{"sd (or diameter) and two of fs, mms and cms (or vas)"}}
		for i, x := range given {
			if x > 0 {
				e.Have = append(e.Have, quantityNames[i])
			}
		}
		return Radiator{}, nil, e
	}
	r := Radiator{Count: 1, Sd: v[iSd], Mms: v[iMms], Cms: v[iCms], Rms: v[iRms], Xmax: s.Xmax}
	return r, s.disagreements(v), r.check()
}

// check reports radiators that cannot be.
func (r Radiator) check() error {
	if r.Count == 0 {
		return nil
	}
	return errors.Join(
		positive("number of radiators", float64(r.Count), ""), positive("radiator sd", r.Sd, "m2"),
		positive("radiator mms", r.Mms, "kg"), positive("radiator cms", r.Cms, "m/N"),
		notNegative("radiator rms", r.Rms, "kg/s"), notNegative("radiator xmax", r.Xmax, "m"),
	)
}

// cone is the radiators as one branch from the box to the outside,
//
//	flow out per pascal = N Sd^2 / (Rms + j (w Mms - 1/(w Cms)))
type cone struct {
	sum       float64 // N Sd^2
	mass      float64
	stiffness float64
	loss      float64
}

func (r Radiator) cone() cone {
	if r.Count == 0 {
		return cone{}
	}
	return cone{sum: float64(r.Count) * r.Sd * r.Sd, mass: r.Mms, stiffness: 1 / r.Cms, loss: r.Rms}
}

// at returns the flow out per pascal and its derivative with respect to angular frequency.
func (c *cone) at(w float64) (out, out1 complex128) {
	k := c.stiffness / w
	x := w*c.mass - k
	if c.loss == 0 && math.Abs(x) < shortest*k {
		x = math.Copysign(shortest*k, x)
	}
	one := reciprocal(complex(c.loss, x))
	out = complex(c.sum, 0) * one
	return out, out * one * complex(0, -(c.mass+k/w))
}
