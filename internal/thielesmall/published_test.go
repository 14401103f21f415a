package thielesmall

import (
	"math"
	"testing"
)

// near reports a value that is off by more than tol (absolute).
func near(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.7g, want %.7g within %.2g", name, got, want, tol)
	}
}

// nearly reports a value that is off by more than tol (relative).
func nearly(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	near(t, name, got, want, tol*math.Abs(want))
}
