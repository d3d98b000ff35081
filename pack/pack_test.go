package pack_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/pack"
	"packyard/unit"
)

func nmc(capacityAh float64) *cell.Cell {
	return &cell.Cell{
		Capacity:       unit.Charge(capacityAh) * unit.AmpereHour,
		VoltageMax:     4.2 * unit.Volt,
		VoltageNominal: 3.6 * unit.Volt,
		VoltageMin:     3.0 * unit.Volt,
	}
}

func withTopology(c *cell.Cell, topology string) *pack.Pack {
	t, err := pack.ParseTopology(topology)
	if err != nil {
		panic(err)
	}
	return &pack.Pack{Topology: t, Cell: c, SoCMax: 1}
}

func TestWindowFollowsTheChemistry(t *testing.T) {
	const src = "handbook WE-09 after Battery University BU-216"
	lfp := &cell.Cell{VoltageMin: 2.5, VoltageNominal: 3.2, VoltageMax: 3.65}
	lto := &cell.Cell{VoltageMin: 1.8, VoltageNominal: 2.4, VoltageMax: 2.85}
	for _, c := range []struct {
		name                 string
		p                    *pack.Pack
		floor, nominal, full float64
	}{
		{"NMC 96s", withTopology(nmc(50), "96S1P"), 288.0, 345.6, 403.2},
		{"LFP 112s", withTopology(lfp, "112S1P"), 280.0, 358.4, 408.8},
		{"LTO 160s", withTopology(lto, "160S1P"), 288.0, 384.0, 456.0},
	} {
		checktest.Near(t, c.name+" floor", float64(c.p.VoltageFloor()), c.floor, 0, 1e-12, src)
		checktest.Near(t, c.name+" nominal", float64(c.p.VoltageNominal()), c.nominal, 0, 1e-12, src)
		checktest.Near(t, c.name+" full", float64(c.p.VoltageFull()), c.full, 0, 1e-12, src)
	}
	c := nmc(50)
	c.VoltageNominal = 3.65
	p := withTopology(c, "96S3P")
	checktest.Near(t, "96s3p energy", p.EnergyNominal().KilowattHours(), 52.56, 0, 1e-12, src)
	checktest.Near(t, "96s3p resistance", p.ResistanceTotal(1.2*unit.Milliohm).Milliohms(), 38.4, 0, 1e-12, src)
}

func TestNominalVoltageWouldPassWhatFullVoltageFails(t *testing.T) {
	const src = "common practice: 112 groups at 3.6 V are 403.2 V nominal and 470.4 V full at 4.2 V"
	p := withTopology(nmc(50), "112S1P")
	checktest.Near(t, "nominal", float64(p.VoltageNominal()), 403.2, 0, 1e-12, src)
	checktest.Near(t, "full", float64(p.VoltageFull()), 470.4, 0, 1e-12, src)
	const limit = 420 * unit.Volt
	if p.VoltageNominal() > limit {
		t.Errorf("nominal %v V is above %v V: the trap is gone from this test", p.VoltageNominal(), limit)
	}
	if p.VoltageFull() <= limit {
		t.Errorf("full %v V passes the %v V limit", p.VoltageFull(), limit)
	}
}

func TestParallelStringsShareByTheirOwnResistance(t *testing.T) {
	const src = "handbook WE-10, circuit law"
	equal := []pack.Source{{EMF: 400, Resistance: 0.050}, {EMF: 400, Resistance: 0.060}}
	i, _ := pack.Share(equal, 300)
	checktest.Near(t, "string A", float64(i[0]), 163.6364, 0, 1e-6, src)
	checktest.Near(t, "string B", float64(i[1]), 136.3636, 0, 1e-6, src)
	higher := []pack.Source{{EMF: 401, Resistance: 0.050}, {EMF: 400, Resistance: 0.060}}
	i, _ = pack.Share(higher, 300)
	checktest.Near(t, "string A, 1 V higher", float64(i[0]), 172.7273, 0, 1e-6, src)
	checktest.Near(t, "string B", float64(i[1]), 127.2727, 0, 1e-6, src)
}

func TestPulsePowerAtTheVoltageLimit(t *testing.T) {
	const src = "handbook WE-11, USABC power capability"
	s := pack.Source{EMF: 3.7, Resistance: 1.5 * unit.Milliohm}
	checktest.Near(t, "discharge power at 2.8 V", float64(s.PowerAt(2.8)), 1680, 0, 1e-9, src)
	r := pack.Source{EMF: 3.7, Resistance: 1.0666667 * unit.Milliohm}
	checktest.Near(t, "charge power at 4.2 V", -float64(r.PowerAt(4.2)), 1968.75, 0, 1e-6, src)
}

func TestLossFallsWithTheSquareOfTheCurrent(t *testing.T) {
	// Common practice: twice the cells in parallel halve the current of each,
	// so each loses a quarter.
	one, two := withTopology(nmc(50), "96S1P"), withTopology(nmc(50), "96S2P")
	const current, r = 200.0, 1.2 * unit.Milliohm
	loss := func(p *pack.Pack) float64 {
		per := current / float64(p.Topology.Across())
		return per * per * float64(r) * float64(p.Topology.Cells())
	}
	perCell := func(p *pack.Pack) float64 { return loss(p) / float64(p.Topology.Cells()) }
	checktest.Near(t, "loss of one cell", perCell(two), perCell(one)/4, 0, 1e-12, "common practice")
	checktest.Near(t, "I²R of the pack", loss(two), current*current*float64(two.ResistanceTotal(r)), 0, 1e-12, "circuit law")
}

func TestCurrentGivesThePowerAskedFor(t *testing.T) {
	checktest.Check(t, func(t *rapid.T) {
		s := pack.Source{
			EMF:        unit.Voltage(rapid.Float64Range(50, 800).Draw(t, "emf")),
			Resistance: unit.Resistance(rapid.Float64Range(1e-3, 0.5).Draw(t, "r")),
		}
		w := unit.Power(rapid.Float64Range(-2, 1.2).Draw(t, "share")) * s.PowerMax()
		i, u, err := s.Current(w)
		if w > s.PowerMax() {
			if !errors.Is(err, pack.ErrPower) {
				t.Fatalf("%v W of %v W: got %v, want ErrPower", w, s.PowerMax(), err)
			}
			w = s.PowerMax()
		} else if err != nil {
			t.Fatal(err)
		}
		if got := float64(i) * float64(u); math.Abs(got-float64(w)) > 1e-6*float64(s.PowerMax()) {
			t.Fatalf("I·U = %v W, want %v W", got, w)
		}
		if float64(u) < float64(s.EMF)/2*(1-1e-12) {
			t.Fatalf("the larger of the two currents was taken: %v V of %v V", u, s.EMF)
		}
	})
}

func TestSharedCurrentsAddUp(t *testing.T) {
	checktest.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "strings")
		src := make([]pack.Source, n)
		for k := range src {
			src[k] = pack.Source{
				EMF:        unit.Voltage(rapid.Float64Range(300, 420).Draw(t, "emf")),
				Resistance: unit.Resistance(rapid.Float64Range(0.01, 0.2).Draw(t, "r")),
			}
		}
		want := rapid.Float64Range(-500, 500).Draw(t, "i")
		is, u := pack.Share(src, unit.Current(want))
		sum := 0.0
		for k, i := range is {
			sum += float64(i)
			if d := float64(src[k].EMF) - float64(src[k].Resistance)*float64(i) - float64(u); math.Abs(d) > 1e-9*420 {
				t.Fatalf("string %d ends at another voltage, by %v V", k, d)
			}
		}
		if math.Abs(sum-want) > 1e-8 {
			t.Fatalf("currents add up to %v A, want %v A", sum, want)
		}
	})
}

func TestTopologyReadsWhatItPrints(t *testing.T) {
	checktest.Check(t, func(t *rapid.T) {
		want := pack.Topology{
			Series:   rapid.IntRange(1, 300).Draw(t, "series"),
			Parallel: rapid.IntRange(1, 99).Draw(t, "parallel"),
			Strings:  rapid.IntRange(1, 9).Draw(t, "strings"),
		}
		got, err := pack.ParseTopology(want.String())
		if err != nil || got != want {
			t.Fatalf("%s read as %v, %v", want, got, err)
		}
	})
	for _, bad := range []string{"", "96S", "96s2p", "0S1P", "96S2P ", "x96S1P", "96S2P3", "-1S1P"} {
		if _, err := pack.ParseTopology(bad); !errors.Is(err, pack.ErrTopology) {
			t.Errorf("%q: got %v, want ErrTopology", bad, err)
		}
	}
}

func TestChemicalEnergyIsTheAreaUnderTheTable(t *testing.T) {
	tab := &cell.Table{Capacity: 3600, OCV: []float64{3, 3.5, 4.5}}
	p := withTopology(nmc(1), "2S3P")
	p.SoCMin, p.SoCMax = 0.25, 0.75
	// By hand: OCV is 3.25 V at a quarter, 3.5 at half, 4.0 at three quarters.
	want := 6 * 3600 * (0.25*(3.25+3.5)/2 + 0.25*(3.5+4.0)/2)
	checktest.Near(t, "energy", float64(p.EnergyChemical(tab)), want, 0, 1e-12, "trapezoids by hand")
}

func TestResistanceSettlesWithItsPairs(t *testing.T) {
	const src = "closed form of an RC pair under constant current"
	tab := &cell.Table{
		OCV: []float64{3, 4}, R0: []float64{1e-3, 1e-3},
		R1: []float64{2e-3, 2e-3}, Tau1: []float64{10, 10},
		R2: []float64{0, 0}, Tau2: []float64{100, 100},
	}
	checktest.Near(t, "at once", float64(pack.ResistanceCell(tab, 0.5, 0)), 1e-3, 0, 1e-12, src)
	checktest.Near(t, "one time constant", float64(pack.ResistanceCell(tab, 0.5, 10)), 1e-3+2e-3*(1-math.Exp(-1)), 0, 1e-12, src)
	checktest.Near(t, "settled", float64(pack.ResistanceCell(tab, 0.5, 1000)), 3e-3, 0, 1e-9, src)
}
