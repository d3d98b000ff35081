package design_test

import (
	"math"
	"testing"

	"packyard/bay"
)

// TestSeatsFillTheirModules: the slabs of a module lie in its box, one behind
// the other, and their names are those of the thermal groups.
func TestSeatsFillTheirModules(t *testing.T) {
	t.Parallel()
	f := frame(t, van(t))
	p := somePlaced(t, f)
	seats, err := f.Seats(p)
	if err != nil {
		t.Fatal(err)
	}
	top := p.Wiring.Topology
	if len(seats) != top.Series*top.Strings {
		t.Fatalf("%d seats, %d groups", len(seats), top.Series*top.Strings)
	}
	volume := func(b bay.Box) float64 { return float64(b.Size.X) * float64(b.Size.Y) * float64(b.Size.Z) }
	used, whole := map[[2]int]float64{}, map[[2]int]float64{}
	for i, s := range seats {
		box := p.Places[s.Bay][s.Place].Box
		key := [2]int{s.Bay, s.Place}
		used[key] += volume(s.Slab)
		whole[key] = volume(box)
		for _, x := range [][4]float64{
			{float64(s.Slab.At.X), float64(s.Slab.Size.X), float64(box.At.X), float64(box.Size.X)},
			{float64(s.Slab.At.Y), float64(s.Slab.Size.Y), float64(box.At.Y), float64(box.Size.Y)},
			{float64(s.Slab.At.Z), float64(s.Slab.Size.Z), float64(box.At.Z), float64(box.Size.Z)},
		} {
			if x[0] < x[2]-1e-9 || x[0]+x[1] > x[2]+x[3]+1e-9 {
				t.Errorf("group %d sticks out of its module: %v", i+1, x)
			}
		}
		if i > 0 && seats[i-1].Place == s.Place && seats[i-1].Bay == s.Bay && seats[i-1].Turned == s.Turned {
			t.Errorf("groups %d and %d of one module have their poles alike", i, i+1)
		}
	}
	for key, v := range used {
		if share := v / whole[key]; !(share > 0.5 && share < 1+1e-9) || math.IsNaN(share) {
			t.Errorf("module %v: its groups fill %g of it", key, share)
		}
	}
}
