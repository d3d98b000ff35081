package num

import (
	"fmt"
	"math"
	"slices"
)

// Sparse is a square matrix of a fixed pattern with its LU factors. It is
// factorised without pivoting, which is safe for what it is made for: matrices
// that are diagonally dominant by rows or by columns. Unknowns are put in an
// order of least degree, so that few entries fill in; vectors are in that order
// too, see Place.
//
// Source: common practice (Gaussian elimination, minimum degree ordering).
type Sparse struct {
	place   []int     // row of unknown i
	ptr     []int32   // rows begin here in col, length n+1
	diag    []int32   // the diagonal of each row in col
	col     []int32   // columns, rising within a row
	value   []float64 // the matrix, fill included as zeros
	lu      []float64 // its factors: L without its ones, U above
	inverse []float64 // 1/U[i][i]
	work    []float64 // one row
}

// NewSparse returns a matrix of zeros of n rows with entries at the positions
// and on the diagonal. Error: ErrLength for n below 1 or a position outside.
func NewSparse(n int, at [][2]int) (*Sparse, error) {
	if n < 1 {
		return nil, fmt.Errorf("%w: a matrix of %d rows", ErrLength, n)
	}
	near := make([]map[int]bool, n)
	for i := range near {
		near[i] = map[int]bool{}
	}
	for _, p := range at {
		if p[0] < 0 || p[1] < 0 || p[0] >= n || p[1] >= n {
			return nil, fmt.Errorf("%w: entry at %d, %d of a matrix of %d rows", ErrLength, p[0], p[1], n)
		}
		if p[0] != p[1] {
			near[p[0]][p[1]], near[p[1]][p[0]] = true, true
		}
	}
	s := &Sparse{place: make([]int, n), ptr: make([]int32, n+1), diag: make([]int32, n), inverse: make([]float64, n), work: make([]float64, n)}
	upper := s.order(near)
	rows := make([][]int32, n)
	for i, later := range upper {
		rows[i] = append(rows[i], int32(i))
		for _, j := range later {
			rows[i] = append(rows[i], int32(j))
			rows[j] = append(rows[j], int32(i))
		}
	}
	for i, r := range rows {
		slices.Sort(r)
		s.diag[i] = s.ptr[i] + int32(slices.Index(r, int32(i)))
		s.col = append(s.col, r...)
		s.ptr[i+1] = int32(len(s.col))
	}
	s.value, s.lu = make([]float64, len(s.col)), make([]float64, len(s.col))
	return s, nil
}

// order fills place with an order of least degree and returns, for each row in
// that order, the later rows that it meets, fill included. near is used up.
func (s *Sparse) order(near []map[int]bool) [][]int {
	n := len(near)
	done := make([]bool, n)
	met := make([][]int, n) // of unknown, as unknowns
	sequence := make([]int, 0, n)
	for range n {
		best := -1
		for i := range near {
			if !done[i] && (best < 0 || len(near[i]) < len(near[best])) {
				best = i
			}
		}
		done[best], s.place[best] = true, len(sequence)
		sequence = append(sequence, best)
		for i := range near[best] {
			met[best] = append(met[best], i)
			delete(near[i], best)
			for j := range near[best] {
				if i != j {
					near[i][j] = true
				}
			}
		}
	}
	upper := make([][]int, n)
	for i, unknown := range sequence {
		for _, j := range met[unknown] {
			upper[i] = append(upper[i], s.place[j])
		}
	}
	return upper
}

// Place returns the row in which unknown i stands in vectors.
func (s *Sparse) Place(i int) int { return s.place[i] }

// Clear sets all entries to zero.
func (s *Sparse) Clear() { clear(s.value) }

// Add adds v to the entry of unknowns i and j. Panics if the pattern has none.
func (s *Sparse) Add(i, j int, v float64) {
	r, c := s.place[i], int32(s.place[j])
	k, found := slices.BinarySearch(s.col[s.ptr[r]:s.ptr[r+1]], c)
	if !found {
		panic(fmt.Sprintf("num: no entry at %d, %d of a sparse matrix", i, j))
	}
	s.value[int(s.ptr[r])+k] += v
}

// Factor computes the factors of the present entries. Error: ErrSingular when
// a pivot is not above 1e-14 of the diagonal that it began as. Nothing is
// allocated.
func (s *Sparse) Factor() error {
	copy(s.lu, s.value)
	for i := range s.diag {
		row := s.col[s.ptr[i]:s.ptr[i+1]]
		values := s.lu[s.ptr[i]:s.ptr[i+1]]
		for k, c := range row {
			s.work[c] = values[k]
		}
		for _, c := range row[:s.diag[i]-s.ptr[i]] {
			share := s.work[c] * s.inverse[c]
			s.work[c] = share
			if share == 0 {
				continue
			}
			for k := s.diag[c] + 1; k < s.ptr[c+1]; k++ {
				s.work[s.col[k]] -= share * s.lu[k]
			}
		}
		for k, c := range row {
			values[k] = s.work[c]
			s.work[c] = 0
		}
		pivot := s.lu[s.diag[i]]
		if !(math.Abs(pivot) > 1e-14*math.Abs(s.value[s.diag[i]])) || math.IsInf(pivot, 0) {
			return fmt.Errorf("%w: pivot %g in row %d", ErrSingular, pivot, i)
		}
		s.inverse[i] = 1 / pivot
	}
	return nil
}

// Solve replaces the right-hand side x, in the order of Place, by the solution.
// Factor comes first. Nothing is allocated.
func (s *Sparse) Solve(x []float64) {
	n := len(s.diag)
	x = x[:n]
	for i := range n {
		v := x[i]
		from, to := s.ptr[i], s.diag[i]
		lu := s.lu[from:to]
		for k, c := range s.col[from:to] {
			v -= lu[k] * x[c]
		}
		x[i] = v
	}
	for i := n - 1; i >= 0; i-- {
		v := x[i]
		from, to := s.diag[i]+1, s.ptr[i+1]
		lu := s.lu[from:to]
		for k, c := range s.col[from:to] {
			v -= lu[k] * x[c]
		}
		x[i] = v * s.inverse[i]
	}
}
