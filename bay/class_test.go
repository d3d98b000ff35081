package bay

import (
	"testing"

	"packyard/cell"
)

// The sections of a bay were once bounded with tables that reached only as far
// as the last shape of a class allows; a shape of less area beside it was
// forgotten, and eight modules that fit were said not to.
func TestBoundCountsTheSmallestShapeOfAClass(t *testing.T) {
	t.Parallel()
	b := Bay{Boxes: []Box{{Size: Vec{0.032, 0.04, 0.042}}}, Gap: 0.01, Opens: Front}
	k := Kind{Name: "a", Size: cell.Size{X: 0.01, Y: 0.01, Z: 0.02}, Orientations: []cell.Orientation{cell.ZUp, cell.YUp, cell.XUp}}
	// By hand: with the gap, two layers of 21 mm, each a ring of four of
	// 20 x 30 mm and 30 x 20 mm in 50 x 52 mm.
	for _, nodes := range []int{-1, 100, 50_000} {
		if n, bound, _ := Most(&b, k, Options{Nodes: nodes}); bound < 8 || nodes > 0 && n != 8 {
			t.Errorf("%d nodes: %d placed, at most %d; 8 fit", nodes, n, bound)
		}
	}
}
