package thielesmall

import "math"

// SealedVolume returns the net volume, m3, that gives the driver the total
// quality factor qtc in a sealed box with neither filling nor leak, rg ohm of
// source and leads included,
//
//	V = Vas / ((qtc/Qts')^2 - 1)
//
// Small, Closed-Box Loudspeaker Systems Part I, J. Audio Eng. Soc. 20 (1972)
// 798 (from memory). A qtc that is not above Qts', which no finite box
// reaches, is a [RangeError].
func SealedVolume(d Driver, a Air, rg, qtc float64) (float64, error) {
	if err := d.check(); err != nil {
		return 0, err
	}
	if err := a.check(); err != nil {
		return 0, err
	}
	if err := notNegative("source resistance", rg, "ohm"); err != nil {
		return 0, err
	}
	qts := d.QtsWith(rg)
	if !(qtc > qts) || math.IsInf(qtc, 1) {
		return 0, &RangeError{Quantity: "qtc", Value: qtc, Low: qts, High: math.Inf(1),
			Because: "a box can only raise the driver's own Qts"}
	}
	return d.Vas(a) / ((qtc/qts)*(qtc/qts) - 1), nil
}

// SealedCorner returns f3/fc of a sealed box,
//
//	f3/fc = sqrt(x + sqrt(x^2 + 1)),  x = 1/(2 qtc^2) - 1
//
// the closed form without inductance, to seed and to check against. qtc must
// be greater than 0.
func SealedCorner(qtc float64) float64 {
	x := 1/(2*qtc*qtc) - 1
	return math.Sqrt(x + math.Sqrt(x*x+1))
}

// LowestCornerQtc returns the Qtc with the lowest f3 that a driver can have in
// a sealed box with mechanical quality factor qmc, 2 to 5; outside, the value
// at the end of that range,
//
//	0.1994 + 0.2822 Qmc - 0.06219 Qmc^2 + 0.0048 Qmc^3
//
// Leach, What Value of QTC Minimizes the Lower Cutoff Frequency of a
// Closed-Box Loudspeaker System? (as quoted).
func LowestCornerQtc(qmc float64) float64 {
	q := math.Min(math.Max(qmc, 2), 5)
	return 0.1994 + 0.2822*q - 0.06219*q*q + 0.0048*q*q*q
}
