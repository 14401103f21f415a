package unit

import (
	"math"
	"strconv"
	"strings"
)

// MetresPerInch is exact: the international inch of 1959 is 25.4 mm.
const MetresPerInch = 0.0254

// shopDenominator is the finest division of a common tape measure, 1/32 in; lengths print to it.
const shopDenominator = 32

// cubicMetresPerCubicFoot and kilogramsPerPound are exact, see the table of units.
const (
	cubicMetresPerCubicFoot = 0.028316846592
	kilogramsPerPound       = 0.45359237
)

// unknown is printed for a number that is not finite.
const unknown = "?"

// largestFraction is the largest number of parts of an inch that Fraction counts in whole numbers; up to here a float64
// holds every integer.
const largestFraction = 1 << 53

// Fraction gives a length in metres as inches and a reduced fraction, "14-3/8" (no unit mark), rounded to the nearest
// 1/denominator in, halves away from zero. denominator is at least 1; a smaller one counts as 1.
func Fraction(m float64, denominator int) string {
	den := int64(max(denominator, 1))
	parts := math.Round(settled(m / MetresPerInch * float64(den)))
	if math.IsNaN(parts) || math.Abs(parts) > largestFraction {
		return unknown
	}
	n := int64(math.Abs(parts))
	sign := ""
	if parts < 0 {
		sign = "-"
	}
	whole, above := n/den, n%den
	if above == 0 {
		return sign + strconv.FormatInt(whole, 10)
	}
	d := divisor(above, den)
	text := strconv.FormatInt(above/d, 10) + "/" + strconv.FormatInt(den/d, 10)
	if whole == 0 {
		return sign + text
	}
	return sign + strconv.FormatInt(whole, 10) + "-" + text
}

// divisor is the greatest common divisor.
func divisor(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// fixed prints x with the given decimals, without a minus sign before zero.
func fixed(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return unknown
	}
	s := strconv.FormatFloat(x, 'f', max(decimals, 0), 64)
	if s[0] == '-' {
		if v, err := strconv.ParseFloat(s, 64); err == nil && v == 0 {
			return s[1:]
		}
	}
	return s
}

// Millimetres gives a length in metres as "365.0", without a unit.
func Millimetres(m float64, decimals int) string {
	step := math.Pow10(decimals)
	return fixed(math.Round(settled(m*1000*step))/step, decimals)
}

// settled is a figure without what arithmetic leaves behind: a length that lies between two printed figures is printed alike wherever
// it comes from.
func settled(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// FormatLength gives a length in metres with its unit: "365.0 mm", or 14-3/8" to the nearest 1/32 in.
func FormatLength(m float64, sys System) string {
	if sys == Inch {
		return Fraction(m, shopDenominator) + `"`
	}
	return Millimetres(m, 1) + " mm"
}

// FormatBoth gives a length in metres in both systems, sys first: 14-3/8" (365.1 mm).
func FormatBoth(m float64, sys System) string {
	return FormatLength(m, sys) + " (" + FormatLength(m, other(sys)) + ")"
}

func other(sys System) System {
	if sys == Inch {
		return Metric
	}
	return Inch
}

// FormatVolume gives a volume in cubic metres as "17.6 l" or "0.62 cu ft"; small volumes get one decimal more.
func FormatVolume(m3 float64, sys System) string {
	if sys == Inch {
		return scaled(m3/cubicMetresPerCubicFoot, 2, 0.1) + " cu ft"
	}
	return scaled(m3*1000, 1, 1) + " l"
}

// FormatArea gives an area in square metres as "78.5 cm2" or "12.2 sq in".
func FormatArea(m2 float64, sys System) string {
	if sys == Inch {
		return fixed(m2/(MetresPerInch*MetresPerInch), 1) + " sq in"
	}
	return fixed(m2*1e4, 1) + " cm2"
}

// scaled prints x with the given decimals, and one more below the size small.
func scaled(x float64, decimals int, small float64) string {
	if math.Abs(x) < small {
		decimals++
	}
	return fixed(x, decimals)
}

// FormatMass gives a mass in kilograms as "12.4 kg" or "27.3 lb"; below one kilogram or pound as "350 g" or "5.6 oz".
func FormatMass(kg float64, sys System) string {
	if sys == Inch {
		lb := kg / kilogramsPerPound
		if math.Abs(lb) < 1-0.05/16 { // what would print as 16.0 oz is a pound
			return fixed(lb*16, 1) + " oz"
		}
		return fixed(lb, 1) + " lb"
	}
	if math.Abs(kg) < 1-0.0005 { // what would print as 1000 g is a kilogram
		return fixed(kg*1000, 0) + " g"
	}
	return fixed(kg, 1) + " kg"
}

// FormatSize joins lengths, m, as a size: "900 × 430 × 240 mm" or "35-7/16 × 17 × 9-1/2 in".
func FormatSize(sys System, v ...float64) string {
	parts := make([]string, len(v))
	for i, m := range v {
		if sys == Inch {
			parts[i] = Fraction(m, 32)
		} else {
			parts[i] = Millimetres(m, 0)
		}
	}
	if sys == Inch {
		return strings.Join(parts, " × ") + " in"
	}
	return strings.Join(parts, " × ") + " mm"
}
