package bay

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"packyard/cell"
)

// drawn returns conversion-sized bays with at least two kinds each.
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

// typical is the bay that the targets of speed are set for.
func typical() (Bay, [2]Kind) {
	b := Bay{Boxes: []Box{{Size: Vec{1.0, 0.6, 0.4}}}, Wall: 0.003, Clearance: 0.005, Gap: 0.005, Connector: 0.02, Opens: Top}
	o := []cell.Orientation{cell.ZUp, cell.YUp}
	return b, [2]Kind{
		{Name: "long", Size: cell.Size{X: 0.36, Y: 0.22, Z: 0.12}, Orientations: o},
		{Name: "short", Size: cell.Size{X: 0.24, Y: 0.22, Z: 0.12}, Orientations: o},
	}
}

// BenchmarkFrontier measures the frontier of two kinds: in the typical bay and
// over 64 drawn ones, without search and with some for every open pair.
func BenchmarkFrontier(b *testing.B) {
	b.Run("typical", func(b *testing.B) {
		bay, k := typical()
		s, err := NewSolver(&bay)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportAllocs()
		for b.Loop() {
			s.Frontier(k[0], k[1], Options{})
		}
	})
	bays, kinds := drawn(64, 9)
	for _, nodes := range []int{0, 2_000, 50_000} {
		b.Run(fmt.Sprintf("drawn/nodes=%d", nodes), func(b *testing.B) {
			pairs, open, i := 0, 0, 0
			b.ReportAllocs()
			for b.Loop() {
				for _, p := range Frontier(&bays[i%64], kinds[i%64][0], kinds[i%64][1], Options{Nodes: nodes}) {
					if pairs++; p.N2 < p.Bound {
						open++
					}
				}
				i++
			}
			b.ReportMetric(float64(pairs)/float64(i), "pairs/op")
			b.ReportMetric(100*float64(open)/float64(pairs), "%open")
		})
	}
}

// BenchmarkMost measures the largest number of one kind, without search.
func BenchmarkMost(b *testing.B) {
	b.Run("typical", func(b *testing.B) {
		bay, k := typical()
		s, err := NewSolver(&bay)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportAllocs()
		for b.Loop() {
			s.Most(k[0], Options{Nodes: -1})
		}
	})
	bays, kinds := drawn(64, 9)
	for _, nodes := range []int{-1, 50_000} {
		b.Run(fmt.Sprintf("drawn/nodes=%d", nodes), func(b *testing.B) {
			b.ReportAllocs()
			i, closed := 0, 0
			for b.Loop() {
				n, bound, _ := Most(&bays[i%64], kinds[i%64][0], Options{Nodes: nodes})
				if n == bound {
					closed++
				}
				i++
			}
			b.ReportMetric(100*float64(closed)/float64(i), "%closed")
		})
	}
}

// BenchmarkClosure decides drawn sets of modules and largest numbers and says
// how many were closed.
func BenchmarkClosure(b *testing.B) {
	b.ReportAllocs()
	var c closure
	n := 0
	for b.Loop() {
		c = closure{}
		c.run(b, 100)
		n += 2 * c.all
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "instances/s")
	b.ReportMetric(100*float64(c.sets)/float64(c.all), "%sets")
	b.ReportMetric(100*float64(c.most)/float64(c.all), "%numbers")
}
