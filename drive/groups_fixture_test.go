package drive

import (
	"math"
	"math/rand/v2"
	"testing"

	"packyard/cell"
	"packyard/pack"
	"packyard/unit"
)

// coldCell is an invented cell of 50 A·h: the curves of table at 25 °C, with
// resistances that grow in the cold and an entropic coefficient.
func coldCell() *cell.Cell {
	tb := table(21)
	c := &cell.Cell{ID: "invented", Capacity: tb.Capacity, VoltageMin: 2.8, VoltageNominal: 3.6, VoltageMax: 4.2,
		Mass: 0.9, SpecificHeat: 1000, Curves: &cell.Curves{}}
	var soc []float64
	for i := range tb.OCV {
		soc = append(soc, float64(i)/20)
		c.Curves.DUDT.Value = append(c.Curves.DUDT.Value, 2e-4*math.Sin(float64(i)/4))
	}
	c.Curves.OCV = cell.Line{SoC: soc, Value: tb.OCV}
	c.Curves.DUDT.SoC = soc
	over := func(y []float64, e float64) cell.Surface {
		s := cell.Surface{SoC: soc}
		for k := 253.15; k <= 333.15; k += 10 {
			row := make([]float64, len(y))
			for i, v := range y {
				row[i] = v * math.Exp(e*(1/k-1/298.15))
			}
			s.Temperature, s.Value = append(s.Temperature, k), append(s.Value, row)
		}
		return s
	}
	v := c.Curves
	v.R0, v.R1, v.Tau1, v.R2, v.Tau2 = over(tb.R0, 2000), over(tb.R1, 3500), over(tb.Tau1, 0), over(tb.R2, 3000), over(tb.Tau2, 500)
	for _, k := range []unit.Temperature{unit.Celsius(-20), unit.Celsius(0), unit.Celsius(25), unit.Celsius(60)} {
		f := unit.CRate(1)
		if k < unit.Celsius(10) {
			f = 0.4
		}
		c.Limits.Discharge = append(c.Limits.Discharge, cell.LimitPoint{Temperature: k, Duration: 10, Rate: 5 * f}, cell.LimitPoint{Temperature: k, Duration: 3600, Rate: 3 * f})
		c.Limits.Charge = append(c.Limits.Charge, cell.LimitPoint{Temperature: k, Duration: 10, Rate: 3 * f}, cell.LimitPoint{Temperature: k, Duration: 3600, Rate: f})
	}
	return c
}

func groupTable(t testing.TB) *GroupTable {
	t.Helper()
	g, err := NewGroupTable(coldCell())
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// unequal spreads groups as used cells are spread.
func unequal(n int, seed uint64) []GroupStart {
	r := rand.New(rand.NewPCG(seed, 4))
	out := make([]GroupStart, n)
	for i := range out {
		out[i] = GroupStart{
			Charge: unit.Ratio(0.85 + 0.1*r.Float64()), CapacityShare: unit.Ratio(0.8 + 0.15*r.Float64()),
			ResistanceGrowth: unit.Ratio(1 + 0.6*r.Float64()), Temperature: unit.Celsius(10 + 20*r.Float64()),
		}
	}
	return out
}

func groups(t testing.TB, p *pack.Pack, o GroupOptions) *Groups {
	t.Helper()
	g, err := NewGroups(groupTable(t), p, o)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func packOf(series, strings int) *pack.Pack {
	return &pack.Pack{Topology: pack.Topology{Series: series, Parallel: 2, Strings: strings}, Cell: coldCell(), Resistance: 0.02, SoCMin: 0.05, SoCMax: 1}
}
