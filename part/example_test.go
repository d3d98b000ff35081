package part_test

import (
	"fmt"

	"packyard/part"
	"packyard/unit"
)

// The efficiency of a generic car unit at its five points.
func ExampleDriveUnit_EfficiencyPoints() {
	u := part.BuiltIn().DriveUnit("generic-car-unit-80kw")
	for _, p := range u.EfficiencyPoints() {
		fmt.Printf("%-26s %4.0f N·m %4.0f rad/s  %4.1f %%\n", p.Name, p.Torque, p.Speed, p.Efficiency.Percents())
	}
	// Output:
	// light load, quarter speed    43 N·m  272 rad/s  94.8 %
	// half load, quarter speed    106 N·m  272 rad/s  95.2 %
	// light load, half speed       26 N·m  544 rad/s  93.6 %
	// half load, half speed        64 N·m  544 rad/s  96.0 %
	// full load, half speed       129 N·m  544 rad/s  95.8 %
}

// A low pack makes the unit weaker in proportion.
func ExampleDriveUnit_TorqueMax() {
	u := part.BuiltIn().DriveUnit("generic-induction-120v")
	w := 4000 * unit.RevolutionPerMinute
	for _, v := range []unit.Voltage{120, 100, 80} {
		fmt.Printf("%.0f V: %.0f N·m\n", v, u.TorqueMax(w, v, 10*unit.Second))
	}
	fmt.Printf("80 N·m need %.0f V\n", u.VoltageNeeded(80, w))
	// Output:
	// 120 V: 132 N·m
	// 100 V: 110 N·m
	// 80 V: 88 N·m
	// 80 N·m need 73 V
}
