package impedance

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// A Value is a quantity with its standard uncertainty, both in the quantity's unit. Sigma 0: given, not found.
type Value struct{ Value, Sigma float64 }

// share returns the uncertainty as a share of the value.
func (v Value) share() float64 { return v.Sigma / v.Value }

// squares is a least-squares problem: residuals fills rows numbers from the unknowns x.
type squares struct {
	rows      int
	residuals func(y, x []float64)
}

// A solution is where a sum of squares is least.
type solution struct {
	x    []float64
	sum  float64   // of squares
	free int       // rows less unknowns
	root mat.Dense // Jacobian
	ok   bool      // the optimiser came to rest
}

// Limits of the optimiser.
const (
	fdStep      = 6e-6  // of a logarithm: the cube root of the rounding of float64, best for central differences
	mostSteps   = 60    // a fit from a fair start takes ten
	restShare   = 1e-6  // what a further full step would still gain, as a share of the sum
	restNothing = 1e-16 // the same when the sum itself is nothing: data without noise
	hopeless    = 1e6   // a residual in place of one that is no number
)

// solve minimises half the sum of squares from x0 with gonum's modified Newton method, the Hessian taken as J^T J
// (Gauss and Newton): Nocedal, Wright, Numerical Optimization, 2nd ed. 2006, sections 3.4 and 10.3 (from memory).
func (p squares) solve(x0 []float64) solution {
	n := len(x0)
	y := make([]float64, p.rows)
	clean := func(y, x []float64) {
		p.residuals(y, x)
		for i, v := range y {
			if math.IsNaN(v) || math.Abs(v) > hopeless {
				y[i] = hopeless
			}
		}
	}
	j, at := mat.NewDense(p.rows, n, nil), make([]float64, 0, n) // the Jacobian, and where it holds
	jacobian := func(x []float64) *mat.Dense {
		if !slices.Equal(at, x) {
			fd.Jacobian(j, clean, x, &fd.JacobianSettings{Formula: fd.Central, Step: fdStep})
			at = append(at[:0], x...)
		}
		return j
	}
	half := func(x []float64) float64 {
		clean(y, x)
		return floats.Dot(y, y) / 2
	}
	problem := optimize.Problem{
		Func: half,
		Grad: func(grad, x []float64) {
			clean(y, x)
			mat.NewVecDense(n, grad).MulVec(jacobian(x).T(), mat.NewVecDense(p.rows, y))
		},
		Hess: func(h *mat.SymDense, x []float64) { h.SymOuterK(1, jacobian(x).T()) },
	}
	settings := &optimize.Settings{
		MajorIterations: mostSteps,
		Converger:       &optimize.FunctionConverge{Absolute: restNothing / 10, Relative: restShare / 1000, Iterations: 3},
	}
	s := solution{x: append([]float64(nil), x0...), free: p.rows - n}
	// An error here is a line search at the limit of rounding, or a model that
	// cannot be: whether the result is at rest is decided below.
	r, _ := optimize.Minimize(problem, x0, settings, &optimize.Newton{Linesearcher: &optimize.Backtracking{}})
	if r != nil && !floats.HasNaN(r.X) {
		s.x = r.X
	}
	s.sum = 2 * half(s.x)
	s.root = *jacobian(s.x)
	s.ok = s.atRest(y)
	return s
}

// atRest reports whether the step that Gauss and Newton would take next gains
// nothing that matters. y are the residuals at the solution.
func (s *solution) atRest(y []float64) bool {
	var qr mat.QR
	qr.Factorize(&s.root)
	var step, fit mat.VecDense
	if err := qr.SolveVecTo(&step, false, mat.NewVecDense(len(y), append([]float64(nil), y...))); err != nil {
		return false
	}
	fit.MulVec(&s.root, &step)
	gain := mat.Dot(&fit, &fit)
	return gain <= restShare*s.sum+restNothing
}

// covariance returns that of the unknowns for residuals of the given variance.
// ok is false when the data leave an unknown open.
func (s *solution) covariance(variance float64) (c *mat.SymDense, ok bool) {
	n := len(s.x)
	normal := mat.NewSymDense(n, nil)
	normal.SymOuterK(1, s.root.T())
	var chol mat.Cholesky
	if !chol.Factorize(normal) {
		return nil, false
	}
	c = mat.NewSymDense(n, nil)
	if err := chol.InverseTo(c); err != nil {
		return nil, false
	}
	c.ScaleSym(variance, c)
	return c, true
}

// variance estimates that of one residual.
func (s *solution) variance() float64 { return s.sum / float64(max(1, s.free)) }

// derived returns a quantity that follows from the unknowns, with the
// uncertainty that their covariance gives it (first order).
func derived(of func(x []float64) float64, x []float64, c mat.Symmetric) Value {
	grad := fd.Gradient(nil, of, x, &fd.Settings{Formula: fd.Central, Step: fdStep})
	g := mat.NewVecDense(len(grad), grad)
	return Value{of(x), math.Sqrt(math.Max(0, mat.Inner(g, c, g)))}
}

// finest is the error that no meter is better than, as a share: below it a model with more unknowns explains nothing.
const finest = 1e-4

// exact reports whether the model explains all that any meter could have seen.
func (s *solution) exact() bool {
	return s.ok && s.sum <= float64(s.free+len(s.x))*finest*finest
}

// information is the criterion by which one model is preferred to another: the smaller the better,
//
//	n ln(sum/n + finest^2) + k ln n
//
// Schwarz, Estimating the Dimension of a Model, Ann. Statist. 6 (1978) 461
// (from memory), for normal errors of unknown size.
func (s *solution) information() float64 {
	n := float64(s.free + len(s.x))
	return n*math.Log(s.sum/n+finest*finest) + float64(len(s.x))*math.Log(n)
}
