package thielesmall

import (
	"errors"
	"fmt"
	"math"
)

// Spec is a driver as published; zero means not given. Everything is SI.
type Spec struct {
	Name      string
	Fs        float64 // Hz
	Qts       float64
	Qes       float64
	Qms       float64
	Vas       float64 // m3, at reference air
	Sd        float64 // m2; beats Diameter
	Diameter  float64 // effective, centre of surround to centre of surround, m
	Re        float64 // ohm
	Le        float64 // H
	L2, R2    float64 // H, ohm
	Bl        float64 // T m
	Mms       float64 // kg, with air load
	Cms       float64 // m/N
	Rms       float64 // kg/s
	Xmax      float64 // one way, peak, m
	Xmech     float64 // one way, peak, m
	Power     float64 // W, the maker's continuous figure for one driver, all its coils
	Impedance float64 // nominal, ohm, as measured
	Coils     Coils
	Claims    Claims
}

// Claims are figures that follow from the others and are only compared with them; zero means not given.
type Claims struct {
	Level        float64 // dB at 1 m, the maker's sensitivity
	Volts, Watts float64 // that Level is for; both zero: not said
	Displaced    float64 // m3, Vd: sd times xmax, one way
}

// Coils describes the coils on one former; Count 0 or 1 is a single coil.
type Coils struct {
	Count     int
	Impedance float64    // nominal, per coil, ohm
	Re        float64    // per coil, ohm
	DataFor   Connection // how the coils were joined when the data were taken; Unstated: found from Re
}

// Connection says how equal things are joined.
type Connection int

// The connections.
const (
	Unstated Connection = iota
	Series
	Parallel
)

// String returns "series", "parallel" or an empty string.
func (c Connection) String() string {
	switch c {
	case Series:
		return "series"
	case Parallel:
		return "parallel"
	}
	return ""
}

// Finding is a remark on a driver's data.
type Finding struct {
	Quantity string // "vas"
	Severity Severity
	Percent  float64 // disagreement; 0 where it does not apply
	Text     string  // one sentence
}

// Severity says how much a [Finding] matters.
type Severity int

// The severities: worth knowing; look at it; very likely a mistake.
const (
	Note Severity = iota
	Warning
	Flagged
)

// String returns "note", "warning" or "flagged".
func (s Severity) String() string {
	return [...]string{"note", "warning", "flagged"}[min(max(s, Note), Flagged)]
}

// mostCoils is more coils than any former carries.
const mostCoils = 8

// check reports every value that cannot be; zero is "not given" and passes.
func (s Spec) check() error {
	var errs []error
	for _, q := range []struct {
		name, unit string
		value      float64
	}{
		{"fs", "Hz", s.Fs}, {"qts", "", s.Qts}, {"qes", "", s.Qes}, {"qms", "", s.Qms}, {"vas", "m3", s.Vas},
		{"sd", "m2", s.Sd}, {"diameter", "m", s.Diameter}, {"re", "ohm", s.Re}, {"le", "H", s.Le}, {"l2", "H", s.L2},
		{"r2", "ohm", s.R2}, {"bl", "T m", s.Bl}, {"mms", "kg", s.Mms}, {"cms", "m/N", s.Cms}, {"rms", "kg/s", s.Rms},
		{"xmax", "m", s.Xmax}, {"xmech", "m", s.Xmech}, {"power", "W", s.Power}, {"impedance", "ohm", s.Impedance},
		{"coils.impedance", "ohm", s.Coils.Impedance}, {"coils.re", "ohm", s.Coils.Re},
		{"sensitivity", "dB", s.Claims.Level}, {"vd", "m3", s.Claims.Displaced},
	} {
		if q.value != 0 {
			errs = append(errs, positive(q.name, q.value, q.unit))
		}
	}
	if n := s.Coils.Count; n < 0 || n > mostCoils {
		errs = append(errs, &RangeError{Quantity: "coils.count", Value: float64(n), Low: 1, High: mostCoils, Closed: true})
	}
	return errors.Join(errors.Join(errs...), s.totalBelowParts(), coilPair(s.L2, s.R2))
}

// totalBelowParts reports a Qts that is not below both its parts.
func (s Spec) totalBelowParts() error {
	var errs []error
	if s.Qts > 0 && s.Qes > 0 && s.Qts >= s.Qes {
		errs = append(errs, &RangeError{Quantity: "qts", Value: s.Qts, Low: 0, High: s.Qes, Because: "qts is below qes in every driver"})
	}
	if s.Qts > 0 && s.Qms > 0 && s.Qts >= s.Qms {
		errs = append(errs, &RangeError{Quantity: "qts", Value: s.Qts, Low: 0, High: s.Qms, Because: "qts is below qms in every driver"})
	}
	return errors.Join(errs...)
}

// Complete returns the full set of one driver, coils joined as they were when
// the data were taken, with remarks on what disagrees or is implausible.
//
// Precedence: fs, Qes, Qms, Vas, Sd and Re win; Bl, Mms, Cms, Rms and Qts are compared with what follows from them and
// used where those are not given. Cms follows from Vas at reference air. The error lists every fault, each a
// [RangeError] or a [MissingError] (errors.Join).
func (s Spec) Complete() (Driver, []Finding, error) {
	if err := s.check(); err != nil {
		return Driver{}, nil, err
	}
	s, _, findings, err := s.resolveCoils()
	if err != nil {
		return Driver{}, nil, err
	}
	v, err := s.solve()
	if err != nil {
		return Driver{}, nil, err
	}
	d := Driver{
		Name: s.Name, Count: 1,
		Re: v[iRe], Le: s.Le, L2: s.L2, R2: s.R2, Bl: v[iBl], Sd: v[iSd], Mms: v[iMms], Cms: v[iCms], Rms: v[iRms],
		Ratings: Ratings{s.Xmax, s.Xmech, s.Power, s.Impedance},
	}
	if err := d.check(); err != nil {
		return Driver{}, nil, fmt.Errorf("what follows from the data cannot be: %w", err)
	}
	findings = append(findings, s.disagreements(v)...)
	findings = append(findings, s.oddities(d)...)
	return d, append(findings, s.claims(d)...), nil
}

// Area returns Sd, from the diameter if need be; 0 if neither is given, m2.
func (s Spec) Area() float64 {
	if s.Sd > 0 {
		return s.Sd
	}
	return math.Pi / 4 * s.Diameter * s.Diameter
}
