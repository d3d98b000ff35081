package cell

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/internal/exact"
	"packyard/internal/num"
	"packyard/unit"
)

func mustCell(t testing.TB, id string) *Cell {
	t.Helper()
	c := BuiltIn().Cell(id)
	if c == nil {
		t.Fatalf("no cell %s", id)
	}
	return c
}

func table(t testing.TB, id string, celsius float64, n int) *Table {
	t.Helper()
	tb, err := mustCell(t, id).At(unit.Celsius(celsius), New, n)
	if err != nil {
		t.Fatal(err)
	}
	return tb
}

func TestOCVFollowsTheMeasuredCurves(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ id, file, column, source string }{
		{"cylindrical-21700-nmc-5", "celltests/ocv/measured_m50t_21700.csv", "ocv_v", "sunil-2025"},
		{"prismatic-lfp-105", "celltests/ocv/measured_apr18650m1b_lfp.csv", "ocv_v", "sunil-2025"},
		{"prismatic-bev2-nmc-94", "catalogue_ocv.csv", "nmc111_graphite_V", "bpx-2022, catalogue C3.4"},
		{"pouch-lmo-10", "catalogue_ocv.csv", "lmo_carbon_V", "doyle-1996, catalogue C3.5"},
	} {
		ref := refColumns(t, c.file, "soc", c.column)
		tb := table(t, c.id, 25, 20001)
		for i, s := range ref[0] {
			checktest.Near(t, fmt.Sprintf("%s: V at charge %g", c.id, s), num.Dense(tb.OCV, s), ref[1][i], 1e-3, 0, c.source+"; 1 mV")
		}
	}
}

// The published method picks ten points per cell; lines through them lie this
// far from the measured curve. It fails if our curve is not the measured one.
func TestPublishedBreakpointsLieAsFarAsPrinted(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id, cell string
		rms      float64
	}{{"cylindrical-21700-nmc-5", "m50t_21700", 8.9e-3}, {"prismatic-lfp-105", "apr18650m1b_lfp", 7.0e-3}} {
		x, y := breakpoints(t, c.cell)
		tb := table(t, c.id, 25, 20001)
		file := map[string]string{"m50t_21700": "measured_m50t_21700.csv", "apr18650m1b_lfp": "measured_apr18650m1b_lfp.csv"}[c.cell]
		soc := refColumns(t, "celltests/ocv/"+file, "soc")[0]
		sum := 0.0
		for _, s := range soc {
			d := num.Linear(x, y, s) - num.Dense(tb.OCV, s)
			sum += d * d
		}
		checktest.Near(t, c.cell+": rms in V", math.Sqrt(sum/float64(len(soc))), c.rms, 0.05e-3, 0, "sunil-2025, printed to 0.1 mV")
	}
}

// The functions of a paper and a curve measured elsewhere on a later version of
// the cell differ by what is stated.
func TestNickelRichCurveLiesByTheFittedFunctions(t *testing.T) {
	t.Parallel()
	ref := refColumns(t, "celltests/ocv/chen2020_fit_m50.csv", "soc", "ocv_v")
	tb := table(t, "cylindrical-21700-nmc-5", 25, 20001)
	sum, n, worst := 0.0, 0.0, 0.0
	for i, s := range ref[0] {
		if s >= 0.0999 && s <= 0.9001 {
			d := num.Dense(tb.OCV, s) - ref[1][i]
			sum, n, worst = sum+d*d, n+1, math.Max(worst, math.Abs(d))
		}
	}
	checktest.Near(t, "rms in V, 10 to 90 %", math.Sqrt(sum/n), 16.5e-3, 0.1e-3, 0, "chen-2020 against sunil-2025 (celltests)")
	checktest.Near(t, "largest in V", worst, 47e-3, 0.5e-3, 0, "chen-2020 against sunil-2025 (celltests)")
}

func TestCurvesLieByRetiredCells(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id, file string
		from     float64
		within   float64
		source   string
	}{
		{"pouch-nmc-21", "celltests/ocv/derived_retired_nmc21.csv", 10, 0.040, "tao-2024, catalogue C3.4: within 40 mV from 10 to 50 %"},
		{"pouch-lmo-10", "celltests/ocv/derived_retired_lmo10.csv", 5, 0.070, "tao-2024, catalogue C3.5: within 70 mV"},
	} {
		ref := refColumns(t, c.file, "soc_pct_of_nominal", "ocv_mean_v")
		tb := table(t, c.id, 25, 2001)
		for i, pct := range ref[0] {
			if pct >= c.from {
				checktest.Near(t, fmt.Sprintf("%s: V at %g %%", c.id, pct), num.Dense(tb.OCV, pct/100), ref[1][i], c.within, 0, c.source)
			}
		}
	}
	// C3.3: the computed LFP curve lies 8 to 21 mV below the measured one.
	ref := refColumns(t, "catalogue_ocv.csv", "soc", "lfp_graphite_V")
	tb := table(t, "prismatic-lfp-105", 25, 2001)
	for i, s := range ref[0] {
		if s >= 0.0999 && s <= 0.9501 {
			if d := num.Dense(tb.OCV, s) - ref[1][i]; d < 0.0075 || d > 0.0215 {
				t.Errorf("LFP at %g: measured lies %.1f mV above computed, printed is 8 to 21; source catalogue C3.3", s, d*1e3)
			}
		}
	}
}

func TestComputedOCVChecks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id        string
		soc, want float64
		rel       float64
	}{
		{"prismatic-bev2-nmc-94", 0.5, 3.67292, 2e-4}, {"prismatic-bev2-nmc-94", 0, 2.69997, 1e-3},
		{"prismatic-bev2-nmc-94", 1, 4.20176, 1e-3}, {"pouch-lmo-10", 0.5, 3.70941, 2e-4},
	} {
		checktest.Near(t, fmt.Sprintf("%s: V at %g", c.id, c.soc), num.Dense(table(t, c.id, 25, 1001).OCV, c.soc), c.want, 0, c.rel, "catalogue CW-05")
	}
}

func TestEntropicTermIsThatOfTheCatalogue(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id        string
		soc, want float64 // mV/K
	}{{"prismatic-bev2-nmc-94", 0.1, -0.475805}, {"prismatic-bev2-nmc-94", 0.5, -0.0867626}, {"prismatic-lfp-105", 0.5, -0.0386177}} {
		got := num.Dense(table(t, c.id, 25, 1001).DUDT, c.soc) * 1e3
		checktest.Near(t, fmt.Sprintf("%s: mV/K at %g", c.id, c.soc), got, c.want, 5e-4, 0, "catalogue CW-06; the table is printed to 0.001 mV/K")
	}
	for _, id := range []string{"cylindrical-18650-nca-2.9", "pouch-lmo-33", "pouch-lmo-10", "cylindrical-21700-nmc-5"} {
		c := mustCell(t, id)
		marked := false
		for _, f := range c.Facts {
			marked = marked || f.Field == "entropic coefficient" && f.Source == "assumption"
		}
		if v := table(t, id, 25, 11).DUDT[5]; v != 0 || !marked {
			t.Errorf("%s: no sourced entropic figure, but %g V/K, marked %v", id, v, marked)
		}
	}
}

// TestHeatHasTheSignOfBernardi: discharging at low charge, where dU/dT is
// negative, gives heat; charging takes it up.
func TestHeatHasTheSignOfBernardi(t *testing.T) {
	t.Parallel()
	o := Operation{Current: 50, Temperature: 298.15, DUDT: -0.475805e-3}
	checktest.Near(t, "reversible heat in W", float64(o.Heat()), 7.09307, 0, 3e-3, "catalogue CW-06")
	o.Current = -50
	checktest.Near(t, "reversible heat when charging in W", float64(o.Heat()), -7.09307, 0, 3e-3, "bernardi-1985, the sign turns with the current")
	o = Operation{Current: 50, R0: 1.2e-3}
	checktest.Near(t, "heat of 1.2 mΩ in W", float64(o.Heat()), 3.0, 0, 1e-12, "catalogue section 4, 3.0 W")
	o = Operation{Current: -50, R0: 1.2e-3, VoltageRC1: -0.02, R1: 0.4e-3, VoltageRC2: 0.01, R2: 1e-3}
	checktest.Near(t, "heat with RC pairs in W", float64(o.Heat()), 3+1+0.1, 0, 1e-12, "circuit law")
}

// rawPulse is what a tester reads: the drop per ampere after a pulse of rate C
// for t seconds, fall of the OCV included.
func rawPulse(t *testing.T, c *Cell, celsius, soc, seconds, rate float64) float64 {
	t.Helper()
	r, err := c.Curves.PulseResistance(unit.Celsius(celsius), unit.Ratio(soc), unit.Time(seconds))
	if err != nil {
		t.Fatal(err)
	}
	tb, err := c.At(unit.Celsius(25), New, 20001)
	if err != nil {
		t.Fatal(err)
	}
	current := rate * c.Capacity.AmpereHours()
	return float64(r) + (num.Dense(tb.OCV, soc)-num.Dense(tb.OCV, soc-rate*seconds/3600))/current
}

func TestResistanceIsThatOfItsClass(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id                  string
		soc, seconds, class float64 // class in mΩ·Ah
		tol                 float64
		source              string
	}{
		{"cylindrical-18650-nca-2.9", 0.4986, 10, 108.2, 0.02, "catalogue resistance classes, 10 s at 1C"},
		{"pouch-lmo-33", 0.4782, 30, 83.7, 0.02, "catalogue resistance classes, 30 s; logged to 1 mV, 0.033 mΩ of 2.53"},
		{"pouch-nmc-21", 0.5, 5, 58.6, 0.02, "catalogue resistance classes, 5 s at 1C"},
		{"prismatic-lfp-35", 0.5 * 35 / 29.609, 5, 89.5, 0.02, "catalogue resistance classes, 5 s at 1C, 50 % of nominal"},
		{"pouch-lmo-10", 0.5 * 10 / 8.088, 5, 98.1, 0.02, "catalogue resistance classes, 5 s at 1C, 50 % of nominal"},
	} {
		cell := mustCell(t, c.id)
		got := rawPulse(t, cell, 25, c.soc, c.seconds, 1) * cell.Capacity.AmpereHours() * 1e3
		checktest.Near(t, c.id+": mΩ·Ah", got, c.class, 0, c.tol, c.source+"; 2 % is the fit of R0 and two pairs to the pulse")
	}
}

func TestResistanceOverTemperatureIsThatMeasured(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id             string
		celsius        float64
		soc, seconds   float64
		want, accepted float64
	}{
		{"cylindrical-18650-nca-2.9", 0, 0.5, 10, 2.13673, 0.03},
		{"cylindrical-18650-nca-2.9", -10, 0.5, 10, 3.47989, 0.03},
		{"pouch-lmo-33", 10, 0.4782, 30, 1.51383, 0.02},
		{"pouch-lmo-33", 40, 0.4782, 30, 0.936759, 0.02},
	} {
		cell := mustCell(t, c.id)
		ratio := rawPulse(t, cell, c.celsius, c.soc, c.seconds, 1) / rawPulse(t, cell, 25, c.soc, c.seconds, 1)
		checktest.Near(t, fmt.Sprintf("%s: ratio at %g °C", c.id, c.celsius), ratio, c.want, 0, c.accepted, "catalogue CW-08; fits of two pulses of 1 % each, chamber against cell temperature")
	}
}

// The Arrhenius energies must return the ratios they were fitted to about as
// well as those agree among each other.
func TestArrheniusEnergiesReturnTheRatios(t *testing.T) {
	t.Parallel()
	a, err := openTable("temperature_ratio", readRatios)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%.2f kJ/mol below and %.2f kJ/mol above 25 °C", a.below/1e3, a.above/1e3)
	for _, c := range []struct{ celsius, want float64 }{{0, 2.13673}, {-10, 3.47989}, {10, 1.51383}} {
		checktest.Near(t, fmt.Sprintf("ratio at %g °C", c.celsius), a.factor(referenceTemperature, c.celsius+273.15), c.want, 0, 0.07, "catalogue CW-08; three ratios of two chemistries, one energy")
	}
	checktest.Near(t, "ratio at 40 °C", a.factor(referenceTemperature, 313.15), 0.936759, 0, 1e-6, "catalogue CW-08, the only one above 25 °C")
}

func TestPulseResistanceIsTheRCStepAtAllTimes(t *testing.T) {
	t.Parallel()
	c := mustCell(t, "pouch-nmc-21")
	tb := table(t, "pouch-nmc-21", 25, 21)
	checktest.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(0, 20).Draw(t, "entry")
		seconds := rapid.Float64Range(0, 500).Draw(t, "t")
		r, err := c.Curves.PulseResistance(298.15, unit.Ratio(float64(k)/20), unit.Time(seconds))
		if err != nil {
			t.Fatal(err)
		}
		want := tb.R0[k] + exact.RCStep(0, 1, tb.R1[k], tb.Tau1[k], seconds) + exact.RCStep(0, 1, tb.R2[k], tb.Tau2[k], seconds)
		if math.Abs(float64(r)-want) > 1e-12*want {
			t.Fatalf("entry %d after %g s: %g, the closed form gives %g; source circuit law", k, seconds, r, want)
		}
	})
}

// Resistance falls as the cell warms, at every charge and pulse length. The
// steps of the logs (1 mV of 75 mV) allow 2 % the other way between two
// measured rows that lie close.
func TestResistanceFallsWithTemperature(t *testing.T) {
	t.Parallel()
	for _, c := range BuiltIn().Cells {
		if c.Curves == nil {
			continue
		}
		for s := 0.0; s <= 1; s += 0.05 {
			for _, seconds := range []float64{0.5, 10, 60} {
				last := math.Inf(1)
				for celsius := -30.0; celsius <= 60; celsius += 5 {
					r, err := c.Curves.PulseResistance(unit.Celsius(celsius), unit.Ratio(s), unit.Time(seconds))
					if err != nil {
						t.Fatal(err)
					}
					if float64(r) > last*1.02 {
						t.Errorf("%s: %g s at charge %.2f rises to %.4g mΩ at %g °C from %.4g; common practice", c.ID, seconds, s, float64(r)*1e3, celsius, last*1e3)
					}
					last = float64(r)
				}
			}
		}
	}
}

func TestTableIsMonotoneWithHealthInIt(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		cells := BuiltIn().Cells
		c := cells[rapid.IntRange(0, len(cells)-1).Draw(t, "cell")]
		if c.Curves == nil {
			return
		}
		h := Health{unit.Ratio(rapid.Float64Range(0.3, 1).Draw(t, "share")), unit.Ratio(rapid.Float64Range(1, 3).Draw(t, "growth"))}
		temperature := unit.Celsius(rapid.Float64Range(-40, 80).Draw(t, "celsius"))
		n := rapid.IntRange(2, 400).Draw(t, "n")
		aged, err := c.At(temperature, h, n)
		if err != nil {
			t.Fatal(err)
		}
		fresh, err := c.At(temperature, New, n)
		if err != nil {
			t.Fatal(err)
		}
		if !num.NonDecreasing(aged.OCV) || len(aged.OCV) != n {
			t.Fatalf("%s: OCV falls or has %d entries", c.ID, len(aged.OCV))
		}
		if want := float64(c.Capacity) * float64(h.CapacityShare); math.Abs(float64(aged.Capacity)-want) > 1e-9*want {
			t.Fatalf("%s: capacity %g, want %g", c.ID, aged.Capacity, want)
		}
		for i := range n {
			for _, p := range [][2]float64{{aged.R0[i], fresh.R0[i]}, {aged.R1[i], fresh.R1[i]}, {aged.R2[i], fresh.R2[i]}} {
				if want := p[1] * float64(h.ResistanceGrowth); math.Abs(p[0]-want) > 1e-12*want {
					t.Fatalf("%s: aged resistance %g, want %g", c.ID, p[0], want)
				}
			}
			if aged.Tau1[i] != fresh.Tau1[i] || aged.OCV[i] != fresh.OCV[i] || aged.R0[i] <= 0 || aged.Tau1[i] <= 0 || aged.Tau2[i] <= 0 {
				t.Fatalf("%s: entry %d changed with age or is not above zero", c.ID, i)
			}
		}
	})
}

func TestOCVIntegralIsTheEnergyOfTheTable(t *testing.T) {
	t.Parallel()
	tb := &Table{Capacity: 7200, OCV: []float64{3, 3.4, 4}} // 2 Ah
	w := tb.OCVIntegral()
	checktest.Near(t, "J at half", w[1], 3600*3.2, 0, 1e-15, "trapezoid by hand")
	checktest.Near(t, "J at full", w[2], 3600*(3.2+3.7), 0, 1e-15, "trapezoid by hand")
	// From 75 % to 25 %: the mean of each half's inner piece.
	checktest.Near(t, "J from 75 to 25 %", float64(tb.Energy(0.75, 0.25)), 1800*(3.55+3.3), 0, 1e-14, "trapezoid by hand")
	checktest.Near(t, "J from 25 to 75 %", float64(tb.Energy(0.25, 0.75)), -1800*(3.55+3.3), 0, 1e-14, "trapezoid by hand")
	// The dense table comes near the antiderivative of the cubic itself.
	c := mustCell(t, "prismatic-lfp-280")
	ocv, err := num.NewCurve(c.Curves.OCV.SoC, c.Curves.OCV.Value)
	if err != nil {
		t.Fatal(err)
	}
	dense := table(t, c.ID, 25, 1001)
	checktest.Near(t, "J of a 280 Ah cell", float64(dense.Energy(1, 0)), float64(c.Capacity)*ocv.Integral(0, 1), 0, 2e-5, "antiderivative of the cubic; linear reading of 1001 entries")
}

func TestAtRefusesWhatHasNoTable(t *testing.T) {
	t.Parallel()
	lto := mustCell(t, "cylindrical-lto-40")
	if lto.Curves != nil {
		t.Error("a chemistry without a sourced open-circuit curve has one")
	}
	c := mustCell(t, "pouch-nmc-21")
	for _, x := range []struct {
		cell *Cell
		t    unit.Temperature
		h    Health
		n    int
		want error
	}{
		{lto, 298, New, 11, ErrNoCurves},
		{c, 298, New, 1, ErrTableSize},
		{c, 298, New, TableMax + 1, ErrTableSize},
		{c, 0, New, 11, ErrTemperature},
		{c, unit.Temperature(math.NaN()), New, 11, ErrTemperature},
		{c, 298, Health{0, 1}, 11, ErrHealth},
		{c, 298, Health{0.8, unit.Ratio(math.Inf(1))}, 11, ErrHealth},
		{&Cell{Curves: &Curves{}}, 298, New, 11, ErrCurves},
	} {
		if _, err := x.cell.At(x.t, x.h, x.n); !errors.Is(err, x.want) {
			t.Errorf("At(%v, %v, %d): %v, want %v", x.t, x.h, x.n, err, x.want)
		}
	}
}

func BenchmarkAt(b *testing.B) {
	c := mustCell(b, "pouch-lmo-33")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.At(298.15, New, 201); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(201*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
}
