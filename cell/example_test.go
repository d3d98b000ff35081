package cell_test

import (
	"fmt"

	"packyard/cell"
	"packyard/unit"
)

func ExampleCell_At() {
	c := cell.BuiltIn().Cell("prismatic-lfp-105")
	tb, err := c.At(unit.Celsius(25), cell.New, 201)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("half full: %.3f V, %.2f mΩ at once, %.1f Wh left\n", tb.OCV[100], tb.R0[100]*1e3, float64(tb.Energy(0.5, 0))/3600)
	// Output: half full: 3.299 V, 0.63 mΩ at once, 168.6 Wh left
}

func ExampleModule_Regroup() {
	m := cell.BuiltIn().Module("openable-pouch-nmc-21-24s2p")
	came := m.AsBuilt()
	built, err := m.Regroup(2, 12)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("came as %dS%dP, built as %dS%dP, %.0f mm and %.1f kg\n",
		came.Series(), came.Parallel(), built.Series(), built.Parallel(), built.Size.X.Millimetres(), built.Mass.Kilograms())
	// Output: came as 24S2P, built as 12S4P, 442 mm and 24.0 kg
}
