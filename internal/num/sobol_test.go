package num

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
)

// SciPy makes the plain sequence from the same direction numbers.
func TestSobolPointsAreThoseOfSciPy(t *testing.T) {
	t.Parallel()
	python := checktest.Tool(t, "/usr/bin/python3")
	if exec.Command(python, "-c", "import scipy").Run() != nil {
		checktest.Tool(t, "scipy of python3")
	}
	const points = 64
	out, err := exec.Command(python, "-c", `
import json
from scipy.stats import qmc
print(json.dumps(qmc.Sobol(256, scramble=False).random(64).tolist()))`).Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [][]float64
	if err := json.Unmarshal(out, &want); err != nil || len(want) != points {
		t.Fatalf("%d points: %v", len(want), err)
	}
	s, err := NewSobol(SobolDimensionsMax)
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float64, s.Dimensions())
	for n := range want {
		if s.At(uint32(n), x); !slices.Equal(x, want[n]) {
			t.Fatalf("point %d: %v, SciPy has %v (source: joe-kuo-2008; scipy.stats.qmc.Sobol)", n, x, want[n])
		}
	}
}

// A row of the table is a primitive polynomial and as many odd numbers below
// 2, 4, 8, …: what the method asks for. Source: joe-kuo-2008.
func TestSobolTableHoldsPrimitivePolynomials(t *testing.T) {
	t.Parallel()
	rows, err := csv.NewReader(strings.NewReader(sobolTable)).ReadAll()
	if err != nil || len(rows) != SobolDimensionsMax {
		t.Fatalf("%d rows: %v", len(rows), err)
	}
	seen := map[string]bool{}
	for i, r := range rows[1:] {
		degree, inner := tableNumber(r[1]), tableNumber(r[2])
		if tableNumber(r[0]) != i+2 || seen[r[1]+"/"+r[2]] {
			t.Errorf("row %d is out of order, or its polynomial was there before: %v", i, r)
		}
		seen[r[1]+"/"+r[2]] = true
		poly, state, period := 1<<degree|inner<<1|1, 1, 0
		for {
			if state <<= 1; state>>degree == 1 {
				state ^= poly
			}
			if period++; state == 1 || period > 1<<degree {
				break
			}
		}
		if period != 1<<degree-1 {
			t.Errorf("dimension %s: the polynomial has the period %d, a primitive one of degree %d has %d", r[0], period, degree, 1<<degree-1)
		}
		numbers := strings.Fields(r[3])
		if len(numbers) != degree {
			t.Errorf("dimension %s: %d numbers for degree %d", r[0], len(numbers), degree)
		}
		for k, text := range numbers {
			if m := tableNumber(text); m%2 == 0 || m >= 2<<k {
				t.Errorf("dimension %s: number %d is %d, an odd one below %d is needed", r[0], k+1, m, 2<<k)
			}
		}
	}
}

// Any 2^m points from a multiple of 2^m on have one in each of 2^m slices of
// every coordinate, scrambled or not.
func TestSobolPutsOnePointInEachSlice(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		dims := rapid.IntRange(1, SobolDimensionsMax).Draw(t, "dimensions")
		m := rapid.IntRange(0, 8).Draw(t, "m")
		block := rapid.IntRange(0, 1<<12).Draw(t, "block")
		s, err := NewSobol(dims)
		if err != nil {
			t.Fatal(err)
		}
		if rapid.Bool().Draw(t, "scrambled") {
			s = s.Scrambled(rapid.Uint64().Draw(t, "seed"), rapid.IntRange(0, 9).Draw(t, "replicate"))
		}
		x, taken := make([]float64, dims), make([]bool, dims<<m)
		for n := range 1 << m {
			s.At(uint32(block<<m+n), x)
			for d, v := range x {
				if v < 0 || v >= 1 {
					t.Fatalf("coordinate %d is %g", d, v)
				}
				at := d<<m + int(v*float64(int(1)<<m))
				if taken[at] {
					t.Fatalf("coordinate %d: two points of %d in the slice of %g", d, 1<<m, v)
				}
				taken[at] = true
			}
		}
	})
}

// Scrambling makes single points uniform, so that the mean of one point over
// many replicates is that of a uniform number: 1/2 with a standard error of
// 1/√(12·n).
func TestScrambledPointIsUniform(t *testing.T) {
	t.Parallel()
	const replicates, point = 4000, 5
	s, err := NewSobol(3)
	if err != nil {
		t.Fatal(err)
	}
	x, low := make([]float64, 3), 0
	mean, square := [3]float64{}, [3]float64{}
	for r := range replicates {
		s.Scrambled(7, r).At(point, x)
		for d, v := range x {
			mean[d] += v / replicates
			square[d] += v * v / replicates
		}
		if x[0] < 0.1 && x[1] < 0.5 {
			low++
		}
	}
	for d := range x {
		checktest.Near(t, "mean", mean[d], 0.5, 4/math.Sqrt(12*replicates), 0, "uniform distribution; four standard errors")
		checktest.Near(t, "mean square", square[d], 1.0/3, 4*math.Sqrt(4.0/45/replicates), 0, "uniform distribution; four standard errors")
	}
	checktest.Near(t, "share in a corner", float64(low)/replicates, 0.05, 4*math.Sqrt(0.05*0.95/replicates), 0, "independent coordinates; four standard errors")
}

func TestScrambleIsThatOfItsSeed(t *testing.T) {
	t.Parallel()
	s, err := NewSobol(4)
	if err != nil {
		t.Fatal(err)
	}
	at := func(seed uint64, replicate int) []float64 {
		x := make([]float64, 4)
		s.Scrambled(seed, replicate).At(9, x)
		return x
	}
	if !slices.Equal(at(3, 1), at(3, 1)) {
		t.Error("the same seed and replicate give other points")
	}
	if slices.Equal(at(3, 1), at(3, 2)) || slices.Equal(at(3, 1), at(4, 1)) {
		t.Error("another seed or replicate gives the same points")
	}
	if plain, _ := NewSobol(4); !slices.Equal(plain.direction[3][:], s.direction[3][:]) {
		t.Error("scrambling changed the plain sequence")
	}
}

// The error of a mean over 2^m scrambled points of a smooth function falls
// nearly as 2^(−m); that of random points as 2^(−m/2).
func TestSobolMeanConvergesFasterThanChance(t *testing.T) {
	t.Parallel()
	const dims = 6
	s, err := NewSobol(dims)
	if err != nil {
		t.Fatal(err)
	}
	rms := func(m int) float64 {
		sum, x := 0.0, make([]float64, dims)
		const replicates = 16
		for r := range replicates {
			p, mean := s.Scrambled(11, r), 0.0
			for n := range 1 << m {
				p.At(uint32(n), x)
				f := 1.0
				for d, v := range x {
					f *= 1 + (v-0.5)/float64(d+1)
				}
				mean += f / float64(int(1)<<m)
			}
			sum += (mean - 1) * (mean - 1) / replicates // the integral is 1
		}
		return math.Sqrt(sum)
	}
	few, many := rms(6), rms(12)
	if gain := few / many; gain < 40 { // chance alone: 8; first order: 64
		t.Errorf("error %g with 64 points and %g with 4096: a gain of %.1f", few, many, gain)
	}
}

func TestSobolRefusesBadDimensions(t *testing.T) {
	t.Parallel()
	for _, n := range []int{0, -1, SobolDimensionsMax + 1} {
		if _, err := NewSobol(n); !errors.Is(err, ErrDimensions) {
			t.Errorf("%d: %v", n, err)
		}
	}
}

func TestNormalQuantilesAreThoseOfTheTable(t *testing.T) {
	t.Parallel()
	f, err := os.Open(checktest.Reference(t, "handbook_normal_quantiles.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 10 {
		t.Fatalf("%d rows: %v", len(rows), err)
	}
	for _, r := range rows[1:] {
		p, errP := strconv.ParseFloat(r[0], 64)
		z, errZ := strconv.ParseFloat(r[1], 64)
		if errP != nil || errZ != nil {
			t.Fatal(r)
		}
		const printed = 0.6e-6 // six decimals
		checktest.Near(t, "z of "+r[0], NormalQuantile(p), z, printed, 0, "handbook_normal_quantiles.csv")
		checktest.Near(t, "p of "+r[1], Normal(z), p, printed, 0, "handbook_normal_quantiles.csv")
		checktest.Near(t, "z of the other tail", NormalQuantile(1-p), -z, printed, 0, "symmetry")
	}
}

func TestNormalQuantileInvertsNormal(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		z := rapid.Float64Range(-6.3, 6.3).Draw(t, "z")
		if back := NormalQuantile(Normal(z)); math.Abs(back-z) > 1e-12 && z < 0 || math.Abs(back-z) > 1e-7 {
			t.Fatalf("%g comes back as %g", z, back)
		}
	})
	if !math.IsInf(NormalQuantile(0), -1) || !math.IsInf(NormalQuantile(1), 1) || NormalQuantile(0.5) != 0 {
		t.Errorf("ends and middle: %g, %g, %g", NormalQuantile(0), NormalQuantile(1), NormalQuantile(0.5))
	}
}

func TestQuantileIsLinearBetweenOrderStatistics(t *testing.T) {
	t.Parallel()
	x := []float64{1, 2, 4, 8, 16}
	for _, c := range []struct{ p, want float64 }{{0, 1}, {0.25, 2}, {0.5, 4}, {0.6, 5.6}, {0.9, 12.8}, {1, 16}, {-1, 1}, {2, 16}} {
		checktest.Near(t, "quantile", Quantile(x, c.p), c.want, 1e-12, 0, "hyndman-fan-1996, definition 7, by hand")
	}
	if Quantile([]float64{3}, 0.1) != 3 {
		t.Error("one value is every quantile")
	}
}
