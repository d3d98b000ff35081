package heat_test

import (
	"fmt"

	"packyard/heat"
	"packyard/unit"
)

// Two groups on a cold plate, the coolant of which a radiator brings back to
// little above the air: the second group stands in warmer coolant.
func Example() {
	var n heat.Network
	first := n.Source("first group", 1600)
	second := n.Source("second group", 1600)
	in, out := n.Mass("coolant at the first", 700), n.Mass("coolant at the second", 700)
	plates := [2]heat.Node{n.Mass("first plate", 900), n.Mass("second plate", 900)}
	air := n.Surroundings("air", unit.Celsius(25))
	n.Link(first, plates[0], 5)
	n.Link(second, plates[1], 5)
	radiator := n.Mass("coolant in the radiator", 2000)
	const flow, along, outside = 50, 30, 40 // W/K
	n.StreamAlong(radiator, in, plates[0], flow, along)
	n.StreamAlong(in, out, plates[1], flow, along)
	n.StreamAlong(out, radiator, air, flow, outside)
	if err := n.Start(unit.Celsius(25)); err != nil {
		fmt.Println(err)
		return
	}
	for range 3600 {
		if err := n.Step([]float64{60, 60}, 1); err != nil {
			fmt.Println(err)
			return
		}
	}
	for i, name := range n.Nodes()[:n.Sources()] {
		fmt.Printf("%s %.1f °C\n", name, unit.Temperature(n.Temperatures()[i]).Celsius())
	}
	// Output:
	// first group 39.6 °C
	// second group 40.8 °C
}

func ExampleDuct_PressureLoss() {
	// Handbook example WE-42: half ethylene glycol at 40 °C in a channel of 20 by 4 mm.
	glycol, err := heat.FluidOf("glycol-50")
	if err != nil {
		fmt.Println(err)
		return
	}
	channel := heat.Duct{Width: 20 * unit.Millimetre, Height: 4 * unit.Millimetre, Length: 1.5 * unit.Metre}
	v := unit.Speed(float64(2*unit.LitrePerMinute) / float64(channel.Area()))
	p := glycol.At(unit.Celsius(40))
	fmt.Printf("Re %.0f, %.0f Pa\n", channel.Reynolds(p, v), float64(channel.PressureLoss(p, v)))
	// Output: Re 1307, 1212 Pa
}
