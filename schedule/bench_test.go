package schedule

import (
	"fmt"
	"strings"
	"testing"
)

func BenchmarkFind(b *testing.B) {
	b.ReportAllocs()
	rows := 0
	for b.Loop() {
		rows += len(mustFind(b, "wltc-class3b").Time)
	}
	b.ReportMetric(float64(rows)/b.Elapsed().Seconds(), "rows/s")
}

func BenchmarkReadCSV(b *testing.B) {
	var text strings.Builder
	text.WriteString("time_s,speed_kmh,elevation_m\n")
	const rows = 36000
	for i := range rows {
		fmt.Fprintf(&text, "%d,%d.5,%d.25\n", i, 40+i%30, 300+i/100)
	}
	b.ReportAllocs()
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		if _, err := readCSV(text.String()); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(rows)*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}

func BenchmarkReadGPX(b *testing.B) {
	const points = 3600
	text := gpxText(northward(points, func(t float64) float64 { return 12 * t }, func(t float64) float64 { return 300 + t/20 }))
	b.ReportAllocs()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := readGPX(text, GPXOptions{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(points)*float64(b.N)/b.Elapsed().Seconds(), "points/s")
}
