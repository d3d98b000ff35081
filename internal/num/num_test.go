package num

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
)

// The isotonic fit has a closed form that shares nothing with pooling:
// z_i = max over j ≤ i of min over k ≥ i of the mean of y_j … y_k.
// Source: barlow-1972, the max-min formula.
func TestIsotonicIsTheMaxMinFormula(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Float64Range(-10, 10), 1, 15).Draw(t, "y")
		w := rapid.SliceOfN(rapid.Float64Range(0.1, 5), len(y), len(y)).Draw(t, "w")
		z, change, err := Isotonic(y, w)
		if err != nil {
			t.Fatal(err)
		}
		largest := 0.0
		for i := range y {
			best := math.Inf(-1)
			for j := 0; j <= i; j++ {
				low := math.Inf(1)
				for k := i; k < len(y); k++ {
					low = math.Min(low, mean(y[j:k+1], w[j:k+1]))
				}
				best = math.Max(best, low)
			}
			if math.Abs(z[i]-best) > 1e-12*(1+math.Abs(best)) {
				t.Fatalf("entry %d of %v: %g, max-min formula %g", i, y, z[i], best)
			}
			largest = math.Max(largest, math.Abs(z[i]-y[i]))
		}
		if change != largest || !NonDecreasing(z) {
			t.Fatalf("change %g, largest %g, fit %v", change, largest, z)
		}
	})
}

func mean(y, w []float64) float64 {
	sum, weight := 0.0, 0.0
	for i := range y {
		sum, weight = sum+w[i]*y[i], weight+w[i]
	}
	return sum / weight
}

func TestIsotonicLeavesRisingDataAlone(t *testing.T) {
	t.Parallel()
	y := []float64{3.189, 3.2179, 3.2179, 3.3067, 3.4}
	z, change, err := Isotonic(y, nil)
	if err != nil || change != 0 {
		t.Fatalf("change %g, error %v", change, err)
	}
	for i := range y {
		if z[i] != y[i] {
			t.Errorf("entry %d: %g, want %g", i, z[i], y[i])
		}
	}
}

func TestIsotonicRefusesBadInput(t *testing.T) {
	t.Parallel()
	if _, _, err := Isotonic(nil, nil); !errors.Is(err, ErrLength) {
		t.Errorf("no values: %v", err)
	}
	if _, _, err := Isotonic([]float64{1, 2}, []float64{1}); !errors.Is(err, ErrLength) {
		t.Errorf("one weight: %v", err)
	}
	if _, _, err := Isotonic([]float64{1, 2}, []float64{1, 0}); !errors.Is(err, ErrLength) {
		t.Errorf("zero weight: %v", err)
	}
	if _, _, err := Isotonic([]float64{1, math.NaN()}, nil); !errors.Is(err, ErrNotFinite) {
		t.Errorf("NaN: %v", err)
	}
}

func TestGridIsExactForBilinearFunctions(t *testing.T) {
	t.Parallel()
	f := func(r, c float64) float64 { return 2 + 3*r - 0.5*c + 0.25*r*c }
	g := Grid{Row: []float64{-10, 0, 25}, Col: []float64{0, 0.3, 1}}
	for _, r := range g.Row {
		var row []float64
		for _, c := range g.Col {
			row = append(row, f(r, c))
		}
		g.Value = append(g.Value, row)
	}
	if err := g.Check(); err != nil {
		t.Fatal(err)
	}
	checktest.Check(t, func(t *rapid.T) {
		r, c := rapid.Float64Range(-20, 40).Draw(t, "row"), rapid.Float64Range(-0.5, 1.5).Draw(t, "col")
		want := f(math.Min(math.Max(r, -10), 25), math.Min(math.Max(c, 0), 1))
		if got := g.At(r, c); math.Abs(got-want) > 1e-12 {
			t.Fatalf("at %g, %g: %g, want %g", r, c, got, want)
		}
	})
}

func TestGridRefusesBadForm(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		g    Grid
		want error
	}{
		{Grid{}, ErrLength},
		{Grid{[]float64{1}, []float64{1, 2}, [][]float64{{1}}}, ErrLength},
		{Grid{[]float64{1, 1}, []float64{1}, [][]float64{{1}, {1}}}, ErrNotIncreasing},
		{Grid{[]float64{1}, []float64{2, 1}, [][]float64{{1, 1}}}, ErrNotIncreasing},
		{Grid{[]float64{1}, []float64{1}, [][]float64{{math.NaN()}}}, ErrNotFinite},
	} {
		if err := c.g.Check(); !errors.Is(err, c.want) {
			t.Errorf("%v: %v, want %v", c.g, err, c.want)
		}
	}
}

func TestDenseReadsLikeLinear(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Float64Range(-5, 5), 2, 30).Draw(t, "y")
		at := rapid.Float64Range(-0.2, 1.2).Draw(t, "at")
		if got, want := Dense(y, at), Linear(Even(0, 1, len(y)), y, at); math.Abs(got-want) > 1e-12 {
			t.Fatalf("at %g: %g, want %g", at, got, want)
		}
	})
	if got := Dense([]float64{1, 2}, math.NaN()); got != 1 {
		t.Errorf("a charge that is not a number reads %g, want the empty end", got)
	}
}

// norris holds y and x of the linear regression problem "Norris" of the NIST
// Statistical Reference Datasets with its certified answers.
var norris = [][2]float64{
	{0.1, 0.2}, {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1}, {228.1, 226.5}, {668.5, 666.3}, {998.5, 996.3},
	{449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4}, {0.1, 0.6}, {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0},
	{448.9, 447.5}, {10.8, 11.6}, {557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
	{0.6, 0.3}, {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0}, {10.2, 11.1}, {117.6, 118.3},
	{228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5},
}

func TestLeastSquaresReproducesACertifiedRegression(t *testing.T) {
	t.Parallel()
	var a [][]float64
	var b []float64
	for _, p := range norris {
		a, b = append(a, []float64{1, p[1]}), append(b, p[0])
	}
	f, err := LeastSquares(a, b)
	if err != nil {
		t.Fatal(err)
	}
	const source = "NIST Statistical Reference Datasets, Norris (certified values)"
	checktest.Near(t, "intercept", f.Coef[0], -0.262323073774029, 0, 1e-10, source)
	checktest.Near(t, "slope", f.Coef[1], 1.00211681802045, 0, 1e-12, source)
	checktest.Near(t, "deviation of the intercept", math.Sqrt(f.Covariance[0][0]), 0.232818234301152, 0, 1e-10, source)
	checktest.Near(t, "deviation of the slope", math.Sqrt(f.Covariance[1][1]), 0.429796848199937e-3, 0, 1e-10, source)
	checktest.Near(t, "residual deviation", f.Sigma, 0.884796396144373, 0, 1e-10, source)
}

func TestLeastSquaresRefusesWhatHasNoAnswer(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a    [][]float64
		b    []float64
		want error
	}{
		{nil, nil, ErrLength},
		{[][]float64{{1, 2}}, []float64{1}, ErrLength},
		{[][]float64{{1, 2}, {1}}, []float64{1, 1}, ErrLength},
		{[][]float64{{1, 2}, {2, 4}, {3, 6}}, []float64{1, 2, 3}, ErrSingular},
		{[][]float64{{1, math.NaN()}, {2, 4}}, []float64{1, 2}, ErrNotFinite},
	} {
		if _, err := LeastSquares(c.a, c.b); !errors.Is(err, c.want) {
			t.Errorf("%v: %v, want %v", c.a, err, c.want)
		}
	}
}
