package unit_test

import (
	"fmt"

	"packyard/unit"
)

func Example() {
	m, err := unit.Parse[unit.Mass]("560 lb")
	fmt.Println(unit.Format(m, unit.SI), err)

	r, _ := unit.ParseAmount[unit.Resistance]("2.1 mΩ ± 5 %")
	fmt.Println(r.SI.Milliohms(), unit.FormatAmount(r, unit.SI))

	_, err = unit.Parse[unit.Charge]("60")
	fmt.Println(err)

	// Output:
	// 254.0 kg <nil>
	// 2.1 2.10 mΩ ± 0.11 mΩ
	// "60" needs a unit: a charge is written in C, Ah or mAh
}
