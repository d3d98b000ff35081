package vehicle_test

import (
	"fmt"
	"log"

	"packyard/check"
	"packyard/unit"
	"packyard/vehicle"
)

// An invented flatbed loses its engine and gains a motor and a battery. The
// wheels are weighed again on paper, held against the ratings, and the power
// to roll at 80 km/h is found.
func Example() {
	donor := vehicle.Donor{
		Wheelbase: 2.8, TrackFront: 1.44, TrackRear: 1.40, HeightCG: 0.62,
		WeighedFront: 880 * unit.Kilogram, WeighedRear: 640 * unit.Kilogram,
		Ratings: vehicle.Ratings{GrossMass: 2600, AxleFront: 1150, AxleRear: 1650},
		Removed: []vehicle.Item{{Name: "engine", Mass: 165, At: vehicle.Point{X: 0.05, Y: 0.02, Z: 0.65}}},
		Added:   []vehicle.Item{{Name: "motor", Mass: 78, At: vehicle.Point{X: 0.2, Z: 0.5}}},
	}
	battery := []vehicle.Item{{Name: "battery", Mass: 295, At: vehicle.Point{X: 1.5, Z: 0.55}}}
	s, err := donor.Convert(battery)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.0f kg, axles %.0f and %.0f kg, centre of gravity at %.3f m, %.3f m high\n",
		s.Mass.Kilograms(), s.AxleFront.Kilograms(), s.AxleRear.Kilograms(), s.CG.X.Metres(), s.CG.Z.Metres())
	for _, f := range donor.Check(s) {
		fmt.Printf("%s margin %.1f %% %v\n", f.Rule, 100*f.Margin, f.Severity == check.Failure)
	}
	left, _ := donor.PayloadLeft(s)
	fmt.Printf("payload left %.0f kg\n", left.Kilograms())

	road := vehicle.RoadLoad{DragArea: 1.35 * unit.SquareMetre, Rolling: 0.012}
	air := vehicle.Air{Temperature: unit.Celsius(10), Altitude: 320 * unit.Metre}
	v := 80 * unit.KilometrePerHour
	force := road.Force(vehicle.Motion{Mass: s.Mass, Speed: v}, air)
	fmt.Printf("%.0f N, %.1f kW at 80 km/h\n", force.Newtons(), force.Newtons()*v.MetresPerSecond()/1e3)
	// Output:
	// 1728 kg, axles 927 and 801 kg, centre of gravity at 1.297 m, 0.600 m high
	// mass.gross margin 33.5 % false
	// mass.axle.front margin 19.4 % false
	// mass.axle.rear margin 51.5 % false
	// payload left 872 kg
	// 603 N, 13.4 kW at 80 km/h
}

// A coast-down log of runs both ways gives drag area and rolling coefficient
// with their intervals.
func ExampleFitCoastDown() {
	r := day
	r.noise = 0
	fit, err := vehicle.FitCoastDown([]vehicle.CoastRun{r.log(false, nil), r.log(true, nil)},
		vehicle.CoastOptions{Mass: 1540, MassRotating: 62, Air: vehicle.Air{Temperature: unit.Celsius(15)}})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("A %.1f N, C %.3f N/(m/s)², wind %.2f m/s, rolling coefficient %.4f\n",
		fit.A.Value.Newtons(), float64(fit.C.Value), fit.Wind.Value.MetresPerSecond(), float64(fit.Rolling.Value))
	// Output:
	// A 195.0 N, C 0.460 N/(m/s)², wind 1.20 m/s, rolling coefficient 0.0129
}
