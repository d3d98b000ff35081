package search_test

import (
	"context"
	"fmt"

	"packyard/bay"
	"packyard/cell"
	"packyard/check"
	"packyard/design"
	"packyard/part"
	"packyard/schedule"
	"packyard/search"
	"packyard/unit"
	"packyard/vehicle"
)

// Which packs of 36 loose cells fit under the bed of an invented cart, and what
// would let another one through?
func Example() {
	s, err := schedule.Find("japan-10-15")
	if err != nil {
		fmt.Println(err)
		return
	}
	parts, cells := part.BuiltIn(), cell.BuiltIn()
	brief := &design.Brief{
		Title: "cart", Invented: true, Currency: "EUR",
		Donor: vehicle.Donor{Wheelbase: 1.8, TrackFront: 1.2, TrackRear: 1.2, WeighedFront: 330, WeighedRear: 270, HeightCG: 0.55, TyreRadius: 0.26},
		Road:  design.Road{Load: vehicle.RoadLoad{DragArea: 0.9, Rolling: 0.013}, DriverMass: 75, Ambient: unit.Celsius(20)},
		Drive: design.Drive{
			Unit: parts.DriveUnit("generic-induction-120v"), Inverter: parts.Inverter("generic-inverter-96-144v"),
			Stages:     []part.Stage{{Name: "axle", Ratio: 6, Efficiency: 0.95}},
			DrivenAxle: "rear", ReserveLow: 0.1, ReserveHigh: 0.03,
		},
		Bays: []bay.Bay{{
			Name: "under the bed", At: vehicle.Point{X: 0.7, Y: -0.4, Z: 0.4}, Boxes: []bay.Box{{Size: bay.Vec{X: 1, Y: 0.6, Z: 0.32}}},
			Wall: 4 * unit.Millimetre, Clearance: 5 * unit.Millimetre, Gap: 3 * unit.Millimetre, Connector: 20 * unit.Millimetre,
			Opens: bay.Top, BoxMass: 12 * unit.Kilogram,
		}},
		Sources: []design.Source{{
			Name: "lfp", Kind: design.LooseCells, Cell: cells.Cell("prismatic-lfp-105"), Hardware: cells.HardwareByID("stack-prismatic-105"),
			Count: 36, Price: check.Price{Amount: 41, Currency: "EUR", Pos: check.Pos{Line: 1}}, Health: cell.New,
		}},
		Targets: design.Targets{Schedule: s, Range: 50e3 * unit.Metre, StringsMax: 1},
	}
	f, err := design.NewFrame(brief)
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := search.Run(context.Background(), f, search.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d candidates, %d fit, in %d packs\n", r.Total, r.Fits, r.PackCount)
	for _, o := range r.Packs[:min(3, len(r.Packs))] {
		fmt.Printf("%s: %.0f km, %.0f kg\n", o.ID, o.Figures.Range.Metres()/1000, float64(o.Figures.Mass))
	}
	for _, m := range r.Misses {
		l := m.Limits[0]
		fmt.Printf("%s from %.4g to %.4g admits %s\n", l.Rule, l.Limit, l.Value, m.Option.ID)
	}
	// Output:
	// 2813 candidates, 762 fit, in 12 packs
	// lfp/36S1P/2x16S+1x4S: 94 km, 95 kg
	// lfp/35S1P/2x16S+1x3S: 92 km, 93 kg
	// lfp/34S1P/2x16S+1x2S: 89 km, 90 kg
	// voltage.inverter.lowest from 72 to 71.77 admits lfp/24S1P/1x16S+1x8S
	// supply.source from 36 to 37 admits lfp/37S1P/2x16S+1x5S
}
