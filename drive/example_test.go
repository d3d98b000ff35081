package drive_test

import (
	"fmt"

	"packyard/cell"
	"packyard/drive"
	"packyard/pack"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

// An invented van with a built-in drive unit and cell on WLTC class 3b.
func Example() {
	u := part.BuiltIn().DriveUnit("generic-car-unit-80kw")
	c := cell.BuiltIn().Cell("prismatic-lfp-105")
	p := &pack.Pack{
		Topology: pack.Topology{Series: 108, Parallel: 1, Strings: 1}, Cell: c,
		Resistance: 30 * unit.Milliohm, SoCMin: 0.1, SoCMax: 0.98,
	}
	train := drive.Train{
		Mass: 1800 * unit.Kilogram, MassRotating: 55 * unit.Kilogram,
		Road: vehicle.RoadLoad{DragArea: 0.85, Rolling: 0.011}, TyreRadius: 0.31 * unit.Metre,
		Stages: drive.StagesOf(u, nil), Unit: u, Inverter: part.BuiltIn().Inverter("generic-inverter-270-440v"),
		Regen:     drive.Regen{Share: 0.7, FadeFrom: 15 * unit.KilometrePerHour, FadeTo: 5 * unit.KilometrePerHour},
		Auxiliary: 350 * unit.Watt,
	}
	s, err := schedule.Find("wltc-class3b")
	if err != nil {
		fmt.Println(err)
		return
	}
	demand, err := drive.NewDemand(train, s, drive.DemandOptions{Voltage: p.VoltageFull()})
	if err != nil {
		fmt.Println(err)
		return
	}
	cells, err := drive.NewLumped(c, 298.15*unit.Kelvin, cell.New, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	res, err := drive.Range(demand, cells, p, drive.Options{Charger: part.BuiltIn().Charger("generic-charger-6k6-400v")})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f km, ended by: %s\n", res.Distance.Metres()/1000, res.End)
	fmt.Printf("Wh/km at the wheels %.0f, terminals %.0f, wall %.0f\n", res.Consumption.Wheels.WattHoursPerKilometre(),
		res.Consumption.Terminals.WattHoursPerKilometre(), res.Consumption.Wall.WattHoursPerKilometre())
	fmt.Printf("never beyond %.0f km\n", demand.RangeBound(cells.EnergyUsable(p)).Metres()/1000)
	// Output:
	// 178 km, ended by: charge floor
	// Wh/km at the wheels 141, terminals 177, wall 204
	// never beyond 186 km
}
