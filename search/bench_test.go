package search_test

import (
	"path/filepath"
	"testing"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/project"
	"packyard/search"
)

// example reads the brief of an example.
func example(b *testing.B, name string) *design.Brief {
	b.Helper()
	p, err := project.Open(filepath.Join(checktest.Root(b), "examples", name))
	if err != nil {
		b.Fatal(err)
	}
	return &p.Brief
}

func benchmarkOptions(b *testing.B, name string) {
	brief := example(b, name)
	b.ReportAllocs()
	candidates, runs, n := 0, 0, 0
	for b.Loop() {
		f, err := design.NewFrame(brief)
		if err != nil {
			b.Fatal(err)
		}
		r, err := search.Run(b.Context(), f, search.Options{})
		if err != nil {
			b.Fatal(err)
		}
		candidates, runs, n = candidates+r.Total, runs+r.Runs, n+1
	}
	s := b.Elapsed().Seconds()
	b.ReportMetric(s/float64(n), "s/search")
	b.ReportMetric(float64(candidates)/s, "candidates/s")
	b.ReportMetric(float64(runs)/float64(n), "runs/search")
}

func BenchmarkOptionsOrchardTruck(b *testing.B)    { benchmarkOptions(b, "orchard-truck") }
func BenchmarkOptionsHarbourMicrovan(b *testing.B) { benchmarkOptions(b, "harbour-microvan") }
func BenchmarkOptionsWishfulRoadster(b *testing.B) { benchmarkOptions(b, "wishful-roadster") }
