package design

import (
	"testing"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/heat"
)

// By hand, with the figures of the comments in thermal.go.
func TestPathsOfHeatOutOfACell(t *testing.T) {
	t.Parallel()
	const source = "t/(k·A) in series (handbook 6.25), by hand"
	pad := heat.Layer{Thickness: 1e-3, Conductivity: 3}
	c := cell.Cell{Format: cell.Prismatic, Mass: 1.9, Size: cell.Size{X: 0.036, Y: 0.130, Z: 0.200}}
	st := cell.Stack{Slice: &cell.Slice{Cell: &c, Series: 1, Parallel: 1, Mass: 1.9}, Groups: 1, SlicesParallel: 1}
	hold, plate := cellPaths(&st, pad)
	// Foot 0.00468 m²; along 20·0.00468/0.1 = 0.936 W/K; pad 3·0.00468/0.001 = 14.04 W/K.
	checktest.Near(t, "prismatic to the plate, W/K", plate, 0.936*14.04/(0.936+14.04), 0, 1e-12, source)
	checktest.Near(t, "prismatic to the frame, W/K", hold, 30*2*(0.036*0.130+0.036*0.200), 0, 1e-12, source)
	// 0.7 kg of sheet on the face: 0.7/(2700·0.13·0.2) = 9.97 mm of it, 150·0.00997·0.13/0.1 = 1.944 W/K more.
	st.Slice.Mass = 2.6
	_, spread := cellPaths(&st, pad)
	along := 0.936 + 150*0.7/(2700*0.130*0.200)*0.130/0.1
	checktest.Near(t, "with a heat-spreading plate, W/K", spread, along*14.04/(along+14.04), 0, 1e-12, source)
	c.Format, c.Size = cell.Cylindrical, cell.Size{X: 0.021, Y: 0.021, Z: 0.070}
	_, plate = cellPaths(&st, pad)
	foot := 3.46360590e-4 // π/4·21 mm²
	along = 13 * foot / 0.035
	checktest.Near(t, "round to the plate, W/K", plate, along*3000*foot/(along+3000*foot), 0, 1e-8, source)
}
