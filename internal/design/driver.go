package design

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// DriverSheet is what there is to say about one driver by itself, in reference air (20 C, 101.325 kPa, 50 %) and without
// source resistance.
type DriverSheet struct {
	Spec       thielesmall.Spec
	Frame      panels.Driver
	Air        thielesmall.Air
	Parameters []thielesmall.Parameter // none when the set cannot be completed
	Driver     thielesmall.Driver      // one driver, coils as in the data
	Findings   []thielesmall.Finding   // the gravest first
	Coils      []WiredCoils            // for a driver with several coils
	Sealed     []thielesmall.SealedBox
	Vented     []thielesmall.VentedBox
	QL         float64 // of the vented boxes
	Loudest    []thielesmall.Loudest
	Missing    []Gap
}

// WiredCoils is a driver with its coils joined in one way.
type WiredCoils struct {
	Connection thielesmall.Connection
	Driver     thielesmall.Driver
	AsData     bool // as they were when the data were taken
}

// A Gap is what a driver's file does not say, for which commands that matters, and what it changes.
type Gap struct {
	What     string   // "xmax"
	Commands []string // "design", "check", "rank", "measured"
	Effect   string   // one clause
}

// Offered sealed boxes: the flattest delay, Bessel, Butterworth, and two that trade the corner for volume.
var offeredQtc = []float64{0.5, 1 / math.Sqrt(3), math.Sqrt(0.5), 0.9, 1.0}

// loudAt is where the greatest levels are stated, Hz.
var loudAt = []float64{30, 40, 50}

// AboutDriver completes a driver and says what it is good for. When the set cannot be completed the error says why, and
// the sheet what is missing all the same.
func AboutDriver(spec thielesmall.Spec, frame panels.Driver) (*DriverSheet, error) {
	s := &DriverSheet{Spec: spec, Frame: frame, QL: ventedLeakQ}
	s.Missing = gaps(spec, frame)
	air, err := thielesmall.Reference().Air()
	if err != nil {
		return s, err
	}
	s.Air = air
	if s.Driver, s.Findings, err = spec.Complete(); err != nil {
		whole := Gap{"complete and possible set", []string{"design", "check", "rank", "measured"}, "nothing about the sound can be computed, and none of these runs"}
		s.Missing = append([]Gap{whole}, s.Missing...)
		return s, err
	}
	if s.Parameters, err = spec.Parameters(); err != nil {
		return s, err
	}
	s.Findings = graveFirst(append(s.Findings, metal(frame, s.Driver)...))
	if err := s.wire(); err != nil {
		return s, err
	}
	if s.Sealed, err = thielesmall.SealedBoxes(s.Driver, air, offeredQtc...); err != nil {
		return s, err
	}
	if s.Vented, err = thielesmall.VentedBoxes(s.Driver, air, s.QL); err != nil {
		return s, err
	}
	s.Loudest, err = thielesmall.LoudestLevels(s.Driver, air, loudAt...)
	return s, err
}

// wire joins the coils in each way.
func (s *DriverSheet) wire() error {
	if s.Spec.Coils.Count < 2 {
		return nil
	}
	for _, c := range []thielesmall.Connection{thielesmall.Parallel, thielesmall.Series} {
		single, _, _, err := s.Spec.Wire(1, thielesmall.Wiring{Coils: c})
		if err != nil {
			return err
		}
		s.Coils = append(s.Coils, WiredCoils{c, single, math.Abs(single.Re/s.Driver.Re-1) < slack})
	}
	return nil
}

// graveFirst puts the gravest findings first, otherwise in their order.
func graveFirst(all []thielesmall.Finding) []thielesmall.Finding {
	slices.SortStableFunc(all, func(a, b thielesmall.Finding) int { return cmp.Compare(b.Severity, a.Severity) })
	return all
}

// metal remarks on what the driver as a thing of metal cannot be, or hardly. The comparisons are plain geometry.
func metal(f panels.Driver, d thielesmall.Driver) []thielesmall.Finding {
	var all []thielesmall.Finding
	say := func(s thielesmall.Severity, quantity, format string, args ...any) {
		all = append(all, thielesmall.Finding{Quantity: quantity, Severity: s, Text: fmt.Sprintf(format, args...)})
	}
	mm := func(m float64) string { return unit.FormatLength(m, unit.Metric) }
	cone := 2 * math.Sqrt(d.Sd/math.Pi)
	switch {
	case f.Frame > 0 && cone >= f.Frame:
		say(thielesmall.Flagged, "sd", "Impossible together: the cone of sd is %s across, the frame only %s.", mm(cone), mm(f.Frame))
	case f.Cutout > 0 && cone > f.Cutout:
		say(thielesmall.Flagged, "sd", "The cone of sd is %s across, more than the cut-out of %s: check sd and cutout.", mm(cone), mm(f.Cutout))
	}
	if hole := f.Cutout; hole > 0 && f.Depth > 0 {
		if most := circleArea(hole) * f.Depth; f.Displacement > most {
			say(thielesmall.Flagged, "displacement", "Impossible together: displacement %s, but a body of cutout and depth takes %s at most.",
				unit.FormatVolume(f.Displacement, unit.Metric), unit.FormatVolume(most, unit.Metric))
		}
	}
	if f.Magnet > 0 && f.Cutout > 0 && f.Magnet > f.Cutout {
		say(thielesmall.Warning, "magnet", "The magnet, %s, does not pass through the cut-out of %s: check magnet and cutout.", mm(f.Magnet), mm(f.Cutout))
	}
	if f.Depth > 0 && d.Xmax > 0 && f.Depth <= 2*d.Xmax {
		say(thielesmall.Flagged, "depth", "Impossible together: depth %s and an xmax of %s each way.", mm(f.Depth), mm(d.Xmax))
	}
	if f.Mass > 0 && f.Mass <= d.Mms {
		say(thielesmall.Flagged, "mass", "Impossible together: the driver weighs %s and its moving parts %s.",
			unit.FormatMass(f.Mass, unit.Metric), unit.FormatMass(d.Mms, unit.Metric))
	}
	return all
}

// gaps lists what is not given, for which commands it matters, and what having it would change.
func gaps(s thielesmall.Spec, f panels.Driver) []Gap {
	sound, fit := []string{"design", "check", "rank"}, []string{"design", "check"}
	var all []Gap
	need := func(missing bool, what string, commands []string, effect string) {
		if missing {
			all = append(all, Gap{what, commands, effect})
		}
	}
	nominal := s.Impedance > 0 || s.Coils.Impedance > 0
	need(s.Xmax == 0, "xmax", sound, "excursion and maximum level below 40 Hz are not limited, and air in front of the cone is not checked")
	need(s.Xmech == 0 && s.Xmax > 0, "xmech", fit, "excursion beyond xmax is tolerated with a caution up to twice xmax")
	need(s.Power == 0, "power", sound, "the maximum level is not limited by heat, and delivered power is not checked")
	need(!nominal, "impedance", sound, "rated power sets no limit, the load on the amplifier is not checked, and a drive of 1 W cannot be asked for")
	need(s.Le == 0 && s.L2 == 0, "le", append(sound[:3:3], "measured"), "the coil counts as a pure resistance: level above 50 Hz comes out too high, and f3 by up to 6 Hz wrong")
	need(f.Depth == 0, "depth", sound, "fit is not checked: the driver may meet the wall behind it")
	need(f.Cutout == 0, "cutout", fit, "the opening is not drawn and not checked")
	need(f.Frame == 0, "frame", fit, "the flange counts as no wider than the opening: whether it finds room is not checked")
	need(f.Magnet == 0, "magnet", fit, "depth is kept free over the whole cut-out, which costs room under a slope")
	need(f.Displacement == 0, "displacement", sound, "the driver takes no air: the box comes out too small by what it displaces")
	need(f.Circle == 0, "bolts", fit, "no screw holes on the template, and room for them is not checked")
	need(f.Mass == 0, "mass", fit, "the weight of the finished box leaves the driver out")
	return all
}

// LevelAtOneWatt is the level of the piston band for one watt into re, dB, 1 m, half space; coil inductance removed.
func (s *DriverSheet) LevelAtOneWatt() float64 {
	return s.Driver.ReferenceLevel(s.Air, math.Sqrt(s.Driver.Re), 0)
}

// LevelAt283 is the level of the piston band for 2.83 V rms, dB, 1 m, half space; coil inductance removed.
func LevelAt283(d thielesmall.Driver, a thielesmall.Air) float64 {
	return d.ReferenceLevel(a, defaultVolts, 0)
}

// Kinds of box by fs/Qes, Hz (common practice): a motor weak for its resonance wants a sealed box, a strong one a vented.
const (
	sealedBelow = 50.0
	ventedAbove = 100.0
)

// Inclination says which kind of box the driver leans to by fs/Qes.
func (s *DriverSheet) Inclination() (ratio float64, text string) {
	ratio = s.Driver.Fs() / s.Driver.Qes()
	switch {
	case ratio < sealedBelow:
		return ratio, "leans to sealed boxes"
	case ratio > ventedAbove:
		return ratio, "leans to vented boxes"
	}
	return ratio, "sealed or vented"
}
