package thielesmall

import "math"

// SealedVolume returns the net volume, m3, that gives the driver the total quality factor qtc in a sealed box with
// neither filling nor leak, rg ohm of source and leads included,
//
//	V = Vas / ((qtc/Qts')^2 - 1)
//
// Small, Closed-Box Loudspeaker Systems Part I, J. Audio Eng. Soc. 20 (1972) 798 (from memory). A qtc that is not above
// Qts', which no finite box reaches, is a [RangeError].
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
