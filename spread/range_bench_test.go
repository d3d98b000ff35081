package spread_test

import (
	"context"
	"syscall"
	"testing"
	"time"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/spread"
)

// BenchmarkRange makes the runs of a spread of twelve inputs on WLTC class 3b:
// quantiles, first-order and total shares; of the range alone, and with hottest
// cell and charge time beside it, counted by the range runs too.
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
	option := placed(b, f)
	for _, c := range []struct {
		name   string
		noPack bool
	}{{"range alone", true}, {"with the pack", false}} {
		b.Run(c.name, func(b *testing.B) {
			benchmarkRange(b, f, &spread.Trip{Option: option, Schedule: s, NoPack: c.noPack})
		})
	}
}

func benchmarkRange(b *testing.B, f *design.Frame, t *spread.Trip) {
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
