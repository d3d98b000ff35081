package drawing_test

import (
	"bytes"
	"fmt"
	"strings"

	"packyard/bay"
	"packyard/design"
	"packyard/drawing"
	"packyard/unit"
	"packyard/vehicle"
)

// A vehicle with one bay, before any option is chosen.
func Example() {
	b := &design.Brief{
		Title: "Bread van", Invented: true,
		Donor: vehicle.Donor{Wheelbase: 2.2, TrackFront: 1.3, TrackRear: 1.3, WeighedFront: 480, WeighedRear: 420, HeightCG: 0.6, TyreRadius: 0.29},
		Bays:  []bay.Bay{{Name: "under the floor", At: vehicle.Point{X: 0.6, Y: -0.4, Z: 0.25}, Boxes: []bay.Box{{Size: bay.Vec{X: 1.1, Y: 0.8, Z: 0.2}}}, Opens: bay.Bottom}},
	}
	v := drawing.View{Brief: b, Title: drawing.Title{Project: b.Title, Invented: b.Invented, System: unit.SI}}
	sheet := drawing.SideView(v)
	var svg, glb bytes.Buffer
	if err := sheet.SVG(&svg); err != nil {
		fmt.Println(err)
	}
	if err := drawing.GLB(&glb, drawing.VehicleScene(v)); err != nil {
		fmt.Println(err)
	}
	width, _ := sheet.Size()
	fmt.Println(sheet.Heading(), "on", unit.Format(width, unit.SI))
	fmt.Println("axle loads drawn:", strings.Count(svg.String(), `data-kind="axle-load"`))
	fmt.Println(string(glb.Bytes()[:4]))
	// Output:
	// Side view on 200.0 mm
	// axle loads drawn: 4
	// glTF
}
