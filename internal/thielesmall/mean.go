package thielesmall

import "math"

// MeanMaxLevel returns the mean over log frequency of the maximum level from low to high Hz, both ends counted, dB re
// 20 uPa at 1 m in half space, see [Circuit.MaxLevel]. The trapezoid at 96 points an octave is within 0.001 dB also
// where the limit changes. It is the level itself where high is not above low.
func (c *Circuit) MeanMaxLevel(low, high float64, l Limits) float64 {
	if !(high > low) {
		level, _ := c.MaxLevel(low, l)
		return level
	}
	a, b := math.Log(low), math.Log(high)
	n := int(math.Ceil((b - a) / (math.Ln2 / 96)))
	sum := 0.0
	for i := 0; i <= n; i++ {
		level, _ := c.MaxLevel(math.Exp(a+(b-a)*float64(i)/float64(n)), l)
		if i == 0 || i == n {
			level /= 2
		}
		sum += level
	}
	return sum / float64(n)
}

// Band is the pass band of a band-pass box.
type Band struct {
	Level     float64 // dB over the reference at the tuning of the front chamber
	Low, High float64 // Hz, where the level is 3.0103 dB below that; NaN: not found from 1 Hz to the tuning's square
}

// Band returns the pass band about the tuning, without filters.
func (c *Circuit) Band() Band {
	bare := c.Without()
	r := bare.shape()
	fb := math.Log(bare.corner)
	top := sample{fb, r(fb)}
	b := Band{Level: top.y, Low: math.NaN(), High: math.NaN()}
	if at, ok := r.fall(top, top.y-corners[0]); ok {
		b.Low = math.Exp(at.x)
	}
	mirrored := response(func(x float64) float64 { return r(2*fb - x) })
	if at, ok := mirrored.fall(top, top.y-corners[0]); ok {
		b.High = math.Exp(2*fb - at.x)
	}
	return b
}
