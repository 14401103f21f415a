package thielesmall

import "math"

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
