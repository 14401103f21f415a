package thielesmall

import (
	"fmt"
	"math"
)

// Disagreements between redundant data, as shares (common practice): published figures are rounded and drift by a few
// per cent, 15 % is another driver or another unit.
const (
	worthSaying = 0.03
	veryLikely  = 0.15
)

// disagreements compares what is given beyond need with what follows.
func (s Spec) disagreements(v values) []Finding {
	given := s.given()
	var all []Finding
	worst := 0.0
	for i, x := range given {
		if x == 0 || x == v[i] {
			continue
		}
		share := x/v[i] - 1
		if math.Abs(share) <= worthSaying {
			continue
		}
		worst = math.Max(worst, math.Abs(math.Log(x/v[i])))
		all = append(all, Finding{quantityNames[i], severity(share), 100 * share,
			fmt.Sprintf("%s is given as %s, but %s follows from the other data: %+.1f %%.", quantityNames[i], amount(i, x), amount(i, v[i]), 100*share)})
	}
	if f, ok := s.diameterAgainstArea(); ok {
		all = append(all, f)
		worst = math.Max(worst, math.Abs(math.Log1p(f.Percent/100)))
	}
	if text := s.slip(worst); text != "" {
		all = append(all, Finding{Quantity: "units", Severity: Flagged, Text: text})
	}
	return all
}

func severity(share float64) Severity {
	if math.Abs(share) > veryLikely {
		return Flagged
	}
	return Warning
}

// diameterAgainstArea compares a diameter with the area that wins over it.
func (s Spec) diameterAgainstArea() (Finding, bool) {
	if s.Sd == 0 || s.Diameter == 0 {
		return Finding{}, false
	}
	share := math.Pi/4*s.Diameter*s.Diameter/s.Sd - 1
	if math.Abs(share) <= worthSaying {
		return Finding{}, false
	}
	return Finding{"diameter", severity(share), 100 * share,
		fmt.Sprintf("The area of a %.0f mm diameter is %.0f cm2, but sd is given as %.0f cm2 and is used: %+.1f %%.",
			s.Diameter*1e3, math.Pi/4*s.Diameter*s.Diameter*1e4, s.Sd*1e4, 100*share)}, true
}

// amount writes a quantity in the unit in which data sheets give it.
func amount(i int, x float64) string {
	show := [quantities]struct {
		scale float64
		unit  string
	}{iFs: {1, " Hz"}, iQts: {1, ""}, iQes: {1, ""}, iQms: {1, ""}, iVas: {1e3, " l"}, iSd: {1e4, " cm2"}, iRe: {1, " ohm"},
		iBl: {1, " T m"}, iMms: {1e3, " g"}, iCms: {1e3, " mm/N"}, iRms: {1, " kg/s"}}[i]
	return fmt.Sprintf("%.4g%s", x*show.scale, show.unit)
}

// Amount writes a quantity of a driver, by the name that [Parameter] has, with
// four digits in the unit in which data sheets give it: "24 l".
func Amount(quantity string, x float64) string {
	for i, name := range quantityNames {
		if name == quantity {
			return amount(i, x)
		}
	}
	return fmt.Sprintf("%.4g", x)
}

// Bounds of what subwoofer drivers are (common practice); outside them the
// data are more likely mistaken than the driver remarkable.
const (
	lightestCone, heaviestCone = 0.3, 10.0 // kg/m2, Mms/Sd
	longestThrow               = 0.035     // m one way; more suggests a peak-to-peak figure
	lowestFs, highestFs        = 10.0, 120.0
	lowestQts, highestQts      = 0.1, 1.5
)

// oddities remarks on what is possible but implausible.
func (s Spec) oddities(d Driver) []Finding {
	var all []Finding
	say := func(sev Severity, quantity, format string, a ...any) {
		all = append(all, Finding{Quantity: quantity, Severity: sev, Text: fmt.Sprintf(format, a...)})
	}
	if d.Impedance > 0 && d.Re > d.Impedance {
		say(Warning, "re", "re %.3g ohm is above the nominal impedance %.3g ohm: a coil's resistance is below it.", d.Re, d.Impedance)
	}
	if m := d.Mms / d.Sd; m < lightestCone || m > heaviestCone {
		say(Flagged, "mms", "The moving mass is %.2g kg on a square metre of cone; %.1g to %.2g is usual: check mms, sd, vas and fs.", m, lightestCone, heaviestCone)
		if text := s.lonelySlip(); text != "" {
			say(Flagged, "units", "%s", text)
		}
	}
	if d.Xmax > longestThrow {
		say(Warning, "xmax", "xmax %.1f mm looks like a peak-to-peak figure: give half of it, one way.", d.Xmax*1e3)
	}
	if d.Xmech > 0 && d.Xmech < d.Xmax {
		say(Warning, "xmech", "xmech %.1f mm is below xmax %.1f mm: one of them may be peak to peak.", d.Xmech*1e3, d.Xmax*1e3)
	}
	if fs := d.Fs(); fs < lowestFs || fs > highestFs {
		say(Warning, "fs", "A resonance of %.4g Hz is unusual for a subwoofer driver.", fs)
	}
	if q := d.Qts(); q < lowestQts || q > highestQts {
		say(Warning, "qts", "A Qts of %.3g is unusual for a driver meant to go in a box.", q)
	}
	if d.Le > 0 && d.L2 == 0 {
		say(Note, "le", "le is used as given: a value measured at 1 kHz under-states the coil by 1.7 to 3.2 times between 20 and 100 Hz; give l2 and r2 where they are known.")
	}
	return all
}
