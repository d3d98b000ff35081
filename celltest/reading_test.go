package celltest

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/unit"
)

// readme is the source of every figure here: what a correct reading of the files gives.
const readme = "reference/celltests/README.md, what a correct reading gives"

// within compares a capacity or energy within 0.2 % and half of the last digit printed.
func within(t *testing.T, name string, got, want, digit float64) {
	t.Helper()
	checktest.Near(t, name, got, want, digit/2, 0.002, readme+"; 0.2 %")
}

func TestThroughputsAreThoseOfACorrectReading(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		file                string
		net, out, back      float64 // Ah; zero: not stated
		energy, eOut, eBack float64 // Wh
		load                float64 // s
		least               float64 // V
		cold, hot           float64 // °C; of the pouch cell the start instead of the coldest
		rms                 float64 // A
	}{
		{ncr + "discharge_1c_25c_start.csv", 2.798, 0, 0, 9.82, 0, 0, 3474, 2.499, 25.0, 32.9, 0},
		{ncr + "discharge_1c_25c_end.csv", 2.434, 0, 0, 8.48, 0, 0, 3022, 2.499, 24.6, 33.4, 0},
		{ncr + "us06_25c.csv.gz", 2.586, 3.214, 0.628, 8.86, 11.24, 2.37, 4519, 2.494, 25.6, 33.0, 4.04},
		{ncr + "hwfet_25c.csv.gz", 2.708, 2.913, 0.205, 9.71, 10.48, 0.77, 7312, 2.502, 25.6, 29.8, 1.73},
		{ncr + "udds_0c.csv.gz", 2.320, 0, 0, 8.25, 0, 0, 12569, 2.498, 0.5, 3.5, 1.10},
		{ncr + "us06_n10c.csv.gz", 2.030, 0, 0, 6.47, 0, 0, 2815, 2.496, -10.1, 6.9, 3.69},
		{"leaf33/discharge_1c.csv", 30.33, 0, 0, 113.8, 0, 0, 3568, 0, 25.7, 29.2, 0},
		{"leaf33/discharge_2c.csv", 29.95, 0, 0, 109.6, 0, 0, 1761, 0, 25.2, 35.3, 0},
		{"leaf33/discharge_3c.csv", 28.61, 0, 0, 101.5, 0, 0, 1121, 0, 25.0, 42.8, 0},
	} {
		t.Run(c.file, func(t *testing.T) {
			t.Parallel()
			x, err := reference(t, c.file).Throughput()
			if err != nil {
				t.Fatal(err)
			}
			within(t, "net charge in Ah", x.Net.AmpereHours(), c.net, 0.001)
			within(t, "net energy in Wh", x.Energy().WattHours(), c.energy, 0.01)
			if c.out > 0 {
				within(t, "charge out in Ah", x.Out.AmpereHours(), c.out, 0.001)
				within(t, "charge back in Ah", x.Back.AmpereHours(), c.back, 0.001)
				within(t, "energy out in Wh", x.EnergyOut.WattHours(), c.eOut, 0.01)
				within(t, "energy back in Wh", x.EnergyBack.WattHours(), c.eBack, 0.01)
			}
			load, cold := x.Load, x.Surface.Coldest
			if strings.HasPrefix(c.file, "leaf33") { // the end of the charge before is in the file
				steps := reference(t, c.file).Steps(StepOptions{})
				i := slices.IndexFunc(steps, func(s Step) bool { return s.Kind == Discharge })
				load, cold = steps[i].Duration, steps[i].Temperatures.Start
			}
			checktest.Near(t, "time under load in s", float64(load), c.load, 1, 0.002, readme)
			if c.least > 0 {
				checktest.Near(t, "lowest voltage", float64(x.VoltageMin), c.least, 0.6e-3, 0, readme+"; three digits")
			}
			checktest.Near(t, "coldest in °C", cold.Celsius(), c.cold, 0.051, 0, readme+"; one digit")
			checktest.Near(t, "hottest in °C", x.Surface.Hottest.Celsius(), c.hot, 0.051, 0, readme+"; one digit")
			if c.rms > 0 {
				checktest.Near(t, "rms current in A", x.CurrentRMS.Amperes(), c.rms, 0.005, 0.005, readme)
			}
		})
	}
}

// The slow cycle does not close; the two branches are scaled and the difference is told.
func TestSlowPairThatDoesNotCloseIsTold(t *testing.T) {
	t.Parallel()
	l := reference(t, ncr+"c20_25c.csv")
	p, err := NewSlowPair(l)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "charge out in Ah", p.Out.AmpereHours(), 2.997, 0.001)
	within(t, "charge back in Ah", p.Back.AmpereHours(), 2.616, 0.001)
	within(t, "energy out in Wh", p.EnergyOut.WattHours(), 11.04, 0.01)
	within(t, "energy back in Wh", p.EnergyBack.WattHours(), 9.76, 0.01)
	told(t, p.Faults, FaultClosing, "2.997 Ah", "2.616 Ah", "0.0098 A")
	ocv, change, err := p.OCV(21)
	if err != nil || change > unit.Millivolt {
		t.Fatalf("%v, change %g mV", err, change.Millivolts())
	}
	want := columns(t, "ocv/derived_ncr18650pf_25c.csv", "soc", "c20_mean_v")
	for i, s := range want[0] {
		checktest.Near(t, "mean of the branches at charge "+strconv.FormatFloat(s, 'g', 3, 64), ocv.Value[i], want[1][i], 2e-3, 0, "celltests, derived_ncr18650pf_25c.csv; 2 mV of rows 60 s apart at the steep end")
	}
	pulses, err := reference(t, ncr+"hppc_25c.csv.gz").PulseTable(2.9*unit.AmpereHour, 1, nil, PulseOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var rests []RestPoint
	for _, r := range pulses.Rows {
		rests = append(rests, RestPoint{Given: r.Given, Voltage: r.VoltageRest})
	}
	told(t, l.Witness(rests), FaultWitness, "loaded voltage", "came to rest")
}

// told fails unless the faults hold one of the kind with the words.
func told(t *testing.T, faults []Fault, kind FaultKind, words ...string) {
	t.Helper()
	for _, f := range faults {
		if f.Kind == kind {
			for _, w := range words {
				if !strings.Contains(f.Text(), w) {
					t.Errorf("%s is told as %q, without %q", kind, f.Text(), w)
				}
			}
			return
		}
	}
	t.Errorf("%s is not told in %v", kind, faults)
}

// records reads a table of the reference data: header and rows.
func records(t *testing.T, file string) [][]string {
	t.Helper()
	in, err := os.Open(checktest.Reference(t, append([]string{"celltests"}, strings.Split(file, "/")...)...))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = in.Close() }()
	rows, err := csv.NewReader(in).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// columns reads columns of a table of the reference data; an empty field is NaN.
func columns(t *testing.T, file string, names ...string) [][]float64 {
	t.Helper()
	rows := records(t, file)
	out := make([][]float64, len(names))
	for k, name := range names {
		at := -1
		for i, h := range rows[0] {
			if h == name {
				at = i
			}
		}
		if at < 0 {
			t.Fatalf("%s has no column %q", file, name)
		}
		for _, r := range rows[1:] {
			v, err := strconv.ParseFloat(r[at], 64)
			if err != nil {
				v = math.NaN()
			}
			out[k] = append(out[k], v)
		}
	}
	return out
}

// Every pulse of the three tests of the 18650 cell, against the complete tables.
func TestPulseResistancesAreThoseOfACorrectReading(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"25c", "0c", "n10c"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l := reference(t, ncr+"hppc_"+name+".csv.gz")
			x, err := l.PulseTable(2.9*unit.AmpereHour, 1, []unit.Time{0.5, 1, 10}, PulseOptions{})
			if err != nil {
				t.Fatal(err)
			}
			w := columns(t, "ocv/derived_ncr18650pf_hppc_"+name+".csv", "ah", "current_a", "rest_v", "r_0p5s_mohm", "r_1s_mohm", "r_10s_mohm", "pulse_s")
			if len(x.Rows) != len(w[0]) {
				t.Fatalf("%d pulses, the table has %d", len(x.Rows), len(w[0]))
			}
			const source = "celltests, derived_ncr18650pf_hppc tables; 2 %"
			for i, r := range x.Rows {
				at := strconv.FormatFloat(w[0][i], 'f', 3, 64) + " Ah, " + strconv.FormatFloat(w[1][i], 'f', 1, 64) + " A: "
				checktest.Near(t, at+"Ah out", r.Given.AmpereHours(), -w[0][i], 2e-4, 0, source)
				checktest.Near(t, at+"current", r.Current.Amperes(), -w[1][i], 1e-3, 2e-3, source)
				checktest.Near(t, at+"rest voltage", r.VoltageRest.Volts(), w[2][i], 1e-4, 0, source)
				for k, name := range []string{"0.5 s", "1 s", "10 s"} {
					want := w[3+k][i]
					if k == 1 && w[6][i] < 1 {
						continue // the table takes the last row of a pulse of 0.9 s for 1 s
					}
					if math.IsNaN(want) {
						if k == 2 && r.Resistance[k] != 0 {
							t.Errorf("%s10 s: %.2f mΩ from a pulse that was cut short", at, r.Resistance[k].Milliohms())
						}
						continue
					}
					checktest.Near(t, at+name+" in mΩ", r.Resistance[k].Milliohms(), want, 0, 0.02, source)
				}
			}
			told(t, x.Faults, FaultSettling, "after 0.5 s")
		})
	}
}

// The holes of the pulse files: the counter says what the rows cannot.
func TestHolesOfPulseFilesAreTold(t *testing.T) {
	t.Parallel()
	x, err := reference(t, ncr+"hppc_25c.csv.gz").Throughput()
	if err != nil {
		t.Fatal(err)
	}
	within(t, "counted charge in Ah", x.Net.AmpereHours(), 2.773, 0.001)
	within(t, "integrated charge in Ah", x.Out.AmpereHours(), 1.34, 0.01)
	told(t, x.Faults, FaultHole, "13 places")
	b, err := reference(t, ncr+"hppc_25c_between.csv").Throughput()
	if err != nil {
		t.Fatal(err)
	}
	told(t, b.Faults, FaultHole)
	if b.Out.AmpereHours() > 6 {
		t.Errorf("%.2f Ah integrated; the holes are in it (18.1 Ah is the naive sum)", b.Out.AmpereHours())
	}
}

func TestPouchCellPulsesAreThoseOfACorrectReading(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		total float64 // Ah
	}{{"25c", 30.51}, {"10c", 30.27}, {"40c", 30.75}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			l := reference(t, "leaf33/hppc_"+c.name+".csv")
			x, err := l.PulseTable(33.1*unit.AmpereHour, 1, []unit.Time{0, 30}, PulseOptions{})
			if err != nil {
				t.Fatal(err)
			}
			w := columns(t, "ocv/derived_leaf33_hppc_"+c.name+".csv", "ah", "rest_v", "r_first_mohm", "r_30s_mohm")
			var rows []PulseRow
			for _, r := range x.Rows {
				if r.Kind == Discharge && math.Abs(r.Current.Amperes()-30) < 1 {
					rows = append(rows, r)
				}
			}
			if len(rows) != len(w[0]) {
				t.Fatalf("%d discharge pulses, the table has %d", len(rows), len(w[0]))
			}
			const source = "celltests, derived_leaf33_hppc tables; readings of 1 mV are 0.03 mΩ"
			for i, r := range rows {
				at := strconv.FormatFloat(w[0][i], 'f', 2, 64) + " Ah: "
				checktest.Near(t, at+"Ah out", (r.Given - rows[0].Given).AmpereHours(), -w[0][i], 0.02, 0.003, source)
				checktest.Near(t, at+"rest voltage", r.VoltageRest.Volts(), w[1][i], 1.1e-3, 0, source)
				checktest.Near(t, at+"first in mΩ", r.Resistance[0].Milliohms(), w[2][i], 0.001, 0.02, source)
				checktest.Near(t, at+"30 s in mΩ", r.Resistance[1].Milliohms(), w[3][i], 0.001, 0.02, source)
			}
			given := l.given()
			within(t, "charge out in Ah", unit.Charge(given[l.Len()-1]-float64(rows[0].Given)).AmpereHours(), c.total, 0.01)
		})
	}
}

// The C/15 cycle of the pouch cell has its leads in the voltage, and says so.
func TestLeadsInTheVoltageAreTold(t *testing.T) {
	t.Parallel()
	l := reference(t, "leaf33/c15_one_cycle.csv")
	r, n := l.Sudden()
	checktest.Near(t, "sudden resistance in Ω", float64(r), 0.11, 0.005, 0, "reference/celltests/README.md, leaf33, trap 1")
	if n < 2 {
		t.Errorf("%d sudden changes", n)
	}
	p, err := NewSlowPair(l)
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "charge in Ah", p.Out.AmpereHours(), 30.09, 0.005, 0.002, "reference/celltests/README.md, leaf33, trap 1")
	told(t, p.Faults, FaultLeads, "3.24 V at the cell")
	good, err := NewSlowPair(reference(t, ncr+"c20_25c.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range good.Faults {
		if f.Kind == FaultLeads {
			t.Errorf("the 18650 cell is told to have leads: %s", f.Text())
		}
	}
}

// The pairs of a measured pulse give back the resistance that was read off it,
// and say that the short one is known better than the long one.
func TestPairsOfAMeasuredPulseGiveItsResistance(t *testing.T) {
	t.Parallel()
	l := reference(t, ncr+"hppc_25c.csv.gz")
	for _, p := range l.Pulses(PulseOptions{}) {
		if math.Abs(p.Given.AmpereHours()-1.454) > 0.002 || math.Abs(p.Current.Amperes()-2.9) > 0.1 {
			continue
		}
		f, err := l.FitPairs(p, 2)
		if err != nil {
			t.Fatal(err)
		}
		const at = 10.0
		r := float64(f.R0.Value) + float64(f.Fall.Value)/float64(p.Current)*math.Min(at/9.9, 1)
		for k := range f.R {
			r += float64(f.R[k].Value) * (1 - math.Exp(-at/float64(f.Tau[k].Value)))
		}
		checktest.Near(t, "10 s at half charge in mΩ", r*1e3, 37.3, 0.05, 0.02, readme+"; 2 %")
		if f.R0.Low > f.R0.Value || f.R0.High < f.R0.Value || f.Residual > unit.Millivolt {
			t.Errorf("R0 %.4g from %.4g to %.4g mΩ, residual %.2g mV", f.R0.Value.Milliohms(), f.R0.Low.Milliohms(), f.R0.High.Milliohms(), f.Residual.Millivolts())
		}
		return
	}
	t.Fatal("no 1C pulse at half charge")
}
