package drive

import (
	"math"
	"testing"

	"packyard/cell"
	"packyard/pack"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

// The vehicle and the cell of these tests are invented; figures from outside
// stand in the tests that use them.

const tonne = 1000 * unit.Kilogram

// smallVan is a van of 1 600 kg with a motor of textbook form.
func smallVan() Train {
	return Train{
		Mass: 1.6 * tonne, MassRotating: 50,
		Road: vehicle.RoadLoad{DragArea: 0.75, Rolling: 0.011},
		Air:  vehicle.Air{}, TyreRadius: 0.3,
		Stages: []part.Stage{
			{Name: "reducer", Ratio: 2.5, Efficiency: 0.99},
			{Name: "final drive", Ratio: 3.6, Efficiency: 0.98},
		},
		Unit: &part.DriveUnit{
			ID: "test", TorquePeak: 250, TorqueContinuous: 120, PowerPeak: 80e3, PowerContinuous: 45e3, PeakDuration: 60,
			VoltageRef: 300, SpeedMax: 1300, Ratio: 1,
			Loss: part.Loss{KCopper: 0.1, KIron: 1.1, KWindage: 2e-6, Constant: 50},
		},
		Inverter:  &part.Inverter{ID: "test", Efficiency: 0.97, Idle: 30, Bands: part.Bands{FullMin: 220, FullMax: 420, ReducedMin: 200, ReducedMax: 430, NeverExceed: 450}},
		Regen:     Regen{Share: 0.8, FadeFrom: 15 * unit.KilometrePerHour, FadeTo: 5 * unit.KilometrePerHour},
		Auxiliary: 350,
	}
}

// table is an invented cell of 50 A·h with a bent open-circuit voltage.
func table(n int) *cell.Table {
	t := &cell.Table{Temperature: 298.15, Capacity: 50 * 3600}
	for i := range n {
		z := float64(i) / float64(n-1)
		t.OCV = append(t.OCV, 3.2+0.75*z+0.2*math.Pow(z, 4)-0.25*math.Exp(-12*z))
		t.R0 = append(t.R0, 0.0010+0.0006*math.Exp(-8*z))
		t.R1, t.Tau1 = append(t.R1, 0.0006+0.0003*(1-z)), append(t.Tau1, 12+4*z)
		t.R2, t.Tau2 = append(t.R2, 0.0008+0.0002*z), append(t.Tau2, 300-80*z)
	}
	return t
}

func cellLimits() CellLimits {
	return CellLimits{DischargePeak: 5, DischargeContinuous: 3, ChargePeak: 3, ChargeContinuous: 1, Capacity: 50 * unit.AmpereHour, VoltageMin: 2.8, VoltageMax: 4.15}
}

func lumped(t testing.TB, n int, step unit.Time) *Lumped {
	t.Helper()
	l, err := LumpedFrom(table(n), cellLimits(), step)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func pack96() *pack.Pack {
	return &pack.Pack{Topology: pack.Topology{Series: 96, Parallel: 2, Strings: 1}, Cell: &cell.Cell{VoltageMax: 4.15, VoltageMin: 2.8, Capacity: 50 * 3600}, Resistance: 0.02, SoCMin: 0.05, SoCMax: 1}
}

func find(t testing.TB, id string) *schedule.Schedule {
	t.Helper()
	s, err := schedule.Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func demand(t testing.TB, train Train, s *schedule.Schedule, o DemandOptions) *Demand {
	t.Helper()
	d, err := NewDemand(train, s, o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}
