package spread_test

import (
	"context"
	"fmt"

	"packyard/check"
	"packyard/spread"
	"packyard/unit"
)

// The energy to climb a hill, from a mass that was weighed and a height read from
// a map.
func ExampleRun() {
	s := &spread.Study{
		Inputs: []spread.Input{
			{Name: "mass", Stated: check.Stated{Value: check.Of(1500 * unit.Kilogram), Tol: 20, Kind: unit.Deviation}},
			{Name: "height", Stated: check.Stated{Value: check.Of(320 * unit.Metre), Tol: 10, Kind: unit.Band}},
		},
		Outputs: []spread.Output{{Name: "energy", Symbol: "J", Noun: "energy"}},
		Worker: func() (spread.Model, error) {
			return func(x, y []float64) error {
				y[0] = x[0] * 9.80665 * x[1]
				return nil
			}, nil
		},
	}
	r, err := spread.Run(context.Background(), s, spread.Options{Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	f := &r.Figures[0]
	fmt.Printf("%s: %.2f to %.2f kWh in 80 of 100 draws\n", f.Name, unit.Energy(f.P10.Value.SI).KilowattHours(), unit.Energy(f.P90.Value.SI).KilowattHours())
	for _, share := range f.Shares {
		fmt.Printf("%s makes %.0f %% of the variance\n", share.Input, 100*float64(share.Total))
	}
	// Output:
	// energy: 1.27 to 1.35 kWh in 80 of 100 draws
	// height makes 65 % of the variance
	// mass makes 35 % of the variance
}
