package drive

import (
	"testing"

	"packyard/unit"
)

// warmer is the simplest thermal model: every group keeps its heat, half of
// which leaves to a place at 25 °C in 20 minutes.
func warmer(t, heat []float64, capacity, dt float64) {
	for i, q := range heat {
		t[i] += dt * (q/capacity - (t[i]-298.15)/1700)
	}
}

// BenchmarkGroupSteps is 112 unequal groups, two RC pairs over charge and
// temperature, heat and the temperatures that follow from it, on WLTC class 3b.
func BenchmarkGroupSteps(b *testing.B) {
	for _, c := range []struct {
		name  string
		start []GroupStart
		more  float64 // times the power of the van
	}{{"unequal", unequal(112, 1), 1}, {"alike", nil, 1}, {"hot", unequal(112, 1), 2.5}} {
		b.Run(c.name, func(b *testing.B) {
			d := demand(b, smallVan(), find(b, "wltc-class3b"), DemandOptions{})
			g := groups(b, packOf(112, 1), GroupOptions{Start: c.start, Charge: 0.9})
			temp := append([]float64(nil), g.Temperatures()...)
			steps := 0
			b.ReportAllocs()
			for b.Loop() {
				for _, p := range d.Power {
					if _, err := g.StepPower(unit.Power(c.more * p)); err != nil {
						b.Fatal(err)
					}
					warmer(temp, g.Heat(), 1800, 1)
					if err := g.SetTemperatures(temp); err != nil {
						b.Fatal(err)
					}
				}
				steps += d.Steps()
				if z, _ := g.Charge(); z < 0.3 {
					if err := g.Start(GroupOptions{Start: c.start, Charge: 0.9}); err != nil {
						b.Fatal(err)
					}
					copy(temp, g.Temperatures())
				}
			}
			b.ReportMetric(float64(steps)*112/b.Elapsed().Seconds()/1e6, "Mgroup-steps/s")
		})
	}
}

func BenchmarkPace(b *testing.B) {
	p := pacer(b, van(1, 25))
	for b.Loop() {
		if _, err := p.Pace(); err != nil {
			b.Fatal(err)
		}
	}
}
