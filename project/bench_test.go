package project

import (
	"os"
	"testing"
)

// BenchmarkOpen reads the project to start from, built-in catalogue included:
// what every command and every edit pays.
func BenchmarkOpen(b *testing.B) {
	dir := b.TempDir()
	if err := os.WriteFile(dir+"/"+FileName, template, 0o600); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		if _, err := Open(dir); err != nil {
			b.Fatal(err)
		}
		n++
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "projects/s")
}
