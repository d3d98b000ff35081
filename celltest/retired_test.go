package celltest

import (
	"math"
	"strconv"
	"testing"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/unit"
)

// meanAndDeviation is that of n − 1.
func meanAndDeviation(x []float64) (mean, sd, least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for _, v := range x {
		mean += v / float64(len(x))
		least, most = min(least, v), max(most, v)
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / float64(len(x)-1)
	}
	return mean, math.Sqrt(sd), least, most
}

// The graded lots: capacity, and the 5 s resistance of the 1C discharge pulse at
// half of nominal and at half of each cell's own capacity.
func TestRetiredLotsAreThoseOfACorrectReading(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		set                   string
		nominal               float64 // Ah
		n                     int
		capacity              [4]float64 // mean, s.d., least, most, Ah
		resistance, atOwnHalf [2]float64 // mean, s.d., mΩ
		digit                 float64    // of the resistances, mΩ
	}{
		{"lmo10", 10, 48, [4]float64{8.088, 1.221, 5.191, 9.479}, [2]float64{12.13, 3.18}, [2]float64{11.50, 2.34}, 0.01},
		{"nmc21", 21, 26, [4]float64{20.624, 1.214, 15.676, 21.172}, [2]float64{2.840, 0.454}, [2]float64{2.842, 0.464}, 0.001},
		{"lfp35", 35, 28, [4]float64{29.609, 1.685, 26.027, 32.298}, [2]float64{3.023, 0.214}, [2]float64{3.045, 0.223}, 0.001},
	} {
		t.Run(c.set, func(t *testing.T) {
			t.Parallel()
			capacities := columns(t, "retired/cells_"+c.set+".csv", "capacity_ah")[0]
			u := columns(t, "retired/pulses_"+c.set+".csv", "soc_pct_of_nominal", "u13", "u15")
			var half, own []float64
			cellAt := -1
			var levels []unit.Ratio
			var r []unit.Resistance
			end := func() {
				if cellAt < 0 {
					return
				}
				v, ok := AtOwnCharge(levels, r, unit.Charge(c.nominal), unit.Charge(capacities[cellAt]), 0.5)
				if !ok {
					t.Errorf("cell %d: half of its own capacity is not among its levels", cellAt)
				}
				own = append(own, v.Milliohms())
			}
			for i, pct := range u[0] {
				if i == 0 || pct <= u[0][i-1] {
					end()
					cellAt, levels, r = cellAt+1, nil, nil
				}
				s := Step{VoltageRest: unit.Voltage(u[1][i]), VoltageEnd: unit.Voltage(u[2][i]), Current: unit.Current(c.nominal)}
				levels, r = append(levels, unit.Ratio(pct/100)), append(r, StepResistance(s))
				if pct == 50 {
					half = append(half, StepResistance(s).Milliohms())
				}
			}
			end()
			if len(capacities) != c.n || len(half) != c.n || len(own) != c.n {
				t.Fatalf("%d capacities, %d and %d resistances, want %d of each", len(capacities), len(half), len(own), c.n)
			}
			mean, sd, least, most := meanAndDeviation(capacities)
			for i, v := range []float64{mean, sd, least, most} {
				within(t, []string{"mean", "s.d.", "least", "most"}[i]+" capacity in Ah", v, c.capacity[i], 0.001)
			}
			for _, x := range []struct {
				name string
				got  []float64
				want [2]float64
			}{{"half of nominal", half, c.resistance}, {"half of its own", own, c.atOwnHalf}} {
				mean, sd, _, _ := meanAndDeviation(x.got)
				checktest.Near(t, "mean resistance at "+x.name+" in mΩ", mean, x.want[0], c.digit, 0.02, readme+"; 2 %")
				checktest.Near(t, "s.d. of the resistance at "+x.name+" in mΩ", sd, x.want[1], c.digit, 0.02, readme+"; 2 %")
			}
		})
	}
}

// testerSteps reads the step table of a tester.
func testerSteps(t *testing.T, file string) []Step {
	t.Helper()
	rows := records(t, "retired/"+file)
	var out []Step
	for i, r := range rows[1:] {
		f := func(k int) float64 { v, _ := strconv.ParseFloat(r[k], 64); return v }
		s := Step{Kind: map[string]StepKind{"rest": Rest, "discharge_cc": Discharge, "charge_cc": Charge, "charge_cccv": Charge}[r[1]]}
		s.Duration, s.VoltageStart, s.VoltageEnd = unit.Time(f(3)), unit.Voltage(f(4)), unit.Voltage(f(6))
		s.Current = -unit.Current(f(8))
		s.Charge = unit.Charge(f(10)-f(9)) * unit.AmpereHour
		s.Energy = unit.Energy(f(12)-f(11)) * unit.WattHour
		s.Temperatures = Span{Start: unit.Celsius(f(13)), End: unit.Celsius(f(14)), Hottest: unit.Celsius(f(15))}
		if i > 0 {
			s.VoltageRest = out[i-1].VoltageEnd
		}
		out = append(out, s)
	}
	return out
}

func TestStepTablesAreThoseOfACorrectReading(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		file                     string
		nominal                  float64
		charge, energy, duration float64 // Ah, Wh, s
		start, hottest           float64 // °C
	}{{"steps_nmc21-006.csv", 21, 21.044, 76.46, 3607.5, 25.1, 33.5}, {"steps_lmo25-101.csv", 25, 14.041, 50.00, 2021.9, 26.4, 36.9}} {
		var full Step
		for _, s := range testerSteps(t, c.file) {
			if s.Kind == Discharge && s.Charge > full.Charge {
				full = s
			}
		}
		within(t, c.file+": charge in Ah", full.Charge.AmpereHours(), c.charge, 0.001)
		within(t, c.file+": energy in Wh", full.Energy.WattHours(), c.energy, 0.01)
		checktest.Near(t, c.file+": duration in s", float64(full.Duration), c.duration, 0.1, 0, readme)
		checktest.Near(t, c.file+": start in °C", full.Temperatures.Start.Celsius(), c.start, 0.051, 0, readme)
		checktest.Near(t, c.file+": hottest in °C", full.Temperatures.Hottest.Celsius(), c.hottest, 0.051, 0, readme)
		h, err := HealthOf(full.Charge, unit.Charge(c.nominal)*unit.AmpereHour, 1, 1)
		if err != nil {
			t.Fatal(err)
		}
		if c.nominal == 25 {
			checktest.Near(t, c.file+": health", float64(h.CapacityShare), 0.56, 0.005, 0, readme+"; two digits")
		}
	}
	// The 5 s discharge pulses at 1C of the NMC cell: one per level of 5 %.
	var r []float64
	for _, s := range testerSteps(t, "steps_nmc21-006.csv") {
		if s.Kind == Discharge && math.Abs(float64(s.Duration)-5) < 0.05 && math.Abs(s.Current.Amperes()-21) < 0.3 {
			r = append(r, StepResistance(s).Milliohms())
		}
	}
	if len(r) < 18 {
		t.Fatalf("%d levels", len(r))
	}
	for level, want := range map[int]float64{5: 3.87, 50: 2.67, 90: 2.44} {
		checktest.Near(t, "5 s at 1C at "+strconv.Itoa(level)+" % in mΩ", r[level/5-1], want, 0.005, 0.02, readme+"; 2 %")
	}
	p := columns(t, "retired/pulses_nmc21.csv", "soc_pct_of_nominal", "u13", "u15")
	k := rowsOfCell(t, "pulses_nmc21.csv", "nmc21-006")[9] // 50 %
	checktest.Near(t, "the same in the table of the lot", (p[1][k]-p[2][k])/21*1e3, r[9], 0.005, 0.02, readme+": its row must agree")
}

// rowsOfCell are the rows of one cell.
func rowsOfCell(t *testing.T, file, name string) []int {
	t.Helper()
	rows := records(t, "retired/"+file)
	var out []int
	for i, r := range rows[1:] {
		if r[0] == name {
			out = append(out, i)
		}
	}
	return out
}

// The rest voltage of the LFP lot falls by half a millivolt from 35 to 40 % in the
// mean: it is made level and told.
func TestFallingRestVoltageIsMadeLevelAndTold(t *testing.T) {
	t.Parallel()
	c := columns(t, "ocv/derived_retired_lfp35.csv", "soc_pct_of_nominal", "ocv_mean_v")
	l := cell.Line{}
	for i := range c[0] {
		l.SoC, l.Value = append(l.SoC, c[0][i]/100), append(l.Value, c[1][i])
	}
	z, faults, err := Rising(l)
	if err != nil {
		t.Fatal(err)
	}
	told(t, faults, FaultFalling, "0.350 to 0.400")
	for i := 1; i < len(z.Value); i++ {
		if z.Value[i] < z.Value[i-1] {
			t.Errorf("falls from %g to %g", z.Value[i-1], z.Value[i])
		}
		if math.Abs(z.Value[i]-l.Value[i]) > 0.5e-3 {
			t.Errorf("moved by %g mV", 1e3*math.Abs(z.Value[i]-l.Value[i]))
		}
	}
}
