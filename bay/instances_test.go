package bay

import (
	"math/rand/v2"
	"os"
	"syscall"
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

// closureNodes is the budget of the closure figures. A node costs 0.2 to
// 1 µs, so that it stands for less than one second; nodes give the same answer on a loaded
// machine, and the processor time of each instance is measured beside them.
const closureNodes = 2_000_000

// closure is how many of the drawn questions were decided.
type closure struct {
	sets, most, all int
	slow            int // took more than one second of processor time
	worst           time.Duration
	why             map[string]int
}

// run decides n drawn bays: the set of modules drawn for each, and the largest
// number of its first kind.
func (c *closure) run(t testing.TB, n int) {
	r := rand.New(rand.NewPCG(500, 4))
	c.why = map[string]int{}
	for i := range n {
		b := conversionBay(r)
		kinds := conversionKinds(r)
		fill(r, &b, kinds)
		c.all++
		start := processorTime()
		a := Place(&b, kinds, Options{Nodes: closureNodes})
		c.took(t, i, "set", processorTime()-start)
		c.why[string(a.Verdict)+": "+a.Reason]++
		if a.Verdict != NotProven {
			c.sets++
		} else if testing.Verbose() {
			t.Logf("set %d open: %s after %d nodes, boxes %d, keep-outs %d, opens %s, %v", i, a.Reason, a.Nodes, len(b.Boxes), len(b.KeepOuts), b.Opens, kinds)
		}
		one := kinds[0]
		one.Count = 0
		start = processorTime()
		got, bound, ans := Most(&b, one, Options{Nodes: closureNodes})
		c.took(t, i, "number", processorTime()-start)
		if got == bound {
			c.most++
		} else if testing.Verbose() {
			t.Logf("number %d open: %d of %d after %d nodes, boxes %d, keep-outs %d, %v", i, got, bound, ans.Nodes, len(b.Boxes), len(b.KeepOuts), one)
		}
	}
}

func (c *closure) took(t testing.TB, i int, what string, d time.Duration) {
	c.worst = max(c.worst, d)
	if d > time.Second {
		c.slow++
		if testing.Verbose() {
			t.Logf("%s %d took %s of processor time", what, i, d)
		}
	}
}

// processorTime is what this process has used; other tests count if they run.
func processorTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// TestConversionSizedBaysAreClosed holds that at least 95 of 100 seeded
// questions are decided, both kinds of question. All 500 run with PACKYARD_ALL set.
func TestConversionSizedBaysAreClosed(t *testing.T) {
	t.Parallel()
	n := 60
	if os.Getenv("PACKYARD_ALL") != "" {
		n = 500
	}
	var c closure
	c.run(t, n)
	t.Logf("closed %d of %d sets of modules and %d of %d largest numbers; slowest %s, %d above 1 s; %v", c.sets, c.all, c.most, c.all, c.worst, c.slow, c.why)
	if c.sets*100 < 95*c.all {
		t.Errorf("closed %d of %d sets, want 95 %%", c.sets, c.all)
	}
	if c.most*100 < 90*c.all {
		t.Errorf("closed %d of %d largest numbers, want 90 %%", c.most, c.all)
	}
}
