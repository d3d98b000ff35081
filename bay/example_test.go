package bay_test

import (
	"fmt"

	"packyard/bay"
	"packyard/cell"
	"packyard/unit"
)

// A boot of 1.0 x 0.6 x 0.35 m with a wheel house, and modules that may stand or
// lie on their side. All figures are invented.
func Example() {
	mm := func(v float64) unit.Length { return unit.Length(v) * unit.Millimetre }
	boot := bay.Bay{
		Name:     "boot",
		Boxes:    []bay.Box{{Size: bay.Vec{X: mm(1000), Y: mm(600), Z: mm(350)}}},
		KeepOuts: []bay.Box{{At: bay.Vec{X: mm(700), Y: mm(450)}, Size: bay.Vec{X: mm(300), Y: mm(150), Z: mm(200)}}},
		Wall:     mm(3), Clearance: mm(5), Gap: mm(5), Connector: mm(25),
		Opens: bay.Top,
	}
	module := bay.Kind{
		Name: "module", Mass: 12 * unit.Kilogram,
		Size:         cell.Size{X: mm(310), Y: mm(220), Z: mm(110)},
		Orientations: []cell.Orientation{cell.ZUp, cell.YUp},
	}
	n, bound, answer := bay.Most(&boot, module, bay.Options{})
	module.Count = n
	fmt.Println(n, "of at most", bound, "modules:", answer.Verdict)
	fmt.Println("checker:", bay.Verify(&boot, []bay.Kind{module}, answer.Placements))
	module.Count = bound + 1
	answer = bay.Place(&boot, []bay.Kind{module}, bay.Options{})
	fmt.Println("one more:", answer.Verdict)
	// Output:
	// 12 of at most 12 modules: fits
	// checker: <nil>
	// one more: proven not to fit
}
