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

// small is the universe of the cart: few enough candidates to work each of them
// out by hand.
var small = Universe{Window: 0.1, Supply: 0.1, Modules: 5}

// cart returns an invented cart of 96 to 144 V with two bays and two sources:
// small enough to be worked out one by one. Its figures are made up.
func cart(t testing.TB) *design.Brief {
	t.Helper()
	s, err := schedule.Find("japan-10-15")
	if err != nil {
		t.Fatal(err)
	}
	units := part.BuiltIn()
	space := func(name string, x, z float64, size bay.Vec, limit float64) bay.Bay {
		return bay.Bay{
			Name: name, At: vehicle.Point{X: unit.Length(x), Y: -size.Y / 2, Z: unit.Length(z)}, Boxes: []bay.Box{{Size: size}},
			Wall: 5 * unit.Millimetre, Clearance: 4 * unit.Millimetre, Gap: 3 * unit.Millimetre, Connector: 20 * unit.Millimetre,
			Opens: bay.Top, BoxMass: 12, MassLimit: unit.Mass(limit),
		}
	}
	price := func(x float64) check.Price {
		return check.Price{Amount: x, Currency: "EUR", Pos: check.Pos{Line: 1}}
	}
	return &design.Brief{
		Title: "test cart", Invented: true, Currency: "EUR",
		Donor: vehicle.Donor{
			Wheelbase: 1.9, TrackFront: 1.2, TrackRear: 1.2, WeighedFront: 330, WeighedRear: 300, HeightCG: 0.5,
			Ratings:    vehicle.Ratings{GrossMass: 905, AxleFront: 420, AxleRear: 500},
			TyreRadius: 0.27, Wheels: 4, WheelInertia: 0.6,
			Removed: []vehicle.Item{{Name: "engine", Mass: 95, At: vehicle.Point{X: 0.1, Z: 0.5}}},
			Added:   []vehicle.Item{{Name: "motor", Mass: 65, At: vehicle.Point{X: 1.7, Z: 0.4}}},
			LoadCases: []vehicle.LoadCase{{Name: "laden", Items: []vehicle.Item{
				{Name: "driver", Mass: 75, At: vehicle.Point{X: 0.7, Z: 0.8}}, {Name: "load", Mass: 130, At: vehicle.Point{X: 1.5, Z: 0.8}},
			}}},
		},
		Road: design.Road{Load: vehicle.RoadLoad{DragArea: 0.6, Rolling: 0.012}, DriverMass: 75, Ambient: unit.Celsius(15)},
		Drive: design.Drive{
			Unit: units.DriveUnit("generic-induction-120v"), Inverter: units.Inverter("generic-inverter-96-144v"),
			Charger: units.Charger("generic-charger-3k3-144v"), DrivenAxle: "rear",
			Stages:    []part.Stage{{Name: "axle", Ratio: 7, Efficiency: 0.96}},
			Regen:     drive.Regen{Share: 0.5, FadeFrom: 12 * unit.KilometrePerHour, FadeTo: 5 * unit.KilometrePerHour},
			Auxiliary: part.Auxiliaries{Measured: 200}, ReserveLow: 0.1, ReserveHigh: 0.03,
		},
		Bays: []bay.Bay{
			space("nose", -0.3, 0.4, bay.Vec{X: 0.46, Y: 0.72, Z: 0.24}, 75),
			space("seat", 0.9, 0.3, bay.Vec{X: 0.62, Y: 0.7, Z: 0.22}, 90),
		},
		Build: design.Build{CoolingShare: 0.05, FixedMass: 12, MassPerString: 4, CableResistance: 0.003, FixedPrice: 600, PricePerString: 150, PricePerBay: 90, HoursFixed: 10 * unit.Hour, HourRate: 20},
		Sources: []design.Source{
			{Name: "lfp", Kind: design.LooseCells, Cell: cell.BuiltIn().Cell("prismatic-lfp-35"), Hardware: cell.BuiltIn().HardwareByID("stack-prismatic-85"), Count: 90, Price: price(18), Health: cell.New},
			{Name: "closed", Kind: design.Closed, Module: cell.BuiltIn().Module("closed-prismatic-phev2-nmc-25-12s1p"), Count: 7, Spare: 1, Price: price(170), Health: cell.Health{CapacityShare: 0.85, ResistanceGrowth: 1.2}},
		},
		Targets: design.Targets{
			Schedule: s, Range: 50e3, RangeEnd: 36e3, PriceMax: 2750, Coldest: unit.Celsius(-5), Hottest: unit.Celsius(35), StringsMax: 2,
			Grade: 0.05, GradeSpeed: 30 * unit.KilometrePerHour, MassMax: 130, HandlingVoltage: 95, ChargeTime: 3 * unit.Hour,
			EndOfLife: cell.Health{CapacityShare: 0.7, ResistanceGrowth: 1.6},
		},
	}
}
