package search

import (
	"testing"

	"packyard/bay"
	"packyard/cell"
	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

// truck returns an invented small truck with two sources, for tests of the
// search: its figures are made up.
func truck(t testing.TB) *design.Brief {
	t.Helper()
	s, err := schedule.Find("wltc-class2")
	if err != nil {
		t.Fatal(err)
	}
	units := part.BuiltIn()
	box := func(x, y, z float64) []bay.Box {
		return []bay.Box{{Size: bay.Vec{X: unit.Length(x), Y: unit.Length(y), Z: unit.Length(z)}}}
	}
	space := func(name string, x, y, z float64, b []bay.Box) bay.Bay {
		return bay.Bay{
			Name: name, At: vehicle.Point{X: unit.Length(x), Y: unit.Length(y), Z: unit.Length(z)}, Boxes: b,
			Wall: 6 * unit.Millimetre, Clearance: 5 * unit.Millimetre, Gap: 3 * unit.Millimetre, Connector: 20 * unit.Millimetre,
			Opens: bay.Top, BoxMass: 20 * unit.Kilogram, MassLimit: 230 * unit.Kilogram,
		}
	}
	return &design.Brief{
		Title: "test truck", Invented: true, Currency: "EUR",
		Donor: vehicle.Donor{
			Wheelbase: 2.55, TrackFront: 1.38, TrackRear: 1.36, WeighedFront: 742, WeighedRear: 518, HeightCG: 0.64,
			Ratings:    vehicle.Ratings{GrossMass: 2350, AxleFront: 1050, AxleRear: 1450},
			TyreRadius: 0.3, Wheels: 4, WheelInertia: 1.1,
			Removed: []vehicle.Item{{Name: "engine", Mass: 190, At: vehicle.Point{X: 0.06, Z: 0.64}}},
			Added:   []vehicle.Item{{Name: "motor", Mass: 90, At: vehicle.Point{X: 0.24, Z: 0.54}}},
			LoadCases: []vehicle.LoadCase{{Name: "fruit", Items: []vehicle.Item{
				{Name: "driver", Mass: 75, At: vehicle.Point{X: 0.62, Y: 0.35, Z: 0.9}},
				{Name: "fruit", Mass: 450, At: vehicle.Point{X: 2.25, Z: 1.15}},
			}}},
		},
		Road: design.Road{Load: vehicle.RoadLoad{DragArea: 1.18, Rolling: 0.0125}, DriverMass: 150, Ambient: unit.Celsius(15)},
		Drive: design.Drive{
			Unit: units.DriveUnit("generic-car-unit-80kw"), Inverter: units.Inverter("generic-inverter-270-440v"),
			Charger: units.Charger("generic-charger-6k6-400v"), Converter: units.Converter("generic-converter-400v"),
			DrivenAxle: "rear", Regen: drive.Regen{Share: 0.55, FadeFrom: 12 * unit.KilometrePerHour, FadeTo: 5 * unit.KilometrePerHour},
			Auxiliary: part.Auxiliaries{Measured: 350}, ReserveLow: 0.08, ReserveHigh: 0.03,
		},
		Bays: []bay.Bay{
			space("front", -0.38, -0.4, 0.56, box(0.74, 0.8, 0.38)),
			space("side", 0.98, 0.27, 0.27, box(1.12, 0.43, 0.36)),
			space("rear", 2.78, -0.38, 0.42, box(0.64, 0.76, 0.3)),
		},
		Build: design.Build{CoolingShare: 0.04, FixedMass: 26, MassPerString: 7, CableResistance: 0.004, FixedPrice: 1450, PricePerBay: 260},
		Sources: []design.Source{
			{Name: "lfp", Kind: design.LooseCells, Cell: cell.BuiltIn().Cell("prismatic-lfp-105"), Hardware: cell.BuiltIn().HardwareByID("stack-prismatic-105"),
				Count: 130, Price: check.Price{Amount: 41, Currency: "EUR", Pos: check.Pos{Line: 1}}, Health: cell.New},
			{Name: "closed", Kind: design.Closed, Module: cell.BuiltIn().Module("closed-prismatic-nmc-94-12s1p"),
				Count: 10, Price: check.Price{Amount: 500, Currency: "EUR", Pos: check.Pos{Line: 1}}, Health: cell.Health{CapacityShare: 0.9, ResistanceGrowth: 1.15}},
		},
		Targets: design.Targets{
			Schedule: s, Range: 100 * 1000, PriceMax: 8500, Coldest: unit.Celsius(-10), Hottest: unit.Celsius(36), StringsMax: 1,
			EndOfLife: cell.Health{CapacityShare: 0.7, ResistanceGrowth: 1.7},
		},
	}
}

func frame(t testing.TB, b *design.Brief) *design.Frame {
	t.Helper()
	f, err := design.NewFrame(b)
	if err != nil {
		t.Fatal(err)
	}
	return f
}
