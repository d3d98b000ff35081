package cell

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
)

// voltages returns lowest, nominal and full voltage of groups in series.
func voltages(s Stack) [3]float64 {
	n := float64(s.Series())
	c := s.Slice.Cell
	return [3]float64{n * float64(c.VoltageMin), n * float64(c.VoltageNominal), n * float64(c.VoltageMax)}
}

func loose(min, nominal, max float64) *Slice {
	return &Slice{
		Cell:   &Cell{VoltageMin: unit.Voltage(min), VoltageNominal: unit.Voltage(nominal), VoltageMax: unit.Voltage(max), Capacity: 50 * unit.AmpereHour},
		Series: 1, Parallel: 1, Pitch: 0.01, Width: 0.1, Height: 0.2, Mass: 0.5, Resistance: 1e-4,
	}
}

func mustBuild(t testing.TB, s *Slice, hw *Hardware, a, g int) Stack {
	t.Helper()
	st, err := Build(s, hw, a, g)
	if err != nil {
		t.Fatal(err)
	}
	return st
}

func TestBareArithmeticOfTheTrade(t *testing.T) {
	t.Parallel()
	hw := &Hardware{SlicesMin: 1}
	eight := voltages(mustBuild(t, loose(3, 3.6, 4.2), hw, 2, 8))
	checktest.Near(t, "8 groups at 3.6 V in V", eight[1], 28.8, 0, 1e-14, "common practice")
	long := voltages(mustBuild(t, loose(3, 3.6, 4.2), hw, 1, 112))
	checktest.Near(t, "112 groups nominal in V", long[1], 403.2, 0, 1e-14, "common practice")
	checktest.Near(t, "112 groups full in V", long[2], 470.4, 0, 1e-14, "common practice")
}

func TestHalvingTheCellsInParallelDoublesTheVoltage(t *testing.T) {
	t.Parallel()
	s := loose(3, 3.6, 4.2)
	m := Module{Slice: *s, Groups: 6, SlicesParallel: 4, Hardware: &Hardware{SlicesMin: 1}}
	before := m.AsBuilt()
	after, err := m.Regroup(2, 12)
	if err != nil {
		t.Fatal(err)
	}
	for i, name := range []string{"lowest", "nominal", "full"} {
		checktest.Near(t, name+" voltage over that before", voltages(after)[i]/voltages(before)[i], 2, 0, 1e-14, "common practice")
	}
	if after.Groups*after.SlicesParallel != m.Slices() {
		t.Errorf("%d slices after opening, %d before", after.Groups*after.SlicesParallel, m.Slices())
	}
	if after.Parallel()*2 != before.Parallel() {
		t.Errorf("%d cells in parallel after, %d before", after.Parallel(), before.Parallel())
	}
}

func TestSeriesVoltagesOfTheWorkedExample(t *testing.T) {
	t.Parallel()
	hw := &Hardware{SlicesMin: 1}
	for _, c := range []struct {
		chemistry Chemistry
		groups    int
		want      [3]float64
	}{{"NMC", 96, [3]float64{288.0, 345.6, 403.2}}, {"LFP", 112, [3]float64{280.0, 358.4, 408.8}}, {"LTO", 160, [3]float64{288.0, 384.0, 456.0}}} {
		v := map[Chemistry][3]float64{"NMC": {3, 3.6, 4.2}, "LFP": {2.5, 3.2, 3.65}, "LTO": {1.8, 2.4, 2.85}}[c.chemistry]
		got := voltages(mustBuild(t, loose(v[0], v[1], v[2]), hw, 1, c.groups))
		for i := range got {
			checktest.Near(t, string(c.chemistry)+" string in V", got[i], c.want[i], 0, 1e-12, "handbook WE-09")
		}
	}
	st := mustBuild(t, loose(3, 3.65, 4.2), hw, 3, 96)
	energy := voltages(st)[1] * float64(st.Slice.Cell.Capacity) * float64(st.Parallel()) / 3.6e6
	checktest.Near(t, "96S3P of 50 Ah in kWh", energy, 52.56, 0, 1e-12, "handbook WE-09")
}

func TestASliceWithAMiddleTerminalCountsItsSeries(t *testing.T) {
	t.Parallel()
	m := BuiltIn().Module("openable-pouch-lmo-33-2s2p")
	one := m.AsBuilt()
	if one.Series() != 2 || one.Parallel() != 2 {
		t.Fatalf("as it came %dS%dP, want 2S2P", one.Series(), one.Parallel())
	}
	st, err := m.Regroup(2, 12)
	if err != nil {
		t.Fatal(err)
	}
	if st.Series() != 24 || st.Parallel() != 4 {
		t.Errorf("12 groups of two cans are %dS%dP, want 24S4P", st.Series(), st.Parallel())
	}
	checktest.Near(t, "length of 24 cans in m", float64(st.Size.X), 24*0.035+0.02, 0, 1e-12, "arithmetic of the entry")
	checktest.Near(t, "mass of 24 cans in kg", float64(st.Mass), 24*(3.8+float64(m.Hardware.MassPerSlice))+float64(m.Hardware.EndPlatesMass), 0, 1e-12, "arithmetic of the entry")
}

func TestInnerResistanceIsThatOfTheNetwork(t *testing.T) {
	t.Parallel()
	// Three groups of two slices: each group half a slice, two joints between.
	st := mustBuild(t, loose(3, 3.6, 4.2), &Hardware{SlicesMin: 1, JointResistance: 5e-5}, 2, 3)
	checktest.Near(t, "Ω", float64(st.Resistance), 3*1e-4/2+2*5e-5, 0, 1e-14, "circuit law")
}

func TestStackLimitsAreNamed(t *testing.T) {
	t.Parallel()
	s := loose(3, 3.6, 4.2) // 10 mm pitch
	hw := &Hardware{SlicesMin: 4, StackMax: 0.5}
	for _, c := range []struct {
		a, g int
		want error
	}{
		{5, 10, nil}, {1, 50, nil}, {1, 51, ErrStackTooLong}, {2, 26, ErrStackTooLong}, {1, 4, nil}, {1, 3, ErrStackTooShort},
		{0, 4, ErrStackCount}, {4, 0, ErrStackCount}, {-2, -2, ErrStackCount}, {math.MaxInt, math.MaxInt, ErrStackTooLong},
	} {
		if _, err := Build(s, hw, c.a, c.g); !errors.Is(err, c.want) {
			t.Errorf("Build(%d, %d): %v, want %v", c.a, c.g, err, c.want)
		}
	}
	if n := SlicesLongest(s, hw); n != 50 {
		t.Errorf("longest stack holds %d slices, want 50", n)
	}
	if _, err := Build(s, nil, 1, 1); !errors.Is(err, ErrNoHardware) {
		t.Errorf("without hardware: %v", err)
	}
	closed := BuiltIn().Module("closed-prismatic-nmc-94-12s1p")
	if _, err := closed.Regroup(1, 12); !errors.Is(err, ErrClosed) {
		t.Errorf("a closed module opened: %v", err)
	}
}

func TestLooseCellsBecomeSlices(t *testing.T) {
	t.Parallel()
	c := BuiltIn().Cell("prismatic-lfp-105")
	s := SliceOf(c, BuiltIn().HardwareFor(c.ID))
	if s.Series != 1 || s.Parallel != 1 || s.Cell != c {
		t.Errorf("a prismatic cell became %dS%dP", s.Series, s.Parallel)
	}
	checktest.Near(t, "pitch in m", float64(s.Pitch), 0.0377, 0, 1e-12, "36.7 mm and 1 mm, arithmetic of the entry")
	round := BuiltIn().Cell("cylindrical-18650-nca-2.9")
	row := SliceOf(round, BuiltIn().HardwareFor(round.ID))
	if row.Parallel != 20 {
		t.Errorf("a holder row holds %d cells, want 20", row.Parallel)
	}
	checktest.Near(t, "pitch of staggered rows in m", float64(row.Pitch), 0.019*math.Sqrt(3)/2, 0, 1e-12, "close packing of circles")
	checktest.Near(t, "width of staggered rows in m", float64(row.Width), 0.019*20.5, 0, 1e-12, "close packing of circles")
	checktest.Near(t, "mass of a row in kg", float64(row.Mass), 20*0.0475+0.09, 0, 1e-12, "arithmetic of the entry")
	square := SliceOf(round, &Hardware{RowCells: 20, Gap: 0.7e-3})
	checktest.Near(t, "pitch of rows in square in m", float64(square.Pitch), 0.019, 0, 1e-12, "geometry")
	if bare := SliceOf(round, nil); bare.Parallel != 1 || bare.Pitch != round.Size.X || bare.Mass != round.Mass {
		t.Errorf("without hardware a cell is not itself: %+v", bare)
	}
}

// Which slices stand in parallel and which in series changes neither length
// nor mass nor the number of cells; more slices are never lighter or shorter.
func TestRegroupConservesSlices(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		modules := BuiltIn().Modules
		m := modules[rapid.IntRange(0, len(modules)-1).Draw(t, "module")]
		if m.Hardware == nil {
			return
		}
		a, g := rapid.IntRange(1, 12).Draw(t, "a"), rapid.IntRange(1, 30).Draw(t, "g")
		one, errOne := m.Regroup(a, g)
		two, errTwo := m.Regroup(g, a)
		if (errOne == nil) != (errTwo == nil) {
			t.Fatalf("%d × %d fits, turned round not: %v, %v", a, g, errOne, errTwo)
		}
		if errOne != nil {
			return
		}
		if one.Size != two.Size || math.Abs(float64(one.Mass-two.Mass)) > 1e-12 || one.Series()*one.Parallel() != two.Series()*two.Parallel() {
			t.Fatalf("%d × %d and turned round differ: %+v, %+v", a, g, one, two)
		}
		slices := m.Slice.Mass * unit.Mass(a*g)
		if rest := one.Mass - slices; rest < 0 || one.Series()*one.Parallel() != a*g*m.Slice.Series*m.Slice.Parallel {
			t.Fatalf("%d × %d: %v kg beyond the slices", a, g, rest)
		}
		if more, err := m.Regroup(a, g+1); err == nil && (more.Mass <= one.Mass || more.Size.X <= one.Size.X || more.Resistance <= one.Resistance) {
			t.Fatalf("one group more is not heavier, longer and of more resistance: %+v after %+v", more, one)
		}
		if wider, err := m.Regroup(a+1, g); err == nil && (wider.Mass <= one.Mass || wider.Resistance > one.Resistance) {
			t.Fatalf("one more in parallel is not heavier or has more resistance: %+v after %+v", wider, one)
		}
	})
}

func BenchmarkBuild(b *testing.B) {
	m := BuiltIn().Module("openable-pouch-nmc-21-24s2p")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Regroup(2, 12); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "stacks/s")
}
