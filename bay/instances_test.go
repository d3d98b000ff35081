package bay

import (
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"packyard/cell"
	"packyard/unit"
)

// conversionBay draws a bay of the size a conversion offers: behind a cab, under
// a bonnet, in a boot or between the rails; with walls, clearances, gaps and up
// to two keep-outs. The ranges are our own (common practice).
func conversionBay(r *rand.Rand) Bay {
	mm := func(lo, hi, step int) unit.Length {
		return unit.Length(lo+step*r.IntN((hi-lo)/step+1)) / 1000
	}
	b := Bay{
		Name:  "drawn",
		Boxes: []Box{{Size: Vec{mm(600, 1400, 5), mm(400, 900, 5), mm(200, 500, 5)}}},
		Wall:  mm(2, 6, 1), Clearance: mm(2, 8, 1), Gap: mm(0, 10, 1),
		Connector: mm(0, 40, 5),
		Opens:     []Side{Top, Top, Top, Bottom, Rear, Left}[r.IntN(6)],
	}
	size := b.Boxes[0].Size
	if r.IntN(4) == 0 { // a second, lower part beside it
		b.Boxes = append(b.Boxes, Box{
			At:   Vec{size.X, 0, 0},
			Size: Vec{mm(200, 500, 5), size.Y * unit.Length(2+r.IntN(3)) / 4, size.Z * unit.Length(2+r.IntN(3)) / 4},
		})
	}
	for range max(0, r.IntN(5)-2) { // a wheel house, a pipe, a bracket: on the floor at a side
		k := Box{Size: Vec{mm(80, 300, 5), mm(60, 200, 5), mm(40, 200, 5)}}
		k.At.X = mm(0, max(1, int((size.X-k.Size.X)*1000)), 1)
		if r.IntN(2) == 0 {
			k.At.Y = size.Y - k.Size.Y
		}
		if b.Opens == Bottom {
			k.At.Z = size.Z - k.Size.Z
		}
		b.KeepOuts = append(b.KeepOuts, k)
	}
	return b
}

// conversionKinds draws one to three kinds of module: stacks of one slice that
// differ in length, or modules of different make.
func conversionKinds(r *rand.Rand) []Kind {
	mm := func(lo, hi int) unit.Length { return unit.Length(lo+r.IntN(hi-lo+1)) / 1000 }
	allowed := [][]cell.Orientation{{cell.ZUp}, {cell.ZUp}, {cell.ZUp, cell.YUp}, {cell.ZUp, cell.YUp, cell.XUp}}[r.IntN(4)]
	slice := cell.Size{Y: mm(120, 300), Z: mm(100, 250)}
	stacks := r.IntN(2) == 0
	var kinds []Kind
	for k := range 1 + r.IntN(3) {
		size := slice
		if !stacks {
			size = cell.Size{Y: mm(120, 300), Z: mm(100, 250)}
		}
		size.X = mm(150, 600)
		kinds = append(kinds, Kind{Name: string(rune('A' + k)), Size: size, Mass: 10, Orientations: allowed})
	}
	return kinds
}

// fill draws counts that fill between 30 and 100 % of the free volume.
func fill(r *rand.Rand, b *Bay, kinds []Kind) {
	s := newSpace(b)
	want := s.straight.free * (0.3 + 0.7*r.Float64())
	shapes := shapesOf(b, kinds, s.straight.size, nil)
	for range 200 {
		k := r.IntN(len(kinds))
		v := 0.0
		for _, sh := range shapes {
			if sh.kind == k {
				v = sh.volume
			}
		}
		if want -= v; want < 0 && kinds[k].Count > 0 {
			break
		}
		kinds[k].Count++
	}
}

// TestConversionSizedBaysAreClosed counts how many of the seeded instances are
// decided within one second. All 500 run with PACKYARD_ALL set.
func TestConversionSizedBaysAreClosed(t *testing.T) {
	t.Parallel()
	n := 100
	if os.Getenv("PACKYARD_ALL") != "" {
		n = 500
	}
	r := rand.New(rand.NewPCG(500, 4))
	closed, most, single, worst, why := 0, 0, 0, time.Duration(0), map[string]int{}
	for i := range n {
		b := conversionBay(r)
		kinds := conversionKinds(r)
		fill(r, &b, kinds)
		start := time.Now()
		a := Place(&b, kinds, Options{Nodes: 2_000_000, Time: 1})
		worst = max(worst, time.Since(start))
		why[string(a.Verdict)+": "+a.Reason]++
		if a.Verdict != NotProven {
			closed++
		} else if testing.Verbose() {
			t.Logf("case %d: %s nodes %d bay %v +%d -%d gap %g opens %s", i, a.Reason, a.Nodes, b.Boxes[0].Size, len(b.Boxes)-1, len(b.KeepOuts), b.Gap, b.Opens)
			for _, k := range kinds {
				t.Logf("    %v x%d %v", k.Size, k.Count, k.Orientations)
			}
		}
		one := kinds[0]
		one.Count = 0
		start = time.Now()
		got, bound, ans := Most(&b, one, Options{Nodes: 2_000_000, Time: 1})
		took := time.Since(start)
		single++
		if got == bound {
			most++
		} else if testing.Verbose() {
			t.Logf("most %d: %d of %d %d nodes %s bay %v +%d -%d gap %g conn %g; %v %v", i, got, bound, ans.Nodes, took, b.Boxes[0].Size, len(b.Boxes)-1, len(b.KeepOuts), b.Gap, b.Connector, one.Size, one.Orientations)
		}
	}
	t.Logf("closed: %d of %d sets of modules, %d of %d largest numbers; slowest set %s; %v", closed, n, most, single, worst, why)
	if closed*100 < 95*n || most*100 < 95*single {
		t.Errorf("closed %d of %d sets and %d of %d largest numbers, want 95 %%", closed, n, most, single)
	}
}
