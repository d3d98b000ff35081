package search

import (
	"context"
	"testing"
)

// BenchmarkSurvey asks the three bays of the test truck what they hold of all
// modules that its two sources can be cut into.
func BenchmarkSurvey(b *testing.B) {
	f := frame(b, truck(b))
	b.ReportAllocs()
	pairs, n := 0, 0
	for b.Loop() {
		s := newFinder(f, Options{Workers: 1})
		if err := s.survey(context.Background()); err != nil {
			b.Fatal(err)
		}
		for _, list := range s.placer.shelves {
			for _, sh := range list {
				pairs += len(sh.pairs)
			}
		}
		n++
	}
	b.ReportMetric(float64(pairs)/b.Elapsed().Seconds(), "pairs/s")
}

// BenchmarkQuick evaluates every candidate of the test truck on one core: cuts,
// sharing among the bays (every need once) and all rules.
func BenchmarkQuick(b *testing.B) {
	f := frame(b, truck(b))
	s := newFinder(f, Options{Workers: 1})
	if err := s.survey(context.Background()); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		s.placer.loads = map[loadKey]*once[loaded]{}
		for i := range s.blocks {
			found := s.quickBlock(i)
			n += found.total
		}
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "options/s")
}
