package bay

import (
	"math/rand/v2"
	"testing"
)

// drawn returns conversion-sized bays with kinds, without keep-outs or with.
func drawn(n int, seed uint64) (bays []Bay, kinds [][]Kind) {
	r := rand.New(rand.NewPCG(seed, 1))
	for len(bays) < n {
		b, k := conversionBay(r), conversionKinds(r)
		for len(k) < 2 {
			k = append(k, k[0])
			k[1].Size.X *= 0.7
		}
		bays, kinds = append(bays, b), append(kinds, k)
	}
	return bays, kinds
}

// BenchmarkFrontier measures the frontier of two kinds in bays of conversion size.
func BenchmarkFrontier(b *testing.B) {
	bays, kinds := drawn(64, 9)
	solvers := make([]*Solver, len(bays))
	for i := range bays {
		solvers[i], _ = NewSolver(&bays[i])
	}
	pairs, open := 0, 0
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		f := solvers[i%64].Frontier(kinds[i%64][0], kinds[i%64][1], Options{})
		for _, p := range f {
			if pairs++; p.N2 < p.Bound {
				open++
			}
		}
		i++
	}
	b.ReportMetric(float64(pairs)/float64(i), "pairs/op")
	b.ReportMetric(100*float64(open)/float64(pairs), "%open")
}

// BenchmarkMostQuick measures the largest number of one kind, without search.
func BenchmarkMostQuick(b *testing.B) {
	bays, kinds := drawn(64, 9)
	solvers := make([]*Solver, len(bays))
	for i := range bays {
		solvers[i], _ = NewSolver(&bays[i])
	}
	b.ReportAllocs()
	i, closed := 0, 0
	for b.Loop() {
		n, bound, _ := solvers[i%64].Most(kinds[i%64][0], Options{Nodes: -1})
		if n == bound {
			closed++
		}
		i++
	}
	b.ReportMetric(100*float64(closed)/float64(i), "%closed")
}
