package thielesmall

import (
	"fmt"
	"math"
	"strings"
)

// A slip is a mistake in a unit that multiplies one published quantity.
type slip struct {
	quantity int
	factor   float64 // given / true, or its inverse
	words    string
}

// Factors between units that stand beside each other on data sheets.
const (
	litresInCubicFoot = 28.316846592 // exact
	inchInMillimetres = 25.4         // exact
	squareInchInCm2   = 6.4516       // exact
	cubicInchesInFoot = 1728
	gramsInOunce      = 28.349523125 // exact
	poundsInKilogram  = 2.2046226218
	thousand          = 1000
)

// slips lists the usual ones, the likelier first.
var slips = [...]slip{
	{iVas, litresInCubicFoot, "cubic feet against litres (28.317)"},
	{iSd, squareInchInCm2, "square inches against square centimetres (6.4516), or a diameter in inches against centimetres"},
	{iSd, 100, "square centimetres against square millimetres (100)"},
	{iSd, 10, "a decimal point"},
	{iSd, 4, "a radius against a diameter (2)"},
	{iSd, inchInMillimetres * inchInMillimetres, "a diameter in inches against millimetres (25.4)"},
	{iMms, thousand, "grams against kilograms (1000)"},
	{iMms, gramsInOunce, "ounces against grams (28.35)"},
	{iMms, poundsInKilogram, "pounds against kilograms (2.205)"},
	{iMms, 10, "a decimal point"},
	{iCms, thousand, "millimetres against micrometres per newton (1000)"},
	{iCms, 10, "a decimal point"},
	{iVas, cubicInchesInFoot / litresInCubicFoot, "cubic inches against litres (61.02)"},
	{iVas, cubicInchesInFoot, "cubic inches against cubic feet (1728)"},
	{iVas, thousand / litresInCubicFoot, "cubic feet against cubic metres (35.31)"},
	{iVas, thousand, "litres against cubic metres or millilitres (1000)"},
	{iVas, 10, "a decimal point"},
	{iBl, 10, "a decimal point"},
	{iRms, 10, "a decimal point"},
	{iFs, 10, "a decimal point"},
	{iRe, 10, "a decimal point"},
	{iRe, thousand, "milliohms against ohms (1000)"},
	{iQms, 10, "a decimal point"},
	{iQes, 10, "a decimal point"},
	{iQts, 10, "a decimal point"},
	{iRe, 4, "coils in series against coils in parallel (4)"},
	{iBl, 2, "coils in series against coils in parallel (2)"},
}

const (
	slipSuspected = 0.4  // natural log of the smallest disagreement that is taken for a slip, 1.5 times
	slipResidue   = 0.06 // natural log of the disagreement that rounding may leave once it is put right
	slipsNamed    = 2    // explanations that one sentence can carry
)

// slip names the unit slips, each of which by itself would make all redundant
// data agree; worst is the largest disagreement as they stand, natural log.
func (s Spec) slip(worst float64) string {
	if worst < slipSuspected {
		return ""
	}
	var found []string
	for _, c := range slips {
		for _, f := range [2]float64{c.factor, 1 / c.factor} {
			if fixed, ok := s.scaled(c.quantity, f); ok && fixed.worstDisagreement() < slipResidue && len(found) < slipsNamed {
				size := "small"
				if f < 1 {
					size = "large"
				}
				found = append(found, fmt.Sprintf("%s %.4g times too %s: %s", c.name(s), c.factor, size, c.words))
			}
		}
	}
	if len(found) == 0 {
		return ""
	}
	return "The data would agree if one value had a unit slip: " + strings.Join(found, "; or ") + "."
}

// name is what the user wrote for the quantity.
func (c slip) name(s Spec) string {
	if c.quantity == iSd && s.Sd == 0 {
		return "the area from diameter"
	}
	return quantityNames[c.quantity]
}

// scaled returns the spec with one given quantity multiplied by factor; ok is
// false if that quantity is not given.
func (s Spec) scaled(quantity int, factor float64) (scaled Spec, ok bool) {
	field := map[int]*float64{iFs: &s.Fs, iQts: &s.Qts, iQes: &s.Qes, iQms: &s.Qms, iVas: &s.Vas, iSd: &s.Sd, iRe: &s.Re,
		iBl: &s.Bl, iMms: &s.Mms, iCms: &s.Cms, iRms: &s.Rms}[quantity]
	if quantity == iSd && s.Sd == 0 {
		s.Diameter *= math.Sqrt(factor)
		return s, s.Diameter > 0
	}
	*field *= factor
	return s, *field > 0
}

// worstDisagreement returns the largest disagreement between given and derived
// data as the natural log of their ratio, infinite if the data cannot be.
func (s Spec) worstDisagreement() float64 {
	if s.totalBelowParts() != nil {
		return math.Inf(1)
	}
	v, err := s.solve()
	if err != nil {
		return math.Inf(1)
	}
	worst := 0.0
	for i, x := range s.given() {
		if x > 0 {
			worst = math.Max(worst, math.Abs(math.Log(x/v[i])))
		}
	}
	if s.Sd > 0 && s.Diameter > 0 {
		worst = math.Max(worst, math.Abs(math.Log(math.Pi/4*s.Diameter*s.Diameter/s.Sd)))
	}
	return worst
}
