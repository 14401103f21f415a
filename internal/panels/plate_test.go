package panels

import (
	"math"
	"testing"
)

// Simply supported rectangular plates: lambda^2 = pi^2 (1 + (a/b)^2) in f = lambda^2/(2 pi a^2) sqrt(D/(rho h)). Leissa, "The
// free vibration of rectangular plates", J. Sound Vib. 31 (1973) 257: equation and definitions; the figures follow from them.
func TestPlateResonanceAgainstTable(t *testing.T) {
	for _, row := range []struct{ ratio, lambda2 float64 }{
		{0.4, 11.449}, {0.5, 12.337}, {2.0 / 3, 14.256}, {0.75, 15.421}, {1, 19.739}, {1.25, 25.291}, {1.5, 32.076}, {2, 49.348}, {2.5, 71.555},
	} {
		const a, h, e, rho = 0.4, 0.018, 3e9, 750
		d := e * h * h * h / (12 * (1 - 0.3*0.3))
		want := row.lambda2 / (2 * math.Pi * a * a) * math.Sqrt(d/(rho*h))
		if got := PlateResonance(a, a/row.ratio, h, e, rho); math.Abs(got/want-1) > 5e-5 { // lambda^2 is stated to five figures
			t.Errorf("a/b %.3f: got %.3f Hz, want %.3f", row.ratio, got, want)
		}
	}
}

// Panels worked out from the same equation, to the printed hertz; the square agrees with w = 5.70 sqrt(E t^2/(rho a^4(1-nu^2)))
// of the shock and vibration handbook's table, as quoted on an engineering page.
func TestPlateResonanceOfPanels(t *testing.T) {
	for _, row := range []struct {
		a, b, h, e, rho, want, tol float64
	}{
		{0.4, 0.5, 0.019, 3e9, 750, 185.1, 0.06},
		{0.3, 0.4, 0.012, 2.5e9, 750, 181, 0.6},
		{0.3, 0.4, 0.015, 2.5e9, 750, 226, 0.6},
		{0.3, 0.4, 0.018, 2.5e9, 750, 271, 0.6},
		{0.3, 0.4, 0.012, 4e9, 750, 229, 0.6},
		{0.3, 0.4, 0.015, 4e9, 750, 286, 0.6},
		{0.3, 0.4, 0.018, 4e9, 750, 343, 0.6},
		{0.3, 0.4, 0.012, 8.75e9, 680, 355, 0.6},
		{0.3, 0.4, 0.015, 8.75e9, 680, 444, 0.6},
		{0.3, 0.4, 0.018, 8.75e9, 680, 533, 0.6},
		{0.35, 0.35, 0.018, 2.5e9, 750, 5.70 / (2 * math.Pi) * math.Sqrt(2.5e9*0.018*0.018/(750*math.Pow(0.35, 4)*(1-0.09))), 0.1}, // 5.70 is stated to three figures
	} {
		if got := PlateResonance(row.a, row.b, row.h, row.e, row.rho); math.Abs(got-row.want) > row.tol {
			t.Errorf("%g x %g x %g, E %g: got %.2f Hz, want %.1f", row.a, row.b, row.h, row.e, got, row.want)
		}
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if got := PlateResonance(bad, 0.4, 0.018, 3e9, 750); got != 0 {
			t.Errorf("side %g: got %g, want 0", bad, got)
		}
	}
}
