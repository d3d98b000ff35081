package num_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/internal/num"
)

// The factors of any matrix that is diagonally dominant by rows solve it: the
// product of the matrix with the solution is the right-hand side.
func TestSparseSolvesDominantMatrices(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		var at [][2]int
		for range rapid.IntRange(0, 3*n).Draw(t, "entries") {
			at = append(at, [2]int{rapid.IntRange(0, n-1).Draw(t, "i"), rapid.IntRange(0, n-1).Draw(t, "j")})
		}
		s, err := num.NewSparse(n, at)
		if err != nil {
			t.Fatal(err)
		}
		dense := make([][]float64, n)
		for i := range dense {
			dense[i] = make([]float64, n)
		}
		put := func(i, j int, v float64) {
			dense[i][j] += v
			s.Add(i, j, v)
		}
		for _, p := range at {
			v := rapid.Float64Range(-1, 1).Draw(t, "v")
			put(p[0], p[1], v)
			put(p[0], p[0], math.Abs(v))
		}
		for i := range n {
			put(i, i, rapid.Float64Range(0.1, 2).Draw(t, "d")+math.Abs(dense[i][i]))
		}
		if err := s.Factor(); err != nil {
			t.Fatal(err)
		}
		x, want := make([]float64, n), make([]float64, n)
		for i := range want {
			want[i] = rapid.Float64Range(-10, 10).Draw(t, "b")
			x[s.Place(i)] = want[i]
		}
		s.Solve(x)
		for i, row := range dense {
			got := 0.0
			for j, v := range row {
				got += v * x[s.Place(j)]
			}
			if math.Abs(got-want[i]) > 1e-9*(1+math.Abs(want[i])) {
				t.Fatalf("row %d of A·x is %g, want %g", i, got, want[i])
			}
		}
	})
}

func TestSparseSaysWhatItCannotSolve(t *testing.T) {
	t.Parallel()
	if _, err := num.NewSparse(2, [][2]int{{0, 2}}); !errors.Is(err, num.ErrLength) {
		t.Errorf("an entry outside: got %v, want ErrLength", err)
	}
	s, err := num.NewSparse(2, [][2]int{{0, 1}, {1, 0}})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 2 {
		for j := range 2 {
			s.Add(i, j, 1)
		}
	}
	if err := s.Factor(); !errors.Is(err, num.ErrSingular) {
		t.Errorf("two equal rows: got %v, want ErrSingular", err)
	}
	s.Clear()
	if err := s.Factor(); !errors.Is(err, num.ErrSingular) {
		t.Errorf("zeros: got %v, want ErrSingular", err)
	}
}
