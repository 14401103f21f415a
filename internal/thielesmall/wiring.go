package thielesmall

import (
	"fmt"
	"math"
)

// Wiring says how the coils of one driver and the drivers of a set are joined.
// Unstated leaves the coils as they were measured and puts drivers in parallel.
type Wiring struct{ Coils, Drivers Connection }

// coilMatch is how near the driver's re must be to what its coils in series or
// in parallel would have, for the data to be taken as measured that way.
const coilMatch = 0.15

// resolveCoils finds how the coils were joined when the data were taken, and
// takes from the coils what the driver itself does not say.
func (s Spec) resolveCoils() (Spec, Connection, []Finding, error) {
	n := float64(s.Coils.Count)
	if n < 2 {
		if s.Re == 0 {
			s.Re = s.Coils.Re
		}
		if s.Impedance == 0 {
			s.Impedance = s.Coils.Impedance
		}
		return s, Unstated, nil, nil
	}
	factor := map[Connection]float64{Series: n, Parallel: 1 / n}
	found := s.measuredAs(factor)
	if found == Unstated {
		found = s.Coils.DataFor
	}
	var findings []Finding
	if found == Unstated && s.connectionIdle() {
		found = Parallel
		findings = append(findings, Finding{Quantity: "coils", Text: "re is that of one coil; nothing else that is given depends on how the coils were joined."})
	}
	if found == Unstated {
		return s, found, nil, s.coilsUnknown(factor)
	}
	if stated := s.Coils.DataFor; stated != Unstated && stated != found {
		findings = append(findings, Finding{Quantity: "coils.data_for", Severity: Warning,
			Text: fmt.Sprintf("The data are said to be for coils in %s, but re %.3g ohm is that of %.3g ohm coils in %s; what is said is used.", stated, s.Re, s.Coils.Re, found)})
		found = stated
	}
	if s.Re == 0 {
		s.Re = s.Coils.Re * factor[found]
	}
	if wound := s.Coils.Impedance * factor[found]; s.Impedance == 0 {
		s.Impedance = wound
	} else if wound > 0 && math.Abs(s.Impedance/wound-1) > coilMatch {
		findings = append(findings, Finding{Quantity: "impedance", Severity: Warning,
			Text: fmt.Sprintf("impedance %.3g ohm is not that of %d coils of %.3g ohm in %s, %.3g ohm; what is said is used.",
				s.Impedance, s.Coils.Count, s.Coils.Impedance, found, wound)})
	}
	return s, found, findings, nil
}

// A coil's resistance as a share of its nominal impedance (common practice: 0.75 to 0.95; the room about it does not
// reach the other connection, which is a factor of four away).
const leastShare, mostShare = 0.55, 1.1

// measuredAs compares the driver's re with its coils in each connection: with their resistance, else with their nominal
// impedance, which the driver's own nominal impedance has to be too when there is no re.
func (s Spec) measuredAs(factor map[Connection]float64) Connection {
	if s.Re == 0 || s.Coils.Re == 0 {
		return s.measuredByNominal(factor)
	}
	for _, c := range []Connection{Series, Parallel} {
		if math.Abs(s.Re/(s.Coils.Re*factor[c])-1) <= coilMatch {
			return c
		}
	}
	return Unstated
}

// connectionIdle reports whether nothing that is given depends on how the coils
// were joined: fs, the Qs, Vas and what is mechanical never do.
func (s Spec) connectionIdle() bool {
	return s.Re == 0 && s.Coils.Re > 0 && s.Bl == 0 && s.Le == 0 && s.L2 == 0 && s.Impedance == 0
}

// measuredByNominal compares with the coils' nominal impedance.
func (s Spec) measuredByNominal(factor map[Connection]float64) Connection {
	for _, c := range []Connection{Series, Parallel} {
		nominal := s.Coils.Impedance * factor[c]
		switch {
		case nominal == 0:
		case s.Re > 0 && s.Re >= leastShare*nominal && s.Re <= mostShare*nominal,
			s.Re == 0 && s.Coils.Re > 0 && s.Impedance > 0 && math.Abs(s.Impedance/nominal-1) <= coilMatch:
			return c
		}
	}
	return Unstated
}

// WiredAs returns how the coils must have been joined for the driver's re, by the resistance or the nominal impedance
// of each; Unstated when neither connection agrees or nothing is said of the coils.
func (s Spec) WiredAs() Connection {
	n := float64(s.Coils.Count)
	if n < 2 {
		return Unstated
	}
	return s.measuredAs(map[Connection]float64{Series: n, Parallel: 1 / n})
}

// coilsUnknown asks for what would settle how the data were taken.
func (s Spec) coilsUnknown(factor map[Connection]float64) error {
	if s.Re > 0 && s.Coils.Re > 0 {
		return &CoilsError{Re: s.Re, Coil: s.Coils.Re, Series: s.Coils.Re * factor[Series], Parallel: s.Coils.Re * factor[Parallel], Count: s.Coils.Count}
	}
	have, need := []string{"coils.count"}, "coils.re (of one coil) and re (of the whole driver)"
	switch {
	case s.Re > 0:
		have, need = append(have, "re"), "coils.re (of one coil)"
	case s.Coils.Re > 0:
		have, need = append(have, "coils.re"), "re (of the whole driver, as measured)"
	}
	return &MissingError{What: "the wired driver", Have: have, Need: []string{need, askDataFor}}
}

// Wire completes the driver and joins count of them with their coils as wired.
// single is one driver with its coils as wired, set is the whole set.
//
// Coils on one former are one inductor: n of them in series have n times the resistance and Bl and n^2 times the
// inductance of one, in parallel 1/n times the resistance and the Bl and inductance of one. Separate drivers in series
// have N times re, bl and le, in parallel re/N, le/N and the Bl of one; Sd, Mms, Rms and power are N times and Cms one
// N-th. fs, Q and, for one driver, Vas never change.
//
// Errors are those of [Spec.Complete], a [RangeError] for count below 1, and a
// [MissingError] where it cannot be told how the coils were measured.
func (s Spec) Wire(count int, w Wiring) (single, set Driver, f []Finding, err error) {
	if count < 1 || count > mostDrivers {
		return Driver{}, Driver{}, nil, &RangeError{Quantity: "count", Value: float64(count), Low: 1, High: mostDrivers, Closed: true}
	}
	single, f, err = s.Complete()
	if err != nil {
		return Driver{}, Driver{}, nil, err
	}
	_, measured, _, _ := s.resolveCoils() // its error would have been Complete's
	wired := w.Coils
	switch {
	case s.Coils.Count < 2 && wired != Unstated:
		f = append(f, Finding{Quantity: "wiring", Text: "The driver has one coil: how its coils are wired does not matter."})
	case s.Coils.Count >= 2 && wired == Unstated:
		f = append(f, Finding{Quantity: "wiring", Severity: Warning,
			Text: fmt.Sprintf("How the coils are wired is not said: taken in %s, as the data are.", measured)})
	case s.Coils.Count >= 2 && wired != measured:
		single = single.rewound(float64(s.Coils.Count), wired)
	}
	return single, single.times(count, w.Drivers), f, nil
}

// mostDrivers bounds a set; more than this in one chamber is a typing mistake.
const mostDrivers = 64

// rewound returns d with its n coils, joined in the other way, now joined as to.
func (d Driver) rewound(n float64, to Connection) Driver {
	if to == Parallel {
		n = 1 / n
	}
	d.Bl *= n
	for _, z := range []*float64{&d.Re, &d.Le, &d.L2, &d.R2, &d.Impedance} {
		*z *= n * n
	}
	return d
}

// times returns n drivers like d in one chamber.
func (d Driver) times(n int, c Connection) Driver {
	k := float64(n)
	d.Count *= n
	d.Sd *= k
	d.Mms *= k
	d.Rms *= k
	d.Cms /= k
	d.Power *= k
	z := 1 / k
	if c == Series {
		z = k
		d.Bl *= k
	}
	for _, p := range []*float64{&d.Re, &d.Le, &d.L2, &d.R2, &d.Impedance} {
		*p *= z
	}
	return d
}
