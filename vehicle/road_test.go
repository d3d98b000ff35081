package vehicle_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/internal/exact"
	"packyard/unit"
	"packyard/vehicle"
)

func table(t *testing.T, name string) [][]string {
	t.Helper()
	rows := checktest.Table(t, checktest.Reference(t, name))
	return rows[1:]
}

// Tolerances are half a unit of the last digit printed.
func TestStandardAtmosphereMatchesItsTable(t *testing.T) {
	t.Parallel()
	const source = "ISO 2533, US Standard Atmosphere 1976"
	for _, row := range table(t, "handbook_isa.csv") {
		a := vehicle.Air{Altitude: unit.Length(number(t, row[0]))}
		checktest.Near(t, "pressure at "+row[0]+" m", float64(a.Pressure()), number(t, row[2]), 0.51, 0, source)
		checktest.Near(t, "density at "+row[0]+" m", float64(a.Density()), number(t, row[3]), 0.0000501, 0, source)
		a.Temperature = unit.Temperature(number(t, row[1]))
		// The temperature of the table is rounded to 0.005 K, 2e-5 of the density.
		checktest.Near(t, "density by temperature at "+row[0]+" m", float64(a.Density()), number(t, row[3]), 0.0000501, 2e-5, source)
	}
	for _, c := range [][2]float64{{-20, 1.3944}, {-10, 1.3414}, {0, 1.2923}, {15, 1.2250}, {25, 1.1839}, {35, 1.1455}} {
		a := vehicle.Air{Temperature: unit.Celsius(c[0])}
		checktest.Near(t, "density by temperature", float64(a.Density()), c[1], 0.0000501, 0, "handbook line 5.32 (gas law)")
	}
}

func TestAirOutsideTheModelIsNamed(t *testing.T) {
	t.Parallel()
	for name, a := range map[string]vehicle.Air{
		"altitude": {Altitude: 12000}, "altitude not a number": {Altitude: unit.Length(math.NaN())},
		"temperature in °C instead of K": {Temperature: 20}, "wind": {Headwind: 80},
	} {
		if err := a.Validate(); !errors.Is(err, vehicle.ErrAir) {
			t.Errorf("%s: got %v, want ErrAir", name, err)
		}
	}
	if err := (vehicle.Air{Temperature: 293.15, Altitude: 320, Headwind: -5}).Validate(); err != nil {
		t.Errorf("an ordinary day: got %v", err)
	}
}

// Every row: the coast-down form gives the force printed at 80 km/h within
// 1 N (the handbook's check of the table) and the power within its last digit.
func TestDynamometerLoadsOfRegulation83(t *testing.T) {
	t.Parallel()
	const source = "UN R83 Annex 4a Table 3"
	rows := table(t, "handbook_r83_dyno_loads.csv")
	if len(rows) != 13 {
		t.Fatalf("rows: got %d, want 13", len(rows))
	}
	for _, row := range rows {
		m := number(t, row[2])
		r := vehicle.RoadLoad{Coast: &vehicle.CoastDown{A: unit.Force(number(t, row[5])), C: unit.AeroDrag(number(t, row[6]) * 12.96),
			MassRef: unit.Mass(m), DensityRef: 1.225}}
		f := float64(r.Force(vehicle.Motion{Mass: unit.Mass(m), Speed: 80 * kmh}, vehicle.Air{}))
		checktest.Near(t, "force at 80 km/h, "+row[2]+" kg, N", f, number(t, row[4]), 1, 0, source)
		checktest.Near(t, "power at 80 km/h, "+row[2]+" kg, kW", f*80*kmh/1e3, number(t, row[3]), 0.051, 0.003, source)
	}
}

// EPA LDTP 77-11: within 0.093 m² with 80 % confidence. The outline is that of
// a boxy car of 1.95 m by 1.76 m; the factor 0.80 is the report's.
func TestFrontalAreaIsFourFifthsOfTheOutline(t *testing.T) {
	t.Parallel()
	checktest.Near(t, "area, m²", float64(vehicle.FrontalArea(vehicle.Outline{Height: 1.95, Width: 1.76})), 2.7456, 1e-9, 0, "EPA LDTP 77-11")
}

func TestRotatingMassDefaultsAndErrors(t *testing.T) {
	t.Parallel()
	checktest.Near(t, "coasting, kg", float64(vehicle.RotatingMassCoasting(1500)), 70, 1e-9, 0, "UN GTR 15, from memory (3 % and 25 kg)")
	checktest.Near(t, "bias-ply truck tyre at 50 mph", float64(vehicle.RollingTruck(vehicle.BiasPly, 50*mph, 1.2)), (0.0066+0.0023)*1.2, 1e-12, 0, "Fancher, in Gillespie ch. 4")
	d := truck()
	d.Wheels, d.WheelInertia, d.TyreRadius = 4, 1, 0.33
	mr, err := vehicle.RotatingMass(d.Rotating(0.04, 9))
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "with motor, kg", float64(mr), 66.48301, 0, 1e-6, "handbook WE-23")
	if _, err := vehicle.RotatingMass(vehicle.Rotating{Motor: 1}); !errors.Is(err, vehicle.ErrRotating) {
		t.Errorf("no radius: got %v, want ErrRotating", err)
	}
}

// Both forms with the same figures are one road load, at any mass and density.
func TestFormsOfRoadLoadAgree(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		area, crr, mRef, rhoRef := f(0.5, 3, "area"), f(0.005, 0.02, "crr"), f(800, 3000, "reference mass"), f(0.9, 1.35, "reference density")
		direct := vehicle.RoadLoad{DragArea: unit.Area(area), Rolling: unit.Ratio(crr)}
		coast := vehicle.RoadLoad{Coast: &vehicle.CoastDown{A: unit.Force(mRef * 9.80665 * crr), C: unit.AeroDrag(rhoRef / 2 * area),
			MassRef: unit.Mass(mRef), DensityRef: unit.Density(rhoRef)}}
		m := vehicle.Motion{Mass: unit.Mass(f(800, 3000, "mass")), MassRotating: 60, Speed: unit.Speed(f(-5, 40, "speed")),
			Acceleration: unit.Acceleration(f(-3, 3, "acceleration")), Slope: unit.Slope(f(-0.3, 0.3, "slope"))}
		air := vehicle.Air{Temperature: unit.Temperature(f(250, 310, "temperature")), Altitude: unit.Length(f(0, 3000, "altitude")), Headwind: unit.Speed(f(-15, 15, "wind"))}
		a, b := direct.Force(m, air), coast.Force(m, air)
		if math.Abs(float64(a-b)) > 1e-9*(1+math.Abs(float64(a))) {
			t.Fatalf("drag area form %v N, coast-down form %v N", float64(a), float64(b))
		}
	})
}

// The plain arithmetic promised by Coefficients is Forces.
func TestCoefficientsGiveTheForces(t *testing.T) {
	t.Parallel()
	r := vehicle.RoadLoad{Coast: &vehicle.CoastDown{A: 150, B: 1.2, C: 0.5, MassRef: 1500, DensityRef: 1.19}}
	air := vehicle.Air{Temperature: 278, Altitude: 500, Headwind: 4}
	a, b, c := r.Coefficients(1800, air)
	checktest.Near(t, "a, N", float64(a), 180, 1e-12, 0, "ISO 10521-1 (mass in proportion)")
	checktest.Near(t, "b", float64(b), 1.2, 0, 0, "ISO 10521-1")
	checktest.Near(t, "c", float64(c), 0.5*float64(air.Density())/1.19, 1e-12, 0, "ISO 10521-1 (density in proportion)")
	v, s := 18.0, 0.07
	th := math.Atan(s)
	want := float64(a)*math.Cos(th) + float64(b)*v + float64(c)*(v+4)*math.Abs(v+4) + 1800*9.80665*math.Sin(th) + 1870*0.3
	got := r.Force(vehicle.Motion{Mass: 1800, MassRotating: 70, Speed: unit.Speed(v), Slope: unit.Slope(s), Acceleration: 0.3}, air)
	checktest.Near(t, "force, N", float64(got), want, 1e-9, 0, "Gillespie ch. 2 and 4")
}

func TestWindSlopeAndStandstillHaveTheirSigns(t *testing.T) {
	t.Parallel()
	r := vehicle.RoadLoad{DragArea: 1, Rolling: 0.01}
	at := func(v, w, s float64) vehicle.RoadForces {
		return r.Forces(vehicle.Motion{Mass: 1000, Speed: unit.Speed(v), Slope: unit.Slope(s)}, vehicle.Air{Headwind: unit.Speed(w)})
	}
	if f := at(0, 0, 0).Total(); f != 0 {
		t.Errorf("standing in still air on the level: got %v N, want 0", float64(f))
	}
	if f := at(0, 0, 0.1); f.Rolling != 0 || f.Grade <= 0 {
		t.Errorf("standing on a hill: got %+v, want no rolling force and a positive grade force", f)
	}
	if a, b := at(20, 5, 0).Drag, at(25, 0, 0).Drag; a != b {
		t.Errorf("headwind adds to the speed: got %v N, want %v N", float64(a), float64(b))
	}
	if f := at(10, -25, 0).Drag; f >= 0 || f != -at(15, 0, 0).Drag {
		t.Errorf("tailwind faster than the vehicle: got %v N, want a push of %v N", float64(f), -float64(at(15, 0, 0).Drag))
	}
	if f := at(-3, 0, 0); f.Rolling != -at(3, 0, 0).Rolling || f.Drag != -at(3, 0, 0).Drag {
		t.Errorf("reversing: got %+v, want the forces turned round", f)
	}
	if f := at(10, 0, -0.05).Grade; f != -at(10, 0, 0.05).Grade || f >= 0 {
		t.Errorf("downhill: got %v N, want a push", float64(f))
	}
}

func TestSlopeHeldIsWhereTheForceIsUsedUp(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		r := vehicle.RoadLoad{Coast: &vehicle.CoastDown{A: unit.Force(f(50, 300, "A")), B: unit.Damping(f(-1, 3, "B")), C: unit.AeroDrag(f(0.2, 1, "C")), MassRef: 1500, DensityRef: 1.2}}
		m := vehicle.Motion{Mass: unit.Mass(f(900, 3000, "mass")), Speed: unit.Speed(f(1, 35, "speed"))}
		air := vehicle.Air{Headwind: unit.Speed(f(-5, 5, "wind"))}
		force := f(0, 8000, "force")
		s, err := r.SlopeHeld(unit.Force(force), m, air)
		if err != nil {
			t.Fatal(err)
		}
		m.Slope = s
		if got := float64(r.Force(m, air)); math.Abs(got-force) > 1e-7*(1+force) {
			t.Fatalf("force on the slope found: got %v N, want %v N", got, force)
		}
	})
	r := vehicle.RoadLoad{DragArea: 1, Rolling: 0.01}
	for name, m := range map[string]vehicle.Motion{"standing": {Mass: 1000}, "no mass": {Speed: 3}} {
		if _, err := r.SlopeHeld(100, m, vehicle.Air{}); !errors.Is(err, vehicle.ErrRoadLoad) {
			t.Errorf("%s: got %v, want ErrRoadLoad", name, err)
		}
	}
	if _, err := r.SlopeHeld(1e6, vehicle.Motion{Mass: 1000, Speed: 3}, vehicle.Air{}); !errors.Is(err, vehicle.ErrRoadLoad) {
		t.Errorf("more than the weight: got %v, want ErrRoadLoad", err)
	}
}

func TestRoadLoadWithoutReferenceIsRefused(t *testing.T) {
	t.Parallel()
	for name, r := range map[string]vehicle.RoadLoad{
		"empty": {}, "negative drag": {DragArea: -1, Rolling: 0.01},
		"no reference mass":    {Coast: &vehicle.CoastDown{A: 100, C: 0.4, DensityRef: 1.2}},
		"no reference density": {Coast: &vehicle.CoastDown{A: 100, C: 0.4, MassRef: 1500}},
		"negative C":           {Coast: &vehicle.CoastDown{A: 100, C: -0.4, MassRef: 1500, DensityRef: 1.2}},
	} {
		if err := r.Validate(); !errors.Is(err, vehicle.ErrRoadLoad) {
			t.Errorf("%s: got %v, want ErrRoadLoad", name, err)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("Coefficients of a coast-down without reference: want a panic")
		}
	}()
	vehicle.RoadLoad{Coast: &vehicle.CoastDown{A: 100}}.Coefficients(1500, vehicle.Air{})
}

// coastMidpoint rolls out with the midpoint rule and the forces of Forces.
func coastMidpoint(r vehicle.RoadLoad, mass, rotating, v, end, h float64) float64 {
	slow := func(v float64) float64 {
		return -float64(r.Force(vehicle.Motion{Mass: unit.Mass(mass), Speed: unit.Speed(v)}, vehicle.Air{})) / (mass + rotating)
	}
	n := int(math.Round(end / h))
	for range n {
		v += h * slow(v+h/2*slow(v))
	}
	return v
}

// Closed form 5.19 against numerical integration of Forces: halving the step
// of the midpoint rule divides the error by four.
func TestRollOutMeetsTheClosedFormInSecondOrder(t *testing.T) {
	t.Parallel()
	r := vehicle.RoadLoad{Coast: &vehicle.CoastDown{A: 180, C: 0.45, MassRef: 1500, DensityRef: vehicle.Air{}.Density()}}
	k := exact.Coast{M: 1560, A: 180, C: 0.45}
	end := 64.0
	want := k.Speed(30, end)
	coarse := coastMidpoint(r, 1500, 60, 30, end, 2) - want
	fine := coastMidpoint(r, 1500, 60, 30, end, 1) - want
	finest := coastMidpoint(r, 1500, 60, 30, end, 1.0/64) - want
	checktest.Near(t, "order: ratio of the errors", coarse/fine, 4, 0.2, 0, "midpoint rule, second order")
	checktest.Near(t, "speed after 64 s, error in m/s", finest, 0, 1e-6, 0, "handbook line 5.19")
}
