package num

import (
	"errors"
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
)

// rpn14 is a radiochemical curve with a steep rise between two plateaus that
// ordinary splines overshoot. Source: fritsch-carlson-1980, data set RPN 14
// (from memory).
var rpn14 = [2][]float64{
	{7.99, 8.09, 8.19, 8.7, 9.2, 10, 12, 15, 20},
	{0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994},
}

func TestCurveStaysMonotoneOnTheDataOfFritschAndCarlson(t *testing.T) {
	t.Parallel()
	c, err := NewCurve(rpn14[0], rpn14[1])
	if err != nil {
		t.Fatal(err)
	}
	last := 0.0
	for _, x := range Even(7.99, 20, 5001) {
		y := c.At(x)
		if y < last-1e-15 || y > 0.999994+1e-15 {
			t.Fatalf("at %g the curve is %g after %g; source fritsch-carlson-1980", x, y, last)
		}
		last = y
	}
}

// Octave's pchip is the three-point formula of the SLATEC library, the same as
// that of Fritsch and Butland.
func TestCurveAgreesWithReferenceProgram(t *testing.T) {
	t.Parallel()
	octave := checktest.Tool(t, "octave-cli")
	x, y := rpn14[0], rpn14[1]
	at := Even(7.99, 20, 241)
	script := fmt.Sprintf("printf('%%.15g\\n', pchip(%s, %s, %s));", vector(x), vector(y), vector(at))
	out, err := exec.Command(octave, "--no-gui", "--norc", "--eval", script).Output()
	if err != nil {
		t.Fatal(err)
	}
	c, err := NewCurve(x, y)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Fields(string(out))
	if len(lines) != len(at) {
		t.Fatalf("%d values for %d points", len(lines), len(at))
	}
	for i, text := range lines {
		want, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		checktest.Near(t, fmt.Sprintf("curve at %g", at[i]), c.At(at[i]), want, 1e-13, 0, "GNU Octave, pchip; rounding only")
	}
}

func vector(x []float64) string {
	var b []string
	for _, v := range x {
		b = append(b, strconv.FormatFloat(v, 'g', 17, 64))
	}
	return "[" + strings.Join(b, ",") + "]"
}

func TestCurveSlopeInsideIsTheWeightedHarmonicMean(t *testing.T) {
	t.Parallel()
	// h = 1, 2 and secants 1, 4: 3·3/((2·2+1)/1 + (2+2·1)/4) = 9/6.
	c, err := NewCurve([]float64{0, 1, 3}, []float64{0, 1, 9})
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "slope at the middle point", c.Slope(1), 1.5, 0, 1e-14, "fritsch-butland-1984, formula by hand")
}

// points draws a curve of 2 to 12 points; rising makes y non-decreasing.
func points(t *rapid.T, rising bool) (x, y []float64) {
	n := rapid.IntRange(2, 12).Draw(t, "n")
	x0, y0 := rapid.Float64Range(-5, 5).Draw(t, "x0"), 0.0
	for range n {
		x0 += rapid.Float64Range(1e-3, 2).Draw(t, "dx")
		step := rapid.Float64Range(-1, 1).Draw(t, "dy")
		if rising {
			step = math.Max(step, 0)
		}
		y0 += step
		x, y = append(x, x0), append(y, y0)
	}
	return x, y
}

func TestCurvePassesThroughItsPointsAndKeepsTheirOrder(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		x, y := points(t, false)
		c, err := NewCurve(x, y)
		if err != nil {
			t.Fatal(err)
		}
		for i := range x {
			if math.Abs(c.At(x[i])-y[i]) > 1e-12 {
				t.Fatalf("at point %d: %g, want %g", i, c.At(x[i]), y[i])
			}
			if i == 0 {
				continue
			}
			low, high := math.Min(y[i-1], y[i]), math.Max(y[i-1], y[i])
			for _, s := range Even(0, 1, 21) {
				if v := c.At(x[i-1] + s*(x[i]-x[i-1])); v < low-1e-12 || v > high+1e-12 {
					t.Fatalf("between points %d and %d the curve is %g, outside %g to %g", i-1, i, v, low, high)
				}
			}
		}
	})
}

func TestIntegralIsTheAntiderivative(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		x, y := points(t, false)
		c, err := NewCurve(x, y)
		if err != nil {
			t.Fatal(err)
		}
		a := rapid.Float64Range(x[0]-1, x[len(x)-1]+1).Draw(t, "a")
		b := rapid.Float64Range(x[0]-1, x[len(x)-1]+1).Draw(t, "b")
		// Simpson's rule is exact on each cubic piece.
		want := 0.0
		cuts := append([]float64{math.Min(a, b)}, inside(x, math.Min(a, b), math.Max(a, b))...)
		cuts = append(cuts, math.Max(a, b))
		for i := 1; i < len(cuts); i++ {
			l, r := cuts[i-1], cuts[i]
			want += (r - l) / 6 * (c.At(l) + 4*c.At((l+r)/2) + c.At(r))
		}
		if a > b {
			want = -want
		}
		if got := c.Integral(a, b); math.Abs(got-want) > 1e-11 {
			t.Fatalf("∫ from %g to %g is %g, Simpson's rule gives %g", a, b, got, want)
		}
	})
}

func inside(x []float64, a, b float64) []float64 {
	var out []float64
	for _, v := range x {
		if v > a && v < b {
			out = append(out, v)
		}
	}
	return out
}

func TestSlopeIsTheDerivative(t *testing.T) {
	t.Parallel()
	c, err := NewCurve(rpn14[0], rpn14[1])
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{8.01, 8.15, 8.5, 9.1, 9.9, 11, 14, 19} {
		const h = 1e-5
		checktest.Near(t, fmt.Sprintf("slope at %g", x), c.Slope(x), (c.At(x+h)-c.At(x-h))/(2*h), 1e-7, 0, "central difference, error of order h²")
	}
}

func TestCurveRefusesBadPoints(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		x, y []float64
		want error
	}{
		{[]float64{1}, []float64{1}, ErrLength},
		{[]float64{1, 2}, []float64{1}, ErrLength},
		{[]float64{1, 1}, []float64{1, 2}, ErrNotIncreasing},
		{[]float64{1, math.NaN()}, []float64{1, 2}, ErrNotFinite},
		{[]float64{1, 2}, []float64{1, math.Inf(1)}, ErrNotFinite},
	} {
		if _, err := NewCurve(c.x, c.y); !errors.Is(err, c.want) {
			t.Errorf("NewCurve(%v, %v): %v, want %v", c.x, c.y, err, c.want)
		}
	}
}
