package num

import (
	"fmt"

	"gonum.org/v1/gonum/interp"
)

// Curve is a monotone piecewise cubic through points, with value, derivative
// and antiderivative. Outside its axis the end value holds.
type Curve struct {
	x, y, d []float64 // points and slopes
	sum     []float64 // antiderivative at the points, zero at the first
}

// NewCurve returns the curve through (x[i], y[i]) with the slopes of Fritsch
// and Butland. At least two points; errors ErrLength, ErrNotFinite,
// ErrNotIncreasing.
//
//	d_i = 3(h₀+h₁) / ((2h₁+h₀)/m₀ + (h₁+2h₀)/m₁) where m₀·m₁ > 0, else 0
//
// with h and m the widths and secant slopes left and right of point i.
// Source: fritsch-butland-1984.
func NewCurve(x, y []float64) (*Curve, error) {
	if len(x) != len(y) || len(x) < 2 {
		return nil, fmt.Errorf("%w: %d x and %d y, at least two of each", ErrLength, len(x), len(y))
	}
	if err := StrictlyIncreasing(x); err != nil {
		return nil, err
	}
	if err := Finite(y...); err != nil {
		return nil, err
	}
	var fb interp.FritschButland
	if err := fb.Fit(x, y); err != nil {
		return nil, fmt.Errorf("monotone cubic: %w", err)
	}
	c := &Curve{
		x: append([]float64(nil), x...), y: append([]float64(nil), y...),
		d: make([]float64, len(x)), sum: make([]float64, len(x)),
	}
	for i := range x {
		c.d[i] = fb.PredictDerivative(x[i])
	}
	for i := 1; i < len(x); i++ {
		c.sum[i] = c.sum[i-1] + c.piece(i-1, 1)
	}
	return c, nil
}

// At returns the value at x.
func (c *Curve) At(x float64) float64 {
	i, t := Cell(c.x, x)
	h := c.x[i+1] - c.x[i]
	u := 1 - t
	return u*u*((1+2*t)*c.y[i]+h*t*c.d[i]) + t*t*((1+2*u)*c.y[i+1]-h*u*c.d[i+1])
}

// Slope returns the derivative at x; zero outside the axis.
func (c *Curve) Slope(x float64) float64 {
	if x < c.x[0] || x > c.x[len(c.x)-1] {
		return 0
	}
	i, t := Cell(c.x, x)
	h := c.x[i+1] - c.x[i]
	u := 1 - t
	return 6*t*u*(c.y[i+1]-c.y[i])/h + u*(1-3*t)*c.d[i] + t*(1-3*u)*c.d[i+1]
}

// Integral returns ∫ from a to b, from the antiderivative of the cubics, with
// the end values held outside the axis.
func (c *Curve) Integral(a, b float64) float64 { return c.primitive(b) - c.primitive(a) }

func (c *Curve) primitive(x float64) float64 {
	n := len(c.x) - 1
	switch {
	case x < c.x[0]:
		return (x - c.x[0]) * c.y[0]
	case x > c.x[n]:
		return c.sum[n] + (x-c.x[n])*c.y[n]
	}
	i, t := Cell(c.x, x)
	return c.sum[i] + c.piece(i, t)
}

// piece is the integral over the share t of cell i.
func (c *Curve) piece(i int, t float64) float64 {
	h := c.x[i+1] - c.x[i]
	t2, t3 := t*t, t*t*t
	t4 := t2 * t2
	return h * (c.y[i]*(t-t3+t4/2) + c.y[i+1]*(t3-t4/2) +
		h*(c.d[i]*(t2/2-2*t3/3+t4/4)+c.d[i+1]*(t4/4-t3/3)))
}
