package bench

import (
	"bytes"
	"path/filepath"
	"runtime"
	"testing"

	"packyard/check/checktest"
)

// Ten times the log takes no more memory: what is in use while the last megabytes
// are read is counted.
func TestMemoryIsFlatOverTheSizeOfALog(t *testing.T) {
	checktest.Long(t)
	held := func(size int64) uint64 {
		s := empty(t)
		most := uint64(0)
		_, err := s.Import(t.Context(), "big.csv", &endless{size: size}, ImportOptions{Progress: func(int64) {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapInuse+m.StackInuse)
		}})
		if err != nil {
			t.Fatal(err)
		}
		return most
	}
	small, large := held(12<<20), held(120<<20)
	t.Logf("in use: %d MB with 12 MB of text, %d MB with 120 MB", small>>20, large>>20)
	if large > small+32<<20 {
		t.Errorf("%d MB are in use with 12 MB of text and %d MB with 120 MB", small>>20, large>>20)
	}
}

func BenchmarkImport(b *testing.B) {
	const size = 64 << 20
	var text bytes.Buffer
	if _, err := text.ReadFrom(&endless{size: size}); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(size)
	b.ReportAllocs()
	for b.Loop() {
		s, err := Open(b.Context(), filepath.Join(b.TempDir(), FileName), OpenOptions{Now: fixedClock})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := s.Import(b.Context(), "big.csv", bytes.NewReader(text.Bytes()), ImportOptions{}); err != nil {
			b.Fatal(err)
		}
		if err := s.Close(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(size*float64(b.N)/b.Elapsed().Seconds()/1e6, "MB/s-into-the-store")
}
