package thielesmall

import (
	"math"
	"strconv"
)

// Parameter is one quantity of a driver with where it comes from.
type Parameter struct {
	Name   string  // "vas"
	Value  float64 // the one that counts, SI; Vas at reference air
	Given  float64 // as published, 0 if it is not
	Origin Origin
	From   []string // what a computed one was computed from
}

// Origin says where a parameter's value comes from.
type Origin int

// The origins. An overruled value is given, but what follows from the values that win counts, see [Spec.Complete].
const (
	Given Origin = iota
	Computed
	Overruled
)

// String returns "given", "computed" or "overruled".
func (o Origin) String() string {
	return [...]string{"given", "computed", "overruled"}[min(max(o, Given), Overruled)]
}

// Percent is how far the given value is from the one that counts, in per cent; 0 when none is given.
func (p Parameter) Percent() float64 {
	if p.Given == 0 {
		return 0
	}
	return 100 * (p.Given/p.Value - 1)
}

// sameValue is the relative distance below which a given value and the one
// that follows from the others are the same: what [Spec.Filled] leaves.
const sameValue = 3e-5

// Parameters returns fs, qts, qes, qms, vas, sd, re, bl, mms, cms and rms of one driver, coils joined as they were when
// the data were taken, and where each comes from. The errors are those of [Spec.Complete].
func (s Spec) Parameters() ([]Parameter, error) {
	if _, _, err := s.Complete(); err != nil {
		return nil, err
	}
	resolved, _, _, err := s.resolveCoils()
	if err != nil {
		return nil, err
	}
	var from trace
	v, err := resolved.solveTraced(&from)
	if err != nil {
		return nil, err
	}
	given := s.given()
	all := make([]Parameter, quantities)
	for i := range all {
		p := Parameter{Name: quantityNames[i], Value: v[i], Given: given[i]}
		switch {
		case given[i] == 0:
			p.Origin = Computed
		case math.Abs(given[i]/v[i]-1) > sameValue:
			p.Origin = Overruled
		}
		for _, j := range from[i] {
			p.From = append(p.From, quantityNames[j])
		}
		all[i] = p
	}
	if s.Sd == 0 && s.Diameter > 0 {
		all[iSd].Given, all[iSd].Origin, all[iSd].From = 0, Computed, []string{"diameter"}
	}
	if s.Re == 0 && resolved.Re > 0 {
		all[iRe].From = []string{"coils.re"}
	}
	return all, nil
}

// filledDigits is how many significant digits a computed value keeps when it is
// written down: a thousand times finer than any data sheet.
const filledDigits = 6

// Filled returns the spec with every parameter set to the value that counts, computed ones rounded to six digits. Its
// completion is that of s but for that rounding, and nothing in it disagrees. The errors are those of [Spec.Complete].
func (s Spec) Filled() (Spec, error) {
	all, err := s.Parameters()
	if err != nil {
		return s, err
	}
	for i, to := range [quantities]*float64{&s.Fs, &s.Qts, &s.Qes, &s.Qms, &s.Vas, &s.Sd, &s.Re, &s.Bl, &s.Mms, &s.Cms, &s.Rms} {
		*to = all[i].Given
		if all[i].Origin != Given {
			*to = significant(all[i].Value, filledDigits)
		}
	}
	return s, nil
}

// Rounded returns the spec with fs, Qs, Vas, Sd, Re and the coil rounded to six
// digits, for values that were measured or computed.
func (s Spec) Rounded() Spec {
	for _, v := range []*float64{&s.Fs, &s.Qts, &s.Qes, &s.Qms, &s.Vas, &s.Sd, &s.Re, &s.Le, &s.L2, &s.R2, &s.Bl, &s.Mms, &s.Cms, &s.Rms, &s.Impedance} {
		*v = significant(*v, filledDigits)
	}
	return s
}

// significant rounds x to so many significant digits.
func significant(x float64, digits int) float64 {
	v, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64)
	if err != nil {
		return x
	}
	return v
}
