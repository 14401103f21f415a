package search

import (
	"math"

	"cubby/internal/thielesmall"
)

// meanMaxLevel is the mean over log frequency of a circuit's maximum level from low to high Hz, both ends counted, dB: the
// trapezoid at 96 points an octave is within 0.001 dB also where the limit changes.
func meanMaxLevel(c *thielesmall.Circuit, low, high float64, l thielesmall.Limits) float64 {
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
