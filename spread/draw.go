package spread

import (
	"fmt"
	"math"
	"slices"

	"packyard/check"
	"packyard/internal/num"
	"packyard/unit"
)

// draw turns a number between 0 and 1 into a value of one input.
type draw struct {
	kind      unit.SpreadKind
	mid, tol  float64
	low, high float64   // what is accepted
	pLow, p   float64   // share of the distribution below low, and within
	measured  []float64 // rising; nil: none
}

// drawOf prepares an input. Errors: ErrInput.
func drawOf(in *Input) (draw, error) {
	s := &in.Stated
	d := draw{kind: s.Kind, mid: s.Value.SI, tol: s.Tol, low: math.Inf(-1), high: math.Inf(1), p: 1}
	bad := func(format string, args ...any) (draw, error) {
		return draw{}, fmt.Errorf("%w: %s: "+format, append([]any{ErrInput, in.Name}, args...)...)
	}
	if s.Accepted != (check.Span{}) {
		d.low, d.high = s.Accepted.Low, s.Accepted.High
	}
	switch {
	case math.IsNaN(d.mid-d.mid) || math.IsNaN(d.tol-d.tol) || d.tol < 0:
		return bad("%g ± %g, finite values and a spread of zero or more are accepted", d.mid, d.tol)
	case !(d.low <= d.mid && d.mid <= d.high):
		return bad("%g is outside the accepted %g to %g", d.mid, d.low, d.high)
	}
	if s.Measured != nil {
		d.measured = slices.Sorted(slices.Values(s.Measured)) // NaN comes first
		n := len(d.measured)
		if n < 2 || math.IsNaN(d.measured[0]-d.measured[0]) || math.IsInf(d.measured[n-1], 0) || d.measured[0] < d.low || d.measured[n-1] > d.high {
			return bad("%d measured values, at least two finite ones within the accepted %g to %g are needed", n, d.low, d.high)
		}
		return d, nil
	}
	switch {
	case d.tol == 0 || d.kind == unit.NoSpread:
		d.kind, d.tol = unit.NoSpread, 0
	case d.kind == unit.Deviation:
		d.pLow = num.Normal((d.low - d.mid) / d.tol)
		d.p = num.Normal((d.high-d.mid)/d.tol) - d.pLow
	default:
		bottom, top := max(d.low, d.mid-d.tol), min(d.high, d.mid+d.tol)
		d.p = (top - bottom) / (2 * d.tol)
		d.low, d.high = bottom, top
	}
	return d, nil
}

// wide reports whether the input varies at all.
func (d *draw) wide() bool {
	if d.measured != nil {
		return d.measured[0] < d.measured[len(d.measured)-1]
	}
	return d.kind != unit.NoSpread
}

// cut returns the share of the distribution outside what is accepted.
func (d *draw) cut() float64 { return 1 - d.p }

// at returns the value at 0 < u < 1.
func (d *draw) at(u float64) float64 {
	switch {
	case d.measured != nil:
		return num.Quantile(d.measured, u)
	case d.kind == unit.NoSpread:
		return d.mid
	case d.kind == unit.Deviation:
		return min(max(d.mid+d.tol*num.NormalQuantile(d.pLow+u*d.p), d.low), d.high)
	}
	return d.low + u*(d.high-d.low)
}
