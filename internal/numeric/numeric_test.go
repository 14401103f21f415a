package numeric

import (
	"math"
	"testing"
)

func TestBisect(t *testing.T) {
	below := func(x float64) bool { return x*x < 2 }
	if got := Bisect(0, 2, 60, below); math.Abs(got-math.Sqrt2) > 1e-15 || got*got > 2 {
		t.Errorf("square root of 2 from below: %v", got)
	}
	if got := Bisect(2, 0, 60, func(x float64) bool { return !below(x) }); math.Abs(got-math.Sqrt2) > 1e-15 || got*got < 2 {
		t.Errorf("square root of 2 from above: %v", got)
	}
	if got := Bisect(0, 8, 3, func(x float64) bool { return x <= 5 }); got != 5 {
		t.Errorf("three halvings of 0 to 8 by x <= 5: %v, want 5", got)
	}
}
