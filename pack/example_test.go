package pack_test

import (
	"fmt"

	"packyard/cell"
	"packyard/pack"
	"packyard/unit"
)

// A built-in cell, 104 in series and two in parallel: its window, and the
// current for 60 kW when nearly empty.
func Example() {
	t, err := pack.ParseTopology("104S2P")
	if err != nil {
		fmt.Println(err)
		return
	}
	p := &pack.Pack{Topology: t, Cell: cell.BuiltIn().Cell("prismatic-lfp-105"), Resistance: 20 * unit.Milliohm, SoCMin: 0.1, SoCMax: 0.97}
	table, err := p.Cell.At(298.15*unit.Kelvin, cell.New, 401)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %.1f V full, %.1f V at end of discharge, %.1f kWh\n", t, float64(p.VoltageFull()), float64(p.VoltageFloor()),
		p.EnergyChemical(table).KilowattHours())
	s := pack.Source{
		EMF:        unit.Voltage(float64(t.Series) * pack.Read(table.OCV, 0.2)),
		Resistance: p.ResistanceTotal(pack.ResistanceCell(table, 0.2, 10*unit.Second)),
	}
	i, u, err := s.Current(60 * unit.Kilowatt)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("60 kW at 20 %% charge: %.1f A at %.1f V\n", float64(i), float64(u))
	// Output:
	// 104S2P: 379.6 V full, 260.0 V at end of discharge, 62.6 kWh
	// 60 kW at 20 % charge: 185.2 A at 323.9 V
}
