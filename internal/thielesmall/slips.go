package thielesmall

import (
	"fmt"
	"math"
	"strings"
)

// A slip is a mistake in a unit that makes one published quantity factor times
// too small or too large; words say what was then written as what.
type slip struct {
	quantity     int
	factor       float64
	small, large string
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

// iDiameter stands for the area where that is given by its diameter.
const iDiameter = quantities

// slips lists the usual ones, the likelier first.
var slips = [...]slip{
	{iVas, litresInCubicFoot, "cubic feet written as litres", "litres written as cubic feet"},
	{iSd, squareInchInCm2, "square inches written as square centimetres", "square centimetres written as square inches"},
	{iSd, 100, "square centimetres written as square millimetres", "square millimetres written as square centimetres"},
	{iSd, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iSd, 4, "an area by the radius taken for the diameter", "an area by the diameter taken for the radius"},
	{iDiameter, inchInMillimetres, "inches written as millimetres", "millimetres written as inches"},
	{iDiameter, inchInMillimetres / 10, "inches written as centimetres", "centimetres written as inches"},
	{iDiameter, 10, "centimetres written as millimetres", "millimetres written as centimetres"},
	{iDiameter, 2, "a radius", "a diameter doubled"},
	{iMms, thousand, "kilograms written as grams", "grams written as kilograms"},
	{iMms, gramsInOunce, "ounces written as grams", "grams written as ounces"},
	{iMms, poundsInKilogram, "kilograms written as pounds", "pounds written as kilograms"},
	{iMms, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iCms, thousand, "millimetres per newton written as micrometres", "micrometres per newton written as millimetres"},
	{iCms, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iVas, cubicInchesInFoot / litresInCubicFoot, "litres written as cubic inches", "cubic inches written as litres"},
	{iVas, cubicInchesInFoot, "cubic feet written as cubic inches", "cubic inches written as cubic feet"},
	{iVas, thousand / litresInCubicFoot, "cubic metres written as cubic feet", "cubic feet written as cubic metres"},
	{iVas, thousand, "litres written as millilitres", "litres written as cubic metres"},
	{iVas, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iBl, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iRms, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iFs, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iRe, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iRe, thousand, "ohms written as milliohms", "milliohms written as ohms"},
	{iQms, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iQes, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iQts, 10, "a slip of the decimal point", "a slip of the decimal point"},
	{iRe, 4, "that of coils in parallel beside data for coils in series", "that of coils in series beside data for coils in parallel"},
	{iBl, 2, "that of coils in parallel beside data for coils in series", "that of coils in series beside data for coils in parallel"},
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
	found := s.slipsThat(slips[:], func(fixed Spec) bool { return fixed.worstDisagreement() < slipResidue })
	if len(found) == 0 {
		return ""
	}
	return "The data would agree if one value had a unit slip: " + strings.Join(found, "; or ") + "."
}

// slipsThat names those of the slips whose mending makes the data good.
func (s Spec) slipsThat(among []slip, good func(fixed Spec) bool) []string {
	var found []string
	for _, c := range among {
		for _, f := range [2]float64{c.factor, 1 / c.factor} {
			fixed, ok := s.scaled(c.quantity, f)
			if !ok || !good(fixed) || len(found) == slipsNamed {
				continue
			}
			size, words := "small", c.small
			if f < 1 {
				size, words = "large", c.large
			}
			found = append(found, fmt.Sprintf("%s looks like %s (%.4g times too %s)", c.name(), words, c.factor, size))
		}
	}
	return found
}

// What a subwoofer driver has (common practice): the bounds within which a
// mended slip must bring data that nothing else can be compared with.
const (
	usualLightest, usualHeaviest = 1.0, 8.0      // kg/m2, Mms/Sd
	usualSmallest, usualLargest  = 0.005, 0.25   // m2, Sd
	usualStiffest, usualSoftest  = 0.0015, 1.000 // m3, Vas
)

// lonelySlip names the unit slips, each of which by itself would explain a moving mass that no driver of that area has.
func (s Spec) lonelySlip() string {
	if s.worstDisagreement() > slipSuspected {
		return "" // there is something to compare with, and that decides
	}
	units := slips[:0:0]
	for _, c := range slips {
		switch c.quantity {
		case iVas, iSd, iDiameter, iMms, iCms:
			if c.factor != 10 || c.quantity == iDiameter {
				units = append(units, c)
			}
		}
	}
	found := s.slipsThat(units, func(fixed Spec) bool {
		v, err := fixed.solve()
		if err != nil || fixed.worstDisagreement() > slipResidue {
			return false
		}
		m := v[iMms] / v[iSd]
		return m > usualLightest && m < usualHeaviest && v[iSd] > usualSmallest && v[iSd] < usualLargest && v[iVas] > usualStiffest && v[iVas] < usualSoftest
	})
	if len(found) == 0 {
		return ""
	}
	return "A unit slip would explain the moving mass: " + strings.Join(found, "; or ") + "."
}

// name is what the user wrote for the quantity.
func (c slip) name() string {
	if c.quantity == iDiameter {
		return "diameter"
	}
	return quantityNames[c.quantity]
}

// scaled returns the spec with one given quantity multiplied by factor; ok is
// false if that quantity is not given, or does not decide.
func (s Spec) scaled(quantity int, factor float64) (scaled Spec, ok bool) {
	if quantity == iDiameter {
		s.Diameter *= factor
		return s, s.Diameter > 0 && s.Sd == 0
	}
	field := map[int]*float64{iFs: &s.Fs, iQts: &s.Qts, iQes: &s.Qes, iQms: &s.Qms, iVas: &s.Vas, iSd: &s.Sd, iRe: &s.Re,
		iBl: &s.Bl, iMms: &s.Mms, iCms: &s.Cms, iRms: &s.Rms}[quantity]
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
