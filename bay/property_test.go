package bay

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"packyard/cell"
	"packyard/check"
	"packyard/check/checktest"
	"packyard/unit"

	"pgregory.net/rapid"
)

// drawSmall draws a small bay with kinds from the generator of the exhaustive
// comparison.
func drawSmall(t *rapid.T, steps bool) (Bay, []Kind) {
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
	for range 50 {
		if b, k := randomSmall(r, steps); b.Validate() == nil {
			return b, k
		}
	}
	t.Skip("no bay drawn")
	return Bay{}, nil
}

func TestKeepOutNeverMakesRoom(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		b, kinds := drawSmall(t, true)
		kinds[0].Count = 0
		_, bound, _ := Most(&b, kinds[0], Options{Nodes: 50_000})
		more := b
		more.KeepOuts = append(append([]Box(nil), b.KeepOuts...), Box{Size: Vec{0.01, 0.02, 0.01}})
		if n, _, _ := Most(&more, kinds[0], Options{Nodes: 50_000}); n > bound {
			t.Fatalf("%d fit with a keep-out more, at most %d without; bay %+v kind %+v", n, bound, b, kinds[0])
		}
	})
}

func TestLargerBayHoldsNoFewer(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		b, kinds := drawSmall(t, false)
		kinds[0].Count = 0
		n, _, _ := Most(&b, kinds[0], Options{Nodes: 50_000})
		more := b
		more.Boxes = []Box{b.Boxes[0]}
		by := unit.Length(rapid.IntRange(1, 15).Draw(t, "mm")) / 1000
		more.Boxes[0].Size = Vec{b.Boxes[0].Size.X + by, b.Boxes[0].Size.Y, b.Boxes[0].Size.Z + by}
		if _, bound, _ := Most(&more, kinds[0], Options{Nodes: 50_000}); bound < n {
			t.Fatalf("%d fit, the larger bay is said to hold at most %d; bay %+v kind %+v", n, bound, b, kinds[0])
		}
	})
}

func TestOrderOfKindsIsIrrelevant(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		b, kinds := drawSmall(t, true)
		a := Place(&b, kinds, Options{}).Verdict
		turned := append([]Kind(nil), kinds...)
		for i := range turned {
			turned[i] = kinds[len(kinds)-1-i]
		}
		z := Place(&b, turned, Options{}).Verdict
		if a != z && a != NotProven && z != NotProven {
			t.Fatalf("%s, and %s with the kinds turned round; bay %+v kinds %+v", a, z, b, kinds)
		}
	})
}

// TestPlacementShiftedIntoAnotherIsRejected moves, swaps and falsifies
// placements that hold, and expects the checker to object each time.
func TestPlacementShiftedIntoAnotherIsRejected(t *testing.T) {
	t.Parallel()
	k := Kind{Name: "m", Size: cell.Size{X: 0.3, Y: 0.2, Z: 0.1}, Mass: 10, Orientations: []cell.Orientation{cell.ZUp, cell.YUp}, Count: 4}
	b := Bay{Boxes: []Box{{Size: Vec{0.626, 0.426, 0.13}}}, Wall: 0.003, Clearance: 0.005, Gap: 0.01, Connector: 0.014, Opens: Top, MassLimit: 50, BoxMass: 10}
	a := Place(&b, []Kind{k}, Options{})
	if a.Verdict != Fits {
		t.Fatalf("got %s (%s), want fits", a.Verdict, a.Reason)
	}
	for name, f := range map[string]func(p []Placement, b *Bay, k *Kind) []Placement{
		"shifted along x":  func(p []Placement, _ *Bay, _ *Kind) []Placement { p[1].Box.At.X += 0.0001; return p },
		"shifted along y":  func(p []Placement, _ *Bay, _ *Kind) []Placement { p[2].Box.At.Y -= 0.0001; return p },
		"shifted up":       func(p []Placement, _ *Bay, _ *Kind) []Placement { p[3].Box.At.Z += 0.0001; return p },
		"one missing":      func(p []Placement, _ *Bay, _ *Kind) []Placement { return p[:3] },
		"same place twice": func(p []Placement, _ *Bay, _ *Kind) []Placement { p[3] = p[2]; return p },
		"unknown kind":     func(p []Placement, _ *Bay, _ *Kind) []Placement { p[0].Kind = 1; return p },
		"wrong edge":       func(p []Placement, _ *Bay, _ *Kind) []Placement { p[0].Box.Size.X -= 0.001; return p },
		"not allowed":      func(p []Placement, _ *Bay, k *Kind) []Placement { k.Orientations = k.Orientations[1:]; return p },
		"not so turned":    func(p []Placement, _ *Bay, _ *Kind) []Placement { p[0].Turned = !p[0].Turned; return p },
		"terminals aside":  func(p []Placement, _ *Bay, _ *Kind) []Placement { p[0].Terminals = Left; return p },
		"terminals down":   func(p []Placement, _ *Bay, _ *Kind) []Placement { p[0].Terminals = Bottom; return p },
		"too heavy":        func(p []Placement, b *Bay, _ *Kind) []Placement { b.MassLimit = 49; return p },
		"keep-out added": func(p []Placement, b *Bay, _ *Kind) []Placement {
			b.KeepOuts = []Box{{Size: Vec{0.1, 0.1, 0.1}}}
			return p
		},
		"larger gap":        func(p []Placement, b *Bay, _ *Kind) []Placement { b.Gap = 0.0101; return p },
		"larger clearance":  func(p []Placement, b *Bay, _ *Kind) []Placement { b.Clearance = 0.0051; return p },
		"larger connectors": func(p []Placement, b *Bay, _ *Kind) []Placement { b.Connector = 0.0141; return p },
	} {
		bay, kind := b, k
		p := f(append([]Placement(nil), a.Placements...), &bay, &kind)
		if err := Verify(&bay, []Kind{kind}, p); !errors.Is(err, ErrPlacement) {
			t.Errorf("%s: got %v, want an objection", name, err)
		}
	}
	if err := Verify(&b, []Kind{k}, a.Placements); err != nil {
		t.Errorf("as placed: %v", err)
	}
}

// TestOrderInTheAnswerMatters puts one module on another and expects that the
// upper one cannot come in first.
func TestOrderInTheAnswerMatters(t *testing.T) {
	t.Parallel()
	for _, opens := range []Side{Top, Bottom} {
		b := plainBay(1, 1, 2)
		b.Opens = opens
		k := []Kind{brick("a", 1, 1, 1, 2, cell.ZUp)}
		a := Place(&b, k, Options{})
		if a.Verdict != Fits {
			t.Fatalf("opens %s: got %s (%s), want fits", opens, a.Verdict, a.Reason)
		}
		if err := Verify(&b, k, []Placement{a.Placements[1], a.Placements[0]}); !errors.Is(err, ErrPlacement) {
			t.Errorf("opens %s, order turned round: got %v, want an objection", opens, err)
		}
	}
}

// TestTurnedBayKeepsLengths checks the frame by turns that can be done in the
// head and by lengths.
func TestTurnedBayKeepsLengths(t *testing.T) {
	t.Parallel()
	b := Bay{Yaw: 90 * unit.Degree}
	near(t, "yaw 90: rearward becomes left", float64(b.ToVehicle(Vec{X: 1}).Y), 1, 1e-12, "by hand")
	b = Bay{Pitch: 90 * unit.Degree}
	near(t, "pitch 90: rearward becomes down", float64(b.ToVehicle(Vec{X: 1}).Z), -1, 1e-12, "by hand")
	near(t, "pitch 90: up becomes rearward", float64(b.ToVehicle(Vec{Z: 1}).X), 1, 1e-12, "by hand")
	checktest.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(-math.Pi, math.Pi)
		b := Bay{Yaw: unit.Angle(angle.Draw(t, "yaw")), Pitch: unit.Angle(angle.Draw(t, "pitch"))}
		l := rapid.Float64Range(-2, 2)
		p := Vec{unit.Length(l.Draw(t, "x")), unit.Length(l.Draw(t, "y")), unit.Length(l.Draw(t, "z"))}
		v := b.ToVehicle(p)
		got := math.Sqrt(float64(v.X*v.X + v.Y*v.Y + v.Z*v.Z))
		want := math.Sqrt(float64(p.X*p.X + p.Y*p.Y + p.Z*p.Z))
		if math.Abs(got-want) > 1e-12*(1+want) {
			t.Fatalf("length %g becomes %g", want, got)
		}
	})
}

func TestCentreIsTheMomentOfTheModules(t *testing.T) {
	t.Parallel()
	b := Bay{At: vec3(1, 0.5, 0.25), Boxes: []Box{{Size: Vec{1, 1, 1}}}, Opens: Top}
	kinds := []Kind{{Mass: 30}, {Mass: 10}}
	mass, at := b.Centre(kinds, []Placement{
		{Kind: 0, Box: Box{Vec{0, 0, 0}, Vec{0.2, 0.2, 0.2}}},
		{Kind: 1, Box: Box{Vec{0.8, 0, 0}, Vec{0.2, 0.2, 0.2}}},
	})
	near(t, "mass", float64(mass), 40, 1e-12, "by hand")
	near(t, "x", float64(at.X), 1+(30*0.1+10*0.9)/40, 1e-12, "by hand")
	near(t, "y", float64(at.Y), 0.6, 1e-12, "by hand")
	near(t, "z", float64(at.Z), 0.35, 1e-12, "by hand")
}

func TestBoxMassIsAreaTimesSheet(t *testing.T) {
	t.Parallel()
	sheets, err := Sheets()
	if err != nil || len(sheets) != 6 {
		t.Fatalf("got %d sheets, %v, want 6", len(sheets), err)
	}
	sum := 0.0
	for _, s := range sheets {
		sum += float64(s.Density)
	}
	near(t, "sum of densities", sum, 31630, 0, "7850 + 7850 + 7900 + 2670 + 2660 + 2700")
	// 1.0 x 0.6 x 0.4 m: 2·(0.6 + 0.4 + 0.24) = 2.48 m²; with a notch of 0.1 m cubed
	// in a corner the surface stays, with one in the middle of a face it grows by 0.04.
	b := Bay{Name: "boot", Boxes: []Box{{Size: Vec{1, 0.6, 0.4}}}, Opens: Top}
	near(t, "surface", float64(b.Surface()), 2.48, 1e-9, "by hand")
	b.KeepOuts = []Box{{Size: Vec{0.1, 0.1, 0.1}}}
	near(t, "surface with corner notch", float64(b.Surface()), 2.48, 1e-9, "by hand")
	near(t, "volume", float64(b.Volume()), 0.239, 1e-9, "by hand")
	b.KeepOuts[0].At = Vec{0.4, 0.2, 0}
	near(t, "surface with notch", float64(b.Surface()), 2.52, 1e-9, "by hand")
	b.KeepOuts = nil
	var list check.Assumptions
	m, err := b.EstimateBoxMass(Wall{Thickness: 0.0015, Density: 7850, Fittings: 0.1}, &list)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mass", float64(m), 2.48*0.0015*7850*1.1, 1e-9, "by hand")
	if len(list.List) != 1 || list.List[0].Source != "assumption" {
		t.Errorf("assumptions %v, want one", list.List)
	}
	if _, err := b.EstimateBoxMass(Wall{Density: 7850}, nil); !errors.Is(err, ErrSheet) {
		t.Errorf("no thickness: got %v, want ErrSheet", err)
	}
}

func TestFaultyBaysAreNamed(t *testing.T) {
	t.Parallel()
	good := Bay{Boxes: []Box{{Size: Vec{1, 1, 1}}}, Opens: Top}
	if err := good.Validate(); err != nil {
		t.Fatal(err)
	}
	for name, f := range map[string]func(b *Bay){
		"no box":            func(b *Bay) { b.Boxes = nil },
		"no side":           func(b *Bay) { b.Opens = "" },
		"edge zero":         func(b *Bay) { b.Boxes[0].Size.X = 0 },
		"edge not a number": func(b *Bay) { b.Boxes[0].Size.X = unit.Length(math.NaN()) },
		"edge infinite":     func(b *Bay) { b.Boxes[0].Size.Y = unit.Length(math.Inf(1)) },
		"negative gap":      func(b *Bay) { b.Gap = -0.001 },
		"keep-out flat":     func(b *Bay) { b.KeepOuts = []Box{{}} },
		"walls too thick":   func(b *Bay) { b.Wall = 0.5 },
		"negative mass":     func(b *Bay) { b.MassLimit = -1 },
	} {
		b := good
		b.Boxes = append([]Box(nil), good.Boxes...)
		f(&b)
		if err := b.Validate(); !errors.Is(err, ErrBay) {
			t.Errorf("%s: got %v, want ErrBay", name, err)
		}
		if a := Place(&b, nil, Options{}); a.Verdict != NotProven {
			t.Errorf("%s: got %s, want not proven", name, a.Verdict)
		}
	}
}

func TestFaultyKindsAreNamed(t *testing.T) {
	t.Parallel()
	b := plainBay(5, 5, 5)
	for name, f := range map[string]func(k *Kind){
		"edge zero":           func(k *Kind) { k.Size.Y = 0 },
		"edge not a number":   func(k *Kind) { k.Size.Y = unit.Length(math.NaN()) },
		"mass infinite":       func(k *Kind) { k.Mass = unit.Mass(math.Inf(1)) },
		"negative count":      func(k *Kind) { k.Count = -1 },
		"unknown orientation": func(k *Kind) { k.Orientations = []cell.Orientation{"upside-down"} },
	} {
		k := brick("a", 1, 1, 1, 1)
		f(&k)
		if err := k.Validate(); !errors.Is(err, ErrKind) {
			t.Errorf("%s: got %v, want ErrKind", name, err)
		}
		if a := Place(&b, []Kind{k}, Options{}); a.Verdict != NotProven {
			t.Errorf("%s: got %s, want not proven", name, a.Verdict)
		}
		if n, bound, _ := Most(&b, k, Options{}); n != 0 || bound == 0 {
			t.Errorf("%s: got %d of %d, want nothing placed and nothing proven", name, n, bound)
		}
	}
}

// TestTinyModulesInALargeBayComeBack asks for what no one would build, with all
// budgets at their defaults: an answer must come within seconds.
func TestTinyModulesInALargeBayComeBack(t *testing.T) {
	t.Parallel()
	b := Bay{Boxes: []Box{{Size: Vec{2.011, 1.207, 0.613}}}, KeepOuts: []Box{{At: Vec{0.511, 0.307, 0}, Size: Vec{0.2, 0.2, 0.2}}}, Opens: Top}
	k := []Kind{
		{Name: "a", Size: cell.Size{X: 0.0181, Y: 0.0213, Z: 0.0653}, Orientations: everyWay},
		{Name: "b", Size: cell.Size{X: 0.0211, Y: 0.0263, Z: 0.0703}, Orientations: everyWay},
		{Name: "c", Size: cell.Size{X: 0.0141, Y: 0.0223, Z: 0.0507}, Orientations: everyWay},
	}
	n, bound, _ := Most(&b, k[0], Options{Nodes: 100_000})
	if n < 1000 || bound < n {
		t.Errorf("got %d of %d, want 1000 or more placed", n, bound)
	}
	if f := Frontier(&b, k[0], k[1], Options{}); len(f) == 0 {
		t.Error("no frontier")
	}
	for i := range k {
		k[i].Count = 300
	}
	if a := Place(&b, k, Options{Nodes: 100_000}); a.Verdict == NotFit {
		t.Errorf("900 modules of 0.03 l in 1.5 m³ are said not to fit: %s", a.Reason)
	}
}

// TestFrontierIsPlacedAgain asks Place for pairs that Frontier promised, with
// quick ways only.
func TestFrontierIsPlacedAgain(t *testing.T) {
	t.Parallel()
	bays, kinds := drawn(48, 21)
	asked := 0
	for i := range bays {
		s, err := NewSolver(&bays[i])
		if err != nil {
			t.Fatal(err)
		}
		f := s.Frontier(kinds[i][0], kinds[i][1], Options{})
		for j, p := range f {
			if p.N2 > p.Bound || j > 0 && p.N2 > f[j-1].N2 {
				t.Errorf("bay %d: frontier %v does not fall, or is above its bound", i, f)
			}
			if j%3 > 0 {
				continue
			}
			asked++
			a, b := kinds[i][0], kinds[i][1]
			a.Count, b.Count = p.N1, p.N2
			if got := s.Place([]Kind{a, b}, Options{Nodes: -1}); got.Verdict != Fits {
				t.Errorf("bay %d: %d and %d were promised, got %s (%s)", i, p.N1, p.N2, got.Verdict, got.Reason)
			}
		}
	}
	if asked < 100 {
		t.Errorf("%d pairs asked, want 100 or more", asked)
	}
}
