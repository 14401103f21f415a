package thielesmall

import (
	"errors"
	"fmt"
	"math"
)

// Box is the air behind the cones.
type Box struct {
	Volume   float64 // net, m3, without the air in the ports
	LeakQ    float64 // QL at the tuning or resonance; 0 means no leak
	FillGain float64 // apparent over real volume, 1 to 1.4; 0 means 1
	AbsorbQ  float64 // QA at the tuning or resonance; 0 means none
	Ports    []Port  // empty: none
	Passive  Radiator
	Rear     float64 // net volume, m3, of a sealed chamber behind the cones: a band-pass of fourth order; 0 none
}

// Tuned reports whether something but the cones moves air in and out.
func (b Box) Tuned() bool { return len(b.Ports) > 0 || b.Passive.Count > 0 }

// gain returns FillGain with its default.
func (b Box) gain() float64 {
	if b.FillGain == 0 {
		return 1
	}
	return b.FillGain
}

// compliance returns the acoustic compliance of the air, m5/N.
func (b Box) compliance(a Air) float64 { return b.Volume * b.gain() / a.stiffness() }

// isothermal is the most that filling can gain: the ratio of specific heats of air. Practice reaches half of it.
const isothermal = 1.4

// check reports a box that cannot be, ports included.
func (b Box) check() error {
	err := errors.Join(
		positive("net_volume", b.Volume, "m3"), optional("leak_q", b.LeakQ, ""),
		within("filling gain", b.gain(), 1, isothermal, ""), optional("filling q", b.AbsorbQ, ""),
		optional("rear_volume", b.Rear, "m3"), b.Passive.check(),
	)
	if b.Passive.Count > 0 && len(b.Ports) > 0 {
		err = errors.Join(err, errors.New("a box is tuned by ports or by passive radiators, not by both"))
	}
	if b.Rear > 0 && !b.Tuned() {
		err = errors.Join(err, errors.New("a band-pass needs a port in its front chamber"))
	}
	air := 0.0
	for i, p := range b.Ports {
		if e := p.check(); e != nil {
			err = errors.Join(err, fmt.Errorf("port %d: %w", i+1, e))
		}
		air += p.Area * p.Length
	}
	if err == nil && air >= b.Volume {
		err = &RangeError{Quantity: "air in the ports", Value: air, Low: math.Inf(-1), High: b.Volume, Unit: "m3",
			Because: "a port must hold less air than the box it tunes"}
	}
	return err
}

// Tuning returns the frequency in Hz at which the air in all ports, end
// corrections included, resonates with the air in the box, taken as lumps,
//
//	fb = c/(2 pi) sqrt( sum(S / (L + ends)) / V )
//
// with passive radiators that of their mass between their own suspension and that air, fb = fp sqrt(1 + Vap/V), and 0
// for a sealed box. That of a band-pass is its front chamber's.
func (b Box) Tuning(a Air) float64 {
	if b.Passive.Count > 0 {
		return b.Passive.Fp() * math.Sqrt(1+b.Passive.Vap(a)/(b.Volume*b.gain()))
	}
	sum := 0.0
	for _, p := range b.Ports {
		sum += p.Area / p.effective()
	}
	return a.SoundSpeed / (2 * math.Pi) * math.Sqrt(sum/(b.Volume*b.gain()))
}

// ductResonance returns the lowest first resonance of the ports, Hz; 0 sealed.
func (b Box) ductResonance(a Air) float64 {
	lowest := 0.0
	for _, p := range b.Ports {
		if f := p.FirstResonance(a); lowest == 0 || f < lowest {
			lowest = f
		}
	}
	return lowest
}

// FillingGain returns the apparent over the real volume of a sealed box of
// which the share fraction (0 to 1) is filled with fibre at density kg/m3,
//
//	1 + 0.2 F (1 - exp(-density / (8 kg/m3)))
//
// never above 1.2: a fit to common practice, not a measured law. Arguments outside their range are taken at its end.
func FillingGain(fraction, density float64) float64 {
	if !(fraction > 0) || !(density > 0) {
		return 1
	}
	return 1 + 0.2*math.Min(fraction, 1)*(1-math.Exp(-density/8))
}

// AbsorptionQ returns the QA that a sealed box has by default when the share fraction of it is filled, 10/F; 0, that is
// none, when nothing is filled. Common practice, within the range that Leach gives for filled boxes.
func AbsorptionQ(fraction float64) float64 {
	if !(fraction > 0) {
		return 0
	}
	return 10 / math.Min(fraction, 1)
}
