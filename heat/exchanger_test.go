package heat

import (
	"math"
	"testing"

	"packyard/check/checktest"
	"packyard/unit"

	"pgregory.net/rapid"
)

// crossing solves two streams that cross unmixed on n by n cells, each cell a
// small exchanger with means of both sides: a solution apart from the series.
func crossing(ntu, c float64, n int) float64 {
	// Warm stream of W_min along x, cold one along y; θ from 1 to 0.
	cold := make([]float64, n)
	sum := 0.0
	for range n { // rows of the warm stream
		warm := 1.0
		for j := range n {
			// q = NTU·(mean difference) of the cell: warm falls by a, cold rises by a·c.
			a := ntu / float64(n) * (warm - cold[j]) / (1 + ntu/float64(n)*(1+c)/2)
			warm -= a
			cold[j] += a * c
		}
		sum += 1 - warm
	}
	return sum / float64(n)
}

func TestRadiatorFollowsTheCrossingStreams(t *testing.T) {
	t.Parallel()
	const source = "numerical solution of two unmixed crossing streams on 400 by 400 cells, exact to 1e-5"
	for _, ntu := range []float64{0.25, 0.5, 1, 2, 3, 5} {
		for _, c := range []float64{0.1, 0.25, 0.5, 0.75, 1} {
			want := crossing(ntu, c, 400)
			checktest.Near(t, "effectiveness of crossing streams", Crossing.Effectiveness(ntu, c), want, 0, 2e-5, source)
		}
	}
	// Figures of the book's table, three digits, for the check itself.
	const table = "Kays and London, table of both fluids unmixed (from memory)"
	checktest.Near(t, "NTU 1, c 1", crossing(1, 1, 400), 0.476, 1.5e-3, 0, table)
	checktest.Near(t, "NTU 2, c 1", crossing(2, 1, 400), 0.614, 1.5e-3, 0, table)
}

func TestPassagesKeepTheirOrder(t *testing.T) {
	t.Parallel()
	checktest.Near(t, "counter, NTU 1, c 1", Counter.Effectiveness(1, 1), 0.5, 1e-12, 0, "NTU/(1+NTU)")
	checktest.Near(t, "along, NTU large, c 1", Along.Effectiveness(50, 1), 0.5, 1e-12, 0, "both streams meet halfway")
	checktest.Check(t, func(t *rapid.T) {
		ntu := rapid.Float64Range(0.01, 10).Draw(t, "ntu")
		c := rapid.Float64Range(0, 1).Draw(t, "c")
		along, cross, counter := Along.Effectiveness(ntu, c), Crossing.Effectiveness(ntu, c), Counter.Effectiveness(ntu, c)
		point := OneAtPoint.Effectiveness(ntu, c)
		if along > cross+1e-9 || cross > counter+1e-9 || counter > point+1e-12 || point > 1 {
			t.Fatalf("NTU %g, c %g: along %g, crossing %g, counter %g, one at a point %g: they must rise", ntu, c, along, cross, counter, point)
		}
	})
	x := Exchanger{Conductance: 100, AirRated: 0.3}
	for _, w := range []struct {
		flow unit.ThermalConductance
		air  unit.MassFlow
	}{{0, 0.3}, {300, 0}, {0, 0}} {
		if k := x.Exchange(w.flow, w.air); k != 0 {
			t.Errorf("flow %g W/K and air %g kg/s: exchanges %g W/K, want none", float64(w.flow), float64(w.air), float64(k))
		}
	}
}

func TestBranchesLoseTheSamePressure(t *testing.T) {
	t.Parallel()
	glycol, err := FluidOf("glycol-50")
	if err != nil {
		t.Fatal(err)
	}
	checktest.Check(t, func(t *rapid.T) {
		p := glycol.At(unit.Celsius(rapid.Float64Range(-20, 60).Draw(t, "celsius")))
		n := rapid.IntRange(2, 4).Draw(t, "branches")
		branches := make([][]Plate, n)
		for i := range branches {
			for range rapid.IntRange(1, 4).Draw(t, "plates") {
				branches[i] = append(branches[i], Plate{
					Channel: Duct{
						Width: unit.Length(rapid.Float64Range(5e-3, 30e-3).Draw(t, "width")), Height: 4e-3,
						Length: unit.Length(rapid.Float64Range(0.1, 1).Draw(t, "length")),
					}, Channels: rapid.IntRange(1, 8).Draw(t, "channels"), Minor: 2,
				})
			}
		}
		q := unit.VolumeFlow(rapid.Float64Range(1, 30).Draw(t, "litres a minute") * 1e-3 / 60)
		out := make([]unit.VolumeFlow, n)
		dp := split(branches, p, q, out)
		sum := unit.VolumeFlow(0)
		for i, b := range branches {
			sum += out[i]
			if l := lossOf(b, p, out[i]); math.Abs(float64(l-dp)) > 1e-4*float64(dp) {
				t.Fatalf("branch %d loses %g Pa, the whole %g Pa", i, float64(l), float64(dp))
			}
		}
		if math.Abs(float64(sum-q)) > 1e-12*float64(q) {
			t.Fatalf("branches take %g, given are %g m³/s", float64(sum), float64(q))
		}
	})
}

func TestPumpMeetsItsCircuit(t *testing.T) {
	t.Parallel()
	pump := Pump{Curve: []PumpPoint{{0, 30e3}, {20e-3 / 60, 0}}, Efficiency: 0.3}
	// A circuit that loses k·Q² meets a straight curve where p0·(1 − Q/Q0) = k·Q².
	const k = 2e11
	q, err := pump.Operating(func(q unit.VolumeFlow) unit.Pressure { return unit.Pressure(k * float64(q) * float64(q)) })
	if err != nil {
		t.Fatal(err)
	}
	a := 30e3 / (20e-3 / 60)
	want := (-a + math.Sqrt(a*a+4*k*30e3)) / (2 * k)
	checktest.Near(t, "flow, m³/s", float64(q), want, 0, 1e-7, "root of the quadratic")
	checktest.Near(t, "power, W", float64(pump.Electric(q, pump.At(q))), want*(30e3-a*want)/0.3, 0, 1e-6, "Δp·Q/η")
	if q, err := pump.Operating(func(unit.VolumeFlow) unit.Pressure { return 1e6 }); err != nil || q > 1e-9 {
		t.Errorf("a circuit that is shut: got %g m³/s, %v, want none", float64(q), err)
	}
	if q, err := pump.Operating(func(unit.VolumeFlow) unit.Pressure { return 0 }); err != nil || q != pump.Curve[1].Flow {
		t.Errorf("a circuit without loss: got %g m³/s, %v, want the end of the curve", float64(q), err)
	}
	pump.Curve[1].Flow = 0
	if _, err := pump.Operating(func(unit.VolumeFlow) unit.Pressure { return 0 }); err == nil {
		t.Error("a curve whose flow does not rise: no error")
	}
}
