package num

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// Errors of this package; messages carry the number found.
var (
	ErrLength        = errors.New("lengths do not match or too few points")
	ErrNotFinite     = errors.New("value is not finite")
	ErrNotIncreasing = errors.New("axis is not strictly increasing")
	ErrSingular      = errors.New("equations are singular to working precision")
)

// Finite returns ErrNotFinite if any value is NaN or infinite.
func Finite(values ...float64) error {
	for i, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: entry %d is %v", ErrNotFinite, i, v)
		}
	}
	return nil
}

// StrictlyIncreasing returns ErrNotIncreasing at the first x[i] ≤ x[i−1], and
// ErrNotFinite for NaN and infinities.
func StrictlyIncreasing(x []float64) error {
	if err := Finite(x...); err != nil {
		return err
	}
	for i := 1; i < len(x); i++ {
		if x[i] <= x[i-1] {
			return fmt.Errorf("%w: entry %d is %g after %g", ErrNotIncreasing, i, x[i], x[i-1])
		}
	}
	return nil
}

// NonDecreasing reports whether no value is below the one before it.
func NonDecreasing(y []float64) bool {
	for i := 1; i < len(y); i++ {
		if !(y[i] >= y[i-1]) {
			return false
		}
	}
	return true
}

// Cell returns the index i and share t of x in the increasing axis, so that
// x = axis[i] + t·(axis[i+1] − axis[i]) with 0 ≤ t ≤ 1; outside the axis t is 0
// at the first or 1 at the last cell. An axis of one entry gives 0, 0. Panics
// if the axis is empty.
func Cell(axis []float64, x float64) (i int, t float64) {
	n := len(axis)
	switch {
	case n == 0:
		panic("num: empty axis")
	case n == 1 || x <= axis[0]:
		return 0, 0
	case x >= axis[n-1]:
		return n - 2, 1
	}
	i = sort.SearchFloat64s(axis, x)
	if axis[i] > x {
		i--
	}
	return i, (x - axis[i]) / (axis[i+1] - axis[i])
}

// Linear reads y over x linearly; the nearest end holds outside. x must be
// strictly increasing and as long as y; panics if both are empty.
func Linear(x, y []float64, at float64) float64 {
	i, t := Cell(x, at)
	if t == 0 {
		return y[i]
	}
	return y[i] + t*(y[i+1]-y[i])
}

// Dense reads a table of evenly spaced entries on 0…1 linearly; the nearest
// end holds outside. Panics if y has fewer than two entries.
func Dense(y []float64, at float64) float64 {
	n := len(y) - 1
	p := at * float64(n)
	switch {
	case !(p > 0):
		return y[0]
	case p >= float64(n):
		return y[n]
	}
	i := int(p)
	return y[i] + (p-float64(i))*(y[i+1]-y[i])
}

// Even returns n evenly spaced values from a to b, both included; n ≥ 2.
func Even(a, b float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = a + (b-a)*float64(i)/float64(n-1)
	}
	out[n-1] = b
	return out
}
