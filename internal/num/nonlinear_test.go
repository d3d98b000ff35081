package num_test

import (
	"errors"
	"math"
	"testing"

	"packyard/check/checktest"
	"packyard/internal/num"
)

// misra fills residuals and derivatives of y = b1·(1 − exp(−b2·x)).
func misra(x, y []float64) num.Residuals {
	return func(p, r []float64, jac [][]float64) error {
		for i := range x {
			e := math.Exp(-p[1] * x[i])
			r[i] = p[0]*(1-e) - y[i]
			jac[i][0], jac[i][1] = 1-e, p[0]*x[i]*e
		}
		return nil
	}
}

// Values of the data set as published, from memory, and confirmed by the fit,
// which could not meet eleven certified digits with any other data.
var (
	misraY = []float64{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78}
	misraX = []float64{77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0}
)

func TestNonlinearLeastSquaresMeetsCertifiedValues(t *testing.T) {
	t.Parallel()
	const source = "NIST Statistical Reference Datasets, Misra1a"
	for _, start := range [][]float64{{500, 0.0001}, {250, 0.0005}} {
		fit, err := num.NonlinearLeastSquares(misra(misraX, misraY), start, len(misraX))
		if err != nil {
			t.Fatal(err)
		}
		// Ten of the eleven certified digits; the sum of squares is flat at the minimum.
		checktest.Near(t, "b1", fit.Coef[0], 2.3894212918e+02, 0, 1e-8, source)
		checktest.Near(t, "b2", fit.Coef[1], 5.5015643181e-04, 0, 1e-8, source)
		checktest.Near(t, "deviation of b1", math.Sqrt(fit.Covariance[0][0]), 2.7070075241e+00, 0, 1e-7, source)
		checktest.Near(t, "deviation of b2", math.Sqrt(fit.Covariance[1][1]), 7.2668688436e-06, 0, 1e-7, source)
		checktest.Near(t, "sum of squares", fit.Residual*fit.Residual, 1.2455138894e-01, 0, 1e-9, source)
	}
}

func TestNonlinearLeastSquaresNamesWhatIsWrong(t *testing.T) {
	t.Parallel()
	if _, err := num.NonlinearLeastSquares(misra(misraX[:1], misraY[:1]), []float64{1, 1}, 1); !errors.Is(err, num.ErrLength) {
		t.Errorf("one row for two coefficients: got %v, want ErrLength", err)
	}
	if _, err := num.NonlinearLeastSquares(misra(misraX, misraY), []float64{math.NaN(), 1}, len(misraX)); !errors.Is(err, num.ErrNotFinite) {
		t.Errorf("start that is not a number: got %v, want ErrNotFinite", err)
	}
	idle := func(p, r []float64, jac [][]float64) error {
		for i := range r {
			r[i] = p[0] - float64(i)
			jac[i][0], jac[i][1] = 1, 0
		}
		return nil
	}
	if _, err := num.NonlinearLeastSquares(idle, []float64{1, 1}, 5); !errors.Is(err, num.ErrSingular) {
		t.Errorf("a coefficient without effect: got %v, want ErrSingular", err)
	}
	twins := func(p, r []float64, jac [][]float64) error {
		for i := range r {
			x := float64(i)
			r[i] = (p[0]+p[1])*x - x*x
			jac[i][0], jac[i][1] = x, x
		}
		return nil
	}
	if _, err := num.NonlinearLeastSquares(twins, []float64{1, 1}, 5); !errors.Is(err, num.ErrSingular) {
		t.Errorf("two coefficients of one effect: got %v, want ErrSingular", err)
	}
}

func TestStudentQuantileMatchesTables(t *testing.T) {
	t.Parallel()
	const source = "tables of Student's t, from memory"
	for _, c := range []struct{ p, nu, want float64 }{
		{0.975, 1, 12.706}, {0.975, 10, 2.228}, {0.975, 30, 2.042}, {0.95, 5, 2.015},
	} {
		checktest.Near(t, "quantile", num.StudentQuantile(c.p, c.nu), c.want, 0.0006, 0, source)
	}
}
