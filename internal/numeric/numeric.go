// Package numeric has the one numerical method that several packages need and no library at hand gives as plainly.
package numeric

// Bisect halves the stretch between a, where the condition holds, and b, where it does not, so many times, and returns the last
// place that was found to hold it. a may be above b. With n halvings it is within |b-a|/2^n of the border.
func Bisect(a, b float64, n int, holds func(x float64) bool) float64 {
	for range n {
		if mid := (a + b) / 2; holds(mid) {
			a = mid
		} else {
			b = mid
		}
	}
	return a
}
