package thielesmall

import (
	"errors"
	"math"
	"testing"
)

// Thiele, Loudspeakers in Vented Boxes, Proc. IRE Australia 22 (1961) 487, alignments 1 to 8, from memory: three
// digits, so 2 % (the C4 rows were read off curves).
func TestAlignThieleTableFromMemory(t *testing.T) {
	for _, row := range []struct {
		family            string
		qts, alpha, h, f3 float64
		tol               float64
		exactQts          float64 // where the row's own Qts is rounded too far for the steep families
		cAlpha, cH, cF3   float64 // computed independently from the row's Qts
	}{
		{"QB3", 0.180, 10.48, 2.000, 2.68, 0.01, 0.180, 10.445, 1.997, 2.679},
		{"QB3", 0.209, 7.48, 1.730, 2.28, 0.01, 0.209, 7.454, 1.730, 2.274},
		{"QB3", 0.259, 4.46, 1.420, 1.77, 0.01, 0.259, 4.456, 1.413, 1.772},
		{"QB3", 0.303, 2.95, 1.230, 1.45, 0.01, 0.303, 2.947, 1.224, 1.448},
		{"B4", 0.383, 1.414, 1.000, 1.000, 0.001, 0.383, 1.4142, 1, 1},
		{"C4", 0.415, 1.055, 0.927, 0.867, 0.01, 0.4148, 1.0547, 0.9282, 0.8671},
		{"C4", 0.466, 0.729, 0.829, 0.729, 0.01, 0.4650, 0.7289, 0.8288, 0.7282},
		{"C4", 0.518, 0.559, 0.757, 0.641, 0.01, 0.518, 0.558, 0.755, 0.641},
	} {
		a, err := Align(row.family, row.qts, 0)
		if err != nil {
			t.Errorf("%s %.3f: %v", row.family, row.qts, err)
			continue
		}
		nearly(t, row.family+" alpha", a.Alpha, row.alpha, row.tol)
		nearly(t, row.family+" fb/fs", a.H, row.h, row.tol)
		nearly(t, row.family+" f3/fs", a.F3, row.f3, row.tol)
		a, err = Align(row.family, row.exactQts, 0)
		if err != nil {
			t.Error(err)
		}
		nearly(t, row.family+" computed alpha", a.Alpha, row.cAlpha, 1e-3)
		nearly(t, row.family+" computed fb/fs", a.H, row.cH, 6e-4)
		nearly(t, row.family+" computed f3/fs", a.F3, row.cF3, 6e-4)
	}
}

// The maximally flat box with losses. QL 5, 10 and 20: lecture notes of DTU course 34870, Electroacoustics (after Leach,
// Introduction to Electroacoustics and Audio Amplifier Design, chapter 8), three digits; none, 7 and 3: computed here from
// 1/QT = 2.61313 - 1/QL and alpha = sqrt(2) - 1/(QL QT), which follow from a1 = a3 = sqrt(4 + 2 sqrt 2), as the exact values of all.
func TestAlignButterworthWithLosses(t *testing.T) {
	for _, row := range []struct {
		ql, qts, alpha, published, tol float64
	}{
		{math.Inf(1), 0.382683, 1.414214, 0.3827, 5e-5},
		{20, 0.390149, 1.286057, 0.390, 5e-4},
		{10, 0.397911, 1.162901, 0.397, 1e-3},
		{7, 0.404814, 1.061318, 0.4048, 5e-5},
		{5, 0.414400, 0.931588, 0.414, 5e-4},
		{3, 0.438636, 0.654283, 0.438636, 1e-6},
	} {
		a, err := Align("B4", row.qts, row.ql)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "Qts", a.Qts, row.qts, 1e-6)
		near(t, "alpha", a.Alpha, row.alpha, 1e-6)
		near(t, "published Qts", a.Qts, row.published, row.tol)
		near(t, "fb/fs", a.H, 1, 1e-12)
		near(t, "f3/fs", a.F3, 1, 1e-9)
	}
}

// Single rows with losses, of families that are computed here or published; tolerance one unit of the last digit.
func TestAlignPublishedRows(t *testing.T) {
	for _, row := range []struct {
		source, family                string
		ql, qts, alpha, h, f3, ripple float64
		tolA, tolH, tolF              float64
	}{
		{"computed here from the polynomial s^4 + 10 s^3 + 45 s^2 + 105 s + 105", "Bessel", 7, 0.3312, 1.9076, 0.97354, 1.4941, 0, 1e-4, 1e-5, 1e-4},
		{"Dickason, The Loudspeaker Design Cookbook, vented-box tables, as quoted by others", "sub-Chebyshev", 7, 0.40, 1.1146, 1.0103, 1.0215, 0, 1e-4, 1e-4, 1e-4},
		{"computed here from Chebyshev poles", "C4", 7, 0.60, 0.2749, 0.6805, 0.5884, 0.461, 1e-4, 1e-4, 1e-4},
		{"lecture notes of DTU course 34870, Electroacoustics", "C4", 5, 0.47, 0.536, 0.876, 0.809, 0, 2e-3, 1e-3, 2e-3},
	} {
		a, err := Align(row.family, row.qts, row.ql)
		if err != nil {
			t.Errorf("%s: %v", row.source, err)
			continue
		}
		near(t, row.source+" Qts", a.Qts, row.qts, 1e-4)
		near(t, row.source+" alpha", a.Alpha, row.alpha, row.tolA)
		near(t, row.source+" fb/fs", a.H, row.h, row.tolH)
		near(t, row.source+" f3/fs", a.F3, row.f3, row.tolF)
		if row.ripple > 0 {
			near(t, row.source+" ripple", a.Ripple, row.ripple, 5e-3)
		}
	}
}

// A grid computed independently from the system polynomial (not published), alpha, fb/fs, f3/fs for QL none, 10, 7, 5.
func TestAlignComputedGrid(t *testing.T) {
	losses := [4]float64{0, 10, 7, 5}
	for _, row := range []struct {
		family string
		qts    float64
		want   [4][3]float64
		ripple float64
	}{
		{"QB3", 0.20, [4][3]float64{{8.2448, 1.8042, 2.3879}, {7.9232, 1.8960, 2.4845}, {7.7775, 1.9393, 2.5289}, {7.5746, 2.0014, 2.5914}}, 0},
		{"QB3", 0.25, [4][3]float64{{4.8667, 1.4606, 1.8494}, {4.6706, 1.5301, 1.9299}, {4.5822, 1.5629, 1.9667}, {4.4594, 1.6101, 2.0180}}, 0},
		{"QB3", 0.30, [4][3]float64{{3.0293, 1.2354, 1.4679}, {2.9022, 1.2890, 1.5406}, {2.8452, 1.3145, 1.5732}, {2.7663, 1.3512, 1.6183}}, 0},
		{"QB3", 0.35, [4][3]float64{{1.9188, 1.0784, 1.1679}, {1.8342, 1.1197, 1.2390}, {1.7964, 1.1395, 1.2702}, {1.7444, 1.1681, 1.3129}}, 0},
		{"C4", 0.42, [4][3]float64{{1.0093, 0.9167, 0.8491}, {0.9381, 0.9507, 0.9092}, {0.9113, 0.9662, 0.9373}, {0.8785, 0.9877, 0.9768}}, 0.005},
		{"C4", 0.45, [4][3]float64{{0.8033, 0.8554, 0.7623}, {0.7187, 0.8848, 0.8114}, {0.6868, 0.8992, 0.8348}, {0.6480, 0.9200, 0.8684}}, 0.036},
		{"C4", 0.50, [4][3]float64{{0.6036, 0.7769, 0.6659}, {0.5029, 0.7937, 0.6991}, {0.4642, 0.8031, 0.7155}, {0.4166, 0.8178, 0.7395}}, 0.190},
		{"C4", 0.55, [4][3]float64{{0.4966, 0.7237, 0.6065}, {0.3877, 0.7282, 0.6282}, {0.3453, 0.7321, 0.6393}, {0.2927, 0.7394, 0.6558}}, 0.464},
	} {
		for i, ql := range losses {
			a, err := Align(row.family, row.qts, ql)
			if err != nil {
				t.Errorf("%s %.2f QL %g: %v", row.family, row.qts, ql, err)
				continue
			}
			near(t, row.family+" alpha", a.Alpha, row.want[i][0], 6e-5)
			near(t, row.family+" fb/fs", a.H, row.want[i][1], 6e-5)
			near(t, row.family+" f3/fs", a.F3, row.want[i][2], 6e-5)
			if i == 0 {
				near(t, row.family+" ripple", a.Ripple, row.ripple, 6e-4)
			}
		}
	}
}

// The polynomial's own power response shows the ripple and the corner that an
// alignment claims, for every family along its range.
func TestAlignClaimsHoldOnThePolynomial(t *testing.T) {
	for _, f := range families {
		for _, ql := range []float64{0, 20, 7, 4} {
			leak, _ := leakage(ql)
			low, high, ok := f.span(ql, leak)
			if !ok {
				t.Errorf("%s has no member at QL %g", f.name, ql)
				continue
			}
			for i := 0; i <= 8; i++ {
				p := low
				if low > 0 {
					p = low * math.Pow(high/low, float64(i)/8)
				}
				a, ok := f.at(p, ql, leak)
				if !ok && i > 0 && i < 8 {
					t.Errorf("%s broken inside its range at %g", f.name, p)
				}
				if ok {
					checkClaims(t, f.shape(p), a)
				}
			}
		}
	}
}

func checkClaims(t *testing.T, g quartic, a Alignment) {
	t.Helper()
	level := func(w float64) float64 {
		re, im := w*w*w*w-g.a2*w*w+1, -g.a1*w*w*w+g.a3*w
		return 20 * math.Log10(w*w*w*w/math.Hypot(re, im))
	}
	near(t, a.Family+" level at f3", level(a.F3/math.Sqrt(a.H)), -3.0103, 1e-4)
	peak := 0.0
	for x := -3.0; x < 5; x += 0.001 {
		peak = math.Max(peak, level(math.Exp(x)))
	}
	near(t, a.Family+" ripple", peak, a.Ripple, 1e-4)
	// the driver and box give the polynomial back
	leak, _ := leakage(a.QL)
	r := math.Sqrt(a.H)
	near(t, a.Family+" a1", 1/(a.Qts*r)+r*leak, g.a1, 1e-9*g.a1)
	near(t, a.Family+" a2", (a.Alpha+1)/a.H+a.H+leak/a.Qts, g.a2, 1e-9*g.a2)
	near(t, a.Family+" a3", r/a.Qts+leak/r, g.a3, 1e-9*g.a3)
}

func TestAlignOutsideRangeStatesIt(t *testing.T) {
	for _, row := range []struct {
		family  string
		qts, ql float64
	}{{"B4", 0.5, 7}, {"Bessel", 0.5, 7}, {"QB3", 0.5, 7}, {"C4", 0.3, 7}, {"C4", 3, 7}, {"sub-Chebyshev", 0.1, 7}, {"equal pole pairs", 2, 0}, {"C4", 0.4, -1}, {"B4", math.NaN(), 7}, {"B4", 0.4, 0.3}, {"C4", 0.4, math.NaN()}} {
		_, err := Align(row.family, row.qts, row.ql)
		var r *RangeError
		if !errors.As(err, &r) {
			t.Errorf("Align(%s, %g, %g) error %v, want a RangeError", row.family, row.qts, row.ql, err)
		}
	}
	if _, err := Align("QB4", 0.3, 7); err == nil {
		t.Error("an unknown family passes")
	}
	if n := len(Alignments(5, 7)); n != 0 {
		t.Errorf("a driver of Qts 5 has %d alignments", n)
	}
	if n := len(Alignments(0.3312, 7)); n < 3 {
		t.Errorf("a driver of Qts 0.33 has %d alignments, want at least 3", n)
	}
}

// A box too leaky for a family says from which QL on it has members. For B4, alpha = sqrt 2 - (a - 1/QL)/QL with a =
// sqrt(4 + 2 sqrt 2) ends where 1/QL = (a - sqrt(a^2 - 4 sqrt 2))/2.
func TestAlignTooLeaky(t *testing.T) {
	var r *RangeError
	if _, err := Align("B4", 0.4, 1.05); !errors.As(err, &r) || r.Quantity != "ql" {
		t.Fatal(err)
	}
	a := math.Sqrt(4 + 2*math.Sqrt2)
	near(t, "lowest QL of B4", r.Low, 2/(a-math.Sqrt(a*a-4*math.Sqrt2)), 1e-6)
	if _, err := Align("C4", 1, 1.05); !errors.As(err, &r) || r.Quantity != "ql" {
		t.Error(err)
	}
	if _, _, ok := families[2].span(r.Low*1.001, 1/(r.Low*1.001)); !ok {
		t.Errorf("C4 has no member just above QL %g", r.Low)
	}
}
