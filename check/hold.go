package check

import (
	"fmt"
	"slices"

	"packyard/unit"
)

// Hold says whether a verdict holds over the stated spread of its inputs.
type Hold uint8

// How a verdict stands over a spread.
const (
	NotAsked Hold = iota // no input has a spread
	Always               // over the whole spread
	Partly               // for a part of it only
	Never                // nowhere in it
)

func holdWords() []string { return []string{"", "always", "partly", "never"} }

// String returns "always", "partly", "never", or "" if it was not asked.
func (h Hold) String() string {
	if words := holdWords(); int(h) < len(words) {
		return words[h]
	}
	return fmt.Sprintf("hold %d", uint8(h))
}

// MarshalText writes the word.
func (h Hold) MarshalText() ([]byte, error) { return []byte(h.String()), nil }

// UnmarshalText reads the word.
func (h *Hold) UnmarshalText(text []byte) error {
	i := slices.Index(holdWords(), string(text))
	if i < 0 {
		return fmt.Errorf("hold %q: accepted are always, partly and never", text)
	}
	*h = Hold(i)
	return nil
}

// coverage is the factor from a standard deviation to the half width over
// which a verdict is asked, about 95 % of a normal distribution.
const coverage = 2 // source: jcgm-100

// Span is an interval of one input, from Low to High in the SI unit of the input.
type Span struct {
	Low, High float64 // in the SI unit of the input
}

// Span returns the interval over which a verdict on the value is asked: the
// hard band, two standard deviations to both sides, or the value itself.
//
// Source: jcgm-100, 6.2: expanded uncertainty with the factor 2.
func (g Given[Q]) Span() Span {
	half := g.Tol
	if g.Kind == unit.Deviation {
		half *= coverage
	}
	if g.Kind == unit.NoSpread {
		half = 0
	}
	return Span{Low: float64(g.SI) - half, High: float64(g.SI) + half}
}

// Holds asks the verdict over the stated spread of the value, see HoldsOver.
func (g Given[Q]) Holds(verdict func(Q) bool) Hold {
	return HoldsOver(func(x []float64) bool { return verdict(Q(x[0])) }, g.Span())
}

// spansMax bounds the corners that are tried, 2^12.
const spansMax = 12

// HoldsOver asks the verdict at every corner and at the middle of the spans; x
// has one value per span, in SI, in their order. It answers for the whole box
// if the verdict changes in one direction only along each input, as a limit on
// a sum of loads does. Spans without width cost nothing; without any width the
// answer is NotAsked. It panics with more than 12 wide spans.
func HoldsOver(verdict func(x []float64) bool, spans ...Span) Hold {
	var wide []int
	x := make([]float64, len(spans))
	for i, s := range spans {
		x[i] = s.Low/2 + s.High/2
		if s.High > s.Low {
			wide = append(wide, i)
		} else {
			x[i] = s.Low
		}
	}
	if len(wide) == 0 {
		return NotAsked
	}
	if len(wide) > spansMax {
		panic(fmt.Sprintf("check: a verdict over %d spreads; at most %d are tried", len(wide), spansMax))
	}
	yes, asked := 0, 1
	if verdict(slices.Clone(x)) {
		yes++
	}
	for corner := range 1 << len(wide) {
		for bit, i := range wide {
			x[i] = spans[i].Low
			if corner>>bit&1 == 1 {
				x[i] = spans[i].High
			}
		}
		asked++
		if verdict(slices.Clone(x)) {
			yes++
		}
	}
	switch yes {
	case asked:
		return Always
	case 0:
		return Never
	}
	return Partly
}
