package num

import (
	"fmt"
	"math"
)

// Isotonic returns the non-decreasing sequence nearest to y in the sense of
// Σ w_i (z_i − y_i)², by pooling adjacent violators, and the largest |z_i − y_i|.
// A nil w means equal weights; weights must be positive. Data that already are
// non-decreasing come back unchanged. Errors ErrLength, ErrNotFinite.
// Source: barlow-1972.
func Isotonic(y, w []float64) (z []float64, change float64, err error) {
	if len(y) == 0 || (w != nil && len(w) != len(y)) {
		return nil, 0, fmt.Errorf("%w: %d values and %d weights", ErrLength, len(y), len(w))
	}
	if err := Finite(y...); err != nil {
		return nil, 0, err
	}
	if err := Finite(w...); err != nil {
		return nil, 0, err
	}
	type block struct {
		mean, weight float64
		count        int
	}
	blocks := make([]block, 0, len(y))
	for i, v := range y {
		b := block{v, 1, 1}
		if w != nil {
			if w[i] <= 0 {
				return nil, 0, fmt.Errorf("%w: weight %d is %g, weights are above zero", ErrLength, i, w[i])
			}
			b.weight = w[i]
		}
		for n := len(blocks); n > 0 && blocks[n-1].mean > b.mean; n = len(blocks) {
			a := blocks[n-1]
			sum := a.weight + b.weight
			b = block{a.mean + (b.mean-a.mean)*(b.weight/sum), sum, a.count + b.count}
			blocks = blocks[:n-1]
		}
		blocks = append(blocks, b)
	}
	z = make([]float64, 0, len(y))
	for _, b := range blocks {
		for range b.count {
			z = append(z, b.mean)
		}
	}
	for i := range y {
		change = math.Max(change, math.Abs(z[i]-y[i]))
	}
	return z, change, nil
}
