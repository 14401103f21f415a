package unit

import (
	"math/big"
	"strings"
)

// A measure is one unit: value in SI = (value as written + before) x factor. before is used by temperatures alone.
type measure struct {
	dimension Dimension
	symbol    string   // as messages write it
	spelling  []string // every further accepted spelling, as normalise leaves it
	factor    string   // exact, as a decimal or a fraction
	before    string
	quiet     bool // accepted, but not among the units that a message offers
}

// The factors are exact by definition unless a comment says otherwise.
//
// Inch 25.4 mm, foot 12 in, yard 3 ft, pound 0.45359237 kg: the international yard and pound agreement of 1959, as
// given in NIST Special Publication 811, Guide for the Use of the International System of Units (2008), appendix B.
// Litre 1 dm3: 12th General Conference on Weights and Measures, 1964. Standard atmosphere 101 325 Pa and standard
// gravity 9.80665 m/s2: the same appendix. All from memory; they are checked against each other in the tests.
var measures = []measure{
	{dimension: Length, symbol: "mm", spelling: []string{"millimetre", "millimetres", "millimeter", "millimeters"}, factor: "1/1000"},
	{dimension: Length, symbol: "cm", spelling: []string{"centimetre", "centimetres", "centimeter", "centimeters"}, factor: "1/100"},
	{dimension: Length, symbol: "m", spelling: []string{"metre", "metres", "meter", "meters"}, factor: "1"},
	{dimension: Length, symbol: "um", spelling: []string{"micron", "microns"}, factor: "1/1000000", quiet: true},
	{dimension: Length, symbol: "in", spelling: []string{"inch", "inches", `"`, "''"}, factor: "0.0254"},
	{dimension: Length, symbol: "ft", spelling: []string{"foot", "feet", "'"}, factor: "0.3048"},
	{dimension: Length, symbol: "yd", spelling: []string{"yard", "yards"}, factor: "0.9144", quiet: true},

	{dimension: Area, symbol: "m2", spelling: []string{"sq m"}, factor: "1"},
	{dimension: Area, symbol: "cm2", spelling: []string{"sq cm", "sq.cm", "square cm"}, factor: "0.0001"},
	{dimension: Area, symbol: "mm2", spelling: []string{"sq mm"}, factor: "0.000001"},
	{dimension: Area, symbol: "in2", spelling: []string{"sq in", "sq.in", "square inches"}, factor: "0.00064516"},
	{dimension: Area, symbol: "ft2", spelling: []string{"sq ft", "square feet"}, factor: "0.09290304", quiet: true},

	{dimension: Volume, symbol: "l", spelling: []string{"L", "litre", "litres", "liter", "liters", "Litre", "Litres", "Liter", "Liters", "ltr", "ltrs", "dm3"}, factor: "1/1000"},
	{dimension: Volume, symbol: "ml", spelling: []string{"mL", "cm3", "cc", "cu cm"}, factor: "1/1000000"},
	{dimension: Volume, symbol: "m3", spelling: []string{"cu m"}, factor: "1"},
	{dimension: Volume, symbol: "cu ft", spelling: []string{"cuft", "ft3", "cubic feet", "cubic foot", "cu.ft", "Cu.ft", "Cu ft", "cf"}, factor: "0.028316846592"},
	{dimension: Volume, symbol: "cu in", spelling: []string{"cuin", "in3", "cubic inches", "cubic inch", "cu.in", "Cu.in", "Cu in"}, factor: "0.000016387064"},

	{dimension: Mass, symbol: "kg", spelling: []string{"kilogram", "kilograms"}, factor: "1"},
	{dimension: Mass, symbol: "g", spelling: []string{"gram", "grams"}, factor: "1/1000"},
	{dimension: Mass, symbol: "mg", factor: "1/1000000", quiet: true},
	{dimension: Mass, symbol: "lb", spelling: []string{"lbs", "pound", "pounds"}, factor: "0.45359237"},
	{dimension: Mass, symbol: "oz", spelling: []string{"ounce", "ounces"}, factor: "0.028349523125"},

	{dimension: Frequency, symbol: "Hz", spelling: []string{"hz", "HZ"}, factor: "1"},
	{dimension: Frequency, symbol: "kHz", spelling: []string{"khz"}, factor: "1000"},

	{dimension: Power, symbol: "W", spelling: []string{"w", "watt", "watts", "W rms", "W RMS", "Wrms", "watts rms", "watts RMS", "Watts", "Watt", "RMS", "rms"}, factor: "1"},
	{dimension: Power, symbol: "kW", factor: "1000"},

	{dimension: Resistance, symbol: "ohm", spelling: []string{"ohms", "Ohm", "Ohms", "\u03a9"}, factor: "1"},
	{dimension: Resistance, symbol: "mohm", spelling: []string{"mohms", "milliohm", "m\u03a9"}, factor: "1/1000"},
	{dimension: Resistance, symbol: "kohm", spelling: []string{"k\u03a9"}, factor: "1000", quiet: true},

	{dimension: Inductance, symbol: "mH", factor: "1/1000"},
	{dimension: Inductance, symbol: "uH", factor: "1/1000000"},
	{dimension: Inductance, symbol: "H", factor: "1"},

	{dimension: Voltage, symbol: "V", spelling: []string{"v", "volt", "volts"}, factor: "1"},
	{dimension: Voltage, symbol: "mV", factor: "1/1000", quiet: true},

	{dimension: ForceFactor, symbol: "T m", spelling: []string{"Tm", "T-m", "TM", "tesla metre", "tesla meter"}, factor: "1"},
	{dimension: ForceFactor, symbol: "N/A", factor: "1"},

	{dimension: Compliance, symbol: "mm/N", factor: "1/1000"},
	{dimension: Compliance, symbol: "um/N", spelling: []string{"um/n"}, factor: "1/1000000"},
	{dimension: Compliance, symbol: "m/N", factor: "1"},

	{dimension: MechanicalResistance, symbol: "kg/s", factor: "1"},
	{dimension: MechanicalResistance, symbol: "N s/m", spelling: []string{"Ns/m"}, factor: "1"},

	{dimension: Speed, symbol: "m/s", factor: "1"},
	{dimension: Speed, symbol: "ft/s", factor: "0.3048"},
	{dimension: Speed, symbol: "km/h", factor: "10/36", quiet: true},

	{dimension: Pressure, symbol: "kPa", factor: "1000"},
	{dimension: Pressure, symbol: "hPa", spelling: []string{"mbar"}, factor: "100"},
	{dimension: Pressure, symbol: "Pa", factor: "1"},
	{dimension: Pressure, symbol: "bar", factor: "100000", quiet: true},
	{dimension: Pressure, symbol: "atm", factor: "101325", quiet: true},
	// 1 psi = 1 lb x 9.80665 m/s2 / 1 in2, exact.
	{dimension: Pressure, symbol: "psi", factor: "4448.2216152605/0.64516", quiet: true},
	// The conventional inch of mercury, 3386.389 Pa: seven digits as quoted in NIST SP 811, from memory.
	{dimension: Pressure, symbol: "inHg", factor: "3386.389"},

	{dimension: Temperature, symbol: "C", spelling: []string{"deg C", "degC", "celsius", "Celsius"}, factor: "1"},
	{dimension: Temperature, symbol: "F", spelling: []string{"deg F", "degF", "fahrenheit", "Fahrenheit"}, factor: "5/9", before: "-32"},
	{dimension: Temperature, symbol: "K", factor: "1", before: "-273.15"},

	{dimension: Density, symbol: "kg/m3", factor: "1"},
	{dimension: Density, symbol: "g/l", spelling: []string{"g/L"}, factor: "1", quiet: true},
	{dimension: Density, symbol: "g/cm3", spelling: []string{"g/cc", "kg/l", "kg/L"}, factor: "1000"},
	{dimension: Density, symbol: "lb/cu ft", spelling: []string{"lb/ft3"}, factor: "0.45359237/0.028316846592"},

	{dimension: Ratio, symbol: "%", spelling: []string{"percent", "per cent"}, factor: "1/100"},

	{dimension: Angle, symbol: "deg", spelling: []string{"degree", "degrees"}, factor: piOver180},
	{dimension: Angle, symbol: "rad", factor: "1", quiet: true},

	{dimension: Level, symbol: "dB", spelling: []string{"db", "DB"}, factor: "1"},

	{dimension: Time, symbol: "ms", factor: "1/1000"},
	{dimension: Time, symbol: "s", factor: "1"},
}

// piOver180 is pi/180 to 32 significant digits, beyond what a float64 keeps.
const piOver180 = "0.017453292519943295769236907684886"

// A known unit is a measure with its numbers made ready.
type known struct {
	measure
	mul, add *big.Rat
	ratio    ratio // mul again, see quick
}

// table finds a unit by its normalised spelling. A spelling belongs to one dimension only (a test holds that).
var table = buildTable()

func buildTable() map[string]*known {
	t := make(map[string]*known)
	for _, m := range measures {
		k := &known{measure: m, mul: rational(m.factor), add: rational(m.before)}
		k.ratio = ratioOf(k.mul, k.add)
		t[m.symbol] = k
		for _, s := range m.spelling {
			t[s] = k
		}
	}
	return t
}

// rational reads a factor of the table: a decimal, or one decimal over another.
func rational(s string) *big.Rat {
	r := new(big.Rat)
	if s == "" {
		return r
	}
	above, below, isFraction := strings.Cut(s, "/")
	r.SetString(above)
	if d, ok := new(big.Rat).SetString(below); isFraction && ok {
		r.Quo(r, d)
	}
	return r
}

// sameSign maps characters that look or mean alike to the one that the table uses.
var sameSign = strings.NewReplacer(
	"\u2126", "\u03a9", // ohm sign -> Greek capital omega
	"\u00b5", "u", "\u03bc", "u", // micro sign and Greek mu
	"\u00b2", "2", "\u00b3", "3", "^", "",
	"\u2032", "'", "\u2033", `"`, "\u2019", "'", "\u201d", `"`,
	"\u00b0", "deg ", "\u00b7", " ", "*", " ",
)

// normalise brings a unit as written to the form of the table: one space between words, none round a slash, no full
// stops after abbreviations.
func normalise(s string) string {
	if !isASCII(s) || strings.ContainsAny(s, "^*") {
		s = sameSign.Replace(s)
	}
	words := strings.Fields(s)
	for i, w := range words {
		words[i] = strings.TrimSuffix(w, ".")
	}
	s = strings.Join(words, " ")
	return strings.ReplaceAll(strings.ReplaceAll(s, " /", "/"), "/ ", "/")
}
