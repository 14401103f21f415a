package unit

import (
	"math/big"
	"strings"
)

// exactWhole bounds the whole numbers that a float64 keeps exactly, 2^53.
const exactWhole = 1 << 53

// A ratio is a unit's factor as one whole number over another, both below exactWhole; 0 over 0 where it is none, or
// where the unit adds something.
type ratio struct{ above, below float64 }

func ratioOf(mul, add *big.Rat) ratio {
	if add.Sign() != 0 || mul.Num().CmpAbs(big.NewInt(exactWhole)) >= 0 || mul.Denom().CmpAbs(big.NewInt(exactWhole)) >= 0 {
		return ratio{}
	}
	above, _ := new(big.Float).SetInt(mul.Num()).Float64()
	below, _ := new(big.Float).SetInt(mul.Denom()).Float64()
	return ratio{above, below}
}

// quick reads the ordinary quantity, a plain decimal and a unit, as Parse does but without its exact arithmetic: as
// long as both stay below exactWhole, the digits times the factor's numerator and the power of ten times its
// denominator are exact, and their quotient is rounded once. ok is false for everything else, right or wrong.
func quick(text string, d Dimension, sys System) (x float64, ok bool) {
	text, negative := strings.CutPrefix(strings.TrimSpace(text), "-")
	digits, scale, i, point := 0.0, 1.0, 0, -1
	for ; i < len(text) && digits < exactWhole; i++ {
		c := text[i]
		if c == '.' && point < 0 && i > 0 {
			point = i
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		digits = 10*digits + float64(c-'0')
		if point >= 0 {
			scale *= 10
		}
	}
	if i == 0 || point == i-1 {
		return 0, false
	}
	written := strings.TrimLeft(text[i:], " ")
	if written != "" && (!isLetter(written[0]) || strings.IndexByte("eEf", written[0]) >= 0) { // an exponent, feet
		return 0, false
	}
	k, why := findUnit(written, d, sys)
	if why != "" || k.ratio.below == 0 || d == Temperature { // which has an end
		return 0, false
	}
	above, below := digits*k.ratio.above, scale*k.ratio.below
	if above >= exactWhole || below >= exactWhole {
		return 0, false
	}
	if x = above / below; negative && x != 0 {
		x = -x
	}
	return x, true
}

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
