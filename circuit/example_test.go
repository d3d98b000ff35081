package circuit_test

import (
	"fmt"

	"packyard/circuit"
	"packyard/unit"
)

func ExamplePrecharge() {
	p := circuit.Precharge{Voltage: 400, Capacitance: 600e-6, Resistance: 68}
	t, err := p.TimeTo(0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("95 % after", unit.Format(t, unit.SI), "with", unit.Format(p.Energy(0.95), unit.SI), "in the resistor")
	// Output: 95 % after 122.2 ms with 47.88 J in the resistor
}
