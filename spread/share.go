package spread

import (
	"math"
	"slices"

	"packyard/internal/num"
)

// moments are what some rows say of one output, SI of the output.
type moments struct {
	mean, deviation float64
	p10, p50, p90   float64
	first, total    []float64 // shares by wide input; dimensionless
}

// estimate computes the moments of output o over the given rows:
//
//	f0, V = mean and variance of f(A) and f(B) together
//	S_i = (1/N)·Σ (f(B) − f0)·(f(A_B^(i)) − f(A)) / V
//	T_i = (1/2N)·Σ (f(A) − f(A_B^(i)))² / V
//
// Without variance all shares are zero. Source: saltelli-2010, table 2 (b);
// jansen-1999. The mean is taken off f(B) because that lowers the scatter of the
// estimate without moving it (sobol-1993).
func (s *sample) estimate(o int, rows []int) moments {
	last := len(s.wide) + 1
	values := make([]float64, 0, 2*len(rows))
	for _, r := range rows {
		values = append(values, s.at(r, 0)[o], s.at(r, last)[o])
	}
	slices.Sort(values)
	m := moments{
		p10: num.Quantile(values, 0.1), p50: num.Quantile(values, 0.5), p90: num.Quantile(values, 0.9),
		first: make([]float64, len(s.wide)), total: make([]float64, len(s.wide)),
	}
	n := float64(len(values))
	for _, v := range values {
		m.mean += (v - m.p50) / n // from a value among them, so that equal values have no variance
	}
	m.mean += m.p50
	variance := 0.0
	for _, v := range values {
		variance += (v - m.mean) * (v - m.mean) / n
	}
	m.deviation = math.Sqrt(variance)
	if m.deviation <= noDeviation*math.Abs(m.mean) {
		return m
	}
	n = float64(len(rows))
	for c := range s.wide {
		for _, r := range rows {
			a, b, ab := s.at(r, 0)[o], s.at(r, last)[o], s.at(r, c+1)[o]
			m.first[c] += (b - m.mean) * (ab - a) / (n * variance)
			m.total[c] += (a - ab) * (a - ab) / (2 * n * variance)
		}
	}
	return m
}

// noDeviation is the standard deviation, as a share of the mean, that counts as
// none: rounding.
const noDeviation = 1e-13

// rowsOf returns the first rows of each scramble, share of 1/part of them.
func (s *sample) rowsOf(part int) []int {
	if s.rows < scrambles {
		return []int{0} // nothing varies
	}
	each := s.rows / scrambles
	var out []int
	for q := range scrambles {
		for i := range each / part {
			out = append(out, q*each+i)
		}
	}
	return out
}

// scatter returns the standard errors of the moments of output o over all rows,
// from those of the scrambles: their standard deviation over the root of their
// number.
func (s *sample) scatter(o int) moments {
	out := moments{first: make([]float64, len(s.wide)), total: make([]float64, len(s.wide))}
	if s.rows < scrambles {
		return out
	}
	each := s.rows / scrambles
	var list [scrambles]moments
	for q := range list {
		rows := make([]int, each)
		for i := range rows {
			rows[i] = q*each + i
		}
		list[q] = s.estimate(o, rows)
	}
	of := func(get func(m *moments) float64) float64 {
		mean, sum := 0.0, 0.0
		for q := range list {
			mean += get(&list[q]) / scrambles
		}
		for q := range list {
			d := get(&list[q]) - mean
			sum += d * d
		}
		return math.Sqrt(sum / (scrambles - 1) / scrambles)
	}
	out.mean, out.deviation = of(func(m *moments) float64 { return m.mean }), of(func(m *moments) float64 { return m.deviation })
	out.p10, out.p50, out.p90 = of(func(m *moments) float64 { return m.p10 }), of(func(m *moments) float64 { return m.p50 }), of(func(m *moments) float64 { return m.p90 })
	for c := range s.wide {
		out.first[c], out.total[c] = of(func(m *moments) float64 { return m.first[c] }), of(func(m *moments) float64 { return m.total[c] })
	}
	return out
}
