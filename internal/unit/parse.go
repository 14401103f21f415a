package unit

import (
	"fmt"
	"math"
	"math/big"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"cubby/internal/word"
)

// longest is the length of the longest text, in bytes, that Parse looks at. The longest sensible quantity
// (`11' 10-63/64 inches`) has about twenty; the limit keeps hostile input cheap.
const longest = 80

// largestExponent bounds a written exponent. No quantity of this program, in any of its units, is beyond 1e30; the
// bound keeps the exact arithmetic small.
const largestExponent = 60

// Error says why a text is not the quantity that was wanted.
type Error struct {
	Value     string    // as written
	Dimension Dimension // as wanted
	Want      string    // what is wrong and what would be right
}

// Error gives the value as written and what would be right.
func (e *Error) Error() string { return e.Value + ": " + e.Want }

// number is a whole number with a fraction ("14-3/8", "14 3/8"), a fraction, or a decimal, perhaps with an exponent.
var number = regexp.MustCompile(`^(?:(\d+)(?:-| +)(\d+)/(\d+)|(\d+)/(\d+)|((?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d+)?))`)

// feetAndInches parts `5' 2-1/2"` and "5 ft 2 in" after the feet.
var feetAndInches = regexp.MustCompile(`^(\d+) *(?:'|ft\.?|feet|foot) *-? *([\d.].*)$`)

// vulgar maps the fraction characters to a spaced fraction; "14½" reads 14 1/2.
var vulgar = strings.NewReplacer("½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
	"⁄", "/", "−", "-", "–", "-", "\u2011", "-", "\u00a0", " ", "\u2009", " ", "\u202f", " ")

// Parse reads a quantity of dimension d and returns it in SI (see Dimension). A bare length is in millimetres or inches
// by sys; a bare Number or Ratio is as it stands; a bare number of a dimension that has one customary unit (Hz, ohm, W,
// T m, degrees, dB, V) is in that unit; every other dimension needs its unit. The result is finite, and is the
// float64 nearest to what was written. Errors are *Error.
func Parse(s string, d Dimension, sys System) (float64, error) {
	if x, ok := quick(s, d, sys); ok && len(s) <= longest {
		return x, nil
	}
	return parse(s, d, sys)
}

// parse is Parse with exact arithmetic.
func parse(s string, d Dimension, sys System) (float64, error) {
	fail := func(format string, args ...any) (float64, error) {
		return 0, &Error{Value: s, Dimension: d, Want: fmt.Sprintf(format, args...)}
	}
	if len(s) > longest {
		return 0, &Error{Value: s[:longest] + "...", Dimension: d, Want: "too long for " + d.String()}
	}
	text := s
	if !isASCII(s) {
		text = vulgar.Replace(s)
	}
	text = strings.TrimSpace(text)
	if text == "" {
		return fail("want %s", wanted(d))
	}
	negative := false
	if text[0] == '-' || text[0] == '+' {
		negative = text[0] == '-'
		text = strings.TrimSpace(text[1:])
	}
	value, rest, why := readNumber(text)
	if why != "" {
		return fail("%s", why)
	}
	if first, _ := utf8.DecodeRuneInString(text); value == nil && unicode.Is(unicode.Sc, first) {
		return fail("want %s, without the sign of a currency", wanted(d))
	}
	if value == nil {
		return fail("want %s", wanted(d))
	}
	if d == Length {
		v, why := readFeet(text)
		if why != "" {
			return fail("%s", why)
		}
		if v != nil {
			value, rest = v, `in`
		}
	}
	k, why := findUnit(rest, d, sys)
	if why != "" {
		return fail("%s", why)
	}
	if negative {
		value.Neg(value)
	}
	value.Add(value, k.add)
	value.Mul(value, k.mul)
	x, _ := value.Float64()
	if math.IsInf(x, 0) {
		return fail("too large")
	}
	if d == Temperature && value.Cmp(absoluteZero) < 0 {
		return fail("below absolute zero, -273.15 C: is the sign right?")
	}
	return x, nil
}

// isASCII reports whether s can do without the replacement of look-alike characters, which is slow.
func isASCII(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
}

// absoluteZero is 0 K in degrees Celsius.
var absoluteZero = big.NewRat(-27315, 100)

// plain is the unit of a bare number.
var plain = &known{mul: big.NewRat(1, 1), add: new(big.Rat), ratio: ratio{1, 1}}

// readNumber reads the unsigned number at the start of text. A nil number without a reason means that there is none.
func readNumber(text string) (v *big.Rat, rest, why string) {
	m := number.FindStringSubmatch(text)
	if m == nil {
		return nil, "", ""
	}
	rest = text[len(m[0]):]
	if strings.HasPrefix(rest, ",") {
		return nil, "", commaAdvice(m[0], rest)
	}
	switch {
	case m[3] != "":
		v, why = fraction(m[1], m[2], m[3])
	case m[5] != "":
		v, why = fraction("", m[4], m[5])
	default:
		v, why = decimal(m[6])
	}
	if why == "" && rest != "" && strings.ContainsRune("0123456789./_:", rune(rest[0])) {
		return nil, "", "not a number; write 14.375 or 14-3/8"
	}
	return v, rest, why
}

// commaAdvice tells how to write a number in which a comma stands.
func commaAdvice(before, rest string) string {
	digits := rest[1:]
	n := 0
	for n < len(digits) && digits[n] >= '0' && digits[n] <= '9' {
		n++
	}
	if n == 3 {
		return fmt.Sprintf("no commas in numbers: write %s%s, or %s.%s with a decimal point", before, digits[:n], before, digits[:n])
	}
	if n > 0 {
		return fmt.Sprintf("use a point: %s.%s", before, digits[:n])
	}
	return "use a point, not a comma"
}

// fraction is whole + above/below; whole may be empty.
func fraction(whole, above, below string) (*big.Rat, string) {
	v, ok := new(big.Rat).SetString(above + "/" + below)
	if !ok {
		return nil, "the fraction has a zero under its stroke"
	}
	if whole == "" {
		return v, ""
	}
	if v.Cmp(big.NewRat(1, 1)) >= 0 {
		return nil, fmt.Sprintf("the fraction %s/%s after a whole number must be less than one", above, below)
	}
	w, _ := new(big.Rat).SetString(whole)
	return v.Add(v, w), ""
}

// decimal is a decimal with an optional exponent of a sensible size.
func decimal(s string) (*big.Rat, string) {
	if i := strings.IndexAny(s, "eE"); i >= 0 {
		e, err := strconv.Atoi(s[i+1:])
		if err != nil || e > largestExponent || e < -largestExponent {
			return nil, "outside the range of any measurement"
		}
	}
	v, ok := new(big.Rat).SetString(s)
	if !ok {
		return nil, "not a number"
	}
	return v, ""
}

// readFeet reads feet and inches as inches: 5' 2-1/2" is 62.5. Nil without a reason is something else.
func readFeet(text string) (v *big.Rat, why string) {
	if isASCII(text) && !strings.ContainsAny(text, "'f") { // neither ' nor ft, foot, feet
		return nil, ""
	}
	m := feetAndInches.FindStringSubmatch(sameSign.Replace(text))
	if m == nil {
		return nil, ""
	}
	inches, rest, why := readNumber(m[2])
	if why != "" || inches == nil {
		return nil, why
	}
	feet, ok := new(big.Rat).SetString(m[1])
	k := table[normalise(rest)]
	switch {
	case !ok || k != nil && k.symbol != "in":
		return nil, ""
	case k == nil && strings.TrimSpace(rest) == "":
		return nil, fmt.Sprintf("inches after feet need their sign: %s' %s\"", m[1], strings.TrimSpace(m[2]))
	case k == nil:
		return nil, ""
	}
	all := feet.Add(feet.Mul(feet, inchesPerFoot), inches)
	if inches.Cmp(inchesPerFoot) >= 0 {
		return nil, fmt.Sprintf("inches after feet must be below 12: write %s\" if that is meant", mixed(all))
	}
	return all, ""
}

var inchesPerFoot = big.NewRat(12, 1)

// mixed writes a number as people do: 50, 50-1/2.
func mixed(v *big.Rat) string {
	whole, rest := new(big.Int).QuoRem(v.Num(), v.Denom(), new(big.Int))
	if rest.Sign() == 0 {
		return whole.String()
	}
	return fmt.Sprintf("%s-%s/%s", whole, rest, v.Denom())
}

// findUnit finds the unit written after a number, or says why it will not do.
func findUnit(written string, d Dimension, sys System) (*known, string) {
	name := normalise(written)
	if name == "" {
		switch d {
		case Length:
			return table[sys.String()], ""
		case Number, Ratio:
			return plain, ""
		}
		if k := table[customary[d]]; k != nil {
			return k, ""
		}
		return nil, fmt.Sprintf("needs its unit: %s", offered(d))
	}
	k := table[name]
	switch {
	case k != nil && k.dimension == d:
		return k, ""
	case d == Number:
		return nil, "want a plain number without a unit"
	case k != nil:
		return nil, fmt.Sprintf("%s is %s; want %s", k.symbol, k.dimension, wanted(d))
	}
	if near := word.Nearest(name, spellings(d)); near != "" {
		return nil, fmt.Sprintf("unknown unit %q, did you mean %s? want %s", strings.TrimSpace(written), near, wanted(d))
	}
	return nil, fmt.Sprintf("unknown unit %q; want %s", strings.TrimSpace(written), wanted(d))
}

// customary is the unit of a bare number, for dimensions of which every maker's sheet writes the same one (common
// practice). Where two are common, litres and cubic feet or grams and ounces, a number alone says nothing.
var customary = map[Dimension]string{
	Frequency: "Hz", Resistance: "ohm", Power: "W", ForceFactor: "T m", Angle: "deg", Level: "dB", Voltage: "V",
}

// Of is the dimension of a unit as people write it; ok is false for what is no unit.
func Of(symbol string) (d Dimension, ok bool) {
	if len(symbol) > longest {
		return 0, false
	}
	k := table[normalise(symbol)]
	if k == nil {
		return 0, false
	}
	return k.dimension, true
}

// wanted is "a length in mm, cm, m, in or ft".
func wanted(d Dimension) string {
	switch d {
	case Number:
		return "a plain number"
	case Ratio:
		return "a ratio such as 50 % or 0.5"
	}
	return d.String() + " in " + offered(d)
}

// offered lists the units of a dimension in words.
func offered(d Dimension) string {
	var names []string
	for _, m := range measures {
		if m.dimension == d && !m.quiet {
			names = append(names, m.symbol)
		}
	}
	return word.Either(names)
}

// spellings lists every accepted spelling of a dimension's units, in the order of the table.
func spellings(d Dimension) []string {
	var s []string
	for _, m := range measures {
		if m.dimension == d {
			s = append(append(s, m.symbol), m.spelling...)
		}
	}
	return s
}
