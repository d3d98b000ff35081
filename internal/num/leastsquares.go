package num

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Fit is the result of a linear least-squares problem.
type Fit struct {
	Coef       []float64   // estimates, one per column of the design
	Covariance [][]float64 // of the estimates: s²·(AᵀA)⁻¹
	Residual   float64     // root of the sum of squared residuals
	Sigma      float64     // s, residual standard deviation with n−p degrees of freedom; zero if n = p
}

// LeastSquares minimises |A·c − b|² by QR factorisation. a holds the rows of A,
// all of one length p ≤ len(a). Errors ErrLength, ErrNotFinite, and ErrSingular
// when the condition number passes 1e12. Weight rows before calling.
// Source: common practice (QR instead of normal equations).
func LeastSquares(a [][]float64, b []float64) (Fit, error) {
	n := len(a)
	if n == 0 || len(b) != n || len(a[0]) == 0 || n < len(a[0]) {
		return Fit{}, fmt.Errorf("%w: %d rows and %d right-hand sides", ErrLength, n, len(b))
	}
	p := len(a[0])
	m := mat.NewDense(n, p, nil)
	for i, row := range a {
		if len(row) != p {
			return Fit{}, fmt.Errorf("%w: row %d has %d entries, the first has %d", ErrLength, i, len(row), p)
		}
		if err := Finite(row...); err != nil {
			return Fit{}, fmt.Errorf("row %d: %w", i, err)
		}
		m.SetRow(i, row)
	}
	if err := Finite(b...); err != nil {
		return Fit{}, err
	}
	var qr mat.QR
	qr.Factorize(m)
	if c := qr.Cond(); !(c < 1e12) {
		return Fit{}, fmt.Errorf("%w: condition number %.3g", ErrSingular, c)
	}
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, mat.NewVecDense(n, append([]float64(nil), b...))); err != nil {
		return Fit{}, fmt.Errorf("%w: %v", ErrSingular, err)
	}
	return finish(m, &x, b)
}

// finish adds residual and covariance: with A = QR, (AᵀA)⁻¹ is the inverse of
// the Gram matrix, of size p only.
func finish(m *mat.Dense, x *mat.VecDense, b []float64) (Fit, error) {
	n, p := m.Dims()
	f := Fit{Coef: append([]float64(nil), x.RawVector().Data...)}
	var r mat.VecDense
	r.MulVec(m, x)
	sum := 0.0
	for i := range b {
		d := r.AtVec(i) - b[i]
		sum += d * d
	}
	f.Residual = math.Sqrt(sum)
	if n > p {
		f.Sigma = math.Sqrt(sum / float64(n-p))
	}
	var gram, inv mat.Dense
	gram.Mul(m.T(), m)
	if err := inv.Inverse(&gram); err != nil {
		return Fit{}, fmt.Errorf("%w: covariance: %v", ErrSingular, err)
	}
	f.Covariance = make([][]float64, p)
	for i := range p {
		f.Covariance[i] = make([]float64, p)
		for j := range p {
			f.Covariance[i][j] = inv.At(i, j) * f.Sigma * f.Sigma
		}
	}
	return f, nil
}
