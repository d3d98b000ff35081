package check

import "packyard/unit"

// Stated is a value of any quantity with the spread that was stated for it.
type Stated struct {
	Value    Figure
	Tol      float64 // in the SI unit of a difference of two values: one standard deviation, or the half width of a band
	Kind     unit.SpreadKind
	Accepted Span      // values that can be at all, in the SI unit of Value; both ends zero: any
	Measured []float64 // measured values, SI, in any order: they stand for the distribution in place of Tol and Kind; nil: none
}

// Ends returns the ends of bounds, see Plausible; an end that is itself taken
// out is the next number inside. Panics if bounds are not of that form.
func (g Given[Q]) Ends(bounds string) Span {
	low, high, open := splitBounds(bounds)
	s := Span{Low: float64(mustQuantity[Q](low)), High: float64(mustQuantity[Q](high))}
	if open {
		s.Low += endInside * (s.High - s.Low)
	}
	return s
}

// endInside is how far inside an end that is taken out its stand-in lies, as a
// share of the bounds: far enough to divide by, near enough not to matter.
const endInside = 1e-9
