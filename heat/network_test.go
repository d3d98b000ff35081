package heat_test

import (
	"math"
	"testing"

	"packyard/check/checktest"
	"packyard/heat"
	"packyard/unit"
)

// A body in still surroundings follows the exponential of handbook 6.21.
func TestBodyCoolsAsTheLumpedBodyOfTheHandbook(t *testing.T) {
	t.Parallel()
	const source = "Incropera ch. 5, lumped body: T = Tinf + (T0 - Tinf)·e^(-t/tau) (handbook 6.21)"
	// Halving the step takes the error to a quarter: second order.
	var before float64
	for k, d := range []float64{20, 10, 5} {
		var n heat.Network
		body := n.Source("body", 1000)
		air := n.Surroundings("air", 293.15)
		n.Link(body, air, 10)
		if err := n.Start(353.15); err != nil {
			t.Fatal(err)
		}
		for range int(100 / d) {
			if err := n.Step([]float64{0}, unit.Time(d)); err != nil {
				t.Fatal(err)
			}
		}
		miss := math.Abs(n.Temperatures()[0] - (293.15 + 60*math.Exp(-1)))
		if k > 0 {
			checktest.Near(t, "error over that of half the step", before/miss, 4, 0.5, 0, source)
		}
		before = miss
		if m := n.Account().Missing(); math.Abs(m) > 1e-12 {
			t.Errorf("account does not close by %g; steps of %g s", m, d)
		}
	}
}

// Neither a step nor new factors allocate.
func TestStepsAllocateNothing(t *testing.T) {
	n := packNetwork(t, 112)
	q := make([]float64, 112)
	if err := n.Step(q, 1); err != nil {
		t.Fatal(err)
	}
	i := 0
	if got := testing.AllocsPerRun(100, func() {
		i++
		n.SetLink(0, unit.ThermalConductance(3+i%2))
		if err := n.Step(q, 1); err != nil {
			t.Fatal(err)
		}
	}); got != 0 {
		t.Errorf("%g allocations a step, want none", got)
	}
}
