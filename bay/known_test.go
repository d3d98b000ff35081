package bay

import (
	"testing"

	"packyard/cell"
	"packyard/unit"
)

var everyWay = []cell.Orientation{cell.ZUp, cell.YUp, cell.XUp}

// bricks returns kinds with edges in decimetres.
func brick(name string, x, y, z float64, n int, o ...cell.Orientation) Kind {
	if len(o) == 0 {
		o = everyWay
	}
	dm := func(v float64) unit.Length { return unit.Length(v) / 10 }
	return Kind{Name: name, Size: cell.Size{X: dm(x), Y: dm(y), Z: dm(z)}, Orientations: o, Count: n}
}

func boxAt(x, y, z, dx, dy, dz float64) Box {
	dm := func(v float64) unit.Length { return unit.Length(v) / 10 }
	return Box{Vec{dm(x), dm(y), dm(z)}, Vec{dm(dx), dm(dy), dm(dz)}}
}

func plainBay(dx, dy, dz float64) Bay {
	return Bay{Boxes: []Box{boxAt(0, 0, 0, dx, dy, dz)}, Opens: Top}
}

// TestKnownPackingsAreDecided holds the solver to packings that are published
// or can be proven by hand.
func TestKnownPackingsAreDecided(t *testing.T) {
	t.Parallel()
	hole := plainBay(3, 3, 1)
	hole.KeepOuts = []Box{boxAt(1, 1, 0, 1, 1, 1)}
	shelf := plainBay(3, 1, 2)
	shelf.KeepOuts = []Box{boxAt(1, 0, 1, 2, 1, 0.5)}
	stepped := plainBay(3, 1, 1)
	stepped.Boxes = append(stepped.Boxes, boxAt(0, 0, 1, 1, 1, 1))
	for _, c := range []struct {
		name   string
		bay    Bay
		kinds  []Kind
		want   Verdict
		source string
	}{
		{"eight cubes fill a cube", plainBay(2, 2, 2), []Kind{brick("a", 1, 1, 1, 8)}, Fits, "by hand: volume"},
		{"nine cubes do not", plainBay(2, 2, 2), []Kind{brick("a", 1, 1, 1, 9)}, NotFit, "by hand: volume"},
		{"pinwheel of four 3x2 about a 1x1 in 5x5", plainBay(5, 5, 1),
			[]Kind{brick("a", 3, 2, 1, 4, cell.ZUp), brick("b", 1, 1, 1, 1, cell.ZUp)}, Fits, "by hand: no cut from side to side exists"},
		{"four dominoes about a keep-out in the middle", hole, []Kind{brick("a", 2, 1, 1, 4, cell.ZUp)}, Fits, "by hand: ring"},
		{"no fifth domino about it", hole, []Kind{brick("a", 2, 1, 1, 5)}, NotFit, "by hand: volume"},
		{"upright it does not fit", plainBay(3, 2, 1), []Kind{brick("a", 3, 1, 2, 1, cell.ZUp)}, NotFit, "by hand: height"},
		{"on its side it fits", plainBay(3, 2, 1), []Kind{brick("a", 3, 1, 2, 1, cell.ZUp, cell.YUp)}, Fits, "by hand"},
		{"it has room under the shelf but does not pass it", shelf, []Kind{brick("a", 2, 1, 1, 1, cell.ZUp)}, NotFit, "by hand: 1 wide beside the shelf, module 2 long"},
		{"small ones pass and go aside", shelf, []Kind{brick("a", 1, 1, 1, 4, cell.ZUp)}, Fits, "by hand: three below, one beside the shelf"},
		{"a lid with steps opens over the lower part too", stepped, []Kind{brick("a", 2, 1, 1, 1, cell.ZUp), brick("b", 1, 1, 1, 2)}, Fits, "by hand"},
		{"Slothouber and Graatsma: six 1x2x2 and three 1x1x1 in 3x3x3", plainBay(3, 3, 3),
			[]Kind{brick("a", 1, 2, 2, 6), brick("b", 1, 1, 1, 3)}, Fits, "winning-ways"},
		{"Conway: thirteen 1x2x4, three 1x1x3, one 1x2x2, one 2x2x2 in 5x5x5", plainBay(5, 5, 5),
			[]Kind{brick("a", 1, 2, 4, 13), brick("b", 1, 1, 3, 3), brick("c", 1, 2, 2, 1), brick("d", 2, 2, 2, 1)}, Fits, "winning-ways"},
		{"26 bricks 1x2x4 fit 6x6x6", plainBay(6, 6, 6), []Kind{brick("a", 1, 2, 4, 26)}, Fits, "debruijn-1969"},
		{"harmonic brick 1x2x4 does not fill 2x6x6", plainBay(6, 6, 2), []Kind{brick("a", 1, 2, 4, 9)}, NotFit, "debruijn-1969"},
		{"harmonic brick 1x2x4 fills 2x4x6", plainBay(6, 4, 2), []Kind{brick("a", 1, 2, 4, 6)}, Fits, "debruijn-1969"},
		{"bars 1x4 do not fill 6x6", plainBay(6, 6, 1), []Kind{brick("a", 4, 1, 1, 9, cell.ZUp)}, NotFit, "debruijn-1969"},
		{"bars 1x4 fill 8x6", plainBay(8, 6, 1), []Kind{brick("a", 4, 1, 1, 12, cell.ZUp)}, Fits, "debruijn-1969"},
	} {
		a := Place(&c.bay, c.kinds, Options{Nodes: 20_000_000})
		if a.Verdict != c.want {
			t.Errorf("%s: got %s (%s, %d nodes), want %s; source %s", c.name, a.Verdict, a.Reason, a.Nodes, c.want, c.source)
		}
		if a.Verdict == Fits {
			if err := Verify(&c.bay, c.kinds, a.Placements); err != nil {
				t.Errorf("%s: %v; source %s", c.name, err, c.source)
			}
		}
		t.Logf("%s: %s, %s, %d nodes", c.name, a.Verdict, a.Reason, a.Nodes)
	}
}

// TestTwentySevenBricksAreNeverSaidToFit: 27 bricks of 1x2x4 have the volume of
// 6x6x6, and only a colouring argument shows that they do not fill it. The
// solver has no such argument; what it must not do is to claim either.
// Source: debruijn-1969.
func TestTwentySevenBricksAreNeverSaidToFit(t *testing.T) {
	t.Parallel()
	b := plainBay(6, 6, 6)
	n, bound, _ := Most(&b, brick("a", 1, 2, 4, 0), Options{})
	if n != 26 || bound < 26 || bound > 27 {
		t.Errorf("got %d of %d, want 26 placed, bound 26 or 27; source debruijn-1969", n, bound)
	}
}

// TestInsetGapAndConnectorTakeTheirRoom counts modules in a row to the millimetre.
func TestInsetGapAndConnectorTakeTheirRoom(t *testing.T) {
	t.Parallel()
	mm := func(v float64) unit.Length { return unit.Length(v) / 1000 }
	module := Kind{Name: "m", Size: cell.Size{X: mm(100), Y: mm(50), Z: mm(80)}, Orientations: []cell.Orientation{cell.ZUp}}
	// Four in a row: 4·100 + 3·7 + 2·(3 + 2) = 431; across 50 + 10 = 60; up 80 + 25 + 10 = 115.
	for _, c := range []struct {
		x, y, z float64
		want    int
	}{{431, 60, 115, 4}, {430.9, 60, 115, 3}, {431, 59.9, 115, 0}, {431, 60, 114.9, 0}} {
		b := Bay{Boxes: []Box{{Size: Vec{mm(c.x), mm(c.y), mm(c.z)}}}, Wall: mm(3), Clearance: mm(2), Gap: mm(7), Connector: mm(25), Opens: Top}
		n, bound, a := Most(&b, module, Options{})
		if n != c.want || bound != c.want {
			t.Errorf("%g x %g x %g mm: %d of %d fit, want %d; source by hand", c.x, c.y, c.z, n, bound, c.want)
		}
		if n > 0 && a.Placements[0].Terminals != Top {
			t.Errorf("terminals face %s, want top", a.Placements[0].Terminals)
		}
	}
}

func TestMassLimitHolds(t *testing.T) {
	t.Parallel()
	b := plainBay(4, 1, 1)
	b.MassLimit, b.BoxMass = 35, 5
	k := brick("a", 1, 1, 1, 0)
	k.Mass = 10
	if n, bound, _ := Most(&b, k, Options{}); n != 3 || bound != 3 {
		t.Errorf("%d of %d fit, want 3: 3·10 + 5 = 35 kg; source by hand", n, bound)
	}
	k.Count = 4
	if a := Place(&b, []Kind{k}, Options{}); a.Verdict != NotFit || a.Reason != reasonMass {
		t.Errorf("four: got %s (%s), want proven not to fit by mass", a.Verdict, a.Reason)
	}
}

// TestFrontierOfTwoLengths checks a row of 10 dm with modules of 3 and 2 dm.
func TestFrontierOfTwoLengths(t *testing.T) {
	t.Parallel()
	b := plainBay(10, 1, 1)
	got := Frontier(&b, brick("a", 3, 1, 1, 0, cell.ZUp), brick("b", 2, 1, 1, 0, cell.ZUp), Options{})
	want := []Pair{{0, 5, 5}, {1, 3, 3}, {2, 2, 2}, {3, 0, 0}}
	if len(got) != len(want) {
		t.Fatalf("got %v, want %v; source by hand", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("got %v, want %v; source by hand", got, want)
		}
	}
}
