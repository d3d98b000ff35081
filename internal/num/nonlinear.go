package num

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// ErrNoConvergence says that an iteration ended without reaching its tolerance.
var ErrNoConvergence = errors.New("no convergence")

// Bounds of NonlinearLeastSquares.
const (
	nonlinearSteps = 200   // evaluations tried at most
	nonlinearFall  = 1e-12 // relative fall of the sum of squares that counts as none
	nonlinearStep  = 1e-9  // relative step of every coefficient that counts as none
)

// Residuals fills r with the n residuals and jac, n rows of len(p), with their
// derivatives by the coefficients p.
type Residuals func(p, r []float64, jac [][]float64) error

// NonlinearLeastSquares minimises Σr² from start by the Levenberg-Marquardt
// method, each step solved by QR with the columns scaled to length one. The
// Fit is that of the linearised problem at the solution: its covariance is
// s²·(JᵀJ)⁻¹. Errors: ErrLength, ErrNotFinite, ErrSingular, ErrNoConvergence
// with the number of steps and the residual; errors of f are passed on.
// Source: marquardt-1963; common practice.
func NonlinearLeastSquares(f Residuals, start []float64, n int) (Fit, error) {
	return NonlinearLeastSquaresWithin(f, start, n, nonlinearFall)
}

// NonlinearLeastSquaresWithin is NonlinearLeastSquares for problems of many
// coefficients, some of them hardly determined: it ends at the first step that
// lowers the sum of squares by less than the share fall of it.
func NonlinearLeastSquaresWithin(f Residuals, start []float64, n int, fall float64) (Fit, error) {
	p := append([]float64(nil), start...)
	if len(p) == 0 || n < len(p) {
		return Fit{}, fmt.Errorf("%w: %d residuals for %d coefficients", ErrLength, n, len(p))
	}
	r, jac := make([]float64, n), rows(n, len(p))
	sum, err := evaluate(f, p, r, jac)
	if err != nil {
		return Fit{}, err
	}
	tryP, tryR, tryJ := make([]float64, len(p)), make([]float64, n), rows(n, len(p))
	damping := 1e-3
	for range nonlinearSteps {
		step, err := dampedStep(jac, r, damping)
		if err != nil {
			return Fit{}, err
		}
		small := true
		for i := range p {
			tryP[i] = p[i] - step[i]
			small = small && math.Abs(step[i]) <= nonlinearStep*(math.Abs(p[i])+nonlinearStep)
		}
		trySum, err := evaluate(f, tryP, tryR, tryJ)
		if err != nil || !(trySum <= sum) {
			if small || damping > 1e12 {
				return linearised(jac, r, p, sum)
			}
			damping *= 10
			continue
		}
		done := small || sum-trySum <= fall*sum && damping < 1
		p, tryP, r, tryR, jac, tryJ, sum = tryP, p, tryR, r, tryJ, jac, trySum
		damping = math.Max(damping/10, 1e-12)
		if done {
			return linearised(jac, r, p, sum)
		}
	}
	return Fit{}, fmt.Errorf("%w: least squares after %d steps, root of the sum of squares %.6g", ErrNoConvergence, nonlinearSteps, math.Sqrt(sum))
}

func rows(n, p int) [][]float64 {
	all := make([]float64, n*p)
	out := make([][]float64, n)
	for i := range out {
		out[i] = all[i*p : (i+1)*p]
	}
	return out
}

func evaluate(f Residuals, p, r []float64, jac [][]float64) (float64, error) {
	if err := f(p, r, jac); err != nil {
		return 0, err
	}
	if err := Finite(r...); err != nil {
		return 0, err
	}
	sum := 0.0
	for _, v := range r {
		sum += v * v
	}
	return sum, nil
}

// columns returns the Euclidean lengths of the columns of jac.
func columns(jac [][]float64) ([]float64, error) {
	scale := make([]float64, len(jac[0]))
	for _, row := range jac {
		for k, v := range row {
			scale[k] = math.Hypot(scale[k], v)
		}
	}
	for k, v := range scale {
		if v == 0 {
			return nil, fmt.Errorf("%w: nothing depends on coefficient %d", ErrSingular, k)
		}
	}
	return scale, nil
}

// dampedStep solves [J·S⁻¹; √λ]·(S·d) = [r; 0] and returns d.
func dampedStep(jac [][]float64, r []float64, damping float64) ([]float64, error) {
	scale, err := columns(jac)
	if err != nil {
		return nil, err
	}
	n, q := len(jac), len(scale)
	a, b := rows(n+q, q), make([]float64, n+q)
	copy(b, r)
	for i, row := range jac {
		for k, v := range row {
			a[i][k] = v / scale[k]
		}
	}
	for k := range q {
		a[n+k][k] = math.Sqrt(damping)
	}
	fit, err := LeastSquares(a, b)
	if err != nil {
		return nil, err
	}
	for k := range scale {
		fit.Coef[k] /= scale[k]
	}
	return fit.Coef, nil
}

// linearised returns the Fit at p.
func linearised(jac [][]float64, r, p []float64, sum float64) (Fit, error) {
	scale, err := columns(jac)
	if err != nil {
		return Fit{}, err
	}
	n, q := len(jac), len(p)
	gram := mat.NewSymDense(q, nil)
	for i := range q {
		for k := i; k < q; k++ {
			dot := 0.0
			for _, row := range jac {
				dot += row[i] / scale[i] * row[k] / scale[k]
			}
			gram.SetSym(i, k, dot)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(gram) || !(chol.Cond() < 1e12) {
		return Fit{}, fmt.Errorf("%w: the coefficients cannot be told apart", ErrSingular)
	}
	var inverse mat.SymDense
	if err := chol.InverseTo(&inverse); err != nil {
		return Fit{}, fmt.Errorf("%w: covariance: %v", ErrSingular, err)
	}
	fit := Fit{Coef: append([]float64(nil), p...), Residual: math.Sqrt(sum), Covariance: rows(q, q)}
	if n > q {
		fit.Sigma = math.Sqrt(sum / float64(n-q))
	}
	for i := range q {
		for k := range q {
			fit.Covariance[i][k] = fit.Sigma * fit.Sigma * inverse.At(i, k) / (scale[i] * scale[k])
		}
	}
	return fit, nil
}

// StudentQuantile returns the value that Student's t with the given degrees of
// freedom stays below with the given probability. Panics if freedom is not
// positive or probability is not between 0 and 1.
// Source: common practice.
func StudentQuantile(probability, freedom float64) float64 {
	if !(freedom > 0) || !(probability > 0 && probability < 1) {
		panic("num: Student quantile needs positive degrees of freedom and a probability between 0 and 1")
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile(probability)
}
