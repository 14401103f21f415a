package duct

import (
	"math"
	"testing"
)

// flushEnd is the end correction of a flush round end over its radius.
const flushEnd = 0.8217

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.Abs(got-want) > tol {
		t.Errorf("%s: %g, want %g within %g", what, got, want, tol)
	}
}

// laplace solves the potential flow through cells of unit size between those
// at potential 1 and those at 0, by over-relaxation, and returns the flow.
func laplace(open func(x, y int) bool, source, sink func(x, y int) bool, nx, ny int) float64 {
	v := make([]float64, nx*ny)
	kind := make([]byte, nx*ny) // 0 wall, 1 air, 2 source, 3 sink
	for y := range ny {
		for x := range nx {
			i := y*nx + x
			switch {
			case !open(x, y):
			case source(x, y):
				kind[i], v[i] = 2, 1
			case sink(x, y):
				kind[i] = 3
			default:
				kind[i], v[i] = 1, 0.5
			}
		}
	}
	steps := [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}}
	around := func(x, y int) (sum, n float64) {
		for _, s := range steps {
			u, w := x+s[0], y+s[1]
			if u >= 0 && w >= 0 && u < nx && w < ny && kind[w*nx+u] != 0 {
				sum, n = sum+v[w*nx+u], n+1
			}
		}
		return sum, n
	}
	for range 4000 {
		worst := 0.0
		for y := range ny {
			for x := range nx {
				i := y*nx + x
				if kind[i] != 1 {
					continue
				}
				sum, n := around(x, y)
				d := sum/n - v[i]
				v[i] += 1.93 * d
				worst = math.Max(worst, math.Abs(d))
			}
		}
		if worst < 1e-9 {
			break
		}
	}
	flow := 0.0
	for y := range ny {
		for x := range nx {
			if i := y*nx + x; kind[i] == 2 {
				sum, n := around(x, y)
				flow += n - sum
			}
		}
	}
	return flow
}

// slotLength is the length of a straight slot of n cells' height that passes as
// much as the shape, in cells; the cells at either potential are half inside.
func slotLength(flow float64, n int) float64 { return float64(n) / flow }

// A numerical solution of the flow round a corner gives the exact 0.559 h.
func TestCornerAgainstPotentialFlow(t *testing.T) {
	exact := 1 - 2*math.Ln2/math.Pi
	near(t, "corner square, exact", exact, 0.559, 5e-4)
	near(t, "corner by its turn", TurnCut(1, math.Pi/2), 1-exact, 1e-9)
	near(t, "no turn", TurnCut(1, 1e-6), 0, 1e-6)
	const n, arm = 20, 40 // cells of height; of each arm
	open := func(x, y int) bool { return x < n || y < n }
	flow := laplace(open, func(x, y int) bool { return y == n+arm-1 }, func(x, y int) bool { return x == n+arm-1 }, n+arm, n+arm)
	// from the middle of the last cell of one arm to that of the other
	near(t, "corner square, computed", (slotLength(flow, n)-2*(arm-0.5))/n, exact, 0.01)
}

// The table of folds against the same solution: four of its cells.
func TestFoldAgainstPotentialFlow(t *testing.T) {
	const n, arm = 20, 30
	for _, c := range []struct{ divider, gap int }{{6, 12}, {6, 20}, {12, 15}, {20, 30}} {
		nx := 2*n + c.divider
		ny := arm + c.gap
		open := func(x, y int) bool { return y >= arm || x < n || x >= n+c.divider }
		flow := laplace(open, func(x, y int) bool { return y == 0 && x < n }, func(x, y int) bool { return y == 0 && x >= n }, nx, ny)
		got := (slotLength(flow, n) - 2*(arm-0.5)) / n
		want := float64(n+c.divider+c.gap)/n - FoldCut(1, float64(c.divider)/n, float64(c.gap)/n)
		near(t, "fold", got, want, 0.03)
	}
}

func TestFoldBeyondItsTable(t *testing.T) {
	h := 0.03
	near(t, "between two rows", FoldCut(h, 0.45*h, h), h*(2.3+2.6-1.37-1.70)/2, 1e-12)
	near(t, "thin divider", FoldCut(h, 0, h), FoldCut(h, 0.3*h, h), 1e-15)
	near(t, "thick divider", FoldCut(h, 2*h, h), FoldCut(h, h, h), 1e-15)
	near(t, "wide gap", FoldCut(h, h, 3*h), FoldCut(h, h, 1.5*h), 1e-15)
	// Round a thick divider with a gap as high as the slot a fold is two corners.
	near(t, "two corners", FoldCut(h, h, h)/h, 2*TurnCut(1, math.Pi/2), 0.015)
}

// Factors and cuts as computed beside the formulas.
func TestBendsAndFlares(t *testing.T) {
	for b, factor := range map[float64]float64{1.0 / 3: 0.972, 0.5: 0.933, 2.0 / 3: 0.873, 0.8: 0.800} {
		near(t, "elbow factor", 1-ElbowCut(b, 1, 1), factor, 0.001)
	}
	near(t, "tightest elbow", ElbowCut(2, 1, math.Pi/2), math.Pi/4, 1e-12)
	a := 0.05
	for ratio, cut := range map[float64]float64{0.1: 0.28, 0.25: 0.28, 0.5: 0.35, 0.75: 0.39, 1: 0.43, 2: 0.43} {
		near(t, "flare", FlareCut(ratio*a, a), cut*ratio*a, 1e-12)
	}
	// Flare and end correction together: 1.00, 1.15 and 1.39 a.
	for ratio, sum := range map[float64]float64{0.25: 1.00, 0.5: 1.15, 1: 1.39} {
		near(t, "flared end", ratio+flushEnd-FlareCut(ratio*a, a)/a, sum, 0.02)
	}
	for _, zero := range []float64{TurnCut(-1, 1), TurnCut(1, 0), FoldCut(0, 1, 1), ElbowCut(1, 0, 1), FlareCut(0, 1)} {
		if zero != 0 {
			t.Errorf("a bend that is none takes off %g", zero)
		}
	}
}
