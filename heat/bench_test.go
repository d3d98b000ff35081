package heat_test

import (
	"fmt"
	"testing"

	"packyard/heat"
	"packyard/unit"
)

// packNetwork is a pack of groups in modules of eight with holder and plate,
// coolant in series along the plates, a box for every four modules, a radiator.
func packNetwork(tb testing.TB, groups int) *heat.Network {
	tb.Helper()
	n := new(heat.Network)
	cells := make([]heat.Node, groups)
	for i := range cells {
		cells[i] = n.Source(fmt.Sprintf("group %d", i), 1600)
	}
	air := n.Surroundings("air", unit.Celsius(25))
	var box, last, first heat.Node
	const flow = 300 // W/K, about five litres a minute
	for i, c := range cells {
		if i%32 == 0 {
			box = n.Mass("box", 8000)
			n.Link(box, air, 3)
		}
		if i%8 != 0 {
			n.Link(cells[i-1], c, 4)
			continue
		}
		holder, plate, coolant := n.Mass("holder", 1500), n.Mass("plate", 1200), n.Mass("coolant", 700)
		for _, g := range cells[i:min(i+8, groups)] {
			n.Link(g, holder, 1.5)
			n.Link(g, plate, 5)
		}
		n.Link(holder, box, 1)
		if i == 0 {
			first = coolant
		} else {
			n.StreamAlong(last, coolant, plate, flow, 80)
		}
		last = coolant
	}
	radiator := n.Mass("radiator", 3000)
	n.StreamAlong(last, radiator, air, flow, 120)
	n.Stream(radiator, first, flow)
	if err := n.Start(unit.Celsius(25)); err != nil {
		tb.Fatal(err)
	}
	return n
}

// One step of one second; the budget is 60 ns of a group (docs/method/performance.md).
func BenchmarkNetworkStep(b *testing.B) {
	const groups = 112
	n := packNetwork(b, groups)
	q := make([]float64, groups)
	for i := range q {
		q[i] = 20 + float64(i%7)
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := n.Step(q, 1); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(groups)*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mgroup-steps/s")
}

// As BenchmarkNetworkStep with a conductance that changes every step.
func BenchmarkNetworkFactor(b *testing.B) {
	const groups = 112
	n := packNetwork(b, groups)
	q := make([]float64, groups)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		n.SetLink(0, unit.ThermalConductance(3+float64(i%2)))
		if err := n.Step(q, 1); err != nil {
			b.Fatal(err)
		}
	}
}
