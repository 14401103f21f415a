package thielesmall

import (
	"fmt"
	"math"
)

// How far a maker's sensitivity may be from the level of the piston band, dB (common practice): measured levels are
// averaged over a band, often above the one that counts here, and rounded up.
const (
	levelWorthSaying = 3.0
	levelVeryLikely  = 6.0
)

// halfOrTwice is how near to 2 or 1/2 a ratio must be to be that of a peak-to-peak figure to a one-way one.
const halfOrTwice = 0.1

// claims compares the figures that only follow from others with those.
func (s Spec) claims(d Driver) []Finding {
	var all []Finding
	if f, ok := s.levelAgainstEfficiency(d); ok {
		all = append(all, f)
	}
	if f, ok := s.displacedAgainstXmax(d); ok {
		all = append(all, f)
	}
	return all
}

// levelAgainstEfficiency compares the sensitivity with the level of the piston band at the same drive, in half space.
func (s Spec) levelAgainstEfficiency(d Driver) (Finding, bool) {
	c := s.Claims
	if c.Level == 0 {
		return Finding{}, false
	}
	air, err := Reference().Air()
	if err != nil {
		return Finding{}, false
	}
	ohms := d.Impedance
	if ohms == 0 {
		ohms = d.Re
	}
	byVolts := d.ReferenceLevel(air, math.Max(c.Volts, 0), 0)
	byWatts := d.ReferenceLevel(air, math.Sqrt(c.Watts*ohms), 0)
	level, at := byVolts, fmt.Sprintf("%.3g V", c.Volts)
	switch {
	case c.Volts == 0 && c.Watts > 0:
		level, at = byWatts, fmt.Sprintf("%.3g W", c.Watts)
	case c.Volts == 0:
		level, at = d.ReferenceLevel(air, customaryVolts, 0), "2.83 V"
		if w := d.ReferenceLevel(air, math.Sqrt(ohms), 0); math.Abs(c.Level-w) < math.Abs(c.Level-level) {
			level, at = w, "1 W"
		}
	}
	off := c.Level - level
	if math.Abs(off) <= levelWorthSaying {
		return Finding{}, false
	}
	sev := Warning
	if math.Abs(off) > levelVeryLikely {
		sev = Flagged
	}
	return Finding{Quantity: "sensitivity", Severity: sev, Percent: 100 * (math.Pow(10, off/20) - 1),
		Text: fmt.Sprintf("A sensitivity of %.1f dB is given, but %.1f dB at %s follows from bl, sd, re and mms: %+.1f dB.", c.Level, level, at, off)}, true
}

// customaryVolts is the drive that sensitivities are stated for, 1 W into 8 ohm.
const customaryVolts = 2.83

// displacedAgainstXmax compares Vd with sd times xmax.
func (s Spec) displacedAgainstXmax(d Driver) (Finding, bool) {
	vd := s.Claims.Displaced
	if vd == 0 {
		return Finding{}, false
	}
	say := func(sev Severity, percent float64, format string, a ...any) (Finding, bool) {
		return Finding{"vd", sev, percent, fmt.Sprintf(format, a...)}, true
	}
	travel := vd / d.Sd
	if d.Xmax == 0 {
		return say(Note, 0, "vd %.0f cm3 over sd is a travel of %.1f mm: give it as xmax if the maker counts one way, half of it if peak to peak.", vd*1e6, travel*1e3)
	}
	ratio := travel / d.Xmax
	percent := 100 * (ratio - 1)
	switch {
	case math.Abs(ratio/2-1) <= halfOrTwice:
		return say(Warning, percent, "vd %.0f cm3 is twice sd times xmax %.1f mm: vd is most likely peak to peak; is xmax one way?", vd*1e6, d.Xmax*1e3)
	case math.Abs(2*ratio-1) <= halfOrTwice:
		return say(Warning, percent, "vd %.0f cm3 is half of sd times xmax %.1f mm: xmax looks like a peak-to-peak figure; give half of it, one way.", vd*1e6, d.Xmax*1e3)
	case math.Abs(ratio-1) > worthSaying:
		return say(severity(ratio-1), percent, "vd %.0f cm3 is not sd times xmax %.1f mm, %.0f cm3: %+.1f %%.", vd*1e6, d.Xmax*1e3, d.VolumeDisplacement()*1e6, percent)
	}
	return Finding{}, false
}
