package thielesmall

import "math"

// CabinGain returns what a closed cabin adds to the free-field level at f Hz, in dB,
//
//	10 log10( (1 + (fc/f)^4) / (1 + (fl/f)^4) ),  fc = c/(2 length)
//
// length is the cabin's inner length in m, leak the frequency fl below which leakage ends the rise (usually 20 Hz; 0
// means no leakage). It is a model, to some 6 dB either way, for the band below a subwoofer's low-pass. It is 0 where
// an argument is not a positive number.
func CabinGain(a Air, length, leak, f float64) float64 {
	if !(length > 0) || !(f > 0) || !(leak >= 0) {
		return 0
	}
	fc := a.SoundSpeed / (2 * length)
	return 10 * math.Log10((1+math.Pow(fc/f, 4))/(1+math.Pow(leak/f, 4)))
}
