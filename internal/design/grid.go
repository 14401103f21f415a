package design

import "math"

// logGrid gives n frequencies from lo to hi, both included, evenly spaced in log frequency.
func logGrid(lo, hi float64, n int) []float64 {
	g := make([]float64, n)
	for i := range g {
		g[i] = lo * math.Pow(hi/lo, float64(i)/float64(n-1))
	}
	g[n-1] = hi
	return g
}

// circleArea is the area of a circle of diameter d.
func circleArea(d float64) float64 { return math.Pi / 4 * d * d }
