package heat

import (
	"math"
	"testing"

	"packyard/check/checktest"
)

// The place of a crossing is found for smooth functions and for one with a step,
// in far fewer looks than halving takes.
func TestRisesThroughFindsThePlace(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		f    func(x float64) float64
		want float64
		most int
	}{
		{"straight", func(x float64) float64 { return 3*x - 1 }, 1.0 / 3, 4},
		{"square", func(x float64) float64 { return x*x - 0.04 }, 0.2, 24},
		{"step", func(x float64) float64 { return math.Copysign(1+x, x-0.7) }, 0.7, 62},
		{"all below", func(x float64) float64 { return x - 2 }, 1, 2},
		{"all above", func(x float64) float64 { return x + 2 }, 0, 2},
	} {
		looks := 0
		got := risesThrough(0, 1, func(x float64) float64 { looks++; return c.f(x) })
		checktest.Near(t, c.name, got, c.want, 2e-10, 0, "closed form; the place is known to 1e-10")
		if looks > c.most {
			t.Errorf("%s: %d looks, at most %d are wanted", c.name, looks, c.most)
		}
	}
}
