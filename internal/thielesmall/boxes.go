package thielesmall

import "math"

// SealedBox is a sealed box, empty and tight, that gives a driver a wished total quality factor.
type SealedBox struct {
	Qtc     float64
	Volume  float64 // net, m3; 0: no box does, for the driver's own Qts is not below Qtc
	Fc      float64 // Hz
	F3, F10 float64 // Hz, by [Circuit.Figures], coil inductance included; NaN: see Reason
	Reason  string
	Peak    float64 // dB over reference, 10 to 100 Hz
	Remark  string  // why nobody builds that volume; else empty
}

// Volumes that are listed with a remark alone (common practice): the driver itself does not fit in less than leastBox
// Sd^1.5, and in more than mostBox Vas the air adds nothing that shows.
const (
	leastBox = 0.5
	mostBox  = 20.0
)

// SealedBoxes returns the sealed boxes for each of the wished Qtc, without
// source resistance. The error lists what is wrong with driver and air.
func SealedBoxes(d Driver, a Air, wished ...float64) ([]SealedBox, error) {
	var all []SealedBox
	for _, qtc := range wished {
		b := SealedBox{Qtc: qtc, F3: math.NaN(), F10: math.NaN()}
		if qtc > d.Qts() {
			v, err := SealedVolume(d, a, 0, qtc)
			if err != nil {
				return nil, err
			}
			c, err := NewCircuit(System{Air: a, Driver: d, Box: Box{Volume: v}})
			if err != nil {
				return nil, err
			}
			f := c.Figures(1)
			b.Volume, b.Fc, b.F3, b.F10, b.Reason, b.Peak = v, f.Fc, f.F3, f.F10, f.Reason, f.Peak
			switch {
			case v < leastBox*math.Pow(d.Sd, 1.5):
				b.Remark = "smaller than the driver itself"
			case v > mostBox*d.Vas(a):
				b.Remark = "twenty times vas and more: as good as no box"
			}
		}
		all = append(all, b)
	}
	return all, nil
}

// VentedBox is a member of a classical family for a driver.
type VentedBox struct {
	Alignment
	Volume   float64 // net, m3
	Fb       float64 // Hz
	Corner   float64 // Hz, f3 of the alignment itself, without inductance
	F3, F10  float64 // Hz, coil inductance included; NaN: see Reason
	Reason   string
	Peak     float64 // dB over reference, 10 to 100 Hz
	PortArea float64 // m2, the least by [RuleOfThumbPortArea]; 0 without Xmax
}

// VentedBoxes returns the members of all families that suit the driver with leakage ql, see [Alignments], without
// source resistance: none for a driver that no vented box suits. The port is an ideal mass.
func VentedBoxes(d Driver, a Air, ql float64) ([]VentedBox, error) {
	var all []VentedBox
	for _, m := range Alignments(d.Qts(), ql) {
		b := VentedBox{Alignment: m, Volume: d.Vas(a) / m.Alpha, Fb: d.Fs() * m.H, Corner: d.Fs() * m.F3}
		b.PortArea = RuleOfThumbPortArea(b.Fb, d.VolumeDisplacement())
		c, err := NewCircuit(System{Air: a, Driver: d, Box: Box{Volume: b.Volume, LeakQ: m.QL, Ports: []Port{massAlone(a, b.Volume, b.Fb)}}})
		if err != nil {
			return nil, err
		}
		f := c.Figures(1)
		b.F3, b.F10, b.Reason, b.Peak = f.F3, f.F10, f.Reason, f.Peak
		all = append(all, b)
	}
	return all, nil
}

// massAlone returns a port that tunes volume to fb with all its air in the end corrections, as the alignments have it.
// It is so short that its first resonance, 17 kHz, is out of the way.
func massAlone(a Air, volume, fb float64) Port {
	const length = 0.01 // m
	w := 2 * math.Pi * fb / a.SoundSpeed
	return Port{Area: volume * w * w * length, Ends: [2]float64{length / 2, length / 2}}
}

// Loudest is the highest steady level of a driver in an infinite baffle, dB re 20 uPa, 1 m, half space, rms, by each
// limit alone; NaN where the limit is not known.
type Loudest struct {
	Frequency float64 // Hz
	Excursion float64 // cones at Xmax
	Power     float64 // rated power into the nominal impedance
}

// endless is the air behind an infinite baffle as a multiple of Vas: it adds one millionth to the stiffness.
const endless = 1e6

// LoudestLevels returns the limits at each frequency. The one by excursion
//
//	p = rho w^2 Vd / (2 pi r sqrt 2)
//
// holds for any sealed box, the one by power for a box so large that it does not raise the resonance.
func LoudestLevels(d Driver, a Air, frequencies ...float64) ([]Loudest, error) {
	c, err := NewCircuit(System{Air: a, Driver: d, Box: Box{Volume: endless * d.Vas(a)}})
	if err != nil {
		return nil, err
	}
	var all []Loudest
	for _, f := range frequencies {
		l := Loudest{f, math.NaN(), math.NaN()}
		if level, cause := c.MaxLevel(f, Limits{Xmax: d.Xmax}); cause != Unlimited {
			l.Excursion = level
		}
		if level, cause := c.MaxLevel(f, Limits{RatedPower: d.Power, Nominal: d.Impedance}); cause != Unlimited {
			l.Power = level
		}
		all = append(all, l)
	}
	return all, nil
}
