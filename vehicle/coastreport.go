package vehicle

import (
	"fmt"
	"math"

	"packyard/internal/num"
	"packyard/unit"
)

// coverage is the share of the intervals that holds the true value.
const coverage = 0.95

// report turns the coefficients into estimates.
func (p *coastProblem) report(fit num.Fit, o CoastOptions) (CoastFit, error) {
	out := CoastFit{
		Form: o.Form, BothWays: p.bothWays, Rows: p.n, Scatter: unit.Speed(fit.Sigma),
		Mass: o.Mass, MassRotating: o.rotating(), Density: o.Air.Density(), holdsDrag: o.HoldsDrag,
	}
	serial, err := p.serial(fit.Coef)
	if err != nil {
		return CoastFit{}, err
	}
	out.Serial = unit.Ratio(serial)
	freedom, widen := float64(p.n-len(fit.Coef)), 1.0
	if serial > 2/math.Sqrt(float64(p.n)) {
		widen = (1 + serial) / (1 - serial)
		freedom = math.Max(freedom/widen, 1)
	}
	e := estimator{cov: fit.Covariance, widen: widen, t: num.StudentQuantile((1+coverage)/2, freedom)}

	size := len(fit.Coef)
	ic := 1 + b2i(p.linear)
	a, c := fit.Coef[0], fit.Coef[ic]
	if !(c > 0) {
		return CoastFit{}, fmt.Errorf("%w: drag comes out as %.4g N/(m/s)², a positive one is accepted; is the range of speeds wide enough?", ErrCoastLog, c)
	}
	gradA, gradB, gradC := unitVector(size, 0), make([]float64, size), unitVector(size, ic)
	if p.bothWays {
		d, w := fit.Coef[ic+1], fit.Coef[ic+2]
		a -= w * w / (4 * c)
		gradA[ic+2], gradA[ic] = -w/(2*c), w*w/(4*c*c)
		weight := o.Mass.Kilograms() * gravity
		gradW, gradS := make([]float64, size), make([]float64, size)
		gradW[ic+2], gradW[ic], gradS[ic+1] = 1/(2*c), -w/(2*c*c), 1/weight
		out.Wind = estimate[unit.Speed](e, w/(2*c), gradW)
		out.Slope = estimate[unit.Slope](e, d/weight, gradS)
	}
	out.A, out.C = estimate[unit.Force](e, a, gradA), estimate[unit.AeroDrag](e, c, gradC)
	out.CorrAC = e.correlation(gradA, gradC)
	if p.linear {
		gradB[1] = 1
		out.B = estimate[unit.Damping](e, fit.Coef[1], gradB)
		out.CorrAB, out.CorrBC = e.correlation(gradA, gradB), e.correlation(gradB, gradC)
		return out, nil
	}
	out.Rolling = scaled[unit.Ratio](out.A, 1/(o.Mass.Kilograms()*gravity))
	out.DragArea = scaled[unit.Area](out.C, 2/out.Density.KilogramsPerCubicMetre())
	out.CorrDragRolling = out.CorrAC
	return out, nil
}

// serial returns the correlation of neighbouring residuals within the runs.
func (p *coastProblem) serial(q []float64) (float64, error) {
	res, jac := make([]float64, p.n), make([][]float64, p.n)
	for i := range jac {
		jac[i] = make([]float64, len(q))
	}
	if err := p.residuals(q, res, jac); err != nil {
		return 0, err
	}
	cross, square, at := 0.0, 0.0, 0
	for _, r := range p.runs {
		for i := range r.Time {
			square += res[at+i] * res[at+i]
			if i > 0 {
				cross += res[at+i] * res[at+i-1]
			}
		}
		at += len(r.Time)
	}
	if square == 0 {
		return 0, nil
	}
	return math.Min(cross/square, 0.999), nil
}

// estimator carries what turns a gradient into a spread.
type estimator struct {
	cov   [][]float64
	widen float64 // of the variance
	t     float64 // Student's quantile
}

func (e estimator) product(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		for j := range b {
			sum += a[i] * e.cov[i][j] * b[j]
		}
	}
	return sum * e.widen
}

func (e estimator) correlation(a, b []float64) unit.Ratio {
	den := math.Sqrt(e.product(a, a) * e.product(b, b))
	if den == 0 {
		return 0
	}
	return unit.Ratio(e.product(a, b) / den)
}

// estimate propagates the covariance through a gradient by the coefficients.
func estimate[Q unit.Quantity](e estimator, value float64, grad []float64) Estimate[Q] {
	dev := math.Sqrt(math.Max(e.product(grad, grad), 0))
	return Estimate[Q]{Q(value), Q(dev), Q(value - e.t*dev), Q(value + e.t*dev)}
}

func scaled[To, From unit.Quantity](e Estimate[From], k float64) Estimate[To] {
	s := func(q From) To { return To(float64(q) * k) }
	return Estimate[To]{s(e.Value), s(e.Deviation), s(e.Low), s(e.High)}
}

func unitVector(n, i int) []float64 {
	v := make([]float64, n)
	v[i] = 1
	return v
}
