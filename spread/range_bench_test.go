package spread_test

import (
	"context"
	"syscall"
	"testing"
	"time"

	"packyard/check/checktest"
	"packyard/spread"
)

// BenchmarkRange makes the runs of a spread of twelve inputs on WLTC class 3b:
// quantiles, first-order and total shares.
func BenchmarkRange(b *testing.B) {
	var changes []string
	for _, c := range cases {
		switch c.name {
		case "drag coefficient", "frontal area", "rolling coefficient", "driver", "ambient", "headwind", "removed item", "stage efficiency",
			"heater", "low reserve", "state of health", "resistance growth":
			changes = append(changes, c.line, c.spread)
		}
	}
	f := truck(b, "", changes...)
	s := find(b, "wltc-class3b")
	t := &spread.Trip{Option: placed(b, f), Schedule: s}
	runs, before := 0, processorTime(b)
	b.ReportAllocs()
	for b.Loop() {
		r, err := spread.Range(context.Background(), f, t, spread.Options{Samples: 1024, Seed: runs})
		if err != nil || len(r.Spread.Inputs) != 12 {
			b.Fatal(err)
		}
		runs += r.Spread.Runs
	}
	b.ReportMetric(float64(runs)/b.Elapsed().Seconds(), "runs/s")
	b.ReportMetric(1e4*b.Elapsed().Seconds()/float64(runs), "s/10000-runs")
	b.ReportMetric(1e4*(processorTime(b)-before).Seconds()/float64(runs), "cpu-s/10000-runs")
}

// processorTime is what all threads have used: on a busy machine it says more
// than the clock.
func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// A variant allocates nothing from one run to the next.
func TestVariantAllocatesNothing(t *testing.T) {
	var changes []string
	for _, c := range cases {
		switch c.name {
		case "drag coefficient", "rolling coefficient", "driver", "ambient", "removed item", "stage efficiency", "low reserve", "state of health", "resistance growth":
			changes = append(changes, c.line, c.spread)
		}
	}
	f := truck(t, "", changes...)
	in := f.Brief.Uncertain
	v, err := f.Variant(placed(t, f), short(t), false, in)
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float64, len(in))
	turn := 0.0
	n := testing.AllocsPerRun(20, func() {
		turn++
		for i := range in {
			x[i] = in[i].Stated.Value.SI * (1 + 0.001*turn)
		}
		if _, err := v.Range(x); err != nil {
			t.Fatal(err)
		}
	})
	if n != 0 {
		t.Errorf("%v allocations a run", n)
	}
	checktest.Near(t, "inputs", float64(len(in)), 9, 0, 0, "nine lines with a spread")
}
